"""Arcs of circles between two points, by their bulge: the one number that makes a straight piece of a path round.

The bulge is the tangent of a quarter of the angle that the arc spans, as in DXF: 0 is straight, 1 a half circle. It is
positive where the arc turns from x towards y, which is clockwise on the page.
"""

import math
from dataclasses import dataclass
from typing import TypeAlias

Point: TypeAlias = tuple[float, float]

_STEADY = 1e-9


@dataclass(frozen=True)
class Arc:
    """An arc about ``centre``, from the angle ``start`` through ``sweep``, in radians; a negative sweep turns back."""

    centre: Point
    radius: float
    start: float
    sweep: float

    def at(self, share: float) -> Point:
        """The point that lies a share of the way along."""
        return on_circle(self.centre, self.radius, self.start + share * self.sweep)


def on_circle(centre: Point, radius: float, angle: float) -> Point:
    """A point of a circle; angles in radians, from x towards y."""
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def arc_of(start: Point, end: Point, bulge: float) -> Arc:
    """The arc between two points. Its centre is ``chord/2 + left · (1 − b²)/(4 b)`` from the start, its radius
    ``|chord| (1 + b²)/(4 |b|)``.

    >>> quarter = arc_of((1.0, 0.0), (0.0, 1.0), math.tan(math.pi / 8))
    >>> [round(abs(part), 6) for part in (*quarter.centre, quarter.radius - 1, quarter.sweep - math.pi / 2)]
    [0.0, 0.0, 0.0, 0.0]
    """
    across, down = end[0] - start[0], end[1] - start[1]
    aside = (1 - bulge * bulge) / (4 * bulge)
    centre = ((start[0] + end[0]) / 2 - down * aside, (start[1] + end[1]) / 2 + across * aside)
    radius = math.hypot(across, down) * (1 + bulge * bulge) / (4 * abs(bulge))
    return Arc(centre, radius, math.atan2(start[1] - centre[1], start[0] - centre[0]), 4 * math.atan(bulge))


def bulge_between(start: Point, end: Point, centre: Point, turns_on: bool) -> float:
    """Bulge of the arc about a centre that both points lie on, the way from x to y if ``turns_on``; at most a full turn."""
    angles = [math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, end)]
    sweep = (angles[1] - angles[0]) % (2 * math.pi)
    return math.tan(sweep / 4) if turns_on else -math.tan((2 * math.pi - sweep) / 4)


def flattened(start: Point, end: Point, bulge: float, within_mm: float) -> list[Point]:
    """Points from just behind the start to the end whose chords leave the arc by no more than ``within_mm``."""
    if abs(bulge) < _STEADY:
        return [end]
    arc = arc_of(start, end, bulge)
    widest = 2 * math.acos(max(1 - within_mm / arc.radius, 0.0))
    count = max(math.ceil(abs(arc.sweep) / widest), 1)
    return [*(arc.at(n / count) for n in range(1, count)), end]


def extremes(start: Point, end: Point, bulge: float) -> list[Point]:
    """The points of a piece that its bounds hang on: both ends, and where an arc runs along an axis."""
    if abs(bulge) < _STEADY:
        return [start, end]
    arc = arc_of(start, end, bulge)
    quarter = math.pi / 2
    low, high = sorted((arc.start, arc.start + arc.sweep))
    turns = range(math.ceil(low / quarter), math.floor(high / quarter) + 1)
    return [start, end, *(on_circle(arc.centre, arc.radius, n * quarter) for n in turns)]


def beziers(start: Point, end: Point, bulge: float) -> list[tuple[Point, Point, Point]]:
    """Cubic curves for formats without arcs: two control points and an end each, none spanning over 20 degrees.

    Control points lie 4/3 tan(sweep/4) radii along the tangents; 20 degrees leave the circle by 3e-8 of its radius.
    """
    arc = arc_of(start, end, bulge)
    count = max(math.ceil(abs(arc.sweep) / math.radians(20)), 1)
    step = arc.sweep / count
    reach = arc.radius * 4 / 3 * math.tan(step / 4)
    curves = []
    for n in range(count):
        first, last = arc.start + n * step, arc.start + (n + 1) * step
        begin, finish = on_circle(arc.centre, arc.radius, first), on_circle(arc.centre, arc.radius, last)
        one = (begin[0] - reach * math.sin(first), begin[1] + reach * math.cos(first))
        two = (finish[0] + reach * math.sin(last), finish[1] - reach * math.cos(last))
        curves.append((one, two, finish if n < count - 1 else end))
    return curves
