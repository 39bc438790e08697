"""A bridge lies against two wedges where plain geometry says, and the settings for a line put it on that line."""

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from geometry.wedges import Wedge, WedgePair


def some_pair(random):
    half, taper = random.uniform(18, 80), 1 / random.integers(3, 11)
    per_cent = random.uniform(0.2, 0.7, 2)
    foot = -math.inf if random.random() < 0.5 else half - random.uniform(8, 16)
    wedges = [
        Wedge(float(one), float(taper), half - 3 - float(random.uniform(2, 10)) * float(one / taper), float(foot))
        for one in per_cent
    ]
    return WedgePair(*wedges, float(half))


def lowest_line(pair, cents):
    """The ends of the lowest straight line, at the middle, that leaves all of both faces under the feet on its nut side.

    Each face is a row of points where a foot and the wedge both are; a linear program finds the line.
    """
    above, least = [], []
    for wedge, side, one in zip((pair.treble, pair.bass), (1, -1), cents, strict=True):
        face = one * wedge.mm_per_cent
        begins = max(wedge.tip_mm - one * wedge.mm_per_cent / wedge.taper, wedge.foot_mm)
        for w in np.linspace(begins, pair.half_mm, 57):
            above.append([-1.0, -side * w])
            least.append(-face)
    free = [(None, None), (None, None)]
    solved = linprog([1.0, 0.0], A_ub=above, b_ub=least, bounds=free, method="highs-ds")
    assert solved.status == 0
    middle, rise = solved.x
    return np.array([middle + rise * pair.half_mm, middle - rise * pair.half_mm])


def some_settings(random, pair):
    """Settings at which both tips are between the middle of the bridge and 1 mm inside the end of its feet."""
    wedges = (pair.treble, pair.bass)
    tips = random.uniform(0.01, pair.half_mm - 1, 2)
    return np.array([(one.tip_mm - tip) / one.scale_mm for one, tip in zip(wedges, tips, strict=True)])


def test_feet_lie_where_the_lowest_line_over_both_faces_lies():
    random = np.random.default_rng(17)
    for _ in range(300):
        pair = some_pair(random)
        cents = some_settings(random, pair)
        assert pair.ends_mm(cents) == pytest.approx(lowest_line(pair, cents), abs=1e-6)


def test_settings_for_a_line_put_the_feet_on_that_line():
    random, held = np.random.default_rng(18), 0
    for _ in range(3000):
        pair = some_pair(random)
        ends = random.uniform(-2.5, 2.5, 2)
        for_it = pair.cents_for(ends)
        tips = [one.tip_mm - c * one.scale_mm for one, c in zip((pair.treble, pair.bass), for_it, strict=True)]
        if min(tips) >= 0 and max(tips) < pair.half_mm:
            assert pair.ends_mm(for_it) == pytest.approx(ends, abs=1e-6)
            held += 1
        cents = some_settings(random, pair)
        assert pair.cents_for(pair.ends_mm(cents)) == pytest.approx(cents, abs=1e-6)
    assert held > 500


def test_wedges_that_agree_leave_the_bridge_parallel_and_others_turn_it_about_a_corner_and_a_tip():
    pair = WedgePair(Wedge(0.3, 0.1, 20.0), Wedge(0.25, 0.1, 20.0), 50.0)
    assert pair.ends_mm(np.array([5.0, 6.0])) == pytest.approx([1.5, 1.5])
    treble, bass = pair.ends_mm(np.array([5.0, -2.0]))
    assert bass == -0.5  # the outer corner on the face that is nearer the nut
    tip = 20 - 1.5 / 0.1
    assert (treble - bass) / 100 == pytest.approx((1.5 + 0.5) / (50 + tip))
    assert treble > 1.5  # farther than the face: this is what a reading of one wedge alone would hide


def test_a_tip_in_the_gap_between_feet_meets_nothing():
    gap = WedgePair(Wedge(0.3, 0.1, 20.0, 38.0), Wedge(0.3, 0.1, 20.0, 38.0), 50.0)
    low, high = gap.ends_mm(np.array([0.0, 5.0]))
    assert (high - low) / 100 == pytest.approx(1.5 / (50 + 38))
    assert gap.cents_for(np.array([low, high])) == pytest.approx([0.0, 5.0])
