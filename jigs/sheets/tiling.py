"""A long narrow drawing cut across into pieces that are laid side by side, with marks to join them again.

Neighbours share an overlap. In its middle both have the same two crosses, the same letter, and the distance from the nut.
Each joint can be checked with a rule, so errors cannot add up from joint to joint.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

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
    strokes,
    with_single_ids,
)
from jigs.drawing.lettering import SMALL, width_mm, wrapped
from jigs.drawing.room import DoesNotFit
from jigs.sheets import words

OVERLAP_MM = 15.0
SHORTEST_MM = 60.0
"""Where a sheet has room for no more, the pieces are not worth joining; our own bound."""

CROSS_MM = 5.0
_OFF_THE_LINE_MM = 0.3
CLEAR_MM = 6
"""How far a joint stays from a slot, a dot or a step, where one of its pieces can be so long; else as far as possible."""

_OF_WORDS_MM = 3.0
"""By how much less it stays from words."""

_SIDE = 1.5
_COLUMN_GAP = 3.0
_WORD_GAP = 1.5
_BESIDE_WORDS = 2.5
_ASSEMBLY_GAP = 2.0
_LEAST_PIECE_MM = 2 * SMALL + 2.5
_ASSEMBLY_SCALE = 0.2
_WORDS_REACH_MM = 60.0
_RUNS_ALONG = frozenset((Role.FINE, Role.CENTRE))


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

    The joints lie at whole millimetres, clear of what is drawn, and else as even as may be. ``counts_from``: what its
    heights count from, for the words at the joints. Raises `DoesNotFit` where the pieces would be too short.
    """
    box = whole.bounds()
    if box.height <= longest_mm:
        return [Tile(whole, box.top, box.bottom, None, None)]
    if longest_mm < SHORTEST_MM:
        raise DoesNotFit(words.TOO_SHORT_TO_JOIN)
    joints = _joints(whole, box, longest_mm - OVERLAP_MM)
    tops = [box.top, *(joint - OVERLAP_MM / 2 for joint in joints)]
    bottoms = [*(joint + OVERLAP_MM / 2 for joint in joints), box.bottom]
    pieces = []
    for n, (top, bottom) in enumerate(zip(tops, bottoms, strict=True)):
        above, below = joints[n - 1] if n else None, joints[n] if n < len(joints) else None
        marks = [
            _joint(whole, joint, letter, below_it, counts_from)
            for joint, letter, below_it in ((above, n - 1, True), (below, n, False))
            if joint is not None
        ]
        own = whole.clipped(top, bottom)
        own = own if above is None else _without_words_on_the_line(own, top)
        pieces.append(Tile(drawing(own, *marks), top, bottom, above, below))
    return pieces


def _without_words_on_the_line(piece: Drawing, line_mm: float) -> Drawing:
    """A piece without the words that its upper line would cross: the piece above has them, whole."""
    return drawing(one for one in piece if not isinstance(one, Text) or bounds(one).top > line_mm + _OFF_THE_LINE_MM)


def _joints(whole: Drawing, box: Box, most_mm: float) -> list[float]:
    """Joints at most ``most_mm`` apart, all as clear of what is drawn as is possible up to `CLEAR_MM`."""
    first, last = box.top + OVERLAP_MM / 2, box.bottom - OVERLAP_MM / 2
    clear = _clearances(whole, range(math.ceil(first) + 1, math.floor(last)))
    for least in range(CLEAR_MM, -1, -1):
        joints = _even([level for level, mm in clear.items() if mm >= least], first, last, most_mm)
        if joints is not None:
            return joints
    return _even(list(clear), first, last, most_mm) or []


def _clearances(whole: Drawing, levels: range) -> dict[int, float]:
    """How far each level is from the nearest thing that a cut would go through; words count less than marks.

    A line longer than a joint is clear runs along the drawing, and any cut goes through it.
    """
    things = [
        (box, _OF_WORDS_MM if isinstance(item, Text) else 0.0)
        for item in whole
        if item.role not in _RUNS_ALONG
        for box in strokes(item)
        if box.height < 2 * CLEAR_MM
    ]
    if not things:
        return dict.fromkeys(levels, math.inf)
    tops, bottoms, less = np.array([(box.top, box.bottom, less) for box, less in things]).T
    at = np.array(levels, dtype=float)[:, None]
    clear = (np.maximum(tops - at, at - bottoms) + less).min(axis=1, initial=math.inf)
    return dict(zip(levels, clear.tolist(), strict=True))


def _even(levels: list[int], first: float, last: float, most_mm: float) -> list[float] | None:
    """As few of some levels as leave no more than ``most_mm`` between one and the next, near an even division.

    ``first`` and ``last`` are the ends. None where the levels are too far apart.
    """
    earliest = [last]
    while earliest[0] - first > most_mm:
        within = [level for level in levels if earliest[0] - most_mm <= level < earliest[0]]
        if not within:
            return None
        earliest.insert(0, float(within[0]))
    count, joints, at = len(earliest), [], first
    for n, least in enumerate(earliest[:-1], 1):
        even = first + n * (last - first) / count
        within = [level for level in levels if max(least, at + 1) <= level <= at + most_mm]
        at = float(min(within, key=lambda level: abs(level - even)))
        joints.append(at)
    return joints


