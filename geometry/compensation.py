"""How far behind the theoretical line each string wants its bridge, and its nut if that may be cut.

Three aims: the octave alone, as it is listened for at the bench; all frets as well as one bridge
can; all frets with the nut's cut end free as well (AB24, see fretting.py).
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from geometry.arrays import FloatArray
from geometry.frets import OCTAVE_FRET
from geometry.fretting import (
    NUDGE,
    FrettedStrings,
    error_cents,
    partial_factor,
    squared_error,
)

CLOSE_ENOUGH = 1e-9
"""A secant step this small, as a share of the string, leaves less than a millionth of itself to go."""

SETTLED_MM = 1e-7
"""Each of Gauss and Newton's steps is under a thousandth of the one before, so this leaves 1e-10 mm to go."""

_MOST_STEPS = 40


class Objective(StrEnum):
    """What the bridge is placed for."""

    OCTAVE = "octave"
    ALL_FRETS = "all frets"
    NUT_AND_SADDLE = "nut and saddle"


class NoSetbackError(ArithmeticError):
    """The model has no setback to offer: the input lies outside what any string does."""


@dataclass(frozen=True)
class Setbacks:
    """Setback of the bridge ΔS and of the nut ΔN, one for each string, in mm."""

    setback_mm: FloatArray
    nut_setback_mm: FloatArray


def setbacks(strings: FrettedStrings, objective: Objective, frets: int) -> Setbacks:
    """Setbacks that meet the objective, for all strings at once.

    octave: e₁₂ = h by the secant method. All frets: least Σ eₙ² over frets 1…N, by Gauss and Newton's, in
    ΔS; nut and saddle: the same in ΔS and ΔN. Derivatives come from the model itself (complex step).

    Parameters: ``strings``; ``objective``; ``frets`` N, counted from each string's own nut, those that it
    lacks left out; the octave takes no notice of it. Returns mm, shape (strings,).
    Raises `NoSetbackError` when it does not settle, which no playable string has been seen to do.
    """
    if objective is Objective.OCTAVE:
        return _octave(strings)
    return _least_squares(strings, frets, with_nut=objective is Objective.NUT_AND_SADDLE)


def _octave(strings: FrettedStrings) -> Setbacks:
    """String by string in plain numbers: for a handful of strings that takes a quarter of numpy's time."""
    octave = OCTAVE_FRET - 1
    columns = (
        strings.wanted[:, octave],
        strings.length_mm,
        strings.to_bridge_mm[:, octave],
        strings.nut_height_mm + strings.fall_mm[:, octave],
        strings.rise_mm,
        strings.finger_mm,
        strings.stretch,
        strings.stiffness,
    )
    places = [_octave_place(*string) for string in zip(*(c.tolist() for c in columns), strict=True)]
    return Setbacks(np.array(places), np.zeros(len(places)))


def _octave_place(
    wanted: float,
    length: float,
    to_bridge: float,
    nut_height: float,
    rise: float,
    finger: float,
    stretch: float,
    stiffness: float,
) -> float:
    """ΔS at which e₁₂ = h, by the secant method. The symbols of `squared_error`.

    The ratio r = (X₀ + ΔS)/(Xₙ + ΔS) carries nearly all of the pitch, so that the error is all but a
    straight line of slope 2 in ln r. The search goes along ln r and starts on that slope.
    """
    harmonic = partial_factor(stiffness, 2) / partial_factor(stiffness, 1)
    aim = 2 * math.log(wanted * harmonic)
    log_ratio, slope, error_before, step = math.log(length / to_bridge), 2.0, 0.0, 0.0
    for _ in range(_MOST_STEPS):
        beyond = math.expm1(log_ratio)
        place = (length - to_bridge) / beyond - to_bridge
        square = squared_error(length, to_bridge, nut_height, rise, finger, stretch, stiffness, place, 0.0)
        error = math.log(square) - aim
        if step:
            slope = (error - error_before) / step
        error_before, step = error, -error / slope
        log_ratio += step
        if abs(step) < CLOSE_ENOUGH:
            return (length - to_bridge) / math.expm1(log_ratio) - to_bridge
    raise NoSetbackError("no bridge place makes the octave agree with its harmonic")


def _least_squares(strings: FrettedStrings, frets: int, with_nut: bool) -> Setbacks:
    strings = strings.at_frets(1, frets)
    counted = strings.has_fret
    free = 2 if with_nut else 1
    nudges = 1j * NUDGE * np.eye(2)[:free, :, None]
    place = np.zeros((2, len(strings.length_mm)))
    for _ in range(_MOST_STEPS):
        nudged = place + nudges
        errors = np.where(counted, error_cents(strings, nudged[:, 0], nudged[:, 1]), 0)
        slopes = errors.imag / NUDGE
        normal = np.einsum("isf,jsf->sij", slopes, slopes)
        step = np.linalg.solve(normal, np.einsum("isf,sf->si", slopes, errors[0].real)[..., None])[..., 0].T
        place[:free] -= step
        if abs(step).max() < SETTLED_MM:
            return Setbacks(place[0], place[1])
    raise NoSetbackError("no bridge place is best for all frets")
