"""The gauge: the placement fork as a part to cut in one piece from card, polyester film or thin ply.

A notch in its stem drops over the datum fret, its working edge on the bridge side of the wire; two legs end in shoulders
that stop the nut-side face of the bridge's feet on its line. Planned in the frame of a right-handed instrument (y from the
nut, x to the treble side) and mirrored for a left-handed one.
"""

import math
from dataclasses import dataclass

import numpy as np

from geometry.bridge import BridgeLine, end_movement_factor
from geometry.lengths import MM_PER_INCH, round_half_up
from jigs.cutting import engraving
from jigs.cutting.cutter import THICKEST_STOCK_MM, Cutter
from jigs.cutting.parts import Corner, CutPart, closed_path, round_hole
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, wrapped
from jigs.drawing.room import DoesNotFit, Room
from jigs.faults import Note, Place
from jigs.templates import words as fault_words
from jigs.templates.fork import LOWEST_DATUM_FRET, facts
from jigs.templates.instructions import CUTTER_CAUTIONS, Free, words_below, words_beside
from jigs.templates.options import Options
from jigs.templates.stock import finished, first_steps, in_room, scale_in_words
from jigs.templates.template import Piece
from jigs.workup.board_edges import BoardEdges
from jigs.workup.cents_scale import widest_feet_mm
from jigs.workup.on_the_top import laid_line
from jigs.workup.words import computed_from, move_in_words
from jigs.workup.workup import Workup

FARTHEST_CENTS = 10
LEAST_TICK_GAP_MM = 0.8
MOST_LANES = 4
NOTCH_BEYOND_BOARD_MM = 2.0
SIDE_MM = 5.0
FEET_CLEARANCE_MM = 1.5
BEARING_MM = 6.0
LEAST_BEARING_MM = 2.0
RECESS_MM = 3.0
CROSSBAR_MM = 6.0
FLARE_MM = 8.0
HOLE_RADIUS_MM = 2.5
SIGHT_MM = 6.0
_VEE_MM = 1.0
_VEE_DEEP_MM = 2.0
_TICK_MM = 2.0
_LANE_MM = 2.6
_LINE_MM = 4.0
_FROM_EDGE_MM = 1.0
_DATE_MM = 24.0

LEGEND = (
    (Role.CUT, "cut here"),
    (Role.MARK, "scored: line of the shoulders"),
    (Role.TICK, "scored: cents, and the outer strings"),
    (Role.ENGRAVED, "engraved, in single strokes"),
)


@dataclass(frozen=True)
class Plan:
    """Every place of a gauge, right-handed, y from the nut as it lies, in mm."""

    datum_fret: int
    datum_mm: float
    notch_mm: float
    nut_edge_mm: float
    hole_mm: float
    notch_half: float
    stem_half: float
    tip: float
    inner: float
    outer: float
    recess_mm: float
    corner_mm: float
    flare_mm: float
    end_mm: float
    foot_half: float
    face: BridgeLine
    lanes: int

    def face_at(self, x: float) -> float:
        """The line of the shoulders at x."""
        return float(self.face.at(np.array(x)))

    @property
    def first_word_mm(self) -> float:
        """Where the stem is free for words, below hole and sighting lines."""
        return max(self.hole_mm + HOLE_RADIUS_MM, self.datum_mm + SIGHT_MM + 2.0) + 2.0


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The gauge on its page, with steps and cautions. Raises `DoesNotFit`, and `InputFaults` as `part` does."""
    plan, piece = _gauge(workup, options)
    placed, middle, down = in_room(piece.drawing, room)
    end = placed.bounds().bottom
    steps = _steps(workup, plan, options.cutter)
    free = Free(middle, plan.stem_half, down + plan.nut_edge_mm, down + plan.flare_mm, end)
    try:
        words = words_below(end, room, steps, LEGEND, CUTTER_CAUTIONS)
    except DoesNotFit:
        words = words_beside(free, room, steps, LEGEND, CUTTER_CAUTIONS, f"from fret {plan.datum_fret}")
    return Piece(placed + words, piece.document, piece.facts, notes=piece.notes)


def part(workup: Workup, options: Options) -> Piece:
    """The gauge alone, in the instrument's frame, kerf allowed for. Raises `InputFaults`."""
    return _gauge(workup, options)[1]


