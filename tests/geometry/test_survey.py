"""A survey shows scale, nut, rule and the frets out of place, with the certainty that it states and no more."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry import robust as r
from geometry import survey as s
from geometry.robust import SurveyError
from geometry.survey import Rule, Strength

steady = settings(deadline=None, derandomize=True, max_examples=60)
scales = st.floats(300, 900)
offsets = st.floats(-3, 3)
rules = st.sampled_from(list(Rule))
EACH_RULE = pytest.mark.parametrize("rule", list(Rule))

BOARDS, FRETS, SCALE, OFFSET, ERROR, SLIP = 1000, 24, 650.0, 0.4, 0.25, 1.5


def once(frets):
    return np.ones(frets, dtype=int)


def board(scale, offset, rule, frets):
    numbers = np.arange(1, frets + 1)
    return numbers, scale * s.shares(rule, numbers) + offset


@cache
def thousand(rule=Rule.EQUAL, out=2):
    """A thousand boards, a seed each, with two frets 1.5 mm out to either side: distances, and which frets are out."""
    _, true = board(SCALE, OFFSET, rule, FRETS)
    measured, misplaced = np.empty((BOARDS, FRETS)), np.zeros((BOARDS, FRETS), dtype=bool)
    for seed in range(BOARDS):
        chance = np.random.default_rng(seed)
        measured[seed] = true + chance.normal(0, ERROR, FRETS)
        which = chance.choice(FRETS, out, replace=False)
        misplaced[seed, which] = True
        measured[seed, which] += SLIP * chance.choice([-1, 1], out)
    return measured, misplaced


@EACH_RULE
def test_true_scale_and_nut_lie_in_the_stated_interval_as_often_as_stated(rule):
    measured, _ = thousand(rule)
    line = r.robust_line(s.shares(rule, np.arange(1, FRETS + 1)), measured, once(FRETS))
    t = r.student_t(FRETS - 2)
    for value, error, true in (
        (line.scale_mm, line.scale_se_mm, SCALE),
        (line.offset_mm, line.offset_se_mm, OFFSET),
    ):
        held = np.mean(np.abs(value - true) <= t * error)
        assert 0.93 <= held <= 0.97


def test_interval_of_a_whole_survey_holds_the_true_scale_too():
    """The survey chooses the rule first; that must not spoil the interval."""
    measured, _ = thousand()
    found = [s.survey(np.arange(1, FRETS + 1), each, once(FRETS), ERROR) for each in measured[:300]]
    held = np.mean([each.best.scale.low_mm <= SCALE <= each.best.scale.high_mm for each in found])
    assert 0.92 <= held <= 0.98


@EACH_RULE
def test_misplaced_frets_are_named_and_good_ones_left_alone(rule):
    measured, misplaced = thousand(rule)
    share = s.shares(rule, np.arange(1, FRETS + 1))
    named = r.name_frets(share, measured, once(FRETS), ERROR).out_of_place
    assert np.mean(named[misplaced]) >= 0.99
    assert np.mean(np.any(named & ~misplaced, axis=-1)) < 0.05


def test_board_without_fault_is_rarely_blamed_and_yet_as_often_as_promised():
    measured, _ = thousand(out=0)
    share = s.shares(Rule.EQUAL, np.arange(1, FRETS + 1))
    blamed = np.mean(np.any(r.name_frets(share, measured, once(FRETS), ERROR).out_of_place, axis=-1))
    assert r.FALSE_ALARMS / 2 < blamed < 0.05


@pytest.mark.slow
@pytest.mark.parametrize("frets", [3, 5, 8])
def test_few_frets_are_not_surer_than_they_can_be(frets):
    numbers, true = board(SCALE, OFFSET, Rule.EQUAL, frets)
    held = []
    for seed in range(300):
        measured = true + np.random.default_rng(seed).normal(0, ERROR, frets)
        scale = s.survey(numbers, measured, once(frets), ERROR).best.scale
        held.append(scale.low_mm <= SCALE <= scale.high_mm)
    assert np.mean(held) >= 0.92


@steady
@given(scales, offsets, rules, st.integers(5, 36))
def test_exact_board_gives_its_numbers_back(scale, offset, rule, frets):
    numbers, measured = board(scale, offset + 3.1, rule, frets)
    line = r.robust_line(s.shares(rule, numbers), measured, once(frets))
    assert line.scale_mm == pytest.approx(scale, abs=1e-7)
    assert line.offset_mm == pytest.approx(offset + 3.1, abs=1e-7)
    np.testing.assert_allclose(line.residual_mm, 0, atol=1e-7)


@steady
@given(scales, offsets, rules, st.integers(1, 20), st.floats(2, 20), st.booleans())
def test_one_wild_fret_does_not_bend_the_line_and_is_named_alone(scale, offset, rule, fret, slip, towards_nut):
    numbers, measured = board(scale, offset + 40.0, rule, 20)
    measured[fret - 1] += -slip if towards_nut else slip
    share = s.shares(rule, numbers)
    line = r.robust_line(share, measured, once(20))
    assert line.scale_mm == pytest.approx(scale, abs=1e-6)
    assert numbers[r.name_frets(share, measured, once(20), ERROR).out_of_place].tolist() == [fret]


def test_offset_is_positive_where_distances_read_too_long():
    """Its sign decides to which side a nut is moved."""
    numbers, measured = board(SCALE, 0.0, Rule.EQUAL, 20)
    found = s.survey(numbers, measured + 0.8, once(20), ERROR)
    assert found.best.offset.mm == pytest.approx(0.8)
    assert found.best.from_this_nut_mm == pytest.approx(SCALE + 0.8)


def test_fret_too_near_the_bridge_is_sharp():
    """A shorter string sounds higher: by how much, worked out by hand for fret 12 of 650 mm."""
    numbers, measured = board(SCALE, 0.0, Rule.EQUAL, 24)
    measured[11] += 1.0
    found = s.survey(numbers, measured, once(24), ERROR)
    assert found.best.residual_mm[11] == pytest.approx(1.0, abs=1e-6)
    assert found.residual_cents[11] == pytest.approx(1200 * np.log2(325 / 324), abs=1e-4)
    assert found.named == (12,)


@EACH_RULE
def test_rule_of_a_long_board_is_found(rule):
    numbers, measured = board(SCALE, OFFSET, rule, 24)
    found = s.survey(numbers, measured + np.random.default_rng(3).normal(0, 0.1, 24), once(24), 0.1)
    assert found.best.rule is rule
    assert found.strength is Strength.DECISIVE
    assert found.other.rule is not rule


def test_rule_that_readings_do_not_show_is_not_made_up():
    """Six frets of a mandolin differ by 0.02 mm between the rules."""
    numbers, measured = board(352.4, 0.0, Rule.EIGHTEEN, 6)
    found = s.survey(numbers, measured + np.random.default_rng(1).normal(0, ERROR, 6), once(6), ERROR)
    assert found.strength is Strength.CANNOT_TELL
    assert found.best.rule is Rule.EQUAL


def test_wrong_rule_is_hardly_ever_called_decisive():
    for rule, other in ((Rule.EQUAL, Rule.EIGHTEEN), (Rule.EIGHTEEN, Rule.EQUAL)):
        measured, _ = thousand(rule)
        lines = [
            r.robust_line(s.shares(each, np.arange(1, FRETS + 1)), measured, once(FRETS)) for each in (rule, other)
        ]
        odds = r.log_odds(*lines, once(FRETS))
        assert np.mean(odds < -s.LIKELY) < 0.02
        assert np.mean(odds < -s.DECISIVE) < 0.005
        assert np.mean(odds > s.LIKELY) > 0.75


def test_odds_of_two_lines_change_sign_when_they_change_places():
    measured, _ = thousand()
    lines = [r.robust_line(s.shares(rule, np.arange(1, FRETS + 1)), measured[:50], once(FRETS)) for rule in Rule]
    np.testing.assert_allclose(r.log_odds(*lines, once(FRETS)), -r.log_odds(*lines[::-1], once(FRETS)))


def test_fret_read_four_times_counts_as_four_readings():
    numbers, measured = board(SCALE, OFFSET, Rule.EQUAL, 4)
    measured = measured + np.array([0.2, -0.3, 0.1, 0.25])
    share = s.shares(Rule.EQUAL, numbers)
    line = r.robust_line(share, measured, np.array([4, 1, 1, 1]))
    listed = np.repeat(np.arange(4), [4, 1, 1, 1])
    slope, offset = np.polyfit(share[listed], measured[listed], 1)
    assert line.scale_mm == pytest.approx(slope)
    assert line.offset_mm == pytest.approx(offset)


def test_repeated_readings_name_a_fret_that_single_ones_would_not():
    numbers, measured = board(SCALE, OFFSET, Rule.EQUAL, 24)
    measured[9] += 0.6
    share = s.shares(Rule.EQUAL, numbers)
    assert not r.name_frets(share, measured, once(24), ERROR).out_of_place.any()
    named = r.name_frets(share, measured, 4 * once(24), ERROR).out_of_place
    assert numbers[named].tolist() == [10]


def test_limits_are_those_of_a_line_through_the_frets_that_are_in_place():
    """Worked out anew by scipy and numpy: the others' line, and each fret's deviation from it."""
    from scipy.stats import norm

    numbers, measured = board(SCALE, OFFSET, Rule.EQUAL, 20)
    measured += np.random.default_rng(8).normal(0, 0.1, 20)
    measured[4] += 3.0
    share, readings = s.shares(Rule.EQUAL, numbers), np.where(numbers % 3, 1, 2)
    found = r.name_frets(share, measured, readings, 0.1)
    rows, inside = np.column_stack([share, np.ones(20)]), numbers != 5
    weights = np.sqrt(readings[inside])
    line = np.linalg.lstsq(rows[inside] * weights[:, None], measured[inside] * weights, rcond=None)[0]
    information = (rows[inside] * readings[inside, None]).T @ rows[inside]
    leverage = np.sum(rows @ np.linalg.inv(information) * rows, axis=1)
    limit = norm.ppf(1 - r.FALSE_ALARMS / 40) * 0.1 * np.sqrt(1 / readings + np.where(inside, -leverage, leverage))
    from_huber = rows @ line - measured + r.robust_line(share, measured, readings).residual_mm
    np.testing.assert_allclose(found.high_mm, from_huber + limit, atol=1e-9)
    np.testing.assert_allclose(found.low_mm, from_huber - limit, atol=1e-9)


def test_limits_are_where_a_fret_starts_to_be_named():
    numbers, measured = board(SCALE, OFFSET, Rule.EQUAL, 20)
    measured += np.random.default_rng(8).normal(0, 0.1, 20)
    measured[4] += 3.0
    share = s.shares(Rule.EQUAL, numbers)
    found = r.name_frets(share, measured, once(20), 0.1)
    residual = r.robust_line(share, measured, once(20)).residual_mm
    beyond = (residual < found.low_mm) | (residual > found.high_mm)
    assert beyond.tolist() == found.out_of_place.tolist()
    assert found.out_of_place[4]


def test_frets_of_a_board_that_is_out_all_over_are_judged_by_the_whole_of_it():
    """No line through a majority is left: each residual from Huber's line is held against its own deviation."""
    from scipy.stats import norm

    numbers, measured = board(SCALE, OFFSET, Rule.EQUAL, 20)
    measured += 12 * np.random.default_rng(5).normal(0, ERROR, 20)
    share = s.shares(Rule.EQUAL, numbers)
    found = r.name_frets(share, measured, once(20), ERROR)
    rows = np.column_stack([share, np.ones(20)])
    leverage = np.diag(rows @ np.linalg.inv(rows.T @ rows) @ rows.T)
    limit = norm.ppf(1 - r.FALSE_ALARMS / 40) * ERROR * np.sqrt(1 - leverage)
    assert np.mean(found.out_of_place) > 0.5
    np.testing.assert_allclose(found.high_mm, limit, rtol=1e-9)
    np.testing.assert_allclose(found.low_mm, -limit, rtol=1e-9)


