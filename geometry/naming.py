"""Which note a pluck sounds: the open string, or its octave, of one string or of several."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, FloatArray, IntArray
from geometry.partials import LAW_FIRST_CENTS, OF_RATE, USUAL_STIFFNESS, law
from geometry.plucks import Pluck, Unheard, heard_part
from geometry.spectrum import CENT, LEAST_OVER_NOISE_DB, Spectrum, spectrum_of

_LOWEST, _HIGHEST_HZ = 0.7, 6000.0
_PARTIALS, _LEAST_EXPLAINED, _FAR_CENTS = 16, 0.3, 1000.0
_BELOW_CENTS, _ABOVE_CENTS = 25.0, 35.0
_OCTAVE_WITHIN = 0.03
_CLOSE_CENTS, _FIRST_CLOSE_CENTS, _CLOSE_STEPS = 4.0, 20.0, 1.5
_UNSURE_DB, _OCTAVE_DB, _LACK_BOUNDS_DB, _BESIDE_OVER_NOISE_DB = -13.0, -18.4, (-30.0, 10.0), 20.0
_OTHER_NOTE_DB = -24.0
"""The octave has odd partials 18.4 dB and more under the even ones; from 13 dB on it may be the octave. Own simulations."""


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
    whole = spectrum.loudness(_LOWEST * float(candidates.min()), min(_HIGHEST_HZ, OF_RATE * rate_hz))
    named = [_named(spectrum, hz, rate_hz, _multiples(candidates, hz)) for hz in candidates.tolist()]
    share = np.array([one.explained for one in named]) / whole
    sounds = np.array([one.lack_db > _OCTAVE_DB and one.most_lack_db > _OTHER_NOTE_DB for one in named])
    off = np.array([abs(one.off_cents) for one in named])
    best = int(np.argmax(np.where(sounds, share - off / _FAR_CENTS, -1.0)))
    if not sounds[best] or share[best] < _LEAST_EXPLAINED:
        raise Unheard("wrong-string")
    if named[best].lack_db < _UNSURE_DB:
        raise Unheard("other-string")
    return best


def _multiples(candidates: FloatArray, hz: float) -> list[int]:
    """By which of 2 and 3 another candidate is over a frequency: only then can it be taken for the other."""
    return [of for of in (2, 3) if np.any(np.abs(candidates / hz - of) < _OCTAVE_WITHIN)]


@dataclass(frozen=True)
class _Named:
    """What a note of a certain pitch would explain of a sound.

    ``explained``, the sum of its partials; ``lack_db``, how far those that another candidate, a multiple of it, has not
    are above those that it has; ``most_lack_db``, the same against any note at twice or three times its frequency;
    ``off_cents``.
    """

    explained: float
    lack_db: float
    most_lack_db: float
    off_cents: float


def _named(spectrum: Spectrum, near_hz: float, rate_hz: float, multiples: Sequence[int]) -> _Named:
    first = spectrum.first_partial(near_hz)
    number = np.arange(1, _PARTIALS + 1)
    hz = first * number * (1 + USUAL_STIFFNESS * number**2)
    number = number[hz < OF_RATE * rate_hz]
    peaks = [spectrum.peak(at * (1 - _BELOW_CENTS * CENT), at * (1 + _ABOVE_CENTS * CENT)) for at in hz[: len(number)]]
    hz, over = (np.array(column) for column in zip(*peaks, strict=True))
    level = spectrum.level_db(hz)
    explained = float(np.sum(10 ** (level[over > LEAST_OVER_NOISE_DB] / 20)))
    lacks = {of: _lack(spectrum, number, hz, over, of) for of in (2, 3)}
    lack = min((lacks[of] for of in multiples), default=0.0)
    return _Named(explained, lack, min(lacks.values()), float(np.log(first / near_hz) / CENT))


def _lack(spectrum: Spectrum, number: IntArray, hz: FloatArray, over: FloatArray, of: int) -> float:
    """How far the partials that are no multiples of a number lie under the louder of the multiples beside them, mean dB.

    They are looked for closely about where the law through the multiples puts them, so that what else rings there does
    not count.
    """
    multiple = number % of == 0
    heard = multiple & (over > LEAST_OVER_NOISE_DB)
    if np.sum(heard) < 2:
        return 0.0
    first, stiffness = law(number[heard], hz[heard], 1 / np.hypot(1, LAW_FIRST_CENTS / number[heard]))
    at = number * first * (1 + stiffness * number**2)
    within = np.maximum(CENT * (_CLOSE_CENTS + _FIRST_CLOSE_CENTS / number) * at, _CLOSE_STEPS * spectrum.step_hz)
    level = np.where(multiple, spectrum.level_db(hz), spectrum.loudest_db(at - within, at + within))
    lacks = []
    for n in np.flatnonzero(~multiple).tolist():
        beside = [k - 1 for k in (n + 1 - (n + 1) % of, n + 1 - (n + 1) % of + of) if 1 <= k <= len(number)]
        loud = max(beside, key=lambda m: level[m], default=None)
        if loud is not None and over[loud] > _BESIDE_OVER_NOISE_DB:
            lacks.append(np.clip(level[n] - level[loud], *_LACK_BOUNDS_DB))
    return float(np.mean(lacks)) if lacks else 0.0
