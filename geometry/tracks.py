"""Partials through time: amplitude and phase of each in short frames, and the glide common to all."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, FloatArray, IntArray
from geometry.plucks import Unheard
from geometry.spectrum import CENT

TWO_PI = 2 * np.pi
_FRAME_S, _HOP_S = 0.1, 0.0125
_BESIDE, _FRAME_OVER_NOISE, _LEAST_FRAMES = 0.4, 3.0, 5
_ECHO, _ECHO_DECAY, _LEAST_PHASE_ERROR = 0.1, 15.0, 0.02
"""A room gives back a tenth of what it heard, and forgets it at 15 a second: a partial that dies sooner drowns in it."""

GLIDE_SPREAD_CENTS = 6.0
"""Standard deviation of glides at the beginning of what is heard: what the fit assumes before it looks. Our own bound."""

_LEAST_WANDER, _LEAST_NOISE = 0.01, 0.004
_GLIDE_ROUNDS = 4
_DECAYS, _LEAST_DECAY = (0.5, 20.0), 0.7
_STRONG_DB, _MOST_WANDER = 20.0, 0.3
"""The strong partials' phase may wander by 0.3 rad about its line. Own simulations."""

_TWO_PITCHES_SHARE = 0.42
_SECOND_CENTS = np.arange(2.0, 41.0, 0.25)
_LEAST_BEATING, _BEATS_TO_SEE, _BEATS_IN_FRAME = 3, 2.5, 0.8
_SMALLEST = 1e-9


@dataclass(frozen=True)
class Track:
    """A partial through the frames where it stands out of the noise: times, phase off its first guess, weights."""

    number: int
    hz: float
    time_s: FloatArray
    phase: FloatArray
    weight: FloatArray
    amplitude: FloatArray
    frames: Array
    noise: float


def tracks_of(part: FloatArray, rate_hz: float, numbers: IntArray, hz: FloatArray, spacing_hz: float) -> list[Track]:
    """Each partial's amplitude and phase in frames of a tenth of a second."""
    size, hop = round(_FRAME_S * rate_hz), round(_HOP_S * rate_hz)
    count = (len(part) - size) // hop + 1
    window = np.hanning(size)
    frames = np.lib.stride_tricks.sliding_window_view(part, size)[: count * hop : hop] * window
    within: FloatArray = (np.arange(size, dtype=float) - (size - 1) / 2) / rate_hz
    middle = np.arange(count) * (hop / rate_hz) + (size - 1) / 2 / rate_hz
    aside = np.concatenate((hz - _BESIDE * spacing_hz, hz + _BESIDE * spacing_hz))
    seen = _seen(frames, within, np.concatenate((hz, aside))) * (2 / window.sum())
    beside = np.abs(seen[:, len(hz) :]).reshape(count, 2, len(hz)).min(axis=1)
    noise = np.median(beside, axis=0) + _SMALLEST
    tracks = []
    for n, k in enumerate(numbers.tolist()):
        amplitude = np.abs(seen[:, n])
        faint = np.flatnonzero(amplitude < _FRAME_OVER_NOISE * noise[n])
        last = int(faint[0]) if len(faint) else count
        if last < _LEAST_FRAMES:
            continue
        turned = seen[:, n] * np.exp(-1j * TWO_PI * hz[n] * middle)
        time, loud = np.asarray(middle[:last], dtype=float), amplitude[:last]
        forgotten = np.exp(-_ECHO_DECAY * time)
        echo = _ECHO * np.maximum.accumulate(loud / forgotten) * forgotten
        weight = 1 / (_LEAST_PHASE_ERROR**2 + 0.5 * (noise[n] ** 2 + echo**2) / loud**2)
        phase = np.unwrap(np.angle(turned[:last]))
        tracks.append(Track(k, float(hz[n]), time, phase, weight, loud, turned, float(noise[n])))
    return tracks


def _seen(frames: FloatArray, within_s: FloatArray, hz: FloatArray) -> Array:
    """Each frame times exp(−2πift), summed, shape (frames, hz).

    Both halves of a frame go together, as cosines are even and sines odd about its middle: nothing costs more than these.
    """
    half, odd = divmod(len(within_s), 2)
    after, before = frames[:, half + odd :], frames[:, :half][:, ::-1]
    angles = TWO_PI * within_s[half + odd :, None] * hz
    seen = (after + before) @ np.cos(angles) - 1j * ((after - before) @ np.sin(angles))
    return np.asarray(seen + frames[:, half, None] if odd else seen)


def decay_of(track: Track) -> tuple[float, float]:
    """Level in dB at the beginning, and decay of the amplitude per second."""
    slope, level = np.polyfit(track.time_s, np.log(track.amplitude), 1, w=track.amplitude / track.amplitude.max())
    return float(level / np.log(10) * 20), float(-slope)


