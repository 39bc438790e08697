"""Witness marks: two tags whose inside corners fit the nut-side corners of the bridge's feet, so that it can go back there.

They are set against the bridge as it stands, so they need no distance. The one that they say, from a fret to the feet along
each outer string, is to check with a rule. What is written on them and beside them is in witness_words.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import feet_outline_mm
from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.cutting.labels import NAME
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.items import Drawing, Item, Line, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, wrapped
from jigs.drawing.room import Room
from jigs.faults import Place
from jigs.templates import witness_words as words
from jigs.templates import words as says
from jigs.templates.names import engraved_name_within
from jigs.templates.options import Options
from jigs.templates.stock import finished, on_page
from jigs.templates.template import Piece
from jigs.templates.witness_picture import in_use
from jigs.workup.found import feet_from_fret_mm
from jigs.workup.workup import Workup

_ARM_MM = 8.0
"""How far a tag reaches along the feet: less than half of the shortest, 20 mm."""

_BESIDE_MM = 26.0
_PAD_MM = 1.5
_ACROSS_MM = _ARM_MM + _BESIDE_MM - 2 * _PAD_MM
_MOST_ROUND_MM = 3.0
"""A corner's largest radius: a larger one would cut letters off."""

_LETTER_MM = 2.0
_STEP_MM = _LETTER_MM * LINE_STEP
_APART_MM = 12.0
_PICTURE_GAP_MM = 10.0
_BLANK_GAP_MM = 1.0
_SIDES = (("treble", 1.0), ("bass", -1.0))


@dataclass(frozen=True)
class WitnessPlan:
    """The fret that the marks are measured from, and how far from its bridge side they are, treble first.

    ``feet_mm``: the feet's nut side at the outer strings. ``corners_mm``: the tags' corners, straight along the neck.
    """

    fret: int
    feet_mm: tuple[float, float]
    corners_mm: tuple[float, float]


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """Both tags on their page, with a picture of them in use. Raises `InputFaults` as `part` does."""
    plan = _plan(workup, options)
    tags = _tags(workup, plan, options)
    seen, box = in_use(workup, plan.fret, plan.feet_mm), tags.bounds()
    across = box.left + (box.width - seen.bounds().width) / 2 - seen.bounds().left
    laid = tags + seen.shifted(across, box.bottom + _PICTURE_GAP_MM - seen.bounds().top)
    return on_page(_piece(workup, plan, laid), room, words.said(workup, plan.fret, plan.corners_mm, options.cutter))


def part(workup: Workup, options: Options) -> Piece:
    """Both tags alone, kerf allowed for. Raises `InputFaults`."""
    plan = _plan(workup, options)
    return _piece(workup, plan, _tags(workup, plan, options))


def _piece(workup: Workup, plan: WitnessPlan, drawn: Drawing) -> Piece:
    document = words.document(plan.fret, workup.instrument.head.hand)
    return Piece(drawn, document, words.facts(workup, plan.fret, plan.feet_mm))


def _plan(workup: Workup, options: Options) -> WitnessPlan:
    """From the chosen fret, or from the last, which is nearest. Raises `InputFaults`."""
    frets, bridge = workup.instrument.head.frets, workup.instrument.bridge
    fret = frets if options.datum_fret is None else options.datum_fret
    if not 1 <= fret <= frets:
        raise says.no_such_fret(fret, frets).refusal(Place(option="datum-fret"))
    wire = float(workup.from_nut_mm[fret - 1]) + workup.instrument.head.fret_crown_width / 2
    corners: FloatArray = feet_outline_mm(workup.face_line, bridge.length, bridge.thickness)[:2]
    treble, bass = np.asarray(corners[:, 1] - wire).tolist()
    return WitnessPlan(fret, feet_from_fret_mm(workup, workup.line, fret), (treble, bass))


def _tags(workup: Workup, plan: WitnessPlan, options: Options) -> Drawing:
    """Both tags as they lie beside the feet, seen from above with the nut at the top."""
    laid = Drawing()
    for (end, side), feet_mm in zip(_SIDES, plan.feet_mm, strict=True):
        right = (side > 0) == (workup.instrument.head.hand == "right")
        across = words.across(workup, engraved_name_within(workup, options.stem, _LETTER_MM, _ACROSS_MM))
        beside = words.beside_feet(workup, end, plan.fret, feet_mm)
        tag = _tag(workup, end, across, beside, options.cutter)
        laid += tag.shifted((1 if right else -1) * (_ARM_MM + _APART_MM / 2), 0.0)
    return laid


def _tag(
    workup: Workup, end: str, across: tuple[str, ...], beside: tuple[words.TagLine, ...], cutter: Cutter
) -> Drawing:
    """One tag for the instrument's hand, its inside corner at the origin. Raises `InputFaults`."""
    hand, r = workup.instrument.head.hand, min(cutter.corner_mm, _MOST_ROUND_MM)
    side = 1.0 if end == "treble" else -1.0
    broken = [part for line in across for part in wrapped(line, _LETTER_MM, _ACROSS_MM, _width)]
    nut = -len(broken) * _STEP_MM - _PAD_MM
    tail = (len(beside) - 1) * _STEP_MM + _LETTER_MM + 2 * _PAD_MM
    corners = (
        Corner((-side * _ARM_MM, nut), r),
        Corner((side * _BESIDE_MM, nut), r),
        Corner((side * _BESIDE_MM, tail), r),
        Corner((0.0, tail)),
        Corner((0.0, 0.0)),
        Corner((-side * _ARM_MM, 0.0)),
    )
    right = (side > 0) == (hand == "right")
    left_edge, left_of_feet = (-_ARM_MM, 0.0) if right else (-_BESIDE_MM, -_BESIDE_MM)
    written = drawing(
        _lines([(line, False) for line in broken], left_edge + _PAD_MM, nut + _PAD_MM, end, f"{end}-{NAME}"),
        _lines(beside, left_of_feet + _PAD_MM, _PAD_MM, end),
    )
    shape = CutPart(closed_path(corners, f"witness-{end}"))
    return finished(workup, shape, Drawing(), cutter, "witness tag", written, crossed=False)


def _width(text: str, height_mm: float) -> float:
    return engraving.width_mm(text, height_mm)


def _lines(lines: Sequence[words.TagLine], left: float, top: float, end: str, first: str = "") -> Drawing:
    """Lines below each other, some with a line to write on behind; ``first``: the id of the first."""
    items: list[Item] = []
    for n, (text, blank) in enumerate(lines):
        base = top + _LETTER_MM + n * _STEP_MM
        items.append(Text((left, base), text, _LETTER_MM, id="" if n else first))
        if blank:
            start, last = left + _width(text, _LETTER_MM) + _BLANK_GAP_MM, left + _BESIDE_MM - 2 * _PAD_MM
            items.append(Line((start, base), (last, base), Role.TICK, f"{end}-{text}"))
    return Drawing(tuple(items))
