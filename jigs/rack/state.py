"""What a folder remembers of the rack that was drawn into it, so that the next run draws only what changed.

Lines of JSON: a heading, then a line for each thing that was made; a later line replaces an earlier one. A run adds lines,
one write each, so that a run that is killed leaves at most a torn last line. At its beginning and at its end the file is
rewritten, whole. Each line has its own checksum. A line that cannot be read is ignored, and its thing is drawn again.
"""

import hashlib
import json
import os
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from jigs import __version__
from jigs.faults import InputFaults, Place
from jigs.input.regular_files import regular_bytes
from jigs.rack import words
from jigs.system.locks import HAS_LOCKS, Held, lock
from jigs.system.own_files import TABLES
from jigs.system.whole_files import UNFINISHED, make_folders, reason_of, write_all
from jigs.system.words import anothers_file, unwritable

PACKAGES = ("jigs", "geometry")
"""The packages whose text decides what is drawn."""

NAME = "rack-state.jsonl"
INDEX = "index"
"""What the files about the whole rack are remembered as."""

PREFIX = ".rack-"
"""How a rack's unfinished files begin."""

_HEADING = b'{"state": "bridge-jigs rack 1"}\n'
_CHECKED, _DIGITS = b'{"checksum": "%b", ', 16
_LARGEST_BYTES = 1 << 28

_UNFINISHED = re.compile(re.escape(PREFIX) + "[a-z0-9_]{8}" + re.escape(UNFINISHED))
_BEGINNINGS = (b"%PDF-", b"<?xml version=", b"  0\nSECTION\n", *TABLES.values(), _HEADING)
"""How the names of unfinished files look, and how what a rack writes begins."""


@dataclass(frozen=True)
class Record:
    """One thing that was made: from what (``key``), into which files, with their hashes.

    ``older``: files of earlier runs that it no longer has. ``more``: what later steps need from it.
    """

    key: str
    files: Mapping[str, str]
    older: tuple[str, ...] = ()
    more: Mapping[str, Any] = field(default_factory=dict)


def of_instrument(stem: str) -> str:
    """What the files of an instrument are remembered as; ``stem``: how their names begin."""
    return f"instrument {stem}"


def digest(*parts: bytes | str) -> str:
    """A hash of parts, each with its length, so that nothing can move from one to the next."""
    whole = hashlib.sha256()
    for part in parts:
        raw = part.encode(errors="surrogatepass") if isinstance(part, str) else part
        whole.update(f"{len(raw)}:".encode())
        whole.update(raw)
    return whole.hexdigest()


@cache
def program() -> str:
    """The version of this program: a hash of its number and of its own text, which changes more often."""
    packages = (Path(str(resources.files(name))) for name in PACKAGES)
    texts = [path for package in packages for path in sorted(package.rglob("*.py"))]
    return digest(__version__, *(path.read_bytes() for path in texts))


def intact(files: Mapping[str, str], folder: Path) -> bool:
    """Whether files exist, and are as they were written."""
    try:
        return all(hashlib.sha256(regular_bytes(folder / name)).hexdigest() == digest for name, digest in files.items())
    except OSError:
        return False


@contextmanager
def only_rack(folder: Path) -> Iterator[None]:
    """Hold a folder for one rack at a time, and delete what a killed run left unfinished.

    Makes the folder, and removes it again if nothing was written to it. Raises `InputFaults`.
    """
    made: list[Path] = []
    try:
        made = make_folders(folder)
        handle = os.open(folder, os.O_RDONLY) if HAS_LOCKS else None
    except (OSError, ValueError) as error:
        raise unwritable(reason_of(error)).refusal(Place(str(folder))) from None
    try:
        if handle is not None:
            _hold(handle, folder)
        _delete_unfinished(folder)
        yield
    finally:
        if handle is not None:
            os.close(handle)
        for path in made:
            with suppress(OSError):
                path.rmdir()


def _hold(handle: int, folder: Path) -> None:
    try:
        lock(handle)
    except Held:
        raise words.folder_in_use().refusal(Place(str(folder))) from None


def _delete_unfinished(folder: Path) -> None:
    """Delete what a killed run left: by its name and by its beginning, so that no file of the user's is among it."""
    for path in folder.glob(f"{PREFIX}*{UNFINISHED}"):
        with suppress(OSError, ValueError):
            if _UNFINISHED.fullmatch(path.name) and _begins_as_ours(path):
                path.unlink()


