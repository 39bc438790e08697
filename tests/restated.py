"""The model of a fretted string written again in plain operators, so that anything can pass through it.

Floats, arrays of a million draws, numbers with an uncertainty, and numbers that carry a derivative. Nothing of the project
is used except the values of an instrument file once it is read. Source: M. B. Anderson and R. G. Beausoleil, J. Acoust.
Soc. Am. 156 (1), 683 (2024).
"""

from types import SimpleNamespace

import numpy as np
from uncertainties import umath
from uncertainties.core import AffineScalarFunc

DENSITY = {"steel": 7850.0, "phosphor bronze": 8800.0, "nickel-plated steel": 7900.0}
USUAL_WRAP = {"banjo": "nickel-plated steel", "mandolin": "phosphor bronze", "other": "phosphor bronze"}
CORE_SHARES = 0.40, 0.55
FINGERS, PRESSES = (5.0, 15.0), (0.0, 0.5)
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


def nominal(value):
    """The plain number in an `Along` or in one with an uncertainty."""
    if isinstance(value, Along):
        return nominal(value.value)
    return value.nominal_value if isinstance(value, AffineScalarFunc) else value


def core_of(entry):
    """As measured; from the turns in 10 mm; in the middle of what is plausible; or all of a plain string."""
    if not entry.is_wound:
        return entry.gauge
    if entry.core is not None:
        return entry.core
    return sum(CORE_SHARES) / 2 * entry.gauge if entry.turns is None else entry.gauge - 20 / entry.turns


def core_range(entry):
    """How far a core that nobody measured may be off to either side, even odds; zero for the others."""
    return (
        (CORE_SHARES[1] - CORE_SHARES[0]) / 2 * entry.gauge if entry.is_wound and not (entry.core or entry.turns) else 0
    )


def fingers_of(instrument):
    """The ranges of d and p: as stated, or plausible."""
    action = instrument.action
    return (
        FINGERS if action.finger is None else (action.finger, action.finger),
        PRESSES if action.press is None else (action.press, action.press),
    )


def mean_depth(instrument, index):
    """One depth for all plausible fingers, by the string that each takes at the octave: a sum over many."""
    (near, far), (light, firm) = fingers_of(instrument)
    if near == far and light == firm:
        return light
    count = 400
    half = (np.arange(count) + 0.5) / count
    d, p = near + (far - near) * half[:, None], light + (firm - light) * half
    action, entry = instrument.action, instrument.strings[index]
    nut = action.nut if entry.nut_height is None else entry.nut_height
    over_bridge = nut + action.relief + 2 * (action.fret_12 - action.nut - action.relief)
    to_bridge = instrument.head.scale_mm / 2 ** (entry.starts_at_fret / 12 + 1)
    return float(np.mean(np.maximum(p, d * over_bridge / to_bridge) ** 2 / d) * (near + far) / 2) ** 0.5


def inputs_of(instrument, index):
    """What one string is worked out from; ``own_nut`` is how much higher than the others' its nut is."""
    action, tail, entry = instrument.action, instrument.tail, instrument.strings[index]
    core = core_of(entry)
    return SimpleNamespace(
        scale=instrument.head.scale_mm,
        action=action.fret_12,
        nut_height=action.nut,
        core=core,
        wrap=(entry.gauge - core) / 2,
        modulus=1.0,
        slip=0.5 if tail.slip is None else tail.slip,
        own_nut=0.0 if entry.nut_height is None else entry.nut_height - action.nut,
        finger=sum(fingers_of(instrument)[0]) / 2,
        press=mean_depth(instrument, index),
    )


def strung(instrument, index, x):
    """One string from its inputs ``x``: lengths in mm, b, c, r12, d, p, κ′ and B0."""
    entry, action, tail = instrument.strings[index], instrument.action, instrument.tail
    letter, octave = entry.note
    pitch = 440.0 * 2.0 ** (int(octave) - 4 + SEMITONES[letter] / 12)
    rise = 2 * (x.action - x.nut_height - action.relief)
    length = x.scale / 2 ** (entry.starts_at_fret / 12)
    span = (length**2 + rise**2) ** 0.5 / 1000

    core, wrap = x.core / 1000, x.wrap / 1000
    mass = DENSITY["steel"] * np.pi * core**2 / 4
    if entry.is_wound:
        wound_with = DENSITY[entry.wrap or USUAL_WRAP[instrument.head.kind]]
        mass = mass + wound_with * np.pi**2 * wrap * (core + wrap) / 4
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
        finger=x.finger,
        press=x.press,
        slipping=pascals * np.pi * core**2 / 4 / tension / (1 + x.slip * outside / span),
        stiffness=(pascals * np.pi * (core / 2) ** 4 / 4 / tension) ** 0.5 / span,
    )


def silent_part(s, over_bridge, along, sounding, behind, drop):
    """Fret to finger and finger to nut: by the straight string, or below it if the finger presses deeper."""
    bend = s.finger / along
    straight = over_bridge * bend
    if any(isinstance(each, np.ndarray) for each in (s.finger, s.press, straight)):
        depth = np.maximum(s.press, straight)
        return (s.finger**2 + depth**2) ** 0.5 + (behind**2 + (drop + depth) ** 2) ** 0.5
    if nominal(s.press) <= nominal(straight):
        return sounding * bend + (behind**2 + (drop + straight) ** 2) ** 0.5
    return (s.finger**2 + s.press**2) ** 0.5 + (behind**2 + (drop + s.press) ** 2) ** 0.5


def bracket(q, stiffness):
    return 1 + stiffness + (1 + q**2 * np.pi**2 / 2) * stiffness**2


def cents(s, n, saddle, nut=0.0):
    """The error of own fret n."""
    to_bridge = s.scale / 2 ** ((s.starts_at + n) / 12)
    drop = s.nut + 2 * s.relief * (1 - to_bridge / s.length)
    along = saddle + to_bridge
    whole = ((nut + s.length + saddle) ** 2 + s.rise**2) ** 0.5
    sounding = (along**2 + (drop + s.rise) ** 2) ** 0.5
    behind = nut + (s.length - to_bridge - s.finger)
    silent = silent_part(s, drop + s.rise, along, sounding, behind, drop)
    longer = (sounding + silent) / whole
    tenser = 1 + s.slipping * (longer - 1)
    stiff = s.stiffness * whole / sounding / tenser**0.5
    octaves = log(whole / sounding) - n * np.log(2) / 12 + log(longer * tenser) / 2
    return 1200 / np.log(2) * (octaves + log(bracket(1, stiff)) - log(bracket(1, s.stiffness)))


def octave_cents(s, saddle, nut=0.0):
    """Fret 12 against the octave harmonic."""
    harmonic = log(bracket(2, s.stiffness)) - log(bracket(1, s.stiffness))
    return cents(s, 12, saddle, nut) - 1200 / np.log(2) * harmonic


def condition(s, aim, counted, place, nut=0.0):
    """What vanishes where the bridge (and nut) ought to be: one value for each unknown; ``nut`` is one that is not cut."""
    if aim == "octave":
        return [octave_cents(s, place[0], nut)]
    unknowns = range(len(place))
    moving = [Along(place[j], [float(j == k) for k in unknowns]) for j in unknowns]
    errors = [cents(s, n, moving[0], *(moving[1:] or [nut])) for n in counted]
    return [sum(e.value * e.slopes[j] for e in errors) for j in unknowns]
