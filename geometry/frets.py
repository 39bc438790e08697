"""Where the frets lie, by rule or as measured, and which pitch each is meant to sound.

Fret 0 is the nut and is in no array here: column 0 is fret 1. A fret is placed by its distance to the theoretical bridge
line, because that is the length of string it leaves.
"""

import math

import numpy as np

from geometry.arrays import Array, BoolArray, FloatArray, IntArray
from geometry.errors import GeometryError

STEPS_PER_OCTAVE = 12
CENTS_PER_OCTAVE = 1200.0
CENTS_PER_STEP = CENTS_PER_OCTAVE / STEPS_PER_OCTAVE
OCTAVE_FRET = STEPS_PER_OCTAVE
"""The fret at the octave where the frets make equal steps, from each string's own nut."""

OCTAVE_WITHIN_CENTS = 0.5
"""A note this near 1200 cents over the open string is its octave. Our own choice."""

EIGHTEEN = 18
"""The old rule's divisor; 17.817153745… would give equal steps."""


class FretError(GeometryError):
    """Frets that no string could be played on; ``fret`` is the number of the first at fault, from 1.

    Codes: frets-not-rising, fret-behind-bridge.
    """

    def __init__(self, code: str, fret: int) -> None:
        super().__init__(code, fret)
        self.fret = fret


def wanted_ratios(frets: int) -> FloatArray:
    """Pitch of each fret over the open string in twelve equal steps, γₙ = 2^(n/12).

    Parameters: ``frets``, how many. Returns shape ``(frets,)``, without unit. Source: twelve equal steps to the octave,
    common practice.

    >>> wanted_ratios(12)[[6, 11]].round(6)
    array([1.498307, 2.      ])
    """
    return ratios_from_cents(np.asarray(CENTS_PER_STEP * np.arange(1, frets + 1)))


def octave_columns(wanted: FloatArray, has_fret: BoolArray) -> IntArray:
    """The column of each string's octave: the fret that is meant to sound nearest to twice the open pitch.

    Parameters: ``wanted`` γₙ and ``has_fret``, shape (strings, frets). Returns shape (strings,), from 0. Limits: it says not
    how near; see `has_octave`.

    >>> octave_columns(np.array([[1.5, 2.0, 3.0]]), np.full((1, 3), True))
    array([1])
    """
    return np.asarray(np.argmin(np.where(has_fret, abs(wanted - 2), np.inf), axis=-1))


def has_octave(wanted: FloatArray, has_fret: BoolArray) -> BoolArray:
    """Whether each string has a fret at its octave, within `OCTAVE_WITHIN_CENTS`.

    Parameters as for `octave_columns`. Returns shape (strings,).

    >>> has_octave(np.array([[1.5, 2.0], [1.5, 1.9]]), np.full((2, 2), True))
    array([ True, False])
    """
    nearest = np.take_along_axis(wanted, octave_columns(wanted, has_fret)[:, None], axis=1)[:, 0]
    return np.array([is_octave(ratio) for ratio in nearest.tolist()])


def is_octave(ratio: float) -> bool:
    """Whether a pitch over the open string's is its octave, within `OCTAVE_WITHIN_CENTS`.

    Parameters: ``ratio`` γ, above 0.

    >>> is_octave(2.0), is_octave(2 ** (1199.6 / 1200)), is_octave(2 ** (1199.4 / 1200))
    (True, True, False)
    """
    return abs(math.log2(ratio) - 1) <= OCTAVE_WITHIN_CENTS / CENTS_PER_OCTAVE


def ratios_from_cents(cents: Array) -> FloatArray:
    """Pitch over the open string for cents above it, γ = 2^(cents/1200).

    Parameters: ``cents``, any shape. Returns the same shape, without unit.

    >>> ratios_from_cents(np.array([1200.0]))
    array([2.])
    """
    return np.asarray(2.0 ** (np.asarray(cents) / CENTS_PER_OCTAVE))


def equal_steps_mm(scale_mm: float, frets: int) -> FloatArray:
    """Frets of twelve equal steps, Xₙ = X₀/γₙ.

    Parameters: ``scale_mm``, nut to theoretical bridge line; ``frets``, how many.
    Returns millimetres to the bridge line, shape ``(frets,)``. Source: as for `wanted_ratios`.

    >>> equal_steps_mm(666.75, 12)[[0, 11]].round(3)
    array([629.328, 333.375])
    """
    return scale_mm / wanted_ratios(frets)


def rule_of_eighteen_mm(scale_mm: float, frets: int) -> FloatArray:
    """Frets by the rule of eighteen, Xₙ = X₀ (17/18)ⁿ: steps of 98.955 cents.

    Parameters and result as for `equal_steps_mm`. Its twelfth fret falls short of the octave. Source: each fret lies at an
    eighteenth of what is left, the common practice of earlier makers (18/17 is 98.955 cents).

    >>> rule_of_eighteen_mm(666.75, 12)[[0, 11]].round(3)
    array([629.708, 335.799])
    """
    steps = np.arange(1, frets + 1)
    return np.asarray(scale_mm * ((EIGHTEEN - 1) / EIGHTEEN) ** steps)


def from_cents_mm(scale_mm: float, cents: FloatArray) -> FloatArray:
    """Frets for any list of cents over the open string, Xₙ = X₀ 2^(−cents/1200).

    Parameters: ``scale_mm``; ``cents``, one for each fret, rising, shape ``(frets,)``.
    Returns millimetres to the bridge line. Raises `FretError` when the list does not rise from above 0.

    >>> from_cents_mm(600.0, np.array([702.0, 1200.0])).round(3)
    array([399.99, 300.  ])
    """
    _refuse("frets-not-rising", np.diff(cents, prepend=0.0) <= 0)
    return scale_mm / ratios_from_cents(cents)


def from_measured_mm(scale_mm: float, from_nut_mm: FloatArray) -> FloatArray:
    """Frets as measured from the nut, Xₙ = X₀ − distance.

    Parameters: ``scale_mm``; ``from_nut_mm``, shape ``(frets,)``, rising. Returns millimetres to the
    bridge line. Raises `FretError` when they do not rise, or when one lies behind the bridge.

    >>> from_measured_mm(600.0, np.array([33.7, 300.0]))
    array([566.3, 300. ])
    """
    _refuse("frets-not-rising", np.diff(from_nut_mm, prepend=0.0) <= 0)
    _refuse("fret-behind-bridge", np.asarray(from_nut_mm) >= scale_mm)
    return np.asarray(scale_mm - np.asarray(from_nut_mm))


def _refuse(code: str, at_fault: BoolArray) -> None:
    """Raise `FretError` for the first fret at fault, if there is one."""
    if np.any(at_fault):
        raise FretError(code, int(np.argmax(at_fault)) + 1)
