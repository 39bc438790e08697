"""Instrument to Workup: the numbers that the model gives, and the line where it was found by ear, if it was."""

from dataclasses import replace

from geometry.found import moved_line
from jigs.faults import Place
from jigs.instrument.found import Found
from jigs.instrument.instrument import Instrument
from jigs.instrument.restring import restrung
from jigs.workup.workup import Workup, computed


def work_up(instrument: Instrument) -> Workup:
    """All numbers of an instrument, with its line where it was found by ear, if it was.

    Raises `InputFaults` when the model has no answer for it.
    """
    now = computed(instrument)
    return _placed(now) if instrument.found.is_given else now


def _placed(now: Workup) -> Workup:
    """The same with its line where it was found by ear. Raises `InputFaults`."""
    from jigs.workup.found import found_place
    from jigs.workup.sureness import beyond_mm, sure_by_tape

    instrument = now.instrument
    strings, of_then = instrument.found.strings, instrument
    if strings is not None:
        of_then = restrung(instrument, strings, Place(instrument.source, "found", "strings"))
    found = found_place(now if of_then is instrument else computed(of_then), now)
    placed = replace(now, line=moved_line(found.line, found.then.line, now.line), found=found)
    ends = sure_by_tape(placed, same_make=None), sure_by_tape(placed, same_make=True)
    return replace(placed, found=replace(found, beyond_mm=beyond_mm(found), bass_sure_mm=(ends[0][1], ends[1][1])))


def without_found(workup: Workup) -> Workup:
    """The same instrument with its computed line, as if nobody had found a place by ear."""
    if workup.found is None:
        return workup
    instrument = replace(workup.instrument, found=Found())
    return replace(workup, instrument=instrument, line=workup.computed_line, found=None)
