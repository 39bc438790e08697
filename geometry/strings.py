"""What a string is made of: unit mass, tension at pitch, stretch, bending stiffness, breaking load.

Sources: M. B. Anderson and R. G. Beausoleil, J. Acoust. Soc. Am. 156, 683 (2024), here AB24, for the
stretch constant and the stiffness; ASTM A228/A228M for the strength of steel wire and for how far its diameter may vary.
The functions that bring a string to pitch take complex arrays too, like fretting.py.
"""

import re
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, BoolArray, FloatArray
from geometry.errors import GeometryError
from geometry.lengths import MM_PER_INCH

STEEL_DENSITY = 7850.0
"""kg/m³; common practice, no source."""

STEEL_MODULUS_PA = 203.4e9
"""Music wire below 0.8 mm, Shigley's Mechanical Engineering Design, from memory."""

WRAP_DENSITIES = {
    "phosphor bronze": 8800.0,
    "nickel-plated steel": 7900.0,
    "nickel": 8900.0,
    "80/20 bronze": 8600.0,
    "stainless": 8000.0,
    "steel": STEEL_DENSITY,
}
"""kg/m³ of the wire wound round a core; common practice, no source. Packets mostly say nickel for nickel-plated steel."""

NYLON_DENSITY = 1120.0
NYLON_MODULUS_PA = 5.0e9
"""From memory, and no two makes agree: give unit_mass and modulus where they are known."""

A4_HZ = 440.0
"""ISO 16:1975."""

A4_NOTE_NUMBER = 69
"""MIDI 1.0."""

NEWTONS_PER_POUND_FORCE = 4.4482216152605
"""NIST SP 811, exact."""

GRAMS_PER_POUND = 453.59237
"""NIST SP 811, exact."""

PA_PER_KSI = 1000 * NEWTONS_PER_POUND_FORCE / (float(MM_PER_INCH) / 1000) ** 2

A228_DIAMETERS_IN = (0.008, 0.009, 0.010, 0.011, 0.012, 0.013, 0.014, 0.016, 0.018, 0.020, 0.024)
A228_STRENGTHS_KSI = (399.0, 393.0, 387.0, 382.0, 377.0, 373.0, 369.0, 362.0, 356.0, 350.0, 341.0)
"""ASTM A228/A228M, minimum tensile strength by diameter."""

A228_VARIATIONS_IN = ((0.010, 0.0002), (0.028, 0.0003), (0.063, 0.0004))
"""ASTM A228/A228M: up to this diameter, a wire may be this much thicker or thinner."""

STRENGTH_EXPONENT = 0.145
"""S = A/d^m for music wire beyond the table's ends; Shigley, from memory."""

_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {"": 0, "#": 1, "♯": 1, "b": -1, "♭": -1}
_NOTE = re.compile(r"([A-Ga-g])([#♯b♭]?)(-?\d)", re.ASCII)


class NoteError(GeometryError):
    """A ``text`` that is not a note in scientific pitch. Code: note-unread."""

    def __init__(self, code: str, text: str) -> None:
        super().__init__(code, text)
        self.text = text


def pitch_hz(note: str, a4_hz: float = A4_HZ) -> float:
    """Frequency of a note in scientific pitch, f = A4 · 2^((m − 69)/12).

    Parameters: ``note`` such as ``"D4"``, ``"F#3"`` or ``"B♭2"``; ``a4_hz``. Returns hertz. Raises
    `NoteError`. Sources: ISO 16:1975 for A4, MIDI 1.0 for the note number m.

    >>> round(pitch_hz("D4"), 3), pitch_hz("A4"), round(pitch_hz("B♭2"), 3)
    (293.665, 440.0, 116.541)
    """
    match = _NOTE.fullmatch(note.strip())
    if match is None:
        raise NoteError("note-unread", note)
    letter, accidental, octave = match.groups()
    number = 12 * (int(octave) + 1) + _SEMITONES[letter.upper()] + _ACCIDENTALS[accidental]
    return float(a4_hz * 2.0 ** ((number - A4_NOTE_NUMBER) / 12))


