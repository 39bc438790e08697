"""Wedges that were slid until they touch are read, kept and set again: the bridge is where they put it."""

import json
import tomllib

import numpy as np
import pytest
from samples import PRESETS, measured, preset, run

from jigs.faults import Place
from jigs.instrument.opening import preset_text
from jigs.readings.wedges import line_read_on_wedges, settings_for
from jigs.workup.wedges import set_by_wedges

TODAY = ("--date", "2026-11-25")
AT = Place(option="wedges")


@pytest.fixture
def mine(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(preset_text("banjo"), encoding="utf-8")
    return path


def places(path, *more):
    bridge = json.loads(run("numbers", path, "--json", *more)[1])["bridge"]
    return np.array([bridge["treble_mm"], bridge["bass_mm"]])


def advised(path, *at):
    given = ("--string", 1, "--harmonic", 0, "--fretted", 2, "--string", 4, "--harmonic", 0, "--fretted", -1)
    status, printed, wrong = run("readings", path, *given, *at)
    assert status == 0, wrong
    return printed


@pytest.mark.parametrize("name", PRESETS)
def test_settings_that_are_advised_put_the_bridge_on_the_advised_place(name):
    """Over an arched top too, and with feet that have gaps."""
    workups = [preset(name), preset(name, hand="left"), measured(name, "heights"), measured(name, "feet")]
    for workup in workups:
        wanted = np.add(workup.outer_places_mm, [0.7, -0.4])
        settings = settings_for(workup, tuple(wanted))
        text = f"{settings.treble_cents:+.6f} / {settings.bass_cents:+.6f}"
        line = line_read_on_wedges(text, workup, AT)
        assert line.at(workup.outer_mm) == pytest.approx(wanted, abs=0.001)


@pytest.mark.parametrize("name", PRESETS)
def test_wedges_at_zero_are_the_line_that_is_drawn(name):
    workup = preset(name)
    at_zero = line_read_on_wedges("0 / 0", workup, AT)
    assert at_zero.at(workup.outer_mm) == pytest.approx(workup.outer_places_mm, abs=1e-9)


def test_a_kept_reading_is_the_line_that_plain_geometry_draws_through_corner_and_tip(mine):
    """Treble +3, bass −5.5: the outer corner of the feet meets the bass wedge, and they meet the treble one at its tip."""
    workup = preset("banjo")
    wedges, half = set_by_wedges(workup), workup.instrument.bridge.length / 2
    treble, bass = wedges.pair.treble, wedges.pair.bass
    faces = 3 * treble.mm_per_cent, -5.5 * bass.mm_per_cent
    tip = half - 3 - wedges.flat * treble.scale_mm - 3 * treble.scale_mm
    rise = (faces[0] - faces[1]) / (tip + half)
    theta = np.arctan(workup.face_line.slope)
    along, square = np.exp(1j * theta), 1j * np.exp(1j * theta)
    ends = [
        1j * workup.face_line.centre_mm + w * along + (faces[1] + rise * (w + half)) * square for w in (half, -half)
    ]
    slope = (ends[0] - ends[1]).imag / (ends[0] - ends[1]).real
    face = [ends[1].imag + slope * (x - ends[1].real) for x in workup.outer_mm]
    crown = np.array(face) + workup.instrument.bridge.face_mm * np.hypot(1, slope)
    assert run("keep", mine, "--wedges", "+3 / -5.5", *TODAY)[0] == 0
    assert places(mine) == pytest.approx(crown, abs=0.012)  # the file has hundredths


@pytest.mark.parametrize("text", ["+3 / -5.5", "3 / −5,5", " +3/-5.5 "])
def test_wedges_are_kept_however_people_write_them(mine, text):
    status, printed, wrong = run("keep", mine, "--wedges", text, *TODAY)
    assert status == 0, wrong
    assert "The wedges count from the computed line." in printed
    kept = tomllib.loads(mine.read_text(encoding="utf-8"))["found"]
    assert kept["plus_minus"] > 2
    assert places(mine)[0] > places("banjo")[0] + 1 > places(mine)[1] + 1


def test_a_second_reading_counts_from_the_kept_place_and_says_so(mine):
    run("keep", mine, "--wedges", "+3 / -2", *TODAY)
    before = places(mine)
    status, printed, _ = run("keep", mine, "--wedges", "0 / 0", *TODAY)
    assert status == 0
    assert "The wedges count from the found line that the file had." in printed
    assert places(mine) == pytest.approx(before, abs=0.02)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("--wedges", "x"), '"x" is not a pair of wedge readings'),
        (("--wedges", "3"), "write treble and bass in cents"),
        (("--wedges", "3 / 4 / 5"), "is not a pair of wedge readings"),
        (("--wedges", "+3 / -25"), "is beyond the scale of these wedges, −7 to +6 cents"),
        (("--wedges", "+3 / -2", "--at", "669"), "the place is given 2 times"),
        (("--wedges", "+3 / -2", "--ticks", "0 / 0"), "the place is given 2 times"),
        ((), "--wedges"),
    ],
)
def test_wedge_readings_that_cannot_be_are_refused_and_the_file_stays(mine, given, says):
    before = mine.read_bytes()
    status, _, wrong = run("keep", mine, *given, *TODAY)
    assert (status, says in wrong) == (2, True), wrong
    assert mine.read_bytes() == before


