"""The defaults that presets and guides show are those that count."""

import re
import tomllib

import pytest
from samples import PRESETS, ROOT

from geometry.tolerance import Spread
from jigs.instrument.opening import preset_text
from jigs.instrument.tolerance import Tolerance


def tolerance_shown(text):
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
def test_a_preset_shows_the_accuracy_that_counts_by_default(name):
    shown = tolerance_shown(preset_text(name))
    assert len(shown) >= 8
    assert Tolerance(**shown).spread == Spread()


def test_the_guide_to_the_plus_minus_shows_the_accuracy_that_counts_by_default():
    shown = tolerance_shown((ROOT / "jigs" / "guide" / "strings.md").read_text(encoding="utf-8"))
    assert len(shown) >= 8
    assert Tolerance(**shown).spread == Spread()
