"""From readings at the bench to moves: where the bridge stands by its own sound, and how far it has to go.

A reading is the note fretted at the octave less the octave harmonic, in cents. The model gives the bridge place at which a
string reads that. The instrument may differ from the model, so this *effective* place need not be the true one; but the
bridge has to move by the distance from there to the place where the string reads right.

x runs across the instrument towards the treble side, as in bridge.py; a shift is positive away from the nut.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from enum import StrEnum
from statistics import NormalDist

import numpy as np

from geometry.arrays import BoolArray, FloatArray, IntArray
from geometry.errors import GeometryError
from geometry.fretting import NUDGE, FrettedStrings, octave_cents

TUNER_ERROR_CENTS = 0.5
"""Standard deviation of one tone read off a tuner, harmonic or fretted. Common practice, no source."""

TOUCH_ERROR_CENTS = 0.7
"""How well one hand repeats a fretted note: standard deviation. Common practice, no source; ten players together had 2 cents
(R. M. Mottola, "Same-Fretted-Note Intonation Variability of the Steel String Acoustic Guitar", abstract)."""

READINGS_ASKED_FOR = 3
"""Readings of each note that the advice asks for: they halve what tuner and touch leave, nearly."""

TUNER_WEIGHT = 4
"""How many further repeats the errors of tuner and touch are worth beside the spread of readings that were repeated: two or
three repeats that happen to agree do not make a tuner perfect. Our own choice."""

CONFIDENCE = 0.95
NORMAL_QUANTILE = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
"""Half width of the 95% interval, in standard errors."""

STOP_QUANTILE = NormalDist().inv_cdf((1 + 0.99) / 2)
"""The least move worth making, in standard errors of the readings. Two strings that are both right have to look right: with
95 in 100 for each, one bench in five would chase its finger for three rounds and more (tests/geometry/test_rounds.py)."""

MOST_MOVE_MM, MOST_SLANT_DEG = 8.0, 8.0
"""Beyond these it is not the bridge's place that is wrong. Common practice, no source."""

_CLOSE_ENOUGH_MM = 1e-9
_MOST_STEPS = 50


class ReadingError(GeometryError):
    """Readings that the model has no bridge place for; ``strings`` are the indices of those at fault.

    Codes: string-unread (it has no reading), reading-nowhere (no place makes these strings read that), readings-not-straight
    (no straight bridge suits them all).
    """

    def __init__(self, code: str, strings: Sequence[int]) -> None:
        super().__init__(code, strings)
        self.strings = tuple(strings)


class Verdict(StrEnum):
    """What to do next."""

    MOVE = "move"
    STOP = "stop"
    CHECK_FIRST = "check first string again"
    SOMETHING_ELSE = "something else"


@dataclass(frozen=True)
class Means:
    """One value for each string, in cents; ``pair_error_cents`` is the standard deviation of a single reading."""

    cents: FloatArray
    standard_error_cents: FloatArray
    pair_error_cents: float


@dataclass(frozen=True)
class Shift:
    """How far a rigid bridge moves away from the nut: ``centre_mm`` at x = 0, ``slope`` more per mm of x; any shape."""

    centre_mm: FloatArray
    slope: FloatArray

    def at(self, across_mm: FloatArray | float) -> FloatArray:
        """Shift at places across, shape (…, places).

        >>> Shift(np.array(1.0), np.array(0.05)).at(np.array([20.0, -20.0]))
        array([2., 0.])
        """
        return np.asarray(self.centre_mm[..., None] + self.slope[..., None] * np.atleast_1d(across_mm))


@dataclass(frozen=True)
class ReadingErrors:
    """Standard deviations of one tone in cents: ``tuner_cents`` τ of any, ``touch_cents`` t of a fretted one beside that."""

    tuner_cents: float = TUNER_ERROR_CENTS
    touch_cents: float = TOUCH_ERROR_CENTS

    @property
    def pair_variance(self) -> float:
        """Variance of a fretted note less its reference, 2τ² + t², in cents².

        >>> round(ReadingErrors(0.5, 0.7).pair_variance, 9)
        0.99
        """
        return 2 * self.tuner_cents**2 + self.touch_cents**2

    @property
    def fretted_share(self) -> float:
        """The fretted note's part in that, (τ² + t²)/(2τ² + t²)."""
        return (self.tuner_cents**2 + self.touch_cents**2) / self.pair_variance if self.pair_variance else 0.5


USUAL_ERRORS = ReadingErrors()


