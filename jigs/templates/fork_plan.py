"""Every place of the placement fork, before a line of it is drawn: legs, scales, window, words.

It is planned in the frame of a right-handed instrument, y from the nut, x to the treble side.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine, feet_outline_mm
from geometry.tolerance import PlaceTolerance
from jigs.drawing.items import paragraph_height_mm
from jigs.drawing.lettering import MEDIUM, SMALL, width_mm, wrapped
from jigs.drawing.room import Room
from jigs.workup.cents_scale import FARTHEST_CENTS, CentsScale, feet_line, leg_scales
from jigs.workup.on_the_top import feet_before_crown_mm, laid_line
from jigs.workup.sureness import how_sure
from jigs.workup.workup import Workup

TRAVEL_CLEARANCE_MM = 4.0
STRING_CLEARANCE_MM = 4.0
SHOULDER_MM = 10.0
CROSSBAR_MM = 5.0
LEG_WIDTHS_MM = (14.0, 24.0)
ROOMY_LEG_MM = 22.0
GAP = 1.8

WIDEST_GREY_MM = 15.0
"""Beyond this the place has to be found by ear; the words still say how far it may be."""


@dataclass(frozen=True)
class ForkPlan:
    """Every place of a fork, y from the nut and x from the centreline, in mm.

    ``inner`` and ``outside`` are the two edges of a leg, ``stem_half`` half the width of the stem.
    """

    datum_fret: int
    datum_over_fret: bool
    datum_mm: float
    stem_half: float
    inner: float
    outside: float
    shoulder_mm: float
    corner_mm: float
    window_mm: float
    scale_top_mm: float
    scale_foot_mm: float
    end_mm: float
    face: BridgeLine
    theoretical: BridgeLine
    feet: FloatArray
    sure: PlaceTolerance
    scales: tuple[CentsScale, CentsScale]
    top_words: tuple[tuple[str, ...], tuple[str, ...]]
    foot_words: tuple[str, ...]
    feet_words: tuple[str, ...]
    feet_words_mm: float

    @property
    def height(self) -> float:
        """From the datum to the ends of the legs."""
        return self.end_mm - self.datum_mm


def plan(
    workup: Workup, datum_fret: int, datum_over_fret: bool, room: Room, print_share: float | None = None
) -> ForkPlan:
    """Work out every place of the fork."""
    instrument = workup.instrument
    face = feet_line(workup)
    feet = feet_outline_mm(face, instrument.bridge.length, instrument.bridge.thickness)
    scales = leg_scales(workup)
    inner = scales[0].inner_mm
    leg = min(max(room.width / 2 - inner, LEG_WIDTHS_MM[0]), LEG_WIDTHS_MM[1])
    datum = float(workup.from_nut_mm[datum_fret - 1])
    if not datum_over_fret:
        datum += instrument.head.fret_crown_width / 2
    theoretical = laid_line(instrument, BridgeLine(workup.scale_mm, 0.0).shifted(feet_before_crown_mm(instrument)[1]))
    above = tuple(_words_above(workup, scale, leg) for scale in scales)
    below = _reading_in_words("sharp", "↓", "tail", leg)
    between = tuple(wrapped("the bridge's feet go here", SMALL, 2 * inner - 2 * GAP))
    reach = [s.place_mm(sign * FARTHEST_CENTS) for s in scales for sign in (-1, 1)]
    sure = how_sure(workup, datum_fret, datum_over_fret, print_share)
    ends = np.array([-inner - leg, inner + leg])
    marks = [float(y) for sign in (-1, 1) for y in face.at(ends) + sign * grey_mm(sure, ends)]
    top = min(*reach, *marks, theoretical.centre_mm) - SMALL / 2
    foot = max(*reach, *marks, theoretical.centre_mm) + SMALL / 2
    most_lines = max(len(words) for words in above)
    corner = top - 3 * GAP - paragraph_height_mm(most_lines, SMALL) - MEDIUM
    window = min(*reach, *feet[:, 1]) - TRAVEL_CLEARANCE_MM
    legs_end = foot + paragraph_height_mm(len(below), SMALL) + 2.5 * GAP
    under_feet = _below_feet(workup, face, between)
    feet_end = max(float(feet[:, 1].max()), under_feet + paragraph_height_mm(len(between), SMALL)) + GAP
    return ForkPlan(
        datum_fret=datum_fret,
        datum_over_fret=datum_over_fret,
        datum_mm=datum,
        stem_half=_widest_strings(workup, datum, window) + STRING_CLEARANCE_MM,
        inner=inner,
        outside=inner + leg,
        shoulder_mm=min(corner, window - CROSSBAR_MM) - SHOULDER_MM,
        corner_mm=min(corner, window - CROSSBAR_MM),
        window_mm=window,
        scale_top_mm=top,
        scale_foot_mm=foot,
        end_mm=max(legs_end, feet_end),
        face=face,
        theoretical=theoretical,
        feet=feet,
        sure=sure,
        scales=scales,
        top_words=(above[0], above[1]),
        foot_words=below,
        feet_words=between,
        feet_words_mm=under_feet,
    )


def grey_mm(sure: PlaceTolerance, across_mm: FloatArray) -> FloatArray:
    """Half the height of the grey that shows where the line may be; no leg is made longer for more than `WIDEST_GREY_MM`."""
    return np.minimum(sure.band_mm(across_mm), WIDEST_GREY_MM)


def _below_feet(workup: Workup, face: BridgeLine, words: tuple[str, ...]) -> float:
    """Where words under the middle of the feet may begin: the feet slant, and only their middle is over the words."""
    half = max(width_mm(line, SMALL) for line in words) / 2
    tail_side = face.shifted(-workup.instrument.bridge.thickness)
    return float(tail_side.at(np.array([-half, half])).max()) + GAP


def _widest_strings(workup: Workup, top: float, foot: float) -> float:
    return max(float(abs(workup.strings_at(y)).max()) for y in (top, foot))


def _wrapped(text: str, leg: float) -> tuple[str, ...]:
    return tuple(wrapped(text, SMALL, leg - 1.6))


def _reading_in_words(reading: str, arrow: str, way: str, leg: float) -> tuple[str, ...]:
    """Which way to go for a reading, in fewer words on a narrow leg."""
    if leg < ROOMY_LEG_MM:
        return _wrapped(f"{reading}: {arrow}\N{NO-BREAK SPACE}{way}", leg)
    return _wrapped(f"fretted {reading}: {arrow}\N{NO-BREAK SPACE}to the {way}", leg)


def _words_above(workup: Workup, scale: CentsScale, leg: float) -> tuple[str, ...]:
    name = workup.instrument.string_in_words(scale.string)
    if width_mm(name, SMALL) > leg - 2.0:
        name = f"{scale.string + 1}: {workup.instrument.strings[scale.string].note}"
    tick = f"1 tick: {scale.step}\N{NO-BREAK SPACE}cent{'s' if scale.step > 1 else ''}"
    return (name, *_wrapped(tick, leg), *_reading_in_words("flat", "↑", "nut", leg))
