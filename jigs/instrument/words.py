"""What this room says of an instrument file: faults, and what is possible but unlikely."""

from collections.abc import Iterable, Sequence
from pathlib import Path

from geometry.lengths import format_inches, format_mm, round_half_up
from jigs.faults import Key, Says, close_to, did_you_mean, nearest, plain_value, printable
from jigs.input.words import shown, typed
from jigs.wording import in_inches


def in_mm(mm: float) -> str:
    """A length as the user wrote it."""
    return f"{mm:g} mm"


# ---- faults that are always the same

_STRINGS = Key("", "[[strings]]")

NAME_EMPTY = Says("the name is empty", ("write for instance ", typed("Loan banjo 7")), "name-empty")
NAME_UNPRINTABLE = Says("the name has a character that cannot be printed", "remove that character", "name-unprintable")
SCALE_MISSING = Says(
    "the scale length is missing",
    ("write either ", Key("", "scale", '"26 1/4 in"'), " or ", Key("", "nut_to_fret_12", '"333.4 mm"')),
    "scale-missing",
)
NO_STRINGS = Says("there is no string", ("add each string under ", _STRINGS), "strings-missing")
NO_LIST_OF_STRINGS = Says(
    "this is not a list of tables", ("list the strings, each under ", _STRINGS), "strings-not-tables"
)
ALL_STRINGS_SHORT = Says(
    "all strings start at a fret",
    ("remove ", Key("strings", "starts_at_fret"), " from at least one: it then starts at the nut"),
    "strings-all-short",
)
STRINGS = "strings"
LISTED_FROM_THE_BASS = Says(
    "string 1 is lower than the last, and string 1 is the treble side",
    "list the strings from treble to bass",
    "strings-listed-from-bass",
)


# ---- any table


def both_given(one: Key, other: Key, measured: bool = False) -> Says:
    """Two keys that say the same thing in two ways."""
    remedy = "keep the one that you measured best" if measured else "keep one"
    return Says(("both ", one, " and ", other, " are filled in"), remedy, "both-given")


def unknown_key(remedy: str) -> Says:
    """A key that is not known where it is."""
    return Says("unknown key", remedy, "key-misplaced")


def belongs_under(table: str) -> Says:
    """A key at the top of the file that one of its tables has."""
    return unknown_key(f"it belongs under [{table}]")


def belongs_at_the_top(key: str) -> Says:
    """A key in a table that belongs above all tables."""
    return unknown_key(f"{key} belongs at the top of the file, before the first [table]")


# ---- name, scale and frets


def name_too_long(length: int, most: int) -> Says:
    """A name that does not fit on a sheet."""
    return Says(f"the name has {length} characters", f"shorten it to {most} or fewer", "name-too-long")


def unknown_rule(value: str, rules: Iterable[str]) -> Says:
    """A name that is not a fret rule's."""
    import difflib

    close = difflib.get_close_matches(value.lower(), list(rules), n=1)
    all_of_them = ("write ", typed("equal"), ", ", typed("eighteen"), ", or a list of cents, one for each fret")
    remedy = did_you_mean(close[0]) if close else all_of_them
    return Says(f"{shown(value)} is not a fret rule", remedy, "fret-rule-unknown")


def no_list_of_frets(given: object, example: str) -> Says:
    """Something else where a list with a value for each fret is meant."""
    remedy = ("write one for each fret, as in ", plain_value(example))
    return Says(f"{shown(given)} is not a list", remedy, "frets-not-listed")


def at_fret(fret: int, says: Says) -> Says:
    """A fault of one value of such a list."""
    what = says.what if isinstance(says.what, tuple) else (says.what,)
    return Says((f"at fret {fret}, ", *what), says.remedy, says.code)


def no_list_of_strings(given: object, example: str, corrected: str = "") -> Says:
    """Something else where a list with a value for each string is meant. ``corrected``: as a list, if that is known."""
    for_each = "write " if corrected else "write one for each string, as in "
    remedy = (for_each, plain_value(corrected or example))
    return Says(f"{shown(given)} is not a list", remedy, "strings-not-listed")


def at_string(string: int, says: Says) -> Says:
    """A fault of one value of such a list."""
    what = says.what if isinstance(says.what, tuple) else (says.what,)
    return Says((f"at string {string}, ", *what), says.remedy, says.code)


