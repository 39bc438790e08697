"""What the numbers of an instrument say, in words for sheets, page and command line."""

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.bridge import BridgeFit
from geometry.compensation import Objective
from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.touch import Touch
from jigs.faults import Check, spoken
from jigs.instrument.instrument import Instrument
from jigs.instrument.tables import Bridge, Nut
from jigs.wording import gauge_in_words, signed, with_minus
from jigs.workup.found_words import correction_in_words, found_by_ear
from jigs.workup.on_the_top import laid_line
from jigs.workup.workup import Workup

_MOST_CHECKS = 3


def checks_in_words(checks: Sequence[Check]) -> str:
    """What to check before the sheet is used, a short sentence each; empty if there is nothing."""
    said = [f"Check {one.about}: {spoken(one.what)}." for one in checks[:_MOST_CHECKS]]
    more = len(checks) - _MOST_CHECKS
    return " ".join([*said, f"Check {more} more: see the program's notes."] if more > 0 else said)


def nut_in_words(instrument: Instrument) -> str:
    """What distances count from, and what bears the open strings."""
    return "zero fret" if instrument.nut.zero_fret else "nut"


def octave_in_words(instrument: Instrument) -> str:
    """Where heights are measured: the fret at the octave, or halfway where no fret is."""
    fret = instrument.head.octave_fret
    return "half the scale" if fret is None else f"fret {fret}"


def comparing_in_words(workup: Workup) -> str:
    """What to compare by ear or tuner on a string, as the end of an order."""
    instrument = workup.instrument
    if instrument.head.octave_fret is None:
        near = int(workup.octave_frets[workup.outer_strings[0]])
        return f"compare the note at fret\N{NO-BREAK SPACE}{near} with the pitch that it is meant to have"
    return f"compare the octave harmonic with the note at fret\N{NO-BREAK SPACE}{instrument.octave_fret}"


def aim_in_words(workup: Workup) -> str:
    """The slant, what the line was computed for, and what else must be done for it."""
    aims = workup.instrument.compensation
    every = f"frets 1 to {aims.frets} as true as possible"
    what = {
        Objective.OCTAVE: f"{octave_in_words(workup.instrument)} true to its harmonic",
        Objective.ALL_FRETS: every,
        Objective.NUT_AND_SADDLE: f"{every}, with the nut cut",
    }[aims.tune_to]
    strings = {BridgeFit.OUTER: "the outer strings", BridgeFit.ALL: "all strings together"}[aims.bridge_fit]
    cuts = nut_cuts_in_words(workup)
    aim = f"Slant {slant_in_words(workup.line.slant_deg)}. Aim: {what}, on {strings}."
    return f"{aim} {cuts}" if cuts else aim


def measured_in_words(workup: Workup) -> str:
    """What everything was computed from, on a sheet with room for it."""
    return _computed_from((*_measured(workup), touch_in_words(workup.instrument.touch)))


def _computed_from(parts: tuple[str, ...]) -> str:
    """What was measured, a sentence each: in one, the strings alone would make it too long.

    >>> _computed_from(("scale 666.8 mm", "action 3 mm at fret 12", "tuned to: octave"))
    'Computed from: scale 666.8 mm. Action 3 mm at fret 12. Tuned to: octave.'
    """
    first, *others = parts
    return " ".join([f"Computed from: {first}.", *(f"{part[:1].upper()}{part[1:]}." for part in others)])


def computed_from(workup: Workup) -> str:
    """What the line was computed from, so that an old sheet differs from a new one; briefly.

    A place that was found by ear follows from little of that.
    """
    action = workup.instrument.action
    if workup.found is not None:
        strings = ", ".join(strings_in_words(workup.instrument))
        allowed = heights_in_words(workup)
        drawn_for = f"Drawn for: scale {round_half_up(workup.scale_mm, 1)} mm. Strings {strings}."
        return f"{drawn_for} {allowed}" if allowed else drawn_for
    touch = () if action.finger is None and action.press is None else (touch_in_words(workup.instrument.touch),)
    aim = f"tuned to: {workup.instrument.compensation.tune_to.value}"
    allowed = heights_in_words(workup)
    computed = _computed_from((*_measured(workup), *touch, aim))
    return f"{computed} {allowed}" if allowed else computed


