"""What this room says when a template cannot be drawn or does not fit, and in its notes."""

from collections.abc import Sequence

from jigs.faults import Fault, Key, Option, Says, either, nearest
from jigs.wording import listed

# ---- refusals


def no_such_fret(fret: int, frets: int) -> Says:
    """A datum fret that the neck does not have."""
    return Says(f"there is no fret {fret}", f"choose 1 to {frets}", "datum-fret-unknown")


def needs_a_rim() -> Says:
    """The head template for an instrument that is not a banjo."""
    return Says("the head template is for banjos", "choose the top template or the fork", "template-for-banjos")


def rim_missing(octave_fret: int) -> Says:
    """The head template for a banjo whose rim was not measured."""
    what = f"the head template needs the distance from fret {octave_fret} to the inside of the tension hoop"
    return Says(what, ("measure it, and fill in ", Key("rim", "fret_12_to_near_edge")), "rim-missing")


def needs_an_arched_top() -> Says:
    """The top template for a banjo."""
    what = "the top template is for mandolins and archtops"
    return Says(what, "for a banjo choose the head template or the fork", "template-for-arched-tops")


def feet_beside_head() -> Says:
    """A bridge that would reach over the rim."""
    remedy = (
        "check ",
        Key("rim", "head"),
        ", ",
        Key("bridge", "length"),
        " and ",
        Key("rim", "fret_12_to_near_edge"),
    )
    return Says("the bridge's feet would not all stand on the head", remedy, "feet-beside-head")


def no_room_on_the_head(reason: str) -> Says:
    """A head that is too small for its template."""
    return Says(reason, "use the gauge or the fork", "head-too-small")


def end_of_board_missing() -> Says:
    """The top template from the end of a board whose end was not measured."""
    what = ("the end of the board is not known, and ", Option("datum-end"), " starts there")
    remedy = ("measure from the nut to the end of the board, and fill in ", Key("board", "end"))
    return Says(what, remedy, "board-end-missing")


def too_little_top() -> Says:
    """A top template with no length between its datum and its feet."""
    what = "there is too little top between this edge of the template and the bridge"
    return Says(what, "use the gauge or the fork", "top-too-short")


def kerf_fills_notch(kerf_mm: float, notch_mm: float) -> Says:
    """A beam too wide for the gauge's notch."""
    what = (
        f"a kerf of {kerf_mm:g} mm leaves nothing of the gauge's notch, {notch_mm:g} mm (crown and clearance together)"
    )
    return Says(what, "use a finer cutter", "kerf-fills-notch")


def over_the_nut(fret: int, web_mm: float) -> Says:
    """A gauge whose nut-side end would lie over the nut, where it cannot lie flat."""
    what = f"from fret {fret}, with {web_mm:g} mm beside its notch, the gauge would reach over the nut"
    return Says(what, ("choose a higher fret, or a smaller ", Option("web")), "gauge-over-nut")


def stem_too_short(fret: int) -> Says:
    """A gauge whose stem has no room for its engraving."""
    what = f"from fret {fret} the gauge's stem is too short for its engraving"
    return Says(what, ("choose a lower fret with ", Option("datum-fret")), "stem-too-short")


def no_moves() -> Says:
    """Strings for which the model has no moves."""
    what = "there is no table of moves: no bridge place makes these strings read that"
    return Says(what, "check note, gauge, core and scale", "moves-unknown")


def no_octave() -> Says:
    """A setup card for a board without a fret at the octave."""
    what = "the setup card compares each string's octave with its harmonic, and no fret of this board is at the octave"
    return Says(what, "use the fork, and read the frets with a tuner", "setup-card-no-octave")


# ---- what does not fit a room


def long_fork(fret: int, length_mm: float) -> str:
    """A fork longer than the room."""
    return f"from fret {fret} the fork is {length_mm:.0f} mm long"


def legs_over_ruler(fret: int) -> str:
    """A fork that would cover the ruler."""
    return f"from fret {fret} its legs would lie over the ruler"


def large_part(width_mm: float, length_mm: float) -> str:
    """A part larger than the room."""
    return f"it is {width_mm:.0f} mm wide and {length_mm:.0f} mm long"


