"""Every page of every preset and of every odd instrument, read back: on three papers, for both hands.

The whole of it takes a quarter of an hour on two cores. Without `JIGS_WHOLE=1` papers and hands go by turns.
"""

import pytest
from every_page import complete, drawn, scaled, wrong_with
from odd_instruments import ODD, odd
from samples import HANDS, PRESETS
from share import WHOLE

from jigs.templates.catalogue import NAMES

pytestmark = pytest.mark.slow

PAPERS = ("a4", "letter", "a3")
INCHES = (12, 17, 23, 29, 34) if WHOLE else (12, 34)
TOO_STIFF = {("cello-banjo", 12)}
"""A string of this preset would be too stiff at this scale: the file is refused, not a sheet."""


def sides(n):
    """Papers and hands to read the instrument number n on."""
    if WHOLE:
        return [(paper, hand) for hand in HANDS for paper in PAPERS]
    return [(PAPERS[n % 3], HANDS[n % 2])]


@pytest.mark.parametrize("name", PRESETS)
def test_every_page_of_a_preset_can_be_read_and_nothing_is_refused(name):
    for paper, hand in sides(PRESETS.index(name)):
        assert list(wrong_with(complete(name, hand), name, (paper,))) == [], (paper, hand)


@pytest.mark.parametrize("stem", ODD)
def test_every_page_of_an_odd_instrument_can_be_read(stem):
    """A part that is wider than a sheet may be refused on it, and nothing else; A3 holds them all."""
    for paper, hand in sides(list(ODD).index(stem)):
        assert list(wrong_with(odd(stem, hand), stem, (paper,), refusable=paper != "a3")) == [], (paper, hand)


@pytest.mark.parametrize("inches", INCHES)
@pytest.mark.parametrize("name", PRESETS)
def test_no_sheet_is_refused_for_its_scale(name, inches):
    if (name, inches) in TOO_STIFF:
        pytest.skip("a string is too stiff at this scale")
    both = (("a4", "right"), ("letter", "left"))
    turn = (PRESETS.index(name) + INCHES.index(inches)) % 2
    for paper, hand in both if WHOLE else both[turn : turn + 1]:
        assert list(wrong_with(scaled(name, inches, hand), f"{name}-{inches}", (paper,))) == [], (paper, hand)


def test_every_template_is_drawn_for_some_preset():
    """So that none of the above passes because nothing is drawn."""
    for template in NAMES:
        assert any(drawn(complete(name), name, template, "a3") for name in PRESETS), template