def _measured(workup: Workup) -> tuple[str, ...]:
    instrument, action = workup.instrument, workup.instrument.action
    rule = rule_in_words(workup)
    nut = "zero fret" if instrument.nut.zero_fret else f"{action.nut:.4g} mm at the nut"
    relief = f", relief {action.relief:.4g} mm" if action.relief else ""
    parts = (
        f"scale {round_half_up(workup.scale_mm, 1)} mm",
        "" if rule == "equal steps" else f"frets: {rule}",
        f"action {action.fret_12:.4g} mm at {octave_in_words(instrument)}, {nut}{relief}",
        f"strings {', '.join(strings_in_words(instrument))}",
        cores_in_words(instrument),
        f"nut steps {steps_in_words(instrument.nut.steps or ())}" if is_stepped(instrument.nut) else "",
        f"steps {steps_in_words(instrument.bridge.steps or ())}" if is_stepped(instrument.bridge) else "",
        f"{instrument.stands_on} {instrument.bridge.face_mm:.4g} mm before the crown line",
    )
    return tuple(part for part in parts if part)


def cores_in_words(instrument: Instrument) -> str:
    """Where the cores of the wound strings are from; empty where no string is wound."""
    wound = {n: entry for n, entry in enumerate(instrument.strings, 1) if entry.is_wound}
    known = {n: _core_is(entry.core, entry.turns) for n, entry in wound.items()}
    if len(set(known.values())) <= 1:
        return "".join(f"cores {how}" for how in set(known.values()))
    return f"cores: {', '.join(f'{n} {how}' for n, how in known.items())}"


def _core_is(core: float | None, turns: float | None) -> str:
    if core is not None:
        return "as measured"
    return "by default" if turns is None else "as counted"


def touch_in_words(touch: Touch) -> str:
    """How far behind the fret and how deep a finger presses.

    >>> touch_in_words(Touch()), touch_in_words(Touch(8.0, 8.0, 0.2, 0.2)), touch_in_words(Touch(0.0, 0.0))
    ('finger 5 to 15 mm behind the fret, 0 to 0.5 mm deep', 'finger 8 mm behind the fret, 0.2 mm deep', 'finger at the fret')
    """
    if touch.finger_to_mm == 0:
        return "finger at the fret"
    behind, deep = (
        f"{low:.3g} mm" if low == high else f"{low:.3g} to {high:.3g} mm"
        for low, high in ((touch.finger_from_mm, touch.finger_to_mm), (touch.press_from_mm, touch.press_to_mm))
    )
    return f"finger {behind} behind the fret, {deep} deep"


def is_stepped(part: Nut | Bridge) -> bool:
    """Whether strings leave a nut, or bear on a bridge, at places of their own."""
    return any(part.steps or ())


def steps_in_words(steps_mm: Sequence[float]) -> str:
    """Steps of a saddle or a nut, string by string, to a tenth where none is finer.

    >>> steps_in_words((-1.2, 1.2, 0.0)), steps_in_words((0.25, 0.0))
    ('−1.2 +1.2 0.0 mm', '+0.25 0.00 mm')
    """
    decimals = 1 if all(abs(10 * step - round(10 * step)) < _SAME for step in steps_mm) else 2
    return f"{' '.join(signed(step, decimals) for step in steps_mm)} mm"


def bearing_in_words(workup: Workup) -> str:
    """Where each string bears on a stepped saddle; empty for a straight edge."""
    if not is_stepped(workup.instrument.bridge):
        return ""
    places = ", ".join(round_half_up(float(place), 1) for place in workup.bears_at_mm)
    return f"With the steps, the strings bear at {places} mm."


CROWN_LINE = "Crown line: a straight edge of the crown or saddle that a rule can be held to."
"""What the line is that every place of a bridge is given for."""


def saddle_in_words(workup: Workup) -> str:
    """What the crown line is; and that a saddle counts as straight, where most are stepped."""
    instrument = workup.instrument
    if instrument.bridge.steps is not None or not instrument.straight_edge_is_rare:
        return CROWN_LINE
    return f"{CROWN_LINE} {SADDLE_AS_STRAIGHT}"


