"""Strings that have no place for a bridge, or one that is unusually far: what in the file most likely makes it.

It imports nothing else of the room but its words and its slant, so that the workup can import it.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from geometry.arrays import FloatArray
from geometry.compensation import NoSetbackError
from jigs.faults import Check, Fault, InputFaults, Place
from jigs.instrument.instrument import Instrument
from jigs.instrument.restring import rescaled, with_action
from jigs.instrument.usual import ASK_AT_SETBACK_SHARE, KIND_DEFAULTS, SLACK_N, WARN_AT_SETBACK_SHARE
from jigs.instrument.words import perhaps_half_a_scale
from jigs.workup import fault_words


def no_setback_faults(
    instrument: Instrument, error: NoSetbackError, solve: Callable[[Instrument], object]
) -> list[Fault]:
    """The strings without a bridge place; or the one fault that explains them all, a scale that is half of one.

    ``solve`` finds the places of an instrument's strings, and raises `NoSetbackError`.
    """
    scale = instrument.head.scale
    if scale is not None and _is_perhaps_half(instrument, solve):
        return [perhaps_half_a_scale(scale).at(Place(instrument.source, key="scale"))]
    if high := _high_action(instrument, solve):
        return [fault_words.no_setback_so_high(high).at(replace(high.place, source=instrument.source))]
    if finger := _finger_fault(instrument, solve):
        return [finger]
    asked = [(n, perhaps_wound(instrument, n)) for n in error.strings]
    return [
        fault_words.no_setback(error, question).at(
            Place(instrument.source, "strings", "gauge" if question else "", string=n + 1)
        )
        for n, question in asked
    ]


def _high_action(instrument: Instrument, solve: Callable[[Instrument], object]) -> Check | None:
    """The second look at an unusually high action, if all strings would have a bridge place with a usual one."""
    action = next((one for one in instrument.checks if one.place == Place(table="action", key="fret_12")), None)
    usual_mm = KIND_DEFAULTS[instrument.head.kind]["action"]["fret_12"]
    if action is None or instrument.action.fret_12 < usual_mm:
        return None
    lower = max(usual_mm, instrument.action.nut + instrument.action.relief)
    return action if _is_solved(partial(with_action, instrument, fret_12=lower), solve) else None


def _finger_fault(instrument: Instrument, solve: Callable[[Instrument], object]) -> Fault | None:
    """The user's own finger, if all strings would have a bridge place with a usual one."""
    finger, press = instrument.action.finger, instrument.action.press
    usual_finger = partial(with_action, instrument, finger=None, press=None)
    if (finger, press) == (None, None) or not _is_solved(usual_finger, solve):
        return None
    at = Place(instrument.source, "action", "finger" if press is None else "press")
    return fault_words.no_setback_with_finger().at(at)


def _is_solved(changed: Callable[[], Instrument], solve: Callable[[Instrument], object]) -> bool:
    """Whether all strings of a changed instrument have a bridge place, and none of them breaks."""
    try:
        solve(changed())
    except (InputFaults, NoSetbackError):
        return False
    return True


def _is_perhaps_half(instrument: Instrument, solve: Callable[[Instrument], object]) -> bool:
    """Whether the strings pull too little, and all would have a bridge place on twice the scale, without breaking."""
    if instrument.head.frets_measured is not None or instrument.stringing.tension_n.mean() >= SLACK_N:
        return False
    return _is_solved(partial(rescaled, instrument, 2 * instrument.head.scale_mm), solve)


def far_setback_checks(instrument: Instrument, setback_mm: FloatArray) -> Iterator[Check]:
    """Strings that need their bridge unusually far from the theoretical line. ``setback_mm``: of each."""
    for n, (back, length) in enumerate(zip(setback_mm.tolist(), instrument.stringing.length_mm.tolist(), strict=True)):
        question = perhaps_wound(instrument, n)
        if abs(back) > (ASK_AT_SETBACK_SHARE if question else WARN_AT_SETBACK_SHARE) * length:
            says = fault_words.far_setback(instrument.strings[n].note, back, question)
            at = Place(instrument.source, "strings" if question else "", "gauge" if question else "", n + 1)
            yield says.check(at, instrument.strings[n].called(n + 1))


def perhaps_wound(instrument: Instrument, index: int) -> fault_words.Question:
    """The question of a string that is thick for a plain one; empty for any other."""
    entry = instrument.strings[index]
    return fault_words.perhaps_wound(entry, index + 1) if entry.is_thick_and_plain else ()
