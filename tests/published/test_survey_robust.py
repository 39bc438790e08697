"""The survey against the outside: statsmodels' robust regression, scipy's, Student's t, and the old rule's cents."""

import numpy as np
import pytest

from geometry.frets import rule_of_eighteen_mm
from geometry.robust import robust_line, student_t
from geometry.survey import Rule, shares, survey

SEEDS = range(6)
NUMBERS = pytest.mark.parametrize("frets", [5, 8, 12, 20, 24, 36])


def a_board(seed, frets, most_readings=1):
    """A noisy board with a fret or two out of place: shares, distances, and how many readings each is the mean of."""
    chance = np.random.default_rng(1000 * frets + seed)
    share = shares(list(Rule)[seed % 2], np.arange(1, frets + 1))
    readings = chance.integers(1, most_readings + 1, frets)
    measured = 650.0 * share + 0.3 + chance.normal(0, 0.25, frets) / np.sqrt(readings)
    measured[chance.choice(frets, 1 + frets // 12, replace=False)] += 1.5
    return share, measured, readings


@NUMBERS
@pytest.mark.parametrize("most_readings", [1, 4])
def test_line_and_standard_errors_are_those_of_statsmodels(frets, most_readings):
    """statsmodels RLM, HuberT(t=1.345), scale by the median absolute deviation about zero, covariance H1, within 1e-6 mm.

    Repeated readings go to it as rows weighted by the root of their number.
    """
    from statsmodels.robust.norms import HuberT
    from statsmodels.robust.robust_linear_model import RLM

    for seed in SEEDS:
        share, measured, readings = a_board(seed, frets, most_readings)
        root = np.sqrt(readings)
        rows = np.column_stack([share, np.ones(frets)]) * root[:, None]
        theirs = RLM(measured * root, rows, M=HuberT(t=1.345)).fit(tol=1e-13, maxiter=3000, conv="coefs", cov="H1")
        ours = robust_line(share, measured, readings)
        found = [ours.scale_mm, ours.offset_mm, ours.scale_se_mm, ours.offset_se_mm, ours.spread_mm]
        assert found == pytest.approx([*theirs.params, *theirs.bse, theirs.scale], abs=1e-6)


@NUMBERS
def test_line_has_the_least_loss_that_scipy_can_find(frets):
    """scipy.optimize.least_squares with loss="huber", at the spread that ours ends with, within 1e-6 mm."""
    from scipy.optimize import least_squares

    for seed in SEEDS:
        share, measured, readings = a_board(seed, frets)
        ours = robust_line(share, measured, readings)
        theirs = least_squares(
            lambda line, share=share, measured=measured: measured - line[0] * share - line[1],
            [600.0, 0.0],
            loss="huber",
            f_scale=1.345 * float(ours.spread_mm),
            xtol=1e-15,
            ftol=1e-15,
            gtol=1e-15,
        )
        assert [ours.scale_mm, ours.offset_mm] == pytest.approx(theirs.x, abs=1e-6)


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.99, 0.999])
def test_t_is_that_of_scipy(confidence):
    from scipy.stats import t

    ours = [student_t(freedom, confidence) for freedom in range(1, 41)]
    np.testing.assert_allclose(ours, t.ppf((1 + confidence) / 2, np.arange(1, 41)), rtol=1e-10)


def test_step_of_the_old_rule_is_98_955_cents():
    """18:17 is 98.955 cents: 1200 log2(18/17), rounded; common knowledge of tuning, no source."""
    to_bridge = np.array([650.0, *rule_of_eighteen_mm(650.0, 24)])
    np.testing.assert_allclose(1200 * np.log2(to_bridge[:-1] / to_bridge[1:]), 98.955, atol=0.0005)


def test_board_that_was_stepped_off_eighteenth_by_eighteenth_is_recognised():
    """Each fret at an eighteenth of what is left, as the old rule says, without any formula of ours."""
    left, distance, measured = 650.0, 0.0, []
    for _ in range(20):
        distance += left / 18
        left -= left / 18
        measured.append(round(distance, 1))
    found = survey(np.arange(1, 21), np.array(measured), np.ones(20, dtype=int), 0.25)
    assert found.best.rule is Rule.EIGHTEEN
    assert found.strength.value == "decisive"
    assert found.best.scale.mm == pytest.approx(650.0, abs=0.2)
    assert found.best.offset.mm == pytest.approx(0.0, abs=0.1)
    assert found.named == ()
