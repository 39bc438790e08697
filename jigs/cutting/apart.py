"""A drawing of several parts taken apart, so that each can lie elsewhere on the stock."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from jigs.cutting.parts import CHORDS_WITHIN_MM
from jigs.drawing.arcs import Point
from jigs.drawing.items import Circle, Drawing, Item, Line, Path, Role, Text

if TYPE_CHECKING:
    from shapely import Polygon

_OUTLINE = "-outline"


def apart(drawn: Drawing) -> Mapping[str, Drawing]:
    """Each part by its outline's id, with all that is on it: windows, marks, words. A lone part stays as it is.

    Outlines are the lines to cut that lie in no other. Everything else goes with the outline that it begins in, or nearest
    to.
    """
    from shapely import Point as Place

    cuts = [item for item in drawn if isinstance(item, Path) and item.role is Role.CUT]
    shapes = {path.id: _shape(path) for path in cuts}
    outer = [path for path in cuts if not _inside_another(path, shapes)]
    parts: dict[str, list[Item]] = {path.id: [] for path in outer}
    for item in drawn:
        place = Place(_begins(item))
        nearest = item if item in outer else min(outer, key=lambda path: shapes[path.id].distance(place))
        parts[nearest.id].append(item)
    return {name.removesuffix(_OUTLINE): Drawing(tuple(items)) for name, items in parts.items()}


def _shape(path: Path) -> "Polygon":
    from shapely import Polygon

    return Polygon(path.flattened(CHORDS_WITHIN_MM).runs[0])


def _inside_another(path: Path, shapes: Mapping[str, "Polygon"]) -> bool:
    return any(name != path.id and shape.contains(shapes[path.id]) for name, shape in shapes.items())


def _begins(item: Item) -> Point:
    """A point of an item: the middle of its first piece."""
    if isinstance(item, Circle):
        return item.centre
    if isinstance(item, Text):
        return item.at
    start, end = (item.start, item.end) if isinstance(item, Line) else (item.runs[0][0], item.runs[0][1])
    return (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
