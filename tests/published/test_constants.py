"""Constants and tables of others: pitch, units, wire, frets and paper."""

from fractions import Fraction
from itertools import pairwise

import mpmath
import numpy as np
import pytest

from geometry.frets import EIGHTEEN, equal_steps_mm, rule_of_eighteen_mm
from geometry.lengths import MM_PER_INCH, parse_mm
from geometry.strings import (
    A4_HZ,
    GRAMS_PER_POUND,
    NEWTONS_PER_POUND_FORCE,
    PA_PER_KSI,
    STEEL_MODULUS_PA,
    permissible_variation_mm,
    pitch_hz,
    steel_strength_pa,
    strength_ratio,
)
from jigs.sheets.paper import PAPERS, paper_named

# ASTM A228/A228M: diameter in inches, minimum tensile strength in ksi.
A228 = (
    (0.008, 399),
    (0.009, 393),
    (0.010, 387),
    (0.011, 382),
    (0.012, 377),
    (0.013, 373),
    (0.014, 369),
    (0.016, 362),
    (0.018, 356),
    (0.020, 350),
    (0.024, 341),
)


def strength_ksi(diameter_in):
    return steel_strength_pa(25.4 * np.asarray(diameter_in)) / 6894757.293168


def test_a_is_at_440_hz():
    """ISO 16:1975."""
    assert A4_HZ == 440
    assert pitch_hz("A4") == 440


@pytest.mark.parametrize(
    ("note", "number"),
    [
        ("C-1", 0),
        ("E2", 40),
        ("C3", 48),
        ("D3", 50),
        ("G3", 55),
        ("B3", 59),
        ("C4", 60),
        ("D4", 62),
        ("F#4", 66),
        ("Bb4", 70),
        ("E5", 76),
        ("G9", 127),
    ],
)
def test_notes_sound_at_the_pitch_of_their_note_number(note, number):
    """MIDI 1.0: note 69 is A4, note 60 middle C; f = 440 · 2^((m − 69)/12)."""
    assert pitch_hz(note) == pytest.approx(440 * 2 ** ((number - 69) / 12), rel=1e-14)


def test_inch_is_exact():
    """NIST SP 811: 1 in = 25.4 mm."""
    assert Fraction("25.4") == MM_PER_INCH
    assert parse_mm("10 in") == 254


def test_pound_and_pound_force_are_exact():
    """NIST SP 811: 1 lb = 453.59237 g, 1 lbf = 4.4482216152605 N."""
    assert GRAMS_PER_POUND == 453.59237
    assert NEWTONS_PER_POUND_FORCE == 4.4482216152605


def test_ksi_is_a_thousand_pounds_force_on_a_square_inch():
    """NIST SP 811: 1 ksi = 6 894 757.293168 Pa, which follows from its inch and its pound-force."""
    derived = 1000 * Fraction("4.4482216152605") / Fraction("0.0254") ** 2
    assert float(derived) == pytest.approx(6894757.293168, abs=1e-6)
    assert pytest.approx(float(derived), rel=1e-14) == PA_PER_KSI


@pytest.mark.parametrize(("diameter_in", "ksi"), A228)
def test_wire_bears_what_the_standard_says(diameter_in, ksi):
    """ASTM A228/A228M, minimum tensile strength."""
    assert float(strength_ksi(diameter_in)) == pytest.approx(ksi, abs=1e-7)
    assert float(steel_strength_pa(np.array(25.4 * diameter_in)) / PA_PER_KSI) == pytest.approx(ksi, abs=1e-9)


def test_load_is_full_where_the_standard_lets_a_wire_break():
    """ASTM A228/A228M: 387 ksi on a 0.010 in wire is a load of 100%."""
    newtons = 387 * 6894757.293168 * np.pi * (0.010 * 0.0254 / 2) ** 2
    assert float(strength_ratio(np.array(newtons), np.array(0.254))) == pytest.approx(1, rel=1e-9)


