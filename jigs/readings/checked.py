"""Readings as they were written, on the command line or in a file: checked against the instrument, all faults told at once.

A reading compares a fretted note with the octave harmonic or with the open string of the same string. Each of the two is
cents from any tuner, or hertz. Two in cents: their difference, since both are told against the note that the tuner names.
Two in hertz: 1200 log₂ of their ratio. One of each: the hertz are first turned into cents against the note that the
instrument file gives the string.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from geometry.frets import CENTS_PER_OCTAVE, CENTS_PER_STEP, OCTAVE_FRET
from geometry.lengths import round_half_up
from jigs.faults import Fault, InputFaults, old_fault
from jigs.input.words import shown
from jigs.workup.workup import Workup

MOST_CENTS, LEAST_HZ, MOST_HZ = 100.0, 15.0, 6000.0
MOST_APART_CENTS = 100.0
"""A semitone: what is farther apart are two different notes."""

MOST_READINGS = 1000
TUNER_ERROR_RANGE = (0.01, 20.0)
_NEAR_A_NOTE = 50.0
_TONE = re.compile(r"([+-]?)\s?(\d+(?:\.\d*)?|\.\d+)\s*(hz|c|ct|cents?|¢)?", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,3}")


class Against(StrEnum):
    """What a fretted note is compared with."""

    HARMONIC = "harmonic"
    OPEN = "open"


@dataclass(frozen=True)
class Row:
    """One comparison as it was written: numbers, texts, or None for what is not there."""

    source: str
    where: str
    string: object = None
    harmonic: object = None
    open: object = None
    fretted: object = None
    fret: object = None


@dataclass(frozen=True)
class Tone:
    """A tone: cents off some note, or hertz."""

    text: str
    cents: float | None
    hz: float | None


@dataclass(frozen=True)
class Reading:
    """A checked reading: ``string`` is an index, ``fret`` counts from the string's own nut.

    ``cents`` is the fretted note less the reference, both against what they are meant to sound; ``reference`` tells one
    reference tone from another; ``octave_hz`` is the string's octave, where the reference was told in hertz.
    """

    string: int
    fret: int
    against: Against
    cents: float
    reference: str
    octave_hz: float | None = None


def read_tone(value: object) -> Tone:
    """A tone as it was written. Raises ValueError in the user's words.

    >>> read_tone("−5").cents, read_tone("293.9 Hz").hz, read_tone(2).cents
    (-5.0, 293.9, 2.0)
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f'{shown(value)} is no reading; write cents such as -5, or "293.9 Hz"')
    text = str(value).strip()
    match = _TONE.fullmatch(text.lower().replace("−", "-"))
    if match is None and re.search(r"\d,\d", text):
        raise ValueError(f"{shown(value)} has a comma; write the decimals after a point")
    if match is None:
        raise ValueError(f'{shown(value)} is no reading; write cents such as -5, or hertz as in "293.9 Hz"')
    sign, digits, unit = match.groups()
    size = float(digits) if len(digits) < 20 else math.inf
    if unit == "hz":
        if sign == "-" or not LEAST_HZ <= size <= MOST_HZ:
            raise ValueError(f"{shown(value)} is no string's pitch; write {LEAST_HZ:g} to {MOST_HZ:g} Hz")
        return Tone(text, None, size)
    if size > MOST_CENTS:
        meant = f'if hertz are meant, write "{digits} Hz"' if not unit and sign != "-" else "read the tuner again"
        raise ValueError(f"{shown(value)} is more than the {MOST_CENTS:g} cents that part two notes; {meant}")
    return Tone(text, -size if sign == "-" else size, None)


def read_tuner_error(text: str) -> float:
    """The tuner's error in cents, from the command line. Raises `InputFaults`."""
    low, high = TUNER_ERROR_RANGE
    try:
        error = float(text)
    except ValueError:
        error = math.nan
    if not low <= error <= high:
        what = f"{shown(text)} is no tuner's error; write cents from {low:g} to {high:g}, 0.5 for a good one"
        raise InputFaults([old_fault("--tuner-error", "", what)])
    return error


