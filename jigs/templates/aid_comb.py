"""The step comb: teeth between the strings, with lines at 0.25 mm on both sides of each string's gap.

It lies on the strings over the saddle, teeth to the tail, y from its zero lines to the tail.
"""

import math

from geometry.aids import comb_lines_mm
from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text, drawing
from jigs.faults import Place
from jigs.templates import measure_words
from jigs.templates.aid import LETTER_MM, Aid, corner_mm
from jigs.templates.aid_pictures import comb_in_use
from jigs.templates.options import Options
from jigs.templates.stock import cut_out
from jigs.wording import signed
from jigs.workup.workup import Workup

_GAP_HALF_MM = 1.6
_LEAST_TOOTH_MM = 2.4
_END_TOOTH_MM = 10.0
_ROOT_MM, _TIP_MM = -5.0, 5.0
_BACK_MM = 9.0
_LINE_MM, _WHOLE_MM = 1.9, 2.6
_NUMBER_MM = 1.4
_NUMBERED = (-2, 2)
_FROM_EDGE_MM = 2.0


def comb(workup: Workup, options: Options) -> Aid:
    """The comb. Raises `InputFaults` as `cut_out` does, and where the kerf would fill its gaps."""
    return Aid(measure_words.comb(workup), (_comb(workup, options.cutter),), comb_in_use())


def gaps_mm(workup: Workup) -> list[tuple[float, float]]:
    """The gap of each string or pair along the bridge, from left to right; strings that are too close share one."""
    along = 1 / math.cos(math.radians(workup.line.slant_deg))
    hand = 1.0 if workup.instrument.head.hand == "right" else -1.0
    places = sorted(tuple(sorted((hand * along * workup.bridge_places_mm[n]).tolist())) for n in range(_count(workup)))
    gaps: list[tuple[float, float]] = []
    for first, last in ((first - _GAP_HALF_MM, last + _GAP_HALF_MM) for first, last in places):
        if gaps and first - gaps[-1][1] < _LEAST_TOOTH_MM:
            gaps[-1] = gaps[-1][0], max(last, gaps[-1][1])
        else:
            gaps.append((first, last))
    return gaps


def _count(workup: Workup) -> int:
    return len(workup.instrument.strings)


def _comb(workup: Workup, cutter: Cutter) -> Drawing:
    gaps, source = gaps_mm(workup), workup.instrument.source
    narrowest = min(last - first for first, last in gaps)
    if cutter.kerf_mm >= narrowest:
        raise measure_words.kerf_fills_gaps(cutter.kerf_mm, narrowest).refusal(Place(source, option="kerf"))
    left, right, back = gaps[0][0] - _END_TOOTH_MM, gaps[-1][1] + _END_TOOTH_MM, _ROOT_MM - max(_BACK_MM, cutter.web_mm)
    r = corner_mm(cutter)
    corners = [Corner((left, back), r), Corner((right, back), r), Corner((right, _TIP_MM), r)]
    for first, last in reversed(gaps):
        corners += [Corner(at) for at in ((last, _TIP_MM), (last, _ROOT_MM), (first, _ROOT_MM), (first, _TIP_MM))]
    corners.append(Corner((left, _TIP_MM), r))
    shape = CutPart(closed_path(corners, "comb"))
    teeth = list(zip((left, *(last for _, last in gaps)), (*(first for first, _ in gaps), right), strict=True))
    on_it = drawing(*(_tooth(n, tooth, len(teeth)) for n, tooth in enumerate(teeth)), _words(workup, left, right))
    return cut_out(workup, shape, on_it, cutter, measure_words.COMB)


def _tooth(n: int, tooth: tuple[float, float], count: int) -> Drawing:
    """Lines at both sides of a tooth, a gap beside them: quarters at its left, halves at its right; zero all across."""
    left, right = tooth
    halves, quarters = comb_lines_mm()
    half = (right - left) / 2
    items: list[Item] = [Line((left, 0.0), (right, 0.0), Role.MARK, f"comb-{n}-0")]
    if n > 0:
        reach = min(_LINE_MM, half - 0.2)
        items += [Line((left, y), (left + reach, y), Role.TICK, f"comb-{n}-left-{y:g}") for y in quarters]
    if n < count - 1:
        for y in (y for y in halves if y):
            reach = min(_WHOLE_MM if y == round(y) else _LINE_MM, half - 0.2)
            items.append(Line((right - reach, y), (right, y), Role.TICK, f"comb-{n}-right-{y:g}"))
    free = left + (_LINE_MM if n > 0 else 0.0), right - (_WHOLE_MM if n < count - 1 else 0.0)
    for y in _NUMBERED:
        number = signed(y, 0)
        if engraving.width_mm(number, _NUMBER_MM) + 0.8 <= free[1] - free[0]:
            items.append(Text((sum(free) / 2, y + _NUMBER_MM / 2), number, _NUMBER_MM, Anchor.MIDDLE))
    return Drawing(tuple(items))


def _words(workup: Workup, left: float, right: float) -> Drawing:
    """On the back: what it is, and its sides; a narrow comb has its name alone."""
    level = _ROOT_MM - _BACK_MM + 2.0 + LETTER_MM
    middle = (left + right) / 2
    sides = measure_words.SIDES if workup.instrument.head.hand == "left" else measure_words.SIDES[::-1]
    name = measure_words.ON_COMB
    words = [Text((middle, level), name, LETTER_MM, Anchor.MIDDLE)]
    widest = sum(engraving.width_mm(one, LETTER_MM) for one in (name, *sides)) + 4 * _FROM_EDGE_MM
    if widest <= right - left:
        words.append(Text((left + _FROM_EDGE_MM, level), sides[0], LETTER_MM))
        words.append(Text((right - _FROM_EDGE_MM, level), sides[1], LETTER_MM, Anchor.END))
    return Drawing(tuple(words))
