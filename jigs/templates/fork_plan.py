"""Every place of the placement fork, before a line of it is drawn: legs, scales, window, words.

It is planned in the frame of a right-handed instrument, y from the nut, x to the treble side.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine, feet_outline_mm
from geometry.tolerance import PlaceTolerance
from jigs.drawing.items import paragraph_height_mm
from jigs.drawing.lettering import DESCENT_PER_CAPITAL, LINE_STEP, MEDIUM, SMALL, width_mm, wrapped
from jigs.drawing.room import Room
from jigs.instrument.tables import Bridge
from jigs.templates.fork_words import WIDEST_END, between_legs, words_on_leg
from jigs.workup.cents_scale import FARTHEST_CENTS, CentsScale, feet_line, leg_scales
from jigs.workup.on_the_top import feet_before_crown_mm, laid_line
from jigs.workup.sureness import how_sure
from jigs.workup.workup import Workup

TRAVEL_CLEARANCE_MM = 4.0
STRING_CLEARANCE_MM = 4.0
LEAST_STEM_MM = 30.0
SHOULDER_MM = 10.0
CROSSBAR_MM = 5.0
GAP = 1.8

LEG_WIDTHS_MM = (12.5, 22.0)
"""A leg is 22 mm wide, and narrower where the paper is. All that is on it has room in the least width."""

NUMBER_LANE_MM = width_mm("+10", SMALL) + 1.2
"""The outer part of a leg, for the numbers alone. A finger on the bridge's end covers the inner part at most."""

NUMBER_PITCH_MM = 1.36 * SMALL
"""Numbers below each other are at least so far apart."""

WORDS_ASIDE_MM = 0.6

WIDEST_GREY_MM = 15.0
"""Beyond this the place has to be found by ear; the words still say how far it may be."""


@dataclass(frozen=True)
class Leg:
    """What is on a leg, from the feet outwards: the lines of the scale, as far as ``lines_end``, then their numbers.

    ``numbers`` are cents with the base line of each; ``top_mm`` and ``foot_mm`` are the ends of all that, and
    the words are over it. ``middle`` is the middle of the leg.
    """

    scale: CentsScale
    lines_end: float
    middle: float
    numbers: tuple[tuple[int, float], ...]
    top_mm: float
    foot_mm: float
    name_mm: float
    words: tuple[str, ...]

    @property
    def name_top_mm(self) -> float:
        """Base line of the leg's name, over the words above the scale."""
        return self.top_mm - 1.5 * GAP - paragraph_height_mm(len(self.words), SMALL) - SMALL * (LINE_STEP - 1)


@dataclass(frozen=True)
class ForkPlan:
    """Every place of a fork, y from the nut and x from the centreline, in mm.

    ``inner`` and ``outside`` are the two edges of a leg, ``stem_half`` half the width of the stem. ``legs``: treble first.
    """

    datum_fret: int
    datum_over_fret: bool
    datum_mm: float
    stem_half: float
    inner: float
    outside: float
    corner_mm: float
    window_mm: float
    end_mm: float
    face: BridgeLine
    theoretical: BridgeLine
    feet: FloatArray
    sure: PlaceTolerance
    legs: tuple[Leg, Leg]
    feet_words: tuple[str, ...]
    feet_words_mm: float

    @property
    def height(self) -> float:
        """From the datum to the ends of the legs."""
        return self.end_mm - self.datum_mm

    @property
    def shoulder_mm(self) -> float:
        """Where the stem begins to widen."""
        return self.corner_mm - SHOULDER_MM

    @property
    def scales(self) -> tuple[CentsScale, CentsScale]:
        """The scales of both legs."""
        return self.legs[0].scale, self.legs[1].scale


def plan(
    workup: Workup, datum_fret: int, datum_over_fret: bool, room: Room, print_share: float | None = None
) -> ForkPlan:
    """Work out every place of the fork."""
    instrument = workup.instrument
    face = feet_line(workup)
    feet = feet_outline_mm(face, instrument.bridge.length, instrument.bridge.thickness)
    scales = leg_scales(workup)
    inner = scales[0].inner_mm
    datum = float(workup.from_nut_mm[datum_fret - 1])
    if not datum_over_fret:
        datum += instrument.head.fret_crown_width / 2
    theoretical = laid_line(instrument, BridgeLine(workup.scale_mm, 0.0).shifted(feet_before_crown_mm(instrument)[1]))
    sure = how_sure(workup, datum_fret, datum_over_fret, print_share)
    window = min(*(s.place_mm(-FARTHEST_CENTS) for s in scales), *feet[:, 1]) - TRAVEL_CLEARANCE_MM
    stem_half = max(_widest_strings(workup, datum, window) + STRING_CLEARANCE_MM, LEAST_STEM_MM / 2)
    leg = max(min(max(room.width / 2 - inner, LEG_WIDTHS_MM[0]), LEG_WIDTHS_MM[1]), stem_half - inner)
    treble, bass = (_leg(workup, scale, leg, (face, theoretical), sure) for scale in scales)
    corner = min(one.name_top_mm - one.name_mm for one in (treble, bass)) - GAP
    between = tuple(wrapped(between_legs(workup), SMALL, 2 * inner - 2 * GAP))
    words_mm = _feet_words_mm(face, instrument.bridge, between)
    ends = (
        *(one.foot_mm + GAP for one in (treble, bass)),
        max(float(feet[:, 1].max()), words_mm + paragraph_height_mm(len(between), SMALL)) + GAP / 2,
    )
    return ForkPlan(
        datum_fret=datum_fret,
        datum_over_fret=datum_over_fret,
        datum_mm=datum,
        stem_half=stem_half,
        inner=inner,
        outside=inner + leg,
        corner_mm=min(corner, window - CROSSBAR_MM),
        window_mm=window,
        end_mm=max(ends),
        face=face,
        theoretical=theoretical,
        feet=feet,
        sure=sure,
        legs=(treble, bass),
        feet_words=between,
        feet_words_mm=words_mm,
    )


