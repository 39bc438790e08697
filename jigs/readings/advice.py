"""Readings of an instrument to advice: which end of the bridge moves where, what is left, what is wrong if it is not the
bridge. Numbers only; readings.py puts them into words.

A move is told at the string, from before to after, in mm and on the fork's scale: the cents by which that end moves along
its leg while the other end is held, which is how the fork's scale is drawn. Two ends moved one after the other disturb each
other: the second move shifts the first string. How far each leg has to go for both strings to come out right at once is told
as well, in ticks from where the legs stand now.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry import diagnosis as causes
from geometry.arrays import FloatArray, IntArray
from geometry.bridge import BridgeLine
from geometry.frets import OCTAVE_FRET
from geometry.fretting import octave_cents
from geometry.readings import (
    NORMAL_QUANTILE,
    Means,
    ReadingError,
    Shift,
    Verdict,
    held_end_shift_mm,
    mean_readings,
    only,
    place_for_cents,
    rest_after,
    shift_error_mm,
    shift_wanted,
    verdict,
)
from jigs.faults import Place, old_refuse
from jigs.readings import refusal_words
from jigs.readings.checked import Against, Reading
from jigs.workup.cents_scale import CentsScale, leg_scales
from jigs.workup.workup import Workup

ENDS = ("treble", "bass")


@dataclass(frozen=True)
class ReadString:
    """A string that was read at the octave. Cents; ``rest_cents`` is what it will be off from its aim after the moves."""

    string: int
    cents: float
    plus_minus_cents: float
    repeats: int
    aim_cents: float
    rest_cents: float


@dataclass(frozen=True)
class Move:
    """What one end of the bridge is to do, away from the nut positive: ``mm`` at its outer string; ``scale_cents`` the same
    on the fork with the other end held; ``both_scale_cents`` its place on the fork when both ends are moved."""

    end: str
    string: int
    mm: float
    scale_cents: float
    both_scale_cents: float


@dataclass(frozen=True)
class Standing:
    """Where the bridge stands at the outer strings, from the nut, or from where it stood if that is not known."""

    treble_mm: float
    bass_mm: float
    slant_deg: float


@dataclass(frozen=True)
class StringDiagnosis:
    """What may be wrong with a string: suspects by weight, the one to name if any, and the fret to read next."""

    string: int
    frets: tuple[int, ...]
    suspects: tuple[causes.Suspect, ...]
    named: causes.Suspect | None
    next_fret: int | None
    fit: causes.StringFit


@dataclass(frozen=True)
class Advice:
    """All that readings say. ``moves`` in the order in which the strings were read; ``verdict`` is None without a reading
    at the octave; ``shifted_cents`` is what the second move does to the first string, or a single move to the other."""

    workup: Workup
    readings: tuple[Reading, ...]
    tuner_error_cents: float
    strings: tuple[ReadString, ...]
    moves: tuple[Move, ...]
    known_place: bool
    before: Standing
    after: Standing
    verdict: Verdict | None
    shifted_cents: float
    off_model_mm: tuple[float, ...]
    diagnoses: tuple[StringDiagnosis, ...]


def advise(
    workup: Workup,
    readings: Sequence[Reading],
    stands_at: tuple[float, float] | None,
    tuner_error_cents: float,
    diagnose: bool,
) -> Advice:
    """Work out everything. ``stands_at``: treble and bass place of the crown as it is now. Raises `InputFaults`."""
    by_string: dict[int, list[Reading]] = {}
    for reading in readings:
        if reading.fret == OCTAVE_FRET:
            by_string.setdefault(reading.string, []).append(reading)
    found = tuple(_diagnoses(workup, readings, tuner_error_cents)) if diagnose else ()
    before = _standing(workup, stands_at or (0.0, 0.0))
    outer = set(workup.outer)
    if not by_string or (len(by_string) == 1 and not outer & set(by_string) and diagnose):
        known = stands_at is not None
        return Advice(workup, tuple(readings), tuner_error_cents, (), (), known, before, before, None, 0.0, (), found)
    if len(by_string) == 1 and not outer & set(by_string):
        raise _says_no_end(workup, next(iter(by_string)))
    try:
        return _moves(workup, tuple(readings), by_string, stands_at, tuner_error_cents, before, found)
    except ReadingError as error:
        raise refusal_words.readings_impossible(error).refusal(Place(workup.instrument.source)) from None


def _says_no_end(workup: Workup, index: int) -> Exception:
    ends = " and ".join(str(n + 1) for n in dict.fromkeys(workup.outer))
    what = f"string {index + 1} alone does not say which end is to move; read string {ends} as well"
    return old_refuse("readings", what)


def _moves(
    workup: Workup,
    readings: tuple[Reading, ...],
    by_string: Mapping[int, Sequence[Reading]],
    stands_at: tuple[float, float] | None,
    tuner_error_cents: float,
    before: Standing,
    found: tuple[StringDiagnosis, ...],
) -> Advice:
    read = np.array(list(by_string))
    model, nut, x = only(workup.model, read), workup.setbacks.nut_setback_mm[read], workup.across_mm[read]
    repeats = [np.array([_octave_cents(workup, one) for one in each]) for each in by_string.values()]
    references = [len({one.reference for one in each}) for each in by_string.values()]
    means = mean_readings(repeats, references, tuner_error_cents)
    aims = _aims(workup, read)
    scales = _scales(workup)
    first = next((end for n in read for end in ENDS if workup.outer[ENDS.index(end)] == n), ENDS[0])
    ends = _ends(workup, first, len(read))
    held = _held_mm(workup, read, scales)
    shift = shift_wanted(model, nut, x, means.cents, aims, held)
    outer_x = np.array([workup.across_mm[workup.outer[ENDS.index(end)]] for end in ends])
    rates = np.array([abs(workup.cents_per_mm[workup.outer[ENDS.index(end)]]) for end in ends])
    errors = shift_error_mm(x, workup.cents_per_mm[read], means.standard_error_cents, outer_x, held)
    shifted = _shifted_cents(workup, shift, first, scales, single=len(read) == 1)
    after = _moved(workup, before, shift)
    says = verdict(
        shift.at(outer_x),
        after.slant_deg,
        rates * shift.at(outer_x),
        NORMAL_QUANTILE * rates * errors,
        shifted if len(read) > 1 else 0.0,
    )
    if says is Verdict.STOP:
        shift, shifted, after = Shift(np.array(0.0), np.array(0.0)), 0.0, before
    if says is not Verdict.SOMETHING_ELSE and any(_is_elsewhere(one) for one in found):
        says = Verdict.SOMETHING_ELSE
    rest = rest_after(model, nut, x, means.cents, aims, shift)
    return Advice(
        workup=workup,
        readings=readings,
        tuner_error_cents=tuner_error_cents,
        strings=_read_strings(read, repeats, means, aims, rest),
        moves=tuple(_move(workup, end, shift, scales[end]) for end in ends),
        known_place=stands_at is not None,
        before=before,
        after=after,
        verdict=says,
        shifted_cents=shifted,
        off_model_mm=_off_model(workup, read, means.cents, before) if stands_at is not None else (),
        diagnoses=found,
    )


def _read_strings(
    read: IntArray, repeats: Sequence[FloatArray], means: Means, aims: FloatArray, rest: FloatArray
) -> tuple[ReadString, ...]:
    tells = NORMAL_QUANTILE * means.standard_error_cents
    columns = (column.tolist() for column in (read, means.cents, tells))
    rows = zip(*columns, [len(each) for each in repeats], aims.tolist(), rest.tolist(), strict=True)
    return tuple(ReadString(*row) for row in rows)


def _octave_cents(workup: Workup, reading: Reading) -> float:
    """A reading at the octave against the harmonic, whatever it was told against."""
    return reading.cents - (float(workup.harmonic_cents[reading.string]) if reading.against is Against.OPEN else 0.0)


def _aims(workup: Workup, read: IntArray) -> FloatArray:
    """What each string is to read: one or two, what the line leaves; more, what each wants for itself.

    Both are zero for a bridge that is tuned to the octave by its outer strings.
    """
    back = workup.setbacks
    own = octave_cents(workup.model, back.setback_mm, back.nut_setback_mm)
    aims = workup.left_cents if len(read) <= 2 else own
    return np.round(aims[read], 9) + 0.0


def _scales(workup: Workup) -> dict[str, CentsScale]:
    """The scales on the fork's legs, by end."""
    return {scale.end: scale for scale in leg_scales(workup)}


