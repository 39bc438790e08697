"""Small disks of their own, for tests of what a full or sealed one loses."""

import os
import resource
import subprocess
from contextlib import contextmanager

import pytest


def mount(*arguments):
    return subprocess.run(["mount", *map(str, arguments)], capture_output=True, check=False).returncode == 0


@contextmanager
def disk(folder, size="16m"):
    """A file system of its own at ``folder``. Skips the test where the user may not mount one."""
    folder.mkdir()
    if os.geteuid() != 0 or not mount("-t", "tmpfs", "-o", f"size={size}", "tmpfs", folder):
        folder.rmdir()
        pytest.skip("only root may mount a small disk here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", folder], check=True)
        folder.rmdir()


def fill(path, pages):
    """Fill a disk except for some pages."""
    page = resource.getpagesize()
    with path.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(b"x" * page)
        except OSError:
            pass
        file.truncate(max(0, file.tell() // page - pages) * page)
