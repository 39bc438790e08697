"""What the numbers of an instrument say, in words for sheets, page and command line."""

from dataclasses import dataclass

from geometry.bridge import BridgeFit
from geometry.compensation import Objective
from geometry.lengths import format_inches, format_mm, round_half_up
from jigs.instrument.instrument import Instrument
from jigs.wording import gauge_in_words, signed, with_minus
from jigs.workup.on_the_top import laid_line
from jigs.workup.workup import Workup


def aim_in_words(workup: Workup) -> str:
    """The slant, what the line was computed for, and what else must be done for it."""
    aims = workup.instrument.compensation
    every = f"frets 1 to {aims.frets} as true as possible"
    what = {
        Objective.OCTAVE: "fret 12 true to its harmonic",
        Objective.ALL_FRETS: every,
        Objective.NUT_AND_SADDLE: f"{every}, with the nut cut",
    }[aims.tune_to]
    strings = {BridgeFit.OUTER: "the outer strings", BridgeFit.ALL: "all strings together"}[aims.bridge_fit]
    cuts = nut_cuts_in_words(workup)
    aim = f"Slant {slant_in_words(workup.line.slant_deg)}. Aim: {what}, on {strings}."
    return f"{aim} {cuts}" if cuts else aim


def measured_in_words(workup: Workup) -> str:
    """What everything was computed from."""
    instrument, action = workup.instrument, workup.instrument.action
    rule = rule_in_words(workup)
    frets = "" if rule == "equal steps" else f"; frets: {rule}"
    relief = f", relief {action.relief:g} mm" if action.relief else ""
    return (
        f"Computed from: scale {round_half_up(workup.scale_mm, 1)} mm; action {action.fret_12:g} mm at fret 12,"
        f" {action.nut:g} mm at the nut{relief}; strings {', '.join(strings_in_words(instrument))};"
        f" feet {instrument.bridge.face_mm:g} mm before the crown{frets}."
    )


@dataclass(frozen=True)
class HeadlineFigure:
    """A figure to show large: what it is, the figure, and the rest of its sentence, which ``joint`` joins to it."""

    name: str
    figure: str
    rest: str
    joint: str = " "

    @property
    def text(self) -> str:
        """All of it as one line."""
        return f"{self.name}: {self.figure}{self.joint}{self.rest}"


def strings_in_words(instrument: Instrument) -> list[str]:
    """Every string's note and gauge, each unbroken."""
    return [
        f"{entry.note}\N{NO-BREAK SPACE}{gauge_in_words(entry.gauge, entry.is_wound)}" for entry in instrument.strings
    ]


def headline(workup: Workup) -> list[str]:
    """The three numbers that matter most, a line each."""
    return [one.text for one in headline_figures(workup)]


def headline_figures(workup: Workup, feet: bool = False) -> list[HeadlineFigure]:
    """The same in parts; with the place of the ``feet``, which a sheet marks."""
    treble, bass = workup.outer_places_mm
    first, last = outer_in_words(workup)
    faces = workup.face_line.at(workup.across_mm[list(workup.outer_strings)])
    near, far = (f"; nut side of its feet {format_mm(float(place))}" if feet else "" for place in faces)
    return [
        HeadlineFigure(
            f"bridge line (the crown) at {string}", format_mm(mm), f"({format_inches(mm)}) from the nut{feet_side}"
        )
        for string, mm, feet_side in ((first, treble, near), (last, bass, far))
    ] + [HeadlineFigure("slant", slant_angle(workup.line.slant_deg), slant_side(workup.line.slant_deg), ", ")]


def outer_in_words(workup: Workup) -> tuple[str, str]:
    """The outer full-length strings as the owner speaks of them, treble first."""
    first, last = (workup.instrument.string_in_words(n) for n in workup.outer_strings)
    return first, last


def nut_cuts_in_words(workup: Workup) -> str:
    """How far the nut's end must be moved, string by string, for a bridge line that needs it; empty if it does not."""
    if workup.instrument.compensation.tune_to is not Objective.NUT_AND_SADDLE:
        return ""
    cuts = ", ".join(f"{n} by {with_minus(-cut)} mm" for n, cut in enumerate(workup.setbacks.nut_setback_mm, 1))
    return f"This line is right only if the nut's end is moved towards the bridge: string {cuts}."


def rule_in_words(workup: Workup) -> str:
    """Where the frets are."""
    head = workup.instrument.head
    if head.frets_measured is not None:
        return "as measured"
    if isinstance(head.fret_rule, tuple):
        return "a list of cents"
    return {"equal": "equal steps", "eighteen": "rule of eighteen"}[head.fret_rule]


def slant_angle(slant_deg: float) -> str:
    """The size of the slant.

    >>> slant_angle(-0.62)
    '0.6°'
    """
    return f"{round_half_up(abs(slant_deg), 1)}°"


def slant_side(slant_deg: float) -> str:
    """The end of the bridge that is farther from the nut.

    >>> slant_side(2.91), slant_side(-0.62), slant_side(0.01)
    ('bass end farther from the nut', 'treble end farther from the nut', 'square')
    """
    if round_half_up(abs(slant_deg), 1) == "0.0":
        return "square"
    return f"{'bass' if slant_deg > 0 else 'treble'} end farther from the nut"


def slant_in_words(slant_deg: float) -> str:
    """The slant with the end that is farther from the nut.

    >>> slant_in_words(2.91), slant_in_words(0.01)
    ('2.9°, bass end farther from the nut', '0.0°, square')
    """
    return f"{slant_angle(slant_deg)}, {slant_side(slant_deg)}"


_LEAST_SHOWN_MM = 0.05


def move_in_words(workup: Workup) -> tuple[str, ...]:
    """Steps from a reading to a move, also where the line is meant to leave something on the outer strings."""
    aims = [signed(float(workup.left_cents[n]), 1) for n in workup.outer_strings]
    if set(aims) == {"0.0"}:
        return ("Move that end by as many cents as the fretted note is off.",)
    first, last = (workup.instrument.string_in_words(n) for n in workup.outer_strings)
    return (
        f"Aim: {aims[0]} cents on {first} and {aims[1]} cents on {last}.",
        "Move that end by as many cents as the fretted note is off from its aim.",
    )


def computed_from(workup: Workup) -> str:
    """What the line was computed from, so that an old sheet differs from a new one."""
    instrument = workup.instrument
    heights = f"{instrument.action.fret_12:g} mm at fret 12, {instrument.action.nut:g} mm at the nut"
    allowed = heights_in_words(workup)
    return (
        f"Computed from: scale {round_half_up(workup.scale_mm, 1)} mm; action {heights};"
        f" strings {', '.join(strings_in_words(instrument))}; feet {instrument.bridge.face_mm:g} mm before the crown;"
        f" {instrument.compensation.tune_to.value}.{f' {allowed}' if allowed else ''}"
    )


def heights_in_words(workup: Workup) -> str:
    """What is allowed for because the top lies lower than the board, or leans; empty where it is too little to see."""
    standing = workup.standing_line
    longer = laid_line(workup.instrument, standing).centre_mm - standing.centre_mm
    nearer = workup.line.centre_mm - standing.centre_mm
    allowed = []
    if abs(longer) >= _LEAST_SHOWN_MM:
        allowed.append(f"the way from board to top, {format_mm(longer)} longer than straight")
    if abs(nearer) >= _LEAST_SHOWN_MM:
        way = "nut" if nearer > 0 else "tail"
        allowed.append(f"a bridge square to its top, its feet {format_mm(abs(nearer))} nearer the {way} than its crown")
    return f"Allowed for: {'; '.join(allowed)}." if allowed else ""
