"""Instrument to Workup: the numbers that the model gives, and the line where it was found by ear, if it was."""

from dataclasses import replace

from geometry.found import moved_line
from jigs.faults import Place
from jigs.instrument.found import Found
from jigs.instrument.instrument import Instrument
from jigs.workup.workup import Workup, computed


def work_up(instrument: Instrument) -> Workup:
    """All numbers of an instrument, with its line where it was found by ear, if it was.

    Raises `InputFaults` when the model has no answer for it.
    """
    now = computed(instrument)
    return _as_found(now) if instrument.found.is_given else now


def _as_found(now: Workup) -> Workup:
    """The same with its line where it was found by ear. Raises `InputFaults`."""
    from jigs.workup.sureness import beyond_mm, sure_by_tape

    then, of_one_make = (_strung_then(now.instrument, make) for make in (now.instrument.found.same_make, True))
    placed = _placed(now, then)
    alike = placed if of_one_make.strings == then.strings else _placed(now, of_one_make)
    found, ends = placed.found, (sure_by_tape(placed, same_make=None), sure_by_tape(alike, same_make=True))
    if found is not None:
        found = replace(found, beyond_mm=beyond_mm(found), bass_sure_mm=(ends[0][1], ends[1][1]))
    return replace(placed, found=found)


def _placed(now: Workup, then: Instrument) -> Workup:
    """The same with its line where it was found, on the instrument with the strings of then."""
    from jigs.workup.found import found_place

    found = found_place(now if then is now.instrument else computed(then), now)
    return replace(now, line=moved_line(found.line, found.then.line, now.line), found=found)


def _strung_then(instrument: Instrument, same_make: bool | None) -> Instrument:
    """The instrument with the strings that its place was found with, itself if they are the same."""
    from jigs.instrument.restring import restrung

    strings = instrument.found.strings
    if strings is None:
        return instrument
    return restrung(instrument, strings, Place(instrument.source, "found", "strings"), same_make)


def without_found(workup: Workup) -> Workup:
    """The same instrument with its computed line, as if nobody had found a place by ear."""
    if workup.found is None:
        return workup
    instrument = replace(workup.instrument, found=Found())
    return replace(workup, instrument=instrument, line=workup.computed_line, found=None)
