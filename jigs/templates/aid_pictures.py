"""Small pictures of the measuring aids in use, not to scale: the aid grey, what it lies on in thin lines."""

from collections.abc import Sequence

from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL
from jigs.templates import measure_words as says
from jigs.templates.in_use import arrow


def _aid(*corners: Point) -> Drawing:
    """A jig: a grey shape with an outline."""
    return drawing(Path((corners,), Role.BAND, closed=True), Path((corners,), Role.GUIDE, closed=True))


def _frame(outside: tuple[Point, ...], window: tuple[Point, ...]) -> Drawing:
    """A jig with a window in it: four grey sides, so that the window stays white."""
    (left, top), _, (right, foot), _ = outside
    (first, high), _, (last, low), _ = window
    sides = (left, top, first, foot), (last, top, right, foot), (first, top, last, high), (first, low, last, foot)
    grey = (Path((_box(*side),), Role.BAND, closed=True) for side in sides)
    return drawing(grey, Path((outside,), Role.GUIDE, closed=True))


def _shape(*corners: Point, closed: bool = True) -> Path:
    """What the jig lies on."""
    return Path((corners,), Role.FINE, closed=closed)


def _box(left: float, top: float, right: float, foot: float) -> tuple[Point, ...]:
    return (left, top), (right, top), (right, foot), (left, foot)


def _lines(lines: Sequence[tuple[Point, Point]], role: Role = Role.FINE) -> list[Item]:
    return [Line(start, end, role) for start, end in lines]


def wedge_in_use() -> Drawing:
    """Along the neck: the board from its end, strings as dots, the wedge under the outer one, its arrow inwards."""
    strings = (5.0, 12.0, 19.0, 26.0)
    return drawing(
        _shape((1.0, 14.0), (1.0, 17.0), (6.0, 23.0), (26.0, 23.0), (30.0, 17.0), (30.0, 14.0)),
        _aid((14.0, 14.0), (14.0, 13.0), (46.0, 7.6), (48.0, 4.5), (56.0, 4.5), (56.0, 14.0)),
        (Circle((x, 10.0), 0.75, Role.GUIDE) for x in strings),
        arrow((56.0, 17.0), (46.0, 17.0)),
        Text((32.0, 23.0 - SMALL / 2), says.FRET, SMALL),
        Line((31.0, 20.0), (28.0, 14.0), Role.FINE),
        Text((26.0, 3.5), says.READ_HERE, SMALL, Anchor.MIDDLE),
        arrow((26.0, 4.6), (26.0, 8.4)),
    )


def strip_in_use() -> Drawing:
    """From above: the neck, nut at the left, the strip from nut to octave."""
    frets = [10.0, 16.0, 22.0, 27.0, 31.0, 35.0, 39.0, 42.0, 44.0, 47.0]
    return drawing(
        _shape((4.0, 5.0), (58.0, 3.6), (58.0, 20.0), (4.0, 19.0)),
        _lines([((x, 4.9), (x, 19.0)) for x in frets]),
        _aid(*_box(4.0, 9.0, 46.0, 15.0)),
        _lines([((x, 9.0), (x, 11.0)) for x in (28.0, 30.0, 32.0, 34.0, 36.0, 38.0, 40.0, 42.0, 44.0)], Role.GUIDE),
        Line((4.0, 3.5), (4.0, 21.0), Role.GUIDE),
        Text((4.0, 25.0), says.NUT, SMALL, Anchor.MIDDLE),
        Text((42.0, 25.0), says.OCTAVE, SMALL, Anchor.MIDDLE),
        Line((42.0, 22.0), (42.0, 15.0), Role.GUIDE),
    )


def counter_in_use() -> Drawing:
    """From above: a wound string in the window."""
    turns = [20.0 + 1.2 * n for n in range(1, 10)]
    return drawing(
        _frame(_box(4.0, 3.0, 48.0, 23.0), _box(20.0, 8.0, 32.0, 18.0)),
        Path((_box(20.0, 8.0, 32.0, 18.0),), Role.GUIDE, closed=True),
        _lines([((20.0, y), (32.0, y)) for y in (12.0, 15.0)]),
        _lines([((x - 0.4, 15.0), (x + 0.4, 12.0)) for x in turns]),
        _lines([((0.0, y), (4.0, y)) for y in (12.0, 15.0)] + [((48.0, y), (52.0, y)) for y in (12.0, 15.0)]),
        _lines([((20.0 + 2.4 * n, 5.5), (20.0 + 2.4 * n, 8.0)) for n in range(6)], Role.GUIDE),
    )


def comb_in_use() -> Drawing:
    """From above: the saddle and its ridge, strings in the gaps, teeth to the tail."""
    strings, ridge = (10.0, 20.0, 30.0, 40.0), (15.0, 14.0, 16.0, 15.0)
    teeth: list[Point] = [(2.0, 4.0), (48.0, 4.0), (48.0, 19.0)]
    for x in reversed(strings):
        teeth += [(x + 2.0, 19.0), (x + 2.0, 10.0), (x - 2.0, 10.0), (x - 2.0, 19.0)]
    teeth.append((2.0, 19.0))
    return drawing(
        _shape(*_box(0.0, 12.0, 50.0, 18.0)),
        _aid(*teeth),
        _lines([((x, 1.0), (x, 24.0)) for x in strings]),
        _lines([((x - 1.7, y), (x + 1.7, y)) for x, y in zip(strings, ridge, strict=True)], Role.MARK),
        _lines([((x, 15.0), (x + 6.0, 15.0)) for x in (2.0, 12.0, 22.0, 32.0, 42.0)], Role.GUIDE),
        Text((52.0, 4.0 + SMALL), says.NUT, SMALL),
        Text((52.0, 24.0), says.TAIL, SMALL),
    )


def square_in_use() -> Drawing:
    """From the side: the top, the bridge, the square against its back."""
    return drawing(
        _lines([((0.0, 22.0), (46.0, 22.0))]),
        _shape((10.0, 22.0), (13.0, 6.0), (15.0, 6.0), (18.0, 22.0)),
        _lines([((0.0, 5.4), (14.0, 6.0)), ((14.0, 6.0), (46.0, 13.0))]),
        _aid((18.0, 22.0), (18.0, 1.0), (22.0, 1.0), (22.0, 18.0), (33.0, 18.0), (33.0, 22.0)),
    )


def protractor_in_use() -> Drawing:
    """From above: a bridge that slants, the protractor's base on it, a string over the notch."""
    return drawing(
        _shape((2.0, 25.0), (46.0, 22.0), (46.0, 25.0), (2.2, 28.0)),
        _aid((4.0, 25.0), (3.7, 19.0), (15.0, 3.0), (29.0, 2.0), (44.0, 16.0), (44.0, 22.0)),
        _lines([((x, 0.0), (x, 30.0)) for x in (10.0, 38.0)]),
        Line((24.0, 0.0), (24.0, 30.0), Role.GUIDE),
        Line((24.0, 24.0), (22.0, 2.5), Role.TICK),
        Text((48.0, 26.0), says.BRIDGE, SMALL),
    )
