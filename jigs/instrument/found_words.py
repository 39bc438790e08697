"""What this room says of a place that was found by ear, and of the strings that it was found with."""

from collections.abc import Sequence

from geometry.lengths import format_mm
from jigs.faults import Key, Says, either
from jigs.input.words import shown, typed

_FOUND = "found"
_A_DAY = "2026-11-25"
_A_STRING = "D3 .022w"


def no_day(value: object) -> Says:
    """A date that is not in the calendar, or not written as year, month and day."""
    return Says(f"{shown(value)} is not a date", f"write year, month and day, as in {_A_DAY}", "date-unread")


def day_out_of_range(value: object, first: int, last: int) -> Says:
    """A year in which nobody found this place."""
    return Says(f"{shown(value)} is not a likely date", f"write a year from {first} to {last}", "date-out-of-range")


def two_ways(ways: Sequence[str]) -> Says:
    """A place in two ways. ``ways``: the first key of each that is there."""
    first, second = (Key(_FOUND, key) for key in ways[:2])
    return Says(("the place is given in two ways: ", first, " and ", second), "keep one of them", "found-two-ways")


def other_end_missing(key: str, there: str) -> Says:
    """One end of the bridge without the other."""
    missing = Key(_FOUND, key)
    return Says(
        (Key(_FOUND, there), " is there without ", missing),
        ("write ", missing, " too; both ends place the bridge"),
        "found-end-missing",
    )


FRET_MISSING = Says(
    "the fret is missing", ("write the fret that you measured from: ", Key(_FOUND, "fret", "12")), "found-fret-missing"
)
FRET_ALONE = Says(
    "nothing is measured from this fret",
    ("write ", Key(_FOUND, "feet_treble"), " and ", Key(_FOUND, "feet_bass")),
    "found-fret-alone",
)


def one_string_places_it() -> Says:
    """Two places of a bridge that a single full-length string places."""
    return Says("a single string places this bridge, square", "write the same place at both ends", "found-one-string")


def beyond_the_neck(fret: int, frets: int) -> Says:
    """A fret that the neck does not have."""
    return Says(
        f"the neck has {frets} frets and no fret {fret}", f"write a fret from 1 to {frets}", "found-fret-unknown"
    )


def too_far_away(end: str, place_mm: float, low_mm: float, high_mm: float) -> Says:
    """A place where no bridge of this instrument stands."""
    return Says(
        f"the {end} end would stand {format_mm(place_mm)} from the nut",
        f"on this scale a bridge stands {low_mm:.0f} to {high_mm:.0f} mm from it; measure again",
        "found-out-of-range",
    )


def beyond_the_tailpiece(end: str, place_mm: float, tail_mm: float) -> Says:
    """A place behind the tailpiece."""
    return Says(
        f"the {end} end would stand {format_mm(place_mm)} from the nut, beyond the tailpiece at {format_mm(tail_mm)}",
        ("measure again, or correct ", Key("tail", "afterlength")),
        "found-beyond-tailpiece",
    )


def nothing_found(key: str) -> Says:
    """A table that says something of a place, and no place."""
    return Says(
        (Key(_FOUND, key), " is there without a place"),
        ("write where the bridge stands: ", Key(_FOUND, "treble"), " and ", Key(_FOUND, "bass")),
        "found-place-missing",
    )


def table_not_its_own() -> Says:
    """A table that cannot be changed by itself."""
    return Says(
        "this cannot be changed without a change to something else",
        "write [found] as a table of its own, at the end of the file, and try again",
        "found-not-a-table",
    )


# ---- a set of strings


def no_strings(value: object) -> Says:
    """Something else where a set of strings is meant."""
    remedy = ("write each as on its packet: ", typed(f"{_A_STRING}, …"))
    return Says(f"{shown(value)} is not a set of strings", remedy, "string-set-unread")


def string_unread(n: int, text: str) -> Says:
    """One string of a set that is neither note and gauge nor a gauge."""
    remedy = f"write note and gauge, as in {_A_STRING}, and a comma between strings"
    return Says(f"string {n}, {shown(text)}, cannot be read", remedy, "string-set-string-unread")


def string_wrong(n: int, says: Says) -> Says:
    """One string of a set whose note or gauge is wrong by itself."""
    what = says.what if isinstance(says.what, tuple) else (says.what,)
    return Says((f"string {n}: ", *what), says.remedy, says.code)


def what_unknown(n: int, text: str, known: Sequence[str]) -> Says:
    """A word behind a gauge that is neither a material nor a wrap."""
    return Says(f"string {n}: {shown(text)} is unknown", f"choose {either(known)}", "string-set-word-unknown")


def other_count(count: int, strings: int) -> Says:
    """A set of more or fewer strings than the instrument has."""
    each = "one for each string or pair"
    there, listed = (f"{n} string{'' if n == 1 else 's'}" for n in (strings, count))
    return Says(f"this set has {listed}, and the instrument has {there}", f"write {each}", "string-set-other-count")
