"""Files opened to be read, and nothing that makes a reader wait for ever: no pipe with a name, no device."""

import os
import stat
from pathlib import Path
from typing import BinaryIO

from jigs.input.words import NOT_A_FILE

_HANDED_OVER = ("/dev/stdin", "/dev/fd/", "/proc/self/fd/")
"""What a shell hands over, such as the output of the command before: it ends when that does."""


def open_regular(path: Path) -> BinaryIO:
    """A regular file, or what a shell handed over, to read. Raises OSError for anything else, at once."""
    if str(path).startswith(_HANDED_OVER):
        return path.open("rb")
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        mode = os.fstat(handle).st_mode
        if stat.S_ISDIR(mode):
            raise IsADirectoryError
        if not stat.S_ISREG(mode):
            raise OSError(0, NOT_A_FILE)
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def regular_bytes(path: Path, most: int = -1) -> bytes:
    """A regular file's bytes, or as many as ``most``. Raises OSError."""
    with open_regular(path) as file:
        return file.read(most)
