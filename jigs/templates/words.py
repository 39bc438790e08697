"""What this room says of templates that are unknown, that lack a measurement, or that cannot be drawn as ordered."""

from collections.abc import Sequence

from jigs.faults import Key, Option, Says, either, nearest
from jigs.wording import listed

# ---- what was ordered


def unknown_template(name: str, known: Sequence[str]) -> Says:
    """A name that is not a template's."""
    return Says(f'unknown template "{name}"', nearest(name, known), "template-unknown")


def idle(users: Sequence[str]) -> Says:
    """An option that no chosen template uses."""
    return Says("this option has no effect here", f"it applies to {listed(users)}", "option-idle")


def no_fret_number(text: str) -> Says:
    """Something else where a fret's number is meant."""
    return Says(f'"{text}" is not a fret number', "write a number, such as 15", "datum-fret-unread")


def no_side(text: str, sides: Sequence[str]) -> Says:
    """Something else where a side of the rim is meant."""
    return Says(f'"{text}" is not a side of the rim', f"write {either(sides)}", "rim-side-unknown")


def no_such_fret(fret: int, frets: int) -> Says:
    """A fret that the board does not have."""
    return Says(f"there is no fret {fret}", f"choose 1 to {frets}", "datum-fret-out-of-range")


# ---- what an instrument lacks


def banjos_only() -> Says:
    """The head template of an instrument without a head."""
    what = "the head template lies against a banjo's rim, and this instrument has none"
    return Says(what, "for mandolins and archtops use the top template, or the fork", "head-without-rim")


def rim_missing() -> Says:
    """The head template of a banjo whose rim was not measured."""
    what = "the head template needs the distance from fret 12 to the inside of the tension hoop"
    return Says(what, ("measure it and write ", Key("rim", "fret_12_to_near_edge", "86.5")), "rim-missing")


def no_top() -> Says:
    """The top template of a banjo."""
    what = "the top template is for mandolins and archtops, and a banjo has a head"
    return Says(what, "use the head template, or the fork", "top-of-a-banjo")


def board_end_missing() -> Says:
    """A top that is to count from the end of the board."""
    what = (Option("datum-end"), " needs the distance from the nut to the end of the board")
    return Says(what, ("measure it and write ", Key("board", "end", "420")), "board-end-missing")


# ---- what cannot be drawn


def kerf_wider_than_notch(kerf_mm: float, notch_mm: float) -> Says:
    """A cutter that is too coarse for the gauge."""
    notch = f"the gauge's notch of {notch_mm:g} mm, crown and clearance together"
    return Says(f"a kerf of {kerf_mm:g} mm is wider than {notch}", "take a finer cutter", "kerf-wider-than-notch")


def stem_too_short(fret: int) -> Says:
    """A gauge without room for what is engraved on it."""
    what = f"from fret {fret} the stem is too short for what is engraved on it"
    return Says(what, ("give a lower ", Option("datum-fret")), "gauge-stem-too-short")


def head_too_small(reason: str) -> Says:
    """A head without room for its template."""
    return Says(f"there is no head template for this bridge: {reason}", "use the gauge, or the fork", "head-too-small")


def feet_off_the_head() -> Says:
    """Feet that would not all be on the head."""
    what = "the bridge's feet would not all be on the head"
    return Says(what, "check head, bridge length and the measurement to the rim", "feet-off-the-head")


def too_little_top() -> Says:
    """A top without room for its template."""
    what = "there is too little top between its datum and the bridge for a template"
    return Says(what, "use the gauge or the fork", "top-too-short")


def part_unsound(template: str, says: Says) -> Says:
    """A part that cannot be cut as it is."""
    return Says(f"the {template}: {says.what}", says.remedy, says.code)


def no_moves(reason: str) -> Says:
    """A setup card of strings for which the model has no moves."""
    return Says(
        f"there is no table of moves: {reason}", "check note, gauge, core and scale", "setup-card-without-moves"
    )


def no_room_to_engrave(template: str) -> Says:
    """A part that is too small for its words."""
    what = f"there is no room on the {template} for what is engraved"
    return Says(what, "give the instrument a shorter name, or use the fork", "part-without-room-for-words")


# ---- notes on a part


def frets_in_the_way(fret: int) -> Says:
    """A gauge that lies over frets."""
    what = f"frets lie between fret {fret} and the bridge, so only a gauge of stock that bends drops over it"
    return Says(what, "a stiff gauge takes the last fret", "gauge-over-frets")


def edge_on_fret(fret: int) -> Says:
    """A gauge that lies on the fret before its own."""
    return Says(f"the gauge's edge before its notch lies on fret {fret}", "take a smaller web", "gauge-edge-on-fret")


def off_the_middle(to_edge: str, side: str) -> Says:
    """A bridge near the rim, where it should not be (common practice)."""
    what = f"the bridge would be outside the middle two thirds of the head, {to_edge} from the rim on the {side} side"
    return Says(what, "it should not: check the measurement to the rim, and the scale", "bridge-off-the-middle")


def notches_on_line() -> Says:
    """Notches of the f-holes that agree with the line."""
    return Says("the f-holes' notches lie on the bridge line", "", "notches-on-line")


def notches_far_off(size: str) -> Says:
    """Notches that no maker cuts there."""
    what = f"the f-holes' notches would lie {size} mm from the bridge line"
    return Says(what, "measure from fret 12 to them again", "notches-far-off")


def notches_off(size: str, side: str) -> Says:
    """Notches that do not agree with the line."""
    what = f"the f-holes' notches lie {size} mm nearer the {side} than the bridge line"
    return Says(what, "the frets, not the notches, say where it plays in tune", "notches-off")


def flat_top() -> Says:
    """A top without heights."""
    what = "the top counts as flat and level with the board"
    return Says(
        what, ("measure ", Key("board", "over_top"), "; 10 mm of it cost half a millimetre"), "top-counts-as-flat"
    )
