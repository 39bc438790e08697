"""What a folder remembers of the rack that was made into it, so that the next run makes only what changed.

Lines of JSON: a heading, then a line for each thing that was made, a later one in place of an earlier. While a run goes on,
lines are added, one write each, so that a run that is killed leaves at most a torn last line; at its end, and at its
beginning, the file is written anew, whole. A line carries its own checksum. What cannot be read is as good as never written:
it is made again, and no harm is done.
"""

import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from jigs import __version__
from jigs.faults import InputFaults, refuse
from jigs.press import UNFINISHED, write_all

try:
    import fcntl
except ImportError:  # a system without such locks
    fcntl = None  # type: ignore[assignment]

NAME = "rack-state.jsonl"
PREFIX = ".rack-"
"""How a rack's unfinished files begin."""

_HEADING = b'{"state": "bridge-jigs rack 1"}\n'
_LARGEST_BYTES = 1 << 28


@dataclass(frozen=True)
class Record:
    """One thing that was made: from what (``key``), into which files, with their hashes.

    ``older``: files of earlier runs that it no longer has. ``more``: what later steps need of it.
    """

    key: str
    files: Mapping[str, str]
    older: tuple[str, ...] = ()
    more: Mapping[str, Any] = field(default_factory=dict)


def digest(*parts: bytes | str) -> str:
    """A hash of parts, each with its length, so that nothing can move from one to the next."""
    whole = hashlib.sha256()
    for part in parts:
        raw = part.encode() if isinstance(part, str) else part
        whole.update(f"{len(raw)}:".encode())
        whole.update(raw)
    return whole.hexdigest()


@cache
def program() -> str:
    """The version of this program: its number and its own text, which changes more often."""
    here = Path(__file__).parent
    texts = [path for folder in (here, here.parent / "geometry") for path in sorted(folder.rglob("*.py"))]
    return digest(__version__, *(path.read_bytes() for path in texts))


def intact(files: Mapping[str, str], folder: Path) -> bool:
    """Whether files are there, and as they were written."""
    try:
        return all(hashlib.sha256((folder / name).read_bytes()).hexdigest() == found for name, found in files.items())
    except OSError:
        return False


@contextmanager
def only_rack(folder: Path) -> Iterator[None]:
    """Hold a folder for one rack at a time, and clear away what a killed one left unfinished.

    Makes the folder, and takes it away again if nothing came into it. Raises `InputFaults`.
    """
    made = [path for path in (folder, *folder.parents) if not path.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(folder, os.O_RDONLY) if fcntl is not None else None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise refuse(str(folder), f"cannot be written ({reason}); give another folder with --out") from None
    try:
        if handle is not None:
            _lock(handle, folder)
        for path in folder.glob(f"{PREFIX}*{UNFINISHED}"):
            with suppress(OSError):
                path.unlink()
        yield
    finally:
        if handle is not None:
            os.close(handle)
        for path in made:
            with suppress(OSError):
                path.rmdir()


def _lock(handle: int, folder: Path) -> None:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        what = "another rack is being made in this folder; wait for it, or give another folder with --out"
        raise refuse(str(folder), what) from None
    except OSError:
        return  # a file system without locks


def _read(folder: Path) -> dict[str, Record]:
    """What a folder remembers: nothing where there is no such file, where it is somebody else's, or beyond reading."""
    path = folder / NAME
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            return {}
        content = path.read_bytes()
    except OSError:
        return {}
    if not content.startswith(_HEADING):
        return {}
    found: dict[str, Record] = {}
    for line in content.split(b"\n")[1:]:
        with suppress(ValueError, LookupError, TypeError, AttributeError, RecursionError):
            data = json.loads(line)
            what, checksum = data.pop("what"), data.pop("checksum")
            record = Record(**{**data, "older": tuple(data["older"])})
            if _checksum(what, record) == checksum and all(Path(name).name == name for name in record.files):
                found[what] = record
    return found


def _line(what: str, record: Record) -> bytes:
    data = {"what": what, "checksum": _checksum(what, record), **asdict(record)}
    return json.dumps(data, ensure_ascii=False, allow_nan=False).encode() + b"\n"


def _checksum(what: str, record: Record) -> str:
    return digest(what, json.dumps(asdict(record), sort_keys=True))[:16]


def _whole(records: Mapping[str, Record]) -> bytes:
    return _HEADING + b"".join(_line(*one) for one in sorted(records.items()))


class Records(dict[str, Record]):
    """What is remembered, by what it is; `add` puts it into the file at once."""

    def __init__(self, folder: Path, known: Mapping[str, Record], handle: int) -> None:
        super().__init__(known)
        self._folder, self._handle = folder, handle

    def add(self, what: str, record: Record) -> None:
        """Add a line. It need not be on the disk at once: a line that is lost costs nothing but to make a thing again.

        Raises `InputFaults`.
        """
        try:
            os.write(self._handle, _line(what, record))
        except OSError as error:
            raise _unwritable(self._folder, error) from None
        self[what] = record


@contextmanager
def open_state(folder: Path) -> Iterator[Records]:
    """What a folder remembers, to add to; written anew when it is left, gone if there is nothing. Raises `InputFaults`."""
    path, known = folder / NAME, _read(folder)
    if not path.is_file() or path.read_bytes() != _whole(known):
        write_all({NAME: _whole(known)}, folder, PREFIX)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_APPEND)
    except OSError as error:
        raise _unwritable(folder, error) from None
    records = Records(folder, known, handle)
    try:
        yield records
    finally:
        os.close(handle)
        if not records:
            path.unlink(missing_ok=True)
        elif records != known:
            write_all({NAME: _whole(records)}, folder, PREFIX)


def _unwritable(folder: Path, error: OSError) -> InputFaults:
    return refuse(str(folder / NAME), f"cannot be written ({error.strerror}); give another folder with --out")
