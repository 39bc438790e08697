"""What people type for a key, on the page or behind ``--set``, as the value that the instrument file would have."""

import re
from typing import Any

from geometry.lengths import comma_meanings
from jigs.instrument.reference import Kind

_PLAIN = re.compile(r"[+-]?(\d{1,15}(\.\d{0,30})?|\.\d{1,30})(e-\d{1,3})?", re.ASCII)
"""A number. Any that a file can hold is one, as Python writes it: 0.5162847282238551, 5e-05."""

_BY_SPACES = re.compile(r"[+−-]?[\d.,]*\d(\s+[+−-]?[\d.,]*\d)+", re.ASCII)
_EMPTY_LIST = re.compile(r"(\w+\s*=\s*)?\[\s*\]", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d{1,15}", re.ASCII)


def value_of(text: str, key: str, kind: Kind | None) -> Any:
    """What a text is in the file; None for an empty one. A wrong value stays text, for the file's own checks.

    So does a length that a number would write in another way: as a packet prints it, .010 can only be inches. In a list,
    semicolons, or spaces alone between the values, leave the comma to decimals.

    >>> value_of("26 1/4 in", "scale", "length"), value_of("2.8", "fret_12", "length"), value_of(".010", "gauge", "length")
    ('26 1/4 in', 2.8, '.010')
    >>> value_of("5, 7", "dots", "list"), value_of('["1 in", 38.6]', "steps", "list")
    ([5, 7], ['1 in', 38.6])
    >>> value_of("442,5", "a4", "number"), value_of("-1,2; 1,2", "steps", "list"), value_of("2,9", "fret_12", "length")
    (442.5, [-1.2, 1.2], '2,9')
    >>> value_of("-1,2 1,2 -.6 1", "steps", "list"), value_of("-1,2, -0,6", "steps", "list")
    ([-1.2, 1.2, -0.6, 1], [-1, 2, -0.0, 6])
    >>> value_of("true", "pair", "check"), value_of("", "core", "length"), value_of("[]", "dots", "list")
    (True, None, [])
    >>> value_of("0.5162847282238551", "slip", "number"), value_of("5e-05", "finger", "length")
    (0.5162847282238551, 5e-05)
    """
    plain = bare(text, key)
    if kind == "list" and not plain and _EMPTY_LIST.fullmatch(text.strip()):
        return []
    if not plain:
        return None
    if kind == "check":
        return {"true": True, "false": False}.get(plain, plain)
    if kind == "length":
        number = _number(plain)
        return number if str(number) == plain else plain
    if kind in ("whole", "number"):
        return _number(plain)
    if kind == "list" and _BY_SPACES.fullmatch(plain):
        return [_number(one) for one in plain.split()]
    if kind == "list" and (";" in plain or "," in plain or _PLAIN.fullmatch(plain)):
        return [_number(bare(one)) for one in plain.split(";" if ";" in plain else ",")]
    return plain


def bare(text: str, key: str = "") -> str:
    """A text without what belongs to a file: the key, quotes, brackets. Faults show them, so people type them.

    >>> bare('scale = "26 1/4 in"', "scale"), bare('26 1/4"', "scale"), bare("[[5, 7]]", "dots"), bare('"a", "b"')
    ('26 1/4 in', '26 1/4"', '5, 7', '"a", "b"')
    """
    plain = text.strip()
    if key and key != "name":
        before, equals, behind = plain.partition("=")
        plain = behind.strip() if equals and before.strip() == key else plain
    for first, last in ('""', "''", "“”", "[]"):
        inner = plain[1:-1].strip()
        if len(plain) > 1 and plain[0] == first and plain[-1] == last and (first == "[" or first not in inner):
            plain = inner
    return plain if plain == text else bare(plain, key)


def _number(plain: str) -> int | float | str:
    """A number, with a point or a decimal comma; any other text as it is. A nought keeps its minus."""
    plain = plain.replace("−", "-")
    meanings = comma_meanings(plain)
    number = meanings[0] if len(meanings) == 1 else plain
    if _WHOLE.fullmatch(number):
        return int(number) or (-0.0 if number.startswith("-") else 0)
    return float(number) if _PLAIN.fullmatch(number) else plain