def test_reading_error_is_pooled_from_readings_that_were_repeated():
    chance = np.random.default_rng(2)
    repeated = [place + chance.normal(0, 0.12, 3) for place in np.linspace(20, 400, 400)]
    error, freedom = r.pooled_error_mm(repeated)
    assert freedom == 800
    assert error == pytest.approx(0.12, rel=0.06)
    assert np.isnan(r.pooled_error_mm([np.array([3.0])])[0])


def test_fret_12_alone_gives_twice_its_distance_and_no_more():
    found = s.survey(np.array([12]), np.array([176.2]), np.array([4]), 0.3)
    assert found.best.scale.mm == pytest.approx(352.4)
    assert found.best.scale.se_mm == pytest.approx(0.3)
    assert found.best.scale.half_mm == pytest.approx(1.959964 * 0.3, rel=1e-6)
    assert found.best.offset is found.best.residual_mm is found.naming is found.log_odds is None


def test_two_frets_give_scale_and_nut_but_neither_rule_nor_residuals():
    numbers, measured = board(SCALE, OFFSET, Rule.EQUAL, 12)
    ends = np.array([0, 11])
    found = s.survey(numbers[ends], measured[ends], once(2), ERROR)
    assert found.best.scale.mm == pytest.approx(SCALE)
    assert found.best.offset.mm == pytest.approx(OFFSET)
    share = s.shares(Rule.EQUAL, numbers[ends])
    assert found.best.scale.se_mm == pytest.approx(ERROR * np.sqrt(2) / (share[1] - share[0]))
    assert found.best.residual_mm is None
    assert found.strength is Strength.CANNOT_TELL


