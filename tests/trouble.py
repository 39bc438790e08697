"""Trouble for tests of what is lost: small disks of their own, Ctrl-C that is heard, and a command to be stopped."""

import os
import resource
import signal
import subprocess
import sys
from contextlib import contextmanager

import pytest
from samples import ROOT


def mount(*arguments):
    return subprocess.run(["mount", *map(str, arguments)], capture_output=True, check=False).returncode == 0


@contextmanager
def disk(folder, size=16 << 20):
    """A file system of its own at ``folder``, of so many bytes. Skips the test where the user may not mount one."""
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


@contextmanager
def heard():
    """A shell may start the tests deaf to Ctrl-C. What they start would be deaf too."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def started(folder, *command, limit=None):
    """``jigs`` at work in a folder, in a process of its own. ``limit``: bytes beyond which no file may grow."""
    process = subprocess.Popen(
        [sys.executable, "-m", "jigs", *command],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    if limit is not None:
        resource.prlimit(process.pid, resource.RLIMIT_FSIZE, (limit, limit))
    return process
