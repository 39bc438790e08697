"""A page of text that somebody typed: from a file to a string, and every way that goes wrong in a sentence."""

import tomllib
from pathlib import Path
from typing import Any

from jigs.faults import InputFaults, refuse

LARGEST_FILE_BYTES = 1 << 20
_LONGEST_QUOTE = 40


def read_bytes(path: Path, kind: str, remedy: str) -> bytes:
    """A file's bytes, or a byte more than the largest that is read. ``kind``: what it should be, as in "survey file".

    Raises `InputFaults`; ``remedy`` is what to do where there is none.
    """
    source = str(path)
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise refuse(source, f"there is no such file; {remedy}") from None
    except IsADirectoryError:
        raise refuse(source, f"is a folder; name the {kind} in it") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise refuse(source, f"cannot be read ({reason}); check its name and permissions") from None


def decode(raw: bytes, source: str, kind: str, remedy: str) -> str:
    """Bytes as text, line ends as they come. Raises `InputFaults`; ``remedy`` is what to do with an empty file."""
    if len(raw) > LARGEST_FILE_BYTES:
        raise refuse(source, f"is larger than a megabyte; {_article(kind)} {kind} is a page of text")
    try:
        text = raw.decode("utf-8-sig")
        if "\0" in text:
            raise UnicodeDecodeError("utf-8", raw, raw.index(b"\0"), raw.index(b"\0") + 1, "no text")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise refuse(source, "is not UTF-8 text; save it as plain text in UTF-8", f"line {line}") from None
    if not text.strip():
        raise refuse(source, f"is empty; {remedy}")
    return text


def _article(word: str) -> str:
    return "an" if word[:1] in "aeiou" else "a"


def parse_toml(text: str, source: str, example: str, remedy: str) -> dict[str, Any]:
    """A TOML text's data, for people who never heard of TOML. Raises `InputFaults`.

    ``example`` is a line as it should be; ``remedy`` is what to do with a text that nobody would write.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _broken(str(error), text, source, example) from None
    except (RecursionError, ValueError):
        raise refuse(source, f"is nested or long beyond reading; {remedy}") from None


def _broken(error: str, text: str, source: str, example: str) -> InputFaults:
    lines = text.splitlines()
    _, _, place = error.rpartition("(at line ")
    number = int(place.split(",")[0]) if place[:1].isdigit() else len(lines)
    line = lines[min(number, len(lines)) - 1].strip()
    quoted = f"`{line if len(line) <= _LONGEST_QUOTE else line[:_LONGEST_QUOTE] + '…'}` cannot be read"
    if any(word in error for word in ("overwrite", "declare", "mutate")):
        remedy = (
            "is this table written twice? join the two; a table that comes several times stands in double brackets, [[ ]]"
            if line.startswith("[")
            else "is this key written twice? keep one of the two"
        )
    elif any(mark in line for mark in "“”„‘’"):
        remedy = 'curly quotes; write straight ones: "'
    else:
        remedy = f"text and lengths with a unit stand in quotes, as in {example}; a decimal point is a point"
    return refuse(source, f"{quoted}; {remedy}", f"line {number}")
