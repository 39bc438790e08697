"""Strings across nut and bridge lie where a builder would file for them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.spacing import Spaced, SpacingError, course_places_mm, string_offsets_mm

gauges = st.lists(st.floats(0.15, 2.0), min_size=2, max_size=12).map(np.array)
steady = settings(deadline=None, derandomize=True)


def everywhere(extents):
    return np.full(len(extents), True)


@steady
@given(gauges)
def test_gaps_between_string_edges_are_equal_for_any_gauges(extents):
    places = course_places_mm(extents, 60.0, Spaced.GAPS, everywhere(extents))
    clear = -np.diff(places) - (extents[:-1] + extents[1:]) / 2
    assert np.ptp(clear) < 1e-6
    assert clear.min() > 0


@steady
@given(gauges)
def test_centres_are_equal_for_any_gauges(extents):
    places = course_places_mm(extents, 60.0, Spaced.CENTRES, everywhere(extents))
    assert np.ptp(np.diff(places)) < 1e-9


@pytest.mark.parametrize("spaced", list(Spaced))
@steady
@given(gauges, st.floats(40, 90))
def test_outer_strings_keep_the_spacing_and_lie_evenly_about_the_middle(spaced, extents, spacing):
    places = course_places_mm(extents, spacing, spaced, everywhere(extents))
    assert places[0] == pytest.approx(spacing / 2)
    assert places[-1] == pytest.approx(-spacing / 2)


@pytest.mark.parametrize("spaced", list(Spaced))
def test_short_string_carries_the_pattern_on_beyond_the_nut(spaced):
    extents = np.array([0.25, 0.3, 0.36, 0.56, 0.25])
    places = course_places_mm(extents, 25.0, spaced, np.array([True] * 4 + [False]))
    assert places[[0, 3]] == pytest.approx([12.5, -12.5])
    clear = -np.diff(places) - ((extents[:-1] + extents[1:]) / 2 if spaced is Spaced.GAPS else 0)
    assert np.ptp(clear) < 1e-9


@pytest.mark.parametrize("spaced", list(Spaced))
def test_strings_that_do_not_fit_are_refused_with_how_much_is_lacking(spaced):
    with pytest.raises(SpacingError) as refusal:
        course_places_mm(np.full(12, 4.5), 43.0, spaced, np.full(12, True))
    assert refusal.value.code == "strings-overlap"
    assert refusal.value.overlap_mm == pytest.approx(4.5 - 43 / 11)


@pytest.mark.parametrize("spaced", list(Spaced))
def test_strings_that_touch_are_refused_and_those_that_just_do_not_are_taken(spaced):
    """Three strings of 2 mm: 4 mm from the first to the last leaves nothing between them, 5 mm leaves half a millimetre."""
    three = np.full(3, 2.0)
    with pytest.raises(SpacingError) as refusal:
        course_places_mm(three, 4.0, spaced, everywhere(three))
    assert refusal.value.overlap_mm == 0
    assert course_places_mm(three, 5.0, spaced, everywhere(three)).tolist() == [2.5, 0.0, -2.5]


def test_equal_gaps_go_on_beyond_a_short_string_on_the_treble_side():
    """Its extent is not part of what the counted strings share."""
    extents = np.array([1.2, 0.25, 0.3, 0.9])
    places = course_places_mm(extents, 20.0, Spaced.GAPS, np.array([False, True, True, True]))
    assert places[[1, 3]] == pytest.approx([10.0, -10.0])
    clear = -np.diff(places) - (extents[:-1] + extents[1:]) / 2
    assert np.ptp(clear) < 1e-9


def test_pair_lies_about_its_centre_treble_string_first():
    assert string_offsets_mm(np.array([True, False]), 2.5).tolist() == [[1.25, -1.25], [0, 0]]


def test_single_string_runs_down_the_middle():
    for spaced in Spaced:
        assert course_places_mm(np.array([0.3]), 40.0, spaced, np.array([True])).tolist() == [0]


@steady
@given(st.integers(2, 6), st.integers(0, 2), st.integers(0, 2), st.floats(15, 60))
def test_short_strings_on_either_side_carry_equal_centres_on(full, treble_short, bass_short, spacing):
    """Full-length strings fill the nut's spacing, centred; a short one lies a further step out."""
    pattern = np.array([False] * treble_short + [True] * full + [False] * bass_short)
    places = course_places_mm(np.full(len(pattern), 0.3), spacing, Spaced.CENTRES, pattern)
    at_nut = places[pattern]
    assert at_nut[0] - at_nut[-1] == pytest.approx(spacing)
    assert at_nut[0] + at_nut[-1] == pytest.approx(0, abs=1e-9)
    np.testing.assert_allclose(np.diff(places), -spacing / (full - 1), rtol=1e-9)
