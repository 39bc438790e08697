"""The measuring aids' geometry, against plane geometry worked out here, and laws that hold for every instrument."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry import aids

HEIGHTS = st.floats(0.3, 5.9)
DIAMETERS = st.floats(0.2, 2.0)


def lowest_clearance(along, height, diameter):
    """How far a string's circle, its lowest point over ``along``, is from the slope: by distance from point to line."""
    rise = 1 / 20
    centre_x, centre_y = along, height + diameter / 2
    return (centre_y - rise * centre_x) / math.hypot(1, rise) - diameter / 2


@given(HEIGHTS, DIAMETERS)
def test_the_slope_meets_the_string_where_its_circle_has_one_point_in_common_with_it(height, diameter):
    touch = aids.where_string_touches_mm(height, diameter)
    angle = math.atan(1 / 20)
    centre = touch - diameter / 2 * math.sin(angle), touch / 20 + diameter / 2 * math.cos(angle)
    assert centre[1] - diameter / 2 == pytest.approx(height, abs=1e-9), "the string is as high as it was"
    assert lowest_clearance(centre[0], height, diameter) == pytest.approx(0.0, abs=1e-9)


@given(HEIGHTS, DIAMETERS)
def test_a_reading_is_hardly_more_than_the_height_however_thick_the_string(height, diameter):
    read = aids.height_at_mm(aids.where_string_touches_mm(height, diameter))
    assert 0 <= read - height < 0.002


@given(HEIGHTS, DIAMETERS)
def test_read_at_the_nearest_tick_or_half_way_between_two_it_is_the_height_within_a_twentieth(height, diameter):
    touch = aids.where_string_touches_mm(height, diameter)
    ticks = aids.wedge_ticks_mm(aids.WEDGE_STEP_MM)
    values = [n * aids.WEDGE_STEP_MM for n, _ in ticks]
    places = [x for _, x in ticks]
    between = [sum(pair) / 2 for pair in pairwise(places)]
    halves = [sum(pair) / 2 for pair in pairwise(values)]
    seen = min(zip([*places, *between], [*values, *halves], strict=True), key=lambda one: abs(one[0] - touch))
    assert seen[1] == pytest.approx(height, abs=0.05)


@given(st.floats(0, 6))
def test_height_and_place_on_the_wedge_are_each_others_inverse(height):
    assert aids.height_at_mm(aids.along_wedge_mm(height)) == pytest.approx(height, abs=1e-12)


def test_the_wedge_has_every_tenth_and_every_half_sixty_fourth_that_it_is_high_enough_for():
    tenths = aids.wedge_ticks_mm(aids.WEDGE_STEP_MM)
    assert [n for n, _ in tenths] == list(range(3, 61))
    assert np.diff([x for _, x in tenths]) == pytest.approx(2.0)
    inches = aids.wedge_ticks_mm(aids.SIXTY_FOURTH_MM / 2)
    assert [x for _, x in inches] == pytest.approx([n * 25.4 / 128 * 20 for n in range(2, 31)])


@given(st.floats(150, 1500), st.floats(0.45, 0.55))
def test_a_scale_is_read_back_from_its_place_on_the_strip(scale, share):
    assert aids.scale_of_strip_mm(aids.on_strip_mm(scale, share), share) == pytest.approx(scale)


@given(st.floats(-3, 3))
def test_some_line_of_the_comb_is_within_an_eighth_of_every_step(step):
    halves, quarters = aids.comb_lines_mm()
    assert min(abs(line - step) for line in halves + quarters) <= 0.125 + 1e-12
    assert not set(halves) & set(quarters)


@given(st.floats(-8, 8), st.floats(0, 2), st.floats(10, 100))
def test_the_middle_of_two_readings_is_the_slant_however_the_strings_fan(slant, fan, up):
    """Strings lean inwards towards the nut; the card's base lies on the bridge line."""
    readings = []
    for lean in (-fan, fan):
        turned = math.radians(lean + slant)
        readings.append(math.degrees(math.atan2(up * math.tan(turned), up)))
    assert aids.slant_of_two_deg(*readings) == pytest.approx(slant, abs=1e-9)


@given(st.floats(-8, 8), st.floats(1, 100))
def test_a_ray_has_its_angle_at_every_height(slant, up):
    assert math.degrees(math.atan2(aids.ray_across_mm(slant, up), up)) == pytest.approx(slant, abs=1e-9)


def test_the_doubt_that_the_aids_leave_covers_what_they_are_read_to():
    """The sums of squares that their docstring names, half a line and half a tick each with even odds."""
    from geometry.by_aids import BY_AIDS
    from geometry.tolerance import Spread

    even = 1 / math.sqrt(12)
    on_the_strip = math.hypot(0.5 * even, 2 * 0.06, 2 * 0.06)
    on_the_wedge = math.hypot(0.05, 0.05, 0.05 * even)
    assert on_the_strip <= BY_AIDS.scale_mm < Spread().scale_mm
    assert on_the_wedge <= BY_AIDS.action_mm < Spread().action_mm
    for gauge in (0.4, 0.8, 1.25):
        turns = 10 / (0.2625 * gauge)
        of_half_a_turn = 20 / turns**2 * 0.5 / math.sqrt(3)
        assert of_half_a_turn / gauge <= aids.COUNTED_CORE_SHARE
