"""The sheet of a bridge's crown or saddle: a pattern at 1:1 to cut out and glue on, the same enlarged, and its numbers.

If the file has the steps that are there, they are drawn and listed beside those that are wanted.
"""

import numpy as np

from geometry.lengths import round_half_up
from jigs.drawing.items import Drawing, Text, drawing
from jigs.drawing.lettering import MEDIUM
from jigs.drawing.room import HEADING_MM, DoesNotFit, Room
from jigs.templates import crown_words, words
from jigs.templates.crown_plan import break_points_mm, crown_plan, length_mm, wanted_steps_mm
from jigs.templates.options import Options
from jigs.templates.table import table_of
from jigs.templates.template import Piece
from jigs.wording import signed
from jigs.workup.words import is_stepped
from jigs.workup.workup import Workup

LARGEST = 5
_TITLE_GAP_MM = 3.0
_BLOCK_GAP_MM = 6.0


def draw(workup: Workup, room: Room, _options: Options) -> Piece:
    """The pattern, the table, and the largest enlargement that goes across the room. Raises `DoesNotFit`."""
    for times in range(LARGEST, 0, -1):
        laid = _laid_out(workup, times)
        reach = laid.bounds()
        if reach.right <= room.beside_ruler and reach.bottom <= room.height:
            return Piece(laid, _document(workup, times), _facts(workup), crown_words.crown_words(workup))
    raise DoesNotFit(words.long_crown(length_mm(workup)))


def _document(workup: Workup, times: int) -> str:
    scales = f"1:1 and {times}:1" if times > 1 else "1:1"
    return f"Bridge crown, {scales}, {workup.instrument.head.hand}-handed"


def _facts(workup: Workup) -> str:
    spread = round_half_up(float(np.ptp(break_points_mm(workup))), 2)
    return f"Spread {spread} mm on a crown of {workup.instrument.bridge.crown:g} mm"


def _laid_out(workup: Workup, times: int) -> Drawing:
    """Pattern, table and enlarged plan below each other: steps go beside the first two, the heading above them."""
    parts = [pattern(workup), _table(workup)]
    if times > 1:
        parts.append(_titled(crown_words.enlarged_title(times), crown_plan(workup, times)))
    laid, top = Drawing(), HEADING_MM
    for part in parts:
        laid += part.shifted(0.0, top)
        top = laid.bounds().bottom + _BLOCK_GAP_MM
    return laid


def pattern(workup: Workup) -> Drawing:
    """The plan at true size below its title, the top left corner at the origin."""
    return _titled(crown_words.PATTERN_TITLE, crown_plan(workup))


def _titled(title: str, part: Drawing) -> Drawing:
    box = part.bounds()
    return drawing(Text((0.0, MEDIUM), title, MEDIUM), part.shifted(-box.left, MEDIUM + _TITLE_GAP_MM - box.top))


def _table(workup: Workup) -> Drawing:
    """Every string's setback, the step that it should have and the one that it has, and the cents that are left."""
    stepped = is_stepped(workup.instrument.bridge)
    rows: list[tuple[str, ...]] = [crown_words.table_heads(stepped)]
    for n, (entry, wanted) in enumerate(zip(workup.instrument.strings, wanted_steps_mm(workup).tolist(), strict=True)):
        setback = f"{round_half_up(float(workup.setbacks.setback_mm[n]), 2)} mm"
        there = [f"{signed(float(workup.instrument.steps_mm[n]), 2)} mm"] if stepped else []
        cents = f"{signed(float(workup.left_cents[n]), 1)} cents"
        rows.append((f"{n + 1} {entry.note}", setback, f"{signed(wanted, 2)} mm", *there, cents))
    return table_of(rows)
