"""Yesterday's files after a run that could not finish: each is yesterday's or today's, whole, and no other file is left.

The moments of the interrupts come from fixed seeds. ``JIGS_SEED`` moves all of them.
"""

import os
import random
import resource
import shutil
import signal
import subprocess
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
from samples import ROOT
from share import share
from trouble import disk, fill, heard, mount, started

from jigs import STOPPED
from jigs.instrument.opening import preset_text
from jigs.rack import words
from jigs.system.own_files import TABLES

pytestmark = pytest.mark.slow

FIRST_SEED = int(os.environ.get("JIGS_SEED", "0"))
TIMES = {"demo": share(30)}  # it takes longest
USUAL_TIMES = share(60)
PAGE, SPARE = resource.getpagesize(), 1 << 20
READ = ("--string", "1", "--harmonic", "2", "--fretted", "1", "--string", "4", "--harmonic", "2", "--fretted", "-5")
COMMANDS = {
    "draw": ("draw", "in/banjo.toml", "--all", "--paper", "a3", "--format", "pdf,svg,dxf", "--out", "OUT"),
    "demo": ("demo", "--out", "OUT"),
    "rack": ("rack", "in", "--templates", "fork,gauge", "--jobs", "1", "--out", "OUT"),
    "readings": ("readings", "in/banjo.toml", *READ, "--log", "OUT/log.jsonl", "--format", "pdf,svg", "--out", "OUT"),
}
GROWS = {"log.jsonl"}
"""Files that grow: a run adds lines to them."""
UNMARKED = (".toml", ".jsonl", ".csv")
"""Kinds of files that show nobody who wrote them: only the same one is written again. A rack's tables are known."""

REMEMBERS = {"rack-state.jsonl"}
"""Files that may hold a part of today's run: whole, but neither yesterday's nor today's."""


@dataclass(frozen=True)
class Run:
    """How a command ended, and what it said on standard error."""

    status: int
    said: str

    def refused(self, status=2):
        """A refusal: its status, and sentences with a place and a remedy."""
        assert self.status == status, (self.status, self.said)
        lines = [line for line in self.said.splitlines() if not line.startswith("note: ")]
        assert lines
        assert len(lines) == len(set(lines)) <= 3, self.said
        for line in lines:
            assert ": " in line, f"no place: {line}"
            assert "; " in line, f"no remedy: {line}"
        assert "Traceback" not in self.said
        assert "standard output" not in self.said


@dataclass(frozen=True)
class Bench:
    """A folder with instruments, and a command whose results of yesterday are there."""

    folder: Path
    command: tuple
    yesterday: dict
    today: dict
    seconds: float

    @property
    def out(self):
        return self.folder / "out"

    @property
    def room(self):
        """Bytes for a disk that holds yesterday's files and, beside them, today's until they have their names."""
        return sum(len(content) + PAGE for files in (self.yesterday, self.today) for content in files.values()) + SPARE

    def lay(self, out=None):
        """Put yesterday's files there and remove everything else."""
        out = out or self.out
        for path in sorted(out.iterdir()) if out.is_dir() else []:
            shutil.rmtree(path) if path.is_dir() and not path.is_symlink() else path.unlink()
        out.mkdir(exist_ok=True)
        for name, content in self.yesterday.items():
            (out / name).write_bytes(content)

    def start(self, out="out", limit=None):
        """Start the command. ``limit``: bytes beyond which no file may grow."""
        return started(self.folder, *(part.replace("OUT", out) for part in self.command), limit=limit)

    def run(self, **given):
        process = self.start(**given)
        _, said = process.communicate(timeout=120)
        return Run(process.returncode, said)

    def torn(self, found):
        """Names of files that are neither yesterday's nor today's."""
        return [
            name
            for name, content in found.items()
            if content not in (self.yesterday.get(name), self.today.get(name))
            and not (name in REMEMBERS and content.startswith(self.yesterday[name][:30]))
        ]

    def as_yesterday(self, out=None):
        assert files_in(out or self.out) == self.yesterday

    def as_today(self, out=None, besides=()):
        found = {name: content for name, content in files_in(out or self.out).items() if name not in besides}
        assert found.keys() == self.today.keys()
        assert [name for name in found if found[name] != self.today[name]] == []


@pytest.fixture(scope="module", autouse=True)
def _listening():
    with heard():
        yield


