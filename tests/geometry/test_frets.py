"""Fret positions: the laws of the rules, and lists that no string could be played on."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.frets import (
    FretError,
    equal_steps_mm,
    from_cents_mm,
    from_measured_mm,
    has_octave,
    octave_columns,
    ratios_from_cents,
    rule_of_eighteen_mm,
    wanted_ratios,
)

steady = settings(deadline=None, derandomize=True)
scales = st.floats(150, 1500)
fret_counts = st.integers(12, 36)
rising_shares = st.lists(st.integers(1, 999), min_size=1, max_size=36, unique=True).map(
    lambda parts: np.array(sorted(parts)) / 1000
)


def gaps(to_bridge, scale):
    return -np.diff(to_bridge, prepend=scale)


@steady
@given(scales, fret_counts)
def test_each_gap_of_equal_steps_is_a_semitone_narrower_than_the_last(scale, frets):
    gap = gaps(equal_steps_mm(scale, frets), scale)
    assert np.all(gap > 0)
    np.testing.assert_allclose(gap[1:] / gap[:-1], 2 ** (-1 / 12), rtol=1e-10)


@steady
@given(scales, fret_counts)
def test_each_gap_of_the_old_rule_is_17_18ths_of_the_last(scale, frets):
    gap = gaps(rule_of_eighteen_mm(scale, frets), scale)
    assert gap[0] == pytest.approx(scale / 18, rel=1e-12)
    np.testing.assert_allclose(gap[1:] / gap[:-1], 17 / 18, rtol=1e-10)


@pytest.mark.parametrize("rule", [equal_steps_mm, rule_of_eighteen_mm])
@pytest.mark.parametrize("frets", [12, 22])
def test_neck_gets_its_number_of_frets(rule, frets):
    assert rule(600.0, frets).shape == (frets,)


@steady
@given(scales)
def test_twelfth_fret_halves_the_string_and_the_24th_quarters_it(scale):
    to_bridge = equal_steps_mm(scale, 24)
    assert to_bridge[[11, 23]] == pytest.approx([scale / 2, scale / 4], rel=1e-15)


@steady
@given(scales)
def test_twelfth_fret_of_the_old_rule_falls_short_of_the_octave(scale):
    assert scale / rule_of_eighteen_mm(scale, 12)[11] == pytest.approx((18 / 17) ** 12, rel=1e-12)
    assert scale / rule_of_eighteen_mm(scale, 12)[11] < 2


@given(st.integers(1, 18), st.integers(1, 18))
@steady
def test_steps_add_up_as_intervals_do(m, n):
    ratios = wanted_ratios(36)
    assert ratios[m - 1] * ratios[n - 1] == pytest.approx(ratios[m + n - 1], rel=1e-14)


@steady
@given(st.lists(st.floats(-2400, 2400), min_size=1, max_size=36).map(np.array))
def test_cents_and_ratios_are_two_names_of_one_thing(cents):
    np.testing.assert_allclose(1200 * np.log2(ratios_from_cents(cents)), cents, rtol=0, atol=1e-9)


@steady
@given(scales, fret_counts)
def test_a_list_of_a_hundred_cents_a_fret_is_equal_steps(scale, frets):
    listed = from_cents_mm(scale, 100.0 * np.arange(1, frets + 1))
    np.testing.assert_allclose(listed, equal_steps_mm(scale, frets), rtol=1e-14)


@steady
@given(scales, rising_shares)
def test_frets_from_cents_sound_at_those_cents(scale, shares):
    cents = 2400 * shares
    np.testing.assert_allclose(1200 * np.log2(scale / from_cents_mm(scale, cents)), cents, rtol=0, atol=1e-9)


@steady
@given(scales, rising_shares)
def test_measured_frets_come_back_as_they_were_measured(scale, shares):
    from_nut = scale * shares
    np.testing.assert_allclose(scale - from_measured_mm(scale, from_nut), from_nut, rtol=0, atol=1e-9)


DIATONIC = (200, 400, 500, 700, 900, 1000, 1200, 1400, 1600, 1700, 1900, 2100, 2200, 2400)
"""A dulcimer's frets, in cents: common practice, no source."""


