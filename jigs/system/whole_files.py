"""Files that are written whole or not at all."""

import errno
import os
import stat
import tempfile
import unicodedata
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

from jigs.faults import InputFaults, Place
from jigs.system import words
from jigs.system.interrupts import held_back
from jigs.system.own_files import others

UNFINISHED = ".part"
"""How the name of a file ends that is not complete yet."""


def file_stem(name: str) -> str:
    """A name as the beginning of a file name: letters and digits of any script, hyphens between.

    >>> file_stem("Loan banjo 7"), file_stem("../Ré ♭!"), file_stem("///")
    ('loan-banjo-7', 'ré', 'instrument')
    """
    plain = unicodedata.normalize("NFC", name).lower()
    words = "".join(char if char.isalnum() else " " for char in plain).split()
    return "-".join(words) or "instrument"


def write_all(files: Mapping[str, bytes], folder: Path, prefix: str = ".", ours: bool = False) -> list[Path]:
    """Write files whole or not at all: every file is complete under another name before the first gets its own.

    Stop signals (Ctrl-C) wait until all files have their names. ``prefix``: how the names of unfinished files begin.
    ``ours``: the program wrote what has these names now. Raises `InputFaults` if it did not, or if the folder cannot be
    written.
    """
    if not ours:
        refuse_others(files, folder)
    with held_back():
        return _write_all(files, folder, prefix)


def refuse_others(files: Mapping[str, bytes], folder: Path) -> None:
    """Raises `InputFaults` for every file of these names that the program did not write."""
    try:
        found = [words.anothers_file().at(Place(str(path))) for path in others(files, folder)]
    except (OSError, ValueError) as error:
        raise words.unwritable(reason_of(error)).refusal(Place(str(folder))) from None
    if found:
        raise InputFaults(found)


def reason_of(error: Exception) -> str:
    """Why the system refuses a file."""
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def make_folders(folder: Path) -> list[Path]:
    """Make a folder and those that it is in, however deep it is; those made, the deepest first. Raises OSError."""
    made = [path for path in (folder, *folder.parents) if not path.exists()]
    for path in reversed(made):
        path.mkdir(exist_ok=True)
    if not folder.is_dir():
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
    return made


def _write_all(files: Mapping[str, bytes], folder: Path, prefix: str) -> list[Path]:
    waiting: list[tuple[Path, Path]] = []
    made: list[Path] = []
    try:
        made = make_folders(folder)
        for name, content in files.items():
            place = folder / name
            if place.is_dir():
                raise words.folder_in_place().refusal(Place(str(place)))
            handle, part = tempfile.mkstemp(dir=folder, prefix=prefix, suffix=UNFINISHED)
            waiting.append((Path(part), place))
            _fill(handle, content)
            os.chmod(part, 0o666 & ~_umask())
        for part_path, place in waiting:
            _give_name(part_path, place)
    except (OSError, ValueError) as error:
        raise words.unwritable(reason_of(error)).refusal(Place(str(folder))) from None
    finally:
        for part_path, _ in waiting:
            part_path.unlink(missing_ok=True)
        for parent in made:
            _remove_if_empty(parent)
    return [place for _, place in waiting]


def _give_name(part: Path, place: Path) -> None:
    """Put a complete file in its place. Raises `InputFaults` if the file that is there has to stay, and OSError."""
    try:
        os.replace(part, place)
    except PermissionError as error:
        if not place.is_file():
            raise
        raise words.not_replaceable(error.strerror or str(error)).refusal(Place(str(place))) from None


def write_own(content: bytes, path: Path, over: bool, private: bool = True) -> None:
    """Write one file of the user's, whole, and ``private`` if it is a setting: readable by the user alone. Raises OSError.

    ``over``: whether it may replace a file of that name. If not, raises FileExistsError, also when another run writes that
    file in the meantime.
    """
    with held_back():
        make_folders(path.parent)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=UNFINISHED)
        part = Path(name)
        try:
            _fill(handle, content)
            if not private:
                os.chmod(part, 0o666 & ~_umask())
            if not over:
                _claim(part, path)
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)


def rewrite(path: Path, change: Callable[[bytes], bytes], links: bool = True) -> None:
    """Change a file of the user's, whole or not at all; it keeps its permissions, and a link to it stays a link.

    ``links``: whether ``path`` may be one. Other runs that change it wait, and then read what this one wrote. Stop signals
    (Ctrl-C) wait. Raises `InputFaults` if the file cannot be written, and what ``change`` raises, with the file as it was.
    """
    from jigs.system.locks import HAS_LOCKS, open_locked

    with held_back():
        handle = None
        try:
            real = path.resolve(strict=True) if links else path
            handle, _ = open_locked(real, make=False, links=links)
            changed, before = change(_all_of(handle)), os.fstat(handle)
            if not HAS_LOCKS:  # such a system replaces no file that is open, and nobody waits for this one
                os.close(handle)
                handle = None
            _replace(real, changed, before)
        except (OSError, ValueError) as error:
            raise words.file_unwritable(reason_of(error)).refusal(Place(str(path))) from None
        finally:
            if handle is not None:
                os.close(handle)


def _replace(path: Path, content: bytes, before: os.stat_result) -> None:
    """Put new content in a file's place, with the permissions and, where we may, the owner of what was there."""
    part, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=UNFINISHED)
    try:
        _fill(part, content)
        os.chmod(name, stat.S_IMODE(before.st_mode))
        if hasattr(os, "chown"):
            with suppress(OSError):
                os.chown(name, before.st_uid, before.st_gid)
        os.replace(name, path)
    finally:
        Path(name).unlink(missing_ok=True)


def _all_of(handle: int) -> bytes:
    """All of an open file."""
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        raise OSError(0, words.NOT_A_FILE)
    os.lseek(handle, 0, os.SEEK_SET)
    parts: list[bytes] = []
    while part := os.read(handle, 1 << 20):
        parts.append(part)
    return b"".join(parts)


def _fill(handle: int, content: bytes) -> None:
    """Write all of a file and flush it to the disk."""
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _claim(part: Path, path: Path) -> None:
    """Take a name for a complete file. Raises FileExistsError if another file has it."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except (OSError, AttributeError, NotImplementedError):  # a file system without links
        path.open("x").close()


def _remove_if_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
