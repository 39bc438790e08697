"""rectpack's ways of packing boxes, with the two steps that take nearly all of the time done in numpy.

The result is rectpack's own, box by box: for each step the library's plain code is the definition, and a test compares them.
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import rectpack
from rectpack.packer import PackerGlobal

_FEW = 16
"""Free places up to which plain code is as fast."""

Spots = list[tuple[int, int, int, int, int, int]]


class _InNumpy:
    """What a kind of packing does with the free places, all pairs at once."""

    _max_rects: list[Any]

    def _remove_duplicates(self) -> None:
        """Drop every free place that lies in another."""
        if len(self._max_rects) <= _FEW:
            super()._remove_duplicates()  # type: ignore[misc]
            return
        left, foot, right, top = _edges(self._max_rects)
        inside = (left[:, None] >= left) & (foot[:, None] >= foot) & (right[:, None] <= right) & (top[:, None] <= top)
        np.fill_diagonal(inside, False)
        keep = ~inside.any(axis=1)
        self._max_rects = [place for place, kept in zip(self._max_rects, keep.tolist(), strict=True) if kept]


def _edges(places: Sequence[Any]) -> "np.ndarray[Any, np.dtype[np.int64]]":
    sides = [(place.x, place.y, place.x + place.width, place.y + place.height) for place in places]
    return np.array(sides, dtype=np.int64).T


class Bssf(_InNumpy, rectpack.MaxRectsBssf):  # type: ignore[misc]
    """Best short side fit."""

    @staticmethod
    def worth(wide: Any, high: Any, _areas: Any) -> Any:
        """How badly boxes fill places: by what is left at the shorter side."""
        return np.minimum(wide, high)


class Baf(_InNumpy, rectpack.MaxRectsBaf):  # type: ignore[misc]
    """Best area fit."""

    @staticmethod
    def worth(_wide: Any, _high: Any, areas: Any) -> Any:
        """How badly boxes fill places: by the area that is left."""
        return areas


class Bl(_InNumpy, rectpack.MaxRectsBl):  # type: ignore[misc]
    """Bottom left."""


class Blsf(_InNumpy, rectpack.MaxRectsBlsf):  # type: ignore[misc]
    """Best long side fit."""


class _Global(PackerGlobal):  # type: ignore[misc]
    """Into each sheet the box that fits best of all that are left."""

    def _find_best_fit(self, sheet: Any) -> Any:
        """The key of that box, or None; the first of equals."""
        if not self._sorted_rect or not sheet._max_rects:
            return None
        boxes = np.array(list(self._sorted_rect.values()), dtype=np.int64)[:, :2]
        left, foot, right, top = _edges(sheet._max_rects)
        wide, high = right - left, top - foot
        areas = (wide * high)[None, :] - (boxes[:, 0] * boxes[:, 1])[:, None]
        best = np.full(len(boxes), _NONE)
        for across, along in ((boxes[:, 0], boxes[:, 1]), (boxes[:, 1], boxes[:, 0])):
            rest = wide[None, :] - across[:, None], high[None, :] - along[:, None]
            fits = (rest[0] >= 0) & (rest[1] >= 0)
            best = np.minimum(best, np.where(fits, sheet.worth(*rest, areas), _NONE).min(axis=1))
        first = int(best.argmin())
        return None if best[first] == _NONE else list(self._sorted_rect)[first]


_NONE = np.iinfo(np.int64).max


def best_of_all(sizes: Sequence[tuple[int, int]], room: Sequence[int], way: type) -> Spots:
    """Boxes packed sheet by sheet, each time the one that fits best."""
    return _packed(_Global(pack_algo=way, rotation=True), sizes, room)


def first_that_fits(sizes: Sequence[tuple[int, int]], room: Sequence[int], way: type, sort: Any) -> Spots:
    """Boxes packed in an order, each onto the first sheet that holds it."""
    kind, first = rectpack.PackingMode.Offline, rectpack.PackingBin.BFF
    return _packed(rectpack.newPacker(kind, first, way, sort, rotation=True), sizes, room)


def _packed(packer: Any, sizes: Sequence[tuple[int, int]], room: Sequence[int]) -> Spots:
    packer.add_bin(*room, count=math.inf)
    for n, size in enumerate(sizes):
        packer.add_rect(*size, n)
    packer.pack()
    spots: Spots = packer.rect_list()
    return spots
