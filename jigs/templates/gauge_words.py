"""What is written beside the gauge: how to cut it and use it, and what keeps its notch from dropping over the fret."""

import math

from geometry.lengths import round_half_up
from jigs.cutting.cutter import THICKEST_STOCK_MM, Cutter
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.faults import Note, Place
from jigs.templates import words as says
from jigs.templates.gauge_plan import GaugePlan, per_cent_mm
from jigs.templates.instructions import CUTTER_CAUTIONS, cutting, one_end_alone, reading_step
from jigs.templates.stock import scale_in_words
from jigs.workup.words import about_the_line, computed_from, move_in_words, strings_in_words
from jigs.workup.workup import Workup

TITLE = "Gauge: set the bridge here"
DRAW = "Draw it towards the nut until its edge bears on the wire."


def room_under_strings_mm(workup: Workup, from_nut_mm: float) -> float:
    """How thick a flat part may be that lies on the frets and reaches to a place: the lowest string that passes over it."""
    model = workup.model
    share = (from_nut_mm - workup.scale_mm + model.length_mm) / model.length_mm
    heights = model.nut_height_mm + model.rise_mm * share + 2 * workup.instrument.action.relief * share
    return float(heights[share >= 0].min())


def on_stem(workup: Workup, datum_fret: int) -> tuple[str, ...]:
    """What is engraved on the stem below the instrument's name."""
    return (
        scale_in_words(workup),
        " ".join(strings_in_words(workup.instrument)),
        f"bridge side of fret {datum_fret}",
        "line computed" if workup.found is None else "line found by ear",
    )


def _least_height_mm(workup: Workup, p: GaugePlan) -> float:
    """How thick stock may be before the strings must be slackened, to the tenth below."""
    return min(math.floor(10 * room_under_strings_mm(workup, p.nut_edge_mm)) / 10, THICKEST_STOCK_MM)


def stock_in_words(workup: Workup, p: GaugePlan) -> str:
    """How thick stock may be."""
    most, where = _least_height_mm(workup, p), f"slips under the strings at fret {p.datum_fret}"
    if most == THICKEST_STOCK_MM:
        return f"Stock up to {most:g} mm {where}."
    return f"Stock thinner than {most:g} mm {where}. For thicker stock slacken them."


def slide(workup: Workup, p: GaugePlan, cutter: Cutter) -> str:
    """The step that brings the gauge under the strings."""
    drop = f"Drop the notch over fret {p.datum_fret}."
    if _is_too_thick(workup, p, cutter):
        return f"Slacken the strings. Slide it under them. {drop}"
    return f"Slide it under the strings. {drop}"


def _is_too_thick(workup: Workup, p: GaugePlan, cutter: Cutter) -> bool:
    """Whether strings at pitch leave too little room for the stock."""
    most = _least_height_mm(workup, p)
    return most < THICKEST_STOCK_MM and most <= cutter.stock_mm


def all_notes(workup: Workup, p: GaugePlan, cutter: Cutter) -> tuple[Note, ...]:
    """What keeps the gauge from slipping under the strings, which the sheet always says, and the other notes."""
    most = _least_height_mm(workup, p)
    too_thick = says.stock_over_strings(cutter.stock_mm, most, p.datum_fret).note(Place(option="stock"))
    return *((too_thick,) if _is_too_thick(workup, p, cutter) else ()), *notes(workup, p)


def notes(workup: Workup, p: GaugePlan) -> tuple[Note, ...]:
    """What keeps the notch from dropping over its fret."""
    collected = []
    if p.datum_fret != workup.instrument.head.frets:
        collected.append(says.frets_under_gauge(p.datum_fret).note(Place(option="datum-fret")))
    before = float(workup.from_nut_mm[p.datum_fret - 2]) if p.datum_fret > 1 else 0.0
    if p.nut_edge_mm < before + workup.instrument.head.fret_crown_width / 2:
        collected.append(says.edge_on_fret(p.datum_fret - 1).note(Place(option="web")))
    return tuple(collected)


def sighted_in_words(workup: Workup) -> str:
    """Which strings pass over the vees."""
    first, last = workup.outer_strings
    if first == last:
        return f"string {first + 1} passes"
    if workup.instrument.strings[first].pair and workup.instrument.strings[last].pair:
        return f"the middles of pairs {first + 1} and {last + 1} pass"
    return f"strings {first + 1} and {last + 1} pass"


def said(workup: Workup, p: GaugePlan, cutter: Cutter, legend: tuple[tuple[Role, str], ...]) -> Instructions:
    """Everything that the sheet says around the gauge."""
    found = (
        stock_in_words(workup, p),
        *one_end_alone(workup),
        *(says.on_the_sheet(note) for note in notes(workup, p)),
        *about_the_line(workup),
        computed_from(workup),
    )
    datum = f"notch over fret {p.datum_fret}"
    return Instructions(TITLE, datum, steps(workup, p, cutter), legend, found, CUTTER_CAUTIONS)


def steps(workup: Workup, p: GaugePlan, cutter: Cutter) -> tuple[str, ...]:
    """What to do, in the order of the hands."""
    treble, bass = (round_half_up(p.face_at(x) - p.datum_mm, 1) for x in (p.tip, -p.tip))
    flat_treble, flat_bass = (
        f"{round_half_up(per_cent_mm(workup, end, p.foot_half, p.foot_half), 2)} mm" for end in (0, 1)
    )
    return (
        *cutting(cutter),
        f"Measure the notch's bridge side to the shoulders' tips: {treble} mm treble, {bass} mm bass.",
        slide(workup, p, cutter),
        DRAW,
        f"Check that {sighted_in_words(workup)} over the vees.",
        f"Hold the bridge low at both ends, its {workup.instrument.stands_on} against both shoulders.",
        reading_step(workup),
        *move_in_words(workup)[:-1],
        f"Sharp: move that end off its shoulder, one tick for each {p.cents_step} cents.",
        f"Flat: low-tack tape at the {workup.instrument.stands_on}'s nut side. Remove the gauge.",
        f"Move that end towards the nut: {flat_treble} (treble), {flat_bass} (bass) per cent.",
    )
