"""Every place of the gauge, before a line of it is drawn: notch, stem, legs, shoulders.

It is planned in the frame of a right-handed instrument, y from the nut, x to the treble side.
"""

import math
from dataclasses import dataclass

import numpy as np

from geometry.bridge import BridgeLine, end_movement_factor
from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.drawing.lettering import SMALL
from jigs.workup.board_edges import BoardEdges
from jigs.workup.cents_scale import CENTS_STEPS, LEAST_TICK_GAP_MM, widest_feet_mm
from jigs.workup.on_the_top import laid_line
from jigs.workup.workup import Workup

FARTHEST_CENTS, NUMBERED_CENTS = 10, 10
NOTCH_BEYOND_BOARD_MM = 2.0
SIDE_MM = 5.0
FEET_CLEARANCE_MM = 1.5
BEARING_MM = 6.0
LEAST_BEARING_MM = 2.0
RECESS_MM = 3.0
CROSSBAR_MM = 6.0
FLARE_MM = 8.0
HOLE_RADIUS_MM = 2.5
SIGHT_MM = 6.0
VEE_MM = 1.0
VEE_DEEP_MM = 2.0
FROM_EDGE_MM = 0.8
TICK_MM, LINE_MM = 1.6, 2.6
NUMBER_GAP_MM = 0.4
LEAST_SHANK_MM = 8.0

GAUGE_CENTS_STEPS = tuple(step for step in CENTS_STEPS if step > 1)
"""Finer steps than two cents are not to be read off a scored part, and not to be heard."""


@dataclass(frozen=True)
class GaugePlan:
    """Every place of a gauge, right-handed, y from the nut along the gauge, in mm.

    ``inner`` and ``outside`` are the two edges of a leg, ``tip`` the inner end of its shoulder. ``cents_step``: cents from
    tick to tick.
    """

    datum_fret: int
    datum_mm: float
    notch_mm: float
    nut_edge_mm: float
    hole_mm: float
    notch_half: float
    stem_half: float
    tip: float
    inner: float
    outside: float
    recess_mm: float
    corner_mm: float
    flare_mm: float
    end_mm: float
    foot_half: float
    face: BridgeLine
    cents_step: int

    def face_at(self, x: float) -> float:
        """The line of the shoulders at x."""
        return float(self.face.at(np.array(x)))

    @property
    def first_word_mm(self) -> float:
        """Where words may begin on the stem, below hole and sighting lines."""
        return max(self.hole_mm + HOLE_RADIUS_MM, self.datum_mm + SIGHT_MM + 2.0) + 2.0


def plan_from(workup: Workup, fret: int, cutter: Cutter) -> GaugePlan:
    """The gauge that drops over a fret."""
    instrument = workup.instrument
    face = laid_line(instrument, workup.face_line)
    wire, crown = float(workup.from_nut_mm[fret - 1]), instrument.head.fret_crown_width
    datum = wire + crown / 2
    notch = datum - crown - cutter.clearance_mm
    notch_half = BoardEdges(workup).widest_at(wire) + NOTCH_BEYOND_BOARD_MM
    stem_half = notch_half + max(cutter.web_mm, SIDE_MM)
    inner = widest_feet_mm(workup, face) + FEET_CLEARANCE_MM
    foot_half = instrument.bridge.length / 2 * math.cos(math.radians(face.slant_deg))
    strings = float(abs(workup.across_mm[list(workup.outer_strings)]).max())
    bearing = min(BEARING_MM, foot_half - strings - 2 * VEE_MM - 1.0)
    tip = foot_half - max(bearing, LEAST_BEARING_MM)
    per_cent = [per_cent_mm(workup, end, inner, foot_half) for end in (0, 1)]
    reach = FARTHEST_CENTS * max(per_cent)
    apart = (step for step in GAUGE_CENTS_STEPS if step * min(per_cent) >= LEAST_TICK_GAP_MM)
    lane = LINE_MM + NUMBER_GAP_MM + engraving.width_mm(f"+{NUMBERED_CENTS}", SMALL)
    outside = max(inner + max(lane, engraving.width_mm("treble", SMALL)) + 2 * FROM_EDGE_MM, stem_half)
    ends = [float(y) for y in face.at(np.array([-outside, -tip, tip, outside]))]
    lines_end = inner + FROM_EDGE_MM + LINE_MM
    lowest = float(face.at(np.array([-lines_end, lines_end])).max())
    recess = min(ends[1:3]) - RECESS_MM
    corner = min(recess - VEE_DEEP_MM - max(CROSSBAR_MM, cutter.web_mm), min(ends) - reach - 4 * SMALL)
    return GaugePlan(
        datum_fret=fret,
        datum_mm=datum,
        notch_mm=notch,
        nut_edge_mm=notch - cutter.web_mm,
        hole_mm=datum + max(cutter.web_mm, SIDE_MM) + HOLE_RADIUS_MM,
        notch_half=notch_half,
        stem_half=stem_half,
        tip=tip,
        inner=inner,
        outside=outside,
        recess_mm=recess,
        corner_mm=corner,
        flare_mm=corner - FLARE_MM,
        end_mm=lowest + max(reach + SMALL, LEAST_SHANK_MM),
        foot_half=foot_half,
        face=face,
        cents_step=next(apart, GAUGE_CENTS_STEPS[-1]),
    )


def per_cent_mm(workup: Workup, end: int, x: float, held: float) -> float:
    """How far the face moves at x for a cent, with the other end of the feet held."""
    string = workup.outer_strings[end]
    sign = 1.0 if end == 0 else -1.0
    factor = end_movement_factor(float(workup.across_mm[string]), sign * x, -sign * held)
    return factor / abs(float(workup.cents_per_mm[string]))


def level_mm(workup: Workup, p: GaugePlan, end: int, cents: int, x: float) -> float:
    """Where the feet's nut side, carried on over a leg, lies at x (always positive) for a reading."""
    return p.face_at(x if end == 0 else -x) + cents * per_cent_mm(workup, end, x, p.foot_half)


def outer_strings_at(workup: Workup, from_nut_mm: float) -> tuple[float, float]:
    """x of the outer full-length strings, or of the middle of their pairs: treble, bass."""
    places = workup.strings_at(from_nut_mm)[list(workup.outer_strings)].mean(axis=1).tolist()
    return places[0], places[1]
