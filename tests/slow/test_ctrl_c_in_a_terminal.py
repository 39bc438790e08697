"""Ctrl-C typed in a terminal of its own: the system sends it to the program and to every process that it has started."""

import os
import random
import select
import sys
import time
from contextlib import suppress

import pytest
from samples import ROOT

from jigs.instrument.opening import preset_text

pty = pytest.importorskip("pty")

pytestmark = pytest.mark.slow

SEED = int(os.environ.get("JIGS_SEED", "0"))
LONGEST_S = 60
CTRL_C = b"\x03"
TIMES, WITHIN_S = 6, 2.5


def typed_at(folder, command, awaited, wait_s):
    """Type Ctrl-C so long after the program has said something: its exit status, what it said, and its process."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder)
        os.environ |= {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", "TERM": "dumb"}
        os.execv(sys.executable, [sys.executable, "-m", "jigs", *command])
    said, at, end = b"", None, time.monotonic() + LONGEST_S
    try:
        while time.monotonic() < end:
            if select.select([terminal], [], [], 0.02)[0]:
                try:
                    said += os.read(terminal, 4096)
                except OSError:  # the terminal's other end is closed: all are gone
                    break
            if at is None and awaited in said:
                at = time.monotonic() + wait_s
            if at is not None and time.monotonic() >= at:
                os.write(terminal, CTRL_C)
                at = float("inf")
        _, status = os.waitpid(pid, 0)
    finally:
        os.close(terminal)
    return os.waitstatus_to_exitcode(status), said.decode(), pid


def assert_all_gone(group):
    end = time.monotonic() + 10
    with suppress(ProcessLookupError):
        while time.monotonic() < end:
            os.killpg(group, 0)
            time.sleep(0.05)
        raise AssertionError("processes are left behind")


def test_page_ends_without_a_word(tmp_path):
    dice = random.Random(SEED)
    for time_no in range(TIMES):
        wait_s = (time_no + dice.random()) / TIMES * WITHIN_S
        status, said, pid = typed_at(tmp_path, ["page", "--no-browser", "--port", "0"], b"Ctrl-C", wait_s)
        lines = [line for line in said.replace("^C", "").splitlines() if line.strip()]
        assert (status, len(lines)) == (0, 1), (wait_s, said)
        assert_all_gone(pid)


def test_rack_ends_with_one_sentence(tmp_path):
    (tmp_path / "in").mkdir()
    for n in range(80):
        (tmp_path / "in" / f"banjo-{n}.toml").write_text(preset_text("banjo"), encoding="utf-8")
    dice, stopped = random.Random(SEED), 0
    for time_no in range(3):
        wait_s = (time_no + dice.random()) / 3
        command = ["rack", "in", "--jobs", "2", "--force"]
        status, said, pid = typed_at(tmp_path, command, b"rack", wait_s)
        assert "Traceback" not in said, (wait_s, said)
        assert "SpawnProcess" not in said, (wait_s, said)
        assert status == 1 or "80 drawn" in said, (wait_s, status, said)
        assert_all_gone(pid)
        stopped += status
    assert stopped, "Ctrl-C never came in time"