def only(strings: FrettedStrings, index: Sequence[int] | IntArray) -> FrettedStrings:
    """Some of the strings.

    Parameters: ``index``, of the strings wanted, in their order. Returns the same arrays with those rows.

    >>> row = np.arange(3.0)
    >>> strings = FrettedStrings(row, row[:, None], row[:, None], row[:, None] > 0, *[row] * 7)
    >>> only(strings, [2, 0]).length_mm
    array([2., 0.])
    """
    rows = np.asarray(index, dtype=int)
    return FrettedStrings(**{field.name: getattr(strings, field.name)[rows] for field in fields(strings)})


def mean_readings(
    repeats: Sequence[FloatArray], references: Sequence[int], errors: ReadingErrors = USUAL_ERRORS
) -> Means:
    """Mean of each string's repeated readings, and its standard error.

    s² = (ν₀ (2τ² + t²) + Σᵢ Σⱼ (rᵢⱼ − r̄ᵢ)²)/(ν₀ + ν), the variance of one reading: what tuner τ and touch t make of the
    difference of two tones, weighed as ν₀ = `TUNER_WEIGHT` repeats, with the spread of the repeats of all strings,
    ν = Σᵢ (nᵢ − 1). The error of string i is s √(φ/nᵢ + (1 − φ)/mᵢ), for nᵢ fretted notes against mᵢ harmonics, with
    φ = (τ² + t²)/(2τ² + t²) the fretted note's share.

    Parameters: ``repeats``, the readings of each string in cents; ``references``, how many harmonics they were compared
    with; ``errors`` of one tone. Returns shape (strings,). Raises `ReadingError` for a string without a reading. Limits:
    errors that all readings share, such as a heavy touch, do not show. Source: pooled variance, common practice; the weight
    is our own.

    >>> one = mean_readings([np.array([-7.0]), np.array([1.0])], [1, 1], ReadingErrors(0.5, 0.0))
    >>> one.cents, one.standard_error_cents.round(3)
    (array([-7.,  1.]), array([0.707, 0.707]))
    >>> mean_readings([np.array([-7.0, -5.0, -6.0])], [3]).standard_error_cents.round(3)
    array([0.575])
    """
    unread = [n for n, each in enumerate(repeats) if len(each) == 0]
    if unread:
        raise ReadingError("string-unread", unread)
    freedom = sum(len(found) - 1 for found in repeats)
    squares = sum(float(np.sum((found - np.mean(found)) ** 2)) for found in repeats)
    variance = (TUNER_WEIGHT * errors.pair_variance + squares) / (TUNER_WEIGHT + freedom)
    fretted, reference = errors.fretted_share, 1 - errors.fretted_share
    shares = [fretted / len(found) + reference / count for found, count in zip(repeats, references, strict=True)]
    return Means(
        cents=np.array([float(np.mean(found)) for found in repeats]),
        standard_error_cents=np.sqrt(variance * np.array(shares)),
        pair_error_cents=float(np.sqrt(variance)),
    )


def place_for_cents(strings: FrettedStrings, nut_setback_mm: FloatArray, cents: FloatArray) -> FloatArray:
    """The setback at which each string's octave comparison reads ``cents``: the model inverted, not its slope.

    Solves e₁₂(ΔS) − h = r by Newton's method, with the model's own derivative (complex step).

    Parameters: ``strings``; ``nut_setback_mm``, shape (strings,); ``cents`` r, shape (…, strings). Returns ΔS in mm, the
    shape of ``cents``. Raises `ReadingError` where the model reads that nowhere. Limits: those of `octave_cents`; good to
    1e-9 mm. Source: AB24 (see fretting.py).

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> string = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([1.0]),
    ...     np.array([4.0]), 0 * wanted, np.zeros(1), np.zeros(1), np.array([46.0]), np.array([0.0]))
    >>> place = place_for_cents(string, np.zeros(1), np.array([-7.0]))
    >>> place.round(3), octave_cents(string, place, np.zeros(1)).round(9)
    (array([3.228]), array([-7.]))
    """
    wanted = np.asarray(cents)
    place = np.zeros(wanted.shape)
    for _ in range(_MOST_STEPS):
        value, slope = _octave(strings, place, nut_setback_mm)
        with np.errstate(all="ignore"):
            step = (wanted - value) / slope
        place = place + step
        lost = ~np.isfinite(place)
        if np.any(lost):
            break
        lost = np.abs(step) >= _CLOSE_ENOUGH_MM
        if not np.any(lost):
            return place
    raise ReadingError("reading-nowhere", _at_fault(lost))


def _at_fault(lost: BoolArray) -> list[int]:
    """Strings of which any is lost, along the last axis."""
    return np.flatnonzero(lost.any(axis=tuple(range(lost.ndim - 1)))).tolist()