@dataclass(frozen=True)
class Wires:
    """What the strings are made of and tuned to, one value for each string; arrays of any one shape.

    ``gauge_mm`` across the whole string and ``core_mm`` across its core, the same for a plain string; densities in kg/m³;
    ``modulus_pa`` of the core; ``pitch_hz`` of the open string. ``unit_mass_kg_per_m`` counts where ``mass_is_given``;
    elsewhere the mass follows from the wires.
    """

    gauge_mm: Array
    core_mm: Array
    core_density: FloatArray
    wrap_density: FloatArray
    modulus_pa: Array
    pitch_hz: FloatArray
    mass_is_given: BoolArray
    unit_mass_kg_per_m: FloatArray


@dataclass(frozen=True)
class AtPitch:
    """Strings at pitch: ``stretch`` κ, ``slipping_stretch`` κ′, ``stiffness`` B₀, without unit. Shapes as in `Wires`."""

    unit_mass_kg_per_m: Array
    tension_n: Array
    stretch: Array
    slipping_stretch: Array
    stiffness: Array


def bring_to_pitch(wires: Wires, length_mm: Array, rise_mm: Array, outside_mm: float, slip: Array) -> AtPitch:
    """From the wires to what the model of a fretted string needs: μ, then T₀, then κ, κ′ and B₀.

    The length at pitch is L₀ = √(X₀² + c²), with the bridge on the theoretical line (AB24).

    Parameters: ``wires``; ``length_mm`` X₀ of each string from its own nut; ``rise_mm`` c of the bridge over the nut;
    ``outside_mm``, afterlength and headlength together; ``slip`` from 0 to 1; arrays that broadcast. Limits: those of the
    functions below.

    >>> one = np.ones(1)
    >>> wires = Wires(0.254 * one, 0.254 * one, 7850 * one, 8800 * one, 203.4e9 * one, 293.665 * one, one < 0, 0 * one)
    >>> bring_to_pitch(wires, 666.75 * one, 5 * one, 210.0, 0 * one).tension_n.round(1)
    array([61.])
    """
    open_mm = np.sqrt(length_mm**2 + rise_mm**2)
    of_wires = unit_mass_kg_per_m(wires.gauge_mm, wires.core_mm, wires.core_density, wires.wrap_density)
    mass = np.where(wires.mass_is_given, wires.unit_mass_kg_per_m, of_wires)
    tension = tension_n(mass, open_mm, wires.pitch_hz)
    stretch = stretch_constant(wires.modulus_pa, wires.core_mm, tension)
    return AtPitch(
        unit_mass_kg_per_m=mass,
        tension_n=tension,
        stretch=stretch,
        slipping_stretch=slipping_stretch(stretch, slip, outside_mm, open_mm),
        stiffness=bending_stiffness(wires.modulus_pa, wires.core_mm, tension, open_mm),
    )


def unit_mass_kg_per_m(gauge_mm: Array, core_mm: Array, core_density: FloatArray, wrap_density: FloatArray) -> Array:
    """Mass of a metre of string, plain or closely round-wound.

    μ = ρ_core π d_c²/4 + ρ_wrap π² d_w (d_c + d_w)/4 with d_w = (gauge − d_c)/2: a turn of wrap is a torus
    (Pappus), its pitch its own diameter. A plain string is one whose core is its gauge.

    Parameters: diameters in mm and densities in kg/m³, all of one shape. Returns kg/m, same shape. Limits: round core,
    round wrap, turns that touch. Source: Pappus's theorem.

    >>> inch = 25.4
    >>> gauge, core = inch * np.array([0.010, 0.022]), inch * np.array([0.010, 0.010])
    >>> (1000 * unit_mass_kg_per_m(gauge, core, np.array(7850.0), np.array(8800.0))).round(3)
    array([0.398, 1.743])
    """
    core_m, wrap_m = core_mm / 1000, (gauge_mm - core_mm) / 2000
    core = core_density * np.pi * core_m**2 / 4
    wrap = wrap_density * np.pi**2 * wrap_m * (core_m + wrap_m) / 4
    return np.asarray(core + wrap)


def tension_n(unit_mass: Array, length_mm: Array, pitch: FloatArray) -> Array:
    """Tension that brings an open string to pitch, T₀ = μ (2 L₀ f)² (Mersenne).

    Parameters: ``unit_mass`` in kg/m, ``length_mm`` L₀, ``pitch`` in Hz. Returns newtons.

    >>> tension_n(np.array(0.398e-3), np.array(666.75), np.array(293.665)).round(1)
    np.float64(61.0)
    """
    return np.asarray(unit_mass * (2 * length_mm / 1000 * pitch) ** 2)


