"""Plucks in a sound: where each begins, and how long it can be heard.

The level of short frames is compared with what went before. A pluck is a sudden rise; it ends at the next one, or where
it has sunk into the noise. Nothing is known here of strings or notes.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, FloatArray
from geometry.errors import GeometryError

FRAME_S = 0.005
_LOOK_BACK_S, _LOOK_AHEAD_S = 0.05, 0.03
_RISE_DB = 9.0
"""How much louder a pluck makes the sound. A beat of two strings is slower, and other strings ring on at a steady level."""

_APART_S = 0.12
"""Two rises nearer than this are one pluck: a plectrum's click and the string, or a string that slips off a finger."""

_OVER_NOISE_DB = 9.0
_FADED_DB = 3.0
_QUIETEST_DB = -75.0
"""Below full scale: less is the noise of a sound card, not a pluck. Our own bound."""


SKIPPED_S = 0.06
"""After the onset: the click of the fingers, and the first rush of the glide."""

LEAST_S, MOST_S = 0.2, 1.2
_CLIPPED_SHARE, _AT_PEAK = 0.08, 0.995
_QUIET_DB = -66.0
"""A pluck below that is refused, and so is a pluck with over 8% of its samples at its peak. Own bounds."""


class Unheard(GeometryError):
    """A pluck that cannot be used.

    Codes: too-short, too-quiet, clipped, other-string, two-pitches, wrong-string, unsteady, too-few-pairs.
    """


@dataclass(frozen=True)
class Pluck:
    """A pluck: the sample where it begins, and the one after its last."""

    start: int
    end: int


def plucks_in(sound: Array, rate_hz: float) -> tuple[Pluck, ...]:
    """The plucks of a sound, in their order.

    A frame begins a pluck where the mean level of the next 30 ms is at least 9 dB over the loudest of the 50 ms before,
    and 9 dB over the noise, which is the level that a tenth of the frames stay below. The pluck ends at the next one,
    or where the level stays within 3 dB of the noise.

    Parameters: ``sound``, shape (samples,), full scale 1; ``rate_hz``, samples a second. Returns plucks in samples.
    Limits: plucks nearer than 0.12 s are one; strummed strings are one. Source: own.

    >>> t = np.arange(48000) / 48000
    >>> one = np.where(t > 0.25, np.exp(-4 * (t - 0.25)) * np.sin(2 * np.pi * 440 * t), 0.0)
    >>> [round(pluck.start / 48000, 2) for pluck in plucks_in(one, 48000)]
    [0.25]
    """
    size = max(1, round(FRAME_S * rate_hz))
    count = len(sound) // size
    if count < 2:
        return ()
    frames = np.asarray(sound[: count * size]).reshape(count, size)
    power = np.einsum("ij,ij->i", frames, frames, dtype=float) / size - frames.mean(axis=1, dtype=float) ** 2
    level = 10 * np.log10(np.maximum(power, 1e-12))
    noise = max(float(np.quantile(level, 0.1)), _QUIETEST_DB - _OVER_NOISE_DB)
    starts = _starts(level, noise)
    ends = (*starts[1:], count)[: len(starts)]
    return tuple(
        Pluck(start * size, _end(level, start, end, noise) * size) for start, end in zip(starts, ends, strict=True)
    )


def _starts(level: FloatArray, noise: float) -> list[int]:
    """Frames that begin a pluck."""
    back, ahead = round(_LOOK_BACK_S / FRAME_S), round(_LOOK_AHEAD_S / FRAME_S)
    quiet = np.full(back, noise)
    padded = np.concatenate((quiet, level, np.full(ahead, level[-1])))
    before = np.lib.stride_tricks.sliding_window_view(padded, back)[: len(level)].max(axis=1)
    after = np.lib.stride_tricks.sliding_window_view(padded[back:], ahead)[: len(level)].mean(axis=1)
    rise = after - np.maximum(before, noise)
    found: list[int] = []
    last = -_APART_S
    for frame in np.flatnonzero((rise >= _RISE_DB) & (level - before > _RISE_DB / 3)).tolist():
        if (frame - last) * FRAME_S >= _APART_S if found else True:
            found.append(frame)
            last = frame
    return found


def _end(level: FloatArray, start: int, end: int, noise: float) -> int:
    """The frame where a pluck has sunk into the noise, or ``end``."""
    loud = np.flatnonzero(level[start:end] > noise + _FADED_DB)
    return start + int(loud[-1]) + 1 if len(loud) else end


def heard_part(sound: Array, rate_hz: float, pluck: Pluck) -> FloatArray:
    """The part of a pluck that is listened to: from 60 ms after its onset, at most 1.2 s.

    Parameters: ``sound``, shape (samples,), full scale 1; ``rate_hz``; ``pluck``, of `plucks_in`. Returns shape
    (samples,), without its mean. Raises `Unheard`: too-short, too-quiet, clipped. Limits: a peak cut off in fewer than
    8% of the samples passes: cut at half its height it costs nothing, at a fifth 0.3 cents (own simulations). Source:
    own.

    >>> len(heard_part(np.sin(np.arange(48000.0)), 48000, Pluck(0, 24000)))
    21120
    """
    start = pluck.start + round(SKIPPED_S * rate_hz)
    part = np.asarray(sound[start : min(pluck.end, start + round(MOST_S * rate_hz))], dtype=float)
    if len(part) < LEAST_S * rate_hz:
        raise Unheard("too-short")
    part = part - part.mean()
    peak = float(np.max(np.abs(part)))
    if peak < 10 ** (_QUIET_DB / 20):
        raise Unheard("too-quiet")
    if np.mean(np.abs(part) > _AT_PEAK * peak) > _CLIPPED_SHARE:
        raise Unheard("clipped")
    return np.asarray(part)