def found_in_words(workup: Workup) -> str:
    """How the line was found, if by ear; empty for a computed one."""
    how = _how_found(workup)
    return f"Found by ear {how}." if how else ""


def _how_found(workup: Workup) -> str:
    """When the line was found, and with which strings; empty for a computed one."""
    found = workup.found
    if found is None:
        return ""
    day, other_make = workup.instrument.found.date, found.other_make
    return found_by_ear(day, found.moved_mm if found.is_moved else None, other_make, found.same_strings)


def about_the_line(workup: Workup) -> tuple[str, ...]:
    """What to know of the line before a bridge is put on it: how it was found, a cut that it needs, what it counts on."""
    cuts, found = nut_cuts_in_words(workup), found_in_words(workup)
    count = " Places count from the zero fret." if workup.instrument.nut.zero_fret else ""
    return (*([found] if found else ()), *([cuts] if cuts else ()), f"{saddle_in_words(workup)}{count}")


SADDLE_AS_STRAIGHT = "Saddle taken as straight. If yours is stepped, fill in its steps: where each string bears."
"""The note on a straight edge, as a sheet has it."""


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
    on = workup.instrument.stands_on
    near, far = (f"; nut side of its {on} {format_mm(float(place))}" if feet else "" for place in faces)
    nut = nut_in_words(workup.instrument)
    return [
        HeadlineFigure(
            f"bridge line (the crown) at {string}", format_mm(mm), f"({format_inches(mm)}) from the {nut}{feet_side}"
        )
        for string, mm, feet_side in ((first, treble, near), (last, bass, far))
    ] + [
        HeadlineFigure("slant", slant_angle(workup.line.slant_deg), slant_side(workup.line.slant_deg), ", "),
        *_found_figures(workup),
    ]


def _found_figures(workup: Workup) -> list[HeadlineFigure]:
    """That the line was found by ear, if it was."""
    how = _how_found(workup)
    return [HeadlineFigure("place", "found by ear", how)] if how else []


def own_correction(workup: Workup) -> str:
    """The instrument's own correction, empty where no place was found."""
    return "" if workup.found is None else correction_in_words(outer_in_words(workup), workup.found.correction_mm)


def outer_in_words(workup: Workup) -> tuple[str, str]:
    """The outer full-length strings as the owner speaks of them, treble first."""
    first, last = (workup.instrument.string_in_words(n) for n in workup.outer_strings)
    return first, last


def nut_cuts_in_words(workup: Workup) -> str:
    """How far the nut's end must be moved, string by string, for a bridge line that needs it; empty if it does not."""
    instrument = workup.instrument
    if instrument.compensation.tune_to is not Objective.NUT_AND_SADDLE:
        return ""
    wanted, there = -workup.setbacks.nut_setback_mm, -instrument.nut_setback_mm
    if not is_stepped(instrument.nut):
        cuts = ", ".join(f"{n} by {with_minus(cut)} mm" for n, cut in enumerate(wanted, 1))
        end = f"the {nut_in_words(instrument)}'s end"
        return f"The bridge line is right only if {end} is moved towards the bridge: string {cuts}."
    cuts = ", ".join(
        f"{n} {with_minus(cut)} (now {with_minus(now)})"
        for n, (cut, now) in enumerate(zip(wanted, there, strict=True), 1)
    )
    return f"The bridge line is right only if the strings leave the nut nearer the bridge: string {cuts} mm."


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


_LEAST_SHOWN_MM, _SAME = 0.05, 1e-9


def move_in_words(workup: Workup) -> tuple[str, ...]:
    """Steps from a reading to a move, also where the line is meant to leave something on the outer strings."""
    aims = [signed(float(workup.left_cents[n]), 1) for n in workup.outer_strings]
    if set(aims) == {"0.0"}:
        return ("Move that end by as many cents as the fretted note is off.",)
    first, last = (workup.instrument.string_in_words(n) for n in workup.outer_strings)
    return (
        f"Aim: {aims[0]} cents on {first} and {aims[1]} cents on {last}.",
        "Move that end by as many cents as the note is off its aim.",
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
        on = workup.instrument.stands_on
        allowed.append(f"a bridge square to its top, its {on} {format_mm(abs(nearer))} nearer the {way} than its crown")
    return f"Allowed for: {'; '.join(allowed)}." if allowed else ""
