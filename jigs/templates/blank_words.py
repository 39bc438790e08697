"""What is written beside the pattern for a new bridge: how to glue it on and file to it, and what its heights are."""

import math

from geometry.arrays import FloatArray
from geometry.lengths import format_inches, round_half_up
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.faults import Key, Says
from jigs.templates import crown_words
from jigs.templates.blank_plan import (
    BASE,
    PLAN,
    PROFILE,
    SADDLE,
    foot_of_profile_mm,
    has_feet,
    thickness_mm,
)
from jigs.templates.instructions import CAUTIONS
from jigs.wording import signed
from jigs.workup.new_bridge import is_two_piece, radius_mm
from jigs.workup.words import is_stepped, octave_in_words, saddle_in_words
from jigs.workup.workup import Workup

TITLE = "Blank: cut a new bridge to this"
DATUM = "patterns glued on the wood, nut side to the nut"
ENLARGED = "Blank: the same, enlarged"
ENLARGED_DATUM = "to look at, not to glue on"
TITLES = {
    BASE: "Base from above, 1:1",
    PLAN: "Bridge from above, 1:1",
    SADDLE: "Saddle from above, 1:1",
    PROFILE: "From the nut, 1:1",
}
"""The names over the patterns."""

SEEN = "nut side"
ON_TOP, ON_NUT_SIDE = "from above: glued on top", "from the nut: glued on this side"


def enlarged_title(workup: Workup, times: int) -> str:
    """The name over the enlarged top edge, and what its numbers count from."""
    return f"From the nut at {times}:1, slots' bottoms in mm {_counted_from(workup)}"


def _counted_from(workup: Workup) -> str:
    if workup.instrument.bridge.height is None:
        return "from the middle"
    return "over the head" if workup.instrument.head.kind == "banjo" else "over the top"


def table_heads(workup: Workup) -> tuple[str, ...]:
    """The heads of the table."""
    return ("string", f"slot's bottom, {_counted_from(workup)}", "slot deep", "step")


def bottoms_in_words(workup: Workup, bottoms_mm: FloatArray) -> list[str]:
    """Where the slots' bottoms lie: over the top or head, if the file has the bridge's height, else from the middle."""
    height = workup.instrument.bridge.height
    if height is None:
        return [signed(one, 2) for one in bottoms_mm.tolist()]
    return [round_half_up(height + one, 2) for one in bottoms_mm.tolist()]


def blank_words(workup: Workup) -> Instructions:
    """Everything that the sheets say around their drawings."""
    two = is_two_piece(workup)
    return Instructions(
        title=TITLE,
        datum=DATUM,
        steps=(
            crown_words.RULERS_STEP,
            *(_two_piece_steps(workup) if two else _one_piece_steps(workup)),
            *_last_steps(workup),
        ),
        legend=_legend(workup),
        notes=(
            *_heights(workup),
            crown_words.spread_in_words(workup, is_new=True),
            saddle_in_words(workup),
            _taste(workup),
        ),
        cautions=CAUTIONS,
        further=((ENLARGED, ENLARGED_DATUM),),
    )


def _one_piece_steps(workup: Workup) -> tuple[str, ...]:
    thick = f"{round(thickness_mm(workup), 1):g}"
    height = round_half_up(foot_of_profile_mm(workup) + 1, 0)
    down = (
        f"Plane a blank {thick} mm thick and at least {height} mm high."
        if has_feet(workup)
        else f"Plane a blank {thick} mm thick, a little higher than your bridge."
    )
    nut_side = (
        f"Glue the profile on its nut side, {workup.instrument.stands_on} flush with the lower edge."
        if has_feet(workup)
        else "Glue the profile on its nut side, level, its middle at your bridge's height."
    )
    return (
        "Cut the patterns out along the wide lines.",
        down,
        nut_side,
        "Saw and file the outline, square to the nut side.",
        "Glue the other pattern on top, nut side to the nut side.",
        "File the crown's sides to its outline.",
    )


