"""A long narrow drawing cut across into pieces that are laid side by side, with marks to join them again.

Neighbours share an overlap. In its middle both have the same two crosses, the same letter, and the distance from the nut.
Each joint can be checked with a rule, so errors cannot add up from joint to joint.
"""

import math
from dataclasses import dataclass

from jigs.drawing.items import (
    Anchor,
    Box,
    Drawing,
    Item,
    Line,
    Path,
    Role,
    Text,
    bounds,
    drawing,
    paragraph,
    paragraph_height_mm,
    with_single_ids,
)
from jigs.drawing.lettering import SMALL, wrapped
from jigs.sheets import words

OVERLAP_MM = 15.0
CROSS_MM = 5.0
FARTHEST_ASIDE_MM = 5
"""Joints lie at whole millimetres from the nut, and move aside by up to this much so that they cut no word."""

_SIDE = 1.5
_COLUMN_GAP = 3.0
_WORD_GAP = 1.5
_ASSEMBLY_GAP = 2.0
_CLEAR_MM = 0.6
_ASSEMBLY_SCALE = 0.2
_WORDS_REACH_MM = 60.0


@dataclass(frozen=True)
class Tile:
    """A piece: its drawing in the frame of the whole, from ``top`` to ``bottom``, between joints (None at an end)."""

    drawing: Drawing
    top: float
    bottom: float
    joint_above: float | None
    joint_below: float | None


def tiles_of(whole: Drawing, longest_mm: float, counts_from: str = "nut") -> list[Tile]:
    """Cut a drawing across into as few pieces as its length allows, joints included. One piece has no joint.

    ``counts_from``: what its heights count from, for the words at the joints.
    """
    box = whole.bounds()
    if box.height <= longest_mm:
        return [Tile(whole, box.top, box.bottom, None, None)]
    count = math.ceil((box.height - OVERLAP_MM) / (longest_mm - OVERLAP_MM - 2 * FARTHEST_ASIDE_MM))
    even = (box.height - OVERLAP_MM) / count
    joints = [_clear_of_words(whole, box.top + OVERLAP_MM / 2 + n * even) for n in range(1, count)]
    tops = [box.top, *(joint - OVERLAP_MM / 2 for joint in joints)]
    bottoms = [*(joint + OVERLAP_MM / 2 for joint in joints), box.bottom]
    pieces = []
    for n, (top, bottom) in enumerate(zip(tops, bottoms, strict=True)):
        above, below = joints[n - 1] if n else None, joints[n] if n < len(joints) else None
        marks = [
            _joint(_beside(whole, joint), joint, letter, below_it, counts_from)
            for joint, letter, below_it in ((above, n - 1, True), (below, n, False))
            if joint is not None
        ]
        pieces.append(Tile(drawing(whole.clipped(top, bottom), *marks), top, bottom, above, below))
    return pieces


def joint_letter(joint: int) -> str:
    """A, B, C …, then AA, AB ….

    >>> joint_letter(0), joint_letter(27)
    ('A', 'AB')
    """
    letter = chr(ord("A") + joint % 26)
    return letter if joint < 26 else joint_letter(joint // 26 - 1) + letter


def _clear_of_words(whole: Drawing, level: float) -> float:
    """The whole millimetre nearest to a level at which a cut goes through no word."""
    texts = [bounds(item) for item in whole if isinstance(item, Text)]
    aside = sorted(range(-FARTHEST_ASIDE_MM + 1, FARTHEST_ASIDE_MM), key=abs)
    tries = (float(round(level) + step) for step in aside)
    clear = (at for at in tries if not any(box.top - _CLEAR_MM < at < box.bottom + _CLEAR_MM for box in texts))
    return next(clear, float(round(level)))


def _beside(whole: Drawing, joint: float) -> Box:
    """How wide the drawing is about a joint, as far as the words on it reach."""
    return whole.clipped(joint - _WORDS_REACH_MM, joint + _WORDS_REACH_MM).bounds()


def _joint(box: Box, joint: float, number: int, below_it: bool, counts_from: str) -> Drawing:
    """Crosses and words of one joint. The piece above is cut there; the piece below goes on under it as far as its line."""
    letter, half = joint_letter(number), CROSS_MM / 2
    left, right = box.left - _SIDE - half, box.right + _SIDE + half
    place = words.joint_in_words(letter, joint, counts_from)
    level, role = (joint - OVERLAP_MM / 2, Role.FINE) if below_it else (joint, Role.CUT)
    items: list[Item] = [Line((left - half, level), (right + half, level), role)]
    for n, x in enumerate((left, right)):
        cross = (((x - half, joint), (x + half, joint)), ((x, joint - half), (x, joint + half)))
        items.append(Path(cross, Role.TICK, f"joint-{letter}-{'left' if n == 0 else 'right'}"))
        along = joint + half + _WORD_GAP if below_it else joint - half - _WORD_GAP
        anchor = Anchor.START if below_it else Anchor.END
        items.append(Text((x - SMALL / 2, along), place, SMALL, anchor, 90.0))
    return Drawing(tuple(items))


def arranged(tiles: list[Tile], width: float) -> list[Drawing] | None:
    """The pieces side by side, each on the first sheet that has room for it; None where one alone is too wide.

    An item that is on two pieces of one sheet keeps its id on the first only, so that no id comes twice.
    """
    sheets: list[Drawing] = []
    taken: list[float] = []
    for tile in tiles:
        box = tile.drawing.bounds()
        if box.width > width:
            return None
        n = next((n for n, used in enumerate(taken) if used + box.width <= width), len(sheets))
        if n == len(sheets):
            sheets.append(Drawing())
            taken.append(0.0)
        sheets[n] += tile.drawing.shifted(taken[n] - box.left, -tile.top)
        taken[n] += box.width + _COLUMN_GAP
    return [with_single_ids(sheet) for sheet in sheets]


def assembly(whole: Drawing, tiles: list[Tile], width: float, height: float) -> Drawing:
    """A small drawing of how the pieces join, each numbered and each joint lettered; top left corner at the origin."""
    box = whole.bounds()
    steps = wrapped(words.JOINING_STEPS, SMALL, width)
    words_height = paragraph_height_mm(len(steps), SMALL)
    spare = height - 2.5 * SMALL - _ASSEMBLY_GAP * len(tiles) - words_height - SMALL
    total = sum(tile.bottom - tile.top for tile in tiles)
    scale = min(spare / total, (width - 2 * SMALL) / box.width, _ASSEMBLY_SCALE)
    body, top = box.width * scale, 2.5 * SMALL
    items: list[Item] = [Text((0.0, SMALL), words.JOINING, SMALL)]
    for n, tile in enumerate(tiles):
        high = (tile.bottom - tile.top) * scale
        corners = ((0.0, top), (body, top), (body, top + high), (0.0, top + high))
        items.append(Path((corners,), Role.GUIDE, closed=True))
        items.append(Text((body + 1.5, top + high / 2 + SMALL / 2), str(n + 1), SMALL))
        if n < len(tiles) - 1:
            items.append(Text((body + 1.5, top + high + _ASSEMBLY_GAP / 2 + SMALL / 2), joint_letter(n), SMALL))
        top += high + _ASSEMBLY_GAP
    return drawing(items, paragraph(steps, 0.0, top + SMALL, SMALL))
