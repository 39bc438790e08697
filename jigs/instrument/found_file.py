"""The ``[found]`` table written into an instrument file: everything else in it stays, byte for byte.

The table's lines are found in the text; a table that is there keeps its comments. What comes out is read again: it must say
the same as before in every other table.
"""

import re
from collections.abc import Mapping
from typing import Any

from jigs.faults import Place
from jigs.input.text import lines_of
from jigs.input.toml import TooDeep, data_of, document_of
from jigs.instrument import found_words as words

TABLE = "found"
_HEADER = re.compile(r"^[ \t]*\[[ \t]*(found|\"found\"|'found')[ \t]*\]", re.MULTILINE)
_NEXT = re.compile(r"^[ \t]*\[", re.MULTILINE)


def with_found(text: str, table: Mapping[str, Any], source: str) -> str:
    """The text of an instrument file with this table as its ``[found]``.

    Raises `InputFaults` where the table cannot be written without a change to anything else.
    """
    data = data_of(text)
    line_end = "\r\n" if "\r\n" in text else "\n"
    ways = (_in_its_place(text, header, table, line_end) for header in _HEADER.finditer(text))
    gap = "" if not text or text.endswith("\n") else line_end
    at_the_end = text + gap + line_end + _section("[found]\n", table, line_end)
    for new in (*ways, *([] if TABLE in data else [at_the_end])):
        if _says_the_same(new, data, table):
            return new
    raise words.table_not_its_own().refusal(Place(source, TABLE))


def _in_its_place(text: str, header: re.Match[str], table: Mapping[str, Any], line_end: str) -> str:
    """The text with the table under this header, which may as well be a line within another value."""
    behind = _NEXT.search(text, header.end())
    end = _before_its_comment(text, header.end(), len(text) if behind is None else behind.start())
    return text[: header.start()] + _section(text[header.start() : end], table, line_end) + text[end:]


def _before_its_comment(text: str, start: int, end: int) -> int:
    """The end of a table: before the blank and comment lines at its end, which may belong to the next one."""
    lines = lines_of(text[start:end])
    while lines and (not lines[-1].strip() or lines[-1].lstrip().startswith("#")):
        end -= len(lines.pop())
    return end


def _section(section: str, table: Mapping[str, Any], line_end: str) -> str:
    """The lines of the table with these keys and no others."""
    from tomlkit.exceptions import TOMLKitError

    bare = f"[{TABLE}]\n"
    try:
        document = document_of(section if "#" in section else bare)
    except (TOMLKitError, TooDeep):
        document = document_of(bare)
    own: Any = document[TABLE]
    for key in [key for key in own if key not in table]:
        del own[key]
    for key, value in table.items():
        own[key] = value
    written = document.as_string().replace("\r\n", "\n")
    return written.replace("\n", line_end) if written.endswith("\n") else f"{written}\n".replace("\n", line_end)


def _says_the_same(new: str, data: Mapping[str, Any], table: Mapping[str, Any]) -> bool:
    try:
        said = data_of(new)
    except ValueError:
        return False
    return said.get(TABLE) == dict(table) and {**said, TABLE: None} == {**data, TABLE: None}