def _two_piece_steps(workup: Workup) -> tuple[str, ...]:
    return (
        "Cut the patterns out along the wide lines.",
        f"Plane the base {workup.instrument.bridge.thickness:g} mm thick, the saddle {workup.instrument.bridge.crown:g} mm.",
        "Glue the base's pattern on its top, and saw it out.",
        "Glue the profile on the saddle's nut side, its lower edge level.",
        "Saw and file the top edge down to the profile.",
        "Glue the saddle's pattern on top, nut side to the nut side.",
    )


def _last_steps(workup: Workup) -> tuple[str, ...]:
    return (
        crown_words.too_thin_step(workup, is_new=True)
        or "File the top away until only the stepped line is left standing.",
        "File each slot along its line, half its string deep.",
        "String up. Measure the action, and lower what is high.",
    )


def _legend(workup: Workup) -> tuple[tuple[Role, str], ...]:
    beside = "; on the base, crown line and middle" if is_two_piece(workup) else "; round them, the crown"
    bridge = workup.instrument.bridge
    dashed = [
        *(["feet below"] if bridge.feet > 1 else []),
        *(["enlarged, where they bear now"] if is_stepped(bridge) else []),
    ]
    return (
        (Role.CUT, f"cut here; on the enlarged crown, {crown_words.bearing_line(workup)}"),
        (Role.MARK, f"stepped line: where the strings should bear; across it: their slots{beside}"),
        *(((Role.PROVISIONAL, "; ".join(dashed)),) if dashed else ()),
        crown_words.grey(workup),
        (Role.CENTRE, "crown line; from the nut, underside of a string in the middle"),
    )


def _heights(workup: Workup) -> tuple[str, ...]:
    """What the profile is computed from, and how high the bridge is."""
    action, radius = workup.instrument.action, radius_mm(workup)
    flat = "taken as flat; if yours are round, fill in the board's radius"
    round_board = f"of radius {radius:.0f} mm ({format_inches(radius)})" if math.isfinite(radius) else flat
    relief = f", relief {action.relief:g} mm" if action.relief else ""
    computed = (
        f"Profile: {action.fret_12:g} mm at {octave_in_words(workup.instrument)} over every string's fret top,"
        f" {action.nut:g} mm at the nut{relief}. Fret tops: {round_board}."
    )
    height = workup.instrument.bridge.height
    low = round_half_up(foot_of_profile_mm(workup), 0)
    if height is None:
        return (computed, f"The lower edge lies {low} mm below a string in the middle. {HEIGHT_MISSING}")
    high = round_half_up(height, 2)
    total = f"From the {workup.instrument.stands_on} to the underside of a string in the middle: {high} mm, as now."
    if has_feet(workup):
        return computed, total
    apart = f"Base, wheels and saddle together: {high} mm to the underside of a string in the middle, as now."
    return computed, f"The saddle's lower edge lies {low} mm below a string in the middle. {apart}"


HEIGHT_MISSING = "The file has no height of the bridge: file the middle to your bridge's height, then this curve."


def _taste(workup: Workup) -> str:
    on = workup.instrument.stands_on
    if is_two_piece(workup):
        return "Fit the underside of the base to the top. Wheels and the saddle's own height are up to you."
    if not has_feet(workup):
        return f"{on.capitalize()} and sides are up to you; they stand below the outline from above."
    return f"Sides and arches are a suggestion. Top edge, {on} and slots count."


# ---- refusals and notes


def profile_under_feet(lowest: float, radius: float | None) -> Says:
    """A bridge so low that the profile would cut into its feet."""
    what = (
        f"at this height the outer strings would pass {round_half_up(lowest, 1)} mm over the top, too low for a bridge"
    )
    remedy = (
        "measure it from the top or head up to the crown, and check ",
        Key("board", "radius", f"{radius:g}" if radius else ""),
    )
    return Says(what, remedy, "profile-under-feet")


def height_unknown() -> Says:
    """A profile that only has a shape, because the file lacks the height of the bridge."""
    return Says(
        "the pattern is of the top edge alone",
        "measure from head or top up to the crown",
        "blank-without-height",
    )