@pytest.mark.parametrize(
    ("diameter_in", "variation_in"),
    [
        (0.004, 0.0002),
        (0.0095, 0.0002),
        (0.010, 0.0002),
        (0.0105, 0.0003),
        (0.028, 0.0003),
        (0.029, 0.0004),
        (0.063, 0.0004),
    ],
)
def test_wire_may_be_as_far_off_its_gauge_as_the_standard_says(diameter_in, variation_in):
    """ASTM A228/A228M, permissible variation in diameter: 0.0002 in up to 0.010 in, 0.0003 to 0.028, 0.0004 to 0.063."""
    for diameter_mm in (25.4 * diameter_in, parse_mm(f"{diameter_in} in")):
        variation = permissible_variation_mm(np.array(float(diameter_mm)))
        assert float(variation) == pytest.approx(25.4 * variation_in, rel=1e-12)


def test_thicker_wire_is_never_called_stronger():
    """ASTM A228/A228M falls from row to row; so must all between its rows and beyond its ends."""
    strengths = strength_ksi(np.linspace(0.004, 0.060, 2801))
    assert np.all(np.diff(strengths) < 0)


def test_wire_between_two_rows_bears_something_between_them():
    """ASTM A228/A228M."""
    for (thin, strong), (thick, weak) in pairwise(A228):
        assert weak < float(strength_ksi((thin + thick) / 2)) < strong


def test_strength_agrees_with_the_textbook_formula():
    """Shigley's Mechanical Engineering Design, from memory: S = 201 ksi/d^0.145, 392 ksi at 0.010 in; within 2%."""
    assert pytest.approx(392, abs=0.5) == 201 / 0.010**0.145
    diameters = np.linspace(0.006, 0.040, 35)
    np.testing.assert_allclose(strength_ksi(diameters), 201 / diameters**0.145, rtol=0.02)


def test_steel_is_as_stiff_as_the_textbook_says():
    """Shigley's Mechanical Engineering Design, from memory: 29.5 Mpsi for thin music wire."""
    assert pytest.approx(29.5e3 * 6894757.293168, rel=1e-3) == STEEL_MODULUS_PA


def test_divisor_of_equal_steps():
    """From the twelfth root of two, in fifty digits: 17.817153745."""
    with mpmath.workdps(50):
        divisor = 1 / (1 - mpmath.mpf(2) ** (-mpmath.mpf(1) / 12))
    assert float(divisor) == pytest.approx(17.817153745, abs=5e-10)
    left = np.concatenate(([666.75], equal_steps_mm(666.75, 24)))
    np.testing.assert_allclose(left[:-1] / -np.diff(left), float(divisor), rtol=1e-12)


def test_rule_of_eighteen_steps_short():
    """18:17 is 98.955 cents."""
    assert EIGHTEEN == 18
    left = np.concatenate(([666.75], rule_of_eighteen_mm(666.75, 24)))
    np.testing.assert_allclose(1200 * np.log2(left[:-1] / left[1:]), 98.955, atol=5e-4)


def test_a4_and_a3_sheets_are_the_standard_ones():
    """ISO 216: A0 is 841 mm × 1189 mm, each next size halves the longer side, rounded down."""
    sizes = [(841, 1189)]
    for _ in range(4):
        short, long = sizes[-1]
        sizes.append((long // 2, short))
    assert sizes[3:] == [(297, 420), (210, 297)]
    for name, size in zip(("a3", "a4"), sizes[3:], strict=True):
        assert (PAPERS[name].width_mm, PAPERS[name].height_mm) == size


@pytest.mark.parametrize(("name", "width", "height"), [("letter", 215.9, 279.4), ("tabloid", 279.4, 431.8)])
def test_letter_and_tabloid_sheets_are_the_standard_ones(name, width, height):
    """ANSI/ASME Y14.1, sizes A and B: 8.5 in × 11 in and 11 in × 17 in."""
    paper = paper_named(name)
    assert (paper.width_mm, paper.height_mm) == pytest.approx((width, height), abs=1e-9)
