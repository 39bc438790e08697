"""The partials of a plucked string, from its sound: frequency, standard error, level and decay of each.

A partial is followed through short frames: the phase of each frame at the partial's frequency, against time, is a line
whose slope is what the frequency is off. A string that swings widely is stretched, so all partials begin sharp and
glide down together; the glide is fitted along with them, and the frequencies are those of a small swing.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, FloatArray, IntArray
from geometry.plucks import Pluck, Unheard, heard_part
from geometry.spectrum import CENT, LEAST_OVER_NOISE_DB, Spectrum, spectrum_of
from geometry.tracks import TWO_PI, check_steady, decay_of, fitted, tracks_of

_MOST_PARTIALS, HIGHEST_HZ, OF_RATE = 60, 10000.0, 0.45
_WITHIN_CENTS, _FIRST_WITHIN_CENTS, _AT_EDGE = 12.0, 45.0, 0.98
USUAL_STIFFNESS, _STIFFNESS_SPREAD, _MOST_STIFFNESS = 2e-5, 1e-4, 2e-3
_LAW_ROUNDS, LAW_FIRST_CENTS, _PULL = 6, 8.0, 1.5
_STRAY_DB = -26.0
_MOST_ERROR_CENTS, _FLOOR_CENTS = 6.0, 0.02
"""Bounds of our own, from simulations."""


@dataclass(frozen=True)
class Partials:
    """The partials of a note that could be followed.

    ``number`` 1, 2, 3 … of the note; ``hz`` at a small swing; ``standard_error_cents`` of each by itself,
    ``glide_error_cents`` what the glide leaves in all of them alike; ``level_db`` at the beginning, below full scale;
    ``decay_per_s`` of the amplitude; ``glide_cents``, how sharp the note begins.
    """

    number: IntArray
    hz: FloatArray
    standard_error_cents: FloatArray
    level_db: FloatArray
    decay_per_s: FloatArray
    glide_cents: float
    glide_error_cents: float


def partials_of(sound: Array, rate_hz: float, pluck: Pluck, near_hz: float) -> Partials:
    """The partials of a pluck.

    Per partial, φ_j = φ + 2π (f − f₀) t_j + 2π f g G(t_j), weighted by the noise of each frame; G is the integral of
    e^(−2αt), since the stretch goes as the square of a swing that decays with α; g is one for all partials.

    Parameters: ``sound``, shape (samples,), full scale 1; ``rate_hz``; ``pluck``, of `plucks_in`; ``near_hz``, what its
    first partial should be. Returns `Partials`. Raises `Unheard` with the reason. Limits: a note within 70 cents of
    ``near_hz``. Source: own; the phase as a line is S. Kay, "A fast and accurate single frequency estimator", IEEE
    Trans. ASSP 37 (1989), from memory.

    >>> t = np.arange(40000) / 48000
    >>> note = sum(0.2 / k * np.exp(-3 * t) * np.sin(2 * np.pi * 220.1 * k * t + k) for k in range(1, 9))
    >>> partials_of(note, 48000, Pluck(0, 40000), 220.0).hz[:3].round(2)
    array([220.1, 440.2, 660.3])
    """
    part = heard_part(sound, rate_hz, pluck)
    spectrum = spectrum_of(part, rate_hz)
    numbers, hz = _series(spectrum, near_hz, rate_hz)
    if len(numbers) < 2:
        raise Unheard("wrong-string" if spectrum.is_loud() else "too-quiet")
    tracks = tracks_of(part, rate_hz, numbers, hz, float(hz[0] / numbers[0]))
    if len(tracks) < 2:
        raise Unheard("too-quiet")
    levels = np.array([decay_of(track) for track in tracks])
    glide, fits = fitted(tracks, levels)
    check_steady(tracks, fits, levels)
    if spectrum.stray_db(numbers, hz) > _STRAY_DB:
        raise Unheard("other-string")
    slope, error = fits[:, 0], fits[:, 1]
    f = np.array([track.hz for track in tracks]) + slope / TWO_PI
    cents = np.hypot(error / TWO_PI / f / CENT, _FLOOR_CENTS)
    use = cents < _MOST_ERROR_CENTS
    if np.sum(use) < 2:
        raise Unheard("unsteady")
    return Partials(
        np.array([track.number for track in tracks])[use], f[use], cents[use], levels[use, 0], levels[use, 1], *glide
    )


def _series(spectrum: Spectrum, near_hz: float, rate_hz: float) -> tuple[IntArray, FloatArray]:
    """Numbers and frequencies of the partials of a note, each looked for where those before it say."""
    first, stiffness = spectrum.first_partial(near_hz), USUAL_STIFFNESS
    numbers: list[int] = []
    found: list[float] = []
    highest = min(HIGHEST_HZ, OF_RATE * rate_hz)
    for k in range(1, _MOST_PARTIALS + 1):
        at = k * first * (1 + stiffness * k * k)
        if at > highest:
            break
        within = CENT * (_WITHIN_CENTS + _FIRST_WITHIN_CENTS / k) * at
        hz, over = spectrum.peak(at - within, at + within)
        if over < LEAST_OVER_NOISE_DB or abs(hz - at) > _AT_EDGE * within:
            continue
        numbers.append(k)
        found.append(hz)
        if k >= 3 and len(found) >= 3:
            so_far = np.array(numbers)
            first, stiffness = law(so_far, np.array(found), 1 / np.hypot(1, LAW_FIRST_CENTS / so_far))
    return np.array(numbers, dtype=int), np.array(found)


def law(number: IntArray, hz: FloatArray, weight: FloatArray) -> tuple[float, float]:
    """f and b of a stiff string, f_k = k f (1 + b k²), by Huber's least squares in the logarithm.

    Parameters: ``number`` k, ``hz`` and ``weight``, shape (partials,), two or more. Returns f in Hz and b. Limits: b of
    0 to 0.002; few partials leave it near what is usual. Source: as `geometry.hearing.octave_difference`.

    >>> k = np.arange(1, 11)
    >>> f, b = law(k, k * 220 * (1 + 1e-4 * k**2), np.ones(10))
    >>> round(f, 2), round(b, 4)
    (220.0, 0.0001)
    """
    y, k2 = np.log(hz / number), number.astype(float) ** 2
    rows = np.stack((np.ones(len(y)), k2), axis=1)
    pull = weight.copy()
    for _ in range(_LAW_ROUNDS):
        w = (pull / CENT) ** 2
        normal = rows.T @ (rows * w[:, None]) + np.diag([0.0, _STIFFNESS_SPREAD**-2])
        right = rows.T @ (w * y) + np.array([0.0, USUAL_STIFFNESS * _STIFFNESS_SPREAD**-2])
        level, b = np.linalg.solve(normal, right)
        off = np.abs(y - level - b * k2) * weight / CENT
        spread = max(1.0, float(np.median(off)) * _PULL)
        pull = weight * np.sqrt(np.minimum(1.0, _PULL * spread / np.maximum(off, 1e-9)))
    return float(np.exp(level)), float(np.clip(b, 0.0, _MOST_STIFFNESS))


def stiffness_of(note: Partials) -> float:
    """b of the law f_k = k f (1 + b k²) through the partials of a note, by Huber's least squares.

    >>> k = np.arange(1, 11)
    >>> note = Partials(k, k * 220 * (1 + 1e-4 * k**2), 0.05 + 0.0 * k, 0.0 * k, 0.0 * k, 0.0, 0.0)
    >>> round(stiffness_of(note), 6)
    9.9e-05
    """
    return law(note.number, note.hz, 1 / np.hypot(note.standard_error_cents, LAW_FIRST_CENTS / note.number))[1]
