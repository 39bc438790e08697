"""The strip that reads a scale length from nut to octave: its end lies against the nut, its lines on the octave's fret.

It is drawn in its own frame, y from the nut. It is long: `jigs.sheets` cuts it into pieces that join.
"""

import math

from geometry.aids import STRIP_STEP_INCH, STRIP_STEP_MM, on_strip_mm
from geometry.lengths import MM_PER_INCH
from jigs.cutting import engraving
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text
from jigs.instrument.keys import SCALES_OF_ANY_KIND_MM
from jigs.instrument.usual import USUAL_SCALES_MM
from jigs.templates import measure_words
from jigs.templates.aid import LETTER_MM, Aid, corner_mm
from jigs.templates.aid_pictures import strip_in_use
from jigs.templates.options import Options
from jigs.templates.stock import cut_out
from jigs.workup.workup import Workup

_INCH = float(MM_PER_INCH)
_WIDE_MM = 22.0
_BEYOND_MM = 8.0
_ROUND_MM = 10.0
_AROUND_ITS_OWN_MM = 20.0
_MM_TICKS = ((10, 4.5), (5, 3.2), (1, 2.0))
_SIXTEENTHS = ((16, 4.5), (8, 3.8), (4, 3.2), (2, 2.5), (1, 1.6))
_NUMBER_GAP_MM = 0.6
_HEADS_MM = 3.0
_FROM_END_MM = 3.0


def strip(workup: Workup) -> Aid:
    """The words and the picture of the strip; it is drawn apart, because it is long."""
    return Aid(measure_words.strip(workup), (), strip_in_use())


def scales_mm(workup: Workup) -> tuple[float, float]:
    """The scale lengths that the strip reaches over: those of the kind, and the instrument's own."""
    head = workup.instrument.head
    low, high = USUAL_SCALES_MM.get(head.kind, SCALES_OF_ANY_KIND_MM)
    low, high = min(low, head.scale_mm - _AROUND_ITS_OWN_MM), max(high, head.scale_mm + _AROUND_ITS_OWN_MM)
    return math.floor(low / _ROUND_MM) * _ROUND_MM, math.ceil(high / _ROUND_MM) * _ROUND_MM


def strip_part(workup: Workup, options: Options) -> Drawing:
    """The strip uncut, its nut end at y = 0. Raises `InputFaults` as `cut_out` does."""
    low, high = scales_mm(workup)
    share, r = workup.instrument.head.octave_share, corner_mm(options.cutter)
    end = on_strip_mm(high, share) + _BEYOND_MM
    corners = (Corner((0.0, 0.0)), Corner((_WIDE_MM, 0.0)), Corner((_WIDE_MM, end), r), Corner((0.0, end), r))
    shape = CutPart(closed_path(corners, "strip"))
    on_it = _millimetres(low, high, share) + _inches(low, high, share) + _along(workup, on_strip_mm(low, share))
    return cut_out(workup, shape, on_it, options.cutter, measure_words.STRIP)


def _millimetres(low: float, high: float, share: float) -> Drawing:
    """A line for every millimetre of scale at the left edge, a number every ten."""
    items: list[Item] = []
    for n in range(round(low / STRIP_STEP_MM), round(high / STRIP_STEP_MM) + 1):
        y, long = on_strip_mm(n * STRIP_STEP_MM, share), _length_of(n, _MM_TICKS)
        items.append(Line((0.0, y), (long, y), Role.TICK, f"strip-{n}"))
        if n % _MM_TICKS[0][0] == 0:
            items.append(Text((long + _NUMBER_GAP_MM, y + LETTER_MM / 2), str(n), LETTER_MM))
    head = Text((0.5, on_strip_mm(low, share) - _HEADS_MM), measure_words.MM, LETTER_MM)
    return Drawing((*items, head))


def _inches(low: float, high: float, share: float) -> Drawing:
    """A line for every sixteenth of an inch of scale at the right edge, a number for every inch."""
    step = STRIP_STEP_INCH * _INCH
    items: list[Item] = []
    for n in range(math.ceil(low / step), math.floor(high / step) + 1):
        y, long = on_strip_mm(n * step, share), _length_of(n, _SIXTEENTHS)
        items.append(Line((_WIDE_MM - long, y), (_WIDE_MM, y), Role.TICK, f"strip-sixteenth-{n}"))
        if n % _SIXTEENTHS[0][0] == 0:
            at = _WIDE_MM - long - _NUMBER_GAP_MM, y + LETTER_MM / 2
            items.append(Text(at, str(n // _SIXTEENTHS[0][0]), LETTER_MM, Anchor.END))
    head = Text((_WIDE_MM - 0.5, on_strip_mm(low, share) - _HEADS_MM), measure_words.INCHES, LETTER_MM, Anchor.END)
    return Drawing((*items, head))


def _length_of(n: int, lengths: tuple[tuple[int, float], ...]) -> float:
    """How long the n-th line is."""
    return next(mm for every, mm in lengths if n % every == 0)


def _along(workup: Workup, room: float) -> Drawing:
    """Which end lies against the nut, and what the lines are for."""
    first, second = measure_words.on_strip(workup)
    items: list[Item] = [Text((_WIDE_MM / 2, _FROM_END_MM + LETTER_MM), first, LETTER_MM, Anchor.MIDDLE)]
    if engraving.width_mm(second, LETTER_MM) < room - 6 * LETTER_MM:
        items.append(Text((_WIDE_MM / 2 + LETTER_MM / 2, room / 2), second, LETTER_MM, Anchor.MIDDLE, -90.0))
    return Drawing(tuple(items))