def _gauge(workup: Workup, options: Options) -> tuple[Plan, Piece]:
    cutter, instrument = options.cutter, workup.instrument
    width = instrument.head.fret_crown_width + cutter.clearance_mm
    if cutter.kerf_mm >= width:
        raise fault_words.kerf_wider_than_notch(cutter.kerf_mm, width).refusal(Place(instrument.source, option="kerf"))
    plan = _plan(workup, options)
    marks = drawing(_legs(workup, plan), _sights(workup, plan))
    windows = (
        _notch(plan, cutter),
        round_hole((0.0, plan.hole_mm), HOLE_RADIUS_MM, "hole"),
    )
    shape, words = CutPart(_outline(workup, plan, cutter), windows), _engraving(workup, plan)
    bare = finished(workup, shape, marks, cutter, "gauge", words)
    document = f"Gauge, fret {plan.datum_fret}, {instrument.head.hand}-handed"
    return plan, Piece(bare, document, facts(workup), notes=_notes(workup, plan))


def _plan(workup: Workup, options: Options) -> Plan:
    """The gauge from the chosen fret, or from the last one that leaves room for what is engraved."""
    frets, chosen = workup.instrument.head.frets, options.datum_fret
    if chosen is not None and not 1 <= chosen <= frets:
        raise fault_words.no_such_fret(chosen, frets).refusal(Place(option="datum-fret"))
    candidates = range(frets, LOWEST_DATUM_FRET - 1, -1) if chosen is None else (chosen,)
    for fret in candidates:
        plan = _plan_from(workup, fret, options.cutter)
        needs = _words_height(_words(workup, plan))
        if plan.first_word_mm + needs <= plan.corner_mm:
            return plan
    raise fault_words.stem_too_short(fret).refusal(Place(workup.instrument.source, key="gauge"))


def _plan_from(workup: Workup, fret: int, cutter: Cutter) -> Plan:
    instrument = workup.instrument
    face = laid_line(instrument, workup.face_line)
    wire, crown = float(workup.from_nut_mm[fret - 1]), instrument.head.fret_crown_width
    datum = wire + crown / 2
    notch = datum - crown - cutter.clearance_mm
    notch_half = BoardEdges(workup).widest_at(wire) + NOTCH_BEYOND_BOARD_MM
    stem_half = notch_half + max(cutter.web_mm, SIDE_MM)
    inner = widest_feet_mm(workup, face) + FEET_CLEARANCE_MM
    foot_half = instrument.bridge.length / 2 * math.cos(math.radians(face.slant_deg))
    strings = float(abs(workup.across_mm[list(workup.outer)]).max())
    bearing = min(BEARING_MM, foot_half - strings - 2 * _VEE_MM - 1.0)
    tip = foot_half - max(bearing, LEAST_BEARING_MM)
    per_cent = [_per_cent_mm(workup, end, inner, foot_half) for end in (0, 1)]
    reach = FARTHEST_CENTS * max(per_cent)
    lanes = min(max(math.ceil(LEAST_TICK_GAP_MM / min(per_cent)), 1), MOST_LANES)
    words = engraving.width_mm("treble", SMALL) + 2 * _FROM_EDGE_MM
    outer = max(inner + max(lanes * _LANE_MM + 2 * _FROM_EDGE_MM, words), stem_half)
    ends = [float(y) for y in face.at(np.array([-outer, -tip, tip, outer]))]
    recess = min(ends[1:3]) - RECESS_MM
    corner = min(recess - _VEE_DEEP_MM - max(CROSSBAR_MM, cutter.web_mm), min(ends) - reach - 5 * SMALL)
    return Plan(
        datum_fret=fret,
        datum_mm=datum,
        notch_mm=notch,
        nut_edge_mm=notch - cutter.web_mm,
        hole_mm=datum + max(cutter.web_mm, SIDE_MM) + HOLE_RADIUS_MM,
        notch_half=notch_half,
        stem_half=stem_half,
        tip=tip,
        inner=inner,
        outer=outer,
        recess_mm=recess,
        corner_mm=corner,
        flare_mm=corner - FLARE_MM,
        end_mm=max(ends) + max(reach + 3 * SMALL, 10.0),
        foot_half=foot_half,
        face=face,
        lanes=lanes,
    )


def _per_cent_mm(workup: Workup, end: int, x: float, held: float) -> float:
    """How far the face moves at x for a cent, with the other end of the feet held."""
    string = workup.outer[end]
    sign = 1.0 if end == 0 else -1.0
    factor = end_movement_factor(float(workup.across_mm[string]), sign * x, -sign * held)
    return factor / abs(float(workup.cents_per_mm[string]))