def _ends(workup: Workup, first: str, strings: int) -> tuple[str, ...]:
    """The ends that move, in the order in which they are set."""
    if strings == 1 or workup.outer[0] == workup.outer[1]:
        return (first,)
    return (first, ENDS[1 - ENDS.index(first)])


def _held_mm(workup: Workup, read: IntArray, scales: Mapping[str, CentsScale]) -> float | None:
    """x of the end that is held while a single string is set; None where the bridge slides."""
    if len(read) > 1 or workup.outer[0] == workup.outer[1]:
        return None
    return scales[ENDS[1 - workup.outer.index(int(read[0]))]].inner_mm


def _shifted_cents(workup: Workup, shift: Shift, first: str, scales: Mapping[str, CentsScale], single: bool) -> float:
    """What the second end's move does to the first string while the first end is held; a single end's, to the other string.

    In cents.
    """
    one, two = ENDS.index(first), 1 - ENDS.index(first)
    if single:
        one, two = two, one
    string, moved = workup.outer[one], workup.outer[two]
    if string == moved:
        return 0.0
    x, moved_x = float(workup.across_mm[string]), float(workup.across_mm[moved])
    turned = held_end_shift_mm(float(shift.at(moved_x)[0]), moved_x, x, scales[ENDS[one]].inner_mm)
    return turned * float(workup.cents_per_mm[string])


