"""Parts of the pictures of how to measure: board, frets, nut, strings, rules and the arrows of a length."""

from collections.abc import Iterator, Sequence

from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import width_mm
from jigs.templates.in_use import arrow

WIDTH_MM, HEIGHT_MM = 90.0, 45.0
BOARD, FRET_TOP = 29.0, 26.0
"""Levels of the board and of the fret tops in views from the side."""

LETTERS_MM = 3.0
_THICK, _WIRE, _FRET_HALF = 6.0, 1.0, 2.2
_NUT_LENGTH = 5.0
_BREAK = 1.4
_PAST, _CLEAR = 1.2, 1.4


def box(left: float, top: float, right: float, foot: float) -> tuple[Point, ...]:
    """The corners of a rectangle."""
    return (left, top), (right, top), (right, foot), (left, foot)


def board(*ends: float) -> Drawing:
    """A fretboard from the side, from one end to the other; with four ends it is broken in the middle."""
    items: list[Item] = []
    for n, (left, right) in enumerate(zip(ends[::2], ends[1::2], strict=True)):
        for level in (BOARD, BOARD + _THICK):
            items.append(Line((left, level), (right, level), Role.GUIDE))
        for x, is_break in ((left, n > 0), (right, 2 * n + 2 < len(ends))):
            if is_break:
                items.append(_broken(x))
    return drawing(items)


def _broken(x: float) -> Path:
    middle = BOARD + _THICK / 2
    run = (x, BOARD - 1.5), (x, middle - 1), (x - _BREAK, middle - 0.4), (x + _BREAK, middle + 0.4), (x, middle + 1)
    return Path(((*run, (x, BOARD + _THICK + 1.5)),), Role.FINE)


def frets(*places: float) -> Iterator[Path]:
    """Frets from the side: their crowns."""
    height = BOARD - FRET_TOP
    for x in places:
        ends = (x - _FRET_HALF, BOARD), (x + _FRET_HALF, BOARD)
        yield Path((ends,), Role.MARK, bulges=((height / _FRET_HALF, 0.0),))


def nut(front: float, top: float = 20.0) -> Path:
    """The nut from the side; its front edge is towards the frets."""
    back = front - _NUT_LENGTH
    return Path((((back, BOARD), (back, top + 1.6), (front, top), (front, BOARD)),), Role.MARK, closed=True)


def wire(start: Point, end: Point) -> Drawing:
    """A string that is thick enough to have an underside, which runs from start to end."""
    (x, y), (u, v) = start, end
    shape = ((x, y), (u, v), (u, v - _WIRE), (x, y - _WIRE))
    return drawing(Path((shape,), Role.BAND, closed=True), Path((shape,), Role.GUIDE, closed=True))


def rule(zero: float, end: float, top: float, foot: float, step: float = 3.0) -> Drawing:
    """A rule: a grey strip with ticks, its zero at its left end."""
    ticks = int((end - zero) / step + 1e-6)
    long = (foot - top) * 0.45
    return drawing(
        Path((box(zero, top, end, foot),), Role.BAND, closed=True),
        Path((box(zero, top, end, foot),), Role.GUIDE, closed=True),
        (Line((zero + n * step, top), (zero + n * step, top + long), Role.FINE) for n in range(1, ticks + 1)),
    )


def label(at: Point, text: str) -> Text:
    """Words centred on a place."""
    return Text(at, text, LETTERS_MM, Anchor.MIDDLE)


def between(start: Point, tip: Point, one_way: bool = False) -> Path:
    """The arrow of a length."""
    return arrow(start, tip, Role.MARK, both_ends=not one_way)


def along(
    left: float, right: float, level: float, text: str, from_levels: Sequence[float] = (), beside: bool = False
) -> Drawing:
    """A length along the picture: its arrow, its words, and thin lines to what it is the length of.

    ``from_levels``: where the thin lines of both ends begin; none for no lines. ``beside``: the words lie in a gap of it.
    """
    items: list[Item] = [
        Line((x, begin), (x, level + (_PAST if level > begin else -_PAST)), Role.FINE)
        for x, begin in zip((left, right), from_levels, strict=False)
    ]
    middle = (left + right) / 2
    if beside:
        half = width_mm(text, LETTERS_MM) / 2 + _CLEAR
        items += [
            between((middle - half, level), (left, level), True),
            between((middle + half, level), (right, level), True),
        ]
        items.append(label((middle, level + LETTERS_MM / 2), text))
    else:
        items.append(between((left, level), (right, level)))
        if text:
            above = any(begin > level for begin in from_levels)
            items.append(label((middle, level - _CLEAR if above else level + _CLEAR + LETTERS_MM), text))
    return drawing(items)


def across(x: float, top: float, foot: float, text: str, from_places: Sequence[float] = ()) -> Drawing:
    """A length across the picture, its words at its left; ``from_places``: where the thin lines of both ends begin."""
    items: list[Item] = [
        Line((begin, y), (x + (_PAST if x > begin else -_PAST), y), Role.FINE)
        for y, begin in zip((top, foot), from_places, strict=False)
    ]
    if text:
        items.append(Text((x - _CLEAR, (top + foot + LETTERS_MM) / 2), text, LETTERS_MM, Anchor.END))
    return drawing(between((x, top), (x, foot)), items)


def gap(x: float, under: float, top: float) -> Path:
    """A small height, from the underside of a string to a fret's top."""
    return between((x, under), (x, top))
