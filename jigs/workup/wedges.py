"""The wedges of a gauge that can be set: their taper, their scale, and the line that they put the bridge on.

They stand between the gauge's legs and the feet's nut side. `geometry.wedges` has the frame: w outwards along the line of
the feet, v square to it towards the tail. All that is planned here follows from the instrument alone, so that a reading of
the wedges means the same on any gauge that was cut for one line.
"""

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine
from geometry.wedges import Wedge, WedgePair
from jigs.workup.cents_scale import feet_line, leg_scale
from jigs.workup.on_the_top import feet_before_crown_mm, laid_line, straight_line
from jigs.workup.workup import Workup

STAND_OFF_CENTS = 16
FARTHEST_FLAT, FARTHEST_SHARP = 10, 15
TAPERS = (10, 9, 8, 7, 6, 5, 4)
"""One in so many, from the flattest on. A steeper wedge slips: our own bound."""

USUAL_RANGE_CENTS, LEAST_RANGE_CENTS = 12, 8
"""The flattest taper with the usual range is taken; where none has it, the steepest, with the least range or more."""

MOST_LENGTH_MM = 110.0
LEAST_SCALE_MM = 1.5
LEAST_MEETING_MM = 3.0
LEAST_THICK_MM = 1.2
HANDLE_MM = 30.0
LEG_OUTSIDE_MM, LEG_INSIDE_MM = 8.0, 16.0
_LEAST_LEG_INSIDE_MM, _BESIDE_STRINGS_MM = 2.0, 3.0
_LEAST_GAP_MM, _FROM_NEXT_FOOT_MM, _CLEAR_OF_LEG_MM = 1.0, 0.5, 0.5
_LONGEST_FEET_MM = 300


@dataclass(frozen=True)
class SetByWedges:
    """Both wedges of an instrument, their gauge's legs, and the range of their scales, ``flat`` to ``sharp`` cents.

    ``line``: the feet's nut side as the gauge is drawn for it. ``taper``: 1 in so many. ``inner_mm`` and ``outer_mm``: w of
    a leg's edges.
    """

    line: BridgeLine
    pair: WedgePair
    taper: int
    flat: int
    sharp: int
    inner_mm: float
    outer_mm: float

    def place(self, side: float, w: float, v: float) -> tuple[float, float]:
        """x and y of a point, on the treble ``side`` (1) or on the bass side (−1)."""
        size, slope = math.hypot(1.0, self.line.slope), self.line.slope
        return (side * w - slope * v) / size, self.line.centre_mm + (slope * side * w + v) / size

    def feet_ends(self, ends_mm: FloatArray) -> tuple[tuple[float, float], tuple[float, float]]:
        """x and y of both ends of the feet's nut side, treble first, from v of both."""
        treble, bass = ends_mm.tolist()
        return self.place(1.0, self.pair.half_mm, treble), self.place(-1.0, self.pair.half_mm, bass)

    def shoulder_mm(self, wedge: Wedge, w: float) -> float:
        """v of a leg's shoulder, and of the wedge's edge on it while its face lies on the line."""
        middle = (self.inner_mm + self.outer_mm) / 2
        return -STAND_OFF_CENTS * wedge.mm_per_cent - (w - middle) / self.taper

    def mark_mm(self, wedge: Wedge, cents: float) -> float:
        """w of a reading on the wedge while its face lies on the line: it is read at the leg's outer edge."""
        return self.outer_mm + cents * wedge.scale_mm

    def end_mm(self, wedge: Wedge) -> float:
        """w of the wedge's outer end while its face lies on the line."""
        return self.mark_mm(wedge, self.sharp) + HANDLE_MM


def set_by_wedges(workup: Workup) -> SetByWedges | None:
    """The wedges of an instrument; None where its feet are too short for them."""
    return _planned(workup, workup.instrument.bridge.length)


def least_feet_mm(workup: Workup) -> float | None:
    """The shortest feet that have room for wedges, in whole millimetres; None if no feet have."""
    lengths = range(math.ceil(workup.instrument.bridge.length), _LONGEST_FEET_MM)
    return next((float(length) for length in lengths if _planned(workup, length) is not None), None)


