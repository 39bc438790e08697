"""The height wedge: it stands on edge on a fret and slides under a string from the side, until it touches.

One part has millimetres, the other sixty-fourths of an inch. They are each other's mirror image, so that they can be glued
back to back. The frame is that of `geometry.aids`, y down the page.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from geometry.aids import (
    SIXTY_FOURTH_MM,
    WEDGE_LEAST_MM,
    WEDGE_MOST_MM,
    WEDGE_STEP_MM,
    along_wedge_mm,
    height_at_mm,
    wedge_ticks_mm,
)
from jigs.cutting import engraving
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text, drawing
from jigs.templates import measure_words
from jigs.templates.aid import LETTER_MM, Aid, corner_mm
from jigs.templates.aid_pictures import wedge_in_use
from jigs.templates.options import Options
from jigs.templates.stock import cut_out
from jigs.workup.workup import Workup

_GRIP_MM, _GRIP_HIGH_MM, _SHOULDER_MM = 26.0, 12.0, 4.0
_SHORT_SHARE, _SHORT_SHARE_LOW, _SHORT_MM = 0.35, 0.6, 0.6
_LARGEST_MM, _LEAST_MM = 1.8, 0.85
_CLEAR_MM = 0.35


@dataclass(frozen=True)
class _Scale:
    """A scale: mm from tick to tick, ticks from long line to long line, and what a long line is called."""

    name: str
    step_mm: float
    per_long: int
    called: Callable[[int], str]
    mirrored: bool


_SCALES = (
    _Scale("mm", WEDGE_STEP_MM, 5, lambda n: f"{n * WEDGE_STEP_MM:g}", mirrored=False),
    _Scale("64", SIXTY_FOURTH_MM / 2, 2, lambda n: f"{n // 2}", mirrored=True),
)


def wedge(workup: Workup, options: Options) -> Aid:
    """Both faces. Raises `InputFaults` as `cut_out` does."""
    parts = tuple(_face(workup, options, scale) for scale in _SCALES)
    return Aid(measure_words.wedge(workup), parts, wedge_in_use())


def _face(workup: Workup, options: Options, scale: _Scale) -> Drawing:
    """A wedge with one scale."""
    tip, end, r = along_wedge_mm(WEDGE_LEAST_MM), along_wedge_mm(WEDGE_MOST_MM), corner_mm(options.cutter)
    last = end + _SHOULDER_MM + _GRIP_MM
    corners = (
        Corner((tip, 0.0)),
        Corner((tip, -WEDGE_LEAST_MM)),
        Corner((end, -WEDGE_MOST_MM)),
        Corner((end + _SHOULDER_MM, -_GRIP_HIGH_MM), r),
        Corner((last, -_GRIP_HIGH_MM), r),
        Corner((last, 0.0), r),
    )
    shape = CutPart(closed_path(corners, f"wedge-{scale.name}"))
    marks, words = _ticks(scale), _numbers(scale) + _grip(scale, (end + _SHOULDER_MM + last) / 2)
    if scale.mirrored:
        shape, marks, words = shape.mirrored(), marks.mirrored(), words.mirrored()
    return cut_out(workup, shape, marks + words, options.cutter, measure_words.WEDGE)


def with_narrow_edges(drawn: Drawing) -> Drawing:
    """The wedges for paper: a wide line would hide the thin end of their scales."""
    return Drawing(tuple(replace(item, role=Role.GUIDE) if item.role is Role.CUT else item for item in drawn))


def _short_mm(high: float) -> float:
    """Length of a short line where the wedge is so high."""
    return max(_SHORT_SHARE * high, min(_SHORT_MM, _SHORT_SHARE_LOW * high))


def _ticks(scale: _Scale) -> Drawing:
    """From the slope down: long lines as far as the base, short ones part of the way."""
    items: list[Item] = []
    for n, x in wedge_ticks_mm(scale.step_mm):
        long, high = n % scale.per_long == 0, height_at_mm(x)
        foot = 0.0 if long else _short_mm(high) - high
        items.append(Line((x, -high), (x, foot), Role.MARK if long else Role.TICK, f"height-{scale.name}-{n}"))
    return Drawing(tuple(items))


def _numbers(scale: _Scale) -> Drawing:
    """Beside each long line on its thick side, where the wedge is high enough for a number that can be read."""
    gap = along_wedge_mm(scale.step_mm) - 2 * _CLEAR_MM
    items: list[Item] = []
    for n, x in wedge_ticks_mm(scale.step_mm):
        if n % scale.per_long or n * scale.step_mm > WEDGE_MOST_MM - _CLEAR_MM:
            continue
        number, high = scale.called(n), height_at_mm(x) - 2 * _CLEAR_MM
        below = min(_LARGEST_MM, high - _short_mm(height_at_mm(x + gap)))
        beside = min(_LARGEST_MM, high, gap / engraving.width_mm(number, 1.0))
        size = max(below, beside)
        if size >= _LEAST_MM:
            middle = x + _CLEAR_MM + engraving.width_mm(number, size) / 2
            items.append(Text((middle, -_CLEAR_MM), number, size, Anchor.MIDDLE))
    return Drawing(tuple(items))


def _grip(scale: _Scale, middle: float) -> Drawing:
    """What the scale is."""
    lines = measure_words.ON_WEDGE[scale.name]
    step = _GRIP_HIGH_MM / (len(lines) + 1)
    places: list[Point] = [(middle, -_GRIP_HIGH_MM + (n + 1) * step + LETTER_MM / 2) for n in range(len(lines))]
    return drawing(Text(at, line, LETTER_MM, Anchor.MIDDLE) for at, line in zip(places, lines, strict=True))
