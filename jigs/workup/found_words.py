"""What this room says of a place that was found by ear: on sheets, in tables, and where something does not agree.

It imports nothing else of the room, so that all of it can import this.
"""

import datetime
from enum import Enum, auto

from geometry.lengths import format_mm, round_half_up
from jigs.faults import Key, Says, Words
from jigs.wording import signed

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


class Unexplained(Enum):
    """What makes a correction larger than what is uncertain explains: both ends alike, or one of them."""

    BOTH_ENDS = auto()
    TREBLE = auto()
    BASS = auto()


def day_in_words(day: datetime.date) -> str:
    """A date as people say it, the same in every country's settings.

    >>> day_in_words(datetime.date(2026, 11, 25))
    '25 November 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def found_by_ear(
    day: datetime.date | None, moved_mm: tuple[float, float] | None, other_make: bool, same_strings: bool = False
) -> str:
    """How the line of a sheet was found, as the end of a sentence. ``moved_mm``: for other strings or another pitch.

    >>> found_by_ear(datetime.date(2026, 11, 25), None, False)
    'on 25 November 2026 with these strings'
    >>> found_by_ear(None, None, True)
    'with strings of another make'
    >>> found_by_ear(None, (0.4, 0.4), False), found_by_ear(None, (0.1, -0.62), True)
    ('with other strings; moved by +0.4 mm for these', 'with other strings; moved by +0.1 / −0.6 mm for these')
    >>> found_by_ear(None, (0.3, 0.3), False, same_strings=True)
    'at another pitch; moved by +0.3 mm for this one'
    """
    on = "" if day is None else f"on {day_in_words(day)} "
    if moved_mm is None:
        return f"{on}with {'strings of another make' if other_make else 'these strings'}"
    moves = " / ".join(dict.fromkeys(signed(mm, 1) for mm in moved_mm))
    if same_strings:
        return f"{on}at another pitch; moved by {moves} mm for this one"
    return f"{on}with other strings; moved by {moves} mm for these"


def correction_in_words(strings: tuple[str, str], correction_mm: tuple[float, float]) -> str:
    """The instrument's own correction, a line of the table."""
    ends = ", ".join(
        dict.fromkeys(f"{signed(mm, 1)} mm at {of}" for of, mm in zip(strings, correction_mm, strict=True))
    )
    return f"this instrument's own correction, found minus computed (plus is towards the tail): {ends}"


def correction_unexplained(
    cause: Unexplained, strings: tuple[str, str], correction_mm: tuple[float, float], beyond_mm: float, scale: Key
) -> Says:
    """A found place that is farther from the computed one than what is uncertain explains, by ``beyond_mm``.

    ``scale``: the key that the file has the scale in.
    """
    n = 1 if cause is Unexplained.BASS else 0
    way = "nut" if correction_mm[n] < 0 else "tail"
    sizes = correction_mm if cause is Unexplained.BOTH_ENDS else correction_mm[n : n + 1]
    size = " / ".join(dict.fromkeys(format_mm(abs(mm), 1) for mm in sizes))
    where = "both ends" if cause is Unexplained.BOTH_ENDS else strings[n]
    what = (
        f"the place found by ear lies {size} nearer the {way} than computed at {where},"
        f" {round_half_up(beyond_mm, 1)} mm more than the ± explains"
    )
    action = Key("action", "fret_12")
    of_both: Words = ("check ", scale, " first, then ", action, " and where the place was measured from")
    of_one: Words = "check the gauge of that string, wound or plain, its step, and the place at that end"
    return Says(what, of_both if cause is Unexplained.BOTH_ENDS else of_one, "correction-unexplained")


def same_make(wider_mm: float, narrower_mm: float) -> Says:
    """Other strings than then, and nobody said whether they are of the same make."""
    narrow, wide = round_half_up(narrower_mm, 1), round_half_up(wider_mm, 1)
    return Says(
        "the place was found with other strings",
        (
            "are today's of the same make? then write ",
            Key("found", "same_make", "true"),
            f": ± falls from {wide} to {narrow} mm at the bass end",
        ),
        "found-same-make",
    )
