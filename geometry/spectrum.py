"""The spectrum of a pluck: its peaks, where a note is most likely, and what rings that is not the note."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray, IntArray
from geometry.frets import CENTS_PER_OCTAVE

CENT = float(np.log(2)) / CENTS_PER_OCTAVE
"""A cent as a share of a frequency, for small ones."""

SEARCH_CENTS = 70.0
"""How far a note may be off what it should be."""

LEAST_OVER_NOISE_DB = 14.0
_FLOOR_HZ, _FLOOR_QUANTILE = 60.0, 0.3
_GUESSED_PARTIALS, _GUESS_STEP_CENTS, _MOST_COUNTED_DB = 8, 2.0, 60.0
_STRAY_OVER_NOISE_DB, _FAINT_DB = 18.0, -40.0
_STRAY_PARTIALS, _HALFWAY = 8, 0.55
"""What rings halfway between two partials, as a fifth or an open string under its octave does, is near both."""

_NEAR_HZ, _NEAR_SHARE, _LOWEST_STRAY_HZ = 14.0, 0.05, 70.0
_SMALLEST = 1e-12
"""Bounds of our own, from simulations."""


@dataclass(frozen=True)
class Spectrum:
    """Magnitudes of a windowed sound, and the level of what lies between the peaks."""

    step_hz: float
    size: FloatArray
    floor: FloatArray

    def peak(self, low_hz: float, high_hz: float) -> tuple[float, float]:
        """The highest peak between two frequencies, and its height over the floor in dB."""
        low, high = max(1, int(low_hz / self.step_hz)), min(len(self.size) - 2, int(high_hz / self.step_hz) + 1)
        if high <= low:
            return low_hz, float(-np.inf)
        n = low + int(np.argmax(self.size[low : high + 1]))
        over = 20 * np.log10(self.size[n] / self.floor[n])
        left, middle, right = np.log(self.size[n - 1 : n + 2])
        curve = left - 2 * middle + right
        shift = 0.5 * (left - right) / curve if curve < 0 else 0.0
        return float((n + np.clip(shift, -0.5, 0.5)) * self.step_hz), float(over)

    def level_db(self, hz: FloatArray) -> FloatArray:
        """Levels at frequencies."""
        return np.asarray(20 * np.log10(self.size[np.round(hz / self.step_hz).astype(int)]))

    def loudest_db(self, low_hz: FloatArray, high_hz: FloatArray) -> FloatArray:
        """The highest level between each of some pairs of frequencies."""
        low = np.clip((low_hz / self.step_hz).astype(int), 0, len(self.size) - 1)
        high = np.clip((high_hz / self.step_hz).astype(int) + 2, 1, len(self.size))
        sizes = [self.size[a:b].max() for a, b in zip(low.tolist(), np.maximum(high, low + 1).tolist(), strict=True)]
        return np.asarray(20 * np.log10(sizes))

    def is_loud(self) -> bool:
        """Whether anything stands far out of the noise."""
        return float(np.max(20 * np.log10(self.size / self.floor))) > 2 * LEAST_OVER_NOISE_DB

    def _peaks(self, over_db: float) -> IntArray:
        """Places of the peaks that stand so far out of the noise."""
        size = self.size
        inner = (size[1:-1] > size[:-2]) & (size[1:-1] >= size[2:])
        return np.flatnonzero(inner & (size[1:-1] > 10 ** (over_db / 20) * self.floor[1:-1])) + 1

    def loudness(self, low_hz: float, high_hz: float) -> float:
        """The sum of the peaks between two frequencies that stand out of the noise."""
        peaks = self._peaks(LEAST_OVER_NOISE_DB)
        within = (peaks * self.step_hz > low_hz) & (peaks * self.step_hz < high_hz)
        return float(np.sum(self.size[peaks[within]])) + _SMALLEST

    def first_partial(self, near_hz: float) -> float:
        """The frequency within 70 cents of another whose multiples are loudest."""
        cents = np.arange(-SEARCH_CENTS, SEARCH_CENTS + 1, _GUESS_STEP_CENTS)
        hz = near_hz * np.exp(CENT * cents)[:, None] * np.arange(1, _GUESSED_PARTIALS + 1)
        place = np.minimum(np.round(hz / self.step_hz).astype(int), len(self.size) - 1)
        over = np.clip(20 * np.log10(self.size[place] / self.floor[place]), 0, _MOST_COUNTED_DB)
        return float(near_hz * np.exp(CENT * cents[int(np.argmax(over.sum(axis=1)))]))

    def stray_db(self, numbers: IntArray, hz: FloatArray) -> float:
        """How loud what rings between a note's first partials is: the loudest peak near each against it, the mean in dB.

        What is fainter than −40 dB counts as that, so that a quiet room does not bring more to light.
        """
        spacing = float(hz[0] / numbers[0])
        peaks = self._peaks(_STRAY_OVER_NOISE_DB)
        frequency = peaks * self.step_hz
        away = np.min(np.abs(frequency[:, None] - hz), axis=1, initial=np.inf) > max(_NEAR_HZ, _NEAR_SHARE * spacing)
        peaks = peaks[away & (frequency > _LOWEST_STRAY_HZ)]
        own = self.size[np.round(hz / self.step_hz).astype(int)]
        found = []
        for at, level in zip(hz[:_STRAY_PARTIALS], own, strict=False):
            near = self.size[peaks[np.abs(peaks * self.step_hz - at) < _HALFWAY * spacing]]
            found.append(max(_FAINT_DB, 20 * np.log10(near.max() / level)) if len(near) else _FAINT_DB)
        return float(np.mean(found))


def spectrum_of(part: FloatArray, rate_hz: float) -> Spectrum:
    """The spectrum of a sound with a Hann window; its floor is a low quantile of every 60 Hz.

    Parameters: ``part``, shape (samples,); ``rate_hz``. Returns a `Spectrum`. Limits: at least a tenth of a second.

    >>> spectrum = spectrum_of(np.sin(2 * np.pi * 440.3 * np.arange(24000) / 48000), 48000)
    >>> round(spectrum.peak(400, 500)[0], 1)
    440.3
    """
    size = 1 << (2 * len(part) - 1).bit_length()
    magnitude = np.abs(np.fft.rfft(part * np.hanning(len(part)), size)) + _SMALLEST
    step = rate_hz / size
    block = max(8, round(_FLOOR_HZ / step))
    count = len(magnitude) // block
    low = np.quantile(magnitude[: count * block].reshape(count, block), _FLOOR_QUANTILE, axis=1)
    floor = np.interp(np.arange(len(magnitude)), (np.arange(count) + 0.5) * block, low)
    return Spectrum(step, magnitude, floor)
