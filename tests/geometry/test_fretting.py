"""The model of a fretted string: its limits, its symmetries, and its derivative."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.frets import equal_steps_mm, wanted_ratios
from geometry.fretting import (
    FrettedStrings,
    error_cents,
    octave_cents,
    octave_cents_per_mm,
    octave_harmonic_cents,
    relief_fall_mm,
    rise_mm,
    squared_error,
)

FRETS = 20

steady = settings(deadline=None, derandomize=True)


def fretted(scale, nut=0.0, rise=0.0, relief=0.0, finger=0.0, press=0.0, stretch=0.0, stiffness=0.0):
    """Strings with twenty frets of equal steps; each argument one number, or one for each string."""
    columns = np.broadcast_arrays(*(np.atleast_1d(x) for x in (scale, nut, rise, finger, press, stretch, stiffness)))
    length, nut_height, bridge_rise, behind, depth, kappa, bending = (
        np.array(column, dtype=float) for column in columns
    )
    to_bridge = np.array([equal_steps_mm(float(one), FRETS) for one in length])
    return FrettedStrings(
        length_mm=length,
        to_bridge_mm=to_bridge,
        wanted=np.broadcast_to(wanted_ratios(FRETS), to_bridge.shape),
        has_fret=to_bridge > 0,
        nut_height_mm=nut_height,
        rise_mm=bridge_rise,
        fall_mm=relief_fall_mm(np.array(relief), length, to_bridge),
        finger_mm=behind,
        press_mm=depth,
        stretch=kappa,
        stiffness=bending,
    )


def alone(strings, i):
    """One of the strings as a model of its own."""
    values = {name: value[i : i + 1] for name, value in vars(strings).items()}
    return FrettedStrings(**values)


scales = st.floats(330, 700)
nuts = st.floats(0, 1)
rises = st.floats(0, 8)
reliefs = st.floats(0, 0.4)
fingers = st.floats(0, 8)
stretches = st.floats(10, 400)
stiffnesses = st.floats(0, 0.008)
setbacks = st.floats(-6, 8)
nut_setbacks = st.floats(-1.5, 0.5)
inputs = (scales, nuts, rises, reliefs, fingers, stretches, stiffnesses)
models = st.builds(fretted, *inputs)


def at(*values):
    return tuple(np.array([value]) for value in values)


@steady
@given(scales, fingers, st.floats(0, 400))
def test_string_that_lies_on_its_frets_is_in_tune_everywhere(scale, finger, stretch):
    """No height, no stiffness, no setback: nothing is stretched, wherever the finger is."""
    cents = error_cents(fretted(scale, finger=finger, stretch=stretch), *at(0.0, 0.0))
    np.testing.assert_allclose(cents, 0, atol=1e-9)


@steady
@given(scales, st.floats(0, 400), setbacks, nut_setbacks)
def test_without_height_or_stiffness_only_the_lengths_count(scale, stretch, saddle, nut):
    """Then e_n = 1200 log2((X0 + ΔS + ΔN)/(γ_n (X_n + ΔS)))."""
    ratio = 2 ** (np.arange(1, FRETS + 1) / 12)
    expected = 1200 * np.log2((scale + saddle + nut) / (ratio * (scale / ratio + saddle)))
    cents = error_cents(fretted(scale, stretch=stretch), *at(saddle, nut))
    np.testing.assert_allclose(cents[0], expected, rtol=0, atol=1e-9)


@steady
@given(*inputs, setbacks, nut_setbacks, st.floats(0.3, 3))
def test_instrument_of_twice_the_size_is_as_far_out_of_tune(
    scale, nut, rise, relief, finger, stretch, stiffness, saddle, cut, size
):
    """Cents depend on ratios of lengths only."""
    small = fretted(scale, nut, rise, relief, finger, stretch, stiffness)
    lengths = [size * value for value in (scale, nut, rise, relief, finger)]
    np.testing.assert_allclose(
        error_cents(fretted(*lengths, stretch, stiffness), *at(size * saddle, size * cut)),
        error_cents(small, *at(saddle, cut)),
        rtol=0,
        atol=1e-8,
    )


@steady
@given(models, setbacks, nut_setbacks, st.floats(1, 100))
def test_stretchier_string_never_reads_flatter(string, saddle, nut, more):
    """The way over a fret is never shorter than the straight one, so more κ is more pitch."""
    firmer = replace(string, stretch=string.stretch + more)
    place = at(saddle, nut)
    assert np.all(error_cents(firmer, *place) - error_cents(string, *place) > -1e-8)


@steady
@given(models, nut_setbacks, setbacks, st.floats(0.01, 3))
def test_bridge_farther_from_the_nut_flattens_the_octave(string, nut, saddle, farther):
    assert octave_cents(string, *at(saddle + farther, nut)) < octave_cents(string, *at(saddle, nut))


@steady
@given(models, setbacks, nut_setbacks)
def test_cents_per_millimetre_are_the_slope_of_the_readings(string, saddle, nut):
    """The complex step against central differences, good to h² and to rounding over h."""
    h = 0.01
    above, below = octave_cents(string, *at(saddle + h, nut)), octave_cents(string, *at(saddle - h, nut))
    slope = octave_cents_per_mm(string, *at(saddle, nut))
    np.testing.assert_allclose(slope, (above - below) / (2 * h), rtol=1e-6)


@steady
@given(st.lists(st.tuples(scales, nuts, rises, fingers, stretches, stiffnesses, setbacks), min_size=2, max_size=6))
def test_strings_do_not_disturb_each_other(rows):
    """All at once is what each gives alone."""
    *columns, saddle = np.array(rows).T
    scale, nut, rise, finger, stretch, stiffness = columns
    strings = fretted(scale, nut, rise, 0.1, finger, stretch, stiffness)
    uncut = np.zeros(len(rows))
    together = error_cents(strings, saddle, uncut)
    octaves = octave_cents(strings, saddle, uncut)
    for i in range(len(rows)):
        place = saddle[i : i + 1], uncut[i : i + 1]
        np.testing.assert_allclose(together[i], error_cents(alone(strings, i), *place)[0], rtol=0, atol=1e-9)
        np.testing.assert_allclose(octaves[i], octave_cents(alone(strings, i), *place)[0], rtol=0, atol=1e-9)


@steady
@given(models, st.lists(st.tuples(setbacks, nut_setbacks), min_size=1, max_size=5))
def test_many_bridge_places_at_once_are_those_one_by_one(string, places):
    saddle, nut = (np.array(column)[:, None] for column in zip(*places, strict=True))
    together = error_cents(string, saddle, nut)
    assert together.shape == (len(places), 1, FRETS)
    for i, place in enumerate(places):
        np.testing.assert_allclose(together[i], error_cents(string, *at(*place)), rtol=0, atol=1e-9)


@steady
@given(models, setbacks, nut_setbacks)
def test_single_numbers_and_arrays_give_the_same_pitch(string, saddle, nut):
    heights = string.nut_height_mm[:, None] + string.fall_mm
    cents = error_cents(string, *at(saddle, nut))[0]
    shared = (string.rise_mm, string.finger_mm, string.press_mm, string.stretch, string.stiffness)
    for n in range(FRETS):
        own = (string.length_mm[0], string.to_bridge_mm[0, n], heights[0, n], *(value[0] for value in shared))
        square = squared_error(*(float(value) for value in own), saddle, nut)
        assert isinstance(square, float)
        assert 600 * np.log2(square / string.wanted[0, n] ** 2) == pytest.approx(cents[n], abs=1e-9)


@steady
@given(models, setbacks)
def test_bench_hears_the_twelfth_fret_against_the_harmonic(string, saddle):
    place = at(saddle, 0.0)
    twelfth = error_cents(string, *place)[:, 11]
    np.testing.assert_allclose(octave_cents(string, *place), twelfth - octave_harmonic_cents(string.stiffness))


@steady
@given(st.floats(0, 0.01), st.floats(1e-4, 0.01))
def test_octave_harmonic_is_sharper_on_a_stiffer_string(stiffness, more):
    assert octave_harmonic_cents(np.array(0.0)) == 0
    assert octave_harmonic_cents(np.array(stiffness + more)) > octave_harmonic_cents(np.array(stiffness))


@steady
@given(scales, nuts, reliefs, st.floats(0.2, 6))
def test_action_over_the_twelfth_fret_is_what_was_measured(scale, nut, relief, above):
    """The string's height at half its length, b + c/2, and the fall of the fret tops make up h12 again."""
    action = nut + relief + above
    rise = rise_mm(np.array(nut), np.array(action), np.array(relief))
    fall = relief_fall_mm(np.array(relief), np.array([scale]), np.array([[scale, scale / 2]]))
    assert nut + float(rise) / 2 + fall[0, 1] == pytest.approx(action, rel=1e-12)
    assert fall[0, 0] == 0


@steady
@given(models, st.integers(1, FRETS), st.integers(1, FRETS), setbacks)
def test_some_frets_alone_read_as_they_do_among_all(string, one, other, saddle):
    first, last = sorted((one, other))
    place = at(saddle, 0.0)
    some = error_cents(string.at_frets(first, last), *place)
    np.testing.assert_allclose(some, error_cents(string, *place)[:, first - 1 : last], rtol=0, atol=1e-9)
