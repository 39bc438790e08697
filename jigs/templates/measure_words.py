"""What is said of the measuring aids: on them, beside them, and which keys of the file they are for."""

from collections.abc import Iterable, Sequence

from geometry.aids import COMB_STEP_MM, COUNTED_CORE_SHARE, SLANT_REACH_DEG, WEDGE_MOST_MM, on_strip_mm
from geometry.by_aids import BY_AIDS
from geometry.lengths import round_half_up
from geometry.tolerance import HALF_WIDTH_95
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.drawing.lettering import LARGEST, width_mm
from jigs.faults import Option, Says
from jigs.templates.aid import AidWords
from jigs.templates.instructions import CUTTER_CAUTIONS
from jigs.wording import listed, signed
from jigs.workup.words import nut_in_words, octave_in_words
from jigs.workup.workup import Workup

WEDGE, STRIP, COUNTER, COMB = "height wedge", "strip", "turn counter", "step comb"
SQUARE, PROTRACTOR = "square", "protractor"

MM, INCHES = "mm", "in"
SIDES = ("treble", "bass")
WAYS = ("+ treble", "\N{MINUS SIGN} bass")
NUT, OCTAVE, TAIL, BRIDGE, FRET = "nut", "octave", "tail", "bridge", "fret"
READ_HERE = "read here"
ON_WEDGE = {"mm": ("height, mm", "1 in 20"), "64": ("height in", "1/64 inches")}
ON_COUNTER = ("turns in", "10 mm")
ON_COMB = "steps, mm"
JOB = "Measure"
STRIP_TITLE = "The strip that measures the scale"

LEGEND = (
    (Role.CUT, "cut here, along its middle"),
    (Role.GUIDE, "cut the wedges here"),
    (Role.TICK, "lines of a scale"),
)


def kerf_fills_gaps(kerf_mm: float, gap_mm: float) -> Says:
    """A kerf as wide as the comb's gaps."""
    what = f"a kerf of {kerf_mm:g} mm fills the comb's gaps of {gap_mm:g} mm"
    return Says(what, ("give a ", Option("kerf"), f" below {gap_mm:g} mm"), "kerf-fills-comb")


def on_strip(workup: Workup) -> tuple[str, str]:
    """At the strip's end, and along it."""
    start = nut_in_words(workup.instrument)
    return f"{start} end", f"scale length, read at {octave_in_words(workup.instrument)}"


def on_protractor(aside: float) -> Iterable[tuple[float, str]]:
    """Beside the notch: what lies on the base, and where."""
    return (-aside, "bridge line"), (aside, "bridge line")


def wide(mm: float) -> str:
    """Why the aids do not fit, for the refusal."""
    return f"its parts are up to {mm:.0f} mm wide"


def tall(mm: float) -> str:
    """The same for their height."""
    return f"an aid with its words is {mm:.0f} mm high"


DOCUMENT = "Measuring aids"


def facts(scales_mm: tuple[float, float]) -> str:
    """In the title block: what the aids reach over."""
    return f"Heights to {WEDGE_MOST_MM:g} mm, scales {scales_mm[0]:.0f} to {scales_mm[1]:.0f} mm"


def heading_of(jobs: Iterable[str], width: float) -> tuple[str, str]:
    """Title and datum of a sheet with some aids: what they measure, on one line of the ``width``.

    >>> heading_of(["steps", "the bridge"], 166.0)
    ('Measure steps and the bridge', '')
    >>> heading_of(["string heights", "the scale", "wrap turns", "steps"], 166.0)
    ('Measuring aids', 'string heights, the scale, wrap turns and steps')
    """
    measured = listed(list(jobs))
    title = f"{JOB} {measured}"
    return (title, "") if width_mm(title, LARGEST) <= width else (DOCUMENT, measured)


def said(headings: Sequence[tuple[str, str]]) -> Instructions:
    """What is said of all aids together; ``headings``: title and datum of each sheet of panels."""
    (title, datum), *others = headings
    return Instructions(
        title=title,
        datum=datum,
        steps=STEPS,
        legend=LEGEND,
        notes=NOTES,
        cautions=(CUTTER_CAUTIONS[0], *CUTTER_CAUTIONS[2:]),
        further=(*others, (STRIP_TITLE, "")),
    )


_CHECKED_EVERY_MM = 10

STEPS = (
    "Paper: measure both rulers. If they are off, print again at 100%.",
    "Glue the sheets on stiff card. Dry them flat, under a weight.",
    "Cut along the middle of the lines: narrow for the wedges, wide for the rest.",
    "Cut file: after import, the rectangle on GUIDE must measure 100 mm by 50 mm.",
    'Fill in what you read. Under [tolerance], write measured_with = "aids".',
)

NOTES = ("Plus or minus: 95 in 100, for aids cut and checked with care. A calibrated printer or a cut file is best.",)


