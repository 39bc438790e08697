"""What was heard, pluck by pluck, and the differences, as text."""

from collections.abc import Iterator

from geometry.readings import NORMAL_QUANTILE
from jigs.readings.listening import Heard, HeardDifference, Listened, What
from jigs.readings.listening_words import why_not
from jigs.readings.words import sharp_or_flat
from jigs.wording import in_columns
from jigs.workup.workup import Workup

_UNKNOWN = "?"


def as_table(listened: Listened, workup: Workup) -> str:
    """What was heard, then the differences."""
    rows = [_row(one, workup) for one in listened.heard]
    return "".join(f"{line}\n" for line in (*in_columns(rows, "<><<<"), "", *_differences(listened, workup)))


def _row(one: Heard, workup: Workup) -> tuple[str, ...]:
    string = _UNKNOWN if one.string is None else workup.instrument.string_in_words(one.string)
    used = "used" if one.reason is None else f"not used: {why_not(one.reason)}"
    return one.file, f"{one.at_s:.1f} s", string, _UNKNOWN if one.what is None else note_in_words(one), used


def note_in_words(one: Heard) -> str:
    """What was plucked."""
    if one.what in (What.OPEN, What.HARMONIC):
        return str(one.what)
    return f"pressed at fret {one.fret}"


def _differences(listened: Listened, workup: Workup) -> Iterator[str]:
    for one in listened.differences:
        string = workup.instrument.string_in_words(one.string)
        yield f"{string}, {note_in_words(one.pressed)}: {difference_in_words(one)}"


def difference_in_words(one: HeardDifference) -> str:
    """A difference with its ±, and what it rests on."""
    heard = one.difference
    sure = sharp_or_flat(heard.cents, NORMAL_QUANTILE * heard.standard_error_cents)
    pairs = f"{heard.pairs} {'partial' if heard.pairs == 1 else 'partials'}"
    return f"{sure} ({pairs}{', against the open string' if one.pressed.what is What.FRET else ''})"