def one_board(cents):
    """Ratios of one string, and all of its frets."""
    wanted = ratios_from_cents(np.array(cents, dtype=float))[None]
    return wanted, wanted > 0


@pytest.mark.parametrize(
    ("cents", "column"),
    [
        (100.0 * np.arange(1, 25), 11),
        (DIATONIC, 6),
        (50.0 * np.arange(1, 37), 23),
        ((300, 700, 1200.4), 2),
    ],
)
def test_octave_is_the_fret_that_is_meant_to_sound_it(cents, column):
    """Fret 12 of equal steps, 7 of a diatonic board, 24 of quarter tones."""
    wanted, has_fret = one_board(cents)
    assert octave_columns(wanted, has_fret).tolist() == [column]
    assert has_octave(wanted, has_fret).tolist() == [True]


@steady
@given(st.lists(st.integers(1, 3000), min_size=1, max_size=30, unique=True), st.floats(-0.49, 0.49))
def test_octave_is_found_wherever_it_is_among_the_frets(others, off):
    """Half a cent beside it is near enough."""
    cents = sorted([*(one for one in others if abs(one - 1200) >= 1), 1200 + off])
    wanted, has_fret = one_board(cents)
    assert octave_columns(wanted, has_fret).tolist() == [cents.index(1200 + off)]
    assert has_octave(wanted, has_fret).all()


@pytest.mark.parametrize("off", [0.51, 7.0, 100.0])
@pytest.mark.parametrize("side", [-1, 1])
def test_fret_beside_the_octave_is_none(off, side):
    assert not has_octave(*one_board([700, 1200 + side * off, 1900])).any()


def test_octave_is_looked_for_in_each_strings_own_frets():
    """A short string of another list, one that ends before its octave, and made-up frets that do not count."""
    wanted = np.array(
        [one_board(DIATONIC)[0][0, :8], ratios_from_cents(np.array([500, 1200, 1500, *range(1900, 2400, 100)]))]
    )
    every = np.full(wanted.shape, True)
    assert octave_columns(wanted, every).tolist() == [6, 1]
    has_fret = every & (np.arange(8) < np.array([[6], [8]]))
    assert octave_columns(wanted, has_fret).tolist() == [5, 1]
    assert has_octave(wanted, every).tolist() == [True, True]
    assert has_octave(wanted, has_fret).tolist() == [False, True]


@pytest.mark.parametrize("read", [from_measured_mm, from_cents_mm])
@steady
@given(scale=scales, shares=rising_shares, data=st.data())
def test_frets_that_do_not_rise_are_refused(read, scale, shares, data):
    """A fret on the nut, or two in one place or in the wrong order."""
    place = data.draw(st.integers(0, len(shares) - 1))
    before = shares[place - 1] if place else 0.0
    wrong = np.insert(shares, place, data.draw(st.sampled_from([before, before - 0.0005])))
    with pytest.raises(FretError) as refusal:
        read(scale, scale * wrong)
    assert (refusal.value.code, refusal.value.fret) == ("frets-not-rising", place + 1)


@pytest.mark.parametrize("read", [from_measured_mm, from_cents_mm])
def test_frets_that_rise_by_ever_so_little_are_taken_as_they_come(read):
    """Half a cent or half a millimetre above the nut, and as much from one to the next."""
    to_bridge = read(600.0, np.array([0.5, 1.0]))
    assert np.all(np.diff(to_bridge, prepend=600.0) < 0)


@steady
@given(scales, rising_shares, st.floats(1, 2))
def test_fret_behind_the_bridge_is_refused(scale, shares, beyond):
    with pytest.raises(FretError) as refusal:
        from_measured_mm(scale, np.append(scale * shares, scale * beyond))
    assert (refusal.value.code, refusal.value.fret) == ("fret-behind-bridge", len(shares) + 1)
