"""Stepped saddles, compensated nuts, zero frets and diatonic boards, in the numbers and in the words of every sheet."""

import csv
import io
import json

import numpy as np
import pytest
from samples import run

from geometry.fretting import octave_cents
from jigs.instrument.file import parse
from jigs.workup.setup import fret_errors
from jigs.workup.words import (
    about_the_line,
    aim_in_words,
    bearing_in_words,
    comparing_in_words,
    computed_from,
    headline,
    measured_in_words,
)
from jigs.workup.work_up import work_up

STEPS = (-1.2, 1.2, -0.6, 1.0)
DIATONIC = "[200, 400, 500, 700, 900, 1000, 1200, 1400, 1600, 1700, 1900, 2100, 2200, 2400]"
NO_OCTAVE = "[200, 400, 500, 700, 900, 1000, 1150, 1350]"


def text_of(head="", action="nut = 0.4", nut="", bridge="", aim="octave", counted=7, strings=None, kind="mandolin"):
    """An instrument file: a mandolin with four strings, and lines of your own in its tables."""
    strings = strings or [
        'gauge = "0.011 in"',
        'gauge = "0.015 in"',
        "gauge = 0.66\nwound = true",
        "gauge = 1.0\nwound = true",
    ]
    listed = "".join(
        f'[[strings]]\nnote = "{note}"\n{lines}\n'
        for note, lines in zip(("E5", "A4", "D4", "G3"), strings, strict=True)
    )
    return (
        f'name = "Mine"\nkind = "{kind}"\nscale = 352.4\n{head}\n[action]\n{action}\nfret_12 = 1.6\n'
        f'[compensation]\ntune_to = "{aim}"\nfrets = {counted}\n'
        f"[nut]\n{nut}\n[bridge]\n{bridge}\n{listed}"
    )


def mine(**lines):
    return work_up(parse(text_of(**lines).encode(), "mine.toml"))


def stepped(**lines):
    return mine(bridge=f"steps = {list(STEPS)}", **lines)


def numbers(tmp_path, *options, **lines):
    path = tmp_path / "mine.toml"
    path.write_text(text_of(**lines))
    status, printed, shown = run("numbers", path, *options)
    assert status == 0, shown
    return printed


def plain(words):
    return words.replace("\N{NO-BREAK SPACE}", " ")


# ---- steps


def test_programs_get_every_step_and_where_each_string_bears_and_the_crown_line_stays_straight(tmp_path):
    found = json.loads(numbers(tmp_path, "--json", bridge=f"steps = {list(STEPS)}"))
    workup = stepped()
    crown = workup.line.at(workup.across_mm)
    assert [string["step_mm"] for string in found["strings"]] == list(STEPS)
    assert [string["bears_at_mm"] for string in found["strings"]] == pytest.approx(crown + np.array(STEPS), abs=1e-9)
    assert (found["bridge"]["treble_mm"], found["bridge"]["bass_mm"]) == pytest.approx((crown[0], crown[-1]))
    back = np.array([string["bears_at_mm"] for string in found["strings"]]) - found["scale_mm"]
    assert octave_cents(workup.model, back, np.zeros(4)) == pytest.approx(found["bridge"]["left_cents"], abs=1e-9)


def test_programs_get_no_step_of_a_straight_edge(tmp_path):
    found = json.loads(numbers(tmp_path, "--json"))
    assert [string["step_mm"] for string in found["strings"]] == [0.0] * 4
    outer = [found["strings"][n]["bears_at_mm"] for n in (0, 3)]
    assert outer == pytest.approx([found["bridge"]["treble_mm"], found["bridge"]["bass_mm"]])


