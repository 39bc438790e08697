"""Readings of the outer strings, typed as two tones each or heard, to advice; every fault at its field.

A field takes several readings with slashes between. Each harmonic goes with the fretted note at its place in the other
field, or one harmonic with all of them.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import zip_longest

from geometry.readings import USUAL_ERRORS
from jigs.faults import Fault, InputFaults, Place
from jigs.page import words
from jigs.page.form.fields import BENCH_FIELDS, TONE_FIELDS
from jigs.page.heard import HeardPair, heard_readings
from jigs.readings.advice import ENDS, Advice, advise
from jigs.readings.checked import NoteReading, Row, checked, read_errors, read_tone
from jigs.readings.rounds import Start, first_start
from jigs.workup.workup import Workup

TONES = tuple(field.key for field in TONE_FIELDS)
PLACE, TUNER, TOUCH = (field.key for field in BENCH_FIELDS)
KEYS = (*(f"{end}-{tone}" for end in ENDS for tone in TONES), PLACE, TUNER, TOUCH)


def advice_on_outer(
    workup: Workup, given: Mapping[str, str], start: Start | None = None, heard: Sequence[HeardPair] = ()
) -> Advice:
    """Advice from what was filled in, under `KEYS`, and what was heard.

    ``start``: where the round before left the bridge, if that is known. Raises `InputFaults` with all faults.
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
        start = first_start(given[PLACE], workup) if PLACE in given else start
    except InputFaults as wrong:
        faults += (_at(PLACE, fault) for fault in wrong.faults)
    try:
        errors = read_errors(given.get(TUNER), given.get(TOUCH))
    except InputFaults as wrong:
        faults += (_at(str(fault.place.option), fault) for fault in wrong.faults)
    if not faults and not read:
        faults.append(
            words.no_reading(workup.instrument.octave_fret).at(Place(table="readings", key=f"{ENDS[0]}-{TONES[0]}"))
        )
    if faults:
        raise InputFaults(faults)
    return advise(workup, tuple(read), start, errors, diagnose=False)


def _at(key: str, fault: Fault) -> Fault:
    return replace(fault, place=Place(table="readings", key=key))


def _rows(end: str, string: int, given: Mapping[str, str]) -> Iterator[Row]:
    """The rows of one string, each at the field that is to blame if it is faulty; none if nothing was filled in.

    Raises `InputFaults` for fields that do not make pairs.
    """
    harmonics, fretted = (_tones(given.get(f"{end}-{tone}")) for tone in TONES)
    if harmonics and fretted and len(harmonics) not in (1, len(fretted)):
        says = words.counts_differ(len(harmonics), len(fretted))
        raise says.refusal(Place(table="readings", key=f"{end}-{TONES[1]}"))
    if len(harmonics) == 1:
        harmonics *= max(len(fretted), 1)
    for harmonic, note in zip_longest(harmonics, fretted):
        blamed = TONES[0] if harmonic is None or not _is_tone(harmonic) else TONES[1]
        at = {tone: Place(table="readings", key=f"{end}-{tone}") for tone in TONES}
        yield Row(at[blamed], string + 1, harmonic=harmonic, fretted=note, places=tuple(at.items()))


def _tones(text: str | None) -> list[str]:
    """The readings of a field; a slash at the end is one behind which nothing was typed yet."""
    return [] if text is None else [part.strip() for part in text.rstrip("/ ").split("/")]


def _is_tone(text: str) -> bool:
    try:
        read_tone(text)
    except ValueError:
        return False
    return True
