"""The turn counter: a window of 10 mm over a wound string, and a table from its turns to its core."""

import math
from collections.abc import Sequence

import numpy as np

from geometry.lengths import MM_PER_INCH, round_half_up
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text, drawing
from jigs.instrument import usual
from jigs.templates import measure_words
from jigs.templates.aid import LETTER_MM, Aid, below_each_other, corner_mm
from jigs.templates.aid_pictures import counter_in_use
from jigs.templates.options import Options
from jigs.templates.stock import cut_out
from jigs.templates.table import table_of
from jigs.workup.workup import Workup

_INCH = float(MM_PER_INCH)
WINDOW_MM = 10
_WINDOW_HALF_MM = 4.0
_SIDE_MM, _ABOVE_MM = 18.0, 9.0
_TICKS = ((WINDOW_MM, 3.5), (5, 3.0), (1, 1.8))
_COMMON_GAUGES_MM = tuple(_INCH * inches for inches in (0.022, 0.028, 0.036, 0.042))
_GAUGES_BESIDE, _ROWS = 2, 6
_FROM_SHARE, _TO_SHARE = 0.35, 0.60


def counter(workup: Workup, options: Options) -> Aid:
    """The card with its window. Raises `InputFaults` as `cut_out` does."""
    return Aid(measure_words.counter(), (_card(workup, options),), counter_in_use(), _tables(workup))


def _card(workup: Workup, options: Options) -> Drawing:
    web, r = options.cutter.web_mm, corner_mm(options.cutter)
    left, right = -max(_SIDE_MM, web), WINDOW_MM + max(_SIDE_MM, web)
    high = _WINDOW_HALF_MM + max(_ABOVE_MM, web)
    outline = [Corner(at, r) for at in ((left, -high), (right, -high), (right, high), (left, high))]
    half = _WINDOW_HALF_MM
    window = [Corner(at) for at in ((0.0, -half), (WINDOW_MM, -half), (WINDOW_MM, half), (0.0, half))]
    shape = CutPart(closed_path(outline, "counter"), (closed_path(window, "counter-window"),))
    return cut_out(workup, shape, _lines() + _words(), options.cutter, measure_words.COUNTER)


def _lines() -> Drawing:
    """A line for each millimetre on both sides of the window."""
    items: list[Item] = []
    for side, name in ((-1.0, "above"), (1.0, "below")):
        for n in range(WINDOW_MM + 1):
            long = next(mm for every, mm in _TICKS if n % every == 0)
            start, end = (n, side * _WINDOW_HALF_MM), (n, side * (_WINDOW_HALF_MM + long))
            items.append(Line(start, end, Role.TICK, f"turns-{name}-{n}"))
    return Drawing(tuple(items))


def _words() -> Drawing:
    """Numbers above the window, and what it counts beside it."""
    level = -_WINDOW_HALF_MM - _TICKS[0][1] - 1.0
    numbers = (Text((n, level), str(n), LETTER_MM, Anchor.MIDDLE) for n in range(0, WINDOW_MM + 1, 5))
    sides = zip((-_SIDE_MM / 2, WINDOW_MM + _SIDE_MM / 2), measure_words.ON_COUNTER, strict=True)
    return drawing(numbers, (Text((x, LETTER_MM / 2), words, LETTER_MM, Anchor.MIDDLE) for x, words in sides))


def gauges_mm(workup: Workup) -> list[float]:
    """The gauges of the instrument's wound strings, thin ones first; common ones where it has none."""
    wound = {float(entry.gauge) for entry in workup.instrument.strings if entry.is_wound}
    return sorted(wound or _COMMON_GAUGES_MM)


def _tables(workup: Workup) -> Drawing:
    """From turns to core for each gauge, a few gauges beside each other."""
    gauges = gauges_mm(workup)
    groups = [gauges[n : n + _GAUGES_BESIDE] for n in range(0, len(gauges), _GAUGES_BESIDE)]
    return below_each_other([table_of(_table(group)) for group in groups], 3.5)


def _table(gauges: Sequence[float]) -> list[tuple[str, ...]]:
    """A row for each count of turns; two cells for each gauge."""
    heads = tuple(cell for gauge in gauges for cell in measure_words.table_heads(_in_inches(gauge)))
    columns = [[(turns, usual.core_from_turns_mm(gauge, turns)) for turns in counts_for(gauge)] for gauge in gauges]
    rows = [
        tuple(cell for turns, core in row for cell in (str(turns), f"{round_half_up(core, 2)} mm ({_in_inches(core)})"))
        for row in zip(*columns, strict=True)
    ]
    return [heads, *rows]


def counts_for(gauge_mm: float) -> list[int]:
    """Turns in 10 mm that leave a plausible core, evenly spread."""
    fewest, most = (usual.turns_for_core(gauge_mm, share * gauge_mm) for share in (_FROM_SHARE, _TO_SHARE))
    return [round(turns) for turns in np.linspace(math.ceil(fewest), math.floor(most), _ROWS)]


def _in_inches(mm: float) -> str:
    """As packets print it.

    >>> _in_inches(0.559)
    '.022'
    """
    return round_half_up(mm / _INCH, 3).removeprefix("0")
