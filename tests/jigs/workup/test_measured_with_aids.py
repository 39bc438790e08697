"""What measuring with the printed aids does to the ±: smaller parts for scale, heights and counted turns, nothing else."""

import pytest
from instruments import edited

from geometry.aids import COUNTED_CORE_SHARE
from geometry.by_aids import BY_AIDS
from geometry.tolerance import Source, Spread
from jigs.instrument.reference import declared
from jigs.instrument.usual import TURNS_ERROR_SHARE
from jigs.workup.sureness import how_sure

TURNS = {"core": None, "turns": 52, "gauge": "0.036 in"}


def parts(tolerance, preset="mandolin", string=None):
    strings = {3: TURNS} if string is not None else {}
    sure = how_sure(edited(preset, strings=strings, tolerance=tolerance))
    place = sure.of_line(0.0) if string is None else sure.of_string(string)
    return place.half_width_mm, dict(place.contributions)


@pytest.mark.parametrize("preset", ["mandolin", "banjo", "archtop-guitar"])
def test_an_instrument_measured_with_the_aids_gets_a_smaller_plus_minus(preset):
    whole, by_rule = parts({}, preset)
    smaller, by_aids = parts({"measured_with": "aids"}, preset)
    assert smaller < whole
    given = {source: mm for source, mm in by_rule.items() if mm}
    usual = Spread()
    shares = {
        Source.SCALE: BY_AIDS.scale_mm / usual.scale_mm,
        Source.ACTION: BY_AIDS.action_mm / usual.action_mm,
        Source.NUT_HEIGHT: BY_AIDS.nut_height_mm / usual.nut_height_mm,
    }
    assert shares == pytest.approx({Source.SCALE: 0.92, Source.ACTION: 8 / 15, Source.NUT_HEIGHT: 0.8})
    assert by_aids == pytest.approx(
        {source: mm * shares.get(source, 1.0) for source, mm in given.items()}
        | {source: 0.0 for source in by_rule if source not in given}
    )


def test_turns_counted_in_the_window_leave_half_the_doubt_of_the_core():
    _, by_rule = parts({}, string=3)
    _, by_aids = parts({"measured_with": "aids"}, string=3)
    assert by_rule[Source.CORE] > 0
    assert by_aids[Source.CORE] / by_rule[Source.CORE] == pytest.approx(COUNTED_CORE_SHARE / TURNS_ERROR_SHARE)


def test_a_tolerance_of_ones_own_counts_before_that_of_the_aids():
    own = {"action": 0.3, "scale": 0.6, "nut_height": 0.2}
    assert parts(own) == parts(own | {"measured_with": "aids"})


def test_the_rule_is_what_a_file_says_that_says_nothing():
    assert parts({}) == parts({"measured_with": "rule"})


@pytest.mark.parametrize(
    ("key", "field"), [("scale", "scale_mm"), ("action", "action_mm"), ("nut_height", "nut_height_mm")]
)
def test_the_form_shows_both_defaults_of_what_the_aids_measure(key, field):
    rule, aids = getattr(Spread(), field), getattr(BY_AIDS, field)
    assert declared("tolerance", key).empty == f"{rule:g} mm; with aids {aids:g} mm"
