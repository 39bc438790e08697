"""Judges mutants for mutants_sample.py: those in functions in place, those of what runs at import in new modules."""

import contextlib
import json
import os
import resource
import signal
import sys
import tempfile
import time
from itertools import accumulate, zip_longest
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
LONGEST_TEST_SECONDS = 3.0
MOST_SECONDS_ANEW = 40.0
"""Tests of a mutant of what runs at import, by their times without one: beyond that it counts as surviving."""

KILLED, LATE, SURVIVED, UNSEEN = "killed", "out of time", "survived", "no test runs it"
MEMORY = 6 * 2**30
_NOT_JUDGED = 70


def say(text):
    """Where the work is, beside the result."""
    print(text, file=sys.stderr, flush=True)


class Pool:
    """Children that judge, so many at a time, and the verdict of each."""

    def __init__(self, jobs, verdicts, quiet=False):
        self.jobs, self.verdicts, self.quiet, self.running = jobs, verdicts, quiet, {}

    def judge(self, number, work):
        """Start judging a mutant: ``work`` returns whether a test failed."""
        while len(self.running) >= self.jobs:
            self.wait()
        child = os.fork()
        if child == 0:
            code = _NOT_JUDGED
            try:
                os.setsid()
                resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
                resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
                signal.alarm(900)
                quiet = os.open(os.devnull, os.O_WRONLY)
                os.dup2(quiet, 1)
                os.dup2(quiet, 2)
                code = 1 if work() else 0
            finally:
                os._exit(code)
        self.running[child] = number

    def wait(self):
        """Take the verdict of a child that has ended, and end what it left running."""
        child, status = os.wait()
        number = self.running.pop(child)
        code = os.waitstatus_to_exitcode(status)
        if code == _NOT_JUDGED:
            sys.exit(f"mutant {number} could not be judged")
        clock = (-signal.SIGPROF, -signal.SIGALRM)
        self.verdicts[str(number)] = verdict = SURVIVED if code == 0 else LATE if code in clock else KILLED
        if not self.quiet:
            say(f"{number} {verdict}")
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)

    def wait_for_all(self):
        """Wait for the last ones."""
        while self.running:
            self.wait()


def _pytest(paths, plugin):
    import pytest

    scratch = tempfile.mkdtemp(prefix="mutants-")
    options = [
        "--rootdir=.",
        "-q",
        "-m",
        "",
        "-p",
        "no:cacheprovider",
        "-p",
        "mutant_run",
        f"--basetemp={scratch}/t",
        "-x",
    ]
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]  # hypothesis is here already
    return pytest.main([*options, *paths], plugins=[plugin])


# ---- mutants in functions


class Kept(dict):
    """The names of a doctest. Its runner empties them after a run, and a fork runs it a second time."""

    def clear(self):
        pass


