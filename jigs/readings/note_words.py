"""What readings leave in doubt: notes on what is possible but unlikely. They stop nothing."""

import math
from collections.abc import Iterator

from geometry.lengths import format_mm
from geometry.readings import ReadingErrors
from jigs.faults import Key, Note, Option, Says
from jigs.readings.advice import Advice
from jigs.readings.checked import Against, NoteReading

_FAR_OFF_MODEL_MM = 3.0
_HALF_A_SEMITONE = 1 / 24
"""In octaves."""

_FAR_APART, _FAR_APART_CENTS = 5.0, 3.0
"""How many standard deviations, and at least cents, repeats of a reading may lie apart: 1 in 2500 pairs, and 1 in 100 of
eight, do by chance. Our own bounds."""


def notes(advice: Advice) -> tuple[Note, ...]:
    """What is possible but unlikely: worth a second look, no reason to stop."""
    return tuple(says.note() for says in _notes(advice))


def _notes(advice: Advice) -> Iterator[Says]:
    for one, off in zip(advice.strings, advice.off_model_mm, strict=False):
        if abs(off) > _FAR_OFF_MODEL_MM:
            farther = "farther from the nut" if off > 0 else "nearer the nut"
            sounds = f"{_string(advice, one.string)} sounds as if the bridge were {format_mm(abs(off))} {farther}"
            remedy = ("check ", Option("at"), ", note, gauge and scale")
            yield Says((f"{sounds} than ", Option("at"), " says"), remedy, "place-unlike-sound")
    if advice.diagnoses and advice.workup.found is not None and not any(one.was_right for one in advice.diagnoses):
        what = "the strings are others than when the place was found, so the diagnosis does not count on that place"
        yield Says(
            what, ("if they are of the same make, write ", Key("found", "same_make", "true")), "found-not-counted"
        )
    octave = advice.workup.octave_frets
    if any(one.fret != octave[one.string] for one in advice.readings) and not advice.diagnoses:
        what = f"readings at frets other than {advice.workup.instrument.octave_fret} are for the diagnosis"
        yield Says(what, ("give ", Option("diagnose"), " too"), "readings-for-diagnosis")
    yield from _far_apart(advice)
    first: dict[int, NoteReading] = {}
    for reading in advice.readings:
        if reading.octave_hz is not None:
            first.setdefault(reading.string, reading)
    for reading in first.values():
        if not _is_octave_of(advice, reading.string, reading.octave_hz or 0.0):
            yield _off_its_note(advice, reading)


def _far_apart(advice: Advice) -> Iterator[Says]:
    """Repeats of one note that differ more than a finger and their errors explain."""
    by_note: dict[tuple[int, int, Against], list[NoteReading]] = {}
    for reading in advice.readings:
        by_note.setdefault((reading.string, reading.fret, reading.against), []).append(reading)
    for (string, fret, _), read in by_note.items():
        apart = max(one.cents for one in read) - min(one.cents for one in read)
        if apart > max(_FAR_APART * max(_deviation(one, advice.errors) for one in read), _FAR_APART_CENTS):
            what = f"the readings of {_string(advice, string)} at fret {fret} are {apart:.1f} cents apart"
            remedy = "read them again; another string may be among them, or a harmonic instead of a pressed note"
            yield Says(what, remedy, "readings-far-apart")


def _deviation(reading: NoteReading, errors: ReadingErrors) -> float:
    """How far a reading repeats itself in cents, as a standard deviation."""
    if reading.heard_error_cents is None:
        return math.sqrt(errors.pair_variance)
    return math.hypot(errors.touch_cents, reading.heard_error_cents)


def _is_octave_of(advice: Advice, string: int, octave_hz: float, times: float = 1.0) -> bool:
    """Whether a tone is the octave of a string, or ``times`` it, to half a semitone."""
    pitch_hz = float(advice.workup.instrument.stringing.pitch_hz[string])
    return abs(math.log2(octave_hz / (2 * pitch_hz * times))) <= _HALF_A_SEMITONE


def _off_its_note(advice: Advice, reading: NoteReading) -> Says:
    """A tone in hertz that is far from its string's note: another string, another octave, or out of tune."""
    octave_hz, string = reading.octave_hz or 0.0, _string(advice, reading.string)
    is_open = reading.against is Against.OPEN
    hz, tone = (octave_hz / 2, "open string") if is_open else (octave_hz, "octave harmonic")
    meant_hz = float(advice.workup.instrument.stringing.pitch_hz[reading.string]) * (1 if is_open else 2)
    meant = f"the {tone} of {string}, which is {meant_hz:.1f} Hz"
    off, code, remedy = (
        "more than half a semitone from",
        "tone-off-note",
        "tune it first, or correct its note",
    )
    for times, way in ((0.5, "below"), (2.0, "above")):
        if _is_octave_of(advice, reading.string, octave_hz, times):
            off, code, remedy = (
                f"an octave {way}",
                "tone-octave-off",
                "check the octave on the tuner and that of its note",
            )
    strings = range(len(advice.workup.instrument.strings))
    other = next((n for n in strings if _is_octave_of(advice, n, octave_hz)), None)
    if other is not None:
        remedy = f"was it {_string(advice, other)}? if not, {remedy}"
    return Says(f"{hz:g} Hz is {off} {meant}", remedy, code)


def _string(advice: Advice, index: int) -> str:
    return advice.workup.instrument.string_in_words(index)
