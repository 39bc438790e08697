"""The comparison of two sets of strings as figures: a table to read, JSON for programs; and its notes."""

from collections.abc import Iterator
from typing import Any

from geometry.lengths import round_half_up
from jigs.faults import Note, Place
from jigs.instrument.keys import StringEntry
from jigs.instrument.packets import in_short, written
from jigs.wording import in_columns, signed
from jigs.workup import compare_words as words
from jigs.workup.compare import Comparison, other_tables
from jigs.workup.words import outer_in_words

_SAME_MM = 1e-6


def as_dict(comparison: Comparison) -> dict[str, Any]:
    """The comparison under its stable keys."""
    old, new = comparison.old, comparison.new
    pulls, (treble, bass) = comparison.pulls_n, comparison.moves_mm
    return {
        "treble_move_mm": treble,
        "bass_move_mm": bass,
        "treble_plus_minus_mm": comparison.same_make_mm[0],
        "bass_plus_minus_mm": comparison.same_make_mm[1],
        "treble_plus_minus_other_make_mm": comparison.other_make_mm[0],
        "bass_plus_minus_other_make_mm": comparison.other_make_mm[1],
        "treble_string": new.outer_strings[0] + 1,
        "bass_string": new.outer_strings[1] + 1,
        **{
            name: {
                "name": one.instrument.name,
                "scale_mm": one.scale_mm,
                "treble_mm": places[0],
                "bass_mm": places[1],
                "strings": written(one.instrument.strings),
                "tension_n": pull,
            }
            for name, one, places, pull in zip(("old", "new"), (old, new), comparison.places_mm, pulls, strict=True)
        },
        "found_by_ear": old.found is not None,
        "strings": [_string_dict(comparison, n) for n in range(len(new.instrument.strings))],
    }


def _string_dict(comparison: Comparison, n: int) -> dict[str, Any]:
    """A string's numbers under their stable keys; tensions are those of one string of a pair."""
    old, new = comparison.old.instrument, comparison.new.instrument
    return {
        "string": n + 1,
        "note": new.strings[n].note,
        "old_note": old.strings[n].note,
        "pair": new.strings[n].pair,
        "gauge_old_mm": float(old.strings[n].gauge),
        "gauge_new_mm": float(new.strings[n].gauge),
        "if_it_stays_cents": float(comparison.if_it_stays_cents[n]),
        "after_the_move_cents": float(comparison.after_cents[n]),
        "tension_old_n": float(old.stringing.tension_n[n]),
        "tension_new_n": float(new.stringing.tension_n[n]),
    }


def as_json(comparison: Comparison) -> str:
    """The comparison as one JSON object."""
    import json

    return json.dumps(as_dict(comparison), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def as_table(comparison: Comparison) -> str:
    """The comparison as text: what to do, the moves, the strings."""
    new, moves, sure = comparison.new, comparison.end_moves_mm, comparison.same_make_mm
    strings, places = outer_in_words(new), list(zip(*comparison.places_mm, strict=True))
    lines = [
        words.heading(comparison.old.instrument.name, new.instrument.name),
        words.order(moves),
        *(f"  {words.end_line(n, strings[n], mm, sure[n], places[n])}" for n, mm in enumerate(moves)),
        words.how_sure(comparison.other_make_mm[: len(moves)]),
        starts_from(comparison),
        words.WITHIN_DOUBT if comparison.within_doubt else words.THEN_LISTEN,
        "",
        *in_columns([words.COLUMNS, *string_rows(comparison)], "<<<>"),
        "",
        words.CENTS,
        *([words.ONE_OF_A_PAIR] if has_pairs(comparison) else []),
    ]
    return "\n".join(lines) + "\n"


def starts_from(comparison: Comparison) -> str:
    """Where the bridge stands before the move, in words."""
    old = comparison.old
    by_ear, day = old.found is not None, old.instrument.found.date
    return words.starts_from(by_ear, day, moved=old.found is not None and not old.found.same_strings)


def has_pairs(comparison: Comparison) -> bool:
    """Whether any string is a pair."""
    return any(entry.pair for entry in comparison.new.instrument.strings)


def string_rows(comparison: Comparison) -> list[tuple[str, ...]]:
    """A row for each string under `words.COLUMNS`, and one of what all of them pull."""
    old, new = comparison.old.instrument, comparison.new.instrument
    rows: list[tuple[str, ...]] = []
    for n, entries in enumerate(zip(old.strings, new.strings, strict=True)):
        pulls = float(old.stringing.tension_n[n]), float(new.stringing.tension_n[n])
        cents = (f"{signed(float(each[n]), 1)} c" for each in (comparison.if_it_stays_cents, comparison.after_cents))
        rows.append((_number(n, entries[1]), *_as_written(*entries), *cents, *_pulls(*pulls)))
    return [*rows, (words.TOTAL, "", "", "", "", *_pulls(*comparison.pulls_n))]


def _number(n: int, entry: StringEntry) -> str:
    return f"{n + 1}{' pair' if entry.pair else ''}"


def _as_written(old: StringEntry, new: StringEntry) -> tuple[str, str]:
    """Note and gauge of both strings; all of them where those are the same and the strings are not."""
    both = in_short(old), in_short(new)
    if both[0] != both[1] or old == new:
        return both
    return written((old,)), written((new,))


def _pulls(old: float, new: float) -> tuple[str, str, str]:
    return f"{round_half_up(old, 1)} N", f"{round_half_up(new, 1)} N", f"{signed(100 * (new / old - 1), 0)}%"


def notes(comparison: Comparison) -> Iterator[str]:
    """What is worth knowing of the old strings, of the new ones, and of both, a line each."""
    old, new = comparison.old, comparison.new
    of_old = [str(note) for note in old.notes]
    yield from of_old
    yield from (words.with_the_new(str(note)) for note in new.notes if str(note) not in of_old)
    yield from map(str, _notes_of_both(comparison))


def _notes_of_both(comparison: Comparison) -> Iterator[Note]:
    """What else differs between them, and that the new ones may pull too hard."""
    yield from notes_of_sheet(comparison)
    if comparison.own_place_mm is not None:
        yield words.own_place(comparison.own_place_mm).note(Place(table="found"))


def notes_of_sheet(comparison: Comparison) -> Iterator[Note]:
    """The same, without what only the files are about."""
    old, new = comparison.old, comparison.new
    if abs(old.scale_mm - new.scale_mm) > _SAME_MM:
        yield words.other_scale(old.scale_mm, new.scale_mm).note(Place(key="scale"))
    for table in other_tables(old.instrument, new.instrument):
        yield words.other_table().note(Place(table=table))
    if comparison.pulls_much_harder:
        yield words.much_harder(*comparison.pulls_n).note(Place())