def _begins_as_ours(path: Path) -> bool:
    head = regular_bytes(path, max(map(len, _BEGINNINGS)))
    return any(head.startswith(one) or one.startswith(head) for one in _BEGINNINGS)


def _content(folder: Path) -> bytes:
    path = folder / NAME
    try:
        return regular_bytes(path, _LARGEST_BYTES)
    except FileNotFoundError:
        return b""
    except (OSError, ValueError) as error:
        raise unwritable(reason_of(error)).refusal(Place(str(path))) from None


def _own_content(folder: Path) -> bytes:
    """The state's file, however damaged. Raises `InputFaults` for a file of that name from elsewhere."""
    content = _content(folder)
    if content.strip(b"\0 \r\n") and _HEADING not in content and not _known(_HEADING + content):
        raise anothers_file().refusal(Place(str(folder / NAME)))
    return content


def _known(content: bytes) -> dict[str, tuple[Record, bytes]]:
    """What is remembered, with its lines: nothing if the file is not a rack's, and no line that is torn."""
    if not content.startswith(_HEADING):
        return {}
    known: dict[str, tuple[Record, bytes]] = {}
    for line in content[len(_HEADING) :].splitlines(keepends=True):
        body = b"{" + line[len(_CHECKED % b"") + _DIGITS :]
        if line != _checked(body):
            continue
        with suppress(ValueError, LookupError, TypeError, AttributeError, RecursionError):
            data = json.loads(body)
            what = data.pop("what")
            record = Record(**{**data, "older": tuple(data["older"])})
            if _has_its_shape(what, record):
                known[what] = record, line
    return known


def _has_its_shape(what: object, record: Record) -> bool:
    """Whether a line says what a line of this program says, of files in the folder only."""
    texts = (what, record.key, *record.files, *record.files.values(), *record.older)
    own = all(isinstance(text, str) for text in texts) and isinstance(record.more, dict)
    return own and all(Path(name).name == name for name in (*record.files, *record.older))


def remembered(folder: Path) -> dict[str, Record]:
    """What a folder remembers, to read only: a rack may be writing to it meanwhile."""
    try:
        content = _content(folder)
    except InputFaults:
        return {}
    return {what: record for what, (record, _) in _known(content).items()}


def _line(what: str, record: Record) -> bytes:
    data = {"what": what, "key": record.key, "files": record.files, "older": record.older, "more": record.more}
    return _checked(json.dumps(data, ensure_ascii=False, allow_nan=False).encode(errors="backslashreplace") + b"\n")


def _checked(body: bytes) -> bytes:
    """A line with its checksum at its head."""
    return _CHECKED % digest(body)[:_DIGITS].encode() + body[1:]


class Unwritable(InputFaults):
    """What was made cannot be remembered: a fault of the folder, and of no file in it."""


class Records(dict[str, Record]):
    """What is remembered, by what it is; `add` writes it to the file at once."""

    def __init__(self, folder: Path, known: Mapping[str, tuple[Record, bytes]]) -> None:
        super().__init__((what, record) for what, (record, _) in known.items())
        self._folder, self._lines = folder, {what: line for what, (_, line) in known.items()}
        self._handle: int | None = None

    @property
    def content(self) -> bytes:
        """The file as it should be: the same for the same things, in whatever order they were made."""
        return _HEADING + b"".join(line for _, line in sorted(self._lines.items()))

    def add(self, what: str, record: Record) -> None:
        """Add a line. It is not forced to the disk: if a line is lost, one thing is drawn again. Raises `Unwritable`."""
        self._lines[what] = _line(what, record)
        self[what] = record
        try:
            if self._handle is None:
                flags = os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0)
                self._handle = os.open(self._folder / NAME, flags)
            os.write(self._handle, self._lines[what])
        except OSError as error:
            raise Unwritable([unwritable(reason_of(error)).at(Place(str(self._folder)))]) from None

    def close(self) -> None:
        """Close the file; nothing can be added afterwards."""
        if self._handle is not None:
            os.close(self._handle)


@contextmanager
def open_state(folder: Path) -> Iterator[Records]:
    """What a folder remembers, to add to. At the end the file is rewritten, or deleted if empty. Raises `InputFaults`."""
    path, before = folder / NAME, _own_content(folder)
    records = Records(folder, _known(before))
    if records.content != before:
        write_all({NAME: records.content}, folder, PREFIX, ours=True)
        before = records.content
    try:
        yield records
    finally:
        records.close()
        if not records:
            path.unlink(missing_ok=True)
        elif records.content != before:
            write_all({NAME: records.content}, folder, PREFIX, ours=True)
