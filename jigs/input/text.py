"""A page of text from the user: from a file to a string or to TOML data. Everything that goes wrong has its sentence."""

import re
import tomllib
from pathlib import Path
from typing import Any

from jigs.faults import InputFaults, Place
from jigs.input import words

LARGEST_FILE_BYTES = 1 << 20
_LONGEST_QUOTE = 40
_DECIMAL_COMMA = re.compile(r"=\s*([+-]?\d+,\d+)\b", re.ASCII)


def read_bytes(path: Path, kind: str, remedy: str) -> bytes:
    """A file's bytes, or one more than the largest file has. ``kind``: what it should be, as in "survey file".

    Raises `InputFaults`; ``remedy`` is what to do where there is none.
    """
    place = Place(str(path))
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise words.no_file(remedy).refusal(place) from None
    except IsADirectoryError:
        raise words.a_folder(kind).refusal(place) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise words.unreadable(str(reason)).refusal(place) from None


def decode(raw: bytes, source: str, kind: str, remedy: str) -> str:
    """Bytes as text, line ends as they come. Raises `InputFaults`; ``remedy`` is what to do with an empty file."""
    if len(raw) > LARGEST_FILE_BYTES:
        raise words.too_large_a_file(kind).refusal(Place(source))
    try:
        text = raw.decode("utf-8-sig")
        if "\0" in text:
            raise UnicodeDecodeError("utf-8", raw, raw.index(b"\0"), raw.index(b"\0") + 1, "no text")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise words.no_text().refusal(Place(source, line=line)) from None
    if not text.strip():
        raise words.empty(remedy).refusal(Place(source))
    return text


def parse_toml(text: str, source: str, example: str, remedy: str) -> dict[str, Any]:
    """A TOML text's data; the faults need no knowledge of TOML. Raises `InputFaults`.

    ``example`` is a line as it should be; ``remedy`` is what to do with a text that is nested too deeply.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _broken(str(error), text, source, example) from None
    except (RecursionError, ValueError):
        raise words.too_deep(remedy).refusal(Place(source)) from None


def _broken(error: str, text: str, source: str, example: str) -> InputFaults:
    lines = text.splitlines()
    _, _, place = error.rpartition("(at line ")
    line_, _, column = place.rstrip(")").partition(", column ")
    number = int(line_) if line_.isdigit() else len(lines)
    line = lines[min(number, len(lines)) - 1].strip()
    quoted = line if len(line) <= _LONGEST_QUOTE else line[:_LONGEST_QUOTE] + "…"
    if any(word in error for word in ("overwrite", "declare", "mutate")):
        remedy, code = (
            (words.TABLE_TWICE, "toml-table-twice") if line.startswith("[") else (words.KEY_TWICE, "toml-key-twice")
        )
    elif any(mark in line for mark in "“”„‘’"):
        remedy, code = words.CURLY_QUOTES, "toml-curly-quotes"
    elif comma := _DECIMAL_COMMA.search(line):
        remedy, code = words.decimal_point(comma[1]), "toml-decimal-comma"
    else:
        remedy, code = words.quotes_needed(example), "toml-unreadable"
    at = Place(source, line=number, column=int(column) if column.isdigit() else None)
    return words.broken_line(quoted, remedy, code).refusal(at)
