"""Strings without a place for a bridge, or with one far away: the likeliest slip is asked for, at its key."""

import pytest
from samples import run

from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.instrument.set_keys import read_set_keys
from jigs.workup.work_up import work_up

WITHOUT_W = [
    ("mandolin", 4, ".040"),
    ("mandolin", 4, ".034"),
    ("mandolin", 4, ".038"),
    ("octave-mandolin", 4, ".046"),
    ("archtop-guitar", 6, ".052"),
]
HALVES = [("banjo", "333.4"), ("long-neck-banjo", "406"), ("archtop-guitar", "318"), ("flat-top-guitar", "314")]


def set_on(preset, *keys):
    return work_up(parse(preset_text(preset).encode(), "mine.toml", read_set_keys(keys)))


def plain(string, gauge):
    return f"strings.{string}.gauge={gauge}", f"strings.{string}.wound=false"


def faults_of(preset, *keys):
    with pytest.raises(InputFaults) as wrong:
        set_on(preset, *keys)
    return wrong.value.faults


@pytest.mark.parametrize(("preset", "string", "gauge"), WITHOUT_W)
def test_a_forgotten_w_of_a_thick_string_is_asked_for(preset, string, gauge):
    (fault,) = faults_of(preset, *plain(string, gauge))
    assert fault.code == "string-too-stiff"
    assert (fault.place.string, fault.place.key) == (string, "gauge")
    called = "string" if preset == "archtop-guitar" else "pair"
    assert fault.sentence().endswith(f'; is {called} {string} wound? then write gauge = "{gauge}w"')
    assert set_on(preset, f"strings.{string}.gauge={gauge}w").steep_slant is None


def test_the_question_is_asked_where_the_file_is_drawn_whatever_is_confirmed(tmp_path):
    keys = [part for key in plain(4, ".040") for part in ("--set", key)]
    for more in ((), ("--sure",)):
        status, _, shown = run("draw", "mandolin", "--all", *keys, *more, "--out", tmp_path)
        assert status == 2
        assert 'is pair 4 wound? then write gauge = ".040w"' in shown
    assert not list(tmp_path.iterdir())


def test_a_stiff_thin_string_is_not_asked_whether_it_is_wound():
    (fault,) = faults_of("mandolin", "strings.1.note=E2")
    assert "wound" not in fault.sentence()
    assert fault.sentence().endswith("check note, octave, gauge, core, unit mass and scale")


def test_a_thick_plain_string_between_the_outer_ones_is_asked_first_whether_it_is_wound():
    (note,) = set_on("mandolin", *plain(3, ".026")).notes
    assert (note.code, note.place.where) == ("setback-unusual", "string 3, gauge")
    assert '; is pair 3 wound? then write gauge = ".026w"; if not, check note' in note.sentence()


@pytest.mark.parametrize(("preset", "half"), HALVES)
def test_nut_to_fret_12_given_for_the_scale_is_asked_about_once(preset, half):
    (fault,) = faults_of(preset, f"scale={half}")
    assert fault.code == "scale-perhaps-half"
    assert (fault.place.table, fault.place.key) == ("", "scale")
    assert f'if it is, write nut_to_fret_12 = "{half} mm" instead' in fault.sentence()
    assert set_on(preset, f"nut_to_fret_12={half}").scale_mm == pytest.approx(2 * float(half))


def test_a_string_at_the_wrong_octave_does_not_put_the_scale_in_doubt():
    (fault,) = faults_of("banjo", "strings.1.note=D1")
    assert (fault.code, fault.place.string) == ("string-too-slack", 1)


def test_a_half_that_was_measured_as_half_keeps_its_own_faults():
    assert {fault.code for fault in faults_of("banjo", "nut_to_fret_12=166.7")} == {"string-too-slack"}


def test_a_scale_on_which_no_doubling_helps_keeps_its_own_faults():
    codes = {fault.code for fault in faults_of("flat-top-guitar", "scale=200")}
    assert "scale-perhaps-half" not in codes
