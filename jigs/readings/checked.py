"""Readings as the user wrote them, on the command line or in a file: checked against the instrument, all faults at once.

A reading compares a fretted note with the octave harmonic or with the open string of the same string. Each of the two is
cents from any tuner, or hertz. Two in cents: their difference, since both are against the note that the tuner names.
Two in hertz: 1200 log₂ of their ratio. One of each: the hertz are first turned into cents against the note that the
instrument file gives the string.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from geometry.frets import CENTS_PER_OCTAVE, CENTS_PER_STEP
from geometry.lengths import comma_meanings, round_half_up
from geometry.readings import ReadingErrors
from jigs.faults import Fault, InputFaults, Key, Option, Place, Says, Words, Wrong
from jigs.input.quantities import without_comma
from jigs.readings import fault_words as words
from jigs.workup.workup import Workup

MOST_CENTS, LEAST_HZ, MOST_HZ = 100.0, 15.0, 6000.0
MOST_APART_CENTS = 100.0
"""A semitone: tones farther apart are two different notes."""

MOST_READINGS = 1000
TUNER_ERROR_RANGE, TOUCH_ERROR_RANGE = (0.01, 20.0), (0.0, 20.0)
_NEAR_A_NOTE = 50.0
_TONE = re.compile(r"([+-]?)\s?(\d+(?:\.\d*)?|\.\d+)\s*(hz|c|ct|cents?|¢)?", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,3}")


class Against(StrEnum):
    """What a fretted note is compared with."""

    HARMONIC = "harmonic"
    OPEN = "open"


@dataclass(frozen=True)
class Row:
    """One comparison as the user wrote it: numbers, texts, or None for what is missing.

    ``unreadable``: why the row cannot be taken apart; the rest of it does not count then. ``places``: those of its values
    in a form that has a field for each.
    """

    place: Place
    string: object = None
    harmonic: object = None
    open: object = None
    fretted: object = None
    fret: object = None
    unreadable: tuple[Says, ...] = ()
    places: tuple[tuple[str, Place], ...] = ()

    def at(self, name: str) -> Place:
        """The place of one of its values: in a form its field, on a command line its own option, else the row."""
        if self.place.source or self.place.table:
            return dict(self.places).get(name, self.place)
        return Place(option=name) if name == "string" else replace(self.place, option=name)

    def named(self, name: str) -> Key | Option | None:
        """What a value is called where the row was written; None in a form that has no field for it."""
        if self.places:
            return Option(name) if name in dict(self.places) else None
        return Key("", name) if self.place.source else Option(name)


@dataclass(frozen=True)
class Tone:
    """A tone: cents off some note, or hertz."""

    text: str
    cents: float | None
    hz: float | None


@dataclass(frozen=True)
class NoteReading:
    """A checked reading: ``string`` is an index, ``fret`` counts from the string's own nut.

    ``cents`` is the fretted note less the reference, both against what they are meant to sound; ``reference`` keeps
    one reference tone apart from another; ``octave_hz`` is the string's octave, where the reference was given in hertz.
    ``heard_error_cents`` is the standard error of a difference that was heard, except what it shares with its repeats,
    ``shared_error_cents``; None for tones that were read off a tuner.
    """

    string: int
    fret: int
    against: Against
    cents: float
    reference: str
    octave_hz: float | None = None
    heard_error_cents: float | None = None
    shared_error_cents: float = 0.0


def read_tone(value: object) -> Tone:
    """A tone as the user wrote it, with a point or a decimal comma. Raises `Wrong`.

    >>> read_tone("−5").cents, read_tone("293.9 Hz").hz, read_tone(2).cents, read_tone("-5,5").cents
    (-5.0, 293.9, 2.0, -5.5)
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise Wrong(words.no_tone(value))
    text = without_comma(str(value).strip(), read_tone)
    match = _TONE.fullmatch(text.lower().replace("−", "-"))
    if match is None:
        raise Wrong(words.no_tone(value))
    sign, digits, unit = match.groups()
    size = float(digits) if len(digits) < 20 else math.inf
    if unit == "hz":
        if sign == "-" or not LEAST_HZ <= size <= MOST_HZ:
            raise Wrong(words.no_pitch(value, LEAST_HZ, MOST_HZ))
        return Tone(text, None, size)
    if size > MOST_CENTS:
        perhaps_hz = not unit and sign != "-" and size <= MOST_HZ
        raise Wrong(words.too_many_cents(value, MOST_CENTS, digits if perhaps_hz else ""))
    return Tone(text, -size if sign == "-" else size, None)


def read_errors(tuner: str | None, touch: str | None) -> ReadingErrors:
    """The errors of tuner and touch as the user wrote them, None for what is usual. Raises `InputFaults` with all faults."""
    given: dict[str, float] = {}
    faults: list[Fault] = []
    for field, option, text, (low, high), refused in (
        ("tuner_cents", "tuner-error", tuner, TUNER_ERROR_RANGE, words.no_tuner_error),
        ("touch_cents", "touch-error", touch, TOUCH_ERROR_RANGE, words.no_touch_error),
    ):
        if text is None:
            continue
        try:
            given[field] = float(next(iter(comma_meanings(text)), text))
        except ValueError:
            given[field] = math.nan
        if not low <= given[field] <= high:
            faults.append(refused(text, low, high).at(Place(option=option)))
    if faults:
        raise InputFaults(faults)
    return ReadingErrors(**given)


