"""Keep what a run of the fuzzer left: ``PYTHONPATH=tests python -m fuzz.keeping TARGET FOLDER``.

Of the inputs in FOLDER/new, the shortest stay that reach some step of the program that nothing kept before reaches: from one
line to the next. Those with a name of their own always stay. A name of ours begins with ``new-``.
"""

import hashlib
import sys
from pathlib import Path

from fuzz.scratch import own_settings
from fuzz.targets import CORPUS, TARGETS, kept
from in_time import TooLong, no_longer_than

ROOT = Path(__file__).resolve().parents[2]
OWN = (str(ROOT / "jigs"), str(ROOT / "geometry"))
OURS = "new-"
LONGEST, LONGEST_S = 8192, 30.0


def steps_of(take, data):
    """The steps from line to line that the program takes with an input."""
    steps = set()

    def trace(frame, event, _):
        if event != "call" or not frame.f_code.co_filename.startswith(OWN):
            return None
        before = None

        def within(frame, event, _):
            nonlocal before
            if event == "line":
                steps.add((frame.f_code, before, frame.f_lineno))
                before = frame.f_lineno
            return within

        return within

    sys.settrace(trace)
    try:
        with no_longer_than(LONGEST_S):
            take(data)
    finally:
        sys.settrace(None)
    return steps


def main():
    name, folder = sys.argv[1], Path(sys.argv[2])
    own_settings()
    take, known = TARGETS[name].load(), set()
    ours = [path for path in kept(name) if path.name.startswith(OURS)]
    for path in kept(name):
        if path not in ours:
            known |= steps_of(take, path.read_bytes())
    found = {path.read_bytes() for path in (*ours, *(folder / "new").glob("*"))}
    for path in ours:
        path.unlink()
    added = 0
    for data in sorted(found, key=lambda one: (len(one), one)):
        if len(data) > LONGEST:
            break
        try:
            steps = steps_of(take, data)
        except (Exception, TooLong) as wrong:
            print(f"{name}: left out, because the program fails on it: {data[:60]!r}: {wrong!r}")
            continue
        if steps - known:
            known |= steps
            (CORPUS / name / (OURS + hashlib.sha256(data).hexdigest()[:10])).write_bytes(data)
            added += 1
    print(f"{name}: {added} kept of {len(found)}")


if __name__ == "__main__":
    main()