def joint_letter(joint: int) -> str:
    """A, B, C …, then AA, AB ….

    >>> joint_letter(0), joint_letter(27)
    ('A', 'AB')
    """
    letter = chr(ord("A") + joint % 26)
    return letter if joint < 26 else joint_letter(joint // 26 - 1) + letter


def _joint(whole: Drawing, joint: float, number: int, below_it: bool, counts_from: str) -> Drawing:
    """A joint's crosses and words. The piece above is cut there; the piece below goes on under it as far as its line.

    The crosses lie as near to the drawing as words leave room at their height.
    """
    letter, half = joint_letter(number), CROSS_MM / 2
    at, about = (whole.clipped(joint - reach, joint + reach).bounds() for reach in (half + _WORD_GAP, _WORDS_REACH_MM))
    left, right = at.left - _SIDE - half, at.right + _SIDE + half
    outer = max(right + half, about.right + _BESIDE_WORDS)
    level, role = (joint - OVERLAP_MM / 2, Role.FINE) if below_it else (joint, Role.CUT)
    items: list[Item] = [Line((min(left - half, about.left), level), (outer + SMALL, level), role)]
    for n, x in enumerate((left, right)):
        cross = (((x - half, joint), (x + half, joint)), ((x, joint - half), (x, joint + half)))
        items.append(Path(cross, Role.TICK, f"joint-{letter}-{'left' if n == 0 else 'right'}"))
    along = joint + _WORD_GAP if below_it else joint - _WORD_GAP
    place = words.joint_in_words(letter, joint, counts_from)
    items.append(Text((outer, along), place, SMALL, Anchor.START if below_it else Anchor.END, 90.0))
    return Drawing(tuple(items))


def arranged(tiles: list[Tile], width: float) -> list[Drawing] | None:
    """The pieces side by side at the right of as few sheets as hold them; None where a piece alone is too wide.

    If some room is left, the first sheet has it, for the words. An item that is on two pieces of one sheet keeps its id on
    the first only, so that no id comes twice.
    """
    boxes = [tile.drawing.bounds() for tile in tiles]
    if max(box.width for box in boxes) > width:
        return None
    widths = [box.width + _COLUMN_GAP for box in boxes]
    as_read = range(len(tiles) - 1, -1, -1)
    widest_first = sorted(as_read, key=lambda n: -widths[n])
    sheets = min((_first_fit(order, widths, width + _COLUMN_GAP) for order in (as_read, widest_first)), key=len)
    laid = []
    for members in sorted(sorted(one) for one in sheets):
        left, sheet = width + _COLUMN_GAP - sum(widths[n] for n in members), Drawing()
        for n in members:
            sheet += tiles[n].drawing.shifted(left - boxes[n].left, -tiles[n].top)
            left += widths[n]
        laid.append(with_single_ids(sheet))
    return laid


def _first_fit(order: Iterable[int], widths: Sequence[float], room: float) -> list[list[int]]:
    """Which pieces go on one sheet: each on the first that has room for it."""
    sheets: list[list[int]] = []
    for n in order:
        free = (one for one in sheets if sum(widths[other] for other in one) + widths[n] <= room)
        one = next(free, None)
        if one is None:
            sheets.append([n])
        else:
            one.append(n)
    return sheets


def assembly(whole: Drawing, tiles: list[Tile], width: float, height: float) -> Drawing:
    """A small drawing of how the pieces join, each numbered, each joint lettered; top left corner at the origin."""
    box, gap = whole.bounds(), _ASSEMBLY_GAP
    title = wrapped(words.JOINING, SMALL, width)
    top = paragraph_height_mm(len(title), SMALL) + SMALL
    total = sum(tile.bottom - tile.top for tile in tiles)
    beside = gap + width_mm(words.taped(joint_letter(len(tiles))), SMALL)
    scale = min((height - top - gap * len(tiles)) / total, (width - beside) / box.width, _ASSEMBLY_SCALE)
    body = box.width * scale
    items: list[Item] = []
    for n, tile in enumerate(tiles):
        foot = top + max((tile.bottom - tile.top) * scale, _LEAST_PIECE_MM)
        items.append(Path((((0.0, top), (body, top), (body, foot), (0.0, foot)),), Role.GUIDE, closed=True))
        items.append(Text((body / 2, (top + foot + SMALL) / 2), str(n + 1), SMALL, Anchor.MIDDLE))
        if n < len(tiles) - 1:
            tape = (
                (body / 4, foot - gap / 2),
                (3 * body / 4, foot - gap / 2),
                (3 * body / 4, foot + 1.5 * gap),
                (body / 4, foot + 1.5 * gap),
            )
            items.append(Path((tape,), Role.BAND, closed=True))
            items.append(Text((body + gap, foot + gap / 2 + SMALL / 2), words.taped(joint_letter(n)), SMALL))
        top = foot + gap
    return drawing(paragraph(title, 0.0, 0.0, SMALL), items)