def rows_from_options(given: Sequence[tuple[str, str]]) -> list[Row]:
    """Comparisons from the options of a command line, (name, value) in their order.

    ``string`` starts a group, ``fret`` holds for what follows in it. A fretted note goes with the reference before it, and
    several may share one; where a group begins with the fretted note, each goes with the reference behind it.
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
    blank = Row(f"--string {string}" if string is not None else "readings", "", string)
    rows: list[Row] = []
    fret: str | None = None
    reference: tuple[str, str] | None = None
    unused, waiting = False, False
    for name, value in group:
        where = f"--{name} {value}"
        if name == "fret":
            fret = value
        elif name == "fretted":
            rows.append(replace(blank, where=where, fretted=value, fret=fret))
            waiting = reference is None
            if reference is not None:
                rows[-1] = replace(rows[-1], **{reference[0]: reference[1]})
                unused = False
        elif name in ("harmonic", "open"):
            if waiting:
                rows[-1] = replace(rows[-1], **{name: value})
                waiting = False
                continue
            if unused and reference is not None:
                rows.append(_lonely(blank, reference, fret))
            reference, unused = (name, value), True
    if unused and reference is not None:
        rows.append(_lonely(blank, reference, fret))
    return rows or [blank]


def _lonely(blank: Row, reference: tuple[str, str], fret: str | None) -> Row:
    name, value = reference
    row = replace(blank, where=f"--{name} {value}", fret=fret)
    return replace(row, harmonic=value) if name == "harmonic" else replace(row, open=value)


def checked(rows: Sequence[Row], workup: Workup) -> tuple[Reading, ...]:
    """The readings of an instrument. Raises `InputFaults` with all of their faults."""
    faults: list[Fault] = []
    readings: list[Reading] = []
    if len(rows) > MOST_READINGS:
        what = f"has {len(rows)} readings; no bridge needs more than {MOST_READINGS}"
        raise InputFaults([old_fault(rows[0].source, "", what)])
    for row in rows:
        found = list(_row_faults(row, workup))
        faults += [old_fault(row.source, row.where, what) for what in found]
        if not found:
            reading = _reading(row, workup)
            wrong = _slip(row, reading, workup)
            if wrong:
                faults.append(old_fault(row.source, row.where, wrong))
            readings.append(reading)
    if faults:
        raise InputFaults(faults)
    return tuple(readings)


def _row_faults(row: Row, workup: Workup) -> Iterator[str]:
    """What is wrong with a row by itself."""
    strings = len(workup.instrument.strings)
    string = _whole(row.string)
    if row.string is None:
        yield "does not say which string; write its number before it"
    elif string is None:
        yield f"{shown(row.string)} is no string's number; write 1 to {strings}, 1 on the treble side"
    elif not 1 <= string <= strings:
        has = "one string" if strings == 1 else f"strings 1 to {strings}, 1 on the treble side"
        yield f"there is no string {string}; {workup.instrument.name} has {has}"
    elif row.fret is not None:
        yield from _fret_faults(row.fret, string - 1, workup)
    if row.harmonic is not None and row.open is not None:
        yield "has both the harmonic and the open string to compare with; keep one, the harmonic for fret 12"
    elif row.harmonic is None and row.open is None and row.fretted is None:
        yield "has no reading; write the harmonic and the fretted note"
    elif row.fretted is None:
        name, value = ("harmonic", row.harmonic) if row.harmonic is not None else ("open string", row.open)
        yield f"the {name}, {shown(value)}, has no pair; read the fretted note as well"
    elif row.harmonic is None and row.open is None:
        yield f"the fretted note, {shown(row.fretted)}, has no pair; read the harmonic over fret 12 as well"
    for value in (row.harmonic, row.open, row.fretted):
        if value is not None:
            try:
                read_tone(value)
            except ValueError as error:
                yield str(error)


def _whole(value: object) -> int | None:
    text = str(value).strip()
    return int(text) if not isinstance(value, bool) and _WHOLE.fullmatch(text) else None


def _fret_faults(value: object, string: int, workup: Workup) -> Iterator[str]:
    last = int(np.sum(workup.model.has_fret[string]))
    starts = workup.instrument.strings[string].starts_at_fret
    fret = _whole(value)
    own = f", counted from its own nut at fret {starts}" if starts else ""
    if fret is None:
        yield f"{shown(value)} is no fret's number; write 1 to {last}"
    elif fret == 0:
        yield "fret 0 is the open string; give it as open, and a fret from 1"
    elif fret > last:
        yield f"there is no fret {fret} on string {string + 1}; it has 1 to {last}{own}"


def _reading(row: Row, workup: Workup) -> Reading:
    """A row that has no fault by itself. In hertz and in cents, against what it is meant to sound."""
    string = int(str(row.string)) - 1
    fret = OCTAVE_FRET if row.fret is None else int(str(row.fret))
    against = Against.OPEN if row.open is not None else Against.HARMONIC
    reference, fretted = read_tone(row.open if against is Against.OPEN else row.harmonic), read_tone(row.fretted)
    steps = 0 if against is Against.OPEN else OCTAVE_FRET
    cents = _cents(fretted, string, fret, workup) - _cents(reference, string, steps, workup)
    cents += CENTS_PER_STEP * fret - CENTS_PER_OCTAVE * math.log2(float(workup.model.wanted[string, fret - 1]))
    octave = None if reference.hz is None else reference.hz * (2.0 if against is Against.OPEN else 1.0)
    return Reading(string, fret, against, cents, f"{against.value} {reference.text}", octave)


def _cents(tone: Tone, string: int, fret: int, workup: Workup) -> float:
    """Cents off the note that twelve equal steps put at a fret."""
    if tone.hz is None:
        return tone.cents or 0.0
    return _off_note(tone.hz, string, fret, workup)


def _off_note(hz: float, string: int, fret: int, workup: Workup) -> float:
    return (
        CENTS_PER_OCTAVE * math.log2(hz / float(workup.instrument.stringing.pitch_hz[string])) - CENTS_PER_STEP * fret
    )


def _slip(row: Row, reading: Reading, workup: Workup) -> str:
    """What is wrong with two tones that are more than a semitone apart, and the likely slip; else nothing."""
    if abs(reading.cents) <= MOST_APART_CENTS:
        return ""
    name = "open string" if reading.against is Against.OPEN else "harmonic"
    reference, fretted = (
        read_tone(row.open if reading.against is Against.OPEN else row.harmonic),
        read_tone(row.fretted),
    )
    apart = round_half_up(abs(reading.cents), 0)
    size = f"{apart} cents apart" if reading.fret == OCTAVE_FRET else f"{apart} cents off what their steps should be"
    what = f"the {name}, {reference.text}, and the note at fret {reading.fret}, {fretted.text}, are {size}"
    return f"{what}, more than a semitone; {_likely_slip(reading, fretted, workup)}"


def _likely_slip(reading: Reading, fretted: Tone, workup: Workup) -> str:
    octaves = reading.cents / CENTS_PER_OCTAVE
    near = _NEAR_A_NOTE / CENTS_PER_OCTAVE
    if reading.against is Against.HARMONIC and abs(octaves - 1) < near:
        return "was the open string read, not its harmonic? then give it as open"
    if reading.against is Against.OPEN and abs(octaves + 1) < near:
        return "was the harmonic read, not the open string? then give it as harmonic"
    if fretted.hz is None:
        return "the tuner named another note: wrong string or wrong fret; read both again"
    for other in range(len(workup.instrument.strings)):
        if other != reading.string and abs(_off_note(fretted.hz, other, reading.fret, workup)) < _NEAR_A_NOTE:
            return f"string {other + 1} sounds that there: wrong string? read both again"
    fret = reading.fret + round(reading.cents / CENTS_PER_STEP)
    if 0 < fret <= int(np.sum(workup.model.has_fret[reading.string])):
        return f"fret {fret} sounds that: wrong fret? read both again"
    return "wrong string or wrong fret; read both again"
