"""Programs find everything that readings advise under its key, and it is what the advice has."""

from functools import cache

import pytest
from json_keys import keys_in
from samples import preset

from geometry.readings import USUAL_ERRORS
from jigs.readings.advice import advise
from jigs.readings.as_json import as_dict
from jigs.readings.checked import checked, rows_from_options

READ = [
    pair
    for string in ("1", "4")
    for pair in (("string", string), ("harmonic", "+2"), ("fretted", "-5"), ("fret", "5"), ("fretted", "-3"))
]
KEYS = {
    "": "name strings moves relative start next before after wedges verdict reason shifted_cents tuner_error_cents"
    " touch_error_cents causes diagnosis lines",
    "strings": "string reading_cents plus_minus_cents repeats aim_cents rest_cents meant_cents",
    "moves": "end string reading_cents towards move_mm move_inches scale_cents both_scale_cents shifts_other_cents"
    " rest_cents plus_minus_cents",
    "before": "treble_mm bass_mm slant_deg",
    "after": "treble_mm bass_mm slant_deg",
    "causes": "string code fret name weight",
    "diagnosis": "string frets code cause strength next_fret fit",
    "diagnosis.fit": "setback_mm nut_setback_mm nut_height_mm stretch standard_errors",
    "lines": "kind text indented",
}


@cache
def advised(diagnose=True):
    workup = preset("banjo")
    readings = checked(rows_from_options(READ if diagnose else READ[:3] + READ[5:8]), workup)
    return advise(workup, readings, None, USUAL_ERRORS, diagnose)


def test_programs_find_everything_under_its_key():
    assert keys_in(as_dict(advised())) == KEYS
    assert set(KEYS[""].split()) - set(as_dict(advised(diagnose=False))) == {"causes", "diagnosis"}


def test_moves_are_those_of_the_advice():
    advice, found = advised(diagnose=False), as_dict(advised(diagnose=False))
    assert [one["end"] for one in found["moves"]] == ["treble", "bass"]
    for move, one in zip(advice.moves, found["moves"], strict=True):
        assert (one["string"], one["move_mm"]) == (move.string + 1, abs(move.mm))
        assert one["towards"] == ("nut" if move.mm < 0 else "tail")
        (own,) = [each for each in found["strings"] if each["string"] == one["string"]]
        shared = ("reading_cents", "rest_cents", "plus_minus_cents")
        assert [one[key] for key in shared] == [own[key] for key in shared]
    assert found["before"] != found["after"]
    assert found["after"]["treble_mm"] == pytest.approx(advice.after.treble_mm)
    assert (found["tuner_error_cents"], found["touch_error_cents"]) == (
        USUAL_ERRORS.tuner_cents,
        USUAL_ERRORS.touch_cents,
    )


def test_every_suspect_is_a_cause_and_the_named_one_comes_with_its_fit():
    found, advice = as_dict(advised()), advised()
    assert len(found["causes"]) == sum(len(one.suspects) for one in advice.diagnoses)
    for one, diagnosis in zip(found["diagnosis"], advice.diagnoses, strict=True):
        assert one["string"] == diagnosis.string + 1
        assert one["code"] == (None if diagnosis.named is None else diagnosis.named.cause.value)
        assert (one["code"] is None) == (one["cause"] is None)
        assert one["fit"]["setback_mm"] == diagnosis.fit.setback_mm
    assert all(one["fret"] != 0 for one in found["causes"])
