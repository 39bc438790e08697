"""From readings to moves: means, the model inverted, the line through more than two strings, and what to do next."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import PRESETS, preset

from geometry.fretting import octave_cents
from geometry.readings import (
    ReadingError,
    ReadingErrors,
    Shift,
    Verdict,
    held_end_shift_mm,
    mean_readings,
    move_for_cents,
    only,
    place_for_cents,
    rest_after,
    shift_error_mm,
    shift_wanted,
    verdict,
)

TUNER_ALONE = ReadingErrors(0.5, 0.0)


@pytest.mark.parametrize("name", PRESETS)
def test_place_for_a_reading_gives_that_reading_a_semitone_either_way(name):
    workup = preset(name)
    nut = workup.setbacks.nut_setback_mm
    wanted = np.linspace(-100, 100, 9)[:, None] * np.ones(len(nut))
    places = place_for_cents(workup.model, nut, wanted)
    np.testing.assert_allclose(octave_cents(workup.model, places, nut), wanted, atol=1e-8)
    assert np.all(np.diff(places, axis=0) < 0), "sharper stands nearer the nut"


@pytest.mark.parametrize("cents", [-1e9, 1e9, 1e300, np.inf, np.nan])
def test_reading_that_no_place_makes_is_refused(cents):
    workup = preset("banjo")
    with pytest.raises(ReadingError) as refusal:
        place_for_cents(
            workup.model, workup.setbacks.nut_setback_mm, np.array([[0, 0, 0, 0, 0], [0, cents, 0, 0, cents]])
        )
    assert (refusal.value.code, refusal.value.strings) == ("reading-nowhere", (1, 4))
    with pytest.raises(ReadingError) as refusal:
        place_for_cents(workup.model, workup.setbacks.nut_setback_mm, np.array([0, 0, cents, 0, 0]))
    assert refusal.value.strings == (2,)


def test_readings_that_no_straight_bridge_suits_are_refused():
    workup = preset("banjo")
    with pytest.raises(ReadingError) as refusal:
        read_all(workup, np.array([341.0, 294.0, 231.0, -233.0, 994.0]))
    assert (refusal.value.code, refusal.value.strings) == ("readings-not-straight", (0, 1, 2, 3, 4))


def test_no_readings_need_no_places():
    workup = preset("banjo")
    none, nut, x = np.zeros((0, 5)), workup.setbacks.nut_setback_mm, workup.across_mm
    assert place_for_cents(workup.model, nut, none).shape == (0, 5)
    assert shift_wanted(workup.model, nut, x, none, np.zeros(5)).slope.shape == (0,)


def read_all(workup, reading, aims=0.0):
    nut, x = workup.setbacks.nut_setback_mm, workup.across_mm
    shift = shift_wanted(workup.model, nut, x, reading, aims + np.zeros(len(x)))
    return shift, rest_after(workup.model, nut, x, reading, aims + np.zeros(len(x)), shift)


@settings(deadline=None, derandomize=True)
@given(st.lists(st.floats(-20, 20), min_size=5, max_size=5))
def test_no_other_straight_move_leaves_less_on_all_strings(readings):
    workup = preset("banjo")
    reading = np.array(readings)
    best, rest = read_all(workup, reading)
    nut, x = workup.setbacks.nut_setback_mm, workup.across_mm
    for across, along in ((0.01, 0.0), (-0.01, 0.0), (0.0, 0.001), (0.0, -0.001)):
        other = Shift(best.centre_mm + across, best.slope + along)
        left = rest_after(workup.model, nut, x, reading, np.zeros(5), other)
        assert np.sum(left**2) > np.sum(rest**2) - 1e-9


@pytest.mark.parametrize("index", [[0, 1, 2, 3], [0, 1, 3], [0, 3]], ids=str)
def test_bridge_that_is_off_by_a_straight_line_is_brought_back_by_all_strings_at_once(index):
    """Each string to its own aim, and rests are from that."""
    workup = preset("mandolin")
    model, nut, x = only(workup.model, index), workup.setbacks.nut_setback_mm[index], workup.across_mm[index]
    aims = np.array([-2.0, 1.0, 0.5, 3.0])[index]
    home = place_for_cents(model, nut, aims)
    reading = octave_cents(model, home + 6.0 - 0.05 * x, nut)
    shift = shift_wanted(model, nut, x, reading, aims)
    np.testing.assert_allclose(shift.at(x), -6.0 + 0.05 * x, atol=1e-6)
    np.testing.assert_allclose(rest_after(model, nut, x, reading, aims, shift), 0, atol=1e-6)


def test_three_strings_that_disagree_leave_the_least_that_a_straight_move_can():
    """Far enough apart for a cent to be more of a millimetre here than there."""
    workup = preset("mandolin")
    model, nut, x = only(workup.model, [0, 1, 3]), workup.setbacks.nut_setback_mm[:3], workup.across_mm[[0, 1, 3]]
    reading = np.array([90.0, -80.0, 60.0])
    best = shift_wanted(model, nut, x, reading, np.zeros(3))

    def left(shift):
        return np.sum(rest_after(model, nut, x, reading, np.zeros(3), shift) ** 2)

    for across, along in ((0.01, 0.0), (-0.01, 0.0), (0.0, 0.001), (0.0, -0.001)):
        assert left(Shift(best.centre_mm + across, best.slope + along)) > left(best)


def test_single_string_turns_the_bridge_about_its_held_end():
    workup = preset("banjo")
    model, nut = only(workup.model, [3]), workup.setbacks.nut_setback_mm[[3]]
    x = workup.across_mm[[3]]
    shift = shift_wanted(model, nut, x, np.array([-7.0]), np.zeros(1), held_mm=40.0)
    assert shift.at(40.0) == pytest.approx(0, abs=1e-9)
    assert shift.at(x) == pytest.approx(-2.7, abs=0.1)
    slid = shift_wanted(model, nut, x, np.array([-7.0]), np.zeros(1))
    assert slid.slope == 0
    assert slid.at(40.0) == pytest.approx(float(shift.at(x)[0]))
    assert held_end_shift_mm(float(shift.at(x)[0]), float(x[0]), 0.0, 40.0) == pytest.approx(float(shift.at(0.0)[0]))


def test_repeats_make_a_reading_surer_and_their_spread_counts():
    one = mean_readings([np.array([3.0])], [1], TUNER_ALONE)
    assert one.standard_error_cents == pytest.approx([0.5 * 2**0.5])
    close = mean_readings([np.array([3.0, 3.0, 3.0, 3.0])], [4], TUNER_ALONE)
    assert close.cents == pytest.approx([3.0])
    assert close.standard_error_cents[0] < one.standard_error_cents[0] / 2
    wild = mean_readings([np.array([-1.0, 7.0, 1.0, 5.0])], [4], TUNER_ALONE)
    assert wild.standard_error_cents[0] > one.standard_error_cents[0]
    many = np.random.default_rng(2).normal(0, 3.0, 400)
    assert mean_readings([many], [400], TUNER_ALONE).pair_error_cents == pytest.approx(3.0, rel=0.1)


def test_touch_counts_for_the_fretted_note_alone():
    """Three fretted notes against one harmonic: (τ² + t²)/3 + τ²."""
    one = mean_readings([np.zeros(3)], [1], ReadingErrors(0.5, 1.0))
    whole = one.pair_error_cents**2
    assert one.standard_error_cents[0] ** 2 == pytest.approx(whole * (1.25 / 3 + 0.25) / 1.5)
    assert mean_readings([np.zeros(1)], [1], ReadingErrors(0.5, 1.0)).pair_error_cents == pytest.approx(1.5**0.5)


def test_spread_of_one_string_warns_about_the_other():
    shared = mean_readings([np.array([0.0, 6.0, -6.0]), np.array([1.0])], [3, 1], TUNER_ALONE)
    assert shared.standard_error_cents[1] > 2


def test_harmonic_that_was_read_once_is_not_averaged_away():
    errors = [mean_readings([np.zeros(9)], [count], TUNER_ALONE).standard_error_cents[0] for count in (1, 9)]
    assert errors[0] > 2 * errors[1]


def test_string_without_a_reading_has_no_mean():
    with pytest.raises(ReadingError) as refusal:
        mean_readings([np.array([1.0]), np.array([])], [1, 0])
    assert (refusal.value.code, refusal.value.strings) == ("string-unread", (1,))


def test_string_without_a_count_of_harmonics_has_no_mean():
    with pytest.raises(ValueError, match="shorter"):
        mean_readings([np.array([1.0]), np.array([2.0])], [1])


@pytest.mark.parametrize("index", [[0, 3], [0, 1, 2, 3, 4], [1, 2]])
def test_error_of_the_line_is_what_noise_makes_of_it(index):
    """Against ten thousand draws."""
    workup = preset("banjo")
    model, nut, x = only(workup.model, index), workup.setbacks.nut_setback_mm[index], workup.across_mm[index]
    random = np.random.default_rng(3)
    noise = random.normal(0, 0.7, (10_000, len(index)))
    at = workup.across_mm[[0, 3]]
    drawn = shift_wanted(model, nut, x, noise, np.zeros(len(index))).at(at).std(axis=0)
    error = shift_error_mm(x, workup.cents_per_mm[index], np.full(len(index), 0.7), at)
    np.testing.assert_allclose(error, drawn, rtol=0.05)


def test_error_of_a_single_string_grows_with_the_distance_from_the_held_end():
    """Against ten thousand draws."""
    workup = preset("banjo")
    model, nut, x = only(workup.model, [3]), workup.setbacks.nut_setback_mm[[3]], workup.across_mm[[3]]
    noise = np.random.default_rng(4).normal(0, 0.7, (10_000, 1))
    at = np.array([30.0, 0.0, -30.0])
    for held in (None, 40.0):
        drawn = shift_wanted(model, nut, x, noise, np.zeros(1), held).at(at).std(axis=0)
        error = shift_error_mm(x, workup.cents_per_mm[[3]], np.full(1, 0.7), at, held)
        np.testing.assert_allclose(error, drawn, rtol=0.05)


def test_way_to_go_is_from_where_the_string_reads_to_where_it_reads_its_aim():
    workup = preset("mandolin")
    nut, aims = workup.setbacks.nut_setback_mm, np.linspace(-3, 4, len(workup.across_mm))
    home = place_for_cents(workup.model, nut, aims)
    for off, moves in zip((6.0, -9.0), move_for_cents(workup.model, nut, aims, np.array([6.0, -9.0])), strict=True):
        np.testing.assert_allclose(octave_cents(workup.model, home - moves, nut), aims + off, atol=1e-8)


@pytest.mark.parametrize(
    ("move", "slant", "wanted", "shifted", "says"),
    [
        ([0.5, -0.5], 3, [1.3, -1.3], 9, Verdict.STOP),
        ([0.5, -0.6], 3, [1.3, -1.5], 1.3, Verdict.MOVE),
        ([0.5, -0.6], 3, [1.3, -1.5], -1.5, Verdict.CHECK_FIRST),
        ([8.1, -0.6], 3, [21, -1.5], 1.5, Verdict.SOMETHING_ELSE),
        ([7.9, -7.9], -8.1, [20, -20], 1.5, Verdict.SOMETHING_ELSE),
        ([0.1, -0.1], 8.1, [0.2, -0.2], 0, Verdict.STOP),
        ([0.5, -0.5], 3, [1.4, -1.4], 9, Verdict.STOP),
        ([8.0, -0.6], 8.0, [21, -1.5], 1.4, Verdict.MOVE),
    ],
)
def test_what_to_do_next(move, slant, wanted, shifted, says):
    assert verdict(np.array(move), slant, np.array(wanted), np.full(2, 1.4), shifted) is says