def test_frets_half_a_millimetre_apart_are_taken_as_they_come():
    found = s.survey(np.array([1, 2]), np.array([0.5, 0.9]), once(2), ERROR)
    first, second = 1 - 2 ** (-1 / 12), 1 - 2 ** (-2 / 12)
    assert found.best.scale.mm == pytest.approx(0.4 / (second - first))


def test_survey_keeps_what_it_was_made_from():
    numbers, measured = board(SCALE, OFFSET, Rule.EQUAL, 7)
    readings = np.array([1, 2, 1, 1, 3, 1, 1])
    found = s.survey(numbers, measured, readings, 0.2)
    assert found.frets.tolist() == numbers.tolist()
    assert found.measured_mm.tolist() == measured.tolist()
    assert found.readings.tolist() == readings.tolist()
    assert found.reading_error_mm == 0.2
    alone = s.survey(np.array([12]), np.array([325.0]), once(1), 0.2)
    assert (alone.best.rule, alone.other.rule) == (Rule.EQUAL, Rule.EIGHTEEN)
    assert alone.best.wanted_mm.tolist() == [325.0]


def test_fret_on_the_bridge_or_behind_it_sounds_no_cents():
    assert np.isnan(s.cents_off(np.array([325.0, 326.0]), np.array([325.0, 325.0]))).all()


