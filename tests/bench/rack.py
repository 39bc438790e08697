"""A large rack, as ratios: ``python tests/bench/rack.py [INSTRUMENTS]``. It prints, and checks only that files are whole.

Time in proportion, two processes against one, memory, a rerun, and runs killed at random. Other work on the machine slows
wall clocks, so processor time is beside them. The racks run in turns, and the least of each is taken.
"""

import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TURNS = 3
KILLS = 20
JIGS = [sys.executable, "-m", "jigs"]


def instruments(folder, count):
    """Generated instrument files: presets in turn, each with its own scale."""
    from jigs.instrument.opening import preset_names, preset_text

    folder.mkdir(parents=True)
    names = preset_names()
    for n in range(count):
        text = preset_text(names[n % len(names)])
        text = re.sub(r"(?m)^name .*", f'name = "Instrument {n}"', text)
        scale = 630 + n % 40 if "banjo" in names[n % len(names)] and "tenor" not in names[n % len(names)] else None
        if scale:
            text = re.sub(r"(?m)^scale .*", f"scale = {scale}", text)
        (folder / f"instrument-{n}.toml").write_text(text, encoding="utf-8")
    return folder


def run(*arguments):
    """Wall and processor seconds of a whole run with its workers, and the largest resident size of any process, in MB."""
    script = (
        "import resource, subprocess, sys\n"
        "done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)\n"
        "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
        "print(done.returncode, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)\n"
    )
    began = time.perf_counter()
    used = subprocess.run(
        [sys.executable, "-c", script, *JIGS, "rack", *map(str, arguments)], check=True, capture_output=True, text=True
    ).stdout.split()
    assert used[0] == "0", "a run failed"
    return time.perf_counter() - began, float(used[1]), float(used[2])


def least(rows):
    return [min(row[n] for row in rows) for n in range(3)]


def proportion_and_cores(home, count):
    """Cost of each instrument in a tenth and in all of them, one process against two, and memory."""
    tenth = count // 10
    shelves = {size: instruments(home / f"shelf-{size}", size) for size in (1, tenth, count)}
    cases = [(1, 1), (tenth, 1), (count, 1), (count, 2)]
    found = {case: [] for case in cases}
    for _ in range(TURNS):
        for size, jobs in cases:
            found[size, jobs].append(run(shelves[size], "--out", home / "out", "--jobs", jobs))
            shutil.rmtree(home / "out")
    best = {case: least(rows) for case, rows in found.items()}
    for (size, jobs), (wall, used, memory) in best.items():
        print(
            f"{size:>6} instruments, {jobs} process(es): {wall:7.2f} s wall, {used:7.2f} s processor, {memory:6.1f} MB"
        )
    for n, clock in enumerate(("wall", "processor")):
        start = best[1, 1][n]
        few = (best[tenth, 1][n] - start) / (tenth - 1)
        many = (best[count, 1][n] - start) / (count - 1)
        print(
            f"cost of each, {tenth} against {count}, {clock}: {1000 * few:.2f} ms, {1000 * many:.2f} ms, {many / few:.3f}"
        )
    print(f"two processes against one: {best[count, 1][0] / best[count, 2][0]:.2f} times as fast")
    print(f"memory, {count} against {tenth}: {best[count, 1][2] / best[tenth, 1][2]:.2f}")
    return shelves[count]


def rerun(home, shelf):
    """A run that changes nothing, and one after a single change."""
    out = home / "again"
    first = run(shelf, "--out", out)[0]
    second = run(shelf, "--out", out)[0]
    print(f"rerun that changes nothing: {second:.2f} s against {first:.2f} s")
    shutil.rmtree(out)


def nested(home, shelf):
    """All gauges on stock."""
    out = home / "nested"
    wall, used, memory = run(shelf, "--out", out, "--sheet", "600x300")
    sheets = len(list(out.glob("nest-*.dxf")))
    print(f"nested on 600 x 300: {sheets} sheets, {wall:.2f} s wall, {used:.2f} s processor, {memory:.1f} MB")
    wall, *_ = run(shelf, "--out", out, "--sheet", "600x300")
    print(f"the same again: {wall:.2f} s")
    shutil.rmtree(out)


def state_of(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()} if folder.exists() else {}


def killed(home, shelf):
    """Runs killed at random and continued until they finish: every file is whole at any time, and the result is the same."""
    whole = home / "whole"
    seconds = run(shelf, "--out", whole)[0]
    wanted = state_of(whole)
    dice = random.Random(6)
    out, done = home / "killed", set()
    for kill in range(KILLS):
        how = (signal.SIGKILL, signal.SIGINT)[kill % 2]
        process = subprocess.Popen(
            [*JIGS, "rack", str(shelf), "--out", str(out)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        time.sleep(dice.uniform(0.0, 1.5 * seconds / KILLS + 1.2))
        process.send_signal(how)
        process.wait()
        time.sleep(0.3)
        there = state_of(out)
        torn = [
            name
            for name, content in there.items()
            if name in wanted and name != "rack-state.jsonl" and content != wanted[name]
        ]
        assert not torn, f"{torn} are not whole"
        now = {name for name in there if name in wanted}
        assert done <= now, "files are missing"
        done = now
    before = {path.name: path.stat().st_mtime_ns for path in out.iterdir()}
    run(shelf, "--out", out)
    again = state_of(out)
    assert {**again, "rack-state.jsonl": b""} == {**wanted, "rack-state.jsonl": b""}, "the result differs"
    kept = sum((out / name).stat().st_mtime_ns == stamp for name, stamp in before.items())
    print(
        f"killed {KILLS} times: nothing torn; {len(done)} of {len(wanted)} files were there, {kept} of them left alone"
    )


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    amount = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["XDG_CONFIG_HOME"] = scratch
        place = Path(scratch)
        shelf = proportion_and_cores(place, amount)
        rerun(place, shelf)
        nested(place, shelf)
        killed(place, shelf)
