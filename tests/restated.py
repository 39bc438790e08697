"""The model of a fretted string written again in plain operators, so that anything can pass through it.

Floats, arrays of a million draws, numbers with an uncertainty, and numbers that carry a derivative. Nothing of the project
is used except the values of an instrument file once it is read. Source: M. B. Anderson and R. G. Beausoleil, J. Acoust.
Soc. Am. 156 (1), 683 (2024).
"""

from types import SimpleNamespace

import numpy as np
from uncertainties import umath
from uncertainties.core import AffineScalarFunc

DENSITY = {"steel": 7850.0, "phosphor bronze": 8800.0}
STEEL_PASCALS = 203.4e9
SEMITONES = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}


class Along:
    """A number with its derivatives along saddle and nut. The number may be of any type with arithmetic."""

    def __init__(self, value, slopes):
        self.value, self.slopes = value, slopes

    def _of(self, value, slope):
        return Along(value, [slope * one for one in self.slopes])

    def __add__(self, other):
        if not isinstance(other, Along):
            return Along(self.value + other, self.slopes)
        return Along(self.value + other.value, [a + b for a, b in zip(self.slopes, other.slopes, strict=True)])

    def __mul__(self, other):
        if not isinstance(other, Along):
            return self._of(self.value * other, other)
        pairs = zip(self.slopes, other.slopes, strict=True)
        return Along(self.value * other.value, [a * other.value + self.value * b for a, b in pairs])

    def __pow__(self, power):
        return self._of(self.value**power, power * self.value ** (power - 1))

    def __neg__(self):
        return self * -1.0

    def __sub__(self, other):
        return self + -other

    def __rsub__(self, other):
        return -self + other

    def __truediv__(self, other):
        return self * other**-1.0

    def __rtruediv__(self, other):
        return self**-1.0 * other

    __radd__, __rmul__ = __add__, __mul__

    def log(self):
        return self._of(log(self.value), 1 / self.value)


def log(value):
    if isinstance(value, Along):
        return value.log()
    return umath.log(value) if isinstance(value, AffineScalarFunc) else np.log(value)


def inputs_of(instrument, index):
    """What was measured of one string; ``own_nut`` is how much higher than the others' its nut is."""
    action, tail, entry = instrument.action, instrument.tail, instrument.strings[index]
    core = entry.gauge if entry.core is None else entry.core
    return SimpleNamespace(
        scale=instrument.head.scale_mm,
        action=action.fret_12,
        nut_height=action.nut,
        core=core,
        wrap=(entry.gauge - core) / 2,
        modulus=1.0,
        slip=tail.slip,
        own_nut=0.0 if entry.nut_height is None else entry.nut_height - action.nut,
    )


def strung(instrument, index, x):
    """One string from its inputs ``x``: lengths in mm, b, c, r12, d, κ′ and B0."""
    entry, action, tail = instrument.strings[index], instrument.action, instrument.tail
    letter, octave = entry.note
    pitch = 440.0 * 2.0 ** (int(octave) - 4 + SEMITONES[letter] / 12)
    rise = 2 * (x.action - x.nut_height - action.relief)
    length = x.scale / 2 ** (entry.starts_at_fret / 12)
    span = (length**2 + rise**2) ** 0.5 / 1000

    core, wrap = x.core / 1000, x.wrap / 1000
    mass = DENSITY["steel"] * np.pi * core**2 / 4
    if entry.core is not None:
        mass = mass + DENSITY[entry.wrap] * np.pi**2 * wrap * (core + wrap) / 4
    if entry.unit_mass is not None:
        mass = entry.unit_mass / 1000
    tension = mass * (2 * span * pitch) ** 2
    pascals = STEEL_PASCALS * x.modulus
    outside = (tail.afterlength + tail.headlength) / 1000
    return SimpleNamespace(
        scale=x.scale,
        length=length,
        starts_at=entry.starts_at_fret,
        nut=x.nut_height + x.own_nut,
        rise=rise,
        relief=action.relief,
        finger=action.finger,
        slipping=pascals * np.pi * core**2 / 4 / tension / (1 + x.slip * outside / span),
        stiffness=(pascals * np.pi * (core / 2) ** 4 / 4 / tension) ** 0.5 / span,
    )


def bracket(q, stiffness):
    return 1 + stiffness + (1 + q**2 * np.pi**2 / 2) * stiffness**2


def cents(s, n, saddle, nut=0.0):
    """The error of own fret n."""
    to_bridge = s.scale / 2 ** ((s.starts_at + n) / 12)
    drop = s.nut + 2 * s.relief * (1 - to_bridge / s.length)
    along = saddle + to_bridge
    whole = ((nut + s.length + saddle) ** 2 + s.rise**2) ** 0.5
    sounding = (along**2 + (drop + s.rise) ** 2) ** 0.5
    bend = s.finger / along
    behind = nut + (s.length - to_bridge - s.finger)
    silent = sounding * bend + (behind**2 + (drop + (drop + s.rise) * bend) ** 2) ** 0.5
    longer = (sounding + silent) / whole
    tenser = 1 + s.slipping * (longer - 1)
    stiff = s.stiffness * whole / sounding / tenser**0.5
    octaves = log(whole / sounding) - n * np.log(2) / 12 + log(longer * tenser) / 2
    return 1200 / np.log(2) * (octaves + log(bracket(1, stiff)) - log(bracket(1, s.stiffness)))


def octave_cents(s, saddle, nut=0.0):
    """Fret 12 against the octave harmonic."""
    harmonic = log(bracket(2, s.stiffness)) - log(bracket(1, s.stiffness))
    return cents(s, 12, saddle, nut) - 1200 / np.log(2) * harmonic


def condition(s, aim, counted, place):
    """What vanishes where the bridge (and nut) ought to be: one value for each unknown."""
    if aim == "octave":
        return [octave_cents(s, place[0])]
    unknowns = range(len(place))
    moving = [Along(place[j], [float(j == k) for k in unknowns]) for j in unknowns]
    errors = [cents(s, n, *moving) for n in counted]
    return [sum(e.value * e.slopes[j] for e in errors) for j in unknowns]
