"""The gauge: the placement fork as a part to cut in one piece from card, polyester film or thin ply.

A notch in its stem drops over the datum fret, its working edge on the bridge side of the wire. Two legs end in shoulders
that stop the nut-side face of the bridge's feet on its line. It is planned in the frame of a right-handed instrument (y from
the nut, x to the treble side) and mirrored for a left-handed one. The steps beside it are in gauge_words.py.
"""

from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.cutting.parts import Corner, CutPart, closed_path, round_hole
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, wrapped
from jigs.drawing.room import Room
from jigs.faults import Place
from jigs.templates import words as says
from jigs.templates.fork import facts, lowest_datum_fret
from jigs.templates.fork_plan import NUMBER_PITCH_MM
from jigs.templates.gauge_plan import (
    FARTHEST_CENTS,
    FROM_EDGE_MM,
    HOLE_RADIUS_MM,
    LINE_MM,
    NUMBER_GAP_MM,
    NUMBERED_CENTS,
    SIGHT_MM,
    TICK_MM,
    VEE_DEEP_MM,
    VEE_MM,
    GaugePlan,
    level_mm,
    outer_strings_at,
    plan_from,
)
from jigs.templates.gauge_words import notes, on_stem, said
from jigs.templates.names import engraved_name
from jigs.templates.options import Options
from jigs.templates.stock import finished, on_page
from jigs.templates.template import Piece
from jigs.wording import signed
from jigs.workup.workup import Workup

_DATE_MM = 24.0

LEGEND = ((Role.CUT, "cut here"), (Role.TICK, "score or engrave"))


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The gauge on its page, with steps and cautions. Raises `InputFaults` as `part` does."""
    plan, piece = _gauge(workup, options)
    return on_page(piece, room, said(workup, plan, options.cutter, LEGEND))


def part(workup: Workup, options: Options) -> Piece:
    """The gauge alone, in the instrument's frame, kerf allowed for. Raises `InputFaults`."""
    return _gauge(workup, options)[1]


def _gauge(workup: Workup, options: Options) -> tuple[GaugePlan, Piece]:
    cutter, instrument = options.cutter, workup.instrument
    width = instrument.head.fret_crown_width + cutter.clearance_mm
    if cutter.kerf_mm >= width:
        raise says.kerf_fills_notch(cutter.kerf_mm, width).refusal(Place(instrument.source, option="kerf"))
    plan = _plan(workup, options)
    marks = drawing(_legs(workup, plan), _sights(workup, plan))
    windows = (
        _notch(plan, cutter),
        round_hole((0.0, plan.hole_mm), HOLE_RADIUS_MM, "hole"),
    )
    shape, words = CutPart(_outline(workup, plan, cutter), windows), _engraving(workup, plan, options.stem)
    bare = finished(workup, shape, marks, cutter, "gauge", words)
    document = f"Placement gauge, fret {plan.datum_fret}, {instrument.head.hand}-handed"
    return plan, Piece(bare, document, facts(workup), notes=notes(workup, plan))


def _plan(workup: Workup, options: Options) -> GaugePlan:
    """The gauge from the chosen fret, or from the last one whose stem has room for the engraving."""
    frets, chosen = workup.instrument.head.frets, options.datum_fret
    if chosen is not None and not 1 <= chosen <= frets:
        raise says.no_such_fret(chosen, frets).refusal(Place(option="datum-fret"))
    candidates = range(frets, lowest_datum_fret(workup) - 1, -1) if chosen is None else (chosen,)
    for fret in candidates:
        plan = plan_from(workup, fret, options.cutter)
        needs = _words_height(_words(workup, plan, options.stem))
        if plan.first_word_mm + needs <= plan.corner_mm:
            return plan
    raise says.stem_too_short(fret).refusal(Place(workup.instrument.source, option="datum-fret"))


def _outline(workup: Workup, p: GaugePlan, cutter: Cutter) -> Path:
    """From the stem's treble corner round; shoulders and their ends stay sharp."""
    r = cutter.corner_mm
    treble: list[tuple[Point, float]] = [
        ((p.stem_half, p.nut_edge_mm), r),
        ((p.stem_half, p.flare_mm), r),
        ((p.outside, p.corner_mm), r),
        ((p.outside, p.end_mm), r),
        ((p.inner, p.end_mm), r),
        ((p.inner, p.face_at(p.inner)), 0.0),
        ((p.tip, p.face_at(p.tip)), 0.0),
        ((p.tip, p.recess_mm), r),
    ]
    bass = [((-x, y), r) for (x, y), r in treble[:5]]
    bass += [((-x, p.face_at(-x)), 0.0) for x in (p.inner, p.tip)]
    bass.append(((-p.tip, p.recess_mm), r))
    treble_x, bass_x = outer_strings_at(workup, p.recess_mm)
    sighted = (treble_x, bass_x) if treble_x - bass_x > 3 * VEE_MM else (treble_x,)
    vees = [_vee(x, p.recess_mm) for x in sighted if abs(x) + VEE_MM < p.tip - r]
    corners = [*treble, *((at, 0.0) for vee in vees for at in vee), *reversed(bass)]
    return closed_path([Corner(at, radius) for at, radius in corners], "gauge-outline")


