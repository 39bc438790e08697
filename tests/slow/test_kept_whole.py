"""An instrument file in which a place is kept: whatever happens, it is yesterday's or today's, whole.

The moments of the interrupts come from a fixed seed. ``JIGS_SEED`` moves all of them.
"""

import os
import random
import signal
import subprocess
import time
from contextlib import suppress
from pathlib import Path

import pytest
from share import share
from trouble import disk, fill, heard, started

from jigs.instrument.opening import preset_text

pytestmark = pytest.mark.slow

FIRST_SEED = int(os.environ.get("JIGS_SEED", "0"))
TIMES = share(60)
KEEP = ("keep", "banjo.toml", "--at", "670 / 671", "--date", "2026-11-25")
READ = ("--string", "1", "--harmonic", "0", "--fretted", "1", "--string", "4", "--harmonic", "0", "--fretted", "-5")


@pytest.fixture(scope="module", autouse=True)
def _listening():
    with heard():
        yield


def ended(process):
    _, said = process.communicate(timeout=120)
    return process.returncode, said


@pytest.fixture
def yesterday(tmp_path):
    path = tmp_path / "banjo.toml"
    path.write_text(preset_text("banjo"), encoding="utf-8")
    return path.read_bytes()


@pytest.fixture
def today(yesterday, tmp_path):
    assert ended(started(tmp_path, *KEEP))[0] == 0
    kept = (tmp_path / "banjo.toml").read_bytes()
    assert kept.startswith(yesterday)
    return kept


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_interrupt_at_any_moment_leaves_the_file_whole(yesterday, today, tmp_path, how):
    dice, interrupted, path = random.Random(f"{FIRST_SEED} {how}"), 0, tmp_path / "banjo.toml"
    path.write_bytes(yesterday)
    began = time.monotonic()
    assert ended(started(tmp_path, *KEEP))[0] == 0
    seconds = time.monotonic() - began
    for time_no in range(TIMES):
        path.write_bytes(yesterday)
        process = started(tmp_path, *KEEP)
        # Every other comes in the last third of a run, where it writes.
        share = dice.random() if time_no % 2 else 2 / 3 + dice.random() * 0.4
        with suppress(subprocess.TimeoutExpired):
            process.wait(seconds * share)
        process.send_signal(how)
        status, _ = ended(process)
        interrupted += status != 0
        assert path.read_bytes() in (yesterday, today), (how, time_no)
        left = [one for one in tmp_path.iterdir() if one != path]
        assert how is signal.SIGKILL or not left, left
        for one in left:
            assert one.name.endswith(".part")
            one.unlink()
    assert interrupted >= TIMES // 4, "too few runs were interrupted"
    assert ended(started(tmp_path, *KEEP))[0] == 0
    assert path.read_bytes() == today


def refused(process):
    status, said = ended(process)
    assert status == 2, said
    assert "cannot be written" in said
    assert "; " in said
    assert "Traceback" not in said


def test_full_disk_leaves_yesterdays_file(yesterday, today, tmp_path):
    with disk(tmp_path / "small") as small:
        path = Path(small) / "banjo.toml"
        path.write_bytes(yesterday)
        fill(small / "filler", 0)
        refused(started(small, *KEEP))
        assert path.read_bytes() == yesterday
        (small / "filler").unlink()
        assert ended(started(small, *KEEP))[0] == 0
        assert path.read_bytes() == today


def test_file_that_may_not_grow_stays_as_it_was(yesterday, tmp_path):
    refused(started(tmp_path, *KEEP, limit=len(yesterday) - 1000))
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("banjo.toml", yesterday)]


def test_twenty_rounds_at_once_are_all_in_the_log(yesterday, tmp_path):
    runs = [
        started(tmp_path, "readings", "banjo.toml", *READ, "--at", "670 / 671", "--log", "log.jsonl") for _ in range(20)
    ]
    assert [ended(process)[0] for process in runs] == [0] * 20
    lines = (tmp_path / "log.jsonl").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 20
    assert yesterday == (tmp_path / "banjo.toml").read_bytes()
