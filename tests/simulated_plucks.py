"""Sounds of plucked strings for tests: stiff strings on a bridge that yields, in a room, before a microphone.

Nothing here is taken from the code that listens. A string's partials are f_q = q f (1 + b q²)/(1 + b), with b from the
wire's stiffness; each decays, glides with its own loudness, and moves with the bridge: by 8 cents · Im Y/q, and is
damped by Re Y. The conditions are invented for these tests. They are meant to be as bad as a workbench, not to be any
one instrument.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import factorial

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Sound = NDArray[np.float64]

RATE_HZ = 48000
CENT = np.log(2) / 1200


@dataclass(frozen=True)
class Wire:
    """A string: frequency and b of its open note, and its tension at the octave over that of the open note."""

    open_hz: float
    stiffness: float
    tension_ratio: float
    decay_per_s: tuple[float, float] = (2.6, 2.6)
    """At no frequency, and more for each kHz."""


BANJO = (
    Wire(293.66, 1.3e-5, 1.017),
    Wire(246.94, 2.2e-5, 1.02),
    Wire(196.0, 4.0e-5, 1.025),
    Wire(146.83, 1.4e-5, 1.012),
    Wire(392.0, 1.7e-5, 1.02),
)
"""Strings 1 to 5: .010, .012, .014, .022 wound, and the short one. Invented, near what such strings have."""

MANDOLIN = tuple(
    Wire(hz, b, ratio, (2.0, 2.2))
    for hz, b, ratio in (
        (659.26, 2.4e-5, 1.012),
        (440.0, 6.0e-5, 1.018),
        (293.66, 5.0e-5, 1.012),
        (196.0, 9.0e-5, 1.014),
    )
)


@dataclass(frozen=True)
class Bridge:
    """Modes of bridge and body: admittance Y over frequency, scaled to a mean real part of 1."""

    mode_hz: NDArray[np.float64]
    quality: NDArray[np.float64]
    weight: NDArray[np.float64]
    scale: float = 1.0

    def admittance(self, hz: NDArray[np.float64]) -> NDArray[np.complex128]:
        """Y at frequencies."""
        f = np.asarray(hz, dtype=float)[..., None]
        modes = 1j * f * self.weight / (self.mode_hz**2 - f**2 + 1j * f * self.mode_hz / self.quality)
        return np.asarray(self.scale * modes.sum(axis=-1))


def some_bridge(chance: Generator, quality: tuple[float, float]) -> Bridge:
    """A bridge of 26 modes between 170 and 5000 Hz."""
    hz = np.exp(chance.uniform(np.log(170), np.log(5000), 26))
    bridge = Bridge(hz, chance.uniform(*quality, 26), hz * chance.uniform(0.3, 1.0, 26))
    real = bridge.admittance(np.geomspace(170, 5000, 2000)).real
    return replace(bridge, scale=1.0 / float(np.mean(real)))


@dataclass(frozen=True)
class Conditions:
    """Everything about a recording but the string. Levels in dB below the pluck; None: not there."""

    white_db: float | None = None
    pink_db: float | None = None
    hum_db: float | None = None
    room: tuple[float, float] | None = None
    """Reverberation time in s, and its level."""
    others_db: float | None = None
    yields: bool = False
    glide_cents: float = 0.0
    seconds: float = 0.75
    clip: float | None = None
    """The share of its peak at which the sound is clipped."""
    pair_cents: float | None = None
    """How far the second string of a course is off, if it rings too."""
    tap: float = 1.0


CLEAN = Conditions(white_db=-30.0, glide_cents=3.0)
NEAR = Conditions(pink_db=-30.0, room=(0.4, -12.0), others_db=-30.0, yields=True, glide_cents=4.0)
KITCHEN = Conditions(pink_db=-30.0, room=(0.35, -6.0), hum_db=-35.0, others_db=-26.0, yields=True, glide_cents=5.0)
FREE = Conditions(pink_db=-30.0, room=(0.4, -4.0), others_db=-14.0, yields=True, glide_cents=4.0)


@dataclass(frozen=True)
class Instrument:
    """Strings on a bridge."""

    wires: tuple[Wire, ...]
    bridge: Bridge


def some_instrument(chance: Generator, wires: tuple[Wire, ...]) -> Instrument:
    """The strings a little off their values, on a bridge of their own."""
    quality = (8.0, 30.0) if wires is BANJO else (12.0, 45.0)
    own = tuple(
        replace(
            wire,
            open_hz=wire.open_hz * np.exp(chance.normal(0, 6) * CENT),
            stiffness=wire.stiffness * chance.uniform(0.7, 1.4),
            tension_ratio=1 + (wire.tension_ratio - 1) * chance.uniform(0.7, 1.4),
        )
        for wire in wires
    )
    return Instrument(own, some_bridge(chance, quality))


def _partials(wire: Wire, times: float, cents: float) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Numbers and frequencies of a note: its first partial ``cents`` off ``times`` times the open string's own."""
    b = wire.stiffness * times**2 / (wire.tension_ratio if times > 1 else 1.0)
    # The note's first partial against the open string's partial of that number, which is its harmonic.
    first = wire.open_hz * times * (1 + wire.stiffness * times**2) / (1 + wire.stiffness) * np.exp(cents * CENT)
    q = np.arange(1, 120)
    hz = q * first * (1 + b * q**2) / (1 + b)
    return q[hz < 9000], hz[hz < 9000]