def _outline(workup: Workup, p: Plan, cutter: Cutter) -> Path:
    """From the stem's treble corner round; shoulders and their ends stay sharp."""
    r = cutter.corner_mm
    treble: list[tuple[Point, float]] = [
        ((p.stem_half, p.nut_edge_mm), r),
        ((p.stem_half, p.flare_mm), r),
        ((p.outer, p.corner_mm), r),
        ((p.outer, p.end_mm), r),
        ((p.inner, p.end_mm), r),
        ((p.inner, p.face_at(p.inner)), 0.0),
        ((p.tip, p.face_at(p.tip)), 0.0),
        ((p.tip, p.recess_mm), r),
    ]
    bass = [((-x, y), r) for (x, y), r in treble[:5]]
    bass += [((-x, p.face_at(-x)), 0.0) for x in (p.inner, p.tip)]
    bass.append(((-p.tip, p.recess_mm), r))
    treble_x, bass_x = _outer_strings_at(workup, p.recess_mm)
    sighted = (treble_x, bass_x) if treble_x - bass_x > 3 * _VEE_MM else (treble_x,)
    vees = [_vee(x, p.recess_mm) for x in sighted if abs(x) + _VEE_MM < p.tip - r]
    corners = [*treble, *((at, 0.0) for vee in vees for at in vee), *reversed(bass)]
    return closed_path([Corner(at, radius) for at, radius in corners], "gauge-outline")


def _vee(x: float, level: float) -> tuple[Point, Point, Point]:
    """A notch to sight a string through, its corners from the treble side."""
    return (x + _VEE_MM, level), (x, level - _VEE_DEEP_MM), (x - _VEE_MM, level)


def _outer_strings_at(workup: Workup, from_nut_mm: float) -> tuple[float, float]:
    """x of the outer full-length strings, or of the middle of their pairs: treble, bass."""
    places = workup.strings_at(from_nut_mm)[list(workup.outer)].mean(axis=1).tolist()
    return places[0], places[1]


def _notch(p: Plan, cutter: Cutter) -> Path:
    """The window that drops over the wire; its tail-side edge is the working one."""
    r = min(cutter.corner_mm, (p.datum_mm - p.notch_mm) / 2)
    corners = (
        Corner((-p.notch_half, p.notch_mm), r),
        Corner((p.notch_half, p.notch_mm), r),
        Corner((p.notch_half, p.datum_mm)),
        Corner((-p.notch_half, p.datum_mm)),
    )
    return closed_path(corners, "datum")


def _legs(workup: Workup, p: Plan) -> Drawing:
    """The shoulders' line carried on over both legs, the ticks, and which leg is which."""
    first = p.inner + _FROM_EDGE_MM
    last = first + p.lanes * _LANE_MM
    line = last - _FROM_EDGE_MM / 2, min(last + _LINE_MM, p.outer - _FROM_EDGE_MM)
    runs = tuple(tuple((sign * x, p.face_at(sign * x)) for x in line) for sign in (1, -1))
    items: list[Item] = [Path(runs, Role.MARK, "bridge-line")]
    for end, (name, sign) in enumerate((("treble", 1.0), ("bass", -1.0))):
        for cents in range(1, FARTHEST_CENTS + 1):
            x = first + (cents - 1) % p.lanes * _LANE_MM
            for signed in (-cents, cents):
                y = p.face_at(sign * x) + signed * _per_cent_mm(workup, end, x, p.foot_half)
                tick = Line((sign * x, y), (sign * (x + _TICK_MM), y), Role.TICK, f"cents-{name}-{signed}")
                items.append(tick)
        reach = FARTHEST_CENTS * _per_cent_mm(workup, end, last, p.foot_half)
        levels = [p.face_at(sign * x) for x in (first, last)]
        top, foot = min(levels) - reach - _FROM_EDGE_MM, max(levels) + reach + _FROM_EDGE_MM + SMALL
        middle = sign * (p.inner + p.outer) / 2
        items += [
            Text((middle, top), f"-{FARTHEST_CENTS}", SMALL, Anchor.MIDDLE),
            Text((middle, foot), f"+{FARTHEST_CENTS}", SMALL, Anchor.MIDDLE),
            Text((middle, top - SMALL * LINE_STEP), name, SMALL, Anchor.MIDDLE),
        ]
    return Drawing(tuple(items))


def _sights(workup: Workup, p: Plan) -> Drawing:
    """Lines under the outer strings, behind the notch; the vees in the crossbar's edge are their other end."""
    top, foot = p.datum_mm + 1.0, p.datum_mm + 1.0 + SIGHT_MM
    ends = zip(workup.outer, _outer_strings_at(workup, top), _outer_strings_at(workup, foot), strict=True)
    lines = {n: Line((x1, top), (x2, foot), Role.TICK, f"string-{n + 1}") for n, x1, x2 in ends}
    return Drawing(tuple(lines.values()))


def _words(workup: Workup, p: Plan) -> list[tuple[str, float]]:
    """What is engraved on the stem, line by line, with its height."""
    instrument, room = workup.instrument, 2 * p.stem_half - 4.0
    name = instrument.name
    size = MEDIUM if engraving.width_mm(name, MEDIUM) <= room else SMALL
    strings = " ".join(
        f"{entry.note}\N{NO-BREAK SPACE}{f'{entry.gauge / float(MM_PER_INCH):.3f}'.lstrip('0')}{'w' if entry.core else ''}"
        for entry in instrument.strings
    )
    texts = (
        (name, size),
        (scale_in_words(workup), SMALL),
        (strings, SMALL),
        (f"bridge side of fret {p.datum_fret}", SMALL),
    )
    return [(line, h) for text, h in texts for line in wrapped(text, h, room, engraving.width_mm)]


