"""What the numbers of an instrument say, in words for sheets, page and command line."""

from geometry.bridge import BridgeFit
from geometry.compensation import Objective
from geometry.lengths import MM_PER_INCH, format_inches, format_mm, round_half_up
from jigs.wording import signed, with_minus
from jigs.workup.on_the_top import laid_line
from jigs.workup.workup import Workup


def aim_in_words(workup: Workup) -> str:
    """The slant, what the line was computed for, and what else has to be done for it."""
    aims = workup.instrument.compensation
    every = f"frets 1 to {aims.frets} as true as can be"
    what = {
        Objective.OCTAVE: "fret 12 true to its harmonic",
        Objective.ALL_FRETS: every,
        Objective.NUT_AND_SADDLE: f"{every}, with the nut cut",
    }[aims.tune_to]
    strings = {BridgeFit.OUTER: "the outer strings", BridgeFit.ALL: "all strings together"}[aims.bridge_fit]
    cuts = nut_cuts_in_words(workup)
    told = f"Slant {slant_in_words(workup.line.slant_deg)}. Aim: {what}, on {strings}."
    return f"{told} {cuts}" if cuts else told


def measured_in_words(workup: Workup) -> str:
    """What all of it was computed from."""
    instrument, action = workup.instrument, workup.instrument.action
    strings = ", ".join(
        f"{entry.note}\N{NO-BREAK SPACE}{f'{entry.gauge / float(MM_PER_INCH):.3f}'.lstrip('0')}{'w' if entry.core else ''}"
        for entry in instrument.strings
    )
    rule = rule_in_words(workup)
    frets = "" if rule == "equal steps" else f"; frets: {rule}"
    relief = f", relief {action.relief:g} mm" if action.relief else ""
    return (
        f"Computed from: scale {round_half_up(workup.scale_mm, 1)} mm; action {action.fret_12:g} mm at fret 12,"
        f" {action.nut:g} mm at the nut{relief}; strings {strings};"
        f" feet {instrument.bridge.face_mm:g} mm before the crown{frets}."
    )


def headline(workup: Workup) -> list[str]:
    """The three numbers that matter most, in words: bridge line at both outer strings, and slant."""
    return [f"{name}: {figure}{rest}" for name, figure, rest in headline_figures(workup)]


def headline_figures(workup: Workup, feet: bool = False) -> list[tuple[str, str, str]]:
    """The same, each as what it is, its figure, and the rest of the sentence; with the ``feet``, which a sheet marks."""
    treble, bass = workup.outer_places_mm
    first, last = outer_in_words(workup)
    angle, _, which = slant_in_words(workup.line.slant_deg).partition("°,")
    faces = workup.face_line.at(workup.across_mm[list(workup.outer)])
    near, far = (f"; nut side of its feet {format_mm(float(place))}" if feet else "" for place in faces)
    return [
        (f"bridge line (the crown) at {first}", format_mm(treble), f" ({format_inches(treble)}) from the nut{near}"),
        (f"bridge line (the crown) at {last}", format_mm(bass), f" ({format_inches(bass)}) from the nut{far}"),
        ("slant", f"{angle}°", f",{which}"),
    ]


def outer_in_words(workup: Workup) -> tuple[str, str]:
    """The outer full-length strings as the owner speaks of them, treble first."""
    first, last = (workup.instrument.string_in_words(n) for n in workup.outer)
    return first, last


def nut_cuts_in_words(workup: Workup) -> str:
    """Where the nut's cut end belongs, string by string, for a bridge line that counts on it; empty if none does."""
    if workup.instrument.compensation.tune_to is not Objective.NUT_AND_SADDLE:
        return ""
    cuts = ", ".join(f"{n} {with_minus(-cut)}" for n, cut in enumerate(workup.setbacks.nut_setback_mm, 1))
    return f"The line counts on the nut's cut end moved towards the bridge, in mm by string: {cuts}. Else it is wrong."


def rule_in_words(workup: Workup) -> str:
    """Where the frets are."""
    head = workup.instrument.head
    if head.frets_measured is not None:
        return "as measured"
    if isinstance(head.fret_rule, tuple):
        return "a list of cents"
    return {"equal": "equal steps", "eighteen": "rule of eighteen"}[head.fret_rule]


def slant_in_words(slant_deg: float) -> str:
    """The slant with the end that stands farther from the nut.

    >>> slant_in_words(2.91), slant_in_words(-0.62), slant_in_words(0.01)
    ('2.9°, bass end farther from the nut', '0.6°, treble end farther from the nut', '0.0°, square')
    """
    size = round_half_up(abs(slant_deg), 1)
    if size == "0.0":
        return f"{size}°, square"
    return f"{size}°, {'bass' if slant_deg > 0 else 'treble'} end farther from the nut"


_LEAST_TOLD_MM = 0.05


def move_in_words(workup: Workup) -> tuple[str, ...]:
    """Steps from a reading to a move, also where the line is meant to leave something on the outer strings."""
    aims = [signed(float(workup.left_cents[n]), 1) for n in workup.outer]
    if set(aims) == {"0.0"}:
        return ("Move that end by as many cents as the fretted note is off.",)
    first, last = (workup.instrument.string_in_words(n) for n in workup.outer)
    return (
        f"This bridge is meant to leave {aims[0]} cents on {first} and {aims[1]} cents on {last}.",
        "Move that end by as many cents as the fretted note is off from that.",
    )


def computed_from(workup: Workup) -> str:
    """What the line rests on, so that an old sheet can be told from a new one."""
    instrument = workup.instrument
    strings = ", ".join(
        f"{entry.note}\N{NO-BREAK SPACE}{f'{entry.gauge / float(MM_PER_INCH):.3f}'.lstrip('0')}{'w' if entry.core else ''}"
        for entry in instrument.strings
    )
    climbed = heights_in_words(workup)
    climbed = f" {climbed}" if climbed else ""
    heights = f"{instrument.action.fret_12:g} at fret 12, {instrument.action.nut:g} at the nut"
    return (
        f"Computed from: scale {round_half_up(workup.scale_mm, 1)} mm; action {heights}; strings {strings};"
        f" feet {instrument.bridge.face_mm:g} mm before the crown; {instrument.compensation.tune_to.value}.{climbed}"
    )


def heights_in_words(workup: Workup) -> str:
    """What is allowed for because the top lies lower than the board, or leans; empty where it is too little to see."""
    standing = workup.standing_line
    longer = laid_line(workup.instrument, standing).centre_mm - standing.centre_mm
    nearer = workup.line.centre_mm - standing.centre_mm
    told = []
    if abs(longer) >= _LEAST_TOLD_MM:
        told.append(f"the way from board to top, {format_mm(longer)} longer than straight")
    if abs(nearer) >= _LEAST_TOLD_MM:
        way = "nut" if nearer > 0 else "tail"
        told.append(f"a bridge square to its top, its feet {format_mm(abs(nearer))} nearer the {way} than its crown")
    return f"Allowed for: {'; '.join(told)}." if told else ""
