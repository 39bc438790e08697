"""The plan of a bridge's crown or saddle. It shows how far off the crown line each string should bear, at 1:1 and at 5:1.

If the file has the steps that are there, they are drawn and listed beside those. Drawn along the bridge: the straight crown
line runs down the sheet, the nut to its left, so that the treble end is up on a right-handed instrument and down on a
left-handed one. The drawing is square to that line.
"""

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from geometry.arrays import FloatArray
from geometry.lengths import round_half_up
from jigs.drawing.blocks import blocks, legend_of
from jigs.drawing.items import Box, Drawing, Item, Line, Path, Role, Text, drawing, strokes, with_single_ids
from jigs.drawing.lettering import MEDIUM, SMALL
from jigs.drawing.room import DoesNotFit, Room
from jigs.templates import words as says
from jigs.templates.options import Options
from jigs.templates.template import Piece
from jigs.wording import signed
from jigs.workup.words import is_stepped, saddle_in_words
from jigs.workup.workup import Workup

ENLARGED = 5
_END_MM = 1.5
_BESIDE_MM = 2.0
_COLUMN_GAP_MM = 6.0
_HEAD_MM = 7.0
_TABLE_COLUMN_MM = 16.5
_TABLE_WIDTH = 78.0
_WIDE_TABLE = 146.0
_MOST_EXTRA_COLUMNS = 3
_ROW_MM = 4.6


def wanted_steps_mm(workup: Workup) -> FloatArray:
    """How far behind the crown line each string should bear, along the neck as the file has steps, shape (strings,)."""
    return np.asarray(workup.setbacks.setback_mm - (workup.computed_line.at(workup.across_mm) - workup.scale_mm))


def break_points_mm(workup: Workup) -> FloatArray:
    """The same, square to the crown line."""
    return wanted_steps_mm(workup) * _tilt(workup)


def _tilt(workup: Workup) -> float:
    return math.cos(math.radians(workup.line.slant_deg))