def no_step(value: object, low: float, high: float) -> Says:
    """A step that is not a number, or larger than any bridge or nut has."""
    what = f"{shown(value)} is not a step"
    on_a_saddle = f"write mm from {low:g} to {high:g}, with a minus towards the nut"
    of_a_nut = f"write {low:g} to {high:g} mm, towards the bridge"
    return Says(what, on_a_saddle if low < 0 else of_a_nut, "step-out-of-range")


def nut_step_behind(value: object, high: float) -> Says:
    """A step of the nut away from the bridge."""
    what = f"{shown(value)} lies behind the nut"
    return Says(
        what, f"write how much nearer the bridge the string leaves the nut, 0 to {high:g} mm", "nut-step-behind"
    )


def other_count_of_strings(listed: int, strings: int, corrected: str = "") -> Says:
    """A list that has more or fewer values than there are strings. ``corrected``: with points for decimal commas."""
    steps = "1 step is" if listed == 1 else f"{listed} steps are"
    what = f"{steps} listed, but the instrument has {strings} {'string' if strings == 1 else 'strings'}"
    one_each = "write one for each string or pair, the treble side first"
    return Says(what, f"write decimals with a point: {corrected}" if corrected else one_each, "step-count-differs")


def zero_fret_has_no_height(height: float) -> Says:
    """A height at the nut where a zero fret bears the strings."""
    what = f"a zero fret bears the strings at the height of the frets, so {in_mm(height)} over them cannot be"
    return Says(what, ("remove it, or ", Key("nut", "zero_fret")), "zero-fret-height")


def zero_fret_has_no_steps() -> Says:
    """Steps of a nut where a zero fret bears the strings."""
    what = "a zero fret bears all strings in a line, so steps of the nut cannot be"
    return Says(what, ("remove them, or ", Key("nut", "zero_fret")), "zero-fret-steps")


def straight_edge_assumed(kind: str) -> Says:
    """A kind of bridge that mostly has a stepped saddle, and no steps in the file."""
    rare = "" if kind == "other" else f", but most {kind} bridges have a stepped one"
    remedy = "if yours is stepped, write where each string bears; if it is straight, write 0 for each"
    return Says(f"the saddle is taken as straight{rare}", remedy, "straight-edge-assumed")


def not_beyond(fret: int, value: object, before: object) -> Says:
    """A value of such a list that is not larger than the one before."""
    what = f"{shown(value)} at fret {fret} does not lie beyond fret {fret - 1}, at {shown(before)}"
    return Says(what, "check both", "frets-not-rising")


def no_interval(value: object, most: float) -> Says:
    """Something else where cents are meant."""
    what = f"{shown(value)} is not an interval"
    return Says(what, f"write cents over the open string, above 0 to {most:g}", "cents-out-of-range")


def other_count(listed: int, frets: int) -> Says:
    """A list that has more or fewer values than the neck has frets."""
    listed_frets = "1 fret is" if listed == 1 else f"{listed} frets are"
    what = (f"{listed_frets} listed, but the instrument has ", Key("", "frets", str(frets)))
    return Says(what, "make the two agree", "fret-count-differs")


def behind_the_bridge(fret: int) -> Says:
    """A measured fret that lies beyond the scale."""
    return Says(f"fret {fret} lies behind the bridge", "check it, and the scale", "fret-behind-bridge")


# ---- heights and compensation


def lower_than_the_nut_allows(fret_12: float, least: float) -> Says:
    """An action at fret 12 below what nut and relief make there."""
    what = f"{in_mm(fret_12)} is lower than the nut allows: nut height and relief already make {format_mm(least, 2)}"
    return Says(what, "measure all three again, from the fret tops", "action-below-nut")


def too_few_for_two_cuts(frets: int, least: int) -> Says:
    """Too few frets to place both nut and bridge by."""
    what = f"{frets} is too few frets to place nut and bridge by"
    return Says(what, f"write {least} or more", "compensation-frets-too-few")


def more_frets_than_there_are(counted: int, frets: int) -> Says:
    """More frets that count than the neck has."""
    what = f"{counted} is more frets than the neck has"
    return Says(what, f"the most is {frets}", "compensation-frets-too-many")


def press_without_finger(press: float) -> Says:
    """A depth of the finger where the finger is said to press right at the fret."""
    what = f"a finger right at the fret cannot press {in_mm(press)} below its top"
    return Says(what, ("write ", Key("action", "finger", "5.0"), ", or remove this"), "press-without-finger")