def files_in(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def _is_kept(name):
    """Whether yesterday's file of this name is today's."""
    return name in REMEMBERS | GROWS or (name.endswith(UNMARKED) and name not in TABLES)


@pytest.fixture(scope="module", params=COMMANDS)
def bench(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp(request.param)
    (folder / "in").mkdir()
    for name in ("banjo", "mandolin"):
        (folder / "in" / f"{name}.toml").write_text(preset_text(name), encoding="utf-8")
    made = Bench(folder, COMMANDS[request.param], {}, {}, 0.0)
    made.out.mkdir()
    assert made.run().status == 0
    yesterday = {
        name: content if _is_kept(name) else content + b"\nearlier\n" for name, content in files_in(made.out).items()
    }
    made = Bench(folder, made.command, yesterday, {}, 0.0)
    made.lay()
    began = time.monotonic()
    assert made.run().status == 0
    seconds = time.monotonic() - began
    return Bench(folder, made.command, yesterday, files_in(made.out), seconds)


def test_full_disk_loses_no_file_of_yesterday(bench):
    with disk(bench.folder / "small", bench.room) as small:
        for room in (0, 1, 3):
            bench.lay(small)
            fill(small / "filler", room)
            run = bench.run(out="small")
            run.refused()
            (small / "filler").unlink()
            assert bench.torn(files_in(small)) == []
            assert files_in(small).keys() == bench.yesterday.keys()
            if room == 0:
                bench.as_yesterday(small)
        assert bench.run(out="small").status == 0
        bench.as_today(small)


def test_file_that_may_not_grow_loses_no_file_of_yesterday(bench):
    bench.lay()
    limit = 1000 if "log.jsonl" not in bench.yesterday else len(bench.yesterday["log.jsonl"]) + 100
    run = bench.run(limit=limit)
    run.refused()
    assert bench.torn(files_in(bench.out)) == []
    assert files_in(bench.out).keys() == bench.yesterday.keys()
    assert bench.run().status == 0
    bench.as_today()


def test_log_alone_that_may_not_grow_keeps_its_lines(bench):
    if "log.jsonl" not in bench.yesterday:
        pytest.skip("this command keeps no log")
    alone = Bench(bench.folder, bench.command[:-4], {"log.jsonl": bench.yesterday["log.jsonl"]}, {}, 0.0)
    for more in (0, 1, 100):
        alone.lay()
        alone.run(limit=len(alone.yesterday["log.jsonl"]) + more).refused()
        alone.as_yesterday()


def test_read_only_folder_keeps_its_files(bench):
    with disk(bench.folder / "sealed", bench.room) as sealed:
        bench.lay(sealed)
        assert mount("-o", "remount,ro", sealed)
        bench.run(out="sealed").refused()
        bench.as_yesterday(sealed)
        assert mount("-o", "remount,rw", sealed)
        assert bench.run(out="sealed").status == 0
        bench.as_today(sealed)


def test_folder_without_write_permission_keeps_its_files(bench):
    if os.geteuid() == 0:
        pytest.skip("root may write anywhere")
    bench.lay()
    bench.out.chmod(0o555)
    try:
        bench.run().refused()
        bench.as_yesterday()
    finally:
        bench.out.chmod(0o755)


def test_file_with_the_name_of_the_output_folder_keeps_its_text(bench):
    place = bench.folder / "taken"
    place.write_bytes(b"a letter")
    bench.run(out="taken").refused()
    bench.run(out="taken/deeper").refused()
    assert place.read_bytes() == b"a letter"


def test_folder_with_the_name_of_a_file_keeps_its_contents(bench):
    for name in random.Random(FIRST_SEED).sample(sorted(bench.today), min(4, len(bench.today))):
        bench.lay()
        place = bench.out / name
        place.unlink()
        place.mkdir()
        (place / "letter").write_bytes(b"a letter")
        # A rack still draws the other instruments, and says so with its status.
        of_instrument = bench.command[0] == "rack" and not name.startswith("rack")
        bench.run().refused(3 if of_instrument else 2)
        assert (place / "letter").read_bytes() == b"a letter"
        found = {path.name: path.read_bytes() for path in bench.out.iterdir() if path != place}
        # A rack's summaries are then of the other instruments.
        summary = {each for each in found if bench.command[0] == "rack" and each.startswith("rack")}
        assert set(bench.torn(found)) <= summary
        assert found.keys() == bench.yesterday.keys() - {name}
        (place / "letter").unlink()
        place.rmdir()


def test_missing_folders_are_made_or_refused(bench):
    run = bench.run(out="new/deeper")
    place = bench.folder / "new" / "deeper"
    if "log.jsonl" in bench.today:
        run.refused()  # the folder of a log may be mistyped, so it is not made
        assert not (bench.folder / "new").exists()
        place.mkdir(parents=True)
        run = bench.run(out="new/deeper")
    assert run.status == 0
    assert files_in(place).keys() == bench.today.keys()


def test_broken_link_is_left_alone(bench):
    link = bench.folder / "link"
    link.symlink_to("nowhere")
    bench.run(out="link").refused()
    assert link.is_symlink()
    assert not (bench.folder / "nowhere").exists()


def test_broken_link_with_the_name_of_a_file_is_replaced(bench):
    bench.lay()
    name = max(bench.today.keys() - GROWS - REMEMBERS)
    (bench.out / name).unlink()
    (bench.out / name).symlink_to(bench.folder / "nowhere" / "deeper")
    assert bench.run().status == 0
    bench.as_today()


@pytest.mark.parametrize("out", ["x" * 300, "x/" * 3000, "x" * 300 + "/deeper"], ids=["name", "path", "parent"])
def test_too_long_a_name_writes_nothing(bench, out):
    before = sorted(bench.folder.rglob("*"))
    bench.run(out=out).refused()
    assert sorted(bench.folder.rglob("*")) == before


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_interrupt_at_any_moment_leaves_whole_files(bench, how):
    """Every third comes as soon as writing has begun. The others are spread over the whole run."""
    dice = random.Random(f"{FIRST_SEED} {bench.command[0]} {how}")
    times = TIMES.get(bench.command[0], USUAL_TIMES)
    seconds, interrupted = bench.seconds, 0
    for time_no in range(times):
        bench.lay()
        began, process = time.monotonic(), bench.start()
        if time_no % 3:
            with suppress(subprocess.TimeoutExpired):
                process.wait((time_no + dice.random()) / times * seconds * 1.05)
                seconds = time.monotonic() - began  # the machine has become quicker
        else:
            until_it_writes(process, bench)
            time.sleep(dice.random() * 0.02)
        process.send_signal(how)
        _, said = process.communicate(timeout=60)
        seed = f"{bench.command[0]}, {how.name}, {time_no}: {process.returncode}, {said}"
        interrupted += process.returncode != 0
        found = files_in(bench.out)
        parts = {name for name in found if name.endswith(".part")}
        assert how is signal.SIGKILL or not parts, f"{seed}: {parts}"
        assert found.keys() - parts == bench.yesterday.keys(), seed
        assert bench.torn({name: found[name] for name in found if name not in parts}) == [], seed
        assert ended_well(process.returncode, how, said, bench.command[0], found == bench.today), seed
        if parts or time_no % 20 == 0:
            again(bench, found, parts)
    assert interrupted >= times // 3, "too few runs were interrupted"


def until_it_writes(process, bench):
    """Wait until a file comes, goes or changes in the folder of results."""
    state = bench.out.stat().st_mtime_ns
    while process.poll() is None and bench.out.stat().st_mtime_ns == state:
        time.sleep(0.0005)


def ended_well(status, how, said, command, done):
    """Whether a run that was stopped, or had finished, ended as it should."""
    if status == 0 or how is signal.SIGKILL:
        return status in (0, -how)
    if done and status == -how:  # the interpreter was on its way out
        return "Traceback" not in said
    if "Traceback" in said:  # the interpreter itself was stopped on its way to the program
        return how is signal.SIGINT and f"{ROOT}/jigs" not in said
    if command == "rack" and status == 1 and words.interrupted(0, 0).remedy in said:
        return True
    if how is signal.SIGINT:  # Python has a status of its own for one that came while it made a data class
        return status in (1, -how) and said.strip().endswith(STOPPED)
    return status == -how


def again(bench, found, parts):
    """The next run completes what the interrupted one began."""
    assert bench.run().status == 0
    if "log.jsonl" in found and found["log.jsonl"] != bench.yesterday["log.jsonl"]:
        assert (bench.out / "log.jsonl").read_bytes().startswith(bench.today["log.jsonl"])
        return  # the first run kept that reading, so it is in the log twice
    left = parts & files_in(bench.out).keys()
    assert not left or bench.command[0] != "rack", left
    bench.as_today(besides=left)
