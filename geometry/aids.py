"""Measuring aids: a wedge for heights, a strip for scale lengths, a comb for steps, a protractor for slants.

All lengths are in mm. The wedge lies in the plane across the strings: x from the point where its slope would meet its base,
y up from the base, which stands on the top of a fret.
"""

import math
from itertools import count, takewhile

from geometry.lengths import MM_PER_INCH

WEDGE_RISE = 1 / 20
WEDGE_LEAST_MM, WEDGE_MOST_MM = 0.3, 6.0
"""Heights that the wedge measures: a thinner tip would break off."""

WEDGE_STEP_MM = 0.1
SIXTY_FOURTH_MM = float(MM_PER_INCH) / 64

STRIP_STEP_MM = 1.0
"""Scale lengths from line to line on the strip. At half the scale these lines are 0.5 mm apart."""

STRIP_STEP_INCH = 1 / 16
COUNTED_CORE_SHARE = 0.005
"""Standard deviation of a core worked out from the turns in the counter's window, as a share of the gauge: half a turn
either way, even odds, on strings up to 1.25 mm."""

COMB_STEP_MM, COMB_REACH_MM = 0.25, 3.0
SLANT_STEP_DEG, SLANT_REACH_DEG = 0.5, 8.0


def height_at_mm(along_mm: float, rise: float = WEDGE_RISE) -> float:
    """Height of the wedge at a place along it, x · rise.

    >>> height_at_mm(60.0)
    3.0
    """
    return along_mm * rise


def along_wedge_mm(height_mm: float, rise: float = WEDGE_RISE) -> float:
    """Where along the wedge it is that high.

    >>> round(along_wedge_mm(0.3), 9), round(along_wedge_mm(6.0), 9)
    (6.0, 120.0)
    """
    return height_mm / rise


def where_string_touches_mm(height_mm: float, diameter_mm: float, rise: float = WEDGE_RISE) -> float:
    """Place along the wedge where its slope touches the underside of a string, when it is slid in as far as it goes.

    The string runs square to the wedge: a circle of radius r, its lowest point at the height h. The slope touches it where
    its normal goes through the centre, at the height h + r (1 − cos α) with tan α = rise, so a little past the lowest
    point. For a string of 1.5 mm that reads 0.001 mm too much.

    >>> round(where_string_touches_mm(3.0, 1.5), 3)
    60.019
    """
    lifted = diameter_mm / 2 * (1 - math.cos(math.atan(rise)))
    return along_wedge_mm(height_mm + lifted, rise)


def wedge_ticks_mm(step_mm: float) -> list[tuple[int, float]]:
    """The ticks of the wedge in a unit: how many steps high it is there, and where along it that is.

    >>> ticks = wedge_ticks_mm(WEDGE_STEP_MM)
    >>> ticks[0][0], round(ticks[0][1], 9), ticks[-1][0], round(ticks[-1][1], 9)
    (3, 6.0, 60, 120.0)
    """
    near = 1e-9
    steps = takewhile(lambda n: n * step_mm <= WEDGE_MOST_MM + near, count(1))
    return [(n, along_wedge_mm(n * step_mm)) for n in steps if n * step_mm >= WEDGE_LEAST_MM - near]


def on_strip_mm(scale_mm: float, octave_share: float) -> float:
    """How far from the nut the octave's fret is on a scale; ``octave_share``: its share of the scale, 0.5 by the rule.

    >>> on_strip_mm(650.0, 0.5)
    325.0
    """
    return scale_mm * octave_share


def scale_of_strip_mm(nut_to_octave_mm: float, octave_share: float) -> float:
    """The scale that a place on the strip means.

    >>> scale_of_strip_mm(325.0, 0.5)
    650.0
    """
    return nut_to_octave_mm / octave_share


def comb_lines_mm() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Lines at the two sides of each gap: every half millimetre on one, staggered by a quarter on the other.

    >>> halves, quarters = comb_lines_mm()
    >>> halves[:3], quarters[:3], len(halves) + len(quarters)
    ((-3.0, -2.5, -2.0), (-2.75, -2.25, -1.75), 25)
    """
    reach = round(COMB_REACH_MM / COMB_STEP_MM)
    lines = [n * COMB_STEP_MM for n in range(-reach, reach + 1)]
    return tuple(lines[::2]), tuple(lines[1::2])


def ray_across_mm(slant_deg: float, up_mm: float) -> float:
    """How far to the side a ray of the protractor is at a height over its edge.

    >>> round(ray_across_mm(8.0, 80.0), 3)
    11.243
    """
    return up_mm * math.tan(math.radians(slant_deg))


def slant_of_two_deg(treble_deg: float, bass_deg: float) -> float:
    """Slant of a bridge from the readings at its outer strings, which lean as much to one side as to the other.

    >>> slant_of_two_deg(1.5, 3.5)
    2.5
    """
    return (treble_deg + bass_deg) / 2
