"""What is written beside the plan of a crown: how to use it, what each line is, and whether the crown is thick enough."""

import numpy as np

from geometry.lengths import round_half_up
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.templates.crown_plan import break_points_mm, middle_mm, outside_crown
from jigs.templates.instructions import CAUTIONS
from jigs.wording import listed
from jigs.workup.words import is_stepped, saddle_in_words
from jigs.workup.workup import Workup

TITLE = "Crown: file the bridge to this"
DATUM = "pattern glued on the crown, nut side to the nut"
RULERS_STEP = "Measure both rulers. If they are off, print again at 100%."
FILING_STEP = "File the grey lower, until each string bears on the wide line."
PATTERN_TITLE = "Crown pattern at 1:1"
GREY = (Role.BAND, "file this lower")


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


def crown_words(workup: Workup) -> Instructions:
    """Everything that the sheet says around its drawings."""
    return Instructions(
        title=TITLE,
        datum=DATUM,
        steps=(RULERS_STEP, "Cut the pattern out along its outline.", gluing_step(workup), FILING_STEP),
        legend=_legend(workup),
        notes=(spread_in_words(workup), _table_in_words(workup), saddle_in_words(workup)),
        cautions=CAUTIONS,
    )


def _legend(workup: Workup) -> tuple[tuple[Role, str], ...]:
    there = [(Role.PROVISIONAL, "where they bear now")] if is_stepped(workup.instrument.bridge) else []
    return (
        (Role.CUT, bearing_line(workup)),
        *there,
        GREY,
        (Role.GUIDE, "outline of the crown"),
        (Role.CENTRE, "crown line"),
    )


def bearing_line(workup: Workup) -> str:
    """What the wide line of the plan is, also where it leaves the crown."""
    line = "where the strings should bear"
    return f"{line}; outside the outline this crown has no wood" if outside_crown(workup) else line


def spread_in_words(workup: Workup) -> str:
    """Whether the spread of break points fits on the crown, and which strings are outside."""
    spread, crown = float(np.ptp(break_points_mm(workup))), workup.instrument.bridge.crown
    words = f"The strings should bear over a width of {round_half_up(spread, 1)} mm"
    outside = [str(n + 1) for n in outside_crown(workup)]
    if not outside and round_half_up(spread, 1) == "0.0":
        return "A straight crown is right for all strings."
    if not outside:
        return f"{words}: they fit on this crown of {crown:g} mm."
    as_it_is = "as it is" if is_stepped(workup.instrument.bridge) else "straight"
    strings = f"string{'s' if len(outside) > 1 else ''} {listed(outside)}"
    return (
        f"{words}: more than this crown of {crown:g} mm. For {strings} the wide line is outside it."
        f" Use a thicker crown, or leave it {as_it_is}."
    )


def _table_in_words(workup: Workup) -> str:
    stepped = is_stepped(workup.instrument.bridge)
    there = " There: the steps of your saddle." if stepped else ""
    bridge = "your stepped bridge" if stepped else "a straight crown"
    return (
        "Setback: behind the theoretical line. Wanted: step from the crown line, + towards the tailpiece."
        f"{there} Left: what {bridge} leaves at the octave, + is sharp."
    )
