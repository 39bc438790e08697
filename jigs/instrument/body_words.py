"""What this room says of board, bridge, rim, top and accuracy."""

from geometry.lengths import format_mm
from jigs.faults import Key, Says
from jigs.input.words import typed
from jigs.instrument.words import in_mm

DEVIATION = "standard deviation: half of a ± (95%)"

OVER_TOP_MISSING = Says(
    ("the height of the frets over the top is needed for ", Key("top", "arch_rise")),
    "measure down from the fret tops to the top, at the end of the board",
    "over-top-missing",
)
_HEIGHT, _OVER_TOP = Key("bridge", "height"), Key("board", "over_top")
_BOTH_HEIGHTS_AGAIN = ("measure ", _HEIGHT, " and ", _OVER_TOP, " again")
BRIDGE_UNDER_THE_BOARD = Says(
    ("with ", _OVER_TOP, ", the bridge would stand under the board"), _BOTH_HEIGHTS_AGAIN, "bridge-under-board"
)


# ---- board


def end_before_the_last_fret(end: float, last: float) -> Says:
    """A board that would end before its last fret."""
    what = f"{in_mm(end)} from the nut is before the last fret, at {format_mm(last)}"
    return Says(what, "measure to the end of the board", "board-too-short")


def end_beyond_the_bridge(end: float, scale: float) -> Says:
    """A board that would reach under the bridge."""
    what = f"{in_mm(end)} from the nut is beyond the bridge, at {format_mm(scale)}"
    return Says(what, "measure from the nut to the end of the board", "board-too-long")


def slot_too_wide(slot: float, narrowest: float) -> Says:
    """A slot that would run into the next one."""
    what = f"{in_mm(slot)} is wider than half the step from fret to fret ({narrowest:.2f} mm)"
    return Says(what, "0.5 to 0.6 mm is usual", "slot-too-wide")


def no_fret(fret: int, frets: int) -> Says:
    """A fret that the neck does not have."""
    return Says(f"there is no fret {fret}", f"choose from 1 to {frets}", "board-fret-unknown")


def radius_too_small(radius: float, half: float, across: Key) -> Says:
    """A board that is rounder than a circle through its edges or its outer strings."""
    what = (f"{in_mm(radius)} is smaller than {in_mm(half)}, half of what lies across it (", across, ")")
    return Says(what, ("measure with a radius gauge; for 12 inches write ", typed("12 in")), "radius-too-small")


# ---- bridge


def spacing_beyond_the_length(spacing: float, length: float) -> Says:
    """Outer strings farther apart than the bridge is long."""
    what = f"{in_mm(spacing)} between the outer strings is more than the bridge's length of {in_mm(length)}"
    return Says(what, "measure both across the instrument", "spacing-beyond-length")


def face_beyond_the_feet(face: float, thickness: float) -> Says:
    """A crown line that would lie outside the feet."""
    what = f"{in_mm(face)} from crown line to the nut side of feet or base is more than its thickness of {in_mm(thickness)}"
    return Says(what, f"half of it, {in_mm(thickness / 2)}, is usual", "face-beyond-feet")


def crown_over_feet(crown: float, thickness: float) -> Says:
    """A crown that is thicker than what it is on; either may be a default."""
    what = f"a crown of {in_mm(crown)} is thicker than the feet or base below it, {in_mm(thickness)}"
    return Says(what, ("measure this and ", Key("bridge", "thickness"), " along the strings"), "crown-over-feet")


def foot_missing(feet: int) -> Says:
    """Several feet without a width."""
    what = f"a bridge on {feet} feet needs the width of a foot"
    return Says(what, "write how wide each foot is, along the bridge", "foot-missing")


def feet_too_wide(feet: int, foot: float, length: float) -> Says:
    """Feet that do not fit under the bridge."""
    what = f"{feet} feet of {in_mm(foot)} are wider than a bridge {in_mm(length)} long"
    return Says(what, "write the width of one foot", "feet-too-wide")


def lower_than_its_strings(height: float, over_bridge: float) -> Says:
    """A bridge that is lower than the strings over it."""
    what = (
        f"{in_mm(height)} is less than the {format_mm(over_bridge)} by which the strings pass over the plane of the frets"
        " there"
    )
    return Says(what, "measure from the top or head up to the crown", "bridge-too-low")


def top_too_steep(fall: float) -> Says:
    """Heights that tilt the top by more than 45 degrees."""
    what = ("with ", _OVER_TOP, f", the top would fall away by {fall:.2f} mm per mm, steeper than 45 degrees")
    return Says(what, _BOTH_HEIGHTS_AGAIN, "top-too-steep")


# ---- rim and top


def longer_than_the_head(length: float, head: float) -> Says:
    """A bridge that does not fit on the head."""
    what = f"{in_mm(length)} is longer than the head is wide, {format_mm(head)}"
    return Says(what, "measure both again", "bridge-longer-than-head")


def bridge_beside_the_head(near: float, far: float, scale: float) -> Says:
    """A head that does not lie under the bridge."""
    what = (
        f"the head then reaches from {format_mm(near)} to {format_mm(far)} from the nut; the bridge at"
        f" {format_mm(scale)} would be beside it"
    )
    remedy = "measure from fret 12 to the inside edge of the tension hoop, and across the head"
    return Says(what, remedy, "bridge-beside-head")


def arch_half_given(missing: Key, given: Key) -> Says:
    """A rise without a span, or the other way round."""
    what = (given, " is filled in without ", missing)
    return Says(what, "an arch needs both: its rise, and the span it rises over", "arch-half-given")


def arch_too_high(rise: float, span: float) -> Says:
    """An arch beyond half a circle."""
    what = f"an arch {in_mm(rise)} high is higher than half its span of {in_mm(span)}"
    return Says(what, "measure both again", "arch-too-high")


# ---- tolerance


def slip_turned_round(slip_to: float, slip_from: float) -> Says:
    """A range that ends before it begins."""
    what = (f"{slip_to:g} is less than ", Key("tolerance", "slip_from", f"{slip_from:g}"))
    remedy = ("write the smaller one into ", Key("tolerance", "slip_from"))
    return Says(what, remedy, "slip-range-reversed")