def _move(workup: Workup, end: str, shift: Shift, scale: CentsScale) -> Move:
    string = workup.outer[ENDS.index(end)]
    mm = float(shift.at(float(workup.across_mm[string]))[0])
    both = float(shift.at(scale.inner_mm)[0]) / scale.mm_per_cent
    return Move(end, string, mm, mm * abs(float(workup.cents_per_mm[string])), both)


def _standing(workup: Workup, places: tuple[float, float]) -> Standing:
    treble, bass = workup.across_mm[list(workup.outer)]
    slope = (places[0] - places[1]) / (treble - bass) if treble != bass else 0.0
    return Standing(places[0], places[1], BridgeLine(0.0, slope).slant_deg)


def _moved(workup: Workup, before: Standing, shift: Shift) -> Standing:
    treble, bass = shift.at(workup.across_mm[list(workup.outer)]).tolist()
    return _standing(workup, (before.treble_mm + treble, before.bass_mm + bass))


def _off_model(workup: Workup, read: IntArray, cents: FloatArray, before: Standing) -> tuple[float, ...]:
    """How far each string sounds as if it stood from where it is said to stand, mm."""
    treble, bass = workup.across_mm[list(workup.outer)]
    slope = (before.treble_mm - before.bass_mm) / (treble - bass) if treble != bass else 0.0
    line = BridgeLine(before.treble_mm - slope * treble, slope)
    nut = workup.setbacks.nut_setback_mm[read]
    sounds = workup.scale_mm + place_for_cents(only(workup.model, read), nut, cents)
    return tuple((sounds - line.at(workup.across_mm[read])).tolist())


def _is_elsewhere(found: StringDiagnosis) -> bool:
    """Whether a fault was named that no move of the bridge cures."""
    cured = (causes.Cause.NEAR, causes.Cause.FAR, causes.Cause.TOUCH, causes.Cause.NOTHING)
    return found.named is not None and found.named.cause not in cured


def _diagnoses(workup: Workup, readings: Sequence[Reading], tuner_error_cents: float) -> list[StringDiagnosis]:
    found = []
    for n in sorted({reading.string for reading in readings}):
        own = [reading for reading in readings if reading.string == n]
        names = list(dict.fromkeys(one.reference for one in own))
        harmonic = float(workup.harmonic_cents[n])
        read = causes.FretReadings(
            frets=np.array([one.fret for one in own]),
            cents=np.array([one.cents for one in own]),
            reference=np.array([names.index(one.reference) for one in own]),
            harmonic_cents=np.array([harmonic if one.against is Against.HARMONIC else 0.0 for one in own]),
        )
        place = float(workup.line.at(workup.across_mm)[n]) - workup.scale_mm
        string = causes.String(only(workup.model, [n]), place, float(workup.setbacks.nut_setback_mm[n]))
        suspects = sorted(causes.weigh(string, read, tuner_error_cents), key=lambda one: -float(one.weight))
        frets = tuple(sorted({one.fret for one in own}))
        found.append(
            StringDiagnosis(
                string=n,
                frets=frets,
                suspects=tuple(suspects),
                named=causes.named(tuple(suspects), read.frets),
                next_fret=causes.next_fret(string, read, tuner_error_cents),
                fit=causes.fit_together(string, read, tuner_error_cents),
            )
        )
    return found
