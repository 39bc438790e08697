"""What is written beside the plan of a crown: how to use it, what each line is, and whether the crown is thick enough."""

import numpy as np

from geometry.lengths import round_half_up
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.faults import Key, Note, Place, Says
from jigs.templates.crown_plan import break_points_mm, enough_crown_mm, middle_mm, outside_crown
from jigs.templates.instructions import CAUTIONS
from jigs.wording import listed
from jigs.workup.words import is_stepped, saddle_in_words
from jigs.workup.workup import Workup

TITLE = "Crown: file the bridge to this"
DATUM = "pattern glued on the crown, nut side to the nut"
RULERS_STEP = "Measure both rulers. If they are off, print again at 100%."
FILING_STEP = "File the grey lower, until each string bears on the wide line."
PATTERN_TITLE = "Crown pattern at 1:1"


def grey(workup: Workup) -> tuple[Role, str]:
    """What the grey is, by whether the crown has the wood to be filed so."""
    return Role.BAND, "lower on a thicker crown" if outside_crown(workup) else "file this lower"


def enlarged_title(times: int) -> str:
    """The name over the enlarged plan."""
    return f"Crown at {times}:1, each string's step in mm"


def table_heads(stepped: bool) -> tuple[str, ...]:
    """The heads of the table."""
    return ("string", "setback", "wanted", *(["there"] if stepped else []), "left")


def gluing_step(workup: Workup) -> str:
    """Where on the crown the pattern belongs: over the feet, so that the bridge's place stays true."""
    bridge = workup.instrument.bridge
    behind = bridge.face_mm + middle_mm(workup) - bridge.crown / 2
    side = "behind" if behind >= 0 else "before"
    beyond = f"{round_half_up(abs(behind), 1)} mm {side} the {workup.instrument.stands_on}'s nut side"
    return f"Glue it on the crown, its nut edge {beyond}."


def pattern_steps(workup: Workup, cut: str) -> tuple[str, ...]:
    """What to do with the pattern: ``cut`` it out, glue it on and file; or nothing, on a crown that is too thin for it."""
    too_thin = too_thin_step(workup)
    return (too_thin,) if too_thin else (cut, gluing_step(workup), FILING_STEP)


def too_thin_step(workup: Workup, is_new: bool = False) -> str:
    """What to do with a crown that lacks the wood for where its strings should bear; empty if it has it."""
    if not outside_crown(workup):
        return ""
    if is_new:
        return f"Leave the top straight: steps would need a crown of {enough_crown_mm(workup):g} mm."
    return f"Leave this crown {_as_it_is(workup)}: steps would need one of {enough_crown_mm(workup):g} mm."


def too_thin_notes(workup: Workup) -> tuple[Note, ...]:
    """That a crown lacks the wood for where its strings should bear, for who reads the terminal."""
    strings, bridge = len(outside_crown(workup)), workup.instrument.bridge
    if not strings:
        return ()
    what = f"{strings} of its strings should bear beyond a crown of {bridge.crown:g} mm"
    enough = f"{enough_crown_mm(workup):g}"
    feet = (" and ", Key("bridge", "thickness", enough)) if enough_crown_mm(workup) > bridge.thickness else ()
    remedy = ("a new bridge needs ", Key("bridge", "crown", enough), *feet)
    return (Says(what, remedy, "crown-too-thin").note(Place(table="bridge", key="crown")),)


def _as_it_is(workup: Workup) -> str:
    return "as it is" if is_stepped(workup.instrument.bridge) else "straight"


def crown_words(workup: Workup) -> Instructions:
    """Everything that the sheet says around its drawings."""
    return Instructions(
        title=f"Crown: leave it {_as_it_is(workup)}" if outside_crown(workup) else TITLE,
        datum="too thin for its strings' steps" if outside_crown(workup) else DATUM,
        steps=(RULERS_STEP, *pattern_steps(workup, "Cut the pattern out along its outline.")),
        legend=_legend(workup),
        notes=(spread_in_words(workup), _table_in_words(workup), saddle_in_words(workup)),
        cautions=CAUTIONS,
    )


def _legend(workup: Workup) -> tuple[tuple[Role, str], ...]:
    there = [(Role.PROVISIONAL, "where they bear now")] if is_stepped(workup.instrument.bridge) else []
    return (
        (Role.CUT, bearing_line(workup)),
        *there,
        grey(workup),
        (Role.GUIDE, "outline of the crown"),
        (Role.CENTRE, "crown line"),
    )


def bearing_line(workup: Workup) -> str:
    """What the wide line of the plan is, also where it leaves the crown."""
    line = "where the strings should bear"
    return f"{line}; outside the outline this crown has no wood" if outside_crown(workup) else line


def spread_in_words(workup: Workup, is_new: bool = False) -> str:
    """Whether the spread of break points fits on the crown, and which strings are outside. ``is_new``: it is to be made."""
    spread, crown = float(np.ptp(break_points_mm(workup))), workup.instrument.bridge.crown
    words = f"The strings should bear over a width of {round_half_up(spread, 1)} mm"
    outside = [str(n + 1) for n in outside_crown(workup)]
    if not outside and round_half_up(spread, 1) == "0.0":
        return "A straight crown is right for all strings."
    if not outside:
        return f"{words}: they fit on this crown of {crown:g} mm."
    strings = f"string{'s' if len(outside) > 1 else ''} {listed(outside)}"
    return (
        f"{words}: more than this crown of {crown:g} mm. For {strings} the wide line is outside it."
        f" Use a thicker crown, or leave it {'straight' if is_new else _as_it_is(workup)}."
    )


def _table_in_words(workup: Workup) -> str:
    stepped = is_stepped(workup.instrument.bridge)
    there = " There: the steps of your saddle." if stepped else ""
    bridge = "your stepped bridge" if stepped else "a straight crown"
    return (
        "Setback: behind the theoretical line. Wanted: step from the crown line, + towards the tailpiece."
        f"{there} Left: what {bridge} leaves at the octave, + is sharp."
    )
