"""The user's instruments in one folder: what is in it, and how files are opened, saved and copied so that nothing is lost.

The files are those of the command line, and so are the folder of drawings in it and the logs beside them. Only regular files
directly in the folder count: no links, no hidden files, no folders. A file's stamp is the hash of its bytes. A file is saved
only over the bytes that it was opened with, under the lock that other runs of this program also take.
"""

import hashlib
import os
import stat
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from itertools import count
from pathlib import Path

from jigs.faults import Fault, InputFaults, Place
from jigs.input.text import decode
from jigs.input.toml import data_of, document_of
from jigs.instrument.file import KIND, REMEDY, parse
from jigs.instrument.found import Found
from jigs.instrument.keys import LONGEST_NAME
from jigs.instrument.opening import stem_for
from jigs.rack import shelf_words as words
from jigs.rack.files import Source, as_counted, read_instrument_data
from jigs.rack.last_reading import last_reading, log_beside
from jigs.rack.rows import LastReading
from jigs.rack.words import kind_in_words
from jigs.system.names import own_name
from jigs.system.whole_files import file_stem, rewrite, write_own
from jigs.system.words import NOT_A_FILE
from jigs.workup.work_up import work_up

SUFFIX = ".toml"
MOST_LISTED = 500
LARGEST_KIB = 32
"""An instrument file of 24 strings with every key has 8 KiB."""

_LARGEST_BYTES = LARGEST_KIB << 10
LONGEST_STEM = 60
_LONGEST_STEM_BYTES = 180
"""The names of the drawings go on from it, and most systems take 255 bytes."""

_NO_LINKS = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class Why(StrEnum):
    """Why a file was not saved."""

    TAKEN = "taken"
    CHANGED = "changed"
    GONE = "gone"


class Conflict(Exception):
    """A save that would have lost what another wrote. Nothing was written; ``free`` is a name to save beside it."""

    def __init__(self, why: Why, free: str) -> None:
        super().__init__(why, free)
        self.why, self.free = why, free


@dataclass(frozen=True)
class Entry:
    """A file of the shelf, and what is known of the instrument in it; ``faults`` if it has none that can be drawn.

    ``kind``: in words. ``found``: its place found by ear. ``outer``: the numbers of its outer strings. ``last``: the last
    step of the log beside it. ``is_text``: whether it can be opened, whatever its faults.
    """

    file: str
    stamp: str = ""
    is_text: bool = False
    faults: tuple[Fault, ...] = ()
    name: str = ""
    kind: str = ""
    found: Found | None = None
    outer: tuple[int, int] = (0, 0)
    last: LastReading | None = None


@dataclass(frozen=True)
class Opened:
    """A file's text, and the stamp to save it with."""

    file: str
    text: str
    stamp: str


def stamp_of(content: bytes) -> str:
    """The stamp of a file with this content."""
    return hashlib.sha256(content).hexdigest()


def names(folder: Path) -> list[str]:
    """The names of the shelf's files in their order; none if there is no folder yet. Raises `InputFaults`."""
    try:
        with os.scandir(folder) as entries:
            return sorted((entry.name for entry in entries if _belongs(entry)), key=as_counted)
    except FileNotFoundError:
        return []
    except (OSError, ValueError) as error:
        raise words.folder_unreadable(_reason(error)).refusal(Place()) from None


def _belongs(entry: "os.DirEntry[str]") -> bool:
    name = entry.name
    if not name.lower().endswith(SUFFIX) or name.startswith(".") or not _is_text(name):
        return False
    return entry.is_file(follow_symlinks=False)


def _is_text(name: str) -> bool:
    """Whether a name can be written in UTF-8, as requests are."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def read_regular(path: Path, most: int) -> bytes:
    """A regular file's bytes, or one more than ``most``. Raises OSError for a link, a pipe, a device."""
    handle = os.open(path, _NO_LINKS)
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(0, NOT_A_FILE)
        return file.read(most + 1)