def shortest_mm(workup: Workup, datum_fret: int) -> float:
    """What no fork from this fret is shorter than: from the bridge side of its crown to the nut side of the feet, mm."""
    datum = float(workup.from_nut_mm[datum_fret - 1]) + workup.instrument.head.fret_crown_width / 2
    return feet_line(workup).centre_mm - datum


def level_mm(scale: CentsScale, face: BridgeLine, cents: float, x: float) -> float:
    """Where the feet's nut side, carried on over the leg, lies at x for a reading; the other end is held at its leg."""
    turned = (x + scale.inner_mm) / (2 * scale.inner_mm)
    return float(face.at(np.array(x))) + cents * scale.mm_per_cent * turned


def _leg(
    workup: Workup, scale: CentsScale, width: float, lines: tuple[BridgeLine, BridgeLine], sure: PlaceTolerance
) -> Leg:
    """What is on a leg so wide. ``lines``: the feet's nut side, and where it would be without compensation."""
    face, theoretical = lines
    outward = 1.0 if scale.inner_mm > 0 else -1.0
    lines_end = scale.inner_mm + outward * (width - NUMBER_LANE_MM)
    numbers = _numbers(scale, face, lines_end)
    across = np.array([scale.inner_mm, lines_end])
    grey = grey_mm(sure, across)
    ticks = [level_mm(scale, face, sign * FARTHEST_CENTS, x) for x in across.tolist() for sign in (-1, 1)]
    marks = [*ticks, *(face.at(across) - grey).tolist(), *(face.at(across) + grey).tolist(), theoretical.centre_mm]
    room = width - 2 * WORDS_ASIDE_MM
    return Leg(
        scale=scale,
        lines_end=lines_end,
        middle=scale.inner_mm + outward * width / 2,
        numbers=numbers,
        top_mm=min(*marks, *(base - SMALL for _, base in numbers)),
        foot_mm=max(*marks, *(base for _, base in numbers)),
        name_mm=MEDIUM if width_mm(WIDEST_END, MEDIUM) <= room else SMALL,
        words=words_on_leg(workup, scale, room),
    )


def _numbers(scale: CentsScale, face: BridgeLine, x: float) -> tuple[tuple[int, float], ...]:
    """Cents with a number, and its base line: beside its tick's end at x, or as near to that as the next number lets it."""
    placed = [(0, level_mm(scale, face, 0, x) + SMALL / 2)]
    for sign in (-1, 1):
        last = placed[0][1]
        for cents in scale.numbered:
            beside = level_mm(scale, face, sign * cents, x) + SMALL / 2
            last = min(beside, last - NUMBER_PITCH_MM) if sign < 0 else max(beside, last + NUMBER_PITCH_MM)
            placed.append((sign * cents, last))
    return tuple(placed)


def grey_mm(sure: PlaceTolerance, across_mm: FloatArray) -> FloatArray:
    """Half the height of the grey that shows where the line may be; no leg is made longer for more than `WIDEST_GREY_MM`."""
    return np.minimum(sure.band_mm(across_mm), WIDEST_GREY_MM)


def _feet_words_mm(face: BridgeLine, bridge: Bridge, words: tuple[str, ...]) -> float:
    """Where words begin that say what the feet are: inside them, or below, where they are too small or slant too much."""
    half = max(width_mm(line, SMALL) for line in words) / 2
    ends = np.array([-half, half])
    nut_side, tail_side = face.at(ends), face.shifted(-bridge.thickness).at(ends)
    height = paragraph_height_mm(len(words), SMALL)
    spare = float(tail_side.min() - nut_side.max()) - height - SMALL * DESCENT_PER_CAPITAL
    inside = spare > 2 * WORDS_ASIDE_MM and 2 * (half + WORDS_ASIDE_MM) <= bridge.length
    return float(nut_side.max()) + spare / 2 if inside else float(tail_side.max()) + GAP


def _widest_strings(workup: Workup, top: float, foot: float) -> float:
    return max(float(abs(workup.strings_at(y)).max()) for y in (top, foot))