@EACH_RULE
def test_frets_out_of_place_are_judged_by_the_rule_that_the_board_follows(rule):
    measured, _ = thousand(rule)
    numbers = np.arange(1, FRETS + 1)
    found = s.survey(numbers, measured[0], once(FRETS), ERROR)
    assert found.best.rule is rule
    expected = r.name_frets(s.shares(rule, numbers), measured[0], once(FRETS), ERROR)
    np.testing.assert_array_equal(found.naming.low_mm, expected.low_mm)
    np.testing.assert_array_equal(found.naming.out_of_place, expected.out_of_place)


@pytest.mark.parametrize("frets", [3, 4, 5, 8, 11, 12, 24])
@pytest.mark.parametrize("noise", [0.02, 0.6])
def test_interval_is_as_wide_as_scatter_and_reading_error_make_it(frets, noise):
    """Below 5 frets by the reading error alone, below 12 by whichever is more, from 12 on by the scatter alone.

    Student's t and the normal quantile are scipy's, the least-squares errors numpy's.
    """
    from scipy import stats

    numbers, true = board(SCALE, OFFSET, Rule.EQUAL, frets)
    measured = true + 3.0 + np.random.default_rng(frets).normal(0, noise, frets)
    readings = np.where(numbers % 2, 1, 2)
    found = s.survey(numbers, measured, readings, ERROR)
    assert found.best.rule is Rule.EQUAL
    rows = np.column_stack([s.shares(Rule.EQUAL, numbers), np.ones(frets)])
    known = ERROR * np.sqrt(np.diag(np.linalg.inv((rows * readings[:, None]).T @ rows)))
    line = r.robust_line(rows[:, 0], measured, readings)
    scatter = np.array([line.scale_se_mm, line.offset_se_mm])
    few, many = frets < 5, frets >= 12
    parts = ([] if many else [(known, stats.norm.ppf(0.975))]) + (
        [] if few else [(scatter, stats.t.ppf(0.975, frets - 2))]
    )
    error = np.max([part for part, _ in parts], axis=0)
    half = np.max([part * quantile for part, quantile in parts], axis=0)
    estimates = (found.best.scale, found.best.offset)
    assert [one.se_mm for one in estimates] == pytest.approx(error)
    assert [one.half_mm for one in estimates] == pytest.approx(half)
    np.testing.assert_array_equal(found.best.residual_mm, line.residual_mm)
    assert found.best.spread_mm == (None if few else line.spread_mm)
    assert (found.naming is None) == (found.log_odds is None) == few


