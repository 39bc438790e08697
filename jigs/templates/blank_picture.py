"""A small picture of the pattern in use: a block of wood with one pattern on its nut side and one on its top."""

from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text
from jigs.drawing.lettering import SMALL
from jigs.templates import blank_words
from jigs.workup.workup import Workup

_WIDE, _HIGH = 46.0, 13.0
_BACK = (9.0, -7.0)
_EDGE = (5.0, 3.2, 2.2, 1.8, 2.2, 3.2, 5.0)
"""How far the top edge of the picture lies below the block's, from end to end."""

_SLOTS = (0.2, 0.4, 0.6, 0.8)
_STEPS = (0.62, 0.38, 0.56, 0.44)
_GAP = 1.4


def in_use(workup: Workup) -> Drawing:
    """The block from the nut, its top seen from above; the top left corner at the origin."""
    dx, dy = _BACK
    step = _WIDE / (len(_EDGE) - 1)
    edge = tuple((n * step, -dy + down) for n, down in enumerate(_EDGE))
    top = -dy

    def on_top(share: float, back: float) -> tuple[float, float]:
        return share * _WIDE + back * dx, top + back * dy

    items: list[Item] = [
        Path(((*edge, (_WIDE, top), (0.0, top)),), Role.BAND, closed=True),
        Path(
            (((0.0, top), (_WIDE, top), (_WIDE, top + _HIGH), (0.0, top + _HIGH)),), Role.GUIDE, "in-use", closed=True
        ),
        Path((((0.0, top), (dx, 0.0), (_WIDE + dx, 0.0), (_WIDE, top)),), Role.GUIDE),
        Path((((_WIDE + dx, 0.0), (_WIDE + dx, _HIGH), (_WIDE, top + _HIGH)),), Role.GUIDE),
        Path((edge,), Role.MARK),
    ]
    for share, back in zip(_SLOTS, _STEPS, strict=True):
        items.append(Line(on_top(share, 0.15), on_top(share, 0.85), Role.FINE))
        items.append(Line(on_top(share - 0.08, back), on_top(share + 0.08, back), Role.MARK))
    left, right = ("treble", "bass") if workup.instrument.head.hand == "right" else ("bass", "treble")
    foot = top + _HIGH
    return Drawing(
        (
            *items,
            Text((1.2, foot - _GAP), left, SMALL),
            Text((_WIDE - 1.2, foot - _GAP), right, SMALL, Anchor.END),
            Text((_WIDE / 2, foot - _GAP), "nut side", SMALL, Anchor.MIDDLE),
            Text((_WIDE + dx + _GAP, SMALL), blank_words.ON_TOP, SMALL),
            Text((_WIDE + dx + _GAP, foot - _GAP), blank_words.ON_NUT_SIDE, SMALL),
        )
    )
