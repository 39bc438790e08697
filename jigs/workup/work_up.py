"""Instrument to Workup: the numbers that the model gives, and the line where it was found by ear, if it was."""

from dataclasses import replace

from geometry.found import moved_line
from jigs.faults import InputFaults, Place
from jigs.instrument.found import Found
from jigs.instrument.instrument import Instrument
from jigs.workup import fault_words
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

    found = found_place(now if then is now.instrument else _computed_then(then), now)
    return replace(now, line=moved_line(found.line, found.then.line, now.line), found=found)


def _strung_then(instrument: Instrument, same_make: bool | None) -> Instrument:
    """The instrument with the strings and the pitch that its place was found with, itself if they are the same."""
    from jigs.instrument.restring import at_pitch, restrung

    strings, a4 = instrument.found.strings, instrument.found.a4
    then = instrument if a4 is None else at_pitch(instrument, a4)
    if strings is None:
        return then
    return restrung(then, strings, Place(instrument.source, "found", "strings"), same_make)


def _computed_then(then: Instrument) -> Workup:
    """Its numbers. Raises `InputFaults` at the set of strings of then, not at those that the file has now."""
    try:
        return computed(then)
    except InputFaults as wrong:
        at = Place(then.source, "found", "strings")
        strings = [fault.place.string for fault in wrong.faults if fault.place.string is not None]
        raise fault_words.no_place_then(strings[0] if strings else None).refusal(at) from None


def without_found(workup: Workup) -> Workup:
    """The same instrument with its computed line, as if nobody had found a place by ear."""
    if workup.found is None:
        return workup
    instrument = replace(workup.instrument, found=Found())
    return replace(workup, instrument=instrument, line=workup.computed_line, found=None)
