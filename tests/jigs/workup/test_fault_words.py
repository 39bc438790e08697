"""Every code of geometry that these rooms catch has a sentence."""

import re

import pytest

from geometry.compensation import NoSetbackError
from geometry.readings import ReadingError
from geometry.spacing import SpacingError
from jigs.faults import Key, Place
from jigs.instrument.body_words import BRIDGE_UNDER_THE_BOARD, top_too_steep
from jigs.readings.fault_words import no_place
from jigs.workup.fault_words import no_setback, strings_overlap


def codes(kind):
    """The codes that the docstring of an exception lists."""
    listed = kind.__doc__.partition("Codes: ")[2]
    return sorted(set(re.findall(r"[a-z]+(?:-[a-z]+)+", re.sub(r"\([^)]*\)", "", listed))))


@pytest.mark.parametrize("code", codes(NoSetbackError))
def test_string_without_a_setback_is_refused_in_a_sentence(code):
    fault = no_setback(NoSetbackError(code, [1])).at(Place("mine.toml", "strings", string=2))
    assert fault.code == code
    assert str(fault).startswith("mine.toml: string 2: ")
    assert str(fault).endswith("; check note, octave, gauge, core, unit mass and scale")


@pytest.mark.parametrize("code", codes(ReadingError))
def test_readings_without_a_place_are_refused_in_a_sentence(code):
    fault = no_place(ReadingError(code, [1])).at(Place("mine.toml"))
    assert fault.code == code
    assert fault.sentence().endswith("; check strings and scale, and read again")


def test_lists_of_codes_are_not_empty():
    assert len(codes(NoSetbackError)) == 5
    assert len(codes(ReadingError)) == 3


def test_overlap_is_shown_in_millimetres_with_the_keys_to_change():
    fault = strings_overlap(SpacingError("strings-overlap", 0.5), Key("nut", "spacing")).at(Place())
    assert fault.sentence() == (
        "neighbouring strings would overlap by 0.50 mm; make [nut] spacing wider, or check gauges and [nut] pair_gap"
    )


def test_top_that_cannot_be_names_the_heights_to_measure():
    again = "; measure [bridge] height and [board] over_top again"
    under = BRIDGE_UNDER_THE_BOARD.at(Place())
    steep = top_too_steep(1.234).at(Place())
    assert under.sentence() == f"with [board] over_top, the bridge would stand under the board{again}"
    assert steep.sentence() == (
        f"with [board] over_top, the top would fall away by 1.23 mm per mm, steeper than 45 degrees{again}"
    )
