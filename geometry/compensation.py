"""How far behind the theoretical line each string needs its bridge, and its nut if you may cut it.

Three aims: the octave alone, the usual bench check; all frets, as true as one bridge makes them; all frets with the nut's
cut end free too (AB24, see fretting.py).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from geometry.arrays import FloatArray
from geometry.errors import GeometryError
from geometry.frets import is_octave, octave_columns
from geometry.fretting import (
    NUDGE,
    FrettedStrings,
    error_cents,
    partial_factor,
    squared_error,
)

CLOSE_ENOUGH = 3e-8
"""The secant method's last step, in ln r. The error that remains is under a ten-thousandth of it, 1e-9 mm."""

SETTLED_MM = 1e-7
"""Gauss and Newton's last step. Each is a share of the one before: 3 in 100 on usual strings, a quarter on slack ones."""

MOST_STIFFNESS = 0.02
"""The model is good to order B²; beyond this B₀ the octave comparison misses the exact one by half a cent. Our own bound."""

MOST_SETBACK_SHARE = 0.05
"""A string that needs bridge and nut moved by more than this share of its length is not at pitch. Our own bound."""

_MOST_STEPS = 100


class Objective(StrEnum):
    """What the bridge is placed for."""

    OCTAVE = "octave"
    ALL_FRETS = "all frets"
    NUT_AND_SADDLE = "nut and saddle"


class NoSetbackError(GeometryError):
    """The model has no setback for these ``strings`` (indices): they do what no playable string does.

    Codes: string-too-stiff, string-too-slack, no-octave (no fret is there), octave-nowhere (no place makes the octave agree
    with its harmonic), best-nowhere (no place is best for all frets).
    """

    def __init__(self, code: str, strings: Sequence[int]) -> None:
        super().__init__(code, strings)
        self.strings = tuple(strings)


@dataclass(frozen=True)
class Setbacks:
    """Setback of the bridge ΔS and of the nut ΔN, one for each string, in mm."""

    setback_mm: FloatArray
    nut_setback_mm: FloatArray


def setbacks(
    strings: FrettedStrings, objective: Objective, frets: int, nut_setback_mm: FloatArray | None = None
) -> Setbacks:
    """Setbacks that meet the objective, for all strings at once.

    octave: e₁₂ = h by the secant method. All frets: least Σ eₙ² over frets 1…N, by Gauss and Newton's, in
    ΔS; nut and saddle: the same in ΔS and ΔN. Derivatives come from the model itself (complex step).

    Parameters: ``strings``; ``objective``; ``frets`` N, counted from each string's own nut, without those that it lacks;
    the octave does not use it; ``nut_setback_mm`` ΔN of the nut as it is, zero if None, where the search starts if the nut
    is free. Returns mm, shape (strings,). Raises `NoSetbackError`, naming the strings, when a stiffness
    is beyond `MOST_STIFFNESS`, a setback beyond `MOST_SETBACK_SHARE` of the string, or no setback is found. Limits: at the
    least one fret for each unknown; T₀, κ and B₀ are those of the uncompensated string, which moves a setback by about 0.02
    mm. Source: AB24.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> string = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([1.0]),
    ...     np.array([4.0]), 0 * wanted, np.zeros(1), np.zeros(1), np.array([46.0]), np.array([0.0]))
    >>> setbacks(string, Objective.OCTAVE, 12).setback_mm.round(2)
    array([0.58])
    """
    thin = strings.stiffness <= MOST_STIFFNESS
    if not thin.all():
        raise NoSetbackError("string-too-stiff", np.flatnonzero(~thin).tolist())
    nut = np.zeros(len(strings.length_mm)) if nut_setback_mm is None else nut_setback_mm
    if objective is Objective.OCTAVE:
        found = _octave(strings, nut)
    else:
        with np.errstate(all="ignore"):
            found = _least_squares(strings, frets, nut, with_nut=objective is Objective.NUT_AND_SADDLE)
    near = abs(found.setback_mm) + abs(found.nut_setback_mm) <= MOST_SETBACK_SHARE * strings.length_mm
    if not near.all():
        raise NoSetbackError("string-too-slack", np.flatnonzero(~near).tolist())
    return found