def stretch_constant(modulus_pa: Array, core_mm: Array, tension: Array) -> Array:
    """How much tension a stretch adds, κ = E A_core/T₀ (AB24). Without unit.

    Parameters: ``modulus_pa`` in Pa, ``core_mm`` the diameter that carries load, ``tension`` in N.

    >>> stretch_constant(np.array(203.4e9), np.array(0.254), np.array(61.0)).round(1)
    np.float64(169.0)
    """
    return np.asarray(modulus_pa * np.pi * (core_mm / 2000) ** 2 / tension)


def slipping_stretch(stretch: Array, slip: Array, outside_mm: Array | float, length_mm: Array) -> Array:
    """Stretch constant of a string that slips over nut and bridge, κ' = κ/(1 + s (L_after + L_head)/L₀).

    From ΔT = E A ΔL/L_total; no value of s has been published. Parameters: ``stretch`` κ; ``slip`` s from 0 (none) to 1;
    ``outside_mm`` afterlength and headlength together; ``length_mm`` L₀.

    >>> slipping_stretch(np.array(169.0), np.array(1.0), np.array(210.0), np.array(666.75)).round(1)
    np.float64(128.5)
    """
    return np.asarray(stretch / (1 + slip * outside_mm / length_mm))


def bending_stiffness(modulus_pa: Array, core_mm: Array, tension: Array, length_mm: Array) -> Array:
    """Stiffness of the open string, B₀ = √(E I/(T₀ L₀²)) with I = π ρ_core⁴/4 (AB24). Without unit.

    Parameters: Pa, mm, N and mm, all of one shape. Limits: a round core that alone is stiff.

    >>> arrays = (np.array(x) for x in (203.4e9, 0.254, 61.0, 666.75))
    >>> bending_stiffness(*arrays).round(5)
    np.float64(0.00124)
    """
    second_moment = np.pi * (core_mm / 2000) ** 4 / 4
    return np.asarray(np.sqrt(modulus_pa * second_moment / tension) / (length_mm / 1000))


def steel_strength_pa(diameter_mm: FloatArray) -> FloatArray:
    """Least tensile strength of steel music wire (ASTM A228/A228M).

    Straight lines between the table's values in log-log; beyond its ends the power law d^−0.145.
    Parameters: ``diameter_mm`` of the wire or core, any shape. Returns Pa.

    >>> (steel_strength_pa(25.4 * np.array([0.010, 0.011])) / PA_PER_KSI).round(1)
    array([387., 382.])
    """
    table_d, table_s = np.log(A228_DIAMETERS_IN), np.log(A228_STRENGTHS_KSI)
    d = np.log(np.asarray(diameter_mm) / float(MM_PER_INCH))
    beyond = d - np.clip(d, table_d[0], table_d[-1])
    return np.asarray(PA_PER_KSI * np.exp(np.interp(d, table_d, table_s) - STRENGTH_EXPONENT * beyond))


def permissible_variation_mm(diameter_mm: FloatArray) -> FloatArray:
    """How much thicker or thinner than its name a steel music wire may be (ASTM A228/A228M).

    Parameters: ``diameter_mm``, any shape. Returns mm, to either side. Limits: wire of up to 0.063 in; thicker wire is
    given that of the last row.

    >>> (permissible_variation_mm(25.4 * np.array([0.010, 0.011, 0.040])) / 25.4).round(4)
    array([0.0002, 0.0003, 0.0004])
    """
    inch, hair = float(MM_PER_INCH), 1e-9
    limits, variations = np.array(A228_VARIATIONS_IN).T
    row = np.searchsorted(limits * inch + hair, diameter_mm)
    return np.asarray(inch * variations[np.minimum(row, len(limits) - 1)])


def strength_ratio(tension: FloatArray, core_mm: FloatArray) -> FloatArray:
    """Share of the least breaking load that a steel string carries at pitch; 1 is where it may break.

    Parameters: ``tension`` in N, ``core_mm`` the diameter that carries it. Source: ASTM A228/A228M.

    >>> strength_ratio(np.array(61.0), np.array(0.254)).round(2)
    np.float64(0.45)
    """
    area_m2 = np.pi * (np.asarray(core_mm) / 2000) ** 2
    return np.asarray(tension / area_m2 / steel_strength_pa(core_mm))
