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

pytestmark = pytest.mark.slow

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
    status, _, wrong = run("keep", mine, "--ticks", "-3 / 5.5", *TODAY)
    assert status == 2
    assert "ticks count from that" in wrong
    assert run("keep", mine, "--ticks", "-3 / 5.5", "--sure", *TODAY)[0] == 0
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
        subprocess.Popen(
            [*command, f"{668 + n / 10:.1f} / 671"], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        for n in range(20)
    ]
    ends = [process.communicate(timeout=120) and process.returncode for process in runs]
    assert ends == [0] * 20
    after = mine.read_bytes()
    assert after.startswith(before)
    assert after.count(b"[found]") == before.count(b"[found]") + 1
    assert kept(mine)["treble"] in [round(668 + n / 10, 1) for n in range(20)]
    assert sorted(mine.parent.iterdir()) == [mine]


# what the file says later must not change what the place was found with


def bass(path, *more):
    return numbers(path, *more)["bridge"]["bass_mm"]


def treble(path, *more):
    return numbers(path, *more)["bridge"]["treble_mm"]


def test_strings_that_became_nylon_were_steel_when_the_place_was_found(mine):
    assert run("keep", mine, "--at", "669.9 / 670.2", *TODAY)[0] == 0
    nylon = ("--set", "strings.1.gauge=0.024 in", "--set", "strings.1.material=nylon")
    moved = treble(mine, *nylon, "--computed") - treble(mine, "--computed")
    assert moved < -1
    assert treble(mine, *nylon) == pytest.approx(669.9 + moved, abs=1e-6)


def test_a_wrap_that_changed_moves_the_place(mine):
    text = mine.read_text(encoding="utf-8")
    bare = re.sub(r"^wrap .*\n", "", text, flags=re.MULTILINE)
    assert bare != text
    mine.write_text(bare, encoding="utf-8")
    assert run("keep", mine, "--at", "669.9 / 670.2", *TODAY)[0] == 0
    bronze = ("--set", "strings.4.wrap=phosphor bronze")
    moved = bass(mine, *bronze, "--computed") - bass(mine, "--computed")
    assert abs(moved) > 0.1
    assert bass(mine, *bronze) == pytest.approx(670.2 + moved, abs=1e-6)


def test_another_pitch_moves_the_place_and_the_sheet_says_so(mine):
    assert run("keep", mine, "--at", "669.9 / 670.2", *TODAY)[0] == 0
    low = ("--set", "pitch.a4=415")
    moved = treble(mine, *low, "--computed") - treble(mine, "--computed")
    assert moved > 0.2
    assert treble(mine, *low) == pytest.approx(669.9 + moved, abs=1e-6)
    assert "at another pitch; moved by +0.3" in run("numbers", mine, *low)[1]


@pytest.mark.parametrize(
    "spelt",
    [
        "d4 .010, C♭4 .012, G3 .014, D3 .022w, G4 .010",
        "D4 #10, B3 12 thou, G3 0.36 mm, D3 22w nickel-plated steel, G4 .010",
        "10-12-14-22w-10",
        "10,12,14,22w,10",
        ".010\N{NO-BREAK SPACE}.012\N{NO-BREAK SPACE}.014\N{NO-BREAK SPACE}.022w\N{NO-BREAK SPACE}.010",
    ],
)
def test_the_same_strings_are_the_same_however_they_are_spelt(mine, spelt):
    assert run("keep", mine, "--at", "669.9 / 670.2", "--strings", spelt, *TODAY)[0] == 0
    status, printed, wrong = run("numbers", mine)
    assert status == 0, wrong
    assert "with these strings" in printed


@pytest.mark.parametrize(
    ("strings", "said"),
    [
        ("D4 .010, B3 .012, G3 .014, D3 .022w core .022, G4 .010", "string 4: a core of 0.022 in is not thinner"),
        ("D2 .010, B3 .012, G3 .014, D3 .022w, G4 .010", "there is no bridge place for string 1 with these strings"),
        ("D6 .010, B3 .012, G3 .014, D3 .022w, G4 .010", "string 1: a 0.010 in string would break"),
    ],
)
def test_strings_of_then_that_cannot_be_are_blamed_and_not_those_of_the_file(mine, strings, said):
    place = f'\n[found]\ntreble = 669.9\nbass = 670.2\nstrings = "{strings}"\n'
    mine.write_text(preset_text("banjo") + place, encoding="utf-8")
    status, _, wrong = run("numbers", mine)
    assert status == 2
    assert f"[found] strings: {said}" in wrong


def test_a_wound_string_of_then_without_its_w_is_wound(mine):
    strings = "D4 .010, B3 .012, G3 .014, D3 .022 phosphor bronze, G4 .010"
    assert run("keep", mine, "--at", "669.9 / 670.2", "--strings", strings, *TODAY)[0] == 0
    assert ".022w phosphor bronze" in kept(mine)["strings"]


def test_other_strings_need_to_know_with_which_the_place_was_found(mine):
    mine.write_text(preset_text("banjo") + "\n[found]\ntreble = 669.9\nbass = 670.2\n", encoding="utf-8")
    status, _, wrong = run("numbers", mine, "--set", "strings.1.gauge=.014")
    assert status == 2
    assert "--set strings.1.gauge" in wrong
    assert "[found] strings" in wrong