def spread_in_words(workup: Workup) -> str:
    """Whether the spread of break points fits on the crown."""
    spread, crown = float(np.ptp(break_points_mm(workup))), workup.instrument.bridge.crown
    words = f"The break points spread over {round_half_up(spread, 1)} mm"
    if spread <= crown:
        return f"{words}: they fit on this crown of {crown:g} mm."
    as_it_is = "as it is" if is_stepped(workup.instrument.bridge) else "straight"
    return (
        f"{words}: more than this crown of {crown:g} mm, so the wide line runs outside it. Use a thicker one, or leave it"
        f" {as_it_is}, with the cents shown."
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
    there = ((workup.instrument.steps_mm * _tilt(workup) - middle) * times).tolist()
    stepped = is_stepped(workup.instrument.bridge)
    up = 1.0 if workup.instrument.head.hand == "right" else -1.0
    places = np.sort(-up * workup.bridge_places_mm, axis=1) * times
    end = _END_MM * times
    top, foot = float(places.min()) - end, float(places.max()) + end
    half = workup.instrument.bridge.crown / 2 * times
    reach = max(half, *map(abs, offsets), *(map(abs, there) if stepped else ())) + _BESIDE_MM
    prefix = f"at-{times}-" if times > 1 else ""
    corners = ((-half, top), (half, top), (half, foot), (-half, foot))
    items: list[Item] = [
        Path((corners,), Role.GUIDE, f"{prefix}crown", closed=True),
        Line((-middle * times, top), (-middle * times, foot), Role.PROVISIONAL, f"{prefix}straight-crown"),
        Path((_stepped(offsets, places, top, foot),), Role.CUT, f"{prefix}break-line"),
    ]
    if stepped:
        items.append(Path((_stepped(there, places, top, foot),), Role.MARK, f"{prefix}steps-there"))
    for n, (low, high) in enumerate(places.tolist()):
        items += [Line((-reach, y), (reach, y), Role.FINE) for y in dict.fromkeys((low, high))]
        beyond = 0.8 * times
        items.append(Line((offsets[n], low - beyond), (offsets[n], high + beyond), Role.MARK, f"{prefix}break-{n + 1}"))
    if times > 1:
        items += _labels(workup, places, reach)
        items += [Text((-reach, top - 1.5), "nut", SMALL), Text((reach + 1.0, top - 1.5), "tail", SMALL)]
    return Drawing(tuple(items))


def _labels(workup: Workup, places: FloatArray, reach: float) -> Iterator[Text]:
    """Beside each string its name and the step that it should have."""
    for n, (entry, wanted) in enumerate(zip(workup.instrument.strings, wanted_steps_mm(workup).tolist(), strict=True)):
        low, high = places[n].tolist()
        base = (low + high) / 2 + (SMALL / 2 if entry.pair else -1.2)
        yield Text((reach + 1.0, base), f"{n + 1} {entry.note} {signed(wanted, 2)}", SMALL)


def _stepped(offsets: list[float], places: FloatArray, top: float, foot: float) -> tuple[tuple[float, float], ...]:
    """The stepped crown: each string's break point, with the step half way to the next."""
    order = np.argsort(places[:, 0])
    run = [(offsets[order[0]], top)]
    for this, following in pairwise(order.tolist()):
        turn = float(places[this, 1] + places[following, 0]) / 2
        run += [(offsets[this], turn), (offsets[following], turn)]
    return (*run, (offsets[order[-1]], foot))


def _table(workup: Workup) -> Drawing:
    """Every string's setback, the step that it should have and the one that it has, and the cents that are left."""
    stepped = is_stepped(workup.instrument.bridge)
    rows: list[tuple[str, ...]] = [("string", "setback", "wanted", *(["there"] if stepped else []), "left")]
    for n, (entry, wanted) in enumerate(zip(workup.instrument.strings, wanted_steps_mm(workup).tolist(), strict=True)):
        setback = round_half_up(float(workup.setbacks.setback_mm[n]), 2)
        there = [signed(float(workup.instrument.steps_mm[n]), 2)] if stepped else []
        cents = f"{signed(float(workup.left_cents[n]), 1)} c"
        rows.append((f"{n + 1} {entry.note}", setback, signed(wanted, 2), *there, cents))
    return drawing(
        Text((column * _TABLE_COLUMN_MM, SMALL + r * _ROW_MM), cell, SMALL)
        for r, row in enumerate(rows)
        for column, cell in enumerate(row)
    )


def _numbers(workup: Workup, width: float) -> Drawing:
    """The numbers, whether they fit, and what the lines are; the top left corner at the origin."""
    stepped = is_stepped(workup.instrument.bridge)
    points, table = break_points_mm(workup), _table(workup)
    foot = table.bounds().bottom
    left, top = (table.bounds().right + _COLUMN_GAP_MM, 0.0) if width >= _WIDE_TABLE else (0.0, foot + 4.0)
    lines = [(Role.CUT, "where the strings should bear"), (Role.PROVISIONAL, "crown line")]
    if stepped:
        lines.insert(1, (Role.MARK, "where they bear now"))
    legend = legend_of(lines, left, top, width - left)
    behind = workup.instrument.bridge.crown / 2 - (float(points.max()) + float(points.min())) / 2
    side = "nearer the nut" if behind >= 0 else "nearer the tail"
    now = " there: the steps of your saddle." if stepped else ""
    bridge = "the bridge with the steps that are there" if stepped else "a straight crown"
    notes = (
        f"wanted: step from the crown line, in mm, + towards the tailpiece.{now} setback: from the theoretical line."
        f" left: cents that {bridge} leaves at the octave, + is sharp.",
        spread_in_words(workup),
        f"Cut like this, the crown's nut side is {round_half_up(abs(behind), 2)} mm {side} than the crown line; the nut side"
        f" of the feet is {workup.instrument.bridge.face_mm:g} mm nearer the nut than that line.",
        saddle_in_words(workup),
    )
    return drawing(table, legend, blocks(notes, 0.0, max(legend.bounds().bottom, foot) + 3.0, width))


def _small(workup: Workup) -> Drawing:
    """The plan at 1:1 below its title, the top left corner at the origin."""
    plan = _plan(workup, 1)
    box = plan.bounds()
    return drawing(Text((0.0, MEDIUM), "Crown at 1:1", MEDIUM), plan.shifted(-box.left, MEDIUM + 4.0 - box.top))
