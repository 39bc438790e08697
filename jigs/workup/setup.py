"""The figures that you need to set the bridge by ear: where each end belongs, how far to move it for each reading in cents,
and what every fret reads before and after. The setup card draws them.
"""

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray, IntArray
from geometry.bridge import end_movement_factor
from geometry.frets import has_octave
from geometry.fretting import error_cents
from geometry.readings import READINGS_ASKED_FOR, STOP_QUANTILE, USUAL_ERRORS, move_for_cents, only
from jigs.workup.sureness import how_sure
from jigs.workup.workup import Workup

TABLE_CENTS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20)
"""Readings that the table of moves has a row for."""

READINGS_SHOW_CENTS = STOP_QUANTILE * math.sqrt(USUAL_ERRORS.pair_variance / READINGS_ASKED_FOR)
"""The least difference that the mean of the readings asked for shows, with a usual tuner and finger."""


@dataclass(frozen=True)
class BridgeEnd:
    """One end of the bridge, set by the outer full-length string beside it.

    ``name`` is treble or bass and ``side`` where that lies with the nut at the top; or bridge and nothing where one string
    sets all of it. ``string`` is the string's index; ``crown_mm`` and ``face_mm`` where the
    crown and the nut side of the feet belong at that string, from the nut; ``plus_minus_mm`` and ``plus_minus_cents`` how
    sure that is; ``aim_cents`` what the string is meant to read, fretted note against harmonic. ``to_nut_mm`` and
    ``to_tail_mm``: how far the bridge goes at that string for each of `TABLE_CENTS` flat or sharp of the aim;
    ``end_factor``: how much farther the end of its feet goes, with the other end held.
    """

    name: str
    side: str
    string: int
    crown_mm: float
    face_mm: float
    plus_minus_mm: float
    plus_minus_cents: float
    aim_cents: float
    to_nut_mm: FloatArray
    to_tail_mm: FloatArray
    end_factor: float


@dataclass(frozen=True)
class FretErrors:
    """What a string's frets read on the bridge with the steps that it has, in cents against the open string, sharp positive.

    ``frets`` are those of the neck, ``octave`` the one at the string's octave, or 0 without one; ``before`` with the crown
    square on the theoretical line and the nut as it is, ``after`` with both where they were computed to be.
    """

    frets: IntArray
    octave: int
    before_cents: FloatArray
    after_cents: FloatArray


def bridge_ends(
    workup: Workup, datum_fret: int | None = None, datum_over_fret: bool = False, print_share: float | None = None
) -> tuple[BridgeEnd, ...]:
    """Both ends, treble first; one only where there is one full-length string. Raises `ReadingError`.

    How sure they are is for the fork that places the bridge: the other arguments are as `how_sure` takes them.
    """
    instrument, outer_strings = workup.instrument, list(dict.fromkeys(workup.outer_strings))
    sides = ("right", "left") if instrument.head.hand == "right" else ("left", "right")
    half = instrument.bridge.length / 2
    known = (
        list(zip(("treble", "bass"), sides, (half, -half), strict=True))
        if len(outer_strings) > 1
        else [("bridge", "", half)]
    )
    sure = how_sure(workup, datum_fret, datum_over_fret, print_share)
    cents = np.array(TABLE_CENTS, dtype=float)
    nut, aims = workup.setbacks.nut_setback_mm[outer_strings], workup.left_cents[outer_strings]
    to_nut, to_tail = move_for_cents(only(workup.model, outer_strings), nut, aims, np.stack((-cents, cents)))
    ends = []
    for n, (string, (name, side, end)) in enumerate(zip(outer_strings, known, strict=True)):
        x = float(workup.across_mm[string])
        place = sure.of_line(x)
        ends.append(
            BridgeEnd(
                name=name,
                side=side,
                string=string,
                crown_mm=float(workup.line.at(np.array(x))),
                face_mm=float(workup.face_line.at(np.array(x))),
                plus_minus_mm=place.half_width_mm,
                plus_minus_cents=place.half_width_cents(float(workup.cents_per_mm[string])),
                aim_cents=float(workup.left_cents[string]),
                to_nut_mm=-to_nut[:, n],
                to_tail_mm=to_tail[:, n],
                end_factor=end_movement_factor(x, end, -end),
            )
        )
    return tuple(ends)


def fret_errors(workup: Workup) -> tuple[FretErrors, ...]:
    """Every string's frets, before and after."""
    before, _ = workup.cents_with_bridge_at(workup.scale_mm, workup.scale_mm)
    back = workup.setback_on_mm(workup.line)
    after = error_cents(workup.model, back, workup.setbacks.nut_setback_mm)
    starts = [entry.starts_at_fret for entry in workup.instrument.strings]
    known = has_octave(workup.model.wanted, workup.model.has_fret)
    octaves = np.where(known, np.array(starts) + workup.octave_frets, 0).tolist()
    return tuple(
        FretErrors(np.flatnonzero(own) + 1 + starts[n], octaves[n], before[n, own], after[n, own])
        for n, own in enumerate(workup.model.has_fret)
    )
