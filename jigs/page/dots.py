"""What was heard on either outer string, as dots with their bars on the scale of the fork's leg at that end.

Each leg is drawn as it lies on the instrument: the nut at the top, so that a sharp note is below the mark. The scale is that
of the fork, only larger along the neck, because a tenth of a cent is a hair's breadth there.
"""

import math
from collections.abc import Iterator, Mapping, Sequence

from geometry.readings import NORMAL_QUANTILE
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, first_writable, writable
from jigs.page import words
from jigs.readings.advice import ENDS
from jigs.readings.from_above import to_nut
from jigs.readings.picture_words import TO_THE_NUT
from jigs.sheets.paper import Paper, Sheet
from jigs.sheets.title import Title
from jigs.wording import signed
from jigs.workup.cents_scale import FARTHEST_CENTS, CentsScale, leg_scales
from jigs.workup.workup import Workup

Dots = Sequence[tuple[float, float]]
"""Differences of a string, each with its standard error, in cents."""

_MARGIN = 4.0
_PLOT, _LEG = 66.0, 36.0
_BETWEEN = 8.0
_TICK, _NUMBERED_TICK, _NUMBER_GAP = 2.0, 4.0, 1.5
_DOT, _CAP = 0.9, 1.1
_MOST_APART = 8.0
_ABOVE = 3.0
_EVERY = (10, 20, 50)
_MOST_NUMBERS = 5


def as_svg(workup: Workup, heard: Mapping[str, Dots]) -> bytes:
    """The picture as an SVG file of its own size; ``heard`` by end, treble first."""
    from jigs.export.svg import to_svg

    drawn = draw(workup, heard)
    box = drawn.bounds()
    width, height = math.ceil(box.width + 2 * _MARGIN), math.ceil(box.height + 2 * _MARGIN)
    placed = drawn.shifted((width - box.width) / 2 - box.left, _MARGIN - box.top)
    name = workup.instrument.name
    facts = "; ".join(words.heard_in_words(end, dots) for end, dots in heard.items() if dots)
    title = Title(first_writable(name, writable(name)[0]), words.HEARD_ON_SCALE, facts, scale="")
    sheet = Sheet(Paper(f"{width} x {height} mm", float(width), float(height)), placed, title)
    return to_svg(sheet, f"{words.HEARD_ON_SCALE}: {facts}", facts)


def draw(workup: Workup, heard: Mapping[str, Dots]) -> Drawing:
    """The legs side by side as they lie on the instrument, in mm."""
    scales = {scale.end: scale for scale in leg_scales(workup)}
    most = max((abs(cents) + NORMAL_QUANTILE * error for dots in heard.values() for cents, error in dots), default=0.0)
    farthest = max(FARTHEST_CENTS, 5 * math.ceil(most / 5))
    left_handed = workup.instrument.head.hand == "left"
    legs = Drawing()
    for end, dots in heard.items():
        side = -1.0 if (end == ENDS[1]) != left_handed else 1.0
        legs += drawing(_leg(workup, scales[end], dots, farthest, side if len(heard) > 1 else 1.0))
    box = legs.bounds()
    middle = (box.left + box.right) / 2
    return drawing(legs, to_nut(TO_THE_NUT, box.top - MEDIUM, MEDIUM).shifted(middle, 0.0))


def _leg(workup: Workup, scale: CentsScale, dots: Dots, farthest: int, side: float) -> Iterator[Item]:
    """A leg on one side of the middle: its scale outside, its dots inside, the first nearest to the scale."""
    end, per_cent = scale.end, _PLOT / (2 * farthest)
    inner, outer = side * _BETWEEN / 2, side * (_BETWEEN / 2 + _LEG)
    name = workup.instrument.string_in_words(scale.string)
    for row, text in enumerate((name, end)):
        yield Text(((inner + outer) / 2, -_PLOT / 2 - _ABOVE - row * MEDIUM * LINE_STEP), text, MEDIUM, Anchor.MIDDLE)
    yield Path((((outer, -_PLOT / 2), (outer, _PLOT / 2)),), Role.MARK, f"leg-{end}")
    yield Line((inner, 0.0), (outer, 0.0), Role.GUIDE, f"mark-{end}")
    numbered = _numbered(scale, farthest)
    for tick in range(-farthest, farthest + 1):
        if tick % scale.step and tick not in numbered:
            continue
        y, long = tick * per_cent, tick in numbered
        start = outer - side * (_NUMBERED_TICK if long else _TICK)
        yield Line((start, y), (outer, y), Role.TICK, f"cents-{end}-{tick}")
        if long:
            anchor = Anchor.START if side > 0 else Anchor.END
            yield Text((outer + side * _NUMBER_GAP, y + MEDIUM / 2), signed(tick, 0), MEDIUM, anchor)
    apart = min(_MOST_APART, (_LEG - _NUMBERED_TICK - 2 * _CAP) / max(len(dots), 1))
    for n, (cents, error) in enumerate(dots, 1):
        x = outer - side * (_NUMBERED_TICK + (n - 0.5) * apart + _CAP)
        yield from _dot(x, per_cent * cents, per_cent * NORMAL_QUANTILE * error, f"{end}-{n}")


def _numbered(scale: CentsScale, farthest: int) -> set[int]:
    """Cents with a number: those of the fork, or as many as there is room for beyond its scale."""
    if farthest <= FARTHEST_CENTS:
        return {0, *scale.numbered, *(-cents for cents in scale.numbered)}
    every = next((each for each in _EVERY if farthest // each <= _MOST_NUMBERS), farthest)
    return {sign * cents for cents in range(0, farthest + 1, every) for sign in (-1, 1)}


def _dot(x: float, y: float, half: float, name: str) -> Iterator[Item]:
    """A dot, and a bar with a cap at either end."""
    bar = (((x, y - half), (x, y + half)), *(((x - _CAP, level), (x + _CAP, level)) for level in (y - half, y + half)))
    yield Path(bar, Role.MARK, f"bar-{name}")
    yield Circle((x, y), _DOT, Role.CUT, f"heard-{name}")
