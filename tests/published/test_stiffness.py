"""Stiff strings against other theory: Fletcher's inharmonicity, and the exact equation of a stiff string.

Sources: H. Fletcher, "Normal vibration frequencies of a stiff piano string", J. Acoust. Soc. Am. 36 (1), 203 (1964);
M. B. Anderson and R. G. Beausoleil, J. Acoust. Soc. Am. 156 (1), 683 (2024), for the clamped and pinned string.

The exact equation: T y″ − E I y⁗ = μ ∂²y/∂t² has the space parts sin(k₂x/L), cos(k₂x/L), sinh(k₁x/L), cosh(k₁x/L)
with μω² = (T k₂² + E I k₂⁴/L²)/L² = (E I k₁⁴/L² − T k₁²)/L². Their difference is k₁² − k₂² = T L²/(E I) = 1/B², their
product ω = B k₁k₂ √(T/μ)/L. Clamped at one end and pinned at the other: tan k₂ = (k₂/k₁) tanh k₁. Over the
flexible string's ω = qπ√(T/μ)/L, partial q is raised by B k₁k₂/(qπ).
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from geometry.fretting import octave_harmonic_cents, partial_factor
from geometry.strings import STEEL_DENSITY, STEEL_MODULUS_PA, Wires, bending_stiffness, bring_to_pitch, pitch_hz

# modulus Pa, diameter mm, tension N, length mm: from a mandolin's E string to a long bass string
WIRES = (
    (203.4e9, 0.254, 61.0, 666.75),
    (203.4e9, 0.279, 74.0, 352.4),
    (203.4e9, 0.457, 90.0, 352.4),
    (203.4e9, 1.0, 700.0, 1000.0),
    (5.0e9, 0.712, 68.6, 650.0),
)
PARTIALS = pytest.mark.parametrize("partial", [1, 2])


def exact_factor(stiffness, partial):
    """How much stiffness raises a partial of a string that is clamped at one end and pinned at the other."""

    def hyperbolic(k2):
        return math.sqrt(1 / stiffness**2 + k2**2)

    def mismatch(k2):
        k1 = hyperbolic(k2)
        return math.sin(k2) * k1 - math.cos(k2) * k2 * math.tanh(k1)

    flexible = partial * math.pi
    k2 = brentq(mismatch, flexible, flexible + math.pi / 2, xtol=1e-15, rtol=1e-15)
    return stiffness * hyperbolic(k2) * k2 / flexible


def third_order(partial):
    """The B³ term of the exact factor, 1 + 2q²π²/3, from expanding the equation by hand in k₂ = qπ(1 + B + B² + …)."""
    return 1 + 2 * (partial * math.pi) ** 2 / 3


@pytest.mark.parametrize("wire", WIRES)
def test_inharmonicity_is_that_of_piano_makers(wire):
    """Fletcher 1964: B_F = π³ E d⁴/(64 T L²) is π² B0²."""
    modulus, diameter, tension, length = wire
    published = math.pi**3 * modulus * (diameter / 1000) ** 4 / (64 * tension * (length / 1000) ** 2)
    ours = bending_stiffness(*(np.array(value) for value in wire))
    assert math.pi**2 * float(ours) ** 2 == pytest.approx(published, rel=1e-12)


@PARTIALS
def test_flexible_string_is_not_raised_at_all(partial):
    """B → 0: f = q/(2L) √(T/μ), in the formula and in the exact equation."""
    assert partial_factor(0.0, partial) == 1
    assert exact_factor(1e-9, partial) == pytest.approx(1, abs=2e-9)


@PARTIALS
@pytest.mark.parametrize("stiffness", [0.0005, 0.001, 0.002, 0.004, 0.008])
def test_partials_of_a_stiff_string_are_right_to_third_order(stiffness, partial):
    """The formula stops after B²: what it omits is at most the B³ term and a tenth."""
    left_out = exact_factor(stiffness, partial) - partial_factor(stiffness, partial)
    assert 0 < left_out < 1.1 * third_order(partial) * stiffness**3


@PARTIALS
def test_error_of_the_formula_falls_eightfold_when_stiffness_halves(partial):
    """Agreement to order B³ and to no lower: a wrong B² term would fall fourfold."""
    stiffness = np.array([0.008, 0.004, 0.002, 0.001])
    left_out = np.array([exact_factor(b, partial) - partial_factor(b, partial) for b in stiffness])
    np.testing.assert_allclose(left_out[:-1] / left_out[1:], 8, rtol=0.05)


@pytest.mark.parametrize("wire", WIRES)
def test_octave_harmonic_is_as_sharp_as_the_exact_equation_has_it(wire):
    """h = 1200 log2 of second over first partial, to what third order adds."""
    stiffness = float(bending_stiffness(*(np.array(value) for value in wire)))
    exact = 1200 * math.log2(exact_factor(stiffness, 2) / exact_factor(stiffness, 1))
    missed = 1.1 * 1200 / math.log(2) * (third_order(2) - third_order(1)) * stiffness**3
    assert float(octave_harmonic_cents(np.array(stiffness))) == pytest.approx(exact, abs=missed)


# Plain steel: diameter and length in mm, note. Strings of banjo and mandolin, then two of a piano.
STEEL_STRINGS = ((0.254, 666.75, "D4"), (0.356, 666.75, "G3"), (0.279, 352.4, "E5"), (0.381, 352.4, "A4"),
                 (0.9, 620.0, "C4"), (1.0, 1150.0, "C3"))  # fmt: skip


@pytest.mark.parametrize("partial", [2, 3, 4, 6])
@pytest.mark.parametrize("string", STEEL_STRINGS)
def test_partials_of_plain_steel_are_as_sharp_as_young_measured(string, partial):
    """R. W. Young, "Inharmonicity of plain wire piano strings", J. Acoust. Soc. Am. 24 (3), 267 (1952), abstract:
    partial n is 3.4·10¹³ n² d²/(ν₀² l⁴) cents sharp (cm, Hz), with E/ρ = 25.5·10¹⁰ cm²/s².
    Within 2%: our steel has 25.9·10¹⁰.

    His strings may raise all partials alike, and so does the clamped end of the model, by 1 + B + B²: what counts is how
    much sharper a partial is than the first.
    """
    diameter, length, note = string
    one, pitch = np.ones(1), pitch_hz(note)
    of_steel = (STEEL_DENSITY * one, STEEL_DENSITY * one, STEEL_MODULUS_PA * one, pitch * one, one < 0, 0 * one)
    wires = Wires(diameter * one, diameter * one, *of_steel)
    stiffness = float(bring_to_pitch(wires, length * one, 0 * one, 0.0, 0 * one).stiffness[0])
    ours = 1200 * math.log2(partial_factor(stiffness, partial) / partial_factor(stiffness, 1))
    published = 3.4e13 * (partial**2 - 1) * (diameter / 10) ** 2 / (pitch**2 * (length / 10) ** 4)
    assert ours == pytest.approx(published, rel=0.02)


def test_young_s_constant_follows_from_his_modulus():
    """Source as above: 1200/(2 ln 2) · π² E/(64 ρ) cents from F64's B_F = π³ E d⁴/(64 T l²), with T = π ρ d² l² ν₀²."""
    assert 1200 / (2 * math.log(2)) * math.pi**2 / 64 * 25.5e10 == pytest.approx(3.4e13, rel=0.002)


