"""What was read last of an instrument: the last step in the log beside its file, if there is a log.

The log of ``loan-7.toml`` is ``loan-7.jsonl`` in the same folder. A log that cannot be read is worth a note, and no more.
"""

from pathlib import Path

from geometry.readings import Verdict
from jigs.faults import InputFaults, Note
from jigs.rack import words
from jigs.rack.rows import LastReading
from jigs.readings.log import Step, last_of, read

SUFFIX = ".jsonl"


def log_beside(path: Path) -> Path:
    """Where the log of an instrument's file is looked for.

    >>> log_beside(Path("shelf/loan-7.toml")).name
    'loan-7.jsonl'
    """
    return path.with_suffix(SUFFIX)


def last_reading(path: Path, name: str, outer: tuple[int, int]) -> tuple[LastReading | None, tuple[Note, ...]]:
    """The last reading of the instrument of a file; None without one. Notes: why a log that is there is of no use.

    ``name``: the instrument's. ``outer``: the numbers of its outer full-length strings, treble and bass.
    """
    log = log_beside(path)
    try:
        steps = read(log)
    except InputFaults as refused:
        return None, tuple(words.log_unusable(log.name, fault).note() for fault in refused.faults)
    step = last_of(steps, name)
    if step is None:
        return None, (words.log_of_another(log.name, name, steps[-1].instrument).note(),) if steps else ()
    verdict = step.verdict if step.verdict in set(Verdict) else ""
    treble, bass = (_cents(step, string) for string in outer)
    return LastReading(step.step, verdict, treble, bass), ()


def _cents(step: Step, string: int) -> float | None:
    """How far a string was off its aim."""
    return next((cents for number, cents, _ in step.rests if number == string), None)
