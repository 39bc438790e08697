"""A new instrument file: its name is checked before anything is asked, and it is written whole, over no other file."""

import errno
import os
from pathlib import Path

from jigs.faults import Place, Says
from jigs.instrument import asking_words as words
from jigs.system.names import is_kept_for_a_device, refused_character
from jigs.system.whole_files import write_own

SUFFIX, _EXAMPLE = ".toml", "mine.toml"


def check_new(path: Path) -> None:
    """Raises `InputFaults` if no new instrument file can have this name, as far as can be known before it is written."""
    if path.suffix.lower() != SUFFIX:
        raise words.no_toml(str(_with_suffix(path))).refusal(_at(path))
    if is_kept_for_a_device(path.name):
        raise words.reserved(path.stem.rstrip()).refusal(_at(path))
    if refused := refused_character(path.name):
        raise words.odd_character(refused).refusal(_at(path))
    try:
        if os.path.lexists(path):
            raise _taken(path).refusal(_at(path))
        path.lstat()
    except FileNotFoundError:
        pass
    except (OSError, ValueError) as error:
        raise words.unwritable(_reason(error)).refusal(_at(path)) from None
    folder = next((one for one in path.absolute().parents if one.exists()), None)  # none on a drive that is not there
    if folder is None:
        raise words.unwritable(os.strerror(errno.ENOENT)).refusal(_at(path))
    if not os.access(folder, os.W_OK | os.X_OK):
        raise words.unwritable(os.strerror(errno.EACCES)).refusal(_at(path))


def _with_suffix(path: Path) -> Path:
    """What this path may have meant, as an instrument file is called. Some systems drop a dot or a space at the end."""
    if path.is_dir() or not path.name:
        return path / _EXAMPLE
    kept = path.name.rstrip(" .") or path.name
    named = path.with_name(kept)
    return named if named.suffix.lower() == SUFFIX else path.with_name(f"{kept}{SUFFIX}")


def write_new(text: str, path: Path) -> None:
    """Write it. Raises `InputFaults`, also if another run wrote a file of that name meanwhile."""
    try:
        write_own(text.encode(), path, over=False, private=False)
    except FileExistsError:
        raise _taken(path).refusal(_at(path)) from None
    except OSError as error:
        raise words.unwritable(_reason(error)).refusal(_at(path)) from None


def _at(path: Path) -> Place:
    return Place(str(path))


def _taken(path: Path) -> Says:
    """That this name is taken, and one that is not."""
    if path.is_dir():
        return words.folder_of_that_name()
    number = next(n for n in range(2, 10**6) if not os.path.lexists(path.with_name(f"{path.stem}-{n}{path.suffix}")))
    return words.name_taken(f"{path.with_name(f'{path.stem}-{number}{path.suffix}')}")


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)
