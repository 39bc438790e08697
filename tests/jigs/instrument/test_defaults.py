"""The defaults that presets and guides show are those that count."""

import re
import tomllib

import pytest
from samples import PRESETS, ROOT

from geometry.tolerance import Spread
from jigs.instrument.file import from_data
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


@pytest.mark.parametrize(
    ("kind", "frets", "wire", "heights", "spacings", "bridge", "beyond"),
    [
        ("banjo", 22, 1.8, (0.5, 3.0), (25.0, 43.0), (72.0, 7.5, 2.5), (70.0, 90.0)),
        ("mandolin", 20, 1.6, (0.4, 1.6), (23.0, 40.0), (108.0, 11.0, 6.0), (95.0, 75.0)),
        ("other", 20, 2.2, (0.5, 2.2), (36.0, 52.0), (150.0, 12.0, 7.0), (130.0, 110.0)),
        (None, 20, 2.2, (0.5, 2.2), (36.0, 52.0), (150.0, 12.0, 7.0), (130.0, 110.0)),
    ],
)
def test_what_a_file_leaves_out_is_what_is_usual_for_its_kind(kind, frets, wire, heights, spacings, bridge, beyond):
    """Common practice, no source: what a file without measurements has been drawn for since the first sheet."""
    data = {
        "name": "Plain",
        "scale": 640,
        "strings": [{"note": "E4", "gauge": ".010"}, {"note": "B3", "gauge": ".013"}],
    }
    instrument = from_data(data | ({} if kind is None else {"kind": kind}), "mine.toml")
    assert (instrument.head.frets, instrument.head.fret_crown_width) == (frets, wire)
    assert (instrument.action.nut, instrument.action.fret_12) == heights
    assert (instrument.nut.spacing, instrument.bridge.spacing) == spacings
    assert (instrument.bridge.length, instrument.bridge.thickness, instrument.bridge.crown) == bridge
    assert instrument.bridge.face_mm == bridge[1] / 2
    assert (instrument.tail.afterlength, instrument.tail.headlength) == beyond
    assert [key.key for key, _ in instrument.assumed] == ["nut", "fret_12", "spacing", "spacing", "length", "thickness"]
