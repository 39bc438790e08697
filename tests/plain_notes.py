"""Notes whose every partial is known, as sounds: no room, no bridge, no noise unless it is added. And hostile sounds."""

import numpy as np

from geometry.spectrum import CENT

RATE_HZ = 48000
A3_HZ = 220.0


def plain_note(
    first_hz,
    *,
    stiffness=0.0,
    level=0.2,
    decay=3.0,
    glide_cents=0.0,
    seconds=0.9,
    partials=10,
    rate_hz=RATE_HZ,
    without=1,
):
    """Partial k at k f (1 + b k²), as loud as 1/k. It begins ``glide_cents`` sharp and falls with the square of its swing.

    ``without``: leave out the partials that are no multiples of this number.
    """
    t = np.arange(round(seconds * rate_hz)) / rate_hz
    slid = t + glide_cents * CENT * (1 - np.exp(-2 * decay * t)) / (2 * decay)
    number = np.arange(1, partials + 1)
    hz = partials_hz(first_hz, number, stiffness)
    use = (hz < 0.44 * rate_hz) & (number % without == 0)
    sound = sum(np.sin(2 * np.pi * f * slid + 0.7 * k) / k for k, f in zip(number[use], hz[use], strict=True))
    return level * np.exp(-decay * t) * sound


def partials_hz(first_hz, number, stiffness=0.0):
    """Frequencies of a stiff string's partials."""
    return number * first_hz * (1 + stiffness * np.asarray(number, dtype=float) ** 2)


def in_silence(*notes, before_s=0.3, between_s=0.2, rate_hz=RATE_HZ):
    """Notes one after the other, each damped within 15 ms at its end."""
    sounds = [np.zeros(round(before_s * rate_hz))]
    for note in notes:
        fade = np.minimum(1, np.arange(len(note), 0, -1) / (0.015 * rate_hz))
        sounds += [note * fade, np.zeros(round(between_s * rate_hz))]
    return np.concatenate(sounds)


def with_noise(sound, level, seed=0):
    """The same sound in white noise of an rms."""
    return sound + level * np.random.default_rng(seed).normal(size=len(sound))


def speech(seconds=2.0):
    """Syllables: a buzz with a wandering pitch through two formants, and hisses between."""
    chance = np.random.default_rng(8)
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    pitch = 120 * np.exp(0.2 * np.sin(2 * np.pi * 1.7 * t) + 0.05 * np.sin(2 * np.pi * 5.1 * t))
    turned = 2 * np.pi * np.cumsum(pitch) / RATE_HZ
    voice = sum(
        np.cos(k * turned) / (1 + ((k * pitch - 600) / 200) ** 2)
        + np.cos(k * turned) / (3 + ((k * pitch - 1700) / 200) ** 2)
        for k in range(1, 25)
    )
    hiss = np.diff(chance.normal(size=len(t) + 1))
    return 0.2 * voice * np.maximum(0, np.sin(2 * np.pi * 3 * t)) + 0.02 * hiss * np.maximum(
        0, -np.sin(2 * np.pi * 3 * t)
    )


HOSTILE = {
    "empty": np.zeros(0),
    "one sample": np.ones(1),
    "silence": np.zeros(RATE_HZ),
    "offset": np.full(RATE_HZ, 0.5),
    "one click": np.eye(1, RATE_HZ, 20000)[0],
    "clicks": np.eye(1, 480, 100)[0][np.arange(RATE_HZ) % 480],
    "steps": np.repeat([0.0, 1.0, -1.0, 0.3], 12000),
    "white noise": 0.2 * np.random.default_rng(1).normal(size=RATE_HZ),
    "noise that dies away": np.random.default_rng(2).normal(size=RATE_HZ) * np.exp(-5 * np.arange(RATE_HZ) / RATE_HZ),
    "a sine for ever": 0.5 * np.sin(2 * np.pi * A3_HZ * np.arange(RATE_HZ) / RATE_HZ),
    "square": 0.5 * np.sign(np.sin(2 * np.pi * A3_HZ * np.arange(RATE_HZ) / RATE_HZ)),
    "a tone that climbs": 0.5 * np.sin(2 * np.pi * np.cumsum(np.geomspace(100, 4000, RATE_HZ)) / RATE_HZ),
    "a chord": sum(plain_note(hz) for hz in (146.8, 196.0, 246.9, 293.7, 392.0)),
    "a cluster": sum(plain_note(A3_HZ * np.exp(n * 30 * CENT)) for n in range(8)),
    "speech": speech(),
    "a note of huge samples": 1e8 * plain_note(A3_HZ),
    "a note of ten seconds": plain_note(A3_HZ, seconds=10.0, decay=0.4),
    "a note of one bit": np.round(plain_note(A3_HZ) * 4) / 4,
    "a note and silence": np.concatenate((plain_note(A3_HZ)[:12000], np.zeros(40000))),
}
"""Sounds that are no pluck, or that no pluck should be."""