def rows_from_options(given: Sequence[tuple[str, str]]) -> list[Row]:
    """Comparisons from the options of a command line, (name, value) in their order.

    ``string`` starts a group, and ``fret`` holds for the rest of it. A fretted note goes with the reference before it, and
    several may share one. In a group that begins with a fretted note, each goes with the reference after it. A fret that no
    fretted note comes after is a row of its own, which `checked` refuses.
    """
    rows: list[Row] = []
    groups: list[list[tuple[str, str]]] = []
    for name, value in given:
        if name == "string" or not groups:
            groups.append([])
        groups[-1].append((name, value))
    for group in groups:
        rows += _group_rows(group)
    return rows


def _group_rows(group: Sequence[tuple[str, str]]) -> list[Row]:
    string = group[0][1] if group[0][0] == "string" else None
    number = whole(string)
    blank = Row(Place(option="string") if number is None else Place(string=number), string)
    rows: list[Row] = []
    fret: str | None = None
    reference: tuple[str, str] | None = None
    unused, waiting, idle_fret = False, False, False
    for name, value in group:
        place = replace(blank.place, option=name)
        if name == "fret":
            if idle_fret:
                rows.append(_idle(blank, fret))
            fret, idle_fret = value, True
        elif name == "fretted":
            rows.append(replace(blank, place=place, fretted=value, fret=fret))
            waiting, idle_fret = reference is None, False
            if reference is not None:
                rows[-1] = _with_reference(rows[-1], *reference)
                unused = False
        elif name in ("harmonic", "open"):
            if waiting:
                rows[-1] = _with_reference(rows[-1], name, value)
                waiting = False
                continue
            if unused and reference is not None:
                rows.append(_lonely(blank, reference, fret))
            reference, unused = (name, value), True
    if unused and reference is not None:
        rows.append(_lonely(blank, reference, fret))
    elif idle_fret:
        rows.append(_idle(blank, fret))
    return rows or [blank]


def _idle(blank: Row, fret: str | None) -> Row:
    return replace(blank, place=replace(blank.place, option="fret"), unreadable=(words.idle_fret(fret),))


def _lonely(blank: Row, reference: tuple[str, str], fret: str | None) -> Row:
    row = replace(blank, place=replace(blank.place, option=reference[0]), fret=fret)
    return _with_reference(row, *reference)


def _with_reference(row: Row, name: str, value: str) -> Row:
    return replace(row, harmonic=value) if name == "harmonic" else replace(row, open=value)


def checked(rows: Sequence[Row], workup: Workup) -> tuple[NoteReading, ...]:
    """The readings of an instrument. Raises `InputFaults` with all their faults."""
    faults: list[Fault] = []
    readings: list[NoteReading] = []
    if len(rows) > MOST_READINGS:
        raise words.too_many(len(rows), MOST_READINGS, "readings").refusal(replace(rows[0].place, string=None))
    for row in rows:
        wrong = list(_row_faults(row, workup))
        if not wrong:
            reading = _reading(row, workup)
            wrong = list(_slips(row, reading, workup))
            readings.append(reading)
        faults += wrong
    if faults:
        raise InputFaults(faults)
    return tuple(readings)


def _row_faults(row: Row, workup: Workup) -> Iterator[Fault]:
    """What is wrong with a row by itself."""
    if row.unreadable:
        yield from (says.at(row.place) for says in row.unreadable)
        return
    strings = len(workup.instrument.strings)
    string, at_string = whole(row.string), row.at("string")
    if row.string is None:
        yield words.no_string_named().at(row.place)
    elif string is None:
        yield words.no_string_number(row.string, strings).at(at_string)
    elif not 1 <= string <= strings:
        yield words.no_such_string(string, strings, workup.instrument.name).at(at_string)
    elif row.fret is not None:
        yield from (says.at(row.at("fret")) for says in _fret_faults(row, string - 1, workup))
    yield from (says.at(row.place) for says in _pair_faults(row, workup.instrument.octave_fret))
    for name, value in (("harmonic", row.harmonic), ("open", row.open), ("fretted", row.fretted)):
        if value is not None:
            try:
                read_tone(value)
            except Wrong as error:
                yield error.says.at(row.at(name))


def _pair_faults(row: Row, octave_fret: int) -> Iterator[Says]:
    """A comparison is a fretted note and one reference."""
    if row.harmonic is not None and row.open is not None:
        yield words.two_references(octave_fret)
    elif row.harmonic is None and row.open is None and row.fretted is None:
        yield words.nothing_read()
    elif row.fretted is None:
        name, value = ("harmonic", row.harmonic) if row.harmonic is not None else ("open string", row.open)
        yield words.fretted_missing(name, value)
    elif row.harmonic is None and row.open is None:
        yield words.reference_missing(row.fretted, octave_fret)