class InPlace:
    """A pytest plug-in: runs the tests, notes what each executes, and judges every mutant that is in a function."""

    def __init__(self, room, drawn, jobs, until, seconds):
        self.room, self.drawn, self.jobs, self.until, self.seconds = room, drawn, jobs, until, seconds
        self.notes = Path(tempfile.mkdtemp())
        self.took, self.verdicts, self.imported, self.lines, self.failed = {}, {}, {}, {}, []

    def pytest_collection_modifyitems(self, items):
        items[:] = [
            item for item in items if not {"browser", "chromium", "page"} & {*getattr(item, "fixturenames", ())}
        ]
        for item in items:
            if doctest := getattr(item, "dtest", None):
                doctest.globs = Kept(doctest.globs)

    def pytest_runtestloop(self, session):
        """Everything, instead of the loop of pytest."""
        import coverage

        watch = coverage.Coverage(data_file=None, include=[f"{ROOT / self.room}/*"], config_file=False, messages=False)
        for item in session.items:
            watch.start()
            watch.switch_context(item.nodeid)
            before = _cpu()
            failed = _fails(item, None)
            watch.stop()
            self.took[item.nodeid] = _cpu() - before
            if failed:
                self.failed.append(item.nodeid)
        say(f"{len(session.items)} tests in {sum(self.took.values()):.0f} s")
        items = [
            item
            for item in sorted(session.items, key=lambda item: self.took[item.nodeid])
            if item.nodeid not in self.failed and self.took[item.nodeid] <= LONGEST_TEST_SECONDS
        ]
        data = watch.get_data()
        self.lines = {path: data.contexts_by_lineno(path) for path in data.measured_files()}
        self._judge_all(items)
        return True

    def _judge_all(self, items):
        functions = _live_functions(self.room)
        pool = Pool(self.jobs, self.verdicts)
        swaps_of = {}
        for number, mutant in enumerate(self.drawn):
            if time.monotonic() > self.until:
                break
            swaps = _swaps(mutant, functions)
            if swaps is None:
                kept = {item.nodeid for item in items}
                self.imported[str(number)] = sorted(self._by_name(mutant) & kept, key=self.took.__getitem__)
            else:
                swaps_of[number] = swaps
                self._judge_one(pool, number, swaps, items)
        pool.wait_for_all()
        while false := self._that_fail_without_a_mutant(items):
            say(f"fail in a fork, and do not judge: {' '.join(sorted(false))}")
            self.failed += false
            items = [item for item in items if item.nodeid not in false]
            for number in [number for number, name in self.killers().items() if name in false]:
                (self.notes / str(number)).unlink()
                self._judge_one(pool, number, swaps_of[number], items)
            pool.wait_for_all()

    def _judge_one(self, pool, number, swaps, items):
        mutant = self.drawn[number]
        see = {name for line in mutant.lines for name in self.lines.get(str(mutant.path), {}).get(line, ())}
        judges = _file_by_file(item for item in items if item.nodeid in see)
        times = accumulate(self.took[item.nodeid] for item in judges)
        judges = [item for item, seconds in zip(judges, times, strict=True) if seconds <= self.seconds]
        if judges:
            pool.judge(number, lambda: self._killed(swaps, judges, self.notes / str(number)))
        else:
            self.verdicts[str(number)] = UNSEEN

    def killers(self):
        """The test that killed each mutant."""
        return {int(note.name): note.read_text() for note in self.notes.iterdir() if note.name.isdecimal()}

    def _that_fail_without_a_mutant(self, items):
        """Of the tests that killed, those that fail in a fork without a mutant too: they say nothing."""
        killed = set(self.killers().values())
        judges = [item for item in items if item.nodeid in killed]
        found, pool = set(), Pool(1, {}, quiet=True)
        for item in judges:
            note = self.notes / "control"
            pool.judge(0, lambda item=item, note=note: self._killed((), [item], note))
            pool.wait_for_all()
            if note.exists():
                found.add(note.read_text())
                note.unlink()
        return found

    def _by_name(self, mutant):
        """The tests that execute a line with the names that a mutant is about."""
        found = set()
        for path, contexts in self.lines.items():
            for number, line in enumerate(Path(path).read_text().splitlines(), 1):
                if any(name in line for name in mutant.names):
                    found.update(contexts.get(number, ()))
        return found

    def _killed(self, swaps, judges, note):
        from mutant_run import forget

        for function, code in swaps:
            function.__code__ = code
        forget()
        for item, following in zip(judges, [*judges[1:], None], strict=True):
            signal.setitimer(signal.ITIMER_PROF, 10 + 10 * self.took[item.nodeid])
            if _fails(item, following):
                note.write_text(item.nodeid)
                return True
        return False


def _file_by_file(items):
    """The quickest test of each file, then the second quickest of each: a few files would use up the time else."""
    by_file = {}
    for item in items:
        by_file.setdefault(item.nodeid.partition("::")[0], []).append(item)
    return [item for row in zip_longest(*by_file.values()) for item in row if item is not None]


