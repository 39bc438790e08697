"""A name engraved on a part that lacks one, where the part has room: parts of several instruments lie on one sheet."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from jigs.cutting.engraving import engraved, width_mm
from jigs.cutting.parts import CHORDS_WITHIN_MM
from jigs.drawing.items import Drawing, Path, Role, Text, bounds, drawing, strokes

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

NAME = "name"
"""The id of the words that say which instrument a part is for, or its end where a drawing has several parts."""

HEIGHTS_MM = (2.0, 1.5)
CLEAR_MM = 0.7
_DESCENT = 0.35
_STEP_MM, _ENOUGH_MM = 1.0, 3.0


def is_named(part: Drawing) -> bool:
    """Whether a part says which instrument it is for."""
    return any(item.id == NAME or item.id.endswith(f"-{NAME}") for item in part)


def named(part: Drawing, names: Sequence[str]) -> Drawing:
    """The part with the first of some names that it has room for, across or down it; without room as it was."""
    import shapely

    free = _free(part)
    shapely.prepare(free)
    for height_mm in HEIGHTS_MM:
        for name in names:
            for text in _places(free, name, height_mm):
                stroked = engraved(text)
                return part if stroked is None else part + drawing(stroked)
    return part


def _free(part: Drawing) -> "BaseGeometry":
    """The stock of a part that nothing is on, and nothing within reach."""
    from shapely import union_all

    cuts = [_shape(item) for item in part if isinstance(item, Path) and item.role is Role.CUT]
    outline, *windows = sorted(cuts, key=lambda shape: -shape.area)
    taken = [window.buffer(CLEAR_MM) for window in windows]
    return outline.buffer(-CLEAR_MM) - union_all([*taken, *_taken(part)])


def _taken(part: Drawing) -> Iterator["Polygon"]:
    from shapely import box

    for item in part:
        for b in () if item.role is Role.CUT else [bounds(item)] if item.role is Role.ENGRAVED else strokes(item):
            yield box(b.left - CLEAR_MM, b.top - CLEAR_MM, b.right + CLEAR_MM, b.bottom + CLEAR_MM)


def _shape(path: Path) -> "Polygon":
    from shapely import Polygon

    return Polygon(path.flattened(CHORDS_WITHIN_MM).runs[0])


def _places(free: "BaseGeometry", name: str, height_mm: float) -> Iterator[Text]:
    """The name where it lies on free stock: the clearest place across, and the clearest down."""
    import shapely

    if free.is_empty:
        return
    left, top, right, foot = free.bounds
    along, high = width_mm(name, height_mm), height_mm * (1 + _DESCENT)
    for turned in (False, True):
        width, height = (high, along) if turned else (along, high)
        xs, ys = np.arange(left, right - width, _STEP_MM), np.arange(top, foot - height, _STEP_MM)
        x, y = (each.ravel() for each in np.meshgrid(xs, ys))
        boxes = shapely.box(x, y, x + width, y + height)
        fits = np.flatnonzero(shapely.contains(free, boxes))
        if len(fits):
            clear = np.minimum(shapely.distance(boxes[fits], free.boundary), _ENOUGH_MM)
            best = fits[np.argmax(clear.round(1))]
            at_x, at_y = float(x[best]), float(y[best])
            at = (at_x + height_mm * _DESCENT, at_y) if turned else (at_x, at_y + height_mm)
            yield Text(at, name, height_mm, angle_deg=90.0 if turned else 0.0, id=NAME)
