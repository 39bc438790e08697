"""Two small crosses on a part, to lay a second pass on the first: on the page that is printed and in the file that is cut.

They are guides, so nothing cuts them. They lie at the same places of the part in every format.
"""

import math
from typing import TYPE_CHECKING

from jigs.cutting.parts import CHORDS_WITHIN_MM, CutPart
from jigs.drawing.arcs import Point
from jigs.drawing.items import Drawing, Path, Role, bounds

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

ARM_MM = 1.5
CLEAR_MM = 1.0
FROM_WORDS_MM = 6.0
"""A cross beside a number reads as its sign."""

_DECIMALS = 1


def crosses(part: CutPart, on_it: Drawing) -> Drawing:
    """The crosses, as near to two opposite corners of the part's box as its windows and what is drawn ``on_it`` allow.

    They lie on the part, because words are printed beside it, and far from its own words if there is room. A part without
    room for them has none.
    """
    from shapely import Point as Corner
    from shapely import shortest_line

    free = _free(part, on_it, FROM_WORDS_MM)
    free = _free(part, on_it, CLEAR_MM) if free.is_empty else free
    if free.is_empty:
        return Drawing()
    left, top, right, bottom = _shape(part.outline).bounds
    across = [((left, top), (right, bottom)), ((right, top), (left, bottom))]
    pairs = [[_rounded(shortest_line(free, Corner(corner)).coords[0]) for corner in pair] for pair in across]
    one, other = max(pairs, key=lambda pair: round(math.dist(*pair), _DECIMALS))
    return Drawing((_cross(one, "cross-1"), _cross(other, "cross-2"))) if one != other else Drawing()


def _free(part: CutPart, on_it: Drawing, from_words_mm: float) -> "BaseGeometry":
    """Where the middle of a cross may lie: so far from the part's words, and clear of its edges and marks."""
    from shapely import box, union_all

    reach = ARM_MM + CLEAR_MM
    taken = [_shape(window).buffer(reach) for window in part.windows]
    for item in on_it:
        b, aside = bounds(item), ARM_MM + (from_words_mm if item.role is Role.ENGRAVED else CLEAR_MM)
        taken.append(box(b.left - aside, b.top - aside, b.right + aside, b.bottom + aside))
    return _shape(part.outline).buffer(-reach) - union_all(taken)


def _shape(path: Path) -> "Polygon":
    from shapely import Polygon

    return Polygon(path.flattened(CHORDS_WITHIN_MM).runs[0])


def _rounded(point: Point) -> Point:
    return round(point[0], _DECIMALS), round(point[1], _DECIMALS)


def _cross(at: Point, name: str) -> Path:
    (x, y), arm = at, ARM_MM
    return Path((((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))), Role.GUIDE, name)
