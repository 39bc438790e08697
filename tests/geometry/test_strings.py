"""Strings: the laws that tension, stretch, stiffness and mass must keep."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from geometry.strings import (
    A228_DIAMETERS_IN,
    NoteError,
    bending_stiffness,
    permissible_variation_mm,
    pitch_hz,
    slipping_stretch,
    steel_strength_pa,
    strength_ratio,
    stretch_constant,
    tension_n,
    unit_mass_kg_per_m,
)

steady = settings(deadline=None, derandomize=True)

masses = st.floats(1e-4, 2e-2)
lengths = st.floats(150, 1500)
pitches = st.floats(20, 2500)
factors = st.floats(0.2, 5)
diameters = st.floats(0.1, 2)
moduli = st.floats(1e9, 3e11)
tensions = st.floats(10, 300)
densities = st.floats(1000, 9000)


@steady
@given(masses, lengths, pitches, factors)
def test_tension_grows_with_the_square_of_pitch_and_of_length(mass, length, pitch, factor):
    tension = tension_n(mass, length, pitch)
    assert tension_n(mass, length, factor * pitch) == pytest.approx(factor**2 * tension, rel=1e-12)
    assert tension_n(mass, factor * length, pitch) == pytest.approx(factor**2 * tension, rel=1e-12)
    assert tension_n(factor * mass, length, pitch) == pytest.approx(factor * tension, rel=1e-12)


@steady
@given(masses, lengths, pitches)
def test_string_at_its_tension_sounds_at_its_pitch(mass, length, pitch):
    """A wave runs at √(T/μ) and crosses the string twice in a period."""
    speed = np.sqrt(tension_n(mass, length, pitch) / mass)
    assert speed / (2 * length / 1000) == pytest.approx(pitch, rel=1e-12)


@steady
@given(moduli, diameters, tensions, st.floats(1e-6, 1e-3))
def test_stretched_string_pulls_as_hookes_law_says(modulus, core, tension, strain):
    stress = modulus * strain
    added = stress * np.pi * (core / 1000) ** 2 / 4
    assert stretch_constant(modulus, core, tension) * strain * tension == pytest.approx(added, rel=1e-12)


@steady
@given(moduli, diameters, tensions, lengths)
def test_stiffness_follows_from_stretch_and_thickness(modulus, core, tension, length):
    """Round wire: E I = E A ρ²/4, so B0 = √κ ρ/(2 L0)."""
    stretch = stretch_constant(modulus, core, tension)
    expected = np.sqrt(stretch) * (core / 2) / (2 * length)
    assert bending_stiffness(modulus, core, tension, length) == pytest.approx(expected, rel=1e-12)


@steady
@given(moduli, diameters, tensions, lengths, factors)
def test_thick_short_slack_strings_are_the_stiff_ones(modulus, core, tension, length, factor):
    before = bending_stiffness(modulus, core, tension, length)
    assert bending_stiffness(modulus, factor * core, tension, length) == pytest.approx(factor**2 * before, rel=1e-12)
    assert bending_stiffness(modulus, core, tension, factor * length) == pytest.approx(before / factor, rel=1e-12)
    assert bending_stiffness(modulus, core, factor**2 * tension, length) == pytest.approx(before / factor, rel=1e-12)
    assert bending_stiffness(factor**2 * modulus, core, tension, length) == pytest.approx(before * factor, rel=1e-12)


@steady
@given(diameters, densities, densities)
def test_string_with_no_room_for_a_wrap_weighs_as_a_plain_one(gauge, core_density, wrap_density):
    plain = core_density * np.pi * (gauge / 1000) ** 2 / 4
    assert unit_mass_kg_per_m(gauge, gauge, core_density, wrap_density) == pytest.approx(plain, rel=1e-12)


@steady
@given(diameters, st.floats(0.2, 0.9), densities, densities)
def test_wrap_weighs_as_a_coil_of_rings(gauge, share, core_density, wrap_density):
    """A turn is a ring of wire; its volume is integrated shell by shell, one ring on each wire diameter of core."""
    core = share * gauge
    wire, middle = (gauge - core) / 2, (gauge + core) / 4

    def shell(height):
        """Volume per angle, as r = middle + wire/2 · sin(angle)."""
        half = wire / 2
        return 2 * np.pi * (middle + half * np.sin(height)) * 2 * half * np.cos(height) * half * np.cos(height)

    ring_mm3 = quad(shell, -np.pi / 2, np.pi / 2)[0]
    wrap = wrap_density * ring_mm3 / wire * 1e-6
    plain = core_density * np.pi * core**2 / 4 * 1e-6
    ours = unit_mass_kg_per_m(gauge, core, core_density, wrap_density)
    assert ours == pytest.approx(plain + wrap, rel=1e-9)


@steady
@given(st.floats(1, 500), st.floats(0, 1), st.floats(1, 1000), lengths)
def test_slip_shares_the_stretch_with_the_rest_of_the_string(stretch, slip, outside, length):
    assert slipping_stretch(stretch, 0.0, outside, length) == stretch
    whole = slipping_stretch(stretch, 1.0, outside, length)
    assert whole * (length + outside) == pytest.approx(stretch * length, rel=1e-12)
    assert whole <= slipping_stretch(stretch, slip, outside, length) <= stretch


@steady
@given(diameters, st.floats(0.05, 1.5))
def test_load_is_the_share_of_what_the_wire_bears(core, share):
    breaking = steel_strength_pa(core) * np.pi * (core / 2000) ** 2
    assert strength_ratio(share * breaking, core) == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize("end", [A228_DIAMETERS_IN[0], A228_DIAMETERS_IN[-1]])
@steady
@given(factor=st.floats(1, 4))
def test_wire_beyond_the_table_goes_on_by_the_power_law(end, factor):
    """S = A/d^0.145; Shigley's Mechanical Engineering Design, from memory."""
    beyond = end * factor if end == A228_DIAMETERS_IN[-1] else end / factor
    expected = steel_strength_pa(25.4 * end) * (beyond / end) ** -0.145
    assert steel_strength_pa(25.4 * beyond) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("one", "other"),
    [("F#3", "Gb3"), ("F♯3", "G♭3"), ("B#3", "C4"), ("Cb4", "B3"), ("E#4", "F4"), ("d4", "D4"), (" A4 ", "A4")],
)
def test_two_spellings_of_a_note_sound_alike(one, other):
    assert pitch_hz(one) == pitch_hz(other)


