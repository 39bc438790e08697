"""A folder for the files of a target, in memory where the system has a place for that; and for settings of its own."""

import atexit
import os
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


def own_settings():
    """From now on, the user's settings, printers and instruments are in this folder: none of the real ones is touched."""
    for kind in ("CONFIG", "DATA", "STATE"):
        os.environ[f"XDG_{kind}_HOME"] = str(scratch() / kind.lower())
