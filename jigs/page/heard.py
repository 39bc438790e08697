"""What was heard on the page: pairs of an open string and its octave pressed, pluck by pluck until three differences agree.

The browser keeps values between requests, and decides nothing. It sends what was heard so far and the last pluck; the answer
says what to pluck next. A sound is heard once, and nothing of it is kept.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any
from urllib.parse import parse_qsl

import numpy as np

from geometry.hearing import AGREE, Difference, three_agree
from geometry.partials import Partials
from jigs.faults import Place
from jigs.input.sound import sound_from
from jigs.page import dots, words
from jigs.readings.advice import ENDS
from jigs.readings.checked import LEAST_HZ, MOST_HZ, NoteReading
from jigs.readings.listening import (
    Heard,
    HeardDifference,
    What,
    compared,
    hear_pluck,
    readings_of,
)
from jigs.readings.partials_json import as_numbers, from_numbers
from jigs.readings.words import AdviceLine
from jigs.workup.workup import Workup

LARGEST_SOUND_KIB = 2000
"""Four seconds of one channel at up to 125 kHz, with four bytes a sample. The browser sends less at a higher rate."""

MOST_PAIRS = 8
"""Of one string: if three do not agree by then, the readings are worse than listening can mend. Our own bound."""

_MOST_HEARD = 100
_MOST_CENTS = 200.0
"""Either note may be a semitone off; more is refused when it is heard."""

_ANOTHER_NOTE = "wrong-string"
"""The reason if two plucks are so far apart that they cannot be of one string."""

_DECIMALS = 4
_BEHIND_ONSET_S = 0.1
"""What follows in a sound after a pluck that was heard: it rings on there, and a later one may have begun."""

WANTED = {what.value: what for what in (What.OPEN, What.OCTAVE)}


@dataclass(frozen=True)
class HeardPair:
    """A difference that was heard at an end: the pressed note less the octave harmonic, in cents, and its errors."""

    end: str
    cents: float
    standard_error_cents: float
    shared_error_cents: float


_KEYS = {field.name for field in fields(HeardPair)}


@dataclass(frozen=True, eq=False)
class Plucks:
    """The plucks of a pair so far."""

    open: Partials | None = None
    octave: Partials | None = None


NO_PLUCKS = Plucks()


def in_sound(query: str, content: bytes) -> dict[str, Any] | None:
    """What a pluck's sound says: waiting, heard or refused, and why; None for a query that the page does not send.

    Raises `InputFaults` for content that is not a sound.
    """
    asked = _asked(query)
    if asked is None:
        return None
    pluck = hear_pluck(sound_from(content, Place()), *asked)
    return {
        "state": pluck.state,
        "refused": "" if pluck.reason is None else words.refused_pluck(pluck.reason),
        "partials": None if pluck.partials is None else as_numbers(pluck.partials),
        "until_s": pluck.at_s + _BEHIND_ONSET_S,
        "faults": [],
    }


def _asked(query: str) -> tuple[float, What] | None:
    """The open string's pitch, and which note was asked for."""
    given = dict(parse_qsl(query))
    try:
        open_hz = float(given.get("open_hz", ""))
    except ValueError:
        return None
    if set(given) != {"open_hz", "wanted"} or given["wanted"] not in WANTED or not LEAST_HZ <= open_hz <= MOST_HZ:
        return None
    return open_hz, WANTED[given["wanted"]]


def heard_from(data: object) -> tuple[HeardPair, ...] | None:
    """The differences of a request, in their order; None for anything else.

    >>> heard_from([]), heard_from(None), heard_from([{"end": "treble"}])
    ((), None, None)
    """
    if not isinstance(data, list) or len(data) > _MOST_HEARD:
        return None
    pairs = [one for one in map(_pair_from, data) if one is not None]
    return tuple(pairs) if len(pairs) == len(data) else None


def _pair_from(data: object) -> HeardPair | None:
    if not isinstance(data, Mapping) or set(data) != _KEYS or data["end"] not in ENDS:
        return None
    numbers = [data[key] for key in ("cents", "standard_error_cents", "shared_error_cents")]
    if not all(map(_is_number, numbers)) or numbers[1] <= 0 or not 0 <= numbers[2] <= numbers[1]:
        return None
    return HeardPair(data["end"], *map(float, numbers))


def _is_number(value: object) -> bool:
    known = isinstance(value, int | float) and not isinstance(value, bool)
    return known and isinstance(value, int | float) and -_MOST_CENTS <= value <= _MOST_CENTS


def plucks_from(data: object) -> Plucks | None:
    """The plucks of a request that are not compared yet; None for anything else. Raises `InputFaults`."""
    if not isinstance(data, Mapping) or not set(data) <= set(WANTED):
        return None
    given = {what: one for what, one in data.items() if one is not None}
    if not all(isinstance(one, dict) for one in given.values()):
        return None
    return Plucks(**{what: from_numbers(one) for what, one in given.items()})


