"""A bridge filed to the profile gives every string the action of the file over fret tops of that radius."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from geometry.fretting import rise_mm
from geometry.profile import FLAT_MM, fall_to_side_mm, over_plane_mm


def fret_top(radius, x):
    """Level of the cylinder at x, by searching the point on the circle through the middle of the board."""
    return brentq(lambda z: math.hypot(x, z + radius) - radius, -radius, 1e-9, xtol=1e-13)


def test_fret_tops_lie_on_a_circle_through_the_middle_of_the_board():
    for radius in (184.2, 304.8, 508.0):
        for x in (0.0, 3.0, 11.5, 26.0):
            assert fall_to_side_mm(radius, np.array(x)) == pytest.approx(-fret_top(radius, x), abs=1e-9)


def test_a_string_over_this_bridge_has_the_action_of_the_file_at_fret_12():
    """The string is laid as a line in space, and its distance above the fret top below it measured half way."""
    random, scale = np.random.default_rng(4), 352.4
    for _ in range(200):
        radius, nut, relief = random.uniform(180, 510), random.uniform(0, 0.8), random.uniform(0, 0.2)
        action = nut + relief + random.uniform(0.5, 3)
        at_nut, at_bridge = random.uniform(-18, 18), random.uniform(-27, 27)
        z = float(over_plane_mm(*map(np.array, (nut, action, relief, radius, at_nut, at_bridge))))
        start = np.array([at_nut, 0.0, nut + fret_top(radius, at_nut)])
        end = np.array([at_bridge, scale, z])
        x, _, level = (start + end) / 2
        assert level - (fret_top(radius, x) - relief) == pytest.approx(action, abs=1e-8)


def test_a_flat_board_has_the_height_that_the_setbacks_are_computed_with():
    flat = over_plane_mm(np.array([0.5]), 3.0, 0.1, FLAT_MM, np.array([12.0]), np.array([21.0]))
    assert flat == pytest.approx(0.5 + float(rise_mm(np.array(0.5), np.array(3.0), np.array(0.1))), abs=1e-12)


@given(st.floats(100, 1e7), st.floats(0, 40))
def test_a_rounder_board_lowers_the_outer_strings(radius, x):
    at = np.array([0.0, 0.6 * x]), np.array([0.0, x])
    middle, outer = over_plane_mm(np.array([0.5, 0.5]), 2.0, 0.0, radius, *at)
    flatter = over_plane_mm(np.array([0.5, 0.5]), 2.0, 0.0, radius * 2, *at)[1]
    assert middle == 2 * 2.0 - 0.5
    assert outer <= flatter <= middle
    assert middle - outer == pytest.approx((2 * (0.8 * x) ** 2 - (0.6 * x) ** 2) / (2 * radius), rel=0.2, abs=1e-6)
