"""A small picture of witness marks in use, from above: end of the neck, strings, bridge, a tag at either end of its feet."""

from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL
from jigs.templates import witness_words as words
from jigs.templates.in_use import arrow
from jigs.workup.workup import Workup

_BOARD_HALF, _STRINGS_HALF, _FEET_HALF = 16.0, 11.0, 24.0
_FRETS = (2.0, 8.0, 13.5, 18.5)
_BOARD_END, _FEET, _THICK, _FOOT = 21.0, 52.0, 6.0, 66.0
_STRINGS = 4
_SLANT = 1.2
_TAG = ((-6.0, -9.0), (15.0, -9.0), (15.0, 8.0), (0.0, 8.0), (0.0, 0.0), (-6.0, 0.0))
_TAG_MIDDLE = 7.5
_GAP = 1.5


def in_use(workup: Workup, fret: int, feet_mm: tuple[float, float]) -> Drawing:
    """Not to scale, except that it slants the right way; for the instrument's hand."""
    slant = -_SLANT if workup.line.slope > 0 else _SLANT if workup.line.slope < 0 else 0.0
    seen = drawing(_tags(slant), _neck(fret), _bridge(slant), _distances(slant, feet_mm))
    return seen if workup.instrument.head.hand == "right" else seen.mirrored()


def _face(x: float, slant: float) -> float:
    """Level of the feet's nut side; ``slant``: how much farther from the nut the bass end is than the middle."""
    return _FEET - slant * x / _FEET_HALF


def _tags(slant: float) -> Drawing:
    items: list[Item] = []
    for end, side in (("treble", 1.0), ("bass", -1.0)):
        corner = side * _FEET_HALF, _face(side * _FEET_HALF, slant)
        run = tuple((corner[0] + side * x, _face(corner[0] + side * x, slant) + y) for x, y in _TAG)
        items += [Path((run,), Role.BAND, closed=True), Path((run,), Role.GUIDE, closed=True)]
        middle = corner[0] + side * _TAG_MIDDLE
        items.append(Text((middle, max(y for _, y in run) + _GAP + SMALL), end, SMALL, Anchor.MIDDLE))
    return Drawing(tuple(items))


def _neck(fret: int) -> Drawing:
    """The end of the board, its frets, and the strings as far as the tail."""
    board = ((-_BOARD_HALF, 0.0), (-_BOARD_HALF, _BOARD_END), (_BOARD_HALF, _BOARD_END), (_BOARD_HALF, 0.0))
    xs = [_STRINGS_HALF * (2 * n / (_STRINGS - 1) - 1) for n in range(_STRINGS)]
    last = _FRETS[-1]
    return drawing(
        Path((board,), Role.FINE),
        (Line((-_BOARD_HALF, y), (_BOARD_HALF, y), Role.FINE) for y in _FRETS[:-1]),
        Line((-_BOARD_HALF, last), (_BOARD_HALF, last), Role.MARK),
        (Line((x, 0.0), (x, _FOOT), Role.FINE) for x in xs),
        Text((_BOARD_HALF + _GAP, last + SMALL / 2), f"fret {fret}", SMALL),
        Text((_BOARD_HALF + _GAP, SMALL), words.TO_NUT, SMALL),
    )


def _bridge(slant: float) -> Path:
    ends = [(x, _face(x, slant)) for x in (-_FEET_HALF, _FEET_HALF)]
    back = [(x, y + _THICK) for x, y in reversed(ends)]
    return Path(((*ends, *back),), Role.MARK, closed=True)


def _distances(slant: float, feet_mm: tuple[float, float]) -> Drawing:
    """From the fret to the feet along the outer strings, with what they measure."""
    items: list[Item] = []
    for side, mm in zip((1.0, -1.0), feet_mm, strict=True):
        x = side * _STRINGS_HALF
        top, foot = (x, _FRETS[-1]), (x, _face(x, slant))
        items.append(arrow(foot, top, both_ends=True))
        anchor = Anchor.START if side > 0 else Anchor.END
        items.append(Text((x + side * _GAP, (top[1] + foot[1] + SMALL) / 2), words.on_string(mm), SMALL, anchor))
    return Drawing(tuple(items))
