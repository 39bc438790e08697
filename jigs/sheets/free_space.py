"""Where a drawing leaves room for words: rectangles beside it, between it and the ruler, and below it.

A drawing is taken as solid from its left edge to its right edge at each height. So words never lie inside a part.
"""

import math
from collections.abc import Iterable, Sequence
from itertools import groupby

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
    lefts, rights = _edges(taken, room)
    found: list[Box] = []
    while len(found) < _MOST:
        largest = sorted(_candidates(lefts, rights, room), key=_area, reverse=True)[:_WEIGHED]
        if not largest:
            break
        best = max(largest, key=lambda one: (_area(one) + later * _left_by(one, lefts, rights, room), -one.left))
        found.append(best)
        _take(best, lefts, rights, room)
    columns = [column for box in found for column in _columns(box)]
    return sorted(columns, key=lambda box: (round(box.top / _SAME_LEVEL_MM), box.left))


def _area(box: Box) -> float:
    return box.width * box.height


def _left_by(box: Box, lefts: Sequence[float], rights: Sequence[float], room: Room) -> float:
    """Area of the next rectangles, each the largest that is then still free, when one is taken out."""
    lefts, rights = list(lefts), list(rights)
    area = 0.0
    for _ in range(_AHEAD):
        _take(box, lefts, rights, room)
        following = max(_candidates(lefts, rights, room), key=_area, default=None)
        if following is None:
            break
        box, area = following, area + _area(following)
    return area


def _rows(room: Room) -> int:
    return math.floor(room.height / _ROW_MM)


def _limit(row: int, room: Room) -> float:
    """The right end of a row: the room's, or that beside the ruler."""
    return room.width if row * _ROW_MM >= room.corner_height else room.beside_ruler


def _edges(taken: Sequence[Box], room: Room) -> tuple[list[float], list[float]]:
    """For each row, where what is taken begins and ends; at its right limit and at 0 where nothing is."""
    rows = _rows(room)
    lefts, rights = [_limit(row, room) for row in range(rows)], [0.0] * rows
    for box in taken:
        first = max(math.floor((box.top - CLEAR_MM) / _ROW_MM), 0)
        last = min(math.ceil((box.bottom + CLEAR_MM) / _ROW_MM), rows)
        for row in range(first, last):
            lefts[row] = min(lefts[row], max(box.left - CLEAR_MM, 0.0))
            rights[row] = max(rights[row], box.right + CLEAR_MM)
    return lefts, rights


def _candidates(lefts: Sequence[float], rights: Sequence[float], room: Room) -> Iterable[Box]:
    """The highest rectangles of every width, at the left of what is taken and at its right."""
    rows = range(len(lefts))
    for right in sorted(set(lefts)):
        yield from _runs((lefts[row] >= right for row in rows), 0.0, right)
    limits = [_limit(row, room) for row in rows]
    for left in sorted(set(rights) - {0.0}):
        for right in dict.fromkeys((room.beside_ruler, room.width)):
            fits = (rights[row] <= left and rights[row] > 0.0 and limits[row] >= right for row in rows)
            yield from _runs(fits, left, right)


def _runs(fits: Iterable[bool], left: float, right: float) -> Iterable[Box]:
    if right - left < LEAST_WIDTH_MM:
        return
    for free, run in groupby(enumerate(fits), key=lambda one: one[1]):
        rows = [row for row, _ in run]
        if free and len(rows) * _ROW_MM >= LEAST_HEIGHT_MM:
            yield Box(left, rows[0] * _ROW_MM, right, (rows[-1] + 1) * _ROW_MM)


def _take(box: Box, lefts: list[float], rights: list[float], room: Room) -> None:
    """Mark the rows of a rectangle: what was free at its side of the drawing is in use."""
    for row in range(round(box.top / _ROW_MM), round(box.bottom / _ROW_MM)):
        if box.left == 0.0:
            empty = rights[row] == 0.0
            lefts[row] = 0.0
            rights[row] = box.right + COLUMN_GAP_MM if empty else rights[row]
        else:
            rights[row] = _limit(row, room)


def _columns(box: Box) -> list[Box]:
    """A space as columns beside each other, as few as keep their lines short."""
    count = math.ceil((box.width + COLUMN_GAP_MM) / (WIDEST_MM + COLUMN_GAP_MM))
    step = (box.width + COLUMN_GAP_MM) / count
    lefts = [box.left + n * step for n in range(count)]
    return [Box(left, box.top, left + step - COLUMN_GAP_MM, box.bottom) for left in lefts]