def test_spreadsheet_has_every_step_and_where_each_string_bears(tmp_path):
    rows = csv.DictReader(io.StringIO(numbers(tmp_path, "--csv", bridge=f"steps = {list(STEPS)}")))
    found = {(row["number"], row["quantity"]): row["value"] for row in rows if row["part"] == "string"}
    assert [float(found[str(n), "step_mm"]) for n in (1, 2, 3, 4)] == list(STEPS)
    assert float(found["2", "bears_at_mm"]) == pytest.approx(float(stepped().bears_at_mm[1]))


def test_table_shows_steps_only_where_there_are_any(tmp_path):
    table = numbers(tmp_path, bridge=f"steps = {list(STEPS)}")
    row = next(line for line in table.splitlines() if line.split()[:2] == ["2", "A4"])
    assert "+1.20 mm" in row
    assert f"{stepped().bears_at_mm[1]:.1f} mm" in row
    assert "step: from the crown line, plus is towards the tailpiece" in table
    assert "straight bridge" not in table
    for bridge in ("", "steps = [0, 0, 0, 0]"):
        straight = numbers(tmp_path, bridge=bridge)
        assert "bears at" not in straight
        assert "on the straight bridge" in straight


@pytest.mark.parametrize("words", [measured_in_words, computed_from])
def test_sheets_list_the_steps_that_they_were_computed_with(words):
    assert " Steps −1.2 +1.2 −0.6 +1.0 mm." in words(stepped())
    assert "Steps +0.25 0.00 0.00 0.00 mm" in words(mine(bridge="steps = [0.25, 0, 0, 0]"))
    for straight in (mine(), mine(bridge="steps = [0, 0, 0, 0]")):
        assert "steps" not in words(straight).lower()


def test_sheets_list_where_each_string_bears():
    workup = stepped()
    crown = workup.line.at(workup.across_mm) + np.array(STEPS)
    assert ", ".join(f"{place:.1f}" for place in crown) in bearing_in_words(workup)
    assert bearing_in_words(mine()) == ""


def test_frets_are_computed_where_the_strings_bear():
    """A string set back by its step reads flatter at its octave, before and after."""
    bare, set_back = fret_errors(mine(bridge="steps = [0, 0, 0, 0]")), fret_errors(mine(bridge="steps = [0, 1, 0, 0]"))
    for when in ("before_cents", "after_cents"):
        change = [getattr(each[1], when)[11] for each in (bare, set_back)]
        assert change[1] - change[0] == pytest.approx(-1200 / (352.4 * np.log(2)), rel=0.03)
        assert getattr(bare[2], when) == pytest.approx(getattr(set_back[2], when))


def test_saddle_that_is_taken_as_straight_is_said_so_where_most_are_stepped():
    said = "Saddle taken as straight. If yours is stepped, fill in its steps"
    for words in (mine(), mine(kind="other")):
        assert said in about_the_line(words)[-1]
    for words in (stepped(), mine(bridge="steps = [0, 0, 0, 0]"), mine(kind="banjo")):
        assert said not in about_the_line(words)[-1]
        assert about_the_line(words)[-1].startswith("Crown line: a straight edge of the crown or saddle")


# ---- cores and fingers


def test_sheets_say_where_each_core_is_from():
    of = ['gauge = "0.011 in"', 'gauge = "0.015 in"']
    usual, measured, counted = (f"gauge = 1.0\n{core}" for core in ("wound = true", "core = 0.46", "turns = 37"))
    for pair, words in (
        ((usual, usual), " Cores by default."),
        ((measured, measured), " Cores as measured."),
        ((counted, measured), " Cores: 3 as counted, 4 as measured."),
        ((usual, counted), " Cores: 3 by default, 4 as counted."),
    ):
        assert words in computed_from(mine(strings=[*of, *pair]))
    assert "core" not in computed_from(mine(strings=[*of, "gauge = 0.4", "gauge = 0.5"])).lower()


@pytest.mark.parametrize("words", [measured_in_words, computed_from])
def test_sheets_show_a_height_measured_in_inches_with_four_figures_at_most(words):
    assert "1.6 mm at fret 12, 0.5953 mm at the nut" in words(mine(action='nut = "3/128 in"'))


