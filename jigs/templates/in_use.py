"""What small pictures of a jig in use share: arrows."""

import math

from jigs.drawing.arcs import Point
from jigs.drawing.items import Path, Role

_HEAD_MM, _HEAD_HALF_MM = 1.3, 0.7


def arrow(start: Point, tip: Point, role: Role = Role.GUIDE, both_ends: bool = False) -> Path:
    """A line with an arrow's head at its tip, or at both ends of a length."""
    heads = (_head(start, tip), _head(tip, start)) if both_ends else (_head(start, tip),)
    return Path(((start, tip), *heads), role)


def _head(start: Point, tip: Point) -> tuple[Point, Point, Point]:
    (x, y), length = tip, math.dist(start, tip)
    along, across = (x - start[0]) / length, (y - start[1]) / length
    back, half = (x - _HEAD_MM * along, y - _HEAD_MM * across), (-_HEAD_HALF_MM * across, _HEAD_HALF_MM * along)
    return (back[0] + half[0], back[1] + half[1]), tip, (back[0] - half[0], back[1] - half[1])