def test_an_instrument_without_wedges_has_no_readings_of_them(mine):
    short = preset_text("mountain-dulcimer").replace("= 38.0", "= 28.0").replace("= 30.0", "= 22.0")
    mine.write_text(short, encoding="utf-8")
    status, _, wrong = run("keep", mine, "--wedges", "0 / 0", *TODAY)
    assert (status, "base has no wedges" in wrong) == (2, True), wrong


def test_a_round_read_on_wedges_ends_in_settings_for_them_and_so_does_the_next(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    printed = advised(mine, "--at", "wedges +1 / -2", "--log", log)
    assert "Wedges at this place: treble +" in printed
    assert "Their zero is the computed line." in printed
    assert "Wedges at this place: treble +" in advised(mine, "--log", log)
    assert "wedges" not in advised(mine, "--at", "669.9 / 670.2")
    assert run("readings", mine, "--string", 1, "--harmonic", 0, "--fretted", 0, "--at", "wedges 1")[0] == 2


def test_advice_for_wedges_is_how_to_set_them_and_has_no_cents_of_a_fork(mine):
    """The fork's cents count from where the bridge stands, those of the wedges from their zero."""
    far = ("--string", 1, "--harmonic", 0, "--fretted", 6, "--string", 4, "--harmonic", 0, "--fretted", -3)
    printed = run("readings", mine, *far, "--at", "wedges 0 / 0")[1]
    assert "Set both wedges: treble +" in printed
    assert "towards the tail" in printed
    assert "fork" not in printed
    assert "cents on the fork" in run("readings", mine, *far, "--at", "669.9 / 670.2")[1]


def test_json_has_the_settings_for_a_known_place_and_none_for_an_unknown_one(mine):
    known = json.loads(advised(mine, "--at", "wedges +1 / -2", "--json"))
    after = known["after"]["treble_mm"], known["after"]["bass_mm"]
    settings = settings_for(preset("banjo"), after)
    assert known["wedges"]["zero"] == "computed"
    assert known["wedges"]["treble_cents"] == pytest.approx(settings.treble_cents, abs=0.01)
    assert known["wedges"]["bass_cents"] == pytest.approx(settings.bass_cents, abs=0.01)
    assert json.loads(advised(mine, "--json"))["wedges"] is None


def test_settings_beyond_a_scale_say_so():
    workup = preset("banjo")
    treble, bass = workup.outer_places_mm
    assert settings_for(workup, (treble + 6.0, bass)).beyond[0] == "treble"
    assert settings_for(workup, (treble + 0.5, bass)).beyond == ()