def whole(value: object) -> int | None:
    """A whole number of at most three digits, or None."""
    text = str(value).strip()
    return int(text) if not isinstance(value, bool) and _WHOLE.fullmatch(text) else None


def _fret_faults(row: Row, string: int, workup: Workup) -> Iterator[Says]:
    last = int(np.sum(workup.model.has_fret[string]))
    fret = whole(row.fret)
    if fret is None:
        yield words.no_fret_number(row.fret, last)
    elif fret == 0:
        yield words.fret_of_nought(row.named("open"))
    elif fret > last:
        yield words.no_such_fret(fret, string + 1, last, workup.instrument.strings[string].starts_at_fret)


def _reading(row: Row, workup: Workup) -> NoteReading:
    """A row that has no fault by itself. In hertz and in cents, against what it is meant to sound."""
    string = int(str(row.string)) - 1
    octave_fret = int(workup.octave_frets[string])
    fret = octave_fret if row.fret is None else int(str(row.fret))
    against = Against.OPEN if row.open is not None else Against.HARMONIC
    reference, fretted = read_tone(row.open if against is Against.OPEN else row.harmonic), read_tone(row.fretted)
    reference_cents = 0.0 if against is Against.OPEN else CENTS_PER_OCTAVE
    wanted = _wanted_cents(workup, string, fret)
    named = CENTS_PER_STEP * round(wanted / CENTS_PER_STEP)
    cents = _cents(fretted, string, named, workup) - _cents(reference, string, reference_cents, workup)
    cents += named - wanted
    octave = None if reference.hz is None else reference.hz * (2.0 if against is Against.OPEN else 1.0)
    return NoteReading(string, fret, against, cents, f"{against.value} {reference.text}", octave)


def _wanted_cents(workup: Workup, string: int, fret: int) -> float:
    """What a fret is meant to sound, in cents over the open string."""
    return CENTS_PER_OCTAVE * math.log2(float(workup.model.wanted[string, fret - 1]))


def _cents(tone: Tone, string: int, named_cents: float, workup: Workup) -> float:
    """Cents off the note of equal temperament that a tuner names, so far over the open string."""
    if tone.hz is None:
        return tone.cents or 0.0
    return _off_note(tone.hz, string, named_cents, workup)


def _off_note(hz: float, string: int, named_cents: float, workup: Workup) -> float:
    return CENTS_PER_OCTAVE * math.log2(hz / float(workup.instrument.stringing.pitch_hz[string])) - named_cents


def _slips(row: Row, reading: NoteReading, workup: Workup) -> Iterator[Fault]:
    """Two tones that are more than a semitone apart, with the likely slip."""
    if abs(reading.cents) <= MOST_APART_CENTS:
        return
    is_open = reading.against is Against.OPEN
    name, reference = ("open string", row.open) if is_open else ("harmonic", row.harmonic)
    fretted = read_tone(row.fretted)
    cents, taken_for = round_half_up(abs(reading.cents), 0), _reference_meant(reading)
    at = (reading.fret, reading.fret == workup.octave_frets[reading.string])
    if taken_for is None:
        remedy, place = _likely_slip(reading, fretted, workup), row.place
    else:
        remedy, place = (
            words.other_reference(taken_for.value, row.named(taken_for.value)),
            row.at(reading.against.value),
        )
    yield words.too_far_apart((name, read_tone(reference).text), at, fretted.text, cents, remedy).at(place)


def _reference_meant(reading: NoteReading) -> Against | None:
    """The reference that was read, if not the one that was given: the tones are then an octave apart."""
    octaves = reading.cents / CENTS_PER_OCTAVE
    near = _NEAR_A_NOTE / CENTS_PER_OCTAVE
    if reading.against is Against.HARMONIC and abs(octaves - 1) < near:
        return Against.OPEN
    if reading.against is Against.OPEN and abs(octaves + 1) < near:
        return Against.HARMONIC
    return None


def _likely_slip(reading: NoteReading, fretted: Tone, workup: Workup) -> Words:
    """What to do about two tones that are far apart, by the note that was fretted."""
    if fretted.hz is None:
        return words.OTHER_NOTE
    for other in range(len(workup.instrument.strings)):
        if other == reading.string or not workup.model.has_fret[other, reading.fret - 1]:
            continue
        if abs(_off_note(fretted.hz, other, _wanted_cents(workup, other, reading.fret), workup)) < _NEAR_A_NOTE:
            return words.other_string(other + 1)
    sounds = _wanted_cents(workup, reading.string, reading.fret) + reading.cents
    own = range(1, int(np.sum(workup.model.has_fret[reading.string])) + 1)
    meant = [fret for fret in own if abs(_wanted_cents(workup, reading.string, fret) - sounds) < _NEAR_A_NOTE]
    return words.other_fret(meant[0]) if meant else words.WRONG_STRING_OR_FRET
