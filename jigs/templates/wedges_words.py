"""What is written beside a gauge with wedges, on the wedges, and where there is no room for them."""

from geometry.lengths import round_half_up
from jigs.cutting.cutter import Cutter
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.faults import Key, Option, Says, Words
from jigs.templates import gauge_words
from jigs.templates import words as says
from jigs.templates.gauge_plan import GaugePlan
from jigs.templates.instructions import CUTTER_CAUTIONS, cutting, reading_step
from jigs.wording import signed
from jigs.workup.wedges import SetByWedges, zero_in_words
from jigs.workup.words import about_the_line, computed_from
from jigs.workup.workup import Workup

TITLE = "Gauge: set the bridge to a cent"

# ---- refusals


def feet_too_short(feet_mm: float, least_mm: float | None, on: str) -> Says:
    """Feet, or what the bridge stands ``on``, too short for wedges to travel behind them."""
    what = f"{feet_mm:g} mm of {on} is too short for wedges with a scale that can be read"
    remedy: Words = ("draw the gauge without ", Option("wedges"))
    longer: Words = () if least_mm is None else (f"; they need {least_mm:g} mm of {on} or more",)
    return Says(what, (*remedy, *longer), "wedges-feet-too-short")


def over_the_rim(end: str, flat: int, mm: float) -> Says:
    """A wedge that would meet the tension hoop."""
    what = f"the {end} wedge, drawn out to {signed(-flat, 0)} cents, would reach {mm:.1f} mm over the tension hoop"
    remedy: Words = ("check ", Key("rim", "head"), ", or draw the gauge without ", Option("wedges"))
    return Says(what, remedy, "wedges-over-rim")


# ---- on the parts


def on_handle(end: str) -> str:
    """Which wedge it is, and which way it goes."""
    return f"{end}: in if sharp"


# ---- beside them


def said(
    workup: Workup, p: GaugePlan, wedges: SetByWedges, cutter: Cutter, legend: tuple[tuple[Role, str], ...]
) -> Instructions:
    """Everything that the sheet says around gauge and wedges."""
    found = (
        *(says.on_the_sheet(note) for note in gauge_words.notes(workup, p)),
        gauge_words.stock_in_words(workup, p),
        *_about_the_wedges(workup, wedges),
        *about_the_line(workup),
        computed_from(workup),
    )
    return Instructions(
        TITLE, f"notch over fret {p.datum_fret}", _steps(workup, p, wedges, cutter), legend, found, CUTTER_CAUTIONS
    )


def _about_the_wedges(workup: Workup, wedges: SetByWedges) -> tuple[str, ...]:
    """What a cent is on either scale, what zero is, and what a bridge does between wedges that do not agree."""
    treble, bass = (round_half_up(one.scale_mm, 1) for one in (wedges.pair.treble, wedges.pair.bass))
    cent = f"{treble} mm" if treble == bass else f"{treble} mm (treble) or {bass} mm (bass)"
    return (
        f"Taper 1 in {wedges.taper}: a cent is {cent} on the wedge. Zero is the {zero_in_words(workup)} line.",
        "Set to different cents, one wedge meets the bridge at its tip alone. jigs readings allows for that.",
    )


def _steps(workup: Workup, p: GaugePlan, wedges: SetByWedges, cutter: Cutter) -> tuple[str, ...]:
    """What to do, in the order of the hands."""
    tips = ((1.0, wedges.pair.treble), (-1.0, wedges.pair.bass))
    treble, bass = (round_half_up(wedges.place(side, one.tip_mm, 0.0)[1] - p.datum_mm, 1) for side, one in tips)
    return (
        *cutting(cutter),
        f"Set both wedges to 0. Measure notch to their tips: {treble} mm treble, {bass} mm bass.",
        gauge_words.slide(workup, p, cutter),
        gauge_words.DRAW,
        f"Check that {gauge_words.sighted_in_words(workup)} over the vees.",
        "Slide the wedges in along the shoulders. Read each at its leg's outer edge.",
        f"Hold the bridge low at both ends, its {workup.instrument.stands_on} against both wedges.",
        reading_step(workup),
        'Ask jigs readings, with --at "wedges 0 / 0". Set both wedges as it says.',
        "By ear: push the wedge in where it is sharp; draw it out where flat.",
        "Go on until both ends are in tune. Never go beyond a wedge's cross line.",
        "Slide both wedges until they touch, and read them.",
        'Keep the place: jigs keep FILE --wedges "+3 / -5.5".',
    )