def finger_beyond_the_nut(finger: float, string: int) -> Says:
    """A finger that would press behind the nut."""
    what = f"{in_mm(finger)} behind the fret is beyond the nut of string {string} at its first fret"
    return Says(what, "5 mm is usual", "finger-beyond-nut")


# ---- strings


def too_many_strings(count: int, most: int) -> Says:
    """More strings than any of these instruments has."""
    return Says(f"there are {count} strings", f"the most is {most}; a pair counts as one", "strings-too-many")


def note_of_no_string(value: str, pitch_hz: float) -> Says:
    """A note that no string of these instruments sounds."""
    what = f"{shown(value)} is {pitch_hz:.0f} Hz, which no string of these instruments sounds"
    return Says(what, "check the octave", "note-out-of-range")


def core_too_thick(core: float, gauge: float) -> Says:
    """A core that leaves no room for its winding."""
    what = f"a core of {in_inches(core)} is not thinner than the gauge of {in_inches(gauge)}"
    return Says(what, "check both; a core is often a little under half of the gauge", "core-too-thick")


def wound_and_plain(other: Key) -> Says:
    """A string that is said to be plain, and has what only a wound one has."""
    return Says(
        ("this and ", other, " disagree on whether the string is wound"), "keep the one that is right", "wound-unclear"
    )


def turns_leave_no_core(turns: float, core: float, gauge: float, common: tuple[int, int]) -> Says:
    """Turns that make the wrap too thick or too thin for the string."""
    left = f"a core of {core:.2f} mm" if core > 0 else "no core"
    what = f"{turns:g} turns in 10 mm leave {left} in a string of {gauge:.2f} mm ({in_inches(gauge)})"
    remedy = f"count again: {common[0]} to {common[1]} are usual; or remove it"
    return Says(what, remedy, "turns-implausible")


def nylon_wound(removed: str | Key) -> Says:
    """A wound nylon string without a core: its core is a bundle of threads, of any thickness."""
    what = "this makes it a wound nylon string, whose core is not computed from its gauge"
    mass, modulus = Key("strings", "unit_mass"), Key("strings", "modulus")
    return Says(what, ("remove ", removed, ", and write ", mass, " and ", modulus, " from its maker"), "nylon-wound")


def no_turns(value: object, fewest: int, most: int) -> Says:
    """Something else where a count of turns is meant."""
    what = f"{shown(value)} is not a number of turns in 10 mm"
    return Says(what, f"write for instance 40; {fewest} to {most} are possible", "turns-unread")


def string_would_break(gauge: float, note: str, ratio: float) -> Says:
    """A string that would be loaded beyond the least strength of its wire."""
    what = f"a {in_inches(gauge)} string would break at {note} ({round_half_up(100 * ratio, 0)}% of its strength)"
    return Says(what, "check note, octave, gauge, core and scale", "string-would-break")


def string_near_breaking(gauge: float, note: str, ratio: float) -> Says:
    """A string that may break while it is tuned."""
    what = f"a {in_inches(gauge)} string carries {round_half_up(100 * ratio, 0)}% of its strength at {note}"
    return Says(what, "keep eyes away while tuning, or choose a thinner string", "string-near-breaking")


def string_pulls(gauge: float, note: str, tension_n: float, code: str) -> Says:
    """A string that pulls harder than is usual, or than any instrument of this kind bears."""
    what = (
        f"a {in_inches(gauge)} string would pull {round_half_up(tension_n, 0)} N at {note}, where 30 to 150 N is usual"
    )
    return Says(what, "check gauge, note and octave", code)


def no_octave_fret(frets: int) -> Says:
    """A board without a fret at the octave."""
    what = f"none of the {frets} frets is meant to sound the octave of the open string"
    aims = Key("compensation", "tune_to", '"all frets"')
    remedy = ("write ", aims, " or ", plain_value('"nut and saddle"'), "; or check ", Key("", "wanted_cents"))
    return Says(what, remedy, "no-octave-fret")


def octave_beyond_the_frets(starts_at: int, last: int, frets: int) -> Says:
    """A short string that has no fret at its octave."""
    what = (
        f"fret {starts_at} is beyond the {frets} frets"
        if starts_at > frets
        else f"a string from fret {starts_at} has its octave beyond the {frets} frets"
    )
    remedy = f"fret {last} is the last to start at"
    return Says(what, remedy, "octave-beyond-frets")


