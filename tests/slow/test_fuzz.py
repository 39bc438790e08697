"""Whatever a file, a field or a request holds: the program answers, or refuses it in a sentence of its own.

A fuzzer with feedback of coverage searches for what it fails on, ten minutes of processor time in all. ``JIGS_FUZZ_SHARE``
shortens or lengthens that: 0.1 is one minute.
"""

import os
import re
import subprocess
import sys

import pytest
from fuzz.targets import TARGETS, kept
from in_time import no_longer_than
from samples import ROOT

SHARE = float(os.environ.get("JIGS_FUZZ_SHARE", "1"))
SECONDS_IN_ALL, MOST_FILES, MOST_BYTES = 600, 300, 1 << 20
LONGEST_S = 20.0
"""Of processor time, for all kept inputs of a target."""

MUCH_SLOWER = 30
"""A busy machine may take so many times as long as the processor time."""

pytestmark = pytest.mark.slow


def test_kept_inputs_are_few_and_the_time_is_shared_out():
    sizes = [path.stat().st_size for name in TARGETS for path in kept(name)]
    assert len(sizes) <= MOST_FILES
    assert sum(sizes) <= MOST_BYTES
    assert sum(target.seconds for target in TARGETS.values()) == SECONDS_IN_ALL


@pytest.mark.parametrize("name", TARGETS)
def test_kept_inputs_are_answered_or_refused_in_a_sentence(name, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    take = TARGETS[name].load()
    with no_longer_than(LONGEST_S):
        for path in kept(name):
            try:
                take(path.read_bytes())
            except Exception as wrong:
                wrong.add_note(f"the input is {path}")
                raise


@pytest.mark.usefixtures("atheris")
@pytest.mark.parametrize("name", TARGETS)
def test_fuzzer_finds_nothing_that_the_program_fails_on(name, tmp_path):
    """Replay a find: write it into a folder of tests/fuzz/corpus, and run the test above."""
    seconds = SHARE * TARGETS[name].seconds
    command = [sys.executable, "-m", "fuzz.fuzzing", name, f"{seconds:g}", tmp_path]
    ran = subprocess.run(
        command,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT / "tests")},
        capture_output=True,
        timeout=MUCH_SLOWER * seconds + 60,
        check=False,
    )
    said = (ran.stdout + ran.stderr).decode(errors="replace")
    found = [*tmp_path.glob("found-*")]
    for path in found:
        content = path.read_bytes()
        pytest.fail(f"{path} ({len(content)} bytes) begins {content[:400]!r}\n{_end_of(said)}", pytrace=False)
    assert ran.returncode == 0, _end_of(said)
    assert re.search(rf"^{name}: \d+ inputs in", said, re.MULTILINE), _end_of(said)


def _end_of(said):
    """From the traceback on, if there is one: the fuzzer says much before."""
    return said[max(said.find("=== Uncaught"), len(said) - 6000, 0) :]
