"""What the ear found is kept: the place counts from then on, and nothing that is wrong is kept in silence."""

import json
import os
import re
import stat
import subprocess
import sys
import tomllib

import pytest
from samples import ROOT, run

from jigs.instrument.opening import preset_text

TODAY = ("--date", "2026-11-25")


@pytest.fixture
def mine(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(preset_text("banjo"), encoding="utf-8")
    return path


def numbers(path, *more):
    return json.loads(run("numbers", path, "--json", *more)[1])


def kept(path):
    return tomllib.loads(path.read_text(encoding="utf-8"))["found"]


def test_a_crown_line_that_was_measured_is_where_everything_is_drawn_from_then_on(mine):
    status, printed, wrong = run("keep", mine, "--at", "669.7 / 671.0", *TODAY)
    assert status == 0, wrong
    assert "found by ear on 25 November 2026" in printed
    found = numbers(mine)
    assert (found["bridge"]["treble_mm"], found["bridge"]["bass_mm"]) == pytest.approx((669.7, 671.0))
    computed = numbers(mine, "--computed")
    assert "found" not in computed
    assert computed["bridge"] == numbers("banjo")["bridge"]
    for end in ("treble", "bass"):
        correction = found["found"][f"correction_{end}_mm"]
        assert correction == pytest.approx(found["found"][f"{end}_mm"] - computed["bridge"][f"{end}_mm"])


def test_feet_measured_with_a_caliper_are_kept_as_they_were_measured(mine):
    assert run("keep", mine, "--feet-from-fret", "12", "331.1 / 332.6", *TODAY)[0] == 0
    assert [kept(mine)[key] for key in ("fret", "feet_treble", "feet_bass")] == [12, 331.1, 332.6]
    face = tomllib.loads(preset_text("banjo"))["bridge"]["thickness"] / 2
    wire = 1.8  # of the preset's kind
    expected = numbers(mine)["frets"][11]["from_nut_mm"] + wire / 2 + 331.1 + face
    assert numbers(mine)["bridge"]["treble_mm"] == pytest.approx(expected, abs=0.02)  # the slant turns the feet


def test_ticks_are_kept_as_a_place_from_the_fret_with_the_error_of_the_sheet(mine):
    assert run("keep", mine, "--ticks", "0 / 0", *TODAY)[0] == 0
    assert numbers(mine)["bridge"]["treble_mm"] == pytest.approx(numbers("banjo")["bridge"]["treble_mm"], abs=0.01)
    assert kept(mine)["plus_minus"] > 2
    assert run("keep", mine, "--ticks", "-3 / 5.5", *TODAY)[0] == 0
    before, after = numbers("banjo")["bridge"], numbers(mine)["bridge"]
    assert after["treble_mm"] < before["treble_mm"] - 0.2
    assert after["bass_mm"] > before["bass_mm"] + 0.8


def readings(log, mine, first, last, *more):
    given = (
        "--string",
        "1",
        "--harmonic",
        "0",
        "--fretted",
        first,
        "--string",
        "4",
        "--harmonic",
        "0",
        "--fretted",
        last,
    )
    status, printed, wrong = run("readings", mine, *given, "--log", log, "--json", *more)
    assert status == 0, wrong
    return json.loads(printed)


def test_a_log_that_ended_in_stop_keeps_the_place_of_its_last_round(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    first = readings(log, mine, "-3", "+4", "--at", "669.9 / 670.2")
    second = readings(log, mine, "-0.2", "+0.1")
    assert second["verdict"] == "stop"
    assert second["before"]["treble_mm"] == pytest.approx(first["after"]["treble_mm"], abs=1e-4)
    status, _, wrong = run("keep", mine, "--log", log, *TODAY)
    assert status == 0, wrong
    assert kept(mine)["treble"] == pytest.approx(first["after"]["treble_mm"], abs=0.006)
    assert kept(mine)["bass"] == pytest.approx(first["after"]["bass_mm"], abs=0.006)
    assert kept(mine)["plus_minus"] >= 0.6


def test_a_log_that_began_on_the_sheet_has_the_error_of_that_sheet(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    readings(log, mine, "0", "0", "--at", "line")
    assert run("keep", mine, "--log", log, *TODAY)[0] == 0
    assert kept(mine)["plus_minus"] > 2
    assert run("keep", mine, "--log", log, "--plus-minus", "0.7", *TODAY)[0] == 0
    assert kept(mine)["plus_minus"] == 0.7


def test_other_strings_move_the_place_as_the_computed_line_moves(mine):
    assert run("keep", mine, "--at", "669.7 / 671.0", *TODAY)[0] == 0
    text = mine.read_text(encoding="utf-8")
    before = numbers(mine, "--computed")["bridge"]
    mine.write_text(text.replace('gauge = ".022w"', 'gauge = ".026w"'), encoding="utf-8")
    assert mine.read_text(encoding="utf-8") != text
    after, found = numbers(mine, "--computed")["bridge"], numbers(mine)
    moved = after["bass_mm"] - before["bass_mm"]
    assert abs(moved) > 0.05
    assert found["bridge"]["bass_mm"] == pytest.approx(671.0 + moved, abs=1e-6)
    assert found["found"]["moved_bass_mm"] == pytest.approx(moved, abs=1e-6)
    status, _, said = run("draw", mine, "--out", mine.parent)
    assert status == 0
    assert "same_make" in said


WRONG = {
    "far": (("--at", "680"), "10.1 mm nearer the tail", "--sure"),
    "tailpiece": (("--at", "760"), "--at", "601 to 733 mm"),
    "date that is not": (("--at", "670", "--date", "2026-02-30"), "--date", "2026-11-25"),
    "date to come": (("--at", "670", "--date", "2199-01-01"), "--date", "at the latest"),
    "other count": (("--at", "670", "--strings", ".010, .012"), "--strings", "one for each string"),
    "string that breaks": (
        ("--at", "670", "--strings", "D6 .010, .012, .014, .022w, .010"),
        "--strings",
        "check",
    ),
    "no place": ((), "--at", "--feet-from-fret"),
    "two places": (("--at", "670", "--ticks", "1 / 1"), "--ticks", "give one of"),
    "ticks": (("--ticks", "three"), "--ticks", "+3 / -5.5"),
    "fret": (("--feet-from-fret", "99", "300"), "--feet-from-fret", "1 to 22"),
    "log that is not there": (("--log", "nowhere.jsonl"), "nowhere.jsonl", "jigs readings"),
    "plus minus": (("--at", "670", "--plus-minus", "wide"), "--plus-minus", "write"),
}


@pytest.mark.parametrize("what", WRONG)
def test_what_cannot_be_is_refused_with_a_place_and_a_remedy_and_the_file_stays(mine, what):
    before = mine.read_bytes()
    given, where, remedy = WRONG[what]
    status, printed, wrong = run("keep", mine, *given)
    assert (status, printed) == (2, "")
    assert where in wrong
    assert remedy in wrong
    assert mine.read_bytes() == before
    assert sorted(mine.parent.iterdir()) == [mine]


def test_a_place_far_from_the_computed_one_is_kept_if_you_are_sure(mine):
    assert run("keep", mine, "--at", "680", "--sure", *TODAY)[0] == 0
    status, _, said = run("draw", mine, "--out", mine.parent)
    assert status == 0
    assert "more than the ± explains" in said


def test_a_log_without_stop_or_of_another_instrument_keeps_nothing(mine, tmp_path):
    before, log = mine.read_bytes(), tmp_path / "banjo.jsonl"
    readings(log, mine, "-3", "+4", "--at", "669.9 / 670.2")
    status, _, wrong = run("keep", mine, "--log", log)
    assert status == 2
    assert re.search(r"its last round, 1, says .*go on until it says stop", wrong)
    other = tmp_path / "other.jsonl"
    readings(other, "mandolin", "0", "0", "--at", "354 / 355")
    status, _, wrong = run("keep", mine, "--log", other)
    assert status == 2
    assert "no round of" in wrong
    assert "Mandolin" in wrong
    assert mine.read_bytes() == before


def test_a_log_in_which_nobody_said_where_the_bridge_stood_keeps_no_made_up_place(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    readings(log, mine, "0", "0")
    status, _, wrong = run("keep", mine, "--log", log)
    assert status == 2
    assert "only moves, and no place" in wrong


def test_a_preset_keeps_nothing():
    status, _, wrong = run("keep", "banjo", "--at", "670")
    assert status == 2
    assert "jigs presets banjo > mine.toml" in wrong


def test_permissions_and_a_link_to_the_file_stay(mine):
    mine.chmod(0o640)
    link = mine.parent / "link.toml"
    link.symlink_to(mine)
    assert run("keep", link, "--at", "670 / 671", *TODAY)[0] == 0
    assert link.is_symlink()
    assert stat.S_IMODE(mine.stat().st_mode) == 0o640
    assert kept(mine)["treble"] == 670.0


def test_twenty_at_once_leave_one_whole_table(mine):
    before = mine.read_bytes()
    command = [sys.executable, "-m", "jigs", "keep", str(mine), *TODAY, "--at"]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    runs = [
        subprocess.Popen([*command, f"{660 + n / 2} / 671"], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for n in range(10, 30)
    ]
    ends = [process.communicate(timeout=120) and process.returncode for process in runs]
    assert ends == [0] * 20
    after = mine.read_bytes()
    assert after.startswith(before)
    assert after.count(b"[found]") == before.count(b"[found]") + 1
    assert kept(mine)["treble"] in [660 + n / 2 for n in range(10, 30)]
    assert sorted(mine.parent.iterdir()) == [mine]
