"""Measuring aids at true size, to glue on card or to cut: for heights, scale, wrap turns, steps, and the bridge's slant.

Each aid is a panel with its words and its picture. The strip is long: it comes last, in pieces. A module for each: aid_*.py.
"""

from collections.abc import Sequence
from dataclasses import replace

from jigs.drawing.blocks import steps_of
from jigs.drawing.items import Drawing
from jigs.drawing.room import HEADING_MM, DoesNotFit, Room
from jigs.templates import measure_words
from jigs.templates.aid import Aid, below_each_other, panel
from jigs.templates.aid_comb import comb
from jigs.templates.aid_counter import counter
from jigs.templates.aid_slant import protractor, square
from jigs.templates.aid_strip import scales_mm, strip, strip_part
from jigs.templates.aid_wedge import wedge, with_narrow_edges
from jigs.templates.options import Options
from jigs.templates.template import Piece
from jigs.workup.workup import Workup

_BETWEEN_MM = 9.0
_RULER_CLEAR_MM = 2.0
_STEPS_CLEAR_MM = 12.0
_COLUMNS = 2
_PART_GAP_MM = 6.0
_NEAR_MM = 0.01


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """Panels on as many sheets as they take, and the strip. Raises `DoesNotFit`, and `InputFaults` as `part` does."""
    on_height, *others = _aids(workup, options)
    aids = replace(on_height, parts=tuple(map(with_narrow_edges, on_height.parts))), *others
    width = room.beside_ruler - _RULER_CLEAR_MM
    panels = [panel(aid, width) for aid in aids]
    sheets = _sheets_of(panels, width, room.height)
    jobs = [[aids[n].said.job for n in members] for _, members in sheets]
    first, *more = (_laid([panels[n] for n in members], top) for top, members in sheets)
    said = measure_words.said([measure_words.heading_of(one, room.beside_ruler) for one in jobs])
    document, facts = measure_words.DOCUMENT, measure_words.facts(scales_mm(workup))
    return Piece(first, document, facts, said, more=tuple(more), joined=strip_part(workup, options))


def part(workup: Workup, options: Options) -> Piece:
    """All parts beside the strip, kerf allowed for. Raises `InputFaults` for parts that cannot be cut."""
    others = below_each_other([part for aid in _aids(workup, options) for part in aid.parts], _PART_GAP_MM)
    long = strip_part(workup, options)
    beside = others.shifted(long.bounds().right + _PART_GAP_MM, 0.0)
    return Piece(long + beside, measure_words.DOCUMENT, measure_words.facts(scales_mm(workup)))


def _aids(workup: Workup, options: Options) -> tuple[Aid, ...]:
    """In the order in which an instrument is measured."""
    return (
        wedge(workup, options),
        strip(workup),
        counter(workup, options),
        comb(workup, options),
        square(workup, options),
        protractor(workup, options),
    )


def _sheets_of(panels: Sequence[Drawing], width: float, height: float) -> list[tuple[float, list[int]]]:
    """Where the panels of each sheet begin, and which they are; each goes on the first sheet with room for it.

    The first sheet has the steps for all aids below its heading, where it can. Raises `DoesNotFit`.
    """
    boxes = [one.bounds() for one in panels]
    widest, tallest = max(box.right for box in boxes), max(box.bottom for box in boxes)
    if widest > width + _NEAR_MM:
        raise DoesNotFit(measure_words.wide(widest))
    if HEADING_MM + tallest > height:
        raise DoesNotFit(measure_words.tall(tallest))
    below_steps = HEADING_MM + _steps_mm(width)
    sheets = [(below_steps if below_steps + boxes[0].bottom <= height else HEADING_MM, [0])]
    for n in range(1, len(boxes)):
        holds = (
            members for top, members in sheets if top + _height([boxes[m].bottom for m in (*members, n)]) <= height
        )
        members = next(holds, None)
        if members is None:
            sheets.append((HEADING_MM, [n]))
        else:
            members.append(n)
    return sheets


def _height(heights: Sequence[float]) -> float:
    return sum(heights) + _BETWEEN_MM * (len(heights) - 1)


def _steps_mm(width: float) -> float:
    """Height of the steps for all aids, side by side in columns."""
    steps = measure_words.STEPS
    column = steps_of(steps, 0.0, 0.0, width / _COLUMNS - _PART_GAP_MM)
    return column.bounds().height / _COLUMNS + _STEPS_CLEAR_MM


def _laid(panels: Sequence[Drawing], top: float) -> Drawing:
    """Panels below each other, the first at ``top``."""
    laid = Drawing()
    for one in panels:
        laid += one.shifted(0.0, top)
        top += one.bounds().bottom + _BETWEEN_MM
    return laid
