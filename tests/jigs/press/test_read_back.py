"""Pages as a reader finds them: a sample of what tests/slow/test_every_page.py reads in full.

A banjo, a mandolin, a wide bridge and the odd instruments, a paper and a hand each.
"""

from itertools import cycle

import pytest
from every_page import complete, scaled, wrong_with
from odd_instruments import ODD, odd

from jigs.templates.catalogue import NAMES

pytestmark = pytest.mark.slow

SAMPLED = {"banjo": ("a4", "right"), "mandolin": ("letter", "left"), "archtop-guitar": ("a3", "right")}
ODD_SAMPLED = dict(zip(ODD, cycle(zip(("a4", "letter", "a3") * 2, NAMES[:6], strict=True)), strict=False))


@pytest.mark.parametrize("name", SAMPLED)
def test_nothing_on_a_page_is_over_anything_else_too_small_or_at_the_edge(name):
    paper, hand = SAMPLED[name]
    assert list(wrong_with(complete(name, hand), name, (paper,))) == []


@pytest.mark.parametrize("stem", ODD)
def test_odd_instrument_has_a_fork_that_can_be_read(stem):
    paper, template = ODD_SAMPLED[stem]
    assert list(wrong_with(odd(stem), stem, (paper,), {"fork": None, template: None}, refusable=True)) == []


@pytest.mark.parametrize(("name", "inches", "paper"), [("banjo", 12, "letter"), ("flat-top-guitar", 34, "a4")])
def test_no_scale_is_too_short_or_too_long_for_a_fork(name, inches, paper):
    assert list(wrong_with(scaled(name, inches, "right"), name, (paper,), ("fork",))) == []