def _vee(x: float, level: float) -> tuple[Point, Point, Point]:
    """A notch to sight a string through, its corners from the treble side."""
    return (x + VEE_MM, level), (x, level - VEE_DEEP_MM), (x - VEE_MM, level)


def _notch(p: GaugePlan, cutter: Cutter) -> Path:
    """The window that drops over the wire; its tail-side edge is the working one."""
    r = min(cutter.corner_mm, (p.datum_mm - p.notch_mm) / 2)
    corners = (
        Corner((-p.notch_half, p.notch_mm), r),
        Corner((p.notch_half, p.notch_mm), r),
        Corner((p.notch_half, p.datum_mm)),
        Corner((-p.notch_half, p.datum_mm)),
    )
    return closed_path(corners, "datum")


def _legs(workup: Workup, p: GaugePlan) -> Drawing:
    """The shoulders' line carried on over both legs, the ticks with their numbers, and which leg is which."""
    first, last = p.inner + FROM_EDGE_MM, p.inner + FROM_EDGE_MM + LINE_MM
    zero = tuple(tuple((sign * x, p.face_at(sign * x)) for x in (first, last)) for sign in (1, -1))
    items: list[Item] = [Path(zero, Role.MARK, "bridge-line")]
    for end, (name, sign) in enumerate((("treble", 1.0), ("bass", -1.0))):
        for cents in (c for c in range(-FARTHEST_CENTS, FARTHEST_CENTS + 1, p.cents_step) if c):
            far = last if abs(cents) == NUMBERED_CENTS else first + TICK_MM
            start, stop = ((sign * x, level_mm(workup, p, end, cents, x)) for x in (first, far))
            items.append(Line(start, stop, Role.TICK, f"cents-{name}-{cents}"))
        beside = sign * (last + NUMBER_GAP_MM)
        anchor = Anchor.START if sign > 0 else Anchor.END
        middle = level_mm(workup, p, end, 0, last)
        for way in (-1, 0, 1):
            off = level_mm(workup, p, end, NUMBERED_CENTS, last) - middle
            level = middle + way * max(off, NUMBER_PITCH_MM) + SMALL / 2
            items.append(Text((beside, level), signed(way * NUMBERED_CENTS, 0) if way else "0", SMALL, anchor))
        top = min(level_mm(workup, p, end, -FARTHEST_CENTS, x) for x in (first, last)) - SMALL / 2 - FROM_EDGE_MM
        items.append(Text((sign * (p.inner + p.outside) / 2, top - FROM_EDGE_MM), name, SMALL, Anchor.MIDDLE))
    return Drawing(tuple(items))


def _sights(workup: Workup, p: GaugePlan) -> Drawing:
    """Lines under the outer strings, behind the notch; the vees in the crossbar's edge are their other end."""
    top, foot = p.datum_mm + 1.0, p.datum_mm + 1.0 + SIGHT_MM
    ends = zip(workup.outer_strings, outer_strings_at(workup, top), outer_strings_at(workup, foot), strict=True)
    lines = {n: Line((x1, top), (x2, foot), Role.TICK, f"string-{n + 1}") for n, x1, x2 in ends}
    return Drawing(tuple(lines.values()))


def _words(workup: Workup, p: GaugePlan, stem: str) -> list[tuple[str, float]]:
    """What is engraved on the stem, line by line, with its height."""
    room = 2 * p.stem_half - 4.0
    name = engraved_name(workup, stem)
    size = MEDIUM if engraving.width_mm(name, MEDIUM) <= room else SMALL
    texts = ((name, size), *((text, SMALL) for text in on_stem(workup, p.datum_fret)))
    return [(line, h) for text, h in texts for line in wrapped(text, h, room, engraving.width_mm)]


def _words_height(words: list[tuple[str, float]]) -> float:
    """Height of the words, and of the line for a date below them."""
    return sum(height * LINE_STEP for _, height in words) + SMALL * (LINE_STEP + 1)


def _engraving(workup: Workup, p: GaugePlan, stem: str) -> Drawing:
    """The words on the stem and a line for the date."""
    items: list[Item] = []
    level = p.first_word_mm
    for line, height in _words(workup, p, stem):
        items.append(Text((0.0, level + height), line, height, Anchor.MIDDLE))
        level += height * LINE_STEP
    level += 2 * SMALL
    items += [
        Text((-_DATE_MM / 2, level), "date", SMALL, Anchor.END),
        Line((-_DATE_MM / 2 + 1.5, level), (_DATE_MM / 2 + 4.0, level), Role.TICK, "date"),
    ]
    return Drawing(tuple(items))
