"""How sure an instrument's bridge line is: its measurements for geometry/tolerance.py, and the answer in words.

An answer holds for one way of laying out a place. A scale error comes in full into a tape from the nut, and only in part
into a sheet that registers on a fret.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from geometry.bridge import line_response
from geometry.found import FoundError, found_tolerance, standard_deviation_mm, unexplained_mm
from geometry.lengths import round_half_up
from geometry.tolerance import (
    HALF_WIDTH_95,
    InputEffects,
    Measured,
    PlaceTolerance,
    Source,
    Spread,
    Sureness,
    input_effects,
    tolerance,
)
from jigs.instrument.found import Found
from jigs.instrument.instrument import Instrument
from jigs.wording import in_columns
from jigs.workup.table_words import (
    SOURCES,
    how_sure_heading,
    how_sure_rest,
    largest_in_words,
    parts_in_words,
    with_fork,
)
from jigs.workup.words import HeadlineFigure
from jigs.workup.workup import FoundPlace, Workup

_MOST_SHOWN = 3


def how_sure(
    workup: Workup,
    datum_fret: int | None = None,
    datum_over_fret: bool = False,
    print_share: float | None = None,
    tape: bool = False,
    same_make: bool | None = None,
) -> PlaceTolerance:
    """How sure the line is with a printed sheet that registers on a fret, the octave's by default, or with a ``tape``.

    ``print_share`` is the standard deviation of the print's scale, as a share; by default the instrument file gives it. The
    print is from the datum, the fret's bridge side or its middle, to the nut side of the bridge's feet.
    ``same_make``: whether today's strings are of the make that a place was found with; by default the file says it.
    """
    instrument, aims = workup.instrument, workup.instrument.compensation
    spread = _spread(instrument)
    if print_share is not None:
        spread = replace(spread, print_share=print_share)
    strung = instrument.stringing
    if tape:
        datum_to_bridge, printed = None, np.zeros(len(strung.length_mm))
    else:
        datum_to_bridge = to_bridge_mm(workup, datum_fret)
        edge = 0.0 if datum_over_fret else instrument.head.fret_crown_width / 2
        printed = datum_to_bridge - edge + workup.setbacks.setback_mm - instrument.bridge.face_mm
    response = line_response(workup.across_mm, workup.cents_per_mm, strung.full_length, aims.bridge_fit)
    now = _effects_of_inputs(workup)
    if workup.found is None:
        return tolerance(now, spread, response, datum_to_bridge, printed)
    found = workup.found
    then = None if not found.is_moved and not found.other_make else _effects_of_inputs(found.then)
    error = FoundError(
        standard_deviation_mm(instrument.found.plus_minus), workup.outer_mm, _found_from_mm(workup, instrument.found)
    )
    same_make = bool(instrument.found.same_make if same_make is None else same_make)
    return found_tolerance(now, then, same_make, error, workup.across_mm, spread, response, datum_to_bridge, printed)


def sure_by_tape(workup: Workup, same_make: bool | None) -> tuple[float, float]:
    """Half widths at the outer strings for a place that is marked with a tape, treble first."""
    sure = how_sure(workup, tape=True, same_make=same_make)
    treble, bass = (sure.of_line(x).half_width_mm for x in workup.outer_mm.tolist())
    return treble, bass


def sure_of_move(then: Workup, now: Workup, same_make: bool) -> tuple[float, float]:
    """Half widths of the 95% intervals of how far the line moves from one set of strings to another, treble first.

    Of the difference between both computed lines alone: where the bridge stands now, and how the move is measured, do not
    count. ``same_make``: whether both sets are of one make. Limits: those of `geometry.found.found_tolerance`.
    """
    instrument = now.instrument
    response = line_response(
        now.across_mm, now.cents_per_mm, instrument.stringing.full_length, instrument.compensation.bridge_fit
    )
    unmeasured = replace(_spread(instrument), scale_mm=0.0, datum_mm=0.0, laying_mm=0.0)
    still, unprinted = FoundError(0.0, now.outer_mm, now.scale_mm), np.zeros(len(now.across_mm))
    effects = _effects_of_inputs(now), _effects_of_inputs(then)
    sure = found_tolerance(*effects, same_make, still, now.across_mm, unmeasured, response, None, unprinted)
    treble, bass = (sure.of_line(x).half_width_mm for x in now.outer_mm.tolist())
    return treble, bass


def by_sheet_mm(workup: Workup, print_share: float | None = None) -> float:
    """Half width of the 95% interval of a mark on a printed sheet, against the fret that it registers on.

    Of its datum, its laying and its print alone; the larger of both ends. ``print_share`` as for `how_sure`.
    """
    spread = _spread(workup.instrument)
    share = spread.print_share if print_share is None else print_share
    printed = to_bridge_mm(workup, None) + max(0.0, float(workup.setbacks.setback_mm.max()))
    return HALF_WIDTH_95 * math.hypot(spread.datum_mm, spread.laying_mm, share * printed)


def beyond_mm(found: FoundPlace) -> tuple[float, float]:
    """By how much the correction at either outer string is larger than what is uncertain of both places explains.

    The computed place counts as it would be marked from where the found one was measured, without a print.
    """
    then = found.then
    of = replace(then.instrument, found=Found())
    from_nut = then.instrument.found.treble is not None
    sure = how_sure(replace(then, instrument=of), then.instrument.found.fret, print_share=0.0, tape=from_nut)
    computed = np.array([sure.of_line(x).half_width_mm for x in then.outer_mm.tolist()])
    own = np.full(2, then.instrument.found.plus_minus)
    treble, bass = unexplained_mm(np.array(found.correction_mm), computed, own).tolist()
    return treble, bass


def _found_from_mm(workup: Workup, found: Found) -> float:
    """From what a found place was measured from to the theoretical line: a fret, the sheet's usual one, or the nut."""
    if found.treble is not None:
        return workup.scale_mm
    return to_bridge_mm(workup, found.fret)


