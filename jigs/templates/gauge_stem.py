"""The stem of a gauge, with wedges or without: the notch over its fret, the sights for the outer strings, its words."""

from collections.abc import Callable

from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.cutting.labels import NAME
from jigs.cutting.parts import Corner, closed_path
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, wrapped
from jigs.faults import Place
from jigs.templates import words as says
from jigs.templates.fork import lowest_datum_fret
from jigs.templates.gauge_plan import HOLE_RADIUS_MM, SIGHT_MM, VEE_DEEP_MM, VEE_MM, GaugePlan, outer_strings_at
from jigs.templates.gauge_words import on_stem
from jigs.templates.names import engraved_name_within
from jigs.templates.options import Options
from jigs.workup.workup import Workup

_CLEAR_OF_HOLE_MM = 1.0
_DATE_MM = 24.0


def planned(workup: Workup, options: Options, plan_from: Callable[[int], GaugePlan]) -> GaugePlan:
    """The gauge from the chosen fret, or from the last one whose stem has room for the engraving. Raises `InputFaults`."""
    cutter, width = options.cutter, workup.instrument.head.fret_crown_width + options.cutter.clearance_mm
    if cutter.kerf_mm >= width:
        raise says.kerf_fills_notch(cutter.kerf_mm, width).refusal(Place(workup.instrument.source, option="kerf"))
    frets, chosen = workup.instrument.head.frets, options.datum_fret
    if chosen is not None and not 1 <= chosen <= frets:
        raise says.no_such_fret(chosen, frets).refusal(Place(option="datum-fret"))
    candidates = range(frets, lowest_datum_fret(workup) - 1, -1) if chosen is None else (chosen,)
    for fret in candidates:
        plan = plan_from(fret)
        if plan.nut_edge_mm <= 0:
            raise says.over_the_nut(fret, cutter.web_mm).refusal(Place(option="datum-fret"))
        needs = _words_height(_words(workup, plan, options.stem))
        if plan.first_word_mm + needs <= plan.corner_mm:
            return plan
    raise says.stem_too_short(fret).refusal(Place(workup.instrument.source, option="datum-fret"))


def notch(p: GaugePlan, cutter: Cutter) -> Path:
    """The window that drops over the wire; its tail-side edge is the working one."""
    r = min(cutter.corner_mm, (p.datum_mm - p.notch_mm) / 2)
    corners = (
        Corner((-p.notch_half, p.notch_mm), r),
        Corner((p.notch_half, p.notch_mm), r),
        Corner((p.notch_half, p.datum_mm)),
        Corner((-p.notch_half, p.datum_mm)),
    )
    return closed_path(corners, "datum")


def vees(workup: Workup, p: GaugePlan, corner_mm: float) -> list[tuple[Point, float]]:
    """The notches in the crossbar's edge to sight the outer strings through, from the treble side."""
    treble_x, bass_x = outer_strings_at(workup, p.recess_mm)
    sighted = (treble_x, bass_x) if treble_x - bass_x > 3 * VEE_MM else (treble_x,)
    drawn = [_vee(x, p.recess_mm) for x in sighted if abs(x) + VEE_MM < p.tip - corner_mm]
    return [(at, 0.0) for vee in drawn for at in vee]


def _vee(x: float, level: float) -> tuple[Point, Point, Point]:
    """A notch to sight a string through, its corners from the treble side."""
    return (x + VEE_MM, level), (x, level - VEE_DEEP_MM), (x - VEE_MM, level)


def sights(workup: Workup, p: GaugePlan) -> Drawing:
    """Lines under the outer strings, behind the notch; the vees in the crossbar's edge are their other end.

    All are shorter if the hole to hang it by is in the way of one.
    """
    top, before_hole = p.datum_mm + 1.0, p.hole_mm - HOLE_RADIUS_MM - _CLEAR_OF_HOLE_MM
    foot = top + SIGHT_MM
    if min(map(abs, outer_strings_at(workup, foot))) < HOLE_RADIUS_MM + _CLEAR_OF_HOLE_MM:
        foot = min(foot, before_hole)
    ends = zip(workup.outer_strings, outer_strings_at(workup, top), outer_strings_at(workup, foot), strict=True)
    lines = {n: Line((x1, top), (x2, foot), Role.TICK, f"string-{n + 1}") for n, x1, x2 in ends}
    return Drawing(tuple(lines.values()))


def engraving_on(workup: Workup, p: GaugePlan, stem: str) -> Drawing:
    """The words on the stem and a line for the date."""
    items: list[Item] = []
    level = p.first_word_mm
    for n, (line, height) in enumerate(_words(workup, p, stem)):
        items.append(Text((0.0, level + height), line, height, Anchor.MIDDLE, id="" if n else NAME))
        level += height * LINE_STEP
    level += 2 * SMALL
    items += [
        Text((-_DATE_MM / 2, level), "date", SMALL, Anchor.END),
        Line((-_DATE_MM / 2 + 1.5, level), (_DATE_MM / 2 + 4.0, level), Role.TICK, "date"),
    ]
    return Drawing(tuple(items))


def _words(workup: Workup, p: GaugePlan, stem: str) -> list[tuple[str, float]]:
    """What is engraved on the stem, line by line, with its height."""
    room = 2 * p.stem_half - 4.0
    name = engraved_name_within(workup, stem, SMALL, room)
    size = MEDIUM if engraving.width_mm(name, MEDIUM) <= room else SMALL
    texts = ((name, size), *((text, SMALL) for text in on_stem(workup, p.datum_fret)))
    return [(line, h) for text, h in texts for line in wrapped(text, h, room, engraving.width_mm)]


def _words_height(words: list[tuple[str, float]]) -> float:
    """Height of the words, and of the line for a date below them."""
    return sum(height * LINE_STEP for _, height in words) + SMALL * (LINE_STEP + 1)
