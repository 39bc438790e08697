"""What a comparison of two sets of strings says. It knows its numbers only from outside: compare.py imports this."""

import datetime
from collections.abc import Sequence

from geometry.lengths import format_inches, format_mm, round_half_up
from jigs.faults import Key, Option, Says
from jigs.workup.found_words import day_in_words

_ENDS = ("treble end", "bass end")
_NONE = round_half_up(0.0, 1)


def other_count(new: int, old: int, old_source: str) -> Says:
    """A second file with more or fewer strings than the first."""
    return Says(
        f"this file has {_strings(new)}, and {old_source} has {_strings(old)}",
        "compare two sets of strings of the same instrument, one entry for each string or pair",
        "compare-other-count",
    )


def _strings(count: int) -> str:
    return f"{count} string{'' if count == 1 else 's'}"


def nothing_to_compare() -> Says:
    """A file alone."""
    return Says(
        "there is nothing to compare this file with",
        ("name a second file, or add ", Option("strings", '"D4 .010, B3 .012, …"')),
        "compare-nothing",
    )


def both_ways() -> Says:
    """A second file and strings as text."""
    return Says(
        "this and a second file are both given",
        "keep one: the file or the strings",
        "compare-both-ways",
    )


def no_picture() -> Says:
    """An option of a picture, without the option that draws it."""
    return Says(
        "this is for the picture of the move",
        ("add ", Option("format", "pdf"), ", or remove this"),
        "compare-no-picture",
    )


# ---- what else differs


def other_scale(old_mm: float, new_mm: float) -> Says:
    """Two files with different scales."""
    return Says(
        f"the scales differ, {format_mm(old_mm)} and {format_mm(new_mm)}, and the moves count that too",
        "to compare the strings alone, write the same scale in both files",
        "compare-other-scale",
    )


def other_table() -> Says:
    """A table beside the strings that differs."""
    return Says(
        "this differs between the files, and the moves count that too",
        "to compare the strings alone, write the same in both files",
        "compare-other-table",
    )


def own_place(behind_mm: tuple[float, float]) -> Says:
    """A second file with a found place elsewhere than where the moves end. ``behind_mm``: how far towards the tail."""
    ends = " and ".join(
        f"{format_mm(abs(mm))} nearer the {'nut' if mm < 0 else 'tail'} at the {end}"
        for end, mm in zip(_ENDS, behind_mm, strict=True)
        if round_half_up(abs(mm), 1) != _NONE
    )
    return Says(
        f"the second file has a place of its own, {ends}",
        ("the moves follow the first file; if that place is of the old strings, write them: ", Key("found", "strings")),
        "compare-own-place",
    )


def much_harder(old_n: float, new_n: float) -> Says:
    """New strings that pull much harder than the old ones, all together."""
    more = round_half_up(100 * (new_n / old_n - 1), 0)
    return Says(
        f"the new strings pull {more}% harder in all, {round_half_up(new_n, 0)} N instead of {round_half_up(old_n, 0)} N",
        "ask a qualified repairer first whether the instrument bears that",
        "compare-pulls-much-harder",
    )


def with_the_new(note: str) -> str:
    """A note that only the new strings give rise to."""
    return f"with the new strings: {note}"


# ---- what to do


def heading(old: str, new: str) -> str:
    """What is compared, by the names of the instruments.

    >>> heading("Loan banjo 7", "Loan banjo 7"), heading("Loan banjo 7", "Loan banjo 7, heavier")
    ('Loan banjo 7: other strings', 'Loan banjo 7 and Loan banjo 7, heavier: other strings')
    """
    return f"{' and '.join(dict.fromkeys((old, new)))}: other strings"