@lru_cache(maxsize=8)
def _effects_of_inputs(workup: Workup) -> InputEffects:
    """What does not depend on the sheet, once for an instrument: a fork is planned from many frets and on many papers."""
    instrument, aims = workup.instrument, workup.instrument.compensation
    return input_effects(measured(workup), workup.setbacks, aims.tune_to, aims.frets, _spread(instrument))


def _spread(instrument: Instrument) -> Spread:
    return replace(instrument.tolerance.spread, touch=instrument.touch)


def to_bridge_mm(workup: Workup, datum_fret: int | None) -> float:
    """From the fret that a sheet registers on to the theoretical line; half the scale where no fret is at the octave."""
    if datum_fret is None:
        return workup.scale_mm - workup.instrument.head.from_nut_to_octave_mm
    return float(workup.to_bridge_mm[datum_fret - 1])


def measured(workup: Workup) -> Measured:
    """What the instrument's setbacks were computed from."""
    instrument = workup.instrument
    action, tail, turns_share = instrument.action, instrument.tail, instrument.tolerance.turns_error_share
    return Measured(
        model=workup.model,
        wires=instrument.stringing.wires,
        scale_mm=workup.scale_mm,
        action_mm=action.fret_12,
        nut_height_mm=action.nut,
        relief_mm=action.relief,
        outside_mm=tail.afterlength + tail.headlength,
        slip=instrument.slip,
        core_error_mm=np.array([entry.core_error_mm(turns_share) for entry in instrument.strings]),
    )


def string_fields(workup: Workup, sure: PlaceTolerance) -> list[dict[str, Any]]:
    """The stable keys of every string's sureness."""
    return [_fields(sure.of_string(n), float(per_mm)) for n, per_mm in enumerate(workup.cents_per_mm)]


def bridge_fields(workup: Workup, sure: PlaceTolerance) -> dict[str, Any]:
    """The stable keys of the line's sureness: at its centre, and at both outer strings."""
    treble, bass = (float(workup.cents_per_mm[n]) for n in workup.outer_strings)
    fields = _fields(sure.of_line(0.0), (treble + bass) / 2)
    for end, string, per_mm in (("treble", workup.outer_strings[0], treble), ("bass", workup.outer_strings[1], bass)):
        place = sure.of_line(float(workup.across_mm[string]))
        fields[f"{end}_plus_minus_mm"] = place.half_width_mm
        fields[f"{end}_plus_minus_cents"] = place.half_width_cents(per_mm)
    return fields


