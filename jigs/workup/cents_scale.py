"""The scale of cents along each leg of a fork, and along a bridge's feet."""

from dataclasses import dataclass

import numpy as np

from geometry.bridge import BridgeLine, end_movement_factor, feet_outline_mm
from geometry.readings import held_end_shift_mm
from jigs.workup.on_the_top import laid_line
from jigs.workup.workup import Workup

FARTHEST_CENTS = 15
CENTS_STEPS = (1, 2, 5)
LEAST_TICK_GAP_MM = 0.8
LEAST_NUMBER_GAP_MM = 3.6
FEET_CLEARANCE_MM = 1.5


@dataclass(frozen=True)
class CentsScale:
    """The scale on one leg: ``mm_per_cent`` at the leg's inner edge, where ``mark_mm`` is its zero."""

    end: str
    string: int
    inner_mm: float
    mark_mm: float
    mm_per_cent: float

    @property
    def step(self) -> int:
        """Cents from tick to tick: the finest step that keeps them apart."""
        apart = (s for s in CENTS_STEPS if s * self.mm_per_cent >= LEAST_TICK_GAP_MM)
        return next(apart, CENTS_STEPS[-1])

    @property
    def ticks(self) -> list[int]:
        """Signed cents of every tick except the mark."""
        up = range(self.step, FARTHEST_CENTS + 1, self.step)
        return [sign * cents for cents in up for sign in (-1, 1)]

    def place_mm(self, cents: float) -> float:
        """Where the end stands for a reading: sharp is away from the nut."""
        return self.mark_mm + cents * self.mm_per_cent

    @property
    def numbered(self) -> tuple[int, ...]:
        """Cents with a number: the fives where they keep apart and have a tick, otherwise only ten."""
        fives_fit = 5 * self.mm_per_cent >= LEAST_NUMBER_GAP_MM and 5 % self.step == 0
        return (5, 10, 15) if fives_fit else (10,)


def feet_line(workup: Workup) -> BridgeLine:
    """The feet's nut side, as it lies on a sheet on the top or head."""
    return laid_line(workup.instrument, workup.face_line)


def leg_scales(workup: Workup) -> tuple[CentsScale, CentsScale]:
    """The scales on both legs, treble first, each along its leg's inner edge, clear of the feet."""
    face = feet_line(workup)
    inner = widest_feet_mm(workup, face) + FEET_CLEARANCE_MM
    return leg_scale(workup, "treble", inner, face), leg_scale(workup, "bass", -inner, face)


def carried_share(workup: Workup) -> float:
    """How far an end that is moved alone, the other one held at its leg, shifts the other outer string: the larger share of
    both ends. Zero where one string sets the whole bridge.
    """
    if workup.outer_strings[0] == workup.outer_strings[1]:
        return 0.0
    places, legs = workup.outer_mm.tolist(), leg_scales(workup)
    return max(held_end_shift_mm(1.0, places[n], places[1 - n], legs[1 - n].inner_mm) for n in (0, 1))


def widest_feet_mm(workup: Workup, face: BridgeLine) -> float:
    """How far the feet reach from the centreline, with either end anywhere on its scale."""
    bridge = workup.instrument.bridge
    half = bridge.length / 2
    scales = (leg_scale(workup, "treble", half, face), leg_scale(workup, "bass", -half, face))
    turn = max(FARTHEST_CENTS * scale.mm_per_cent for scale in scales) / bridge.length
    slopes = (face.slope - turn, face.slope, face.slope + turn)
    outlines = (feet_outline_mm(BridgeLine(face.centre_mm, s), bridge.length, bridge.thickness) for s in slopes)
    return max(float(abs(outline[:, 0]).max()) for outline in outlines)


def leg_scale(workup: Workup, end: str, inner: float, face: BridgeLine) -> CentsScale:
    """One end is moved while the other leg's end is held."""
    string = workup.outer_strings[0 if end == "treble" else 1]
    factor = end_movement_factor(float(workup.across_mm[string]), inner, -inner)
    per_cent = factor / abs(float(workup.cents_per_mm[string]))
    return CentsScale(end, string, inner, float(face.at(np.array(inner))), per_cent)
