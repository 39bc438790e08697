"""The figures of the guide to the ±, which no command prints in one table."""

import re

import pytest
from samples import ROOT, run

GUIDE = (ROOT / "jigs" / "guide" / "strings.md").read_text(encoding="utf-8")
ROWS = [
    (preset, [float(one) for one in re.findall(r"([\d.]+) mm", figures)])
    for preset, figures in re.findall(r"^\| ([a-z-]+) \|((?: [\d.]+ mm \|)+)$", GUIDE, re.MULTILINE)
]

PRINTER = ("tolerance.print_percent=0.05",)
FINGER = ("action.finger=8", "action.press=0.2")
CORE_SHARE = 0.475
"""Of the gauge: what is taken for a core that nobody measured. Measured as this, it moves no line."""
GAUGE_IN = {"banjo": 0.022, "tenor-banjo": 0.030, "mandolin": 0.040, "octave-mandolin": 0.046}
"""Of string 4, at the bass end, in inches."""


def bass_end_mm(preset, *given):
    sets = [part for one in given for part in ("--set", one)]
    status, printed, said = run("numbers", preset, *sets)
    assert status == 0, said
    (found,) = re.findall(r"^ *line, bass +± ([\d.]+) mm", printed, re.MULTILINE)
    return float(found)


def test_the_guide_has_a_row_for_each_of_these_presets():
    assert [preset for preset, _ in ROWS] == list(GAUGE_IN)


@pytest.mark.parametrize(("preset", "figures"), ROWS, ids=GAUGE_IN.keys())
def test_what_each_measurement_is_worth_is_as_the_guide_has_it(preset, figures):
    core = f"strings.4.core={CORE_SHARE * GAUGE_IN[preset]:.5f} in"
    ways = ((), PRINTER, (core,), FINGER, (*PRINTER, core))
    assert figures == [bass_end_mm(preset, *way) for way in ways]