def _octave(strings: FrettedStrings, nut_setback_mm: FloatArray) -> Setbacks:
    """String by string in plain numbers: for a handful of strings that takes a quarter of numpy's time."""
    octave = range(len(strings.length_mm)), octave_columns(strings.wanted, strings.has_fret)
    wanted = strings.wanted[octave]
    without = [n for n, ratio in enumerate(wanted.tolist()) if not is_octave(ratio)]
    if without:
        raise NoSetbackError("no-octave", without)
    columns = (
        wanted,
        strings.length_mm,
        strings.to_bridge_mm[octave],
        strings.nut_height_mm + strings.fall_mm[octave],
        strings.rise_mm,
        strings.finger_mm,
        strings.press_mm,
        strings.stretch,
        strings.stiffness,
        nut_setback_mm,
    )
    places = []
    for n, string in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        try:
            places.append(_octave_place(*string))
        except (ArithmeticError, ValueError, TypeError):
            # A search that has left every playable place divides by zero or takes the root of a negative number.
            raise NoSetbackError("octave-nowhere", [n]) from None
    return Setbacks(np.array(places), nut_setback_mm)


def _octave_place(
    wanted: float,
    length: float,
    to_bridge: float,
    nut_height: float,
    rise: float,
    finger: float,
    press: float,
    stretch: float,
    stiffness: float,
    nut_setback: float,
) -> float:
    """ΔS at which e₁₂ = h, by the secant method. Symbols as in `squared_error`.

    The ratio r = (X₀ + ΔS)/(Xₙ + ΔS) carries nearly all of the pitch, so the error is nearly a straight line in ln r. Its
    slope is 2, and a little more for the stretch: the search starts with it.
    """
    harmonic = partial_factor(stiffness, 2) / partial_factor(stiffness, 1)
    aim = 2 * math.log(wanted * harmonic)
    log_ratio, error_before, step = math.log(length / to_bridge), 0.0, 0.0
    slope = 2 + stretch * ((nut_height + rise) / to_bridge) ** 2 / 2
    for _ in range(_MOST_STEPS):
        beyond = math.expm1(log_ratio)
        place = (length - to_bridge) / beyond - to_bridge
        square = squared_error(
            length, to_bridge, nut_height, rise, finger, press, stretch, stiffness, place, nut_setback
        )
        error = math.log(square) - aim
        if step:
            slope = (error - error_before) / step
        error_before, step = error, -error / slope
        log_ratio += step
        if abs(step) < CLOSE_ENOUGH:
            return (length - to_bridge) / math.expm1(log_ratio) - to_bridge
    raise ArithmeticError


def _least_squares(strings: FrettedStrings, frets: int, nut_setback_mm: FloatArray, with_nut: bool) -> Setbacks:
    """Gauss and Newton's method; if a string's steps swing to and fro, they are halved."""
    strings = strings.at_frets(1, frets)
    free = 2 if with_nut else 1
    nudges = 1j * NUDGE * np.eye(2)[:free, :, None]
    place = np.stack((np.zeros(len(strings.length_mm)), nut_setback_mm))
    damping, last = np.ones(place.shape[1]), np.zeros((free, place.shape[1]))
    for _ in range(_MOST_STEPS):
        nudged = place + nudges
        errors = np.where(strings.has_fret, error_cents(strings, nudged[:, 0], nudged[:, 1]), 0)
        step = _downhill(errors.imag / NUDGE, errors[0].real)
        swings = (step * last).sum(axis=0) < -(last * last).sum(axis=0) / 4
        damping = np.where(swings, damping / 2, damping)
        place[:free] -= damping * step
        settled, last = abs(step).max(axis=0) < SETTLED_MM, step
        if settled.all():
            return Setbacks(place[0], place[1])
    raise NoSetbackError("best-nowhere", np.flatnonzero(~settled).tolist())


def _downhill(slopes: FloatArray, errors: FloatArray) -> FloatArray:
    """The step that would bring linear errors to their least squares, in one unknown or two, string by string.

    ``slopes`` is (unknowns, strings, frets), ``errors`` (strings, frets); returns (unknowns, strings), not finite where the
    two unknowns cannot be separated.
    """
    square = np.einsum("isf,jsf->ijs", slopes, slopes)
    fall = np.einsum("isf,sf->is", slopes, errors)
    if len(slopes) == 1:
        return np.asarray(fall / square[0])
    apart = square[0, 0] * square[1, 1] - square[0, 1] ** 2
    first = (square[1, 1] * fall[0] - square[0, 1] * fall[1]) / apart
    second = (square[0, 0] * fall[1] - square[0, 1] * fall[0]) / apart
    return np.array([first, second])
