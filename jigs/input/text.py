"""A page of text from the user: from a file to a string or to TOML data. Everything that goes wrong has its sentence."""

import codecs
import io
import re
from collections.abc import Callable
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO

import tomli

from geometry.lengths import comma_meanings
from jigs.faults import InputFaults, Place, Read
from jigs.input import sound_words, words
from jigs.input.gauges import GAUGES
from jigs.input.regular_files import open_regular
from jigs.input.toml import TooDeep, data_of

_SOUNDS = (b"RIFF", b"RF64", b"fLaC", b"OggS", b"FORM")
_SOUND_HEADER_BYTES = 64
"""How sound files begin, with noughts soon after, which no text has."""

LARGEST_FILE_BYTES = 1 << 20
_LONGEST_QUOTE = 40
_MOST_FILES_BESIDE, _NEAR_NAME = 1000, 0.8
_LONGEST_STATEMENT = 40
"""Lines of one value, for finding where it begins."""

_LONGEST_SLIP = 1000
"""A longer line is not looked at for slips: the time for that grows with the square of its length."""

_DECIMAL_COMMA = re.compile(r"([\w.-]+)\s*=\s*([+-]?\d*,\d+)\b", re.ASCII)
_DATE = re.compile(r"=\s*\d{1,4}([-./])\d{1,2}\1\d{1,4}\b", re.ASCII)
_UNQUOTED = re.compile(r"([\w.-]+)\s*=\s*(#?[^\s\[\]{}\"'#](?:[^\[\]{}#]|(?<=\S)#)*)(#.*)?", re.ASCII)
_WITHOUT_NOUGHT = re.compile(r"([+-]?)(\.\d+)", re.ASCII)
_AS_PRINTED = re.compile(r"\.?0\d\d|\.\d+", re.ASCII)
_BRACKETED = re.compile(r"([\w.-]+)\s*=\s*\[([^\[\]{}\"'#]*)\]\s*(#.*)?", re.ASCII)
_ONLY_SPACES = re.compile(r"[\d.]\s+[+.\d-]", re.ASCII)
"""Between two numbers, without a comma."""

_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?", re.ASCII)
_NOUGHT_FIRST = re.compile(r"0+(\d+)", re.ASCII)


def read_bytes(path: Path, kind: str, remedy: str) -> bytes:
    """A file's bytes, or one more than the largest file has. ``kind``: what it should be, as in "survey file".

    Raises `InputFaults`; ``remedy`` is what to do where there is none.
    """
    return read_with(lambda file: file.read(LARGEST_FILE_BYTES + 1), path, kind, remedy)


def read_if_there(path: Path, kind: str, remedy: str) -> bytes | None:
    """As `read_bytes`, but None where there is no such file. Raises `InputFaults` for one that may be there."""
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, ValueError):
        pass  # reading it says why
    return read_bytes(path, kind, remedy)


def read_with(
    read: Callable[[BinaryIO], Read],
    path: Path,
    kind: str,
    remedy: str,
    opened: Callable[[Path], BinaryIO] = open_regular,
) -> Read:
    """What ``read`` makes of a file that is ``opened``. Raises `InputFaults`, as `read_bytes` does."""
    place = Place(str(path))
    try:
        with opened(path) as file:
            return read(file)
    except FileNotFoundError:
        raise words.no_file(remedy, of_a_near_name(path), path.is_symlink()).refusal(place) from None
    except IsADirectoryError:
        raise words.a_folder(kind).refusal(place) from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise words.unreadable(reason).refusal(place) from None


def of_a_near_name(path: Path) -> Path | None:
    """A file in the same folder that may have been meant: a slip or two apart in its name."""
    import difflib

    try:
        beside = [one.name for one in islice(path.parent.iterdir(), _MOST_FILES_BESIDE)]
    except (OSError, ValueError):
        return None
    shown = [name for name in beside if name[:1] != "." and name != path.name]
    near = difflib.get_close_matches(path.name, shown, n=1, cutoff=_NEAR_NAME)
    return path.with_name(near[0]) if near and path.name else None


def lines_of(text: str) -> list[str]:
    r"""Lines with their ends, as an editor counts them: a form feed ends none, nor do the other separators of Unicode.

    >>> lines_of("1\u2028\x0c\r\n2\r3")
    ['1\u2028\x0c\r\n', '2\r', '3']
    """
    return io.StringIO(text, newline="").readlines()


def decode(raw: bytes, source: str, kind: str, remedy: str) -> str:
    """Bytes as text, line ends as they come. Raises `InputFaults`; ``remedy`` is what to do with an empty file."""
    if raw.startswith(_SOUNDS) and b"\0" in raw[:_SOUND_HEADER_BYTES]:
        raise sound_words.not_a_text(kind).refusal(Place(source))
    if len(raw) > LARGEST_FILE_BYTES:
        raise words.too_large_a_file(kind).refusal(Place(source))
    try:
        text = raw.decode("utf-8-sig")
        if "\0" in text:
            raise UnicodeDecodeError("utf-8", raw, raw.index(b"\0"), raw.index(b"\0") + 1, "no text")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            raise words.wide_text().refusal(Place(source)) from None
        raise words.no_text().refusal(Place(source, line=line)) from None
    if not text.strip():
        raise words.empty(remedy).refusal(Place(source))
    return text


