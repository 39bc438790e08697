"""Fuzz one target for some seconds of processor time: ``PYTHONPATH=tests python -m fuzz.fuzzing TARGET SECONDS FOLDER``.

Inputs that reach something new are left in FOLDER/new. An input that the program fails on is FOLDER/found-…, and its
traceback is on standard error. With the same program, corpus and seconds, every run begins with the same inputs.
"""

import os
import shutil
import sys
import time
import warnings
from pathlib import Path

from fuzz.mutating import Mutator
from fuzz.scratch import own_settings, scratch
from fuzz.targets import CORPUS, TARGETS, kept
from in_time import no_longer_than

PACKAGES = ["jigs", "geometry"]
SEED = 1
LONGEST_S = 5.0
"""Of processor time, for an input."""

HANGS_S = 120
"""Of the clock, for what Python cannot interrupt."""

MOST_MB = 1024
"""Of the fuzzing process itself."""

OF_BYTES = 3
"""One change in so many is of single bytes, where inputs are text."""


def main() -> None:
    """Fuzz in a child: Linux counts the peak memory of the process that starts a program as the program's own."""
    if child := os.fork():
        sys.exit(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
    fuzz()


def fuzz() -> None:
    import atheris

    name, seconds, folder = sys.argv[1], float(sys.argv[2]), Path(sys.argv[3])
    own_settings()
    target, tries = TARGETS[name], 0
    new = folder / "new"
    new.mkdir(parents=True, exist_ok=True)
    inputs = [path.read_bytes() for path in kept(name)]
    with atheris.instrument_imports(include=PACKAGES):
        take = target.load()
        warnings.simplefilter("error")
        for one in inputs:  # what is imported late has to be instrumented too
            take(one)

    def try_one(data: bytes) -> None:
        nonlocal tries
        tries += 1
        if time.process_time() > seconds:
            print(f"{name}: {tries} inputs in {time.process_time():.0f} s of processor time", flush=True)
            shutil.rmtree(scratch(), ignore_errors=True)
            os._exit(0)  # atheris has no way to end well
        with no_longer_than(LONGEST_S):
            take(data)

    mutator = Mutator(inputs)

    def change(data: bytes, most: int, seed: int) -> bytes:
        return atheris.Mutate(data, most) if seed % OF_BYTES == 0 else mutator.changed(data, most, seed)

    options = [f"-seed={SEED}", f"-max_len={target.longest}", f"-timeout={HANGS_S}", f"-rss_limit_mb={MOST_MB}"]
    options += [f"-artifact_prefix={folder}/found-", "-len_control=0", "-reload=0", "-print_final_stats=1"]
    more = {"custom_mutator": change} if target.is_text else {}
    atheris.Setup([sys.argv[0], *options, str(new), str(CORPUS / name)], try_one, **more)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
