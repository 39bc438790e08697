"""The page beside the examples lists every file of the folder, and each of them can be drawn alone."""

import re

import pytest
from samples import ROOT

from jigs.demo.examples import example

EXAMPLES = ROOT / "out_examples"
PAGE = (EXAMPLES / "README.md").read_text(encoding="utf-8")
LINKED = re.findall(r"\]\(([^)]+)\)", PAGE)


def test_every_example_is_listed_once_and_nothing_else():
    there = sorted(path.name for path in EXAMPLES.iterdir() if path.name != "README.md")
    assert sorted(LINKED) == there


def test_the_page_is_short():
    assert 20 <= len(PAGE.splitlines()) <= 40


@pytest.mark.parametrize(
    "name",
    [
        "loan-banjo-7.toml",
        "loan-banjo-7.jsonl",
        "loan-banjo-7-readings-2.csv",
        "loan-banjo-7-kept-gauge.dxf",
        "loan-banjo-7-fretboard-2.svg",
        "loan-mandolin-4-gauge.svg",
        "loan-mandolin-4-gauge-page-2.svg",
        "loan-banjo-7-kept-compare.pdf",
        "old-mandolin-board.csv",
        "old-mandolin-board-survey.svg",
        "printer-sheet-a4.pdf",
        "fork-in-use.svg",
    ],
)
def test_an_example_drawn_alone_is_the_same(name):
    assert example(name) == (EXAMPLES / name).read_bytes()


NUMBER = re.compile(r"-?\d+\.?\d*")
"""Other machines and libraries round a nanometre otherwise."""


DRAWN = sorted(path.name for path in EXAMPLES.iterdir() if path.suffix in (".svg", ".jsonl"))


@pytest.mark.parametrize("name", DRAWN)
def test_an_example_shows_what_the_program_draws_now(name):
    """PDF has the same drawing as SVG, and what a library makes of it differs between its versions; so does DXF."""
    now, then = (content.decode() for content in (example(name), (EXAMPLES / name).read_bytes()))
    assert NUMBER.split(now) == NUMBER.split(then)
    assert [float(n) for n in NUMBER.findall(now)] == pytest.approx([float(n) for n in NUMBER.findall(then)], abs=2e-6)


@pytest.mark.parametrize(
    "name", ["", "loan", "loan-banjo-7", "loan-banjo-77-fork.svg", "loan-banjo-7-fork.dxf", "../x"]
)
def test_there_is_no_other_example(name):
    with pytest.raises(KeyError):
        example(name)