@steady
@given(st.sampled_from(["C", "D", "E", "F", "G", "A", "B"]), st.sampled_from(["", "#", "b"]), st.integers(0, 8))
def test_octaves_double_the_pitch_and_follow_the_tuning_fork(letter, accidental, octave):
    low = pitch_hz(f"{letter}{accidental}{octave}")
    assert pitch_hz(f"{letter}{accidental}{octave + 1}") == pytest.approx(2 * low, rel=1e-14)
    assert pitch_hz(f"{letter}{accidental}{octave}", 442.0) == pytest.approx(low * 442 / 440, rel=1e-14)


@pytest.mark.parametrize("text", ["", "D", "4", "H3", "D##4", "D 4", "D4.5", "Dm4", "D44", "D4 E4", "440", "E٤"])
def test_text_that_is_not_a_note_is_refused_as_it_was_written(text):
    with pytest.raises(NoteError) as refusal:
        pitch_hz(f" {text}")
    assert (refusal.value.code, refusal.value.text) == ("note-unread", f" {text}")


def test_wire_thicker_than_the_standard_lists_is_held_as_closely_as_the_thickest_listed():
    """ASTM A228/A228M ends at 0.063 in, with 0.0004 in to either side."""
    assert permissible_variation_mm(25.4 * np.array([0.063, 0.064, 0.2])) == pytest.approx(25.4 * 0.0004)
