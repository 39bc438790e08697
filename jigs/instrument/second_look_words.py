"""What this room says of values that can be, and are more likely slips."""

from collections.abc import Sequence

from geometry.lengths import format_mm, round_half_up
from jigs.faults import Key, Says
from jigs.instrument.words import in_mm

CROWN_LINE, STEPS, SPACING = "crown line", "steps of the saddle", "string spacing"
NUT_HEIGHT = "height at the nut"
BEYOND = {"afterlength": "afterlength", "headlength": "nut to tuner"}
"""What a sheet calls these, where it asks to check them."""


def unlike_the_others(pull_n: float, others_n: float | None, at_octave: tuple[str, float] | None) -> Says:
    """A string that pulls much less or more than usual. ``others_n``: what the others pull, if that shows it.

    ``at_octave``: the same note in another octave, and what the string would pull there, if that would be usual.
    """
    slack = others_n is None or pull_n < others_n
    what = f"{_newtons(pull_n)} is {'slack' if slack else 'tight'}"
    beside = "" if others_n is None else f"the other strings pull about {_newtons(others_n)}; "
    if at_octave is not None:
        note, there_n = at_octave
        octave = f"at {note} it would pull {_newtons(there_n)}"
        return Says(what, f"{beside}check its octave ({octave}), its gauge and its core", _PULL[slack])
    return Says(what, f"{beside}check its note and octave, its gauge and its core", _PULL[slack])


_PULL = {True: "string-slack", False: "string-tight"}


def nylon_tight(pull_n: float, most_n: float) -> Says:
    """A nylon string that pulls like a steel one."""
    pull = f"{round_half_up(pull_n, 0 if pull_n >= most_n + 1 else 1)} N"
    remedy = f"up to {_newtons(most_n)} is usual; check its note, its gauge and the scale"
    return Says(f"{pull} is tight for nylon", remedy, _PULL[False])


def core_unusual(core: float, gauge: float, low: float, high: float) -> Says:
    """A core that is thin or thick for its string."""
    what = f"a core of {in_mm(round(core, 3))} is {'thin' if core < low else 'thick'} in a string of {in_mm(gauge)}"
    return Says(what, f"{in_mm(round(low, 2))} to {in_mm(round(high, 2))} is usual; measure it again", "core-unusual")


def action_unusual(action: float, low: float, high: float) -> Says:
    """An action that is rarely so low or so high."""
    what = f"{in_mm(action)} is {'low' if action < low else 'high'}"
    remedy = f"{format_mm(low)} to {format_mm(high)} is usual on this scale; measure at fret 12, over the fret top"
    return Says(what, remedy, "action-unusual")


def nut_height_unusual(height: float, most: float) -> Says:
    """A string that is rarely so high at the nut."""
    remedy = f"up to {in_mm(round(most, 2))} is usual on this scale; {_GAP}"
    return Says(f"{in_mm(height)} is high", remedy, "nut-height-unusual")


def no_nut_height() -> Says:
    """Strings at the height of the fret tops, which is what a zero fret makes."""
    remedy = ("if a zero fret bears the open strings, write ", Key("nut", "zero_fret", "true"), f"; if not, {_GAP}")
    return Says("the strings would lie on the frets", remedy, "nut-height-nought")


_GAP = "measure the gap over fret 1, with the string open, and subtract a tenth of the action"


def thickness_unusual(thickness: float, low: float, high: float) -> Says:
    """Feet or a base that are rarely so thin or so thick."""
    what = f"{in_mm(thickness)} is {'thin' if thickness < low else 'thick'}"
    remedy = f"{format_mm(low)} to {format_mm(high)} is usual; measure along the strings, down at the top or head"
    return Says(what, remedy, "thickness-unusual")


def crown_beside_the_feet(face: float, thickness: float, crown: float) -> Says:
    """A crown that reaches beyond the feet that it is over."""
    what = f"with {in_mm(face)}, a crown of {in_mm(crown)} reaches beyond feet of {in_mm(thickness)}"
    return Says(what, "measure from the middle of the crown to the nut side", "crown-beyond-feet")


def crown_near_the_nut_side(face: float, thickness: float) -> Says:
    """A crown that is nearer to the nut side of the feet than usual."""
    what = f"{in_mm(face)} is near the nut side of feet of {in_mm(thickness)}"
    return Says(what, f"{in_mm(thickness / 2)}, the half, is usual; measure again", "face-unusual")


def spacing_unusual(bridge: float, nut: float, other: Key) -> Says:
    """Outer strings that come together, or spread, more than on any usual instrument."""
    what = (f"{in_mm(bridge)} at the bridge and {in_mm(nut)} at the nut do not go together",)
    return Says(what, ("check this and ", other), "spacing-unusual")


def beyond_unusual(length: float, most: float) -> Says:
    """More string beyond the nut or the bridge than there is on usual instruments."""
    return Says(f"{in_mm(length)} is long", f"up to {format_mm(most)} is usual on this scale", "string-beyond-unusual")


def finger_unusual(finger: float) -> Says:
    """A finger that would press almost on the fret."""
    what = f"{in_mm(finger)} behind the fret is near"
    return Says(what, "5 to 15 mm is usual; write 0 for right at the fret", "finger-unusual")


def step_unusual(steps: Sequence[float], most: float) -> Says:
    """A saddle with a step that is rarely so large."""
    step = max(steps, key=abs)
    what = f"a step of {in_mm(abs(step))} is large"
    return Says(what, f"up to {format_mm(most)} is usual; measure from the crown line again", "step-unusual")


def step_too_small(step: float) -> Says:
    """A saddle with a step that no rule shows."""
    what = f"a step of {in_mm(round(abs(step), 3))} is finer than a rule shows"
    return Says(what, "check that it is in millimetres; write 0 for none", "step-too-small")


def steps_beyond_the_crown(span: float, crown: float) -> Says:
    """Steps that reach from one side of the crown to the other, or beyond."""
    what = f"steps over {in_mm(round(span, 2))} reach beyond a crown of {in_mm(crown)}"
    return Says(what, "measure the steps from the crown line, and the crown along the strings", "steps-beyond-crown")


def _newtons(pull_n: float) -> str:
    return f"{round_half_up(pull_n, 0)} N"
