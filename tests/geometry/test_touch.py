"""What is plausible of a finger, averaged: against sums over many thousand fingers, and its laws."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from instruments import edited
from samples import PRESETS

from geometry.compensation import Objective, setbacks
from geometry.fretting import error_cents
from geometry.touch import PLAUSIBLE, Touch, mean_press_mm

steady = settings(deadline=None, derandomize=True)

fingers = st.tuples(st.floats(1, 20), st.floats(1, 20)).map(sorted)
presses = st.tuples(st.floats(0, 1), st.floats(0, 1)).map(sorted)
touches = st.builds(lambda d, p: Touch(*d, *p), fingers, presses)
over_bridges = st.floats(0.2, 12)
to_bridges = st.floats(100, 600)


def many_fingers(touch, count=400):
    """Fingers evenly over both ranges, with even odds."""

    def evenly(low, high):
        return low + (high - low) * (np.arange(count) + 0.5) / count

    d, p = evenly(touch.finger_from_mm, touch.finger_to_mm), evenly(touch.press_from_mm, touch.press_to_mm)
    return (each.ravel() for each in np.meshgrid(d, p))


def one(touch, over, to):
    return float(mean_press_mm(touch, np.array([over]), np.array([to]))[0])


@steady
@given(touches, over_bridges, to_bridges)
def test_depth_is_the_mean_of_all_plausible_fingers(touch, over, to):
    """By the string that each takes beside the fret, p²/2d; within a hundredth of it."""
    d, p = many_fingers(touch)
    deep = np.maximum(p, d * over / to)
    if touch.press_to_mm <= touch.finger_from_mm * over / to:
        assert one(touch, over, to) == pytest.approx(np.sqrt(np.mean(p**2)), rel=1e-3, abs=1e-9)
    else:
        assert one(touch, over, to) == pytest.approx(np.sqrt(touch.finger_mm * np.mean(deep**2 / d)), rel=0.01)


@steady
@given(st.floats(1, 20), st.floats(0, 1), over_bridges, to_bridges)
def test_finger_that_is_known_presses_as_deep_as_it_does(d, p, over, to):
    """Also above the straight string: there the model has the string itself, at every fret its own."""
    assert one(Touch(d, d, p, p), over, to) == pytest.approx(p, rel=1e-12)


@steady
@given(fingers, over_bridges, to_bridges)
def test_finger_of_no_depth_is_on_the_straight_string_wherever_it_presses(d, over, to):
    assert one(Touch(*d, 0.0, 0.0), over, to) == 0


@steady
@given(touches, over_bridges, to_bridges, st.floats(0.3, 3))
def test_instrument_and_hand_of_twice_the_size_press_twice_as_deep(touch, over, to, size):
    grown = Touch(*(size * value for value in vars(touch).values()))
    assert one(grown, size * over, size * to) == pytest.approx(size * one(touch, over, to), rel=1e-9)


@steady
@given(touches, over_bridges, to_bridges, st.floats(0, 0.5))
def test_deeper_hand_is_never_averaged_shallower(touch, over, to, deeper):
    """Each on the string or below it: an average above it counts as the string."""
    deep = replace(touch, press_from_mm=touch.press_from_mm + deeper, press_to_mm=touch.press_to_mm + deeper)
    straight = touch.finger_mm * over / to
    assert max(one(deep, over, to), straight) >= max(one(touch, over, to), straight) - 1e-9


@steady
@given(touches, over_bridges, to_bridges)
def test_average_is_no_deeper_than_the_deepest_of_them(touch, over, to):
    """As the string has it: what the finger nearest to the fret does with a depth, one in the middle does with more."""
    deepest = max(touch.press_to_mm, touch.finger_to_mm * over / to)
    assert one(touch, over, to) <= deepest * np.sqrt(touch.finger_mm / touch.finger_from_mm) + 1e-12


@steady
@given(touches)
def test_fingers_that_stand_for_all_are_within_the_ranges_and_add_up(touch):
    """Mean and mean square of both depths and distances, and of their product, as even odds have them."""
    d, p, share = touch.fingers()
    assert share.sum() == pytest.approx(1, rel=1e-12)
    assert share.min() > 0
    assert touch.finger_from_mm <= d.min() + 1e-12
    assert d.max() <= touch.finger_to_mm + 1e-12
    assert touch.press_from_mm <= p.min() + 1e-12
    assert p.max() <= touch.press_to_mm + 1e-12

    def even(low, high):
        return (low + high) / 2, (low * low + low * high + high * high) / 3

    mean_d, square_d = even(touch.finger_from_mm, touch.finger_to_mm)
    mean_p, square_p = even(touch.press_from_mm, touch.press_to_mm)
    moments = [share @ d, share @ d**2, share @ p, share @ p**2, share @ (d * p)]
    assert moments == pytest.approx([mean_d, square_d, mean_p, square_p, mean_d * mean_p], rel=1e-9, abs=1e-12)
    assert touch.finger_mm == pytest.approx(mean_d, rel=1e-12)


def test_touch_is_known_when_both_of_its_ranges_are_one_value():
    assert Touch(8.0, 8.0, 0.2, 0.2).is_known
    assert not Touch(8.0, 9.0, 0.2, 0.2).is_known
    assert not Touch(8.0, 8.0, 0.2, 0.3).is_known
    assert not PLAUSIBLE.is_known


def test_finger_right_at_the_fret_has_no_depth():
    assert (
        mean_press_mm(Touch(0.0, 0.0, 0.0, 0.0), np.full((2, 3), 5.0), np.full((2, 3), 300.0)).tolist() == [[0] * 3] * 2
    )


def test_unknown_hand_presses_where_and_as_deep_as_is_plausible():
    """Common practice, no source: 5 to 15 mm behind the fret, up to half a millimetre deep."""
    assert vars(PLAUSIBLE) == {"finger_from_mm": 5.0, "finger_to_mm": 15.0, "press_from_mm": 0.0, "press_to_mm": 0.5}
    assert Touch() == PLAUSIBLE


THICKEST = "cello-banjo"
"""Its fourth string has a setback of 16 mm."""


@pytest.mark.parametrize("name", PRESETS)
def test_bridge_is_drawn_in_the_middle_of_what_plausible_hands_need(name):
    """The mean setback of 1600 fingers, each placed by itself, within 0.03 mm, or 0.05 of a setback of 16 mm.

    A finger at the fret is 0.1 mm off.
    """
    drawn = edited(name, action={"finger": None, "press": None})
    touch = drawn.instrument.touch
    d, p = many_fingers(touch, 40)
    for n in drawn.outer_strings:
        rows = {
            key: np.repeat(value[[n]], len(d), axis=0)
            for key, value in vars(drawn.model).items()
            if key not in ("finger_mm", "press_mm")
        }
        strings = replace(drawn.model, **rows, finger_mm=d, press_mm=p)
        needed = setbacks(strings, Objective.OCTAVE, 12).setback_mm.mean()
        assert drawn.setbacks.setback_mm[n] == pytest.approx(needed, abs=0.05 if name == THICKEST else 0.03)
        at_the_fret = edited(name, action={"finger": 0.0, "press": None}).setbacks.setback_mm[n]
        assert needed - at_the_fret > 0.1


def test_straight_string_is_straight_at_every_fret():
    """Finger stated, depth 0: what each fret reads is what the model has for a finger of no depth of its own."""
    drawn = edited("banjo", action={"finger": 10.0, "press": 0.0})
    light = replace(drawn.model, press_mm=np.zeros(len(drawn.across_mm)))
    nut = drawn.setbacks.nut_setback_mm
    np.testing.assert_allclose(drawn.cents, error_cents(light, drawn.setbacks.setback_mm, nut), rtol=0, atol=1e-9)


def test_points_that_stand_for_a_hand_are_those_of_the_published_rule():
    """A wrong digit in the table moves every bridge."""
    nodes, weights = np.polynomial.legendre.leggauss(8)
    d, p, share = Touch(0.0, 2.0, -1.0, 1.0).fingers()
    np.testing.assert_allclose(d.reshape(8, 8)[:, 0] - 1.0, nodes, rtol=0, atol=1e-15)
    np.testing.assert_allclose(p[:8], nodes, rtol=0, atol=1e-15)
    np.testing.assert_allclose(share.reshape(8, 8).sum(axis=1), weights / 2, rtol=0, atol=1e-15)