def _fields(place: Sureness, cents_per_mm: float) -> dict[str, Any]:
    return {
        "plus_minus_mm": place.half_width_mm,
        "plus_minus_cents": place.half_width_cents(cents_per_mm),
        "contributions": [{"name": source.value, "mm": mm} for source, mm in place.contributions],
    }


def in_lines(workup: Workup, sure: PlaceTolerance) -> list[str]:
    """How sure each string's place and the line are, for a sheet on the usual fret, and what that mostly comes from."""
    words = workup.instrument.string_in_words
    places = [(words(n), sure.of_string(n), float(per_mm)) for n, per_mm in enumerate(workup.cents_per_mm)]
    for end, string in zip(("treble", "bass"), workup.outer_strings, strict=True):
        at_end = sure.of_line(float(workup.across_mm[string]))
        places.append((f"line, {end}", at_end, float(workup.cents_per_mm[string])))
    rows = [
        (
            name,
            f"± {_rough(place.half_width_mm)} mm",
            f"(± {_rough(place.half_width_cents(per_mm))} cents)",
            _mostly(place),
        )
        for name, place, per_mm in places
    ]
    return [*how_sure_heading(workup.instrument.octave_fret), *in_columns(rows, ">>><")]


@dataclass(frozen=True)
class EndSureness:
    """How sure the less sure end of the line is: which end, its half width, and each source's part, in words too."""

    end: str
    half_width_mm: float
    whole: str
    parts: tuple[tuple[Source, float, str], ...]


def least_sure_end(
    workup: Workup, datum_fret: int | None = None, datum_over_fret: bool = False, print_share: float | None = None
) -> EndSureness:
    """The end of the line that is less sure, with every part of its doubt, largest first; parameters as for `how_sure`."""
    sure = how_sure(workup, datum_fret, datum_over_fret, print_share)
    ends = zip(("treble", "bass"), workup.outer_mm.tolist(), strict=True)
    end, place = max(((name, sure.of_line(x)) for name, x in ends), key=lambda one: one[1].half_width_mm)
    parts = tuple((source, mm, _rough(mm)) for source, mm in place.contributions)
    return EndSureness(end, place.half_width_mm, _rough(place.half_width_mm), parts)


def in_short(
    workup: Workup,
    datum_fret: int | None = None,
    datum_over_fret: bool = False,
    print_share: float | None = None,
    laid_with: str = "",
) -> HeadlineFigure:
    """How sure the line is at both outer strings, with what, and what from. ``laid_with``: in words, a fork if empty."""
    sure = how_sure(workup, datum_fret, datum_over_fret, print_share)
    ends = [sure.of_line(float(workup.across_mm[string])) for string in workup.outer_strings]
    widths = list(dict.fromkeys(f"± {_rough(place.half_width_mm)} mm" for place in ends))
    laid_with = laid_with or with_fork(datum_fret or workup.instrument.octave_fret)
    n = max(range(len(ends)), key=lambda end: ends[end].half_width_mm)
    rest = how_sure_rest(widths[1:], laid_with, ("treble", "bass")[n], _mostly(ends[n], " mm"))
    return HeadlineFigure("how sure", widths[0], rest)


def mostly_from(workup: Workup, sure: PlaceTolerance) -> tuple[str, ...]:
    """What the line's ± mostly comes from at either end, at length and in short; empty where there is no doubt."""
    ends = [sure.of_line(float(workup.across_mm[string])) for string in dict.fromkeys(workup.outer_strings)]
    if not all(place.half_width_mm for place in ends):
        return ()
    largest = [SOURCES[place.contributions[0][0]] for place in ends]
    return parts_in_words([_mostly(place, most=2) for place in ends]), largest_in_words(largest)


def _mostly(place: Sureness, unit: str = "", most: int = _MOST_SHOWN) -> str:
    parts = [(source, mm) for source, mm in place.contributions if mm > 0]
    return ", ".join(f"{SOURCES[source]} {_rough(mm)}{unit}" for source, mm in parts[:most])


def _rough(value: float) -> str:
    """No finer than a tenth: nobody marks or hears more.

    >>> _rough(0.26), _rough(0.04), _rough(0.0)
    ('0.3', 'under 0.1', '0.0')
    """
    text = round_half_up(value, 1)
    return "under 0.1" if text == "0.0" and value > 0 else text