def _sure(standard_deviation: float, unit: str = " mm") -> str:
    """± for 95 in 100."""
    return f"± {round_half_up(HALF_WIDTH_95 * standard_deviation, 1)}{unit}"


def wedge(workup: Workup) -> AidWords:
    """The height wedge."""
    octave = octave_in_words(workup.instrument)
    return AidWords(
        "string heights",
        "Height wedge: on a fret, under a string",
        (
            "Stand it on edge across the neck, on top of the fret.",
            "Slide it in from the outer string's own side, thin end first.",
            "Stop when the string touches. Press its foot down right below the string.",
            "Read where it touches. Long lines: 0.5 mm; short ones: 0.1.",
            "Inner string: hold the strings outside it up with a finger, or they touch first.",
        ),
        (
            f"For [action] fret_12, at {octave}. For [action] nut, at fret 1, less a tenth of the action."
            f" {_sure(BY_AIDS.action_mm)}.",
            "The first three long lines are 0.5, 1 and 1.5 mm. Check with calipers: 5 mm high at line 5.",
            'The second wedge reads sixty-fourths of an inch, short lines half of one: 7 is written "7/64 in".',
            "Use them apart, or glue them back to back.",
        ),
    )


def strip(workup: Workup) -> AidWords:
    """The strip for the scale length."""
    head, start = workup.instrument.head, nut_in_words(workup.instrument)
    where = (
        "Read where the octave harmonic rings: no fret is there."
        if head.octave_fret is None
        else f"Lay it along the middle of the board. Read the middle of fret {head.octave_fret}."
    )
    checked = _CHECKED_EVERY_MM * round(head.scale_mm / _CHECKED_EVERY_MM)
    from_end = round_half_up(on_strip_mm(checked, head.octave_share), 1)
    return AidWords(
        "the scale",
        "Strip: from the nut to the octave",
        (
            "Cut out the strip of the last sheet. In pieces: tape them, A on A.",
            f"Slide it under the strings, its end against the {start}.",
            where,
        ),
        (
            f"For scale: the number is the scale length itself. {_sure(BY_AIDS.scale_mm)}.",
            f"Check it with a steel rule: the line {checked:g} is {from_end} mm from its end.",
            "Instead of scale you can write nut_to_fret_12, the distance itself.",
        ),
    )


def counter() -> AidWords:
    """The turn counter."""
    half = round_half_up(100 * HALF_WIDTH_95 * COUNTED_CORE_SHARE, 0)
    return AidWords(
        "wrap turns",
        "Turn counter: on a wound string",
        (
            "Cut the window out too. Lay it over the string.",
            "Photograph it from close above, or use a lens.",
            "Count the turns from one end of the window to the other.",
        ),
        (
            f"For [[strings]] turns. The core then is sure to ± {half}% of the gauge.",
            "The table has the core for some counts; the program works out your own.",
        ),
    )


def table_heads(gauge_in: str) -> tuple[str, str]:
    """Over the two columns of a gauge."""
    return "turns", f"core of {gauge_in}w"


def comb(workup: Workup) -> AidWords:
    """The step comb."""
    several = len(workup.instrument.strings) > 1
    outer = "both outer strings bear" if several else "the string bears"
    return AidWords(
        "steps",
        "Step comb: on the strings, over the saddle",
        (
            "Lay it on the strings, teeth to the tail, a string in each gap.",
            f"Bring the zero lines to where {outer}. Look straight down.",
            "At each string, read the line level with the edge that bears it.",
            "Left of a gap: lines at 0 and 0.5. Right of it: 0.25 and 0.75.",
        ),
        (
            f"For [bridge] steps, + towards the tailpiece. ± {COMB_STEP_MM:g} mm.",
            "Measure [bridge] face from the same line.",
        ),
    )


def square() -> AidWords:
    """The small square."""
    return AidWords(
        "the bridge",
        "Square: on the top, against the bridge",
        (
            "Stand it beside the bridge, between two strings, foot on the top.",
            "If the bridge leans, slacken the strings a little and set it upright.",
            "Read the height of the crown on its upright edge.",
        ),
        ("For [bridge] height. ± 0.5 mm. Steps and face need a bridge that stands upright.",),
    )


def protractor(workup: Workup) -> AidWords:
    """The protractor for the slant."""
    slant = signed(workup.line.slant_deg, 1)
    one = len(workup.instrument.strings) == 1
    reading = (
        "Read where the string comes out, at its far edge."
        if one
        else "Read where it comes out. Do so for both outer strings, and take the middle."
    )
    return AidWords(
        "the slant",
        "Protractor: on the strings, on the bridge line",
        (
            "Lay it on the strings, its base where they leave the saddle.",
            "Slide it sideways until a string lies in the notch.",
            reading,
        ),
        (
            f"It is for no key: it checks a bridge that was set. The line drawn for this file slants by {slant}°.",
            f"+: the bass end is farther from the nut. Up to {SLANT_REACH_DEG:g}° either way, ± 0.5°.",
        ),
    )