def heard_readings(heard: Sequence[HeardPair], workup: Workup) -> tuple[NoteReading, ...]:
    """What counts of what was heard, as readings against the harmonic."""
    counted = [one for end in ends_of(workup) for one in _counted(_of(end, heard))]
    return readings_of([_difference(n, one, workup) for n, one in enumerate(counted)], workup)


def _counted(pairs: Sequence[HeardPair]) -> Sequence[HeardPair]:
    """The last three if they agree: one before them may have been of another string. Else all."""
    return pairs[-AGREE:] if agree(pairs) else pairs


def _difference(n: int, one: HeardPair, workup: Workup) -> HeardDifference:
    """A pair as the difference that it was. Each has a reference of its own."""
    string, none = workup.outer_strings[ENDS.index(one.end)], np.array([])
    found = Difference(one.cents, one.standard_error_cents, one.shared_error_cents, none.astype(int), none, none)
    return HeardDifference(string, found, *(_heard(what, string, float(n), None) for what in (What.OCTAVE, What.OPEN)))


def _heard(what: What, string: int, at_s: float, partials: Partials | None) -> Heard:
    return Heard("", at_s, string, what, None, partials)


def next_step(workup: Workup, before: Sequence[HeardPair], plucks: Plucks) -> dict[str, Any]:
    """What to pluck next, and a picture of what was heard, after these plucks."""
    heard, refused, end = list(before), "", next_end(workup, before)
    if end is not None and plucks.open is not None and plucks.octave is not None:
        string = workup.outer_strings[ENDS.index(end)]
        notes = (_heard(What.OPEN, string, 0.0, plucks.open), _heard(What.OCTAVE, string, 1.0, plucks.octave))
        found = compared(notes, workup)
        new = [_pair_from(asdict(_as_pair(end, one.difference))) for one in found.differences]
        heard += (one for one in new if one is not None)
        refused = "" if any(new) else words.refused_pluck(found.heard[-1].reason or _ANOTHER_NOTE)
        plucks = NO_PLUCKS
        end = next_end(workup, heard)
    wanted = What.OPEN if plucks.open is None else What.OCTAVE
    return {
        "heard": [asdict(one) for one in heard],
        "open": None if plucks.open is None else as_numbers(plucks.open),
        "wanted": wanted.value,
        "open_hz": None if end is None else _open_hz(workup, end),
        "done": end is None,
        "refused": refused,
        "lines": [asdict(line) for line in _lines(workup, heard, end, wanted)],
        "picture": _picture(workup, heard),
        "faults": [],
    }


def _lines(workup: Workup, heard: Sequence[HeardPair], end: str | None, wanted: What) -> Iterator[AdviceLine]:
    """What was heard of each string, and what to pluck next."""
    if end is not None:
        string = workup.outer_strings[ENDS.index(end)]
        fret = None if wanted is What.OPEN else int(workup.octave_frets[string])
        instrument = workup.instrument
        yield from words.asked(instrument.string_in_words(string), end, bool(instrument.strings[string].pair), fret)
    for each in ends_of(workup):
        pairs = _of(each, heard)
        if pairs:
            yield words.heard_line(each, [(one.cents, one.standard_error_cents) for one in pairs])
        if len(_counted(pairs)) < len(pairs):
            yield words.last_three_count(each)
        if len(pairs) >= MOST_PAIRS and not agree(pairs):
            yield words.do_not_agree(each, MOST_PAIRS)


def next_end(workup: Workup, heard: Sequence[HeardPair]) -> str | None:
    """The end whose string is to be plucked next; None if all are heard."""
    return next((end for end in ends_of(workup) if not _is_heard(_of(end, heard))), None)


def ends_of(workup: Workup) -> tuple[str, ...]:
    """The ends that are set, treble first: one where a single string is all there is."""
    return ENDS if workup.outer_strings[0] != workup.outer_strings[1] else ENDS[:1]


def _of(end: str, heard: Sequence[HeardPair]) -> list[HeardPair]:
    return [one for one in heard if one.end == end]


def _is_heard(pairs: Sequence[HeardPair]) -> bool:
    return len(pairs) >= MOST_PAIRS or agree(pairs)


def agree(pairs: Sequence[HeardPair]) -> bool:
    """Whether the last three differences of a string agree."""
    return three_agree(np.array([one.cents for one in pairs]), np.array([one.standard_error_cents for one in pairs]))


def _as_pair(end: str, found: Difference) -> HeardPair:
    numbers = found.cents, found.standard_error_cents, found.shared_error_cents
    return HeardPair(end, *(round(one, _DECIMALS) + 0.0 for one in numbers))


def _open_hz(workup: Workup, end: str) -> float:
    return round(float(workup.instrument.stringing.pitch_hz[workup.outer_strings[ENDS.index(end)]]), _DECIMALS)


def _picture(workup: Workup, heard: Sequence[HeardPair]) -> str | None:
    by_end = {end: [(one.cents, one.standard_error_cents) for one in _of(end, heard)] for end in ends_of(workup)}
    return dots.as_svg(workup, by_end).decode() if heard else None