@pytest.mark.parametrize(
    ("frets", "measured", "code", "fret", "needed"),
    [
        ([], [], "too-few-frets", 0, 1),
        ([0, 1], [3.0, 33.7], "frets-not-numbered", 0, 1),
        ([2, 1], [33.7, 65.5], "frets-not-numbered", 1, 1),
        ([2, 2], [33.7, 65.5], "frets-not-numbered", 2, 1),
        ([1, 2], [65.5, 33.7], "distances-not-rising", 2, 1),
        ([1, 2], [33.7, 33.7], "distances-not-rising", 2, 1),
        ([1, 2], [-1.0, 33.7], "distances-not-rising", 1, 1),
        ([1, 2], [0.0, 33.7], "distances-not-rising", 1, 1),
        ([7], [216.0], "one-fret-not-octave", 7, 2),
    ],
)
def test_distances_that_make_no_board_are_refused(frets, measured, code, fret, needed):
    with pytest.raises(SurveyError) as refusal:
        s.survey(np.array(frets, dtype=int), np.array(measured), once(len(frets)), ERROR)
    found = refusal.value
    assert (found.code, found.fret, found.measured, found.needed) == (code, fret, len(frets), needed)


def test_too_few_frets_are_refused_where_a_number_would_be_an_invention():
    with pytest.raises(SurveyError) as line:
        r.robust_line(np.array([0.5]), np.array([325.0]), once(1))
    with pytest.raises(SurveyError) as names:
        r.name_frets(np.linspace(0.1, 0.5, 4), np.linspace(65, 325, 4), once(4), ERROR)
    assert line.value.args == ("too-few-frets", 0, 1, 2)
    assert names.value.args == ("too-few-frets", 0, 4, 5)


def test_an_interval_that_ends_at_zero_holds_it():
    assert s.Estimate(0.3, 0.1, 0.29).differs_from_zero
    assert not s.Estimate(0.3, 0.1, 0.3).differs_from_zero
    assert not s.Estimate(-0.3, 0.1, 0.3).differs_from_zero
