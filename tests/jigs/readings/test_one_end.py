"""One end at a time: the numbers are those of that end with the other held, and the next round counts from there."""

import json

import pytest
from samples import PRESETS, preset, run

from jigs.page.readings import advice_on_outer
from jigs.readings.one_end import one_end_of


def advised(name, treble, bass, at="line"):
    given = {"treble-harmonic": "0", "treble-fretted": treble, "bass-harmonic": "0", "bass-fretted": bass}
    given |= {"at": at} if at else {}
    return advice_on_outer(preset(name), given)


def by_the_command_line(name, *options):
    status, printed, wrong = run("readings", name, *options, "--json", "--at", "line")
    assert status == 0, wrong
    return json.loads(printed)


def test_the_farther_end_goes_first_and_by_the_command_line_s_number_for_that_end_alone():
    one = one_end_of(advised("banjo", "-3", "6"))
    both = by_the_command_line(
        "banjo",
        "--string",
        "1",
        "--harmonic",
        "0",
        "--fretted",
        "-3",
        "--string",
        "4",
        "--harmonic",
        "0",
        "--fretted",
        "6",
    )
    (move,) = one.moves
    wanted = both["moves"][1]
    assert (move.end, wanted["end"]) == ("bass", "bass")
    assert move.scale_cents == pytest.approx(wanted["scale_cents"])
    assert move.mm == pytest.approx(wanted["move_mm"])


def test_the_place_after_it_is_that_of_reading_this_string_alone():
    """Else the next round would count from where the bridge would be if both ends had moved."""
    one = one_end_of(advised("banjo", "-3", "6"))
    alone = by_the_command_line("banjo", "--string", "4", "--harmonic", "0", "--fretted", "6")
    assert one.after.treble_mm == pytest.approx(alone["after"]["treble_mm"], abs=1e-6)
    assert one.after.bass_mm == pytest.approx(alone["after"]["bass_mm"], abs=1e-6)
    assert one.next.treble_mm == pytest.approx(alone["next"]["treble_mm"], abs=1e-4)


@pytest.mark.parametrize("name", PRESETS)
def test_the_moved_string_is_right_afterwards_and_the_other_is_off_by_what_the_turn_does(name):
    both = advised(name, "4", "-3", at="")
    one = one_end_of(both)
    (move,) = one.moves
    assert len(both.moves) == 2
    for read in one.strings:
        was = next(each for each in both.strings if each.string == read.string)
        left = 0.0 if read.string == move.string else was.cents - was.aim_cents + move.carries_cents
        assert read.rest_cents == pytest.approx(left + (was.rest_cents if read.string == move.string else 0), abs=0.05)


@pytest.mark.parametrize(("treble", "bass"), [("0.1", "-0.2"), ("90", "0"), ("3", "")])
def test_nothing_is_changed_where_the_bridge_stays_or_one_end_moves_anyway(treble, bass):
    given = {"treble-harmonic": "0", "treble-fretted": treble}
    given |= {"bass-harmonic": "0", "bass-fretted": bass} if bass else {}
    found = advice_on_outer(preset("banjo"), given)
    assert one_end_of(found) is found
