"""Two heard notes compared: a pressed note against the octave harmonic of its string, partial by partial.

Partial 2k of the open string is partial k of the octave harmonic, and sounds near partial k of the note pressed at the
octave. The stiffness of the string stretches both alike, so that it cancels except for the tension that pressing adds. A
bridge that yields moves the two by like hertz: the pressed note by twice the cents, a share that falls with the
partial's number.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray, IntArray
from geometry.partials import Partials, stiffness_of
from geometry.plucks import Unheard
from geometry.spectrum import CENT

_PAIR_CENTS, _FIRST_CENTS = 0.6, 1.0
"""Standard deviation of a pair of partials beside its own error, and more of it by 1/k, from own simulations."""

_BY_PHASE = 5.0
"""How many times larger the error of a partial is than its wandering phase says: own simulations."""

_T_NEAR, _T_FAR = 1.4, 4.1
"""Student's 97.5% quantile over the normal one is 1 + 1.4/ν + 4.1/ν³ within 3% from one degree of freedom ν up."""

_PULL = 1.0
"""Pairs that are off by more than their error pull no harder."""

_TENSION_SHARE = 0.15
"""Standard deviation of what pressing adds to a string's tension, as a share of it: core, slip and finger that no file has
(own simulations of plausible instruments)."""

_LAW_CENTS, FRET_SHARED_CENTS, _LEAST_FOR_LAW = 4.0, 1.0, 3
"""What the bridge does to a first partial by itself, in cents, and what of it repeats have in common: own simulations."""

_ROUNDS = 30
LEAST_PAIRS = 3
MOST_ERROR_CENTS = 1.2
"""A difference that is less sure is of no use beside a finger's 0.7 cents. Our own bound."""

AGREE = 3
_AGREE_CENTS = 2.0


@dataclass(frozen=True)
class Difference:
    """A note less its reference in cents.

    ``standard_error_cents`` is all of its error, ``shared_error_cents`` the part of it that repeats have in common.
    ``number`` of the note's partials that were compared; ``pair_cents`` and ``pair_error_cents`` of each.
    """

    cents: float
    standard_error_cents: float
    shared_error_cents: float
    number: IntArray
    pair_cents: FloatArray
    pair_error_cents: FloatArray

    @property
    def pairs(self) -> int:
        """How many partials were compared."""
        return len(self.number)

    @property
    def own_error_cents(self) -> float:
        """The part of its error that repeats average away."""
        return float(np.sqrt(self.standard_error_cents**2 - self.shared_error_cents**2))


def octave_difference(
    pressed: Partials, reference: Partials, reference_partial: int, tension_ratio: float = 1.0
) -> Difference:
    """The note pressed at the octave less the octave harmonic.

    d_k = 1200 log₂(f_k/F_mk) − (1200/ln 2) b (k² − 1)(1 − τ), m being ``reference_partial``, b the pressed note's own
    stiffness and τ its tension ratio; the mean of the d_k is Huber's, weighted by the error of each. What τ may be off
    moves the mean of all repeats alike.

    Parameters: ``pressed`` and ``reference``, of `partials_of`; ``reference_partial``, 2 if that is the open string and
    1 if it is the octave harmonic; ``tension_ratio`` τ = (T_n/T_0)(2L_n/L_0)², 1 if it is not known. Returns a
    `Difference`. Raises `Unheard`: too-few-pairs, or unsteady if it is less sure than 1.2 cents. Limits: notes of one
    string. Source: own; the stiff string is N. H. Fletcher and T. D. Rossing, The Physics of Musical Instruments
    (1998).

    >>> k = np.arange(1, 13)
    >>> note = lambda hz: Partials(k, k * hz, 0.05 + 0.0 * k, 0.0 * k, 0.0 * k, 0.0, 0.0)
    >>> found = octave_difference(note(440.5), note(220.0), 2)
    >>> round(found.cents, 3), found.pairs
    (1.966, 6)
    """
    _, of_note, of_reference = np.intersect1d(pressed.number * reference_partial, reference.number, return_indices=True)
    number = pressed.number[of_note]
    if len(number) < LEAST_PAIRS:
        raise Unheard("too-few-pairs")
    k = number.astype(float)
    cents = np.log(pressed.hz[of_note] / reference.hz[of_reference]) / CENT
    bent = stiffness_of(pressed) * (k**2 - 1) * (1 - tension_ratio) / CENT
    cents = cents - bent
    stated = np.hypot(pressed.standard_error_cents[of_note], reference.standard_error_cents[of_reference])
    error = _pair_error(stated, k, _FIRST_CENTS)
    mean, scatter, own = _huber_mean(cents, stated, error)
    weight = np.minimum(1.0, _PULL / np.maximum(np.abs(cents - mean) / error, 1e-9)) / error**2
    shared = float(np.hypot(scatter, _TENSION_SHARE * np.sum(weight * bent) / np.sum(weight)))
    whole = float(np.sqrt(shared**2 + own**2 + pressed.glide_error_cents**2 + reference.glide_error_cents**2))
    if whole > MOST_ERROR_CENTS:
        raise Unheard("unsteady")
    return Difference(mean, whole, shared, number, cents, error)


