"""A bridge's foot is called as its players call it: the feet of a banjo's, the base of a mandolin's."""

import re

import pytest
from every_page import complete
from samples import words_of

from jigs.faults import InputFaults
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import NAMES
from jigs.templates.options import Options
from jigs.templates.template import Lacks, templates
from jigs.workup.words import headline_figures

CALLED = {"banjo": ("feet", "base"), "mandolin": ("base", "feet"), "archtop-guitar": ("base", "feet")}
ABOUT_NEITHER = {"fretboard", "head", "top", "measure"}
"""Templates whose words need not name it."""


def words_on(name, template, **options):
    """All words on the sheets of a template; empty where the instrument has none."""
    try:
        sheets = lay_out(complete(name), templates()[template], PAPERS["a3"], Options(**options))
    except (InputFaults, Lacks):
        return ""
    return " ".join(words_of(each.drawing) for each in sheets).lower()


@pytest.mark.parametrize("template", [*NAMES, "wedges"])
@pytest.mark.parametrize("name", CALLED)
def test_every_sheet_calls_it_as_its_players_do(name, template):
    words = words_on(name, "gauge", wedges=True) if template == "wedges" else words_on(name, template)
    wanted, other = CALLED[name]
    words = words.replace("--feet-from-fret", "").replace("its base where they leave the saddle", "")
    assert not re.search(rf"\b{other}\b", words), words
    about_neither = template in ABOUT_NEITHER or "crown: leave it straight" in words  # nothing to glue on then
    assert about_neither or re.search(rf"\b{wanted}\b", words), words


@pytest.mark.parametrize("name", CALLED)
def test_the_figures_below_a_drawing_do_too(name):
    assert f"nut side of its {CALLED[name][0]} " in headline_figures(complete(name), feet=True)[0].text
