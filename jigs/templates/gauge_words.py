"""What is written beside the gauge: how to cut it and use it, and what keeps its notch from dropping over the fret."""

import math

from geometry.lengths import round_half_up
from jigs.cutting.cutter import THICKEST_STOCK_MM, Cutter
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.faults import Note, Place
from jigs.templates import words as says
from jigs.templates.gauge_plan import GaugePlan, per_cent_mm
from jigs.templates.instructions import CUTTER_CAUTIONS, one_end_alone, reading_step
from jigs.templates.stock import first_steps
from jigs.workup.words import about_the_line, computed_from, move_in_words
from jigs.workup.workup import Workup

TITLE = "Gauge: stop the bridge here"


def room_under_strings_mm(workup: Workup, from_nut_mm: float) -> float:
    """How thick a flat part may be that lies on the frets and reaches to a place: the lowest string that passes over it."""
    model = workup.model
    share = (from_nut_mm - workup.scale_mm + model.length_mm) / model.length_mm
    heights = model.nut_height_mm + model.rise_mm * share + 2 * workup.instrument.action.relief * share
    return float(heights[share >= 0].min())


def _stock_in_words(workup: Workup, p: GaugePlan, cutter: Cutter) -> str:
    """How thick the stock may be before the strings must be slackened."""
    most = math.floor(10 * room_under_strings_mm(workup, p.nut_edge_mm)) / 10
    if most > THICKEST_STOCK_MM:
        return f"Stock up to {THICKEST_STOCK_MM:g} mm slips under the strings at fret {p.datum_fret}."
    where = f"at fret {p.datum_fret}"
    words = f"Stock thinner than {most:g} mm slips under the strings {where}."
    if cutter.stock_mm < most:
        return f"{words} For thicker stock slacken them first."
    return f"{words} This stock is {cutter.stock_mm:g} mm: slacken them first."


def notes(workup: Workup, p: GaugePlan) -> tuple[Note, ...]:
    """What keeps the notch from dropping over its fret."""
    collected = []
    if p.datum_fret != workup.instrument.head.frets:
        collected.append(says.frets_under_gauge(p.datum_fret).note(Place(option="datum-fret")))
    before = float(workup.from_nut_mm[p.datum_fret - 2]) if p.datum_fret > 1 else 0.0
    if p.nut_edge_mm < before + workup.instrument.head.fret_crown_width / 2:
        collected.append(says.edge_on_fret(p.datum_fret - 1).note(Place(option="web")))
    return tuple(collected)


def _sighted_in_words(workup: Workup) -> str:
    """Which strings pass over the vees."""
    first, last = workup.outer_strings
    if first == last:
        return f"string {first + 1} passes"
    if workup.instrument.strings[first].pair and workup.instrument.strings[last].pair:
        return f"the middles of pairs {first + 1} and {last + 1} pass"
    return f"strings {first + 1} and {last + 1} pass"


def said(workup: Workup, p: GaugePlan, cutter: Cutter, legend: tuple[tuple[Role, str], ...]) -> Instructions:
    """Everything that the sheet says around the gauge."""
    found = (*(says.on_the_sheet(note) for note in notes(workup, p)), *about_the_line(workup), computed_from(workup))
    return Instructions(TITLE, f"from fret {p.datum_fret}", steps(workup, p, cutter), legend, found, CUTTER_CAUTIONS)


def steps(workup: Workup, p: GaugePlan, cutter: Cutter) -> tuple[str, ...]:
    """What to do, in the order of the hands."""
    treble, bass = (round_half_up(p.face_at(x) - p.datum_mm, 1) for x in (p.tip, -p.tip))
    check = f"Measure notch's bridge side to shoulders' tips: {treble} mm treble, {bass} mm bass."
    flat_treble, flat_bass = (
        f"{round_half_up(per_cent_mm(workup, end, p.foot_half, p.foot_half), 2)} mm" for end in (0, 1)
    )
    aim = move_in_words(workup)
    cents = "cent" if p.cents_step == 1 else f"{p.cents_step} cents"
    return (
        *first_steps(cutter, check),
        _stock_in_words(workup, p, cutter),
        f"Slide it under the strings. Drop the notch over fret {p.datum_fret}.",
        "Draw it towards the nut until its edge bears on the bridge side of the wire.",
        f"Check that {_sighted_in_words(workup)} over the vees.",
        "Hold the bridge low at both ends. Bring its feet's nut side against both shoulders.",
        reading_step(workup),
        *(aim if len(aim) > 1 else ()),
        f"Sharp: move that end off the shoulder, one tick for each {cents}.",
        "Flat: mark the feet's nut side with tape. Remove the gauge.",
        f"Move that end towards the nut: {flat_treble} (treble) or {flat_bass} (bass) per cent.",
        *one_end_alone(workup),
    )