def peg_beyond_the_nut(peg: float, fret: int) -> Says:
    """A short string's peg farther away than the neck is long."""
    what = f"{in_mm(peg)} before fret {fret} is beyond the nut"
    return Says(what, "measure from the string's own nut", "peg-beyond-nut")


def perhaps_short(note: str) -> Says:
    """A banjo's last string that is high and starts at the nut."""
    what = f"{note} is higher than its neighbour and starts at the nut"
    remedy = ("for a short fifth string write ", Key("strings", "starts_at_fret", "5"))
    return Says(what, remedy, "string-perhaps-short")


# ---- the whole file


def usual_values_taken(keys: Sequence[tuple[Key, float]], kind: str) -> Says:
    """Measurements that the file leaves to what is usual for its kind."""
    named: list[str | Key] = []
    for key, value in keys:
        named += [", " if named else "", key, f" ({in_mm(value)})"]
    of_kind = "" if kind == "other" else f" for a {kind}"
    many = len(keys) > 1
    what = (*named, f" {'are' if many else 'is'} not given")
    used = f"{'these values' if many else 'this value'}, usual{of_kind}, {'are' if many else 'is'} used"
    return Says(what, f"{used}; measure yours", "taken-as-usual")


def unusual_scale(scale: float, kind: str, shortest: float, longest: float) -> Says:
    """A scale that more often comes of a slip than of an instrument."""
    what = (
        f"{format_mm(scale)} is unusual for a {kind} ({format_inches(shortest)} to {format_inches(longest)} are common)"
    )
    return Says(what, "measure nut to fret 12 again", "scale-unusual")


def perhaps_half_a_scale(scale: float) -> Says:
    """A scale that is more likely the distance from nut to fret 12."""
    half, whole = (Key("", "nut_to_fret_12", f'"{round(mm, 2):g} mm"') for mm in (scale, scale / 2))
    remedy = ("if it is, write ", half, " instead; if it is the whole scale, write ", whole)
    what = f"{round(scale, 2):g} mm ({format_inches(scale)}) looks like the distance from nut to fret 12"
    return Says(what, remedy, "scale-perhaps-half")


def listed_from_the_second(has_fifth: bool) -> Says:
    """Strings that rise behind the first. ``has_fifth``: whether that may be a short fifth string."""
    what = "from string 2 on, each string is higher than the one before, and string 1 is the treble side"
    fifth = "; a short fifth string comes last" if has_fifth else ""
    return Says(what, f"list the strings from treble to bass{fifth}", "strings-listed-from-second")


def perhaps_a_whole_scale(nut_to_fret_12: float) -> Says:
    """A distance to fret 12 that is more likely the whole scale."""
    whole, twice = (Key("", "scale", f'"{round(mm, 2):g} mm"') for mm in (nut_to_fret_12, 2 * nut_to_fret_12))
    remedy = ("remove it; if it is the whole scale, write ", whole, ", and if it is not, write ", twice)
    what = f"{round(nut_to_fret_12, 2):g} mm ({format_inches(nut_to_fret_12)}) looks like the whole scale"
    return Says(what, remedy, "half-perhaps-scale")


# ---- the table of keys

REQUIRED, NO_DEFAULT = "required", "none"


def by_kind(kinds: Iterable[str]) -> str:
    """The order of the kinds in defaults that depend on them."""
    return f"Defaults with slashes depend on the kind: {' / '.join(kinds)}."


# ---- presets and files


def none_called(what: str, name: str, known: Iterable[str]) -> Says:
    """A name that no preset has, or no table."""
    return Says(f'there is no {what} "{name}"', nearest(name, known), f"{what}-unknown")


def neither_file_nor_preset(name: str, known: Sequence[str], beside: Path | None, near: Path | None) -> Says:
    """A word that names nothing. ``beside``: a file that has this name and an ending; ``near``: one that nearly has."""
    meant = beside or close_to(name, known) or near
    remedy = did_you_mean(printable(str(meant))) if meant else nearest(name, known)
    return Says("this is neither a file nor a preset", remedy, "instrument-unknown")


HEIGHT_AT_NUT = "a height at the nut"
KIND = "instrument file"
REMEDY = "start from one of the presets"
CHECK_NAME = "check its name, or see `jigs presets`"
EXAMPLE_LINE = 'scale = "26 1/4 in"'