def _cpu():
    used = (resource.getrusage(one) for one in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(each.ru_utime + each.ru_stime for each in used)


def _fails(item, following):
    from _pytest.runner import runtestprotocol

    return any(report.failed for report in runtestprotocol(item, nextitem=following, log=False))


def _live_functions(room):
    """Functions of a room by the place of their code."""
    import gc
    from types import FunctionType

    found, inside = {}, str(ROOT / room)
    for one in gc.get_objects():
        if isinstance(one, FunctionType) and one.__code__.co_filename.startswith(inside):
            code = one.__code__
            found.setdefault((code.co_filename, code.co_qualname, code.co_firstlineno), []).append(one)
    return found


def _swaps(mutant, functions):
    """Each function that a mutant changes, with its new code. None if something outside of functions is changed."""
    old, new = (compile(source, str(mutant.path), "exec") for source in (mutant.path.read_text(), mutant.source))
    pairs, swaps = _differing(old, new), []
    for one, other in pairs or ():
        live = functions.get((one.co_filename, one.co_qualname, one.co_firstlineno), [])
        if one.co_freevars != other.co_freevars:
            return None
        swaps += [(function, other) for function in live]
    return swaps or None


def _differing(old, new):
    """Pairs of codes that differ. None if what runs at import differs."""
    from types import CodeType

    inner = [[each for each in code.co_consts if isinstance(each, CodeType)] for code in (old, new)]
    if _alone(old) != _alone(new) or len(inner[0]) != len(inner[1]):
        return [(old, new)] if old.co_flags & 2 else None
    pairs = []
    for one, other in zip(*inner, strict=True):
        found = _differing(one, other)
        if found is None:
            return None
        pairs += found
    return [(old, new), *pairs] if pairs and old.co_flags & 2 else pairs


def _alone(code):
    """What makes a code what it is, without the codes in it."""
    from types import CodeType

    values = [(type(each), repr(each)) for each in code.co_consts if not isinstance(each, CodeType)]
    return code.co_code, code.co_names, code.co_varnames, code.co_name, values


def judge_in_place(asked, paths, drawn, notes):
    judge = InPlace(asked.room, drawn, asked.jobs, time.monotonic() + 60 * asked.minutes, asked.seconds)
    _pytest(paths, judge)
    if judge.failed:
        say(" ".join(("fail without a mutant, and do not judge:", *judge.failed)))
    took = {name: seconds for name, seconds in judge.took.items() if name not in judge.failed}
    notes.write_text(json.dumps({"took": took, "verdicts": judge.verdicts, "imported": judge.imported}))


# ---- mutants of what runs at import


class Again:
    """A pytest plug-in: of the tests of a room those that are quick, in the order in which they judge.

    The first that fails is written down.
    """

    def __init__(self, order, note, finder):
        self.order, self.note, self.finder = order, note, finder

    def pytest_collection(self):
        """The finder goes first again: pytest's own, which came later, finds every module that is named to it."""
        sys.meta_path.insert(0, self.finder)

    def pytest_collection_modifyitems(self, items):
        items[:] = sorted((item for item in items if item.nodeid in self.order), key=lambda one: self.order[one.nodeid])

    def pytest_runtest_logreport(self, report):
        if report.failed and not self.note.exists():
            self.note.write_text(report.nodeid)


def judge_imported(drawn, found, jobs):
    took, pool, notes = found["took"], Pool(jobs, found["verdicts"]), Path(tempfile.mkdtemp())
    quick = [name for name in sorted(took, key=took.__getitem__) if took[name] <= LONGEST_TEST_SECONDS]
    waiting, sound = set(found["imported"]), set()
    while waiting:
        for number in sorted(waiting, key=int):
            names = [name for name in dict.fromkeys([*found["imported"][number], *quick]) if name in took]
            times = accumulate(took[name] for name in names)
            names = [name for name, seconds in zip(names, times, strict=True) if seconds <= MOST_SECONDS_ANEW]
            note, mutant = notes / number, drawn[int(number)]
            note.unlink(missing_ok=True)
            pool.judge(number, lambda mutant=mutant, names=names, note=note: _fails_anew(mutant, names, took, note))
        pool.wait_for_all()
        killers = {number: (notes / number).read_text() for number in waiting if (notes / number).exists()}
        false = set()
        for name in set(killers.values()) - sound:
            alone, note = Pool(1, {}, quiet=True), notes / "control"
            alone.judge(0, lambda name=name, note=note: _fails_anew(None, [name], took, note))
            alone.wait_for_all()
            (false if alone.verdicts["0"] == KILLED else sound).add(name)
            note.unlink(missing_ok=True)
        for name in false:
            say(f"fails in a fork, and does not judge: {name}")
            took.pop(name, None)
        waiting = {number for number, name in killers.items() if name in false}


def _fails_anew(mutant, names, took, note):
    import importlib.machinery
    import importlib.util

    class Changed(importlib.machinery.SourceFileLoader):
        def get_code(self, _fullname):
            return compile(mutant.source, str(mutant.path), "exec")

    class Finder:
        @staticmethod
        def find_spec(name, *_path_and_target):
            if mutant is None or name != ".".join(mutant.path.relative_to(ROOT).with_suffix("").parts):
                return None
            where = str(mutant.path)
            return importlib.util.spec_from_file_location(name, where, loader=Changed(name, where))

    sys.meta_path.insert(0, Finder)
    signal.setitimer(signal.ITIMER_PROF, 60 + 5 * sum(took[name] for name in names))
    plugin = Again({name: place for place, name in enumerate(names)}, note, Finder)
    files = sorted({name.partition("::")[0] for name in names})
    return _pytest(files, plugin) != 0