def fitted(tracks: list[Track], levels: FloatArray) -> tuple[tuple[float, float], FloatArray]:
    """Glide at the beginning with its error, in cents; slope, its error and spread of each partial's phase, in rad."""
    blocks = []
    for track, bend in zip(tracks, _bends(tracks, levels), strict=True):
        t = track.time_s - track.time_s.mean()
        line = np.stack((np.ones(len(t)), t), axis=1)
        normal = np.linalg.inv(line.T @ (line * track.weight[:, None]))
        apart = bend - line @ (normal @ (line.T @ (track.weight * bend)))
        off = track.phase - line @ (normal @ (line.T @ (track.weight * track.phase)))
        blocks.append((line, bend, normal, apart, off))
    glide, sure = 0.0, 0.0
    spread = np.array([_wander(off, track.weight) for (*_, off), track in zip(blocks, tracks, strict=True)])
    for _ in range(_GLIDE_ROUNDS):
        know, pull = 1 / GLIDE_SPREAD_CENTS**2, 0.0
        for (_, _, _, apart, off), track, wander in zip(blocks, tracks, spread, strict=True):
            w = track.weight / np.sum(track.weight) * _independent(track) / max(wander, _LEAST_WANDER) ** 2
            know += float(np.sum(w * apart**2))
            pull += float(np.sum(w * apart * off))
        glide, sure = pull / know, 1 / np.sqrt(know)
        left = [off - glide * apart for _, _, _, apart, off in blocks]
        spread = np.array([_wander(off, track.weight) for off, track in zip(left, tracks, strict=True)])
    fits = np.empty((len(tracks), 3))
    shared = 0.0
    for n, ((line, bend, normal, _, _), track) in enumerate(zip(blocks, tracks, strict=True)):
        slope = (normal @ (line.T @ (track.weight * (track.phase - glide * bend))))[1]
        bent = (normal @ (line.T @ (track.weight * bend)))[1] / TWO_PI / track.hz / CENT
        shared = max(shared, abs(bent) * sure)
        scale = np.sum(track.weight) / _independent(track)
        noise = max(spread[n], _LEAST_NOISE)
        fits[n] = slope, noise * np.sqrt(normal[1, 1] * scale), spread[n]
    return (glide, float(shared)), fits


def _bends(tracks: list[Track], levels: FloatArray) -> list[FloatArray]:
    """What a glide of a cent does to the phase of each partial, rad."""
    decays, shares = _swing(tracks, levels)
    return [
        TWO_PI * track.hz * CENT * ((1 - np.exp(-2 * track.time_s[:, None] * decays)) / (2 * decays)) @ shares
        for track in tracks
    ]


def _swing(tracks: list[Track], levels: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Decay of the partials, and each one's share in the stretch, which goes as the square of the string's slope."""
    number = np.array([track.number for track in tracks], dtype=float)
    weight = 10 ** (levels[:, 0] / 20)
    rows = np.stack((np.ones(len(number)), number), axis=1)
    law = np.linalg.lstsq(rows * weight[:, None], np.clip(levels[:, 1], *_DECAYS) * weight, rcond=None)[0]
    decay = np.clip(rows @ law, _LEAST_DECAY, _DECAYS[1])
    share = 1 / number**2
    return decay, share / share.sum()


def _independent(track: Track) -> float:
    """How many frames there are that do not overlap by more than they are alike."""
    return float(max(1.5, (track.time_s[-1] - track.time_s[0]) / (0.5 * _FRAME_S) + 1))


def _wander(off: FloatArray, weight: FloatArray) -> float:
    return float(np.sqrt(np.sum(weight * off**2) / np.sum(weight)))


def check_steady(tracks: list[Track], fits: FloatArray, levels: FloatArray) -> None:
    """Raise `Unheard` if the strong partials' phase wanders, and say whether that is a second pitch."""
    strong = levels[:, 0] > levels[:, 0].max() - _STRONG_DB
    if np.median(fits[strong, 2]) > _MOST_WANDER:
        beats = _second_pitch([tracks[n] for n in np.flatnonzero(strong).tolist()])
        raise Unheard("two-pitches" if beats > _TWO_PITCHES_SHARE else "unsteady")


def _second_pitch(tracks: list[Track]) -> float:
    """How loud a second note is against the first, if it lies the same few cents from each of its partials."""
    beside = np.full((len(tracks), len(_SECOND_CENTS)), np.nan)
    step_s = tracks[0].time_s[1] - tracks[0].time_s[0]
    for n, track in enumerate(tracks):
        time = np.arange(len(track.frames)) * step_s
        level, decay = decay_of(track)
        heard_s = np.clip((level * np.log(10) / 20 - np.log(track.noise)) / max(decay, _DECAYS[0]), 0.0, time[-1])
        seen = track.frames * np.exp(decay * np.minimum(time, heard_s)) * np.hanning(len(time) + 2)[1:-1]
        hz = track.hz * CENT * _SECOND_CENTS
        apart = (hz * time[-1] > _BEATS_TO_SEE) & (hz < _BEATS_IN_FRAME / _FRAME_S)
        near = np.linspace(-1, 1, 9) / time[-1]
        main = near[np.argmax(np.abs(np.exp(-1j * TWO_PI * near[:, None] * time) @ seen))]
        seen = seen * np.exp(-1j * TWO_PI * main * time)
        above, below = (np.abs(np.exp(-sign * 1j * TWO_PI * hz[apart, None] * time) @ seen) for sign in (1, -1))
        in_frame = hz[apart] * _FRAME_S
        passed = np.sinc(in_frame) / (1 - in_frame**2 + _SMALLEST)  # of a Hann window
        beside[n, apart] = np.maximum(above, below) / passed / np.abs(np.sum(seen))
    shown = np.sum(np.isfinite(beside), axis=0) >= _LEAST_BEATING
    return float(np.max(np.nanmedian(beside[:, shown], axis=0), initial=0.0)) if np.any(shown) else 0.0