def test_sheets_say_which_finger_was_meant():
    assert "Finger 5 to 15 mm behind the fret, 0 to 0.5 mm deep" in measured_in_words(mine())
    assert "finger" not in computed_from(mine()).lower(), "a usual one goes without saying where there is little room"
    given = mine(action="nut = 0.4\nfinger = 8.0\npress = 0.2")
    for words in (measured_in_words, computed_from):
        assert "Finger 8 mm behind the fret, 0.2 mm deep" in words(given)
    assert "Finger at the fret" in computed_from(mine(action="nut = 0.4\nfinger = 0.0"))


# ---- octaves that are not at fret 12


def test_words_go_by_the_fret_at_the_octave():
    workup = mine(head=f"frets = 14\nfret_rule = {DIATONIC}")
    assert plain(comparing_in_words(workup)) == "compare the octave harmonic with the note at fret 7"
    assert "fret 7 true to its harmonic" in aim_in_words(workup)
    for words in (measured_in_words, computed_from):
        assert "Action 1.6 mm at fret 7" in words(workup)
        assert "fret 12" not in words(workup)
    assert [one.octave for one in fret_errors(workup)] == [7] * 4


def test_table_of_a_diatonic_board_names_its_own_octave(tmp_path):
    table = numbers(tmp_path, head=f"frets = 14\nfret_rule = {DIATONIC}")
    assert "with a printed fork against fret 7," in table
    assert "fret 12" not in table


def test_board_without_an_octave_is_not_sent_to_a_fret_that_it_lacks():
    workup = mine(head=f"frets = 8\nwanted_cents = {NO_OCTAVE}\nfret_rule = {NO_OCTAVE}", aim="all frets")
    assert "harmonic" not in comparing_in_words(workup)


# ---- nuts


def test_distances_count_from_a_zero_fret_where_there_is_one(tmp_path):
    lines = {"nut": "zero_fret = true", "action": "nut = 0.0"}
    workup = mine(**lines)
    assert all("from the zero fret" in line for line in headline(workup)[:2])
    assert "Action 1.6 mm at fret 12, zero fret." in computed_from(workup)
    assert "at the nut" not in measured_in_words(workup)
    assert "Places count from the zero fret." in about_the_line(workup)[-1]
    table = numbers(tmp_path, **lines)
    assert "from zero fret" in table
    assert "from nut" not in table
    assert all("from the nut" in line for line in headline(mine())[:2])


def test_compensated_nut_that_is_there_is_not_called_one_to_be_cut():
    workup = mine(nut="steps = [0.0, 0.3, 0.0, 0.25]")
    assert "Nut steps 0.00 +0.30 0.00 +0.25 mm" in computed_from(workup)
    assert len(about_the_line(workup)) == 1
    cut = about_the_line(mine(aim="nut and saddle"))[0]
    assert "only if the nut's end is moved towards the bridge: string 1 by" in cut
    both = mine(nut="steps = [0.0, 0.3, 0.0, 0.25]", aim="nut and saddle")
    wanted = -both.setbacks.nut_setback_mm
    assert f"string 1 {wanted[0]:.2f} (now 0.00), 2 {wanted[1]:.2f} (now 0.30)" in about_the_line(both)[0]


def test_nut_steps_that_the_aim_computes_anew_do_not_count_in_silence():
    noted = [
        note for note in mine(nut="steps = [0, 0.3, 0, 0]", aim="nut and saddle").notes if note.place.table == "nut"
    ]
    assert [(note.code, note.place.where) for note in noted] == [("nut-steps-unused", "[nut] steps")]
    assert "steps of the nut anew" in str(noted[0])
    for other in (mine(nut="steps = [0, 0, 0, 0]", aim="nut and saddle"), mine(nut="steps = [0, 0.3, 0, 0]")):
        assert "nut-steps-unused" not in [note.code for note in other.notes]
