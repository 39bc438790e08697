"""A random sample of the mutants of a room, judged by the tests that see it: the share killed, and every survivor.

    PYTHONPATH=tests/bench python tests/bench/mutants_sample.py jigs/workup --size 200 --seed 1

Needs mutmut in .venv. ``mutant_kinds.py`` says what is changed. The same seed draws the same mutants.

- The tests run once, and coverage notes which test executes which line.
- A mutant in a function is judged in a fork of that process: the function gets the changed code, and the tests that
  execute the changed lines run, the quickest of each file first, until one fails.
- A constant, a default, a key of a model and what runs at import need new modules. They are judged in a fork that has
  not imported the project yet, by forty seconds of tests: those that execute the changed names first, then the quickest.
- Tests in a browser, those of ``tests/slow`` and those over three seconds do not judge. A process that a test starts has
  the code without the change. A mutant in a function gets ``--seconds`` of tests, and then counts as surviving.
- A test that kills is tried without a mutant too. If it fails there, it does not judge.
"""

import argparse
import importlib
import json
import math
import os
import random
import sys
import tempfile
import traceback
from pathlib import Path

from mutant_judges import KILLED, LATE, SURVIVED, UNSEEN, judge_imported, judge_in_place, say
from mutant_kinds import changes_of, mutant_of

ROOT = Path(__file__).resolve().parent.parent.parent


_DRAWN = ("tests/jigs/cli", "tests/jigs/demo/test_gallery.py", "tests/jigs/templates", "tests/jigs/workup")

TESTS = {
    "geometry": (
        "geometry",
        "tests/geometry",
        "tests/published/test_constants.py",
        "tests/published/test_guitar_tables.py",
        "tests/published/test_stiffness.py",
        "tests/published/test_survey_robust.py",
    ),
    "jigs/instrument": (
        "jigs/instrument",
        "tests/jigs/instrument",
        "tests/jigs/input",
        "tests/jigs/page/form",
        "tests/jigs/page/test_units.py",
        "tests/published/test_common_practice.py",
        *_DRAWN,
    ),
    "jigs/workup": ("jigs/workup", "tests/jigs/instrument", *_DRAWN),
    "jigs/readings": (
        "jigs/readings",
        "tests/jigs/readings",
        "tests/jigs/page/test_diagnose.py",
        "tests/jigs/page/test_rounds.py",
        *_DRAWN,
    ),
}


def main():
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("room", choices=TESTS)
    asked.add_argument("--size", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--jobs", type=int, default=1)
    asked.add_argument("--minutes", type=float, default=600, help="then draw no more, and judge what is drawn")
    asked.add_argument("--seconds", type=float, default=12, help="of tests for a mutant in a function")
    asked.add_argument("--only", default="", help="only modules whose name has this")
    asked = asked.parse_args()
    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT)]
    _preload()
    every, drawn = _sample(asked.room, asked.only, asked.size, asked.seed)
    say(f"{asked.room}: {every} mutants, {len(drawn)} drawn with seed {asked.seed}")
    with tempfile.TemporaryDirectory() as folder:
        notes, tempfile.tempdir = Path(folder, "notes.json"), folder
        _in_a_fork(lambda: judge_in_place(asked, _paths(asked.room), drawn, notes))
        found = json.loads(notes.read_text())
        judge_imported(drawn, found, asked.jobs)
    judged = {
        mutant: found["verdicts"][str(number)]
        for number, mutant in enumerate(drawn)
        if str(number) in found["verdicts"]
    }
    _print(asked.room, asked.seed, every, judged)


def _preload():
    """What every child needs, once for all, but nothing of the project."""
    for name in ("hypothesis", "mpmath", "numpy", "pydantic", "pytest", "scipy.optimize", "statsmodels.api", "tomlkit"):
        importlib.import_module(name)


def _sample(room, only, size, seed):
    """How many mutants there are, and those that are drawn, in the order of the draw."""
    changes, trees = [], {}
    for path in sorted((ROOT / room).glob("*.py")):
        if only in path.stem:
            trees[path], found = changes_of(path)
            changes += [(path, change) for change in found]
    drawn = random.Random(seed).sample(range(len(changes)), min(size, len(changes)))
    return len(changes), [mutant_of(path, trees[path], change) for path, change in (changes[n] for n in drawn)]


def _paths(room):
    return [path for path in TESTS[room] if (ROOT / path).exists()]


def _in_a_fork(work):
    """Do something in a process of its own, and wait for it."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            work()
            code = 0
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stderr.flush()
            os._exit(code)
    if os.waitpid(child, 0)[1] != 0:
        sys.exit("the tests could not run without a mutant")


# ---- the result


def interval(killed, count):
    """The 95% interval of a share, by Wilson (1927)."""
    z2 = 1.959964**2
    share = killed / count
    middle = share + z2 / (2 * count)
    half = math.sqrt(z2 * (share * (1 - share) / count + z2 / (4 * count**2)))
    return (middle - half) / (1 + z2 / count), (middle + half) / (1 + z2 / count)


def _print(room, seed, every, judged):
    for mutant, verdict in sorted(judged.items(), key=lambda one: (one[0].path, one[0].lines[0])):
        if verdict in (SURVIVED, UNSEEN):
            where = f"{mutant.path.relative_to(ROOT)}:{mutant.lines[0]} {mutant.function}"
            print(f"- {where}: {verdict}\n  - `{mutant.was}` → `{mutant.now}`")
    counts = {each: list(judged.values()).count(each) for each in (KILLED, LATE, SURVIVED, UNSEEN)}
    killed, count = counts[KILLED] + counts[LATE], len(judged)
    low, high = interval(killed, count)
    print(f"\n| room | seed | mutants | judged | {' | '.join(counts)} | share killed | 95% |")
    print("| --- |" + " ---: |" * 9)
    numbers = " | ".join(str(each) for each in counts.values())
    print(f"| {room} | {seed} | {every} | {count} | {numbers} | {killed / count:.1%} | {low:.0%} to {high:.0%} |")


if __name__ == "__main__":
    main()
