"""Odds of two lines and frets that are named: by statsmodels' loss, and for many boards as for each alone."""

import numpy as np
import pytest
from statsmodels.robust.norms import HuberT

from geometry.robust import log_odds, name_frets, robust_line

ERROR = 0.25
FRETS = 24
NUMBERS = np.arange(1, FRETS + 1)
EQUAL, EIGHTEEN = 1 - 2 ** (-NUMBERS / 12), 1 - (17 / 18) ** NUMBERS
ONCE = np.ones(FRETS, dtype=int)


def boards(count, seed, noise=ERROR, share=EIGHTEEN, out=2, scale=650.0):
    """Boards of one rule, each with a few frets out of place by a millimetre or three."""
    chance = np.random.default_rng(seed)
    measured = scale * share + 2.0 + chance.normal(0, noise, (count, len(share)))
    for each in measured:
        each[chance.choice(len(share), out, replace=False)] += chance.choice([-1, 1], out) * chance.uniform(1, 3, out)
    return measured


def odds_by_statsmodels(measured, readings, frets):
    """Huber's loss under both lines, in units of the lesser error, which is no less than 0.01 mm."""
    root, freedom, lines = np.sqrt(readings), frets - 2, []
    for share in (EIGHTEEN[:frets], EQUAL[:frets]):
        line = robust_line(share, measured, readings)
        rows = np.column_stack([share, np.ones(frets)]) * root[:, None]
        lines.append((line.residual_mm * root, line.scale_se_mm / np.sqrt(np.linalg.inv(rows.T @ rows)[0, 0])))
    error = max(min(lines[0][1], lines[1][1]), 0.01)
    eighteen, equal = (np.sum(HuberT(1.345).rho(residual / error)) for residual, _ in lines)
    lead = equal - eighteen
    return np.sign(lead) * freedom / 2 * np.log(1 + 2 * abs(lead) / freedom)


@pytest.mark.parametrize("frets", [5, 12, FRETS])
@pytest.mark.parametrize("noise", [0.0, 0.1, 1.0])
def test_odds_of_a_rule_are_those_of_statsmodels_loss(frets, noise):
    readings = np.where(NUMBERS % 3, 1, 2)[:frets]
    every = boards(8, frets, noise, EIGHTEEN[:frets], out=1 if noise else 0)
    lines = [robust_line(share[:frets], every, readings) for share in (EIGHTEEN, EQUAL)]
    found = log_odds(*lines, readings)
    expected = [odds_by_statsmodels(one, readings, frets) for one in every]
    np.testing.assert_allclose(found, expected, rtol=1e-6, atol=1e-9)
    np.testing.assert_allclose(log_odds(*lines[::-1], readings), np.negative(expected), rtol=1e-6, atol=1e-9)


def test_frets_of_many_boards_are_named_as_those_of_each_alone():
    """Boards with none, two and most of their frets out of place, side by side."""
    every = np.concatenate([boards(5, 1, out=0), boards(5, 2), boards(5, 3, noise=12 * ERROR), boards(5, 4, out=5)])
    together = name_frets(EIGHTEEN, every, ONCE, ERROR)
    for n, board in enumerate(every):
        alone = name_frets(EIGHTEEN, board, ONCE, ERROR)
        assert alone.out_of_place.tolist() == together.out_of_place[n].tolist()
        np.testing.assert_allclose(alone.low_mm, together.low_mm[n], atol=1e-9)
        np.testing.assert_allclose(alone.high_mm, together.high_mm[n], atol=1e-9)


def test_five_frets_are_enough_to_name_one():
    share = EQUAL[[0, 4, 9, 14, 19]]
    measured = 650.0 * share + np.array([0.0, 0.0, 8.0, 0.0, 0.0])
    found = name_frets(share, measured, ONCE[:5], ERROR).out_of_place
    assert found.tolist() == [False, False, True, False, False]


def test_board_with_some_more_than_half_of_its_frets_out_is_judged_by_the_whole_of_it():
    """Then each residual from Huber's line is held against its own deviation."""
    from scipy.stats import norm

    rows = np.column_stack([EQUAL, np.ones(FRETS)])
    limit = norm.ppf(1 - 0.02 / FRETS) * ERROR * np.sqrt(1 - np.diag(rows @ np.linalg.pinv(rows)))
    seen = 0
    for board in boards(60, 9, noise=5 * ERROR, share=EQUAL):
        found = name_frets(EQUAL, board, ONCE, ERROR)
        if FRETS / 2 < np.sum(found.out_of_place) < FRETS * 2 / 3:
            seen += 1
            np.testing.assert_allclose(found.high_mm, limit, rtol=1e-9)
            np.testing.assert_allclose(found.low_mm, -limit, rtol=1e-9)
    assert seen > 5


@pytest.mark.parametrize("frets", [3, 4])
def test_few_frets_have_the_standard_errors_of_least_squares(frets):
    """By statsmodels' weighted least squares, board by board and side by side."""
    from statsmodels.api import WLS

    readings = np.array([2, 1, 1, 3])[:frets]
    every = boards(5, 11, share=EQUAL[:frets], out=0)
    together = robust_line(EQUAL[:frets], every, readings)
    for n, board in enumerate(every):
        theirs = WLS(board, np.column_stack([EQUAL[:frets], np.ones(frets)]), readings).fit()
        ours = [together.scale_mm[n], together.offset_mm[n], together.scale_se_mm[n], together.offset_se_mm[n]]
        assert ours == pytest.approx([*theirs.params, *theirs.bse], rel=1e-8)


def test_two_frets_cannot_say_how_sure_they_are():
    found = robust_line(EQUAL[[0, 11]], boards(3, 12, out=0)[:, [0, 11]], ONCE[:2])
    assert found.scale_se_mm.shape == found.offset_se_mm.shape == (3,)
    assert np.isnan([found.scale_se_mm, found.offset_se_mm]).all()
    alone = robust_line(EQUAL[[0, 11]], np.array([40.0, 330.0]), ONCE[:2])
    assert alone.scale_se_mm.shape == ()
    assert np.isnan(alone.scale_se_mm)
