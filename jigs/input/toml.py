"""The only way from TOML text to data: how deep it is nested is counted first, because a parser could use up all memory."""

import re
from typing import TYPE_CHECKING, Any

import tomli

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

MOST_LEVELS = 16
"""Our own choice; no file of ours has more than four."""

_TOKEN = re.compile(
    "|".join(
        (
            r'"""(?>[^"\\]+|\\.|"(?!""))*+(?:"{3,5}|\\?\Z)',
            r"'''(?>[^']+|'(?!''))*+(?:'{3,5}|\Z)",
            r'"(?>[^"\\\n]+|\\[^\n])*+"?',
            r"'[^'\n]*+'?",
            r"#[^\n]*+",
            r"[.=,\[\]{}\n]",
        )
    ),
    re.DOTALL,
)
"""Texts, over several lines or on one, perhaps without their end; comments; marks."""


class TooDeep(ValueError):
    """A text that is nested deeper than `MOST_LEVELS`. ``line`` counts from 1."""

    def __init__(self, line: int) -> None:
        super().__init__(line)
        self.line = line


def data_of(text: str) -> dict[str, Any]:
    """The data of a text. Raises `TooDeep`, and what tomli raises."""
    check_depth(text)
    return tomli.loads(text)


def document_of(text: str) -> "TOMLDocument":
    """The text as a document to change, comments and all. Raises `TooDeep`, and what tomlkit raises."""
    import tomlkit

    check_depth(text)
    return tomlkit.parse(text)


def check_depth(text: str) -> None:
    """Count brackets, braces and the dots of keys, outside of texts and comments. Raises `TooDeep`.

    >>> check_depth('a = [[{b.c = "[[[[[[[[[[[[[[[[["}]] # [[[[[[[[[[[[[[[[[')
    >>> check_depth("a = 1\\nb" + ".b" * 17 + " = 1")
    Traceback (most recent call last):
        ...
    jigs.input.toml.TooDeep: 2
    """
    around: list[int] = []
    levels, dots, is_value = 0, 0, False
    for match in _TOKEN.finditer(text):
        match match[0]:
            case ".":
                dots += not is_value
            case "=":
                is_value = True
            case "[" | "{":
                around.append(dots + 1)
                levels, dots, is_value = levels + dots + 1, 0, False
            case "]" | "}":
                levels, dots = levels - (around.pop() if around else 0), 0
            case "," | "\n":
                dots, is_value = 0, False
        if levels + dots > MOST_LEVELS:
            raise TooDeep(text.count("\n", 0, match.start()) + 1)