@pytest.mark.parametrize(
    ("note", "r", "rho", "low", "high", "ours"),
    [("E4", 23.6, 0.356, 2.7, 4.2, 3.6), ("B3", 23.8, 0.409, 4.2, 7.5, 4.8), ("G3", 28.8, 0.512, 8.3, 14.0, 9.0)],
)
def test_nylon_strings_are_as_inharmonic_as_a_measured_guitar_s(note, r, rho, low, high, ours):
    """H. Järveläinen and M. Karjalainen, "Importance of inharmonicity in the acoustic guitar": coefficients
    measured on a classical guitar, strings 1 to 3, in 10⁻⁵. Ours, π² B₀², from the strings of AB24's Table 1:
    κ = 2R + 1, B₀ = √κ ρ/(2 · 650).
    """
    tension = 60.0
    modulus = (2 * r + 1) * tension / (math.pi * (rho / 1000) ** 2)
    stiffness = bending_stiffness(*(np.array(value) for value in (modulus, 2 * rho, tension, 650.0)))
    coefficient = 1e5 * math.pi**2 * float(stiffness) ** 2
    assert low <= coefficient <= high, note
    assert coefficient == pytest.approx(ours, abs=0.06)


def clamped_factor(stiffness, partial):
    """How much stiffness raises a partial of a string that is clamped at both ends.

    2 k₁k₂ (1 − cos k₂ cosh k₁) + (k₁² − k₂²) sin k₂ sinh k₁ = 0, over cosh k₁.
    """

    def mismatch(k2):
        k1 = math.sqrt(1 / stiffness**2 + k2**2)
        return 2 * k1 * k2 * (math.exp(-k1) * 2 - math.cos(k2)) + (k1**2 - k2**2) * math.sin(k2) * math.tanh(k1)

    flexible = partial * math.pi
    k2 = brentq(mismatch, flexible, flexible + math.pi / 2, xtol=1e-15, rtol=1e-15)
    return stiffness * math.sqrt(1 / stiffness**2 + k2**2) * k2 / flexible


@pytest.mark.parametrize("stiffness", [0.001, 0.002, 0.004])
def test_bridge_that_clamps_the_string_belongs_farther_by_its_bending_length(stiffness):
    """By the exact equations: λ = B₀X₀ from where a bridge that pins it belongs, within 3%.

    So ends that hold a string tighter or looser than the model's, which is clamped at the fret and pinned at the bridge,
    move the line by a share of λ (geometry/tolerance.py). Length 1; the octave harmonic against a note fretted halfway.
    """

    def comparison(setback, bridge):
        open_string, fretted = 1 + setback, 0.5 + setback
        harmonic = bridge(stiffness / open_string, 2) * 2 / open_string
        return bridge(stiffness / fretted, 1) / fretted - harmonic

    pinned, clamped = (
        brentq(comparison, -0.2, 0.2, args=(bridge,), xtol=1e-14) for bridge in (exact_factor, clamped_factor)
    )
    assert clamped - pinned == pytest.approx(stiffness, rel=0.03)
