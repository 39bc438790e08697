"""A folder for the files of a target, in memory where the system has a place for that."""

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

_IN_MEMORY = Path("/dev/shm")


@cache
def scratch():
    """The folder; removed at the end."""
    made = Path(tempfile.mkdtemp(prefix="fuzz-", dir=_IN_MEMORY if _IN_MEMORY.is_dir() else None))
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    return made