def _read(folder: Path, file: str) -> bytes:
    """The bytes of a file that the shelf lists. Raises `InputFaults`."""
    try:
        raw = read_regular(folder / file, _LARGEST_BYTES)
    except FileNotFoundError:
        raise words.not_there(file).refusal(Place()) from None
    except (OSError, ValueError) as error:
        raise words.file_unreadable(_reason(error)).refusal(Place(file)) from None
    if len(raw) > _LARGEST_BYTES:
        raise words.too_large(LARGEST_KIB).refusal(Place(file))
    return raw


def _known(folder: Path, file: str) -> str:
    """The name, if the shelf lists it: no other becomes a path. Raises `InputFaults`."""
    if file not in names(folder):
        raise words.not_there(file).refusal(Place())
    return file


# ---- what is on it


def entries(folder: Path) -> tuple[list[Entry], int]:
    """What is on the shelf, and how many more files there are than are listed. Raises `InputFaults`."""
    files = names(folder)
    return [_entry(folder, file) for file in files[:MOST_LISTED]], max(0, len(files) - MOST_LISTED)


def _entry(folder: Path, file: str) -> Entry:
    try:
        entry = _summary(_read(folder, file), file)
    except InputFaults as wrong:
        return Entry(file, faults=wrong.faults)
    path = folder / file
    if entry.faults or log_beside(path).is_symlink():
        return entry
    last, _ = last_reading(path, entry.name, entry.outer)
    return replace(entry, last=last)


@lru_cache(maxsize=MOST_LISTED)
def _summary(raw: bytes, file: str) -> Entry:
    """What a file says. A worker remembers it, because most files are as they were."""
    entry = Entry(file, stamp_of(raw))
    try:
        decode(raw, file, KIND, REMEDY)
        entry = replace(entry, is_text=True)
        if read_instrument_data(raw, Source(Path(file), named=False)) is None:
            return replace(entry, faults=(words.another_file().at(Place(file)),))
        workup = work_up(parse(raw, file))
    except InputFaults as wrong:
        return replace(entry, faults=wrong.faults)
    instrument = workup.instrument
    in_courses = any(string.pair for string in instrument.strings)
    treble, bass = workup.outer_strings
    return replace(
        entry,
        name=instrument.name,
        kind=kind_in_words(instrument.head.kind, len(instrument.strings), in_courses),
        found=instrument.found if instrument.found.is_given else None,
        outer=(treble + 1, bass + 1),
    )


def opened(folder: Path, file: str) -> Opened:
    """A file's text, whatever its faults. Raises `InputFaults` for one that is not text, and for an unknown name."""
    raw = _read(folder, _known(folder, file))
    return Opened(file, decode(raw, file, KIND, REMEDY), stamp_of(raw))


# ---- saving


def stem_of(name: str) -> str:
    """The first part of a file's name for an instrument of this name.

    >>> stem_of("Loan banjo 7"), stem_of("../.."), stem_of("CON"), len(stem_of("x" * 99))
    ('loan-banjo-7', 'instrument', 'con-1', 60)
    """
    stem = file_stem(name)[:LONGEST_STEM].encode()[:_LONGEST_STEM_BYTES].decode(errors="ignore").rstrip("-")
    return own_name(stem)


def read_name(typed: str) -> str:
    """The name of a new file as a user typed it, with or without its ending. Raises `InputFaults`.

    >>> read_name(" Loan-banjo-7 "), read_name("loan-banjo-7.toml")
    ('Loan-banjo-7.toml', 'loan-banjo-7.toml')
    """
    plain = unicodedata.normalize("NFC", typed.strip())
    stem = plain[: -len(SUFFIX)] if plain.lower().endswith(SUFFIX) else plain
    if stem_of(stem) != stem.lower():
        raise words.no_file_name(typed, stem_of(stem)).refusal(Place(option="file"))
    return f"{stem}{SUFFIX}"


def free_name(folder: Path, stem: str) -> str:
    """The first name from this stem that no file has, nor any file's drawings. Raises `InputFaults`."""
    return next(_free_names(folder, stem))


def _free_names(folder: Path, stem: str) -> Iterator[str]:
    taken = _taken_stems(folder)
    for number in count(1):
        one = stem if number == 1 else f"{stem}-{number}"
        if file_stem(one).casefold() not in taken:
            yield f"{one}{SUFFIX}"


