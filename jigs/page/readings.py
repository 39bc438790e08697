"""Readings of the outer strings, typed as two tones each or heard, to advice; every fault at its field.

A field takes several readings with slashes between. Each harmonic goes with the fretted note at its place in the other
field, or one harmonic with all of them.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import zip_longest

from geometry.readings import USUAL_ERRORS, ReadingErrors
from jigs.faults import Fault, InputFaults, Place
from jigs.page import bench_words, words
from jigs.page.form.fields import BENCH_FIELDS, TONE_FIELDS
from jigs.page.heard import HeardPair, heard_readings
from jigs.readings.advice import ENDS, Advice, advise
from jigs.readings.checked import NoteReading, Row, checked, read_errors, read_tone
from jigs.readings.rounds import Start, first_start
from jigs.workup.workup import Workup

TONES = tuple(field.key for field in TONE_FIELDS)
PLACE, TUNER, TOUCH = (field.key for field in BENCH_FIELDS)
KEYS = (*(f"{end}-{tone}" for end in ENDS for tone in TONES), PLACE, TUNER, TOUCH)
TABLE = "readings"

ROW_KEYS = ("string", "fret", "against", "reference", "fretted")
"""A row of any string and fret. ``against``: "open" for the open string, everything else for the octave harmonic."""

_OF_A_ROW = re.compile(r"rows\.([1-9]\d?)\.(\w+)", re.ASCII)
"""The field of a row: rows.3.fret. So there are 99 rows at most."""


def is_key(key: str) -> bool:
    """Whether the page has a field for it.

    >>> is_key("bass-fretted"), is_key("rows.3.fret"), is_key("rows.100.fret"), is_key("rows.3.colour")
    (True, True, False, False)
    """
    of_row = _OF_A_ROW.fullmatch(key)
    return key in KEYS if of_row is None else of_row[2] in ROW_KEYS


def advice_on_outer(
    workup: Workup,
    given: Mapping[str, str],
    start: Start | None = None,
    heard: Sequence[HeardPair] = (),
    diagnose: bool = False,
) -> Advice:
    """Advice from what was filled in, as `is_key` knows it, and what was heard.

    ``start``: where the round before left the bridge, if that is known. ``diagnose``: also say what else may be wrong; it is
    done anyway if anything was read elsewhere than at the octave. Raises `InputFaults` with all faults.
    """
    faults: list[Fault] = []
    read: list[NoteReading] = []
    errors = USUAL_ERRORS
    for end, string in zip(ENDS, workup.outer_strings, strict=True):
        read += heard_readings([one for one in heard if one.end == end], workup)
        try:
            read += checked(list(_rows(end, string, given)), workup)
        except InputFaults as wrong:
            faults += wrong.faults
    try:
        read += checked(list(_more_rows(given)), workup)
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        start = first_start(given[PLACE], workup) if PLACE in given else start
    except InputFaults as wrong:
        faults += (_at(PLACE, fault) for fault in wrong.faults)
    try:
        errors = read_errors(given.get(TUNER), given.get(TOUCH))
    except InputFaults as wrong:
        faults += (_at(str(fault.place.option), fault) for fault in wrong.faults)
    if not faults and not read:
        faults.append(
            words.no_reading(workup.instrument.octave_fret).at(Place(table=TABLE, key=f"{ENDS[0]}-{TONES[0]}"))
        )
    if faults:
        raise InputFaults(faults)
    elsewhere = any(one.fret != workup.octave_frets[one.string] for one in read)
    return _advised(workup, read, start, errors, diagnose or elsewhere)


def _advised(
    workup: Workup, read: Sequence[NoteReading], start: Start | None, errors: ReadingErrors, diagnose: bool
) -> Advice:
    """The advice; what is wrong with all readings together is at the first field."""
    try:
        return advise(workup, tuple(read), start, errors, diagnose)
    except InputFaults as wrong:
        raise InputFaults([_at(f"{ENDS[0]}-{TONES[0]}", fault) for fault in wrong.faults]) from None


def _at(key: str, fault: Fault) -> Fault:
    return replace(fault, place=Place(table=TABLE, key=key))


def _rows(end: str, string: int, given: Mapping[str, str]) -> Iterator[Row]:
    """The rows of one string, each at the field that is to blame if it is faulty; none if nothing was filled in.

    Raises `InputFaults` for fields that do not make pairs.
    """
    harmonics, fretted = (_tones(given.get(f"{end}-{tone}")) for tone in TONES)
    if harmonics and fretted and len(harmonics) not in (1, len(fretted)):
        says = words.counts_differ(len(harmonics), len(fretted))
        raise says.refusal(Place(table=TABLE, key=f"{end}-{TONES[1]}"))
    if len(harmonics) == 1:
        harmonics *= max(len(fretted), 1)
    for harmonic, note in zip_longest(harmonics, fretted):
        blamed = TONES[0] if harmonic is None or not _is_tone(harmonic) else TONES[1]
        at = {tone: Place(table=TABLE, key=f"{end}-{tone}") for tone in TONES}
        yield Row(at[blamed], string + 1, harmonic=harmonic, fretted=note, places=tuple(at.items()))


def _more_rows(given: Mapping[str, str]) -> Iterator[Row]:
    """The rows of any string and fret, in their order. Raises `InputFaults` for fields that do not make pairs."""
    rows: dict[int, dict[str, str]] = {}
    for key, text in given.items():
        of_row = _OF_A_ROW.fullmatch(key)
        if of_row is not None:
            rows.setdefault(int(of_row[1]), {})[of_row[2]] = text
    for n in sorted(rows):
        yield from _rows_of_one(n, rows[n])


def _rows_of_one(n: int, row: Mapping[str, str]) -> Iterator[Row]:
    """A row as comparisons: each of its pressed notes with the reference at its place, or with the only one."""
    at = {key: Place(table=TABLE, key=f"rows.{n}.{key}") for key in ROW_KEYS}
    against = "open" if row.get("against") == "open" else "harmonic"
    references, fretted = (_tones(row.get(key)) for key in ("reference", "fretted"))
    if references and fretted and len(references) not in (1, len(fretted)):
        raise bench_words.row_counts_differ(len(references), len(fretted)).refusal(at["fretted"])
    if len(references) == 1:
        references *= max(len(fretted), 1)
    places = {"string": at["string"], "fret": at["fret"], against: at["reference"], "fretted": at["fretted"]}
    for reference, note in zip_longest(references, fretted):
        blamed = at["reference"] if reference is None or not _is_tone(reference) else at["fretted"]
        one = Row(blamed, row.get("string", ""), fretted=note, fret=row.get("fret"), places=tuple(places.items()))
        yield replace(one, open=reference) if against == "open" else replace(one, harmonic=reference)


def _tones(text: str | None) -> list[str]:
    """The readings of a field; a slash at the end is one behind which nothing was typed yet."""
    return [] if text is None else [part.strip() for part in text.rstrip("/ ").split("/")]


def _is_tone(text: str) -> bool:
    try:
        read_tone(text)
    except ValueError:
        return False
    return True