def _rings(
    q: NDArray[np.int64],
    hz: NDArray[np.float64],
    level: NDArray[np.float64],
    bare: NDArray[np.float64],
    wire: Wire,
    sharper: float,
    chance: Generator,
    bridge: Bridge | None,
    glide_cents: float,
    seconds: float,
) -> Sound:
    """Partials as a sound. ``sharper``: how much faster than the open string it dies away. ``bare``: the string's slope
    in each partial, before the body colours it: the tension glides with its square."""
    own = (wire.decay_per_s[0] + wire.decay_per_s[1] * hz / 1000) * sharper
    ways = ((1.0, 0.0),) if bridge is None else ((1.0, 1.0), (10 ** (-chance.uniform(0, 9) / 20), 0.15))
    pull = np.zeros(len(q), complex) if bridge is None else 8 * CENT * bridge.admittance(hz) / q
    turn, size = [], []
    for loud, share in ways:
        decay = own + share * 2 * np.pi * hz * pull.real
        turn.append(2j * np.pi * hz * (1 + share * pull.imag) - decay)
        size.append(loud * level * np.exp(1j * chance.uniform(0, 2 * np.pi, len(q))))
    # In blocks of 2 ms, e^(λt) is a product of what depends on the block and what depends on the place in it.
    count, block = round(seconds * RATE_HZ), 96
    start = np.arange(-(-count // block)) * (block / RATE_HZ)
    within = np.arange(block) / RATE_HZ
    swing = glide_cents * CENT * bare**2 / np.sum(bare**2)
    dying = np.exp(-2 * own * start[:, None])
    slide, rate = (1 - dying) @ (swing / (2 * own)), dying @ swing
    waves = 2j * np.pi * np.concatenate([hz] * len(ways))
    turns, sizes = np.concatenate(turn), np.concatenate(size)
    blocks = sizes * np.exp(turns * start[:, None] + waves * slide[:, None])
    places = np.exp(turns[:, None] * within)
    # The slide within a block is a line; e^(iω rate t) as its series, good to 1e-3 of the loudest partial.
    sound = np.zeros((len(start), block))
    for power in range(4 if glide_cents else 1):
        term = (blocks * waves**power) @ (places * within**power)
        sound += (rate[:, None] ** power / factorial(power) * term).real
    return sound.ravel()[:count]


def _body(chance: Generator) -> NDArray[np.float64]:
    """A body's colour: a smooth random gain in dB over log frequency, at 24 places from 60 Hz to 10 kHz."""
    return np.asarray(chance.normal(0, 5, 24))


def _coloured(colour: NDArray[np.float64], hz: NDArray[np.float64]) -> NDArray[np.float64]:
    places = np.linspace(np.log(60), np.log(10000), len(colour))
    low = -12 * np.maximum(0, np.log2(250 / hz))
    return np.asarray(10 ** ((np.interp(np.log(hz), places, colour) + low) / 20))


def _rms(sound: Sound) -> float:
    return float(np.sqrt(np.mean(sound**2)))


def _at_level(noise: Sound, db: float, of: float) -> Sound:
    return noise * (of * 10 ** (db / 20) / max(_rms(noise), 1e-12))


def _pink(chance: Generator, length: int) -> Sound:
    spectrum = np.fft.rfft(chance.normal(size=1 << length.bit_length()))
    return np.asarray(np.fft.irfft(spectrum / np.sqrt(np.maximum(1, np.arange(len(spectrum)))))[:length])


def pluck(
    chance: Generator,
    instrument: Instrument,
    string: int,
    *,
    times: float,
    cents: float,
    conditions: Conditions,
    odd: bool = True,
) -> Sound:
    """A pluck without its surroundings: the note, the tap of the fingers, and the strings that ring along.

    ``times``: 1 for the open string, 2 for the octave pressed. ``odd=False`` with 1: the octave harmonic.
    """
    wire = instrument.wires[string]
    bridge = instrument.bridge if conditions.yields else None
    q, hz = _partials(wire, times, cents)
    at = chance.uniform(0.08, 0.16) * (times if times > 1 else 1.0)
    colour = _body(chance)
    bare = np.abs(np.sin(np.pi * q * at)) / q
    level = bare * _coloured(colour, hz)
    if not odd:
        level = np.where(q % 2 == 0, level, 0.003 * level)
    glide = conditions.glide_cents * chance.uniform(0.6, 1.0)
    sharper = 1.5 if times > 1 else 1.0
    sound = _rings(q, hz, level, bare, wire, sharper, chance, bridge, glide, conditions.seconds)
    if conditions.pair_cents is not None:
        q2, hz2 = _partials(wire, times, cents + conditions.pair_cents)
        sound += _rings(
            q2,
            hz2,
            level[: len(q2)] * chance.uniform(0.6, 1.0),
            bare[: len(q2)],
            wire,
            sharper,
            chance,
            bridge,
            glide,
            conditions.seconds,
        )
    loud = _rms(sound)
    if conditions.others_db is not None:
        along = np.zeros(len(sound))
        for n, other in enumerate(instrument.wires):
            if n != string:
                along += _along(chance, other, hz, colour, bridge, conditions.seconds)
        sound += _at_level(along, conditions.others_db, loud)
    t = np.arange(len(sound)) / RATE_HZ
    click = chance.normal(size=len(t)) * np.exp(-t / 0.004)
    thump = np.sin(2 * np.pi * chance.uniform(90, 220) * t) * np.exp(-t * 35)
    return sound + conditions.tap * float(np.max(np.abs(sound))) * (0.3 * click / 3 + 0.25 * thump)


def _along(
    chance: Generator,
    other: Wire,
    played_hz: NDArray[np.float64],
    colour: NDArray[np.float64],
    bridge: Bridge | None,
    seconds: float,
) -> Sound:
    """An open string that rings along: all of its partials a little, those near the played ones more."""
    q, hz = _partials(other, 1.0, 0.0)
    near = np.min(np.abs(hz[:, None] - played_hz[None, :]), axis=1)
    level = chance.uniform(0.3, 1.0, len(q)) / q * _coloured(colour, hz) * (1 + 3 / (1 + (near / 6.0) ** 2))
    return _rings(q, hz, level, level, other, 1.0, chance, bridge, 0.0, seconds)


def surrounded(chance: Generator, sound: Sound, conditions: Conditions, loud: float) -> Sound:
    """A sound in its room, with noise and hum, clipped and in 16 bit. ``loud``: the rms of a pluck."""
    length = len(sound)
    if conditions.room is not None:
        reverberation_s, db = conditions.room
        t = np.arange(round(1.2 * reverberation_s * RATE_HZ)) / RATE_HZ
        echo = chance.normal(size=len(t)) * np.exp(-6.91 * t / reverberation_s) * (t > 0.002)
        echo *= 10 ** (db / 20) / np.sqrt(np.sum(echo**2))
        size = 1 << (length + len(echo)).bit_length()
        sound = sound + np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(echo, size), size)[:length]
    t = np.arange(length) / RATE_HZ
    if conditions.white_db is not None:
        sound = sound + _at_level(chance.normal(size=length), conditions.white_db, loud)
    if conditions.pink_db is not None:
        sound = sound + _at_level(_pink(chance, length), conditions.pink_db, loud)
    if conditions.hum_db is not None:
        hum = sum(np.sin(2 * np.pi * 50.02 * k * t + chance.uniform(0, 6)) / k for k in range(1, 9))
        sound = sound + _at_level(np.asarray(hum), conditions.hum_db, loud)
    peak = float(np.max(np.abs(sound)))
    if conditions.clip is not None:
        sound = np.clip(sound, -peak * conditions.clip, peak * conditions.clip)
    return np.round(sound / peak * 0.6 * 32767) / 32768


def recording(
    chance: Generator,
    instrument: Instrument,
    notes: Sequence[tuple[int, float, float]],
    conditions: Conditions,
    odd: bool = True,
) -> Sound:
    """A recording of plucks one after the other, each damped before the next. ``notes``: string, times, cents off."""
    parts: list[Sound] = [np.zeros(round(0.15 * RATE_HZ))]
    loud = 0.0
    for string, times, cents in notes:
        one = pluck(chance, instrument, string, times=times, cents=cents, conditions=conditions, odd=odd)
        fade = np.minimum(1, np.arange(len(one), 0, -1) / (0.015 * RATE_HZ))
        parts += [one * fade, np.zeros(round(chance.uniform(0.1, 0.25) * RATE_HZ))]
        loud = max(loud, _rms(one))
    return surrounded(chance, np.concatenate(parts), conditions, loud)