def _pair_error(stated: FloatArray, number: FloatArray, first_cents: float) -> FloatArray:
    """Standard deviation of partials about what they have in common, by the error of each and by its number."""
    return np.sqrt((_BY_PHASE * stated) ** 2 + _PAIR_CENTS**2 + (first_cents / number) ** 2)


def _huber_mean(values: FloatArray, stated: FloatArray, error: FloatArray) -> tuple[float, float, float]:
    """Huber's mean; its standard error by the scatter of the values; and what errors ``stated`` of each make of it.

    The scatter counts as Student's t with the freedom that the weights leave: few values that agree may do so by chance.
    """
    mean, weight = float(np.median(values)), 1 / error**2
    for _ in range(_ROUNDS):
        far = np.abs(values - mean) / error
        weight = np.minimum(1.0, _PULL / np.maximum(far, 1e-9)) / error**2
        mean = float(np.sum(weight * values) / np.sum(weight))
    weight = weight / np.sum(weight)
    freedom = max(1 / np.sum(weight**2) - 1, 0.2)
    scatter = float(np.sqrt(np.sum(weight * (values - mean) ** 2) / freedom)) * (
        1 + _T_NEAR / freedom + _T_FAR / freedom**3
    )
    return mean, scatter, float(np.sqrt(np.sum((weight * stated) ** 2)))


def fret_difference(pressed: Partials, open_string: Partials, ratio: float) -> Difference:
    """A note pressed at some fret less what it should be, by the stiff string's law for each.

    No partial of the one lies near one of the other, so that what the bridge does to them does not cancel: the first
    partials are compared as the law f_k = k f (1 + b k²) through all partials has them.

    Parameters: ``pressed`` and ``open_string``, of `partials_of`; ``ratio`` of the wanted frequency to the open string's.
    Returns a `Difference`, ``number`` and the rest of it being those of the pressed note off its law. Raises `Unheard`:
    too-few-pairs. Limits: its error is one to two cents. Source: as `octave_difference`.

    >>> k = np.arange(1, 13)
    >>> note = lambda hz: Partials(k, k * hz, 0.05 + 0.0 * k, 0.0 * k, 0.0 * k, 0.0, 0.0)
    >>> round(fret_difference(note(330.5), note(220.0), 1.5).cents, 2)
    2.62
    """
    if min(len(pressed.number), len(open_string.number)) < _LEAST_FOR_LAW:
        raise Unheard("too-few-pairs")
    levels, errors, left = [], [], []
    for note in (pressed, open_string):
        k = note.number.astype(float)
        b = stiffness_of(note)
        level = np.log(note.hz / k / (1 + b * k**2) * (1 + b)) / CENT
        error = _pair_error(note.standard_error_cents, k, _LAW_CENTS)
        mean, scatter, own = _huber_mean(level, note.standard_error_cents, error)
        levels.append(mean)
        errors.append(float(np.sqrt(scatter**2 + own**2 + note.glide_error_cents**2)))
        left.append((level, error))
    cents = float(levels[0] - levels[1] - np.log(ratio) / CENT)
    whole = float(np.sqrt(errors[0] ** 2 + errors[1] ** 2 + FRET_SHARED_CENTS**2))
    level, error = left[0]
    return Difference(cents, whole, FRET_SHARED_CENTS, pressed.number, level - levels[0] + cents, error)


def three_agree(cents: FloatArray, standard_error_cents: FloatArray) -> bool:
    """Whether the last three differences agree: they lie as near together as a finger and their errors put them.

    Their range is at most 2 cents and twice the largest of their errors together. Source: own.

    >>> three_agree(np.array([5.0, 1.0, 1.5, 0.5]), np.full(4, 0.3))
    True
    >>> three_agree(np.array([1.0, 9.0, 1.0]), np.full(3, 0.3))
    False
    """
    if len(cents) < AGREE:
        return False
    last = np.asarray(cents)[-AGREE:]
    within = _AGREE_CENTS + 2 * float(np.max(np.asarray(standard_error_cents)[-AGREE:]))
    return bool(np.ptp(last) <= within)
