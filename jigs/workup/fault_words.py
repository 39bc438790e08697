"""What this room says of an instrument that has no answer, of unlikely ones, and of places of a bridge that cannot be.

It imports nothing else of the room, so that all of it can import this.
"""

import math
from collections.abc import Iterable
from typing import TypeAlias

from geometry.compensation import NoSetbackError
from geometry.lengths import LengthError
from geometry.spacing import SpacingError
from jigs.faults import Check, Key, Says, Words, spoken
from jigs.input.words import in_units, inches_between, length_unread, quoted, typed
from jigs.instrument.keys import StringEntry
from jigs.wording import gauge_in_words

Question: TypeAlias = tuple[str | Key, ...]
"""A remedy that asks, in parts; empty for none."""

_NO_SETBACK = {
    "string-too-stiff": "this string is too stiff for its length and tension",
    "string-too-slack": "this string is too slack: its bridge would be nowhere near the theoretical line",
    "no-octave": "no fret of this string is at its octave",
    "octave-nowhere": "no bridge place makes this string's octave agree with its harmonic",
    "best-nowhere": "no bridge place is best for all frets of this string",
}


def no_setback(error: NoSetbackError, question: Question = ()) -> Says:
    """A string that the model has no bridge place for. ``question``: `perhaps_wound`, of a thick plain one."""
    return Says(_NO_SETBACK[error.code], question or "check note, octave, gauge, core, unit mass and scale", error.code)


def no_setback_so_high(action: Check) -> Says:
    """Strings without a bridge place because they are high over the frets. ``action``: the second look at that."""
    what = f"{spoken(action.what)}: no bridge place would make its strings agree"
    return Says(what, action.remedy, "action-too-high-by-far")


def no_setback_with_finger() -> Says:
    """Strings without a bridge place because the finger of the file presses so deep, or so far behind the fret."""
    what = "no bridge place would suit a finger that presses there, and so deep"
    return Says(what, "measure both again, or leave them out: the usual ones then count", "finger-leaves-no-place")


def perhaps_wound(entry: StringEntry, number: int) -> Question:
    """The question of a string that is thick for a plain one, and how to write a wound one. ``number`` counts from 1."""
    as_printed = Key("strings", "gauge", f'"{gauge_in_words(entry.gauge, True)}"')
    return (f"is {entry.called(number)} wound? then write ", as_printed)


def no_place_then(string: int | None) -> Says:
    """Strings that a place is said to have been found with, and that have none."""
    what = "no bridge place" if string is None else f"no bridge place for string {string}"
    return Says(f"there is {what} with these strings", "check note, octave and gauge of each", "found-strings-unsolved")


def strings_overlap(error: SpacingError, spacing: Key) -> Says:
    """Strings that do not fit side by side. ``spacing``: the key that spreads them."""
    what = f"neighbouring strings would overlap by {error.overlap_mm:.2f} mm"
    return Says(what, ("make ", spacing, " wider, or check gauges and ", Key(spacing.table, "pair_gap")), error.code)


def strings_too_wide(beyond_mm: float, room_mm: float, width: Key) -> Says:
    """Outer strings beside the board or the bridge. ``width``: the key that has its width."""
    what = f"the outer strings would be {beyond_mm:.1f} mm outside the {room_mm:g} mm that there are"
    return Says(what, ("check this and ", width), "strings-too-wide")


def pair_too_close(gap_mm: float) -> Says:
    """Strings of a pair that would touch."""
    what = f"{gap_mm:g} mm from centre to centre is not more than the thickest string"
    return Says(what, "write for instance 2.5 mm; 2 to 3 mm is usual", "pair-too-close")


# ---- faults

_PAST_THE_LINE_MM = 2.0, 4.0


def _two_places(low_mm: float, high_mm: float) -> tuple[str | Key, ...]:
    """An example of two places midway between their bounds, where the bridge of this scale can be."""
    treble, bass = (f"{(low_mm + high_mm) / 2 + past:.1f}" for past in _PAST_THE_LINE_MM)
    return "for two places write for instance ", typed(f"{treble} / {bass}")


def place_unread(error: LengthError, low_mm: float, high_mm: float) -> Says:
    """A place of the bridge that is not a length."""
    says = length_unread(error, math.ceil(low_mm), math.floor(high_mm))
    remedy = (says.remedy,) if isinstance(says.remedy, str) else says.remedy
    return Says(says.what, (*remedy, "; ", *_two_places(low_mm, high_mm)), "place-unread")


def too_many_places(text: str, low_mm: float, high_mm: float) -> Says:
    """More than a treble and a bass, or no spaces around the slash between two with a unit."""
    return Says(f"{quoted(text)} is not one place, nor two", _two_places(low_mm, high_mm), "place-too-many")


def comma_between_places(first: str, second: str) -> Says:
    """A comma that is a decimal one, or separates two places."""
    remedy = ("for two places write ", typed(f"{first} / {second}"), ", for one ", typed(f"{first}.{second}"))
    return Says(f'"{first},{second}" can be one place or two', remedy, "place-with-comma")


def no_place_for_a_bridge(text: str, low_mm: float, high_mm: float, units: Iterable[str]) -> Says:
    """A place that is nowhere near the bridge line. ``units``: those in which it is."""
    mm, inches = f"{math.ceil(low_mm)} to {math.floor(high_mm)} mm", inches_between(low_mm, high_mm, 8)
    remedy: Words = in_units(text, units) or f"write the distance of its crown from the nut, {mm}, or {inches}"
    return Says(f'"{text}" is not a place for this bridge', remedy, "place-out-of-range")


# ---- notes


def far_setback(note: str, setback_mm: float, question: Question = ()) -> Says:
    """A string, by its note, whose bridge is far from the line. ``question``: of a thick plain one, `perhaps_wound`."""
    remedy = (
        *question,
        "; if not, " if question else "",
        "check note, gauge, core, action and scale (nut to the fret at the octave goes into ",
        Key("", "nut_to_fret_12"),
        ")",
    )
    what = f"{note} needs its bridge {setback_mm:.1f} mm from the theoretical line, which is unusually far"
    return Says(what, remedy, "setback-unusual")


def string_near_edge(string: str, side: str, fret: int, clear_mm: float) -> Says:
    """An outer string so near the board's edge that it may slip off the frets."""
    what = f"{string} comes within {clear_mm:.1f} mm of the board's {side} edge {_at_fret(fret)}"
    return Says(what, ("2 to 4 mm is usual; check this, and ", Key("bridge", "spacing")), "string-near-edge")


def string_off_board(string: str, side: str, fret: int, beyond_mm: float) -> Says:
    """An outer string that has no board under it."""
    what = f"{string} runs {beyond_mm:.1f} mm off the board's {side} edge {_at_fret(fret)}"
    return Says(what, ("check this, and ", Key("bridge", "spacing")), "string-off-board")


def _at_fret(fret: int) -> str:
    return f"at fret {fret}" if fret else "at the nut"


def nut_steps_computed_anew() -> Says:
    """Steps of a nut where the aim places the nut itself."""
    remedy = ("cut the nut as the sheet shows; to keep it as it is, choose another ", Key("compensation", "tune_to"))
    return Says("this aim computes the steps of the nut anew, so those there do not count", remedy, "nut-steps-unused")


def square_nut(cut_mm: float, left_cents: float) -> Says:
    """A nut cut square where every string has a place of its own."""
    what = f"a nut cut square, {cut_mm:.2f} mm nearer the bridge, leaves up to {left_cents:.1f} cents rms on a string"
    return Says(what, "the sheets of fork and spacing have each string's own place", "nut-cut-square")
