"""The straight bridge: which strings it passes, where its feet stand, and how its ends move."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bridge import (
    BridgeFit,
    BridgeLine,
    end_movement_factor,
    feet_outline_mm,
    feet_windows_mm,
    outer_strings,
    straight_line,
)

SCALE = 666.75

steady = settings(deadline=None, derandomize=True)

spacings = st.floats(20, 60)
lines = st.builds(BridgeLine, st.floats(300, 800), st.floats(-0.3, 0.3))
strings = st.lists(st.tuples(st.floats(-2, 12), st.floats(-6, -1.5), st.booleans()), min_size=2, max_size=8)


def fitted(rows, spacing, fit):
    """The line through strings of (setback, cents/mm, full length), and their places, setbacks and slopes."""
    setback, slope, full = (np.array(column) for column in zip(*rows, strict=True))
    full[0] = True
    across = np.linspace(spacing / 2, -spacing / 2, len(rows))
    return straight_line(SCALE, across, setback, slope, full, fit), across, setback, slope, full


@steady
@given(strings, spacings)
def test_bridge_through_the_outer_strings_stands_right_for_both(rows, spacing):
    line, across, setback, _, full = fitted(rows, spacing, BridgeFit.OUTER)
    outer = np.flatnonzero(full)[[0, -1]]
    np.testing.assert_allclose(line.at(across[outer]), SCALE + setback[outer], rtol=0, atol=1e-9)


@steady
@given(strings, spacings, st.floats(-3, 3), st.floats(-0.1, 0.1))
def test_no_other_straight_bridge_leaves_less_when_all_strings_count(rows, spacing, shift, turn):
    line, across, setback, slope, _ = fitted(rows, spacing, BridgeFit.ALL)

    def left(any_line):
        return np.sum((slope * (any_line.at(across) - SCALE - setback)) ** 2)

    elsewhere = BridgeLine(line.centre_mm + shift, line.slope + turn)
    assert left(line) <= left(elsewhere) + 1e-9


@steady
@given(strings, spacings)
def test_line_of_all_strings_is_the_one_that_numpy_fits_with_their_weights(rows, spacing):
    line, across, setback, slope, _ = fitted(rows, spacing, BridgeFit.ALL)
    turn, centre = np.polyfit(across, setback, 1, w=abs(slope))
    assert (line.slope, line.centre_mm) == pytest.approx((turn, SCALE + centre), abs=1e-9)


@steady
@given(st.lists(st.floats(-6, -1.5), min_size=2, max_size=8), spacings, lines)
def test_strings_that_need_a_straight_bridge_get_it(slopes, spacing, wanted):
    across = np.linspace(spacing / 2, -spacing / 2, len(slopes))
    setback, full = wanted.at(across) - SCALE, np.full(len(slopes), True)
    for fit in BridgeFit:
        line = straight_line(SCALE, across, setback, np.array(slopes), full, fit)
        assert (line.centre_mm, line.slope) == pytest.approx((wanted.centre_mm, wanted.slope), abs=1e-9)


@pytest.mark.parametrize("fit", BridgeFit)
def test_single_string_gets_a_square_bridge(fit):
    line = straight_line(SCALE, np.zeros(1), np.array([2.5]), np.array([-2.6]), np.array([True]), fit)
    assert (line.centre_mm, line.slope) == (SCALE + 2.5, 0)


@steady
@given(spacings, st.floats(-30, 30), st.floats(300, 800), st.floats(-6, 6))
def test_line_through_two_places_passes_both(spacing, off, treble, farther):
    """Whichever side the first is on, and wherever the middle between them lies."""
    for across in (np.array([off + spacing / 2, off - spacing / 2]), np.array([off - spacing / 2, off + spacing / 2])):
        line = BridgeLine.through(across, np.array([treble, treble + farther]))
        assert isinstance(line.centre_mm, float)
        np.testing.assert_allclose(line.at(across), [treble, treble + farther], rtol=0, atol=1e-9)


def test_line_through_two_places_of_one_string_is_square_through_the_first():
    line = BridgeLine.through(np.array([12.0, 12.0]), np.array([350.0, 352.0]))
    assert (line.centre_mm, line.slope) == (350.0, 0.0)


@steady
@given(st.integers(2, 8), spacings, st.floats(-6, 6))
def test_slant_is_positive_when_the_bass_end_is_farther(count, spacing, farther):
    across = np.linspace(spacing / 2, -spacing / 2, count)
    setback = np.linspace(0, farther, count)
    line = straight_line(SCALE, across, setback, -np.ones(count), np.full(count, True), BridgeFit.OUTER)
    assert line.slant_deg == pytest.approx(math.degrees(math.atan2(farther, spacing)), abs=1e-9)


@steady
@given(lines, st.floats(-20, 20), st.floats(-50, 50))
def test_face_line_is_parallel_at_its_distance_square_to_the_line(line, distance, across):
    """Foot of the perpendicular from a point on the crown line to the other; nearer the nut when positive."""
    face = line.shifted(distance)
    assert face.slope == line.slope
    place = float(line.at(np.array(across)))
    foot = across + line.slope * distance / math.hypot(1, line.slope)
    gap = math.hypot(foot - across, float(face.at(np.array(foot))) - place)
    assert gap == pytest.approx(abs(distance), abs=1e-9)
    assert math.copysign(1, line.centre_mm - face.centre_mm) == math.copysign(1, distance) or abs(distance) < 1e-9


@steady
@given(lines, st.floats(20, 300), st.floats(1, 60))
def test_feet_are_drawn_as_a_rectangle_of_their_own_size(face, length, thickness):
    corners = feet_outline_mm(face, length, thickness)
    sides = np.roll(corners, -1, axis=0) - corners
    np.testing.assert_allclose(np.hypot(*sides.T), [length, thickness, length, thickness], rtol=1e-12)
    np.testing.assert_allclose(np.sum(sides * np.roll(sides, -1, axis=0), axis=1), 0, atol=1e-9)


@steady
@given(lines, st.floats(20, 300), st.floats(1, 60))
def test_feet_stand_behind_their_face_line_and_in_the_middle(face, length, thickness):
    """Nut side on the line, from treble to bass; the rest behind it, away from the nut."""
    corners = feet_outline_mm(face, length, thickness)
    x, y = corners.T
    behind = y - face.at(x)
    np.testing.assert_allclose(behind[:2], 0, atol=1e-9)
    assert np.all(behind[2:] > 0)
    assert x[0] > 0 > x[1]
    assert x[0] + x[1] == pytest.approx(0, abs=1e-9)


@steady
@given(lines, st.floats(20, 300), st.floats(1, 60), st.integers(2, 4), st.floats(0.05, 0.24))
def test_feet_are_drawn_alike_with_equal_gaps_and_end_where_the_bridge_ends(face, length, thickness, feet, share):
    windows = feet_windows_mm(face, length, thickness, feet, share * length)
    outline = feet_outline_mm(face, length, thickness)
    assert windows.shape == (feet, 4, 2)
    sides = np.roll(windows, -1, axis=1) - windows
    wide = [share * length, thickness, share * length, thickness]
    np.testing.assert_allclose(np.hypot(*np.moveaxis(sides, -1, 0)), [wide] * feet, rtol=1e-9)
    np.testing.assert_allclose(windows[0, [0, 3]], outline[[0, 3]], atol=1e-9)
    np.testing.assert_allclose(windows[-1, [1, 2]], outline[[1, 2]], atol=1e-9)
    gaps = windows[1:, [0, 3]] - windows[:-1, [1, 2]]
    np.testing.assert_allclose(np.hypot(*np.moveaxis(gaps, -1, 0)), length * (1 - feet * share) / (feet - 1), rtol=1e-9)


@pytest.mark.parametrize(("feet", "foot"), [(1, None), (1, 12.0), (2, None)])
def test_feet_of_no_stated_width_and_a_single_foot_are_as_wide_as_the_bridge(feet, foot):
    face = BridgeLine(660.0, -0.05)
    windows = feet_windows_mm(face, 72.0, 9.0, feet, foot)
    np.testing.assert_allclose(windows, [feet_outline_mm(face, 72.0, 9.0)] * feet, atol=1e-9)


@steady
@given(st.floats(5, 40), st.floats(0, 60), st.floats(0, 60), st.floats(1e-6, 1e-5))
def test_bridge_end_moves_as_a_stiff_bar_held_at_its_other_end(string, beyond, other, angle):
    """Turn a bar about one leg by a small angle: the string's and the leg's movements are as the factor says."""
    leg_at, other_at = string + beyond, -string - other
    at_string = (string - other_at) * math.sin(angle)
    at_leg = (leg_at - other_at) * math.sin(angle)
    assert at_leg / at_string == pytest.approx(end_movement_factor(string, leg_at, other_at), rel=1e-9)
    mirrored = end_movement_factor(-string, -leg_at, -other_at)
    assert mirrored == pytest.approx(end_movement_factor(string, leg_at, other_at), rel=1e-12)


def test_outer_strings_of_a_banjo_exclude_the_short_fifth():
    assert outer_strings(np.array([True, True, True, True, False])).tolist() == [0, 3]
    assert outer_strings(np.array([False, True, True])).tolist() == [1, 2]
    assert outer_strings(np.array([True, False])).tolist() == [0]