def part_over_ruler(width_mm: float) -> str:
    """A part that would cover the ruler."""
    return f"it is {width_mm:.0f} mm wide and would lie over the ruler"


NO_STOCK_BESIDE_FEET = "a bridge this long leaves no stock between its feet and the tension hoop"


def long_crown(length_mm: float) -> str:
    """A crown plan larger than the sheet."""
    return f"a crown of {length_mm:.0f} mm and its numbers need more than this sheet"


def wide_rule(name: str, width_mm: float) -> str:
    """A spacing rule wider than the room."""
    return f"the rule for the {name} is {width_mm:.0f} mm wide"


def long_rules(length_mm: float) -> str:
    """Both rules and their tables, longer than the room."""
    return f"the two rules and their numbers are {length_mm:.0f} mm long"


NO_TABLE_BESIDE_STEPS = "steps and table do not fit beside each other"
NARROW_FOR_CHART = "it is too narrow for the chart"
NARROW_FOR_BOXES = "it is too narrow for the boxes"
LOW_FOR_CHART = "there is no height left for the chart of errors"

# ---- notes, which the sheets repeat


def near_the_rim(to_edge: str, end: str) -> Says:
    """A bridge outside the middle two thirds of the head."""
    outside = "the bridge would stand outside the middle two thirds of the head"
    what = f"{outside}, {to_edge} from the tension hoop on the {end} side"
    return Says(what, "it should not: check the distance to the tension hoop, and the scale", "bridge-near-rim")


def notches_on_line() -> Says:
    """F-holes whose notches lie where the bridge belongs."""
    return Says("the f-holes' notches lie on the bridge line", "", "notches-on-line")


def notches_off(size: str, end: str) -> Says:
    """F-holes whose notches do not lie where the bridge belongs."""
    what = f"the f-holes' notches lie {size} mm nearer the {end} than the bridge line"
    return Says(what, "trust the frets: they decide where it plays in tune", "notches-off")


def notches_far_off(size: str, octave_fret: int) -> Says:
    """F-holes whose notches lie where no bridge stands."""
    what = f"the f-holes' notches would lie {size} mm from the bridge line"
    return Says(what, f"measure again from fret {octave_fret} to the notches", "notches-far-off")


def top_taken_as_flat() -> Says:
    """A top whose height was not measured."""
    remedy = "measure how far the top lies below the board: a step of 10 mm costs half a millimetre"
    return Says("the top counts as flat and level with the board", remedy, "top-taken-as-flat")


def frets_under_gauge(fret: int) -> Says:
    """A gauge over frets that keep stiff stock from lying down."""
    what = f"frets lie between fret {fret} and the bridge, so only stock that bends drops over it"
    return Says(what, "for stiff stock choose the last fret", "frets-under-gauge")


def edge_on_fret(fret: int) -> Says:
    """A gauge whose edge lies on the fret before its own."""
    return Says(f"the gauge's nut-side edge lies on fret {fret}", ("make ", Option("web"), " smaller"), "edge-on-fret")


def stock_over_strings(stock_mm: float, most_mm: float, fret: int) -> Says:
    """Stock that does not slip under the strings."""
    what = f"stock of {stock_mm:g} mm does not slip under the strings at fret {fret}"
    return Says(what, f"slacken them, or take stock thinner than {most_mm:g} mm", "stock-over-strings")


def engraving_left_off(of: str) -> Says:
    """A part that has no room for words."""
    what = f"the {of} has no room for engraved words"
    return Says(what, "write on it which instrument it is for, and which side is treble", "engraving-left-off")


def on_the_sheet(note: Fault) -> str:
    """A note as a sentence on a sheet.

    >>> on_the_sheet(Says("the bridge leans", "check its feet", "leaning").note())
    'The bridge leans; check its feet.'
    """
    words = note.sentence(_named_on_paper)
    return f"{words[0].upper()}{words[1:]}."


def _named_on_paper(name: Key | Option) -> str:
    return (name.key or name.example).replace("_", " ") if isinstance(name, Key) else name.name


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
    return Says(f'"{text}" is not a side of the tension hoop', f"write {either(sides)}", "rim-side-unknown")