def _planned(workup: Workup, length: float) -> SetByWedges | None:
    line, half = feet_line(workup), length / 2
    foot, next_foot = _outer_foot(workup, half)
    square = math.cos(math.radians(line.slant_deg))
    scales = (leg_scale(workup, end, sign * half * square, line) for end, sign in (("treble", 1.0), ("bass", -1.0)))
    per_cent = [scale.mm_per_cent * square for scale in scales]
    strings = float(abs(workup.outer_mm).max()) + _BESIDE_STRINGS_MM
    inner = min(max(half - LEG_INSIDE_MM, strings), half - _LEAST_LEG_INSIDE_MM)
    outer = half + LEG_OUTSIDE_MM
    fitting = [
        (taper, range_cents)
        for taper in TAPERS
        if taper * min(per_cent) >= LEAST_SCALE_MM
        for range_cents in [_range(taper, per_cent, half - LEAST_MEETING_MM - next_foot, (inner, outer, half))]
        if sum(range_cents) >= LEAST_RANGE_CENTS
    ]
    usual = (one for one in fitting if sum(one[1]) >= USUAL_RANGE_CENTS)
    taper, (flat, sharp) = next(usual, fitting[-1] if fitting else (0, (0, 0)))
    if not taper:
        return None
    tips = (half - LEAST_MEETING_MM - flat * taper * one for one in per_cent)
    treble, bass = (Wedge(one, 1 / taper, tip, foot) for one, tip in zip(per_cent, tips, strict=True))
    return SetByWedges(line, WedgePair(treble, bass, half), taper, flat, sharp, inner, outer)


def _range(taper: int, per_cent: list[float], travel_mm: float, leg: tuple[float, float, float]) -> tuple[int, int]:
    """Cents flat and sharp that a wedge can be set to, as many of either where its travel is short.

    It is limited by its travel and its length. Drawn out, it must keep its thickness at the tip, and clear the leg.
    """
    inner, outer, half = leg
    widest, narrowest = taper * max(per_cent), min(per_cent)
    spare = MOST_LENGTH_MM - HANDLE_MM - (outer - half + LEAST_MEETING_MM)
    cents = math.floor(min(travel_mm, spare) / widest + 1e-9)
    middle = (inner + outer) / 2
    at_tip = LEAST_THICK_MM - (half - LEAST_MEETING_MM - middle) / taper
    thinnest = max(at_tip, (middle - inner) / taper + _CLEAR_OF_LEG_MM)
    most_flat = max(math.floor(STAND_OFF_CENTS - thinnest / narrowest), 0)
    flat = min(FARTHEST_FLAT, most_flat, (cents + 1) // 2)
    return flat, min(FARTHEST_SHARP, cents - flat)


def _outer_foot(workup: Workup, half: float) -> tuple[float, float]:
    """w where the outer foot begins, −∞ for a base without a gap; and how far in a wedge's tip may go.

    That is the middle of the bridge, or short of the next foot, which the tip of a turned bridge's wedge would push aside.
    """
    feet, foot = workup.instrument.bridge.feet, workup.instrument.bridge.foot
    gap = 0.0 if feet == 1 or foot is None else (2 * half - feet * foot) / (feet - 1)
    if foot is None or gap < _LEAST_GAP_MM:
        return -math.inf, 0.0
    begins = half - foot
    return begins, max(begins - gap + _FROM_NEXT_FOOT_MM, 0.0)


def line_at_wedges(workup: Workup, wedges: SetByWedges, cents: tuple[float, float]) -> BridgeLine:
    """The crown's line with the feet against both wedges, set to readings of their scales, treble first.

    Along an arched top the sheet is longer than the way straight on, as `line_at_ticks` says of ticks.
    """
    x, y = np.array(wedges.feet_ends(wedges.pair.ends_mm(np.array(cents)))).T
    face = straight_line(workup.instrument, BridgeLine.through(x, y))
    return face.shifted(-feet_before_crown_mm(workup.instrument)[1])


def wedges_at_line(workup: Workup, wedges: SetByWedges, line: BridgeLine) -> tuple[float, float]:
    """The reverse: the readings to set both wedges to, so that the crown stands on a line."""
    face = line.shifted(feet_before_crown_mm(workup.instrument)[1])
    treble, bass = wedges.pair.cents_for(_ends(wedges, laid_line(workup.instrument, face))).tolist()
    return treble, bass


def _ends(wedges: SetByWedges, laid: BridgeLine) -> FloatArray:
    """v of another line at both ends of the feet, treble first: where it is met on the way square to the feet's line."""
    size = math.hypot(1.0, wedges.line.slope)
    apart = [float(laid.at(np.array(x))) - y for x, y in wedges.feet_ends(np.zeros(2))]
    return np.array(apart) * size / (1.0 + laid.slope * wedges.line.slope)


def zero_in_words(workup: Workup) -> str:
    """Which line the zero of both scales is."""
    return "computed" if workup.found is None else "found"
