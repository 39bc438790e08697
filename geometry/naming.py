"""Which note a pluck sounds: the open string, or its octave, of one string or of several."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, FloatArray
from geometry.plucks import Pluck, Unheard, heard_part
from geometry.spectrum import CENT, LEAST_OVER_NOISE_DB, Spectrum, spectrum_of

_HIGHEST_HZ = 6000.0
_PARTIALS, _LEAST_EXPLAINED, _FAR_CENTS = 12, 0.3, 1000.0
_USUAL_STIFFNESS, _BELOW_CENTS, _ABOVE_CENTS = 2e-5, 25.0, 35.0
_UNSURE_DB, _OCTAVE_DB, _LACK_BOUNDS_DB, _BESIDE_OVER_NOISE_DB = -15.0, -17.3, (-30.0, 10.0), 20.0
"""The octave has odd partials 17.3 dB and more under the even ones; from 15 dB on it may be the octave. Own simulations."""


def note_heard(sound: Array, rate_hz: float, pluck: Pluck, candidates_hz: FloatArray) -> int:
    """Which of some notes a pluck sounds.

    Each candidate is given the peaks near its multiples; the one that they explain best is taken. An octave has the
    multiples of 2 of its open string, so the odd ones decide between these two.

    Parameters: ``sound``, ``rate_hz`` and ``pluck`` as for `geometry.partials.partials_of`; ``candidates_hz``, shape
    (notes,). Returns the index of the note. Raises `Unheard`: wrong-string if it is none of them, other-string if
    nobody can say whether the open string or its octave sounds. Limits: a candidate within 70 cents; of two within a
    few cents of each other, the nearer. Source: own.

    >>> t = np.arange(40000) / 48000
    >>> note = sum(0.2 / k * np.exp(-3 * t) * np.sin(2 * np.pi * 440 * k * t + k) for k in range(1, 9))
    >>> note_heard(note, 48000, Pluck(0, 40000), np.array([220.0, 440.0, 660.0]))
    1
    """
    part = heard_part(sound, rate_hz, pluck)
    spectrum = spectrum_of(part, rate_hz)
    if not spectrum.is_loud():
        raise Unheard("too-quiet")
    candidates = np.asarray(candidates_hz, dtype=float)
    whole = spectrum.loudness(0.7 * float(candidates.min()), min(_HIGHEST_HZ, 0.45 * rate_hz))
    named = [_named(spectrum, hz, rate_hz) for hz in candidates.tolist()]
    share = np.array([one.explained for one in named]) / whole
    sounds = np.array([one.lack_db > _OCTAVE_DB for one in named])
    off = np.array([abs(one.off_cents) for one in named])
    best = int(np.argmax(np.where(sounds, share - off / _FAR_CENTS, -1.0)))
    if not sounds[best] or share[best] < _LEAST_EXPLAINED:
        raise Unheard("wrong-string")
    if named[best].lack_db < _UNSURE_DB:
        raise Unheard("other-string")
    return best


@dataclass(frozen=True)
class _Named:
    """What a note of a certain pitch would explain of a sound.

    ``explained``, the sum of its partials; ``lack_db``, how far those that are no multiples of 2, or of 3, are above
    those that are; ``off_cents``, how far off it is.
    """

    explained: float
    lack_db: float
    off_cents: float


def _named(spectrum: Spectrum, near_hz: float, rate_hz: float) -> _Named:
    first = spectrum.first_partial(near_hz)
    number = np.arange(1, _PARTIALS + 1)
    hz = first * number * (1 + _USUAL_STIFFNESS * number**2)
    peaks = [
        spectrum.peak(at * (1 - _BELOW_CENTS * CENT), at * (1 + _ABOVE_CENTS * CENT)) for at in hz[hz < 0.45 * rate_hz]
    ]
    level = np.array([20 * np.log10(spectrum.size[round(at / spectrum.step_hz)]) for at, _ in peaks])
    over = np.array([over for _, over in peaks])
    explained = float(np.sum(10 ** (level[over > LEAST_OVER_NOISE_DB] / 20)))
    lack = min(_lack(level, over, 2), _lack(level, over, 3))
    return _Named(explained, lack, float(np.log(first / near_hz) / CENT))


def _lack(level: FloatArray, over: FloatArray, of: int) -> float:
    """How far the partials that are no multiples of a number lie under the louder of the multiples beside them, mean dB."""
    lacks = []
    for k in range(1, len(level) + 1):
        beside = [n for n in (k - k % of, k - k % of + of) if 1 <= n <= len(level)]
        if k % of == 0 or not beside:
            continue
        loud = max(beside, key=lambda n: level[n - 1])
        if over[loud - 1] > _BESIDE_OVER_NOISE_DB:
            lacks.append(np.clip(level[k - 1] - level[loud - 1], *_LACK_BOUNDS_DB))
    return float(np.mean(lacks)) if lacks else 0.0