def _taken_stems(folder: Path) -> set[str]:
    """How the drawings of files begin that have the ending of an instrument's, links and folders among them."""
    try:
        found = os.listdir(folder)
    except FileNotFoundError:
        return set()
    except (OSError, ValueError) as error:
        raise words.folder_unreadable(_reason(error)).refusal(Place()) from None
    return {stem_for(name).casefold() for name in found if name.lower().endswith(SUFFIX)}


def save(folder: Path, file: str, content: bytes, stamp: str) -> str:
    """Save a file whole: over the bytes with this ``stamp``, or as a new file if that is empty. The stamp that it now has.

    Raises `Conflict` if the file is not as it was, or the name is not free, and `InputFaults`.
    """
    present = names(folder)
    if not stamp:
        _add(folder, file, content, present)
        return stamp_of(content)
    if file not in present:
        raise Conflict(Why.GONE, free_name(folder, stem_of(Path(file).stem)))

    def change(raw: bytes) -> bytes:
        if stamp_of(raw) not in (stamp, stamp_of(content)):
            raise Conflict(Why.CHANGED, free_name(folder, stem_of(Path(file).stem)))
        return content

    try:
        rewrite(folder / file, change, links=False)
    except InputFaults as refused:
        if file not in names(folder):
            raise Conflict(Why.GONE, free_name(folder, stem_of(Path(file).stem))) from None
        raise InputFaults([fault.at(source=file) for fault in refused.faults]) from None
    return stamp_of(content)


def _add(folder: Path, file: str, content: bytes, present: list[str]) -> None:
    """Save a new file; the same once more changes nothing."""
    stem = Path(file).stem
    if file in present and _read(folder, file) == content:
        return
    if file_stem(stem).casefold() in _taken_stems(folder) or not _written(folder, file, content):
        raise Conflict(Why.TAKEN, free_name(folder, stem_of(stem)))


def _written(folder: Path, file: str, content: bytes) -> bool:
    """Write a new file; False if another has its name by now. Raises `InputFaults`."""
    try:
        write_own(content, folder / file, over=False, private=False)
    except FileExistsError:
        return False
    except (OSError, ValueError) as error:
        raise words.folder_unwritable(_reason(error)).refusal(Place()) from None
    return True


def copy(folder: Path, file: str) -> str:
    """Copy a file under the next free name, comments and all; only the instrument's name differs. Raises `InputFaults`."""
    raw = _read(folder, _known(folder, file))
    content = _renamed(raw, file)
    for name in _free_names(folder, stem_of(Path(file).stem)):
        if _written(folder, name, content):
            return name
    raise AssertionError


def _renamed(raw: bytes, file: str) -> bytes:
    """A file with the name of a copy in it; as it was if it is faulty, or its name is not in plain sight."""
    mark = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
    from tomlkit.exceptions import TOMLKitError

    try:
        text = decode(raw, file, KIND, REMEDY)
        data = data_of(text)
        document = document_of(text)
        wanted = {**data, "name": name_of_copy(str(data["name"]))}
        document["name"] = wanted["name"]
        new = document.as_string()
        return mark + new.encode() if data_of(new) == wanted else raw
    except (InputFaults, TOMLKitError, ValueError, LookupError, TypeError, AttributeError, RecursionError):
        return raw


def name_of_copy(name: str) -> str:
    """What a copy of an instrument is called, so that their sheets differ.

    >>> name_of_copy("Loan banjo 7"), len(name_of_copy("x" * 60))
    ('Loan banjo 7 (copy)', 60)
    """
    mark = " (copy)"
    return f"{' '.join(name.split())[: LONGEST_NAME - len(mark)].rstrip()}{mark}"


def log_of(folder: Path, file: str) -> Path:
    """The log beside a file of the shelf. Raises `InputFaults` for an unknown name, and for a log that is a link."""
    log = log_beside(folder / _known(folder, file))
    if log.is_symlink() or (log.exists() and not log.is_file()):
        raise words.log_elsewhere(log.name).refusal(Place())
    return log