def _words_height(words: list[tuple[str, float]]) -> float:
    """Height of the words, and of the line for a date below them."""
    return sum(height * LINE_STEP for _, height in words) + SMALL * (LINE_STEP + 1)


def _engraving(workup: Workup, p: Plan) -> Drawing:
    """The words on the stem and a line for the date."""
    items: list[Item] = []
    level = p.first_word_mm
    for line, height in _words(workup, p):
        items.append(Text((0.0, level + height), line, height, Anchor.MIDDLE))
        level += height * LINE_STEP
    level += 2 * SMALL
    items += [
        Text((-_DATE_MM / 2, level), "date", SMALL, Anchor.END),
        Line((-_DATE_MM / 2 + 1.5, level), (_DATE_MM / 2 + 4.0, level), Role.TICK, "date"),
    ]
    return Drawing(tuple(items))


def room_under_strings_mm(workup: Workup, from_nut_mm: float) -> float:
    """How thick a flat part may be that lies on the frets and reaches to a place: the lowest string that passes over it."""
    model = workup.model
    share = (from_nut_mm - workup.scale_mm + model.length_mm) / model.length_mm
    heights = model.nut_height_mm + model.rise_mm * share + 2 * workup.instrument.action.relief * share
    return float(heights[share >= 0].min())


def _stock_in_words(workup: Workup, p: Plan, cutter: Cutter) -> str:
    """From which thickness on the strings must be slackened."""
    most = math.floor(10 * room_under_strings_mm(workup, p.nut_edge_mm)) / 10
    if most > THICKEST_STOCK_MM:
        return f"Stock up to {THICKEST_STOCK_MM:g} mm slips under the strings at fret {p.datum_fret}."
    where = f"at fret {p.datum_fret}"
    words = f"Stock thinner than {most:g} mm slips under the strings {where}; for thicker stock slacken them first."
    return words if cutter.stock_mm < most else f"{words} This stock of {cutter.stock_mm:g} mm: SLACKEN THEM."


def _notes(workup: Workup, p: Plan) -> tuple[Note, ...]:
    """What keeps the notch from dropping over its fret."""
    notes = []
    if p.datum_fret != workup.instrument.head.frets:
        notes.append(fault_words.frets_in_the_way(p.datum_fret).note())
    before = float(workup.from_nut_mm[p.datum_fret - 2]) if p.datum_fret > 1 else 0.0
    if p.nut_edge_mm < before + workup.instrument.head.fret_crown_width / 2:
        notes.append(fault_words.edge_on_fret(p.datum_fret - 1).note())
    return tuple(notes)


def _sighted_in_words(workup: Workup) -> str:
    """Which strings pass over the vees."""
    first, last = workup.outer
    if first == last:
        return f"String {first + 1} passes"
    if workup.instrument.strings[first].pair and workup.instrument.strings[last].pair:
        return f"The middles of pairs {first + 1} and {last + 1} pass"
    return f"Strings {first + 1} and {last + 1} pass"


def _steps(workup: Workup, p: Plan, cutter: Cutter) -> tuple[str, ...]:
    treble, bass = (round_half_up(p.face_at(x) - p.datum_mm, 1) for x in (p.tip, -p.tip))
    check = f"Measure it, from the notch's bridge side to the shoulders' tips: {treble} mm treble, {bass} mm bass."
    flat = " / ".join(round_half_up(_per_cent_mm(workup, end, p.foot_half, p.foot_half), 2) for end in (0, 1))
    columns = f"counted through all {p.lanes} columns" if p.lanes > 1 else "counted from the line"
    return (
        *first_steps(cutter, "gauge", check),
        f"3 {_stock_in_words(workup, p, cutter)}",
        f"4 Slide it under the strings, drop the notch over fret {p.datum_fret} and draw it towards the nut until its edge"
        f" bears on the bridge side of the wire. {_sighted_in_words(workup)} over the vees.",
        "5 Hold the bridge low, at both ends, and bring the nut side of its feet against both shoulders.",
        f"6 Tune, and compare the octave harmonic with the note fretted at fret 12. {move_in_words(workup)} Sharp: away from"
        f" the shoulder, by the ticks, a cent each, {columns}. Flat: mark the feet's nut side with tape, take the gauge out,"
        f" and move the end of the feet {flat} mm for a cent towards the nut (treble / bass).",
        *(f"Mind: {note.sentence()}." for note in _notes(workup, p)),
        computed_from(workup),
    )
