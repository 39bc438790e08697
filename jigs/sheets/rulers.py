"""Rulers that show whether a sheet came out at true size: millimetres on one edge, sixteenths on the other."""

from geometry.lengths import MM_PER_INCH
from jigs.drawing.items import Anchor, Drawing, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL, width_mm
from jigs.sheets.words import RULER

RULER_MM = 100
RULER_INCHES = 4
SIXTEENTHS = 16

_INCH = float(MM_PER_INCH)
_BAR = 1.2
_MM_TICKS = {10: 3.5, 5: 2.6, 1: 1.8}
_INCH_TICKS = {16: 3.5, 8: 2.8, 4: 2.2, 2: 1.7, 1: 1.3}
_DIGITS_GAP = 0.9
_WORDS_GAP = 1.7
_SENTENCE_GAP = 2.4

ABOVE_MM = max(_MM_TICKS.values()) + _DIGITS_GAP + SMALL
"""How far the millimetre side reaches over the ruler's base line."""

BELOW_MM = _BAR + max(_INCH_TICKS.values()) + _DIGITS_GAP + SMALL + _WORDS_GAP + SMALL
"""How far the inch side and the words reach below it."""

SIDE_MM = 3.2
"""How far the first and last numbers reach beyond its ends."""

LENGTH_MM = RULER_INCHES * _INCH
REACH_MM = RULER_MM + width_mm(f"{RULER_MM} mm", SMALL) / 2
"""How far its last number reaches from zero."""

HEIGHT_MM = ABOVE_MM + BELOW_MM + 1.0


def _tick_length(step: int, lengths: dict[int, float]) -> float:
    return next(length for every, length in lengths.items() if step % every == 0)


def ruler(name: str, to_check: bool = True) -> Drawing:
    """A ruler across, zero at the origin, its millimetre base line on y = 0 with the id ``ruler-{name}``.

    The base line is exactly 100 mm long; the inch base line lies 1.2 mm below it and is 4 in long.
    """
    mm_ticks = tuple(((float(mm), 0.0), (float(mm), -_tick_length(mm, _MM_TICKS))) for mm in range(RULER_MM + 1))
    inch_ticks = tuple(
        ((n * _INCH / SIXTEENTHS, _BAR), (n * _INCH / SIXTEENTHS, _BAR + _tick_length(n, _INCH_TICKS)))
        for n in range(RULER_INCHES * SIXTEENTHS + 1)
    )
    inch_digits = BELOW_MM - _WORDS_GAP - SMALL
    return drawing(
        Line((0.0, 0.0), (float(RULER_MM), 0.0), Role.GUIDE, f"ruler-{name}"),
        Path(mm_ticks, Role.FINE, f"ruler-{name}-mm"),
        Line((0.0, _BAR), (LENGTH_MM, _BAR), Role.GUIDE, f"ruler-{name}-inches"),
        Path(inch_ticks, Role.FINE, f"ruler-{name}-sixteenths"),
        (
            Text((float(mm), SMALL - ABOVE_MM), f"{mm}{' mm' if mm == RULER_MM else ''}", SMALL, Anchor.MIDDLE)
            for mm in range(0, RULER_MM + 1, 20)
        ),
        (
            Text((n * _INCH, inch_digits), f"{n}{' in' if n == RULER_INCHES else ''}", SMALL, Anchor.MIDDLE)
            for n in range(RULER_INCHES + 1)
        ),
        _what_to_do() if to_check else [],
    )


def _what_to_do() -> list[Text]:
    """The words below a ruler, a text for each sentence by its middle: askew, a long text would run into the digits."""
    widths = [width_mm(sentence, SMALL) for sentence in RULER]
    left = (LENGTH_MM - sum(widths) - _SENTENCE_GAP) / 2
    items = []
    for sentence, width in zip(RULER, widths, strict=True):
        items.append(Text((left + width / 2, BELOW_MM), sentence, SMALL, Anchor.MIDDLE))
        left += width + _SENTENCE_GAP
    return items


def ruler_down(to_check: bool = True) -> Drawing:
    """The same ruler turned to run down the sheet, zero at the origin, millimetres on the right."""
    return ruler("down", to_check).turned()


def ruler_across(to_check: bool = True) -> Drawing:
    """The ruler across the sheet."""
    return ruler("across", to_check)
