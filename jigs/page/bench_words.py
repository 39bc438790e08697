"""What the page says at the bench besides the advice: rows of any string and fret, where to go next, a place to keep."""

from collections.abc import Sequence

from jigs.faults import Key, Option, Says, Words
from jigs.input.words import shown

# ---- rows of any string and fret

ROW_LABELS = {
    "string": "String",
    "fret": "Fret",
    "against": "Compared with",
    "reference": "It reads",
    "fretted": "Pressed, it reads",
}
"""What the fields of a row are called."""


def in_row(key: str, row: str) -> str:
    """A field of a row by its name.

    >>> in_row("fret", "3")
    'Row 3, fret'
    """
    label = ROW_LABELS[key]
    return f"Row {row}, {label[0].lower()}{label[1:]}"


def row_counts_differ(references: int, fretted: int) -> Says:
    """Fields of a row that do not make pairs."""
    tones = "1 pressed note" if fretted == 1 else f"{fretted} pressed notes"
    remedy = "write as many of each, with a slash between two, or one to compare with for all"
    return Says(f"there are {references} readings to compare with and {tones}", remedy, "row-counts-differ")


# ---- where to go next


def read_again(string: str) -> Words:
    """A string whose readings are in doubt."""
    return f"Read {string} again"


READ_ALL_AGAIN = "Read both strings again, three times each"


def read_unread(strings: Sequence[str]) -> Words:
    """Strings that have no reading yet."""
    return f"Read {' and '.join(strings)}"


READ_FRETS, READ_STRINGS = "Read more frets: the rows are ready", "Read the other strings: the rows are ready"
FIRST_READING = "Correct that, retune, and read again"


def check(key: Key) -> Words:
    """A measurement that may be wrong."""
    return ("Check ", key)


def check_string(string: int) -> Words:
    """The note and the gauge of a string."""
    return f"Check string {string}: note and gauge"


def open_view(command: Option) -> Words:
    """A view of the page that can find the cause."""
    return ("Go to ", command)


# ---- a place to keep

HOW = {
    "round": "The rounds led there",
    "at": "I measured its crown from the nut",
    "feet": "I measured its nut side from a fret",
    "ticks": "I read the ticks of the fork or gauge",
    "wedges": "I read the wedges of the gauge",
}
"""How the user knows where the bridge stands, by the ways to keep a place."""

KEEP_HINTS = {
    "round": "The place of the last round, which said stop.",
    "at": "Lay a rule along each outer string. Measure from the nut's front edge to where the string bears on the bridge.",
    "feet": "Hold a caliper along each outer string. Measure from a fret's bridge side to the nut side of feet or base.",
    "ticks": "The cents that the bridge shows on each leg, with a minus towards the nut.",
    "wedges": "The cents that each wedge shows with the bridge against it, with a minus towards the nut.",
}
"""What to measure for each of them."""

KEEP_HOW = "How do you know where it stands?"
KEEP_FRET = ("Fret", "the caliper lies against its bridge side")
KEEP_TREBLE = ("Treble end", "")
KEEP_BASS = ("Bass end", "")
KEEP_PLUS_MINUS = ("Give or take", "95%; default 0.6 mm, more for a place on paper")
KEEP_DATE = ("Found on", "default today")
KEEP_STRINGS = ("With these strings", "as on their packets; default those of the instrument")
KEEP_ANYWAY = "Keep it all the same"


def no_way(text: str) -> Says:
    """Something else where the way to know a place is meant."""
    return Says(f"{shown(text)} is not a way to know the place", "choose how you know it", "keep-way-unknown")


def no_end(end: str) -> Says:
    """A place without one of its ends."""
    return Says(f"the {end} end is missing", "measure it, and fill it in", "keep-end-missing")


def not_stop(number: int) -> Says:
    """A place from rounds of which the last one says to go on."""
    remedy = f"go on until it says stop, or choose “{HOW['at']}”"
    return Says(f"round {number} does not say stop", remedy, "keep-round-without-stop")


def place_unknown() -> Says:
    """A place from rounds that only moved the bridge."""
    remedy = f"measure it now, and choose “{HOW['at']}” or “{HOW['feet']}”"
    return Says("the rounds moved the bridge from an unknown place", remedy, "keep-round-without-place")


def no_round() -> Says:
    """A place from rounds of which none was read."""
    return Says("no round was read yet", "read both outer strings first, or measure the place", "keep-no-round")