SLACK = 'treble = 669.9\nbass = 670\nstrings = "D2 .010, B3 .012, G3 .014, D3 .022w, G4 .010"'


@pytest.mark.parametrize(
    "wrong_place", ["treble = 300\nbass = 300", 'treble = 669.9\nbass = 670\nstrings = ".010"', SLACK]
)
def test_a_place_that_no_longer_fits_can_be_replaced_and_ignored(mine, wrong_place):
    mine.write_text(preset_text("banjo") + f"\n[found]\n{wrong_place}\n", encoding="utf-8")
    assert run("numbers", mine)[0] == 2
    assert run("numbers", mine, "--computed")[0] == 0
    assert run("draw", mine, "--computed", "--out", mine.parent)[0] == 0
    assert run("keep", mine, "--at", "669.9 / 670.2", *TODAY)[0] == 0
    assert run("numbers", mine)[0] == 0


def test_a_slant_that_no_sheet_is_drawn_for_is_kept_only_if_you_are_sure(mine):
    status, _, wrong = run("keep", mine, "--ticks", "-15 / 15", *TODAY)
    assert status == 2
    assert "--sure" in wrong
    assert run("keep", mine, "--ticks", "-15 / 15", "--sure", *TODAY)[0] == 0


def test_a_pipe_is_refused_and_not_waited_for(mine):
    pipe = mine.parent / "pipe.toml"
    os.mkfifo(pipe)
    status, _, wrong = run("keep", pipe, "--at", "670")
    assert status == 2
    assert "not a regular file" in wrong


def test_a_place_in_a_log_that_a_sheet_marked_counts_from_the_fret(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    readings(log, mine, "0", "0", "--at", "line")
    assert run("keep", mine, "--log", log, *TODAY)[0] == 0
    assert kept(mine)["fret"] == 12


def test_a_bridge_of_a_single_string_has_a_single_place(mine):
    one = re.sub(
        r"(?s)\[\[strings\]\].*?(?=\n\[bridge\])", '[[strings]]\nnote = "D4"\ngauge = ".010"\n', preset_text("banjo")
    )
    mine.write_text(one, encoding="utf-8")
    status, _, wrong = run("keep", mine, "--at", "668 / 672", *TODAY)
    assert status == 2
    assert "a single string" in wrong
    assert run("keep", mine, "--at", "670", *TODAY)[0] == 0


def test_a_last_round_that_read_one_end_alone_keeps_nothing(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    one = ("--string", "1", "--harmonic", "0", "--fretted", "0")
    assert run("readings", mine, *one, "--at", "669.9 / 674", "--log", log)[0] == 0
    status, _, wrong = run("keep", mine, "--log", log)
    assert status == 2
    assert "did not read string 4 D3" in wrong


def test_a_log_keeps_the_strings_that_were_read(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    readings(log, mine, "0", "0", "--at", "669.9 / 670.2")
    changed = mine.read_text(encoding="utf-8").replace('gauge = ".022w"', 'gauge = ".026w"')
    mine.write_text(changed, encoding="utf-8")
    assert run("keep", mine, "--log", log, *TODAY)[0] == 0
    assert "D3 .022w" in kept(mine)["strings"]
    assert numbers(mine)["bridge"]["bass_mm"] != pytest.approx(670.2, abs=0.02)


def test_rounds_after_a_stop_count_from_the_kept_place(mine, tmp_path):
    log = tmp_path / "banjo.jsonl"
    readings(log, mine, "0", "0", "--at", "669.9 / 670.2")
    assert run("keep", mine, "--at", "669.5 / 670.8", *TODAY)[0] == 0
    later = readings(log, mine, "-3", "+4")
    assert later["before"]["treble_mm"] == 669.5
    assert any(line["kind"] == "start" and "the kept place" in line["text"] for line in later["lines"])


def test_keeping_again_says_what_it_replaces(mine):
    assert run("keep", mine, "--at", "669.5 / 670.8", *TODAY)[0] == 0
    assert (
        "it replaces 669.5 mm / 670.8 mm, found on 25 November 2026"
        in run("keep", mine, "--at", "670 / 671", *TODAY)[1]
    )


@pytest.mark.parametrize("at", ["line", "672 / 673"])
def test_a_bridge_that_stands_where_you_say_was_not_moved_elsewhere(mine, at):
    assert run("keep", mine, "--at", "669.9 / 670.2", *TODAY)[0] == 0
    sharp = [part for fret in (1, 5, 7, 9, 12) for part in ("--fret", str(fret), "--open", "0", "--fretted", "6")]
    status, printed, wrong = run("readings", mine, "--string", "1", *sharp, "--at", at, "--diagnose", "--json")
    assert status == 0, wrong
    codes = {one["code"] for one in json.loads(printed)["causes"]}
    assert "bridge-near" not in codes
    assert ("bridge-far" in codes) == (at != "line")


def test_only_a_place_on_paper_is_said_to_be_as_sure_as_paper(mine):
    assert "on paper" in run("keep", mine, "--ticks", "0 / 0", *TODAY)[1]
    assert "on paper" not in run("keep", mine, "--at", "670 / 671", "--plus-minus", "1.5", *TODAY)[1]
