"""The plan of a bridge's crown: how far off the straight line each string bears, at 1:1 and at 5:1.

Drawn along the bridge: the straight bridge line runs down the sheet, the nut to its left, so that the treble end is up on a
right-handed instrument and down on a left-handed one. Offsets are measured square to that line, positive away from the nut.
"""

import math
from itertools import pairwise

import numpy as np

from geometry.arrays import FloatArray
from geometry.lengths import round_half_up
from jigs.drawing.items import Box, Drawing, Item, Line, Path, Role, Text, drawing, paragraph, strokes, with_single_ids
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, width_mm, wrapped
from jigs.drawing.room import DoesNotFit, Room
from jigs.templates import words as says
from jigs.templates.options import Options
from jigs.templates.template import Piece
from jigs.wording import signed
from jigs.workup.workup import Workup

ENLARGED = 5
_END_MM = 1.5
_BESIDE_MM = 2.0
_COLUMN_GAP_MM = 6.0
_HEAD_MM = 8.0
_TABLE_COLUMNS = (0.0, 17.0, 37.0, 57.0)
_TABLE_WIDTH = 72.0
_WIDE_TABLE = 125.0
_MOST_EXTRA_COLUMNS = 3
_ROW_MM = 4.6


def break_points_mm(workup: Workup) -> FloatArray:
    """How far behind the straight bridge line each string should bear, square to it, shape (strings,)."""
    along = workup.setbacks.setback_mm - (workup.line.at(workup.across_mm) - workup.scale_mm)
    return np.asarray(along * math.cos(math.radians(workup.line.slant_deg)))


def spread_in_words(workup: Workup) -> str:
    """Whether the spread of break points fits on the crown."""
    spread, crown = float(np.ptp(break_points_mm(workup))), workup.instrument.bridge.crown
    words = f"The break points spread over {round_half_up(spread, 1)} mm"
    if spread <= crown:
        return f"{words}: they fit on this crown of {crown:g} mm."
    return (
        f"{words}: more than this crown of {crown:g} mm. Use a thicker one, or leave it straight, with the cents shown."
    )


def draw(workup: Workup, room: Room, _options: Options) -> Piece:
    """Crown plan enlarged, in columns if it is long, and beside it the plan at true size and the numbers.

    Raises `DoesNotFit`.
    """
    big = _plan(workup, ENLARGED)
    least = math.ceil(big.bounds().height / (room.height - _HEAD_MM))
    for columns in range(least, least + _MOST_EXTRA_COLUMNS + 1):
        for beside in (True, False):
            laid = _laid_out(workup, big, columns, beside)
            reach = laid.bounds()
            if reach.right <= room.width and reach.bottom <= room.height and not _meets_ruler(laid, room):
                spread = round_half_up(float(np.ptp(break_points_mm(workup))), 2)
                facts = f"Spread {spread} mm on a crown of {workup.instrument.bridge.crown:g} mm"
                return Piece(laid, f"Bridge crown, 1:1 and 5:1, {workup.instrument.head.hand}-handed", facts)
    raise DoesNotFit(says.long_crown(big.bounds().height / ENLARGED))


def _laid_out(workup: Workup, big: Drawing, columns: int, beside: bool) -> Drawing:
    """The enlarged plan in columns; numbers and the plan at 1:1 beside them, or below."""
    box = big.bounds()
    share = box.height / columns
    laid = drawing(Text((0.0, MEDIUM), f"Crown at {ENLARGED}:1", MEDIUM))
    for n in range(columns):
        piece = big.clipped(box.top + n * share, box.top + (n + 1) * share) if columns > 1 else big
        across = n * (box.width + _COLUMN_GAP_MM) - box.left
        laid += piece.shifted(across, _HEAD_MM - box.top - n * share)
        if n:
            laid += drawing(Text((across + box.left, MEDIUM), "continued", SMALL))
    right, below = columns * (box.width + _COLUMN_GAP_MM), _HEAD_MM + share + _COLUMN_GAP_MM
    small = _small(workup)
    numbers = _numbers(workup, _TABLE_WIDTH if beside else _WIDE_TABLE)
    if beside:
        laid += numbers.shifted(right, 0.0) + small.shifted(right, numbers.bounds().bottom + _COLUMN_GAP_MM)
    else:
        laid += numbers.shifted(0.0, below) + small.shifted(_WIDE_TABLE + _COLUMN_GAP_MM, below)
    return with_single_ids(laid)


def _meets_ruler(laid: Drawing, room: Room) -> bool:
    corner = Box(room.width - room.corner_width, 0.0, room.width, room.corner_height)
    return any(box.overlaps(corner) for item in laid for box in strokes(item))


