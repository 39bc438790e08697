"""What files and README say counts when nothing is written is what does count."""

import re
import tomllib

import pytest
from samples import PRESETS, ROOT

from geometry.tolerance import Spread
from jigs.instrument.opening import preset_text
from jigs.instrument.tolerance import Tolerance


def tolerance_told(text):
    """The values of a [tolerance] table, whether commented out or not."""
    begun = text[text.index("[tolerance]") :]
    lines = [line.removeprefix("# ") for line in begun.split("\n")[1:]]
    table = []
    for line in lines:
        if not re.match(r"\s*\w+ *= ", line):
            break
        table.append(line.strip())
    return tomllib.loads("\n".join(table))


@pytest.mark.parametrize("name", PRESETS)
def test_a_preset_s_doubts_are_those_that_count_anyway(name):
    told = tolerance_told(preset_text(name))
    assert len(told) >= 8
    assert Tolerance(**told).spread == Spread()


def test_the_readme_s_doubts_are_those_that_count_anyway():
    told = tolerance_told((ROOT / "README.md").read_text(encoding="utf-8"))
    assert len(told) >= 8
    assert Tolerance(**told).spread == Spread()
