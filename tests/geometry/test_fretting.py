"""The model of a fretted string: its limits, its symmetries, and its derivative."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import PRESETS, preset

from geometry.frets import equal_steps_mm, wanted_ratios
from geometry.fretting import (
    NUDGE,
    FrettedStrings,
    error_cents,
    octave_cents,
    octave_cents_per_mm,
    octave_harmonic_cents,
    octave_tension_ratio,
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
fingers = st.floats(0, 15)
presses = st.floats(0, 0.6)
stretches = st.floats(10, 400)
stiffnesses = st.floats(0, 0.008)
setbacks = st.floats(-6, 8)
nut_setbacks = st.floats(-1.5, 0.5)
inputs = (scales, nuts, rises, reliefs, fingers, presses, stretches, stiffnesses)
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
    scale, nut, rise, relief, finger, press, stretch, stiffness, saddle, cut, size
):
    """Cents depend on ratios of lengths only."""
    small = fretted(scale, nut, rise, relief, finger, press, stretch, stiffness)
    lengths = [size * value for value in (scale, nut, rise, relief, finger, press)]
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


def straight_depth(string, saddle):
    """How deep the straight string from the bridge over each fret is where the finger presses."""
    over_bridge = string.nut_height_mm[:, None] + string.fall_mm + string.rise_mm[:, None]
    return over_bridge * string.finger_mm[:, None] / (string.to_bridge_mm + saddle)


def by_hand(string, saddle, nut, silent):
    """AB24's four terms, from the length of the silent part, nut to fret."""
    along, c = string.to_bridge_mm[0] + saddle, string.rise_mm[0]
    sounding = np.hypot(along, string.nut_height_mm[0] + string.fall_mm[0] + c)
    whole = np.hypot(string.length_mm[0] + saddle + nut, c)
    stretch = (sounding + silent - whole) / whole
    tension = 1 + string.stretch[0] * stretch
    stiffness = string.stiffness[0] * whole / sounding / np.sqrt(tension)

    def bracket(b):
        return 1 + b + (1 + np.pi**2 / 2) * b**2

    return (
        1200 * np.log2(whole / (string.wanted[0] * sounding))
        + 600 * np.log2(1 + stretch)
        + 600 * np.log2(tension)
        + 1200 * np.log2(bracket(stiffness) / bracket(string.stiffness[0]))
    )


@steady
@given(models, setbacks, nut_setbacks)
def test_finger_on_the_straight_string_reads_as_published(string, saddle, nut):
    """AB24's silent part, L'ₙ = Lₙ d/(Xₙ + ΔS) + √((X₀ − Xₙ + ΔN − d)² + (b + Δyₙ + (b + Δyₙ + c) d/(Xₙ + ΔS))²)."""
    along, fall = string.to_bridge_mm[0] + saddle, string.nut_height_mm[0] + string.fall_mm[0]
    d, c, scale = string.finger_mm[0], string.rise_mm[0], string.length_mm[0]
    sounding = np.hypot(along, fall + c)
    behind = scale - string.to_bridge_mm[0] + nut - d
    silent = sounding * d / along + np.hypot(behind, fall + (fall + c) * d / along)
    expected = by_hand(string, saddle, nut, silent)
    depths = straight_depth(string, saddle)[0]
    for n in range(FRETS):
        pressed = replace(string.at_frets(n + 1, n + 1), press_mm=depths[n : n + 1])
        assert error_cents(pressed, *at(saddle, nut))[0, 0] == pytest.approx(expected[n], abs=1e-9)


@steady
@given(models, setbacks, nut_setbacks, st.floats(0, 0.6))
def test_finger_below_the_straight_string_takes_string_on_both_sides(string, saddle, nut, deeper):
    """From the fret down to the finger, and up to the nut: √(d² + p²) + √((X₀ − Xₙ + ΔN − d)² + (b + Δyₙ + p)²)."""
    fall = string.nut_height_mm[0] + string.fall_mm[0]
    d, press = string.finger_mm[0], straight_depth(string, saddle).max() + deeper
    behind = string.length_mm[0] - string.to_bridge_mm[0] + nut - d
    expected = by_hand(string, saddle, nut, np.hypot(d, press) + np.hypot(behind, fall + press))
    pressed = replace(string, press_mm=np.array([press]))
    np.testing.assert_allclose(error_cents(pressed, *at(saddle, nut))[0], expected, rtol=0, atol=1e-9)


@steady
@given(models, setbacks, nut_setbacks, st.floats(0, 1))
def test_finger_above_the_straight_string_counts_as_on_it(string, saddle, nut, share):
    """It cannot be there: the string is."""
    above = replace(string, press_mm=share * straight_depth(string, saddle).min(axis=1))
    light = replace(string, press_mm=np.zeros(1))
    assert np.array_equal(error_cents(above, *at(saddle, nut)), error_cents(light, *at(saddle, nut)))