def _plan(workup: Workup, times: int) -> Drawing:
    """The crown from above; x off the middle of the break points, the tail to the right, y along the bridge."""
    points = break_points_mm(workup)
    middle = (float(points.max()) + float(points.min())) / 2
    offsets = ((points - middle) * times).tolist()
    up = 1.0 if workup.instrument.head.hand == "right" else -1.0
    places = np.sort(-up * workup.bridge_places_mm, axis=1) * times
    end = _END_MM * times
    top, foot = float(places.min()) - end, float(places.max()) + end
    half = workup.instrument.bridge.crown / 2 * times
    reach = max(half, *map(abs, offsets)) + _BESIDE_MM
    prefix = f"at-{times}-" if times > 1 else ""
    corners = ((-half, top), (half, top), (half, foot), (-half, foot))
    items: list[Item] = [
        Path((corners,), Role.GUIDE, f"{prefix}crown", closed=True),
        Line((-middle * times, top), (-middle * times, foot), Role.PROVISIONAL, f"{prefix}straight-crown"),
        Path((_stepped(offsets, places, top, foot),), Role.CUT, f"{prefix}break-line"),
    ]
    for n, entry in enumerate(workup.instrument.strings):
        low, high = places[n].tolist()
        for y in dict.fromkeys((low, high)):
            items.append(Line((-reach, y), (reach, y), Role.FINE))
        beyond = 0.8 * times
        break_line = Line((offsets[n], low - beyond), (offsets[n], high + beyond), Role.MARK, f"{prefix}break-{n + 1}")
        items.append(break_line)
        if times > 1:
            label = f"{n + 1} {entry.note} {signed(float(points[n]), 2)}"
            base = (low + high) / 2 + (SMALL / 2 if entry.pair else -1.2)
            items.append(Text((reach + 1.0, base), label, SMALL))
    return Drawing(tuple(items))


def _stepped(offsets: list[float], places: FloatArray, top: float, foot: float) -> tuple[tuple[float, float], ...]:
    """The stepped crown: each string's break point, with the step half way to the next."""
    order = np.argsort(places[:, 0])
    run = [(offsets[order[0]], top)]
    for this, following in pairwise(order.tolist()):
        turn = float(places[this, 1] + places[following, 0]) / 2
        run += [(offsets[this], turn), (offsets[following], turn)]
    return (*run, (offsets[order[-1]], foot))


def _numbers(workup: Workup, width: float) -> Drawing:
    """The numbers and whether they fit, the top left corner at the origin."""
    points = break_points_mm(workup)
    rows = [("string", "setback", "off line", "straight")]
    for n, entry in enumerate(workup.instrument.strings):
        setback = round_half_up(float(workup.setbacks.setback_mm[n]), 2)
        cents = f"{signed(float(workup.left_cents[n]), 1)} c"
        rows.append((f"{n + 1} {entry.note}", setback, signed(float(points[n]), 2), cents))
    parts = drawing(
        Text((x, SMALL + r * _ROW_MM), cell, SMALL)
        for r, row in enumerate(rows)
        for x, cell in zip(_TABLE_COLUMNS, row, strict=True)
    )
    top = SMALL + len(rows) * _ROW_MM + 2.0
    treble = "up" if workup.instrument.head.hand == "right" else "down"
    crown, middle = workup.instrument.bridge.crown, (float(points.max()) + float(points.min())) / 2
    behind = crown / 2 - middle
    for note in (
        spread_in_words(workup),
        f"The straight line lies {round_half_up(abs(behind), 2)} mm {'behind' if behind >= 0 else 'BEFORE'} the nut side of"
        f" a crown cut like this; the feet's nut side belongs {workup.instrument.bridge.face_mm:g} mm before that line.",
        "setback: mm behind the theoretical line. off line: mm behind the straight crown, + is away from the nut. straight:"
        " cents that a straight crown leaves on the octave, + is sharp.",
        f"Wide line: where the strings bear. Dashed: the straight crown. The nut is to the left, the treble end {treble}.",
    ):
        lines = wrapped(note, SMALL, width)
        parts += paragraph(lines, 0.0, top, SMALL)
        top += SMALL * LINE_STEP * len(lines) + 2.0
    return parts


def _small(workup: Workup) -> Drawing:
    """The plan at 1:1 with its title, the top left corner at the origin."""
    plan = _plan(workup, 1)
    box, title = plan.bounds(), "Crown at 1:1"
    return drawing(Text((0.0, MEDIUM), title, MEDIUM), plan.shifted(width_mm(title, MEDIUM) + 6.0 - box.left, -box.top))
