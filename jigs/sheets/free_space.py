"""Where a drawing leaves room for words: rectangles beside it, between it and the ruler, and below it.

A drawing is taken as solid from its left edge to its right edge at each height. So words never lie inside a part.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import FloatArray, IntArray
from jigs.drawing.items import Box
from jigs.drawing.room import Room

CLEAR_MM = 4.0
"""How far words keep from a drawing and from the ruler."""

LEAST_WIDTH_MM, LEAST_HEIGHT_MM = 34.0, 9.0
WIDEST_MM = 130.0
"""A wider space becomes columns: longer lines are hard to follow."""

TIDY, FULL = 0.5, 1.0
"""Steps in a single column are easy to follow; more words find room in many spaces, each as wide as can be."""

COLUMN_GAP_MM = 7.0
_ROW_MM = 2.0
_MOST, _WEIGHED, _AHEAD = 8, 8, 2

_SAME_LEVEL_MM = 16.0


def free_boxes(taken: Sequence[Box], room: Room, later: float = TIDY) -> list[Box]:
    """Rectangles of a room that the ``taken`` boxes leave free, in the order of reading.

    Each is taken out such that it and the next ones have most room; ``later`` is how much the room in those counts.
    """
    rows = _rows_of(taken, room)
    found: list[Box] = []
    while len(found) < _MOST:
        free, _ = _candidates(rows)
        if not free.size:
            break
        areas = _areas(free)
        largest = free[np.argsort(-areas, kind="stable")[:_WEIGHED]]
        weights = _areas(largest) + later * _left_by(largest, rows)
        best = largest[np.lexsort((largest[:, 0], -weights))[0]]
        found.append(Box(*best.tolist()))
        _take(best, rows)
    columns = [column for box in found for column in _columns(box)]
    return sorted(columns, key=lambda box: (round(box.top / _SAME_LEVEL_MM), box.left))


@dataclass(frozen=True)
class _Rows:
    """The rows of a room: where what is taken begins and ends in each, and how far each reaches, in mm.

    Where nothing is taken, it begins at the row's limit and ends at 0. ``lefts`` and ``rights`` have the shape
    (ways of filling the room, rows).
    """

    lefts: FloatArray
    rights: FloatArray
    limits: FloatArray
    reaches: tuple[float, float]

    def repeated(self, ways: int) -> "_Rows":
        """The same rows in so many ways, to take other rectangles from each."""
        return replace(self, lefts=np.repeat(self.lefts, ways, axis=0), rights=np.repeat(self.rights, ways, axis=0))


def _rows_of(taken: Sequence[Box], room: Room) -> _Rows:
    levels = np.arange(math.floor(room.height / _ROW_MM)) * _ROW_MM
    limits = np.where(levels >= room.corner_height, room.width, room.beside_ruler)
    left, top, right, bottom = np.array([(b.left, b.top, b.right, b.bottom) for b in taken]).reshape(-1, 4).T[..., None]
    first, last = np.floor((top - CLEAR_MM) / _ROW_MM), np.ceil((bottom + CLEAR_MM) / _ROW_MM)
    those = (first <= np.arange(len(levels))) & (np.arange(len(levels)) < last)
    begins = np.where(those, np.maximum(left - CLEAR_MM, 0.0), limits)
    lefts = np.minimum(begins.min(axis=0, initial=math.inf), limits)
    rights = np.where(those, right + CLEAR_MM, 0.0).max(axis=0, initial=0.0)
    return _Rows(lefts[None], rights[None], limits, (room.beside_ruler, room.width))


def _candidates(rows: _Rows) -> tuple[FloatArray, IntArray]:
    """The highest rectangles of every width, at the left of what is taken and at its right, and the way of each.

    Shapes (rectangles, 4): left, top, right and bottom, in mm; and (rectangles,). Those of a way lie together.
    """
    at_left, at_right = _each_once(rows.lefts), _each_once(rows.rights[rows.rights > 0.0])
    reaches = np.array(list(dict.fromkeys(rows.reaches)))
    begins = np.concatenate([np.zeros_like(at_left), np.repeat(at_right, len(reaches))])
    ends = np.concatenate([at_left, np.tile(reaches, len(at_right))])
    wide = ends - begins >= LEAST_WIDTH_MM
    begins, ends = begins[wide, None], ends[wide, None]
    lefts, rights = rows.lefts[:, None], rows.rights[:, None]
    beside = (rights <= begins) & (rights > 0.0) & (rows.limits >= ends)
    fits = np.where(begins == 0.0, lefts >= ends, beside)
    padded = np.zeros((*fits.shape[:2], fits.shape[2] + 2), dtype=np.int8)
    padded[..., 1:-1] = fits
    turns = padded[..., 1:] - padded[..., :-1]
    (way, which, top), (_, _, bottom) = np.nonzero(turns == 1), np.nonzero(turns == -1)
    high = (bottom - top) * _ROW_MM >= LEAST_HEIGHT_MM
    columns = begins[which, 0], top * _ROW_MM, ends[which, 0], bottom * _ROW_MM
    return np.stack(columns, axis=1)[high], way[high]


def _each_once(places: FloatArray) -> FloatArray:
    """The different places, in order. `numpy.unique` would do, but it loads all masked arrays."""
    return np.array(sorted(set(places.ravel().tolist())), dtype=float)


def _areas(boxes: FloatArray) -> FloatArray:
    return np.asarray((boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1]))


def _left_by(boxes: FloatArray, rows: _Rows) -> FloatArray:
    """Area of the next rectangles, each the largest that is then still free, when one of the ``boxes`` is taken out."""
    rows, area = rows.repeated(len(boxes)), np.zeros(len(boxes))
    ways: IntArray = np.arange(len(boxes))
    for _ in range(_AHEAD):
        for way, box in zip(ways.tolist(), boxes, strict=True):
            _take(box, rows, way)
        free, way_of = _candidates(rows)
        areas = _areas(free)
        order = np.lexsort((-areas, way_of))
        largest = order[np.diff(way_of[order], prepend=-1) > 0]
        ways, boxes = way_of[largest], free[largest]
        area[ways] += areas[largest]
    return area


def _take(box: FloatArray, rows: _Rows, way: int = 0) -> None:
    """Mark the rows of a rectangle: what was free at its side of the drawing is in use."""
    left, top, right, bottom = box.tolist()
    those = way, slice(round(top / _ROW_MM), round(bottom / _ROW_MM))
    if left == 0.0:
        rows.lefts[those] = 0.0
        rows.rights[those] = np.where(rows.rights[those] == 0.0, right + COLUMN_GAP_MM, rows.rights[those])
    else:
        rows.rights[those] = rows.limits[those[1]]


def _columns(box: Box) -> list[Box]:
    """A space as columns beside each other, as few as keep their lines short."""
    count = math.ceil((box.width + COLUMN_GAP_MM) / (WIDEST_MM + COLUMN_GAP_MM))
    step = (box.width + COLUMN_GAP_MM) / count
    lefts = [box.left + n * step for n in range(count)]
    return [Box(left, box.top, left + step - COLUMN_GAP_MM, box.bottom) for left in lefts]