@steady
@given(models, setbacks, nut_setbacks, st.floats(0, 1))
def test_deeper_press_never_reads_flatter(string, saddle, nut, deeper):
    firm = replace(string, press_mm=string.press_mm + deeper)
    place = at(saddle, nut)
    assert np.all(error_cents(firm, *place) - error_cents(string, *place) > -1e-9)


NUDGED = ("length_mm", "to_bridge_mm", "nut_height_mm", "rise_mm", "fall_mm", "finger_mm", "press_mm")


@settings(steady, max_examples=25)
@given(models.filter(lambda string: string.finger_mm[0] >= 1), setbacks, nut_setbacks)
def test_complex_step_is_the_slope_by_every_input(string, saddle, nut):
    """Against central differences of fourth order; not at frets where finger and straight string are just as deep."""
    apart = abs(straight_depth(string, saddle) - string.press_mm[:, None])[0] > 0.02
    place = {"saddle": np.array([saddle]), "nut": np.array([nut])}
    steps = {**dict.fromkeys((*NUDGED, *place), 1e-3), "stretch": 0.1, "stiffness": 1e-4}

    def moved(name, step):
        changed = replace(string, **{name: vars(string)[name] + step}) if name not in place else string
        return error_cents(changed, *(value + step * (key == name) for key, value in place.items()))[0]

    for name, h in steps.items():
        slope = moved(name, 1j * NUDGE).imag / NUDGE
        near, far = (moved(name, k * h) - moved(name, -k * h) for k in (1, 2))
        differences = (8 * near - far) / (12 * h)
        np.testing.assert_allclose(slope[apart], differences[apart], rtol=1e-6, atol=1e-10 / h, err_msg=name)


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
@given(st.lists(st.tuples(*(one for one in inputs if one is not reliefs), setbacks), min_size=2, max_size=6))
def test_strings_do_not_disturb_each_other(rows):
    """All at once is what each gives alone."""
    *columns, saddle = np.array(rows).T
    scale, nut, rise, finger, press, stretch, stiffness = columns
    strings = fretted(scale, nut, rise, 0.1, finger, press, stretch, stiffness)
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
@given(models, setbacks, st.lists(st.integers(1, FRETS), min_size=2, max_size=FRETS, unique=True))
def test_bench_compares_at_the_fret_that_sounds_the_octave(string, saddle, kept):
    """A board of some of the twenty frets: fret 12 of the whole board where it is among them, or the nearest to it."""
    columns = np.array(sorted(kept)) - 1
    board = replace(
        string,
        to_bridge_mm=string.to_bridge_mm[:, columns],
        wanted=string.wanted[:, columns],
        has_fret=string.has_fret[:, columns],
        fall_mm=string.fall_mm[:, columns],
    )
    fretted_cents = error_cents(string, *at(saddle, 0.0))[0, columns]
    # Steps are as wide at either side of the octave, in pitch; in ratio the lower one is nearer.
    nearest = min(range(len(columns)), key=lambda n: abs(2 ** ((columns[n] + 1) / 12) - 2))
    expected = fretted_cents[nearest] - octave_harmonic_cents(string.stiffness)[0]
    assert octave_cents(board, *at(saddle, 0.0))[0] == pytest.approx(expected, abs=1e-9)


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


@pytest.mark.parametrize("name", PRESETS)
def test_tension_at_the_octave_is_that_of_the_lengths_written_out(name):
    """L₀ = √((X₀+ΔS+ΔN)² + c²) and so on, as the docstring of `error_cents` has them."""
    workup = preset(name)
    model, back, nut = workup.model.at_octave, workup.setback_on_mm(workup.line), workup.setbacks.nut_setback_mm
    x, height, rise, d = (
        model.to_bridge_mm[:, 0],
        model.nut_height_mm + model.fall_mm[:, 0],
        model.rise_mm,
        model.finger_mm,
    )
    whole = np.hypot(model.length_mm + back + nut, rise)
    sounding = np.hypot(x + back, height + rise)
    depth = np.maximum(model.press_mm, (height + rise) * d / (x + back))
    silent = np.hypot(d, depth) + np.hypot(model.length_mm - x + nut - d, height + depth)
    tenser = 1 + model.stretch * ((sounding + silent) / whole - 1)
    found = octave_tension_ratio(workup.model, back, nut)
    np.testing.assert_allclose(found, tenser * (2 * sounding / whole) ** 2, rtol=1e-12)


def test_a_single_fret_each_is_all_that_is_left_at_the_octave():
    for name in ("banjo", "mountain-dulcimer"):
        one = preset(name).model.at_octave
        shapes = {key: np.shape(getattr(one, key))[-1] for key in ("to_bridge_mm", "wanted", "has_fret", "fall_mm")}
        assert set(shapes.values()) == {1}, shapes
        assert one.has_fret.all()