def parse_toml(text: str, source: str, example: str, remedy: str) -> dict[str, Any]:
    """A TOML text's data; the faults need no knowledge of TOML. Raises `InputFaults`.

    ``example`` is a line as it should be; ``remedy`` is what to do with a text that is nested too deeply.
    """
    try:
        return data_of(text)
    except tomli.TOMLDecodeError as error:
        raise _broken(error, text, source, example) from None
    except TooDeep as error:
        raise words.too_deep(remedy).refusal(Place(source, line=error.line)) from None
    except (RecursionError, ValueError):
        raise words.too_deep(remedy).refusal(Place(source)) from None


def _broken(error: tomli.TOMLDecodeError, text: str, source: str, example: str) -> InputFaults:
    lines = text.replace("\r\n", "\n").split("\n")  # as the parser counts them
    number = min(error.lineno, len(lines))
    if "\r" in lines[number - 1]:
        return words.lone_carriage_return().refusal(Place(source, line=number))
    twice = _written_twice(lines, number)
    line = lines[(twice or number) - 1].strip()
    quoted = line if len(line) <= _LONGEST_QUOTE else line[:_LONGEST_QUOTE] + "…"
    if twice is not None:
        says = words.table_twice(quoted) if line.startswith("[") else words.key_twice(quoted)
        return says.refusal(Place(source, line=twice))
    if len(line) > _LONGEST_SLIP:
        says = words.broken_line(quoted, example, "")
    elif _DATE.search(line):
        says = words.no_date(quoted)
    elif any(mark in line for mark in "“”„‘’"):
        says = words.curly_quotes(quoted)
    elif comma := _DECIMAL_COMMA.search(line):
        says = words.decimal_comma(quoted, [f"{comma[1]} = {_number(one)}" for one in comma_meanings(comma[2])])
    else:
        says = words.broken_line(quoted, example, _corrected(line))
    return says.refusal(Place(source, line=number, column=error.colno))


def _corrected(line: str) -> str:
    """The line as TOML has it, if all that it lacks are quotes; else empty.

    >>> _corrected("scale = 26 1/4 in # measured"), _corrected("x = "), print(_corrected('head = 11"'))
    head = '11"'
    ('scale = "26 1/4 in"', '', None)
    >>> print(_corrected("gauge = 010"), _corrected("gauge = #10"), _corrected("frets = 022"), sep="; ")
    gauge = ".010"; gauge = "#10"; frets = 22
    >>> print(_corrected("note = F#3"), _corrected("nut = .5"), _corrected("pair = True"), sep="; ")
    note = "F#3"; nut = 0.5; pair = true
    >>> _corrected("steps = [-1.2, 1.2, -.6, 1.0] # as measured")
    'steps = [-1.2, 1.2, -0.6, 1.0]'
    """
    listed = _BRACKETED.fullmatch(line)
    if listed:
        numbers = as_a_list(listed[2])
        return f"{listed[1]} = {numbers}" if numbers else ""
    match = _UNQUOTED.fullmatch(line)
    if match is None:
        return ""
    given = match[2].strip()
    corrected = f"{match[1]} = {_value(given, match[1].rpartition('.')[2] in GAUGES)}"
    return corrected if any(map(str.isalnum, given)) and _can_be_read([corrected]) else ""


def as_a_list(text: str) -> str:
    """Numbers with spaces, commas or semicolons between them as a list in TOML; empty for any other text.

    >>> as_a_list("-1.2 1.2 -.6 1.0"), as_a_list("-1,2; 1,2"), as_a_list("-1,2 1,2"), as_a_list("-.6"), as_a_list("1 in")
    ('[-1.2, 1.2, -0.6, 1.0]', '[-1.2, 1.2]', '[-1.2, 1.2]', '', '')
    """
    plain = text.replace("−", "-").strip()
    between = ";" if ";" in plain else None if _ONLY_SPACES.search(plain) else ","
    numbers = [_number(one.strip().strip(",").replace(",", ".")) for one in plain.split(between)]
    listed = f"[{', '.join(numbers)}]"
    return (
        listed if len(numbers) > 1 and all(map(_NUMBER.fullmatch, numbers)) and _can_be_read([f"x = {listed}"]) else ""
    )


def _value(given: str, is_gauge: bool) -> str:
    """A bare value as TOML has it: a gauge as packets print it in quotes, another number, or a text in quotes."""
    if is_gauge and _AS_PRINTED.fullmatch(given):
        return f'".{given.removeprefix(".")}"'
    if given.lower() in ("true", "false"):
        return given.lower()
    plain = _number(given)
    return plain if plain != given else words.quoted(given)


def _number(given: str) -> str:
    """A number with a digit before its point, and no noughts before that."""
    bare = _WITHOUT_NOUGHT.fullmatch(given)
    if bare:
        return f"{bare[1]}0{bare[2]}"
    more = _NOUGHT_FIRST.fullmatch(given)
    return more[1] if more else given


def _written_twice(lines: list[str], number: int) -> int | None:
    """Where the statement begins that ends in this line, if it and what is before it can be read, but not together.

    >>> _written_twice(["a = 1", "b = [", "2]", "a = [", "3]"], 5), _written_twice(["a = 1", "b = 2 in"], 2)
    (4, None)
    """
    for start in range(number - 1, max(-1, number - 1 - _LONGEST_STATEMENT), -1):
        if _can_be_read(lines[start:number]):
            return start + 1 if _can_be_read(lines[:start]) else None
    return None


def _can_be_read(lines: list[str]) -> bool:
    try:
        data_of("\n".join(lines))
    except (ValueError, RecursionError):
        return False
    return True