def move_for_cents(
    strings: FrettedStrings, nut_setback_mm: FloatArray, aim_cents: FloatArray, off_cents: FloatArray
) -> FloatArray:
    """How far the bridge has to go at each string when its reading is off from its aim, t − s; positive away from the nut.

    s is the place where the model reads aim + off, t the one where it reads the aim. The way grows a little faster than the
    cents on the flat side, and slower on the sharp one.

    Parameters: ``strings``; ``nut_setback_mm`` and ``aim_cents``, shape (strings,); ``off_cents``, any shape. Returns mm,
    the shape of ``off_cents`` and one axis of strings more. Raises `ReadingError`. Limits: those of `shift_wanted`.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> string = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([1.0]),
    ...     np.array([4.0]), 0 * wanted, np.zeros(1), np.zeros(1), np.array([46.0]), np.array([0.0]))
    >>> move_for_cents(string, np.zeros(1), np.zeros(1), np.array([20.0, -20.0])).round(2)
    array([[ 7.38],
           [-7.64]])
    """
    here = place_for_cents(strings, nut_setback_mm, np.asarray(off_cents)[..., None] + aim_cents)
    return np.asarray(place_for_cents(strings, nut_setback_mm, aim_cents) - here)


def _octave(strings: FrettedStrings, place: FloatArray, nut_setback_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The octave comparison in cents, and how fast it changes, cents/mm."""
    with np.errstate(all="ignore"):
        nudged = octave_cents(strings, place + 1j * NUDGE, nut_setback_mm)
    return np.asarray(nudged.real), np.asarray(nudged.imag / NUDGE)


def shift_wanted(
    strings: FrettedStrings,
    nut_setback_mm: FloatArray,
    across_mm: FloatArray,
    reading_cents: FloatArray,
    aim_cents: FloatArray,
    held_mm: float | None = None,
) -> Shift:
    """How the bridge has to move so that its strings read what they are meant to.

    With s the place where the model reads r and t the place where it reads the aim, the string needs a move of t − s. Two
    strings: the line through both moves, exact. More: the a and b that make Σᵢ (gᵢ(sᵢ + a + b xᵢ) − aimᵢ)² least, least
    squares in cents by Gauss and Newton's method, g being the model. One: the bridge turns about its held end, or slides.

    Parameters: ``strings``, those that were read; ``nut_setback_mm`` and ``across_mm`` x, shape (strings,);
    ``reading_cents`` r and ``aim_cents``, shape (…, strings); ``held_mm``, x of the end that is held while one is set.
    Returns a `Shift` of shape (…). Raises `ReadingError`. Limits: a constant difference between instrument and model moves
    s and t alike; what is left of it is a few per cent of it for every 10 mm moved, and gone with the next readings. Source:
    own, on AB24.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12) * np.ones((2, 1))
    >>> two = FrettedStrings(np.full(2, 650.0), 650 / wanted, wanted, wanted > 1, np.ones(2), np.full(2, 4.0),
    ...     0 * wanted, np.zeros(2), np.zeros(2), np.full(2, 46.0), np.zeros(2))
    >>> across = np.array([20.0, -20.0])
    >>> shift_wanted(two, np.zeros(2), across, np.array([0.0, -7.0]), np.zeros(2)).at(across).round(2)
    array([ 0.  , -2.64])
    """
    here = place_for_cents(strings, nut_setback_mm, reading_cents)
    there = place_for_cents(strings, nut_setback_mm, np.broadcast_to(aim_cents, here.shape))
    wanted = there - here
    if len(across_mm) == 1:
        turn = 0.0 if held_mm is None else 1 / (float(across_mm[0]) - held_mm)
        slope = wanted[..., 0] * turn
        return Shift(np.asarray(wanted[..., 0] - slope * across_mm[0]), np.asarray(slope))
    _, rate = _octave(strings, there, nut_setback_mm)
    shift = _straight(across_mm, rate, rate * wanted)
    if len(across_mm) == 2:
        return shift
    for _ in range(_MOST_STEPS):
        value, rate = _octave(strings, here + shift.at(across_mm), nut_setback_mm)
        step = _straight(across_mm, rate, aim_cents - value)
        shift = Shift(shift.centre_mm + step.centre_mm, shift.slope + step.slope)
        if np.max(np.abs(step.at(across_mm)), initial=0.0) < _CLOSE_ENOUGH_MM:
            return shift
    raise ReadingError("readings-not-straight", range(len(across_mm)))


def _straight(across_mm: FloatArray, rate: FloatArray, cents: FloatArray) -> Shift:
    """The a + b x that makes Σ (rate (a + b x) − cents)² least, about the weighted mean of x, which keeps it exact."""
    weight = rate**2
    total = np.sum(weight, axis=-1)
    middle = np.sum(weight * across_mm, axis=-1) / total
    mean = np.sum(rate * cents, axis=-1) / total
    apart = across_mm - middle[..., None]
    slope = np.sum(rate * cents * apart, axis=-1) / np.sum(weight * apart**2, axis=-1)
    return Shift(np.asarray(mean - slope * middle), np.asarray(slope))


def rest_after(
    strings: FrettedStrings,
    nut_setback_mm: FloatArray,
    across_mm: FloatArray,
    reading_cents: FloatArray,
    aim_cents: FloatArray,
    shift: Shift,
) -> FloatArray:
    """What each string will be off from its aim after the shift, g(s + shift) − aim, in cents; sharp positive.

    Parameters as for `shift_wanted`. Returns cents, shape (…, strings). Limits: a prediction, as good as the readings.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> string = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([1.0]),
    ...     np.array([4.0]), 0 * wanted, np.zeros(1), np.zeros(1), np.array([46.0]), np.array([0.0]))
    >>> still = Shift(np.array(0.0), np.array(0.0))
    >>> rest_after(string, np.zeros(1), np.zeros(1), np.array([-7.0]), np.zeros(1), still).round(6)
    array([-7.])
    """
    here = place_for_cents(strings, nut_setback_mm, reading_cents)
    value, _ = _octave(strings, here + shift.at(across_mm), nut_setback_mm)
    return np.asarray(value - aim_cents)


def shift_error_mm(
    across_mm: FloatArray,
    cents_per_mm: FloatArray,
    standard_error_cents: FloatArray,
    at_mm: FloatArray,
    held_mm: float | None = None,
) -> FloatArray:
    """Standard error that the readings leave in the shift, at places across.

    The shift is linear in the readings, a + b x = −(AᵀA)⁻¹Aᵀ r with rows cᵢ (1, xᵢ) of A, so that errors of the readings
    pass through the same matrix. One string: u/|c|, growing with the distance from the held end.

    Parameters: x, c and the standard error u of each string that was read, shape (strings,); ``at_mm``, shape (places,);
    ``held_mm`` as for `shift_wanted`. Returns mm, shape (places,). Limits: small moves. Source: linear propagation.

    >>> two = np.array([20.0, -20.0]), np.array([-2.6, -2.6]), np.array([0.7, 0.7])
    >>> shift_error_mm(*two, np.array([20.0, 0.0])).round(3)
    array([0.269, 0.19 ])
    """
    if len(across_mm) == 1:
        lever = np.ones(len(at_mm)) if held_mm is None else (at_mm - held_mm) / (across_mm[0] - held_mm)
        return np.asarray(np.abs(lever * standard_error_cents[0] / cents_per_mm[0]))
    rows = cents_per_mm[:, None] * np.stack((np.ones(len(across_mm)), across_mm), axis=1)
    gain = np.stack((np.ones(len(at_mm)), at_mm), axis=1) @ np.linalg.pinv(rows)
    return np.asarray(np.sqrt(gain**2 @ standard_error_cents**2))


def held_end_shift_mm(moved_mm: float, moved_at_mm: float, string_mm: float, held_mm: float) -> float:
    """How far a string is carried along when the bridge moves at another one, while the end beside the string is held.

    moved · (string to held end)/(other string to held end): a rigid bar turns about its held end.

    Parameters: ``moved_mm`` at the other string; x of that string, of the string that is carried along, and of the held
    end, in mm. Returns mm. Limits: small turns.

    >>> round(held_end_shift_mm(3.0, -20.0, 20.0, 30.0), 3)
    0.6
    """
    return moved_mm * (string_mm - held_mm) / (moved_at_mm - held_mm)


def verdict(
    move_mm: FloatArray, slant_deg: float, wanted_cents: FloatArray, shown_cents: FloatArray, shifted_cents: float
) -> Verdict:
    """What to do next, from the moves that would be needed.

    "Stop" when no end needs more than the readings can show; "something else" beyond `MOST_MOVE_MM` or `MOST_SLANT_DEG`;
    "check first string again" when the second end's move shifts the first string by more than that; else "move".

    Parameters: ``move_mm`` at each outer string; ``slant_deg`` of the bridge afterwards, or of its turn where no more is
    known; ``wanted_cents``, what each end is to move, in cents, and ``shown_cents``, the least of that which the readings
    can show, `STOP_QUANTILE` of their standard errors; ``shifted_cents`` of the first string. Source: common practice.

    >>> verdict(np.array([0.2]), 3.0, np.array([0.5]), np.array([1.4]), 0.0)
    <Verdict.STOP: 'stop'>
    """
    if np.all(np.abs(wanted_cents) <= shown_cents):
        return Verdict.STOP
    if np.max(np.abs(move_mm)) > MOST_MOVE_MM or abs(slant_deg) > MOST_SLANT_DEG:
        return Verdict.SOMETHING_ELSE
    return Verdict.CHECK_FIRST if abs(shifted_cents) > float(np.min(shown_cents)) else Verdict.MOVE
