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
from geometry.strings import bending_stiffness

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
