"""Locks on files and folders, so that two runs do not write one at once. A system without locks goes without."""

import contextlib
import os
import sys
from pathlib import Path

try:
    import fcntl
except ImportError:  # a system without such locks
    fcntl = None  # type: ignore[assignment]

HAS_LOCKS = fcntl is not None


class Held(Exception):
    """Another process holds the lock."""


def lock(handle: int, wait: bool = False) -> None:
    """Take the lock of an open file or folder, if the system has locks. Raises `Held`, unless it may ``wait``."""
    if sys.platform == "win32" or fcntl is None:
        return
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        raise Held from None
    except OSError:
        if wait:
            raise


def wait_for_writer(handle: int) -> None:
    """Wait until no other run holds the lock of an open file that is only to be read, and keep others from taking it."""
    if sys.platform == "win32" or fcntl is None:
        return
    with contextlib.suppress(OSError):  # some file systems have no locks, and reading does no harm
        fcntl.flock(handle, fcntl.LOCK_SH)


def open_locked(path: Path, make: bool = True, links: bool = True) -> tuple[int, bool]:
    """An open, locked file of this name, and whether it is empty. Raises OSError.

    ``make``: whether to make the file if there is none. ``links``: whether it may be a link.

    While this run waits for the lock, another run may remove the file, or an editor may replace it. Then the locked file no
    longer has this name, and the next one is tried. Without locks nothing is waited for.
    """
    flags = (
        os.O_RDWR
        | os.O_APPEND
        | (os.O_CREAT if make else 0)
        | (0 if links else getattr(os, "O_NOFOLLOW", 0))
        | getattr(os, "O_NONBLOCK", 0)
        | getattr(os, "O_BINARY", 0)
    )
    while True:
        handle = os.open(path, flags, 0o666)
        try:
            lock(handle, wait=True)
            own, named = os.fstat(handle), os.stat(path)
            if not HAS_LOCKS or (own.st_dev, own.st_ino) == (named.st_dev, named.st_ino):
                return handle, own.st_size == 0
        except FileNotFoundError:
            pass
        except OSError:
            os.close(handle)
            raise
        os.close(handle)
