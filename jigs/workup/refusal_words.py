"""What this room says of an instrument that has no answer, or an unlikely one, and of a place that cannot be read.

It imports nothing else of the room, so that `workup` can import it.
"""

from geometry.compensation import NoSetbackError
from geometry.lengths import format_inches
from geometry.spacing import SpacingError
from jigs.faults import Key, Says

_NO_SETBACK = {
    "string-too-stiff": "this string is too stiff for its length and tension",
    "string-too-slack": "this string is too slack: its bridge would be nowhere near the theoretical line",
    "octave-nowhere": "no bridge place makes this string's octave agree with its harmonic",
    "best-nowhere": "no bridge place is best for all frets of this string",
}


def no_setback(error: NoSetbackError) -> Says:
    """A string that the model has no bridge place for."""
    return Says(_NO_SETBACK[error.code], "check note, octave, gauge, core, unit mass and scale", error.code)


def strings_overlap(error: SpacingError, spacing: Key) -> Says:
    """Strings that do not fit side by side. ``spacing``: the key that spreads them."""
    what = f"neighbouring strings would overlap by {error.overlap_mm:.2f} mm"
    return Says(what, ("make ", spacing, " wider, or check gauges and ", Key(spacing.table, "pair_gap")), error.code)


def strings_too_wide(beyond_mm: float, room_mm: float, width: Key) -> Says:
    """Outer strings beside the board or the bridge. ``width``: the key that says how wide that is."""
    what = f"the outer strings would be {beyond_mm:.1f} mm outside the {room_mm:g} mm that there are"
    return Says(what, ("check this and ", width), "strings-too-wide")


def pair_touches(gap_mm: float) -> Says:
    """A pair whose two strings would touch."""
    what = f"{gap_mm:g} mm from centre to centre is not more than the thickest string"
    return Says(what, "write for instance 2 to 3 mm", "pair-touches")


def far_setback(setback_mm: float) -> Says:
    """A string that needs its bridge unusually far from the theoretical line."""
    what = f"this string needs its bridge {setback_mm:.1f} mm from the theoretical line, which is unusually far"
    remedy = (
        "check note, gauge, core, action and scale; a length from the nut to fret 12 goes into ",
        Key("", "nut_to_fret_12"),
    )
    return Says(what, remedy, "setback-far")


def steep_slant(slant_deg: float) -> Says:
    """A bridge unusually oblique."""
    return Says(f"a slant of {slant_deg:.0f}° is unusually steep", "check the outer strings", "slant-steep")


def square_nut(cut_mm: float, left_cents: float) -> Says:
    """What a nut that is cut square leaves, where each string has a place of its own."""
    what = f"a nut cut square, {cut_mm:.2f} mm nearer the bridge, leaves up to {left_cents:.1f} cents rms on a string"
    return Says(what, "the table of numbers shows each string's own place", "nut-square")


def no_place(text: str, low_mm: float, high_mm: float) -> Says:
    """A place where no bridge stands."""
    remedy = (
        f"write the distance of its crown from the nut, {low_mm:.0f} to {high_mm:.0f} mm,"
        f" or in inches with the unit, {format_inches(low_mm, 8)} to {format_inches(high_mm, 8)}"
    )
    return Says(f'"{text}" is not a place for this bridge', remedy, "place-out-of-range")


def place_unread(what: Says) -> Says:
    """A place that is not a length; ``what`` is wrong with it."""
    return Says(what.what, 'write for instance "670.1 mm", or two places as "668.9 / 671.2"', "place-unread")