def order(moves_mm: Sequence[float]) -> str:
    """What to do with the bridge. ``moves_mm``: of the treble end and the bass end, or of the only string; + to the tail.

    >>> order((0.42, 1.2)), order((0.42, -1.2))
    ('Move the treble end 0.4 mm and the bass end 1.2 mm towards the tail.', 'Move the treble end 0.4 mm towards the tail, \
the bass end 1.2 mm towards the nut.')
    >>> order((0.01, 1.2)), order((0.01, -0.01)), order((-0.31, -0.33))
    ('Leave the treble end. Move the bass end 1.2 mm towards the tail.', 'Leave the bridge where it is.', 'Move both ends \
0.3 mm towards the nut.')
    """
    ways = [_size_and_way(mm) for mm in moves_mm]
    moved = [(end, *way) for end, way in zip(_ENDS, ways, strict=False) if way[0] != _NONE]
    if not moved:
        return "Leave the bridge where it is."
    if len(ways) == 1:
        return f"Move the bridge {moved[0][1]} mm {moved[0][2]}."
    if len(moved) == 1:
        left = _ENDS[1 - _ENDS.index(moved[0][0])]
        return f"Leave the {left}. Move the {moved[0][0]} {moved[0][1]} mm {moved[0][2]}."
    (_, treble, way), (_, bass, other) = moved
    if way != other:
        return f"Move the treble end {treble} mm {way}, the bass end {bass} mm {other}."
    if treble == bass:
        return f"Move both ends {treble} mm {way}."
    return f"Move the treble end {treble} mm and the bass end {bass} mm {way}."


def _size_and_way(mm: float) -> tuple[str, str]:
    return round_half_up(abs(mm), 1), towards(mm)


def towards(mm: float) -> str:
    """Which way a move goes.

    >>> towards(-0.3), towards(0.3)
    ('towards the nut', 'towards the tail')
    """
    return f"towards the {'nut' if mm < 0 else 'tail'}"


def half_width(mm: float) -> str:
    """The ± of a move, no finer than anybody sets a bridge.

    >>> half_width(0.26), half_width(0.04)
    ('± 0.3 mm', '± under 0.1 mm')
    """
    size = round_half_up(mm, 1)
    return f"± {'under 0.1' if size == _NONE and mm > 0 else size} mm"


def end_line(end: int, string: str, move_mm: float, sure_mm: float, places_mm: tuple[float, float]) -> str:
    """A line of the table for an end of the bridge. ``places_mm``: from the nut, with the old strings and the new."""
    size, way = _size_and_way(move_mm)
    inches = format_inches(abs(move_mm))
    move = "stays" if size == _NONE else f"{size} mm ({'under 1/64 in' if inches == '0 in' else inches}) {way}"
    now, then = (round_half_up(mm, 1) for mm in places_mm)
    return f"{_ENDS[end]}, at {string}: {move}, {half_width(sure_mm)}; from {now} to {then} mm from the nut"


def how_sure(other_make_mm: Sequence[float]) -> str:
    """What the ± of the moves holds for. ``other_make_mm``: at either end for strings of another make."""
    other = " and ".join(dict.fromkeys(map(half_width, other_make_mm)))
    return f"± (95%): for old and new strings of the same make; of different makes {other}."


def starts_from(by_ear: bool, day: datetime.date | None, moved: bool) -> str:
    """Where the bridge stands before the move. ``moved``: found with other strings than the old ones, and moved for those.

    >>> starts_from(False, None, False)
    'The moves count from where the bridge plays in tune with the old strings.'
    >>> starts_from(True, datetime.date(2026, 11, 25), False), starts_from(True, None, True)
    ('The moves count from the place found by ear on 25 November 2026.', \
'The moves count from the place found by ear, moved for the old strings.')
    """
    if not by_ear:
        return "The moves count from where the bridge plays in tune with the old strings."
    on = "" if day is None else f" on {day_in_words(day)}"
    return f"The moves count from the place found by ear{on}{', moved for the old strings' if moved else ''}."


WITHIN_DOUBT = "No move is larger than its ±: listen before you move anything, with jigs readings."
THEN_LISTEN = "Then retune, and read both outer strings: jigs readings."

CENTS = "c: cents at the octave, the fretted note against the harmonic; plus is sharp"
ONE_OF_A_PAIR = "the tension is that of one string of a pair; all strings count in the total"
COLUMNS = ("string", "old", "new", "if it stays", "if moved", "old tension", "new tension", "change")
TOTAL = "all"
