"""A bridge that would slant as no bridge does: what most likely makes it, and that nothing is drawn by mistake."""

import json
import re

import pytest
from samples import PRESETS, SMALL_FILE, faults_are_sentences, run

from jigs.faults import InputFaults, spoken
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.instrument.set_keys import read_set_keys
from jigs.instrument.usual import STEEP_SLANT_DEG
from jigs.press.order import Order, read_order
from jigs.press.press import prepare
from jigs.templates.catalogue import NAMES, OPTIONS
from jigs.workup.slant import SlantCause
from jigs.workup.work_up import work_up

PLAIN_FOURTH = ("strings.4.gauge=.022", "strings.4.wound=false")
TWO_PLAIN = ("strings.3.gauge=.022", "strings.3.wound=false", "strings.4.gauge=.030", "strings.4.wound=false")
SURE = OPTIONS[[option.name for option in OPTIONS].index("sure")]
NOT_ONE = "is the action high ([action] fret_12), or are steps of the saddle missing ([bridge] steps)? if not, "


def steep(preset, *keys):
    return work_up(parse(preset_text(preset).encode(), "mine.toml", read_set_keys(keys)))


CAUSES = [
    (
        "banjo",
        PLAIN_FOURTH,
        SlantCause.PLAIN_STRING,
        "string 4, gauge",
        'is string 4 wound? then write gauge = ".022w"',
    ),
    (
        "tenor-banjo",
        TWO_PLAIN,
        SlantCause.PLAIN_STRING,
        "string 4, gauge",
        'is string 4 wound? then write gauge = ".030w"',
    ),
    (
        "banjo",
        ("strings.1.note=D3",),
        SlantCause.ONE_STRING,
        "string 1, gauge",
        f"{NOT_ONE}check its note, octave, gauge and core",
    ),
    (
        "banjo",
        ("strings.4.nut_height=5",),
        SlantCause.ONE_STRING,
        "string 4, gauge",
        f"{NOT_ONE}check its note, octave, gauge, core and nut_height",
    ),
    (
        "octave-mandolin",
        ("strings.1.note=A2", "bridge.steps=-1, 1, -0.5, 1.5"),
        SlantCause.ONE_STRING,
        "string 1, gauge",
        "is the action high ([action] fret_12)? if not, check its note, octave, gauge and core",
    ),
    ("mandolin", ("bridge.steps=-1.2, 1.2, -0.6, 10",), SlantCause.STEPS, "[bridge] steps", "check [bridge] steps"),
    ("banjo", ("nut.steps=0, 0, 0, 7, 0",), SlantCause.NUT_STEPS, "[nut] steps", "check [nut] steps"),
    (
        "archtop-guitar",
        ("bridge.spacing=12", "bridge.steps=0, 0, 0, 0, 0, 0"),
        SlantCause.SPACING,
        "[bridge] spacing",
        "check [bridge] spacing",
    ),
]


@pytest.mark.parametrize(("preset", "keys", "cause", "place", "remedy"), CAUSES, ids=lambda one: str(one)[:30])
def test_the_likeliest_cause_is_named_at_its_key(preset, keys, cause, place, remedy):
    workup = steep(preset, *keys)
    assert workup.steep_slant.cause is cause
    assert abs(workup.steep_slant.slant_deg) == abs(workup.line.slant_deg) > STEEP_SLANT_DEG
    with pytest.raises(InputFaults) as wrong:
        prepare(workup, Order(), "x")
    (fault,) = wrong.value.faults
    assert fault.code == "slant-refused"
    assert fault.place.where == place
    looked_at = [check for check in workup.instrument.checks if check.place.string == fault.place.string]
    found = spoken(looked_at[0].remedy) if looked_at and cause is SlantCause.ONE_STRING else remedy
    assert fault.sentence().endswith(f"; {found}, or confirm with --sure")
    (note,) = (note for note in workup.notes if note.code == "slant-unusual")
    assert note.place.where == place
    assert note.sentence().endswith(f"; {remedy}")


def test_a_string_an_octave_low_is_refused_with_its_octave_first():
    with pytest.raises(InputFaults) as wrong:
        prepare(steep("banjo", "strings.4.note=D2"), Order(), "x")
    (fault,) = wrong.value.faults
    assert "because of string 4 alone: 15 N is slack" in fault.sentence()
    assert "; check its octave (at D3 it would pull 62 N), its gauge and its core, or confirm" in fault.sentence()


@pytest.mark.parametrize("action", [3.42, 3.5, 3.6, 4.0])
def test_a_slant_over_the_limit_is_shown_over_it_with_action_and_saddle_as_its_first_causes(action):
    """An archtop guitar whose saddle is in truth stepped, with its usual strings."""
    straight = [line for line in preset_text("archtop-guitar").split("\n") if not line.startswith("steps ")]
    keys = read_set_keys([f"action.fret_12={action}"])
    workup = work_up(parse("\n".join(straight).encode(), "mine.toml", keys))
    (note,) = (note for note in workup.notes if note.code == "slant-unusual")
    shown = float(re.search(r"slant by (\d+\.\d)°, over the 11°", str(note))[1])
    assert shown > STEEP_SLANT_DEG
    assert shown == pytest.approx(workup.line.slant_deg, abs=0.1)
    assert f"; {NOT_ONE}check" in str(note)


def test_of_two_strings_the_one_farther_from_the_theoretical_line_is_named():
    workup = work_up(parse(SMALL_FILE.replace('"0.018 in"', '"0.028 in"').encode(), "mine.toml"))
    assert (workup.steep_slant.cause, workup.steep_slant.string) == (SlantCause.ONE_STRING, 1)


def test_without_a_likely_cause_the_outer_strings_are_to_be_checked():
    heights = [f"strings.{n}.nut_height={height}" for n, height in ((1, 0), (2, 1), (3, 2.5), (4, 4.5))]
    workup = steep("banjo", *heights)
    assert workup.steep_slant.cause is SlantCause.UNKNOWN
    (note,) = (note for note in workup.notes if note.code == "slant-unusual")
    assert str(note).endswith(f"of the steepest bridges; {NOT_ONE}check the outer strings")


@pytest.mark.parametrize("preset", PRESETS)
def test_no_preset_is_refused(preset):
    assert work_up(parse(preset_text(preset).encode(), preset)).steep_slant is None


def test_the_gauge_that_the_remedy_shows_is_accepted_and_drawn(tmp_path):
    keys = ("--set", "strings.4.gauge=.022w")
    assert run("draw", "banjo", *keys, "--out", tmp_path)[0] == 0


def test_a_pair_is_called_a_pair():
    workup = steep("mandolin", "strings.1.note=A3")
    (note,) = (note for note in workup.notes if note.code == "slant-unusual")
    assert "because of pair 1 alone" in str(note)


# what is drawn


def test_every_drawing_with_a_place_in_it_is_refused_and_no_other():
    workup = steep("banjo", *PLAIN_FOURTH, "rim.fret_12_to_near_edge=157")
    refused = set()
    for name in NAMES:
        try:
            prepare(workup, read_order([name], {"format": "svg", "paper": "700x1000"}), "x")
        except InputFaults as wrong:
            if "slant-refused" in {fault.code for fault in wrong.faults}:
                refused.add(name)
    assert refused == set(NAMES) - {"spacing", "fretboard", "measure"}
    with pytest.raises(InputFaults, match="slant"):
        prepare(workup, read_order(["fretboard"], {"to-bridge": True}), "x")


def test_a_drawing_with_a_place_in_it_is_missing_with_its_reason_and_the_others_are_drawn(tmp_path):
    keys = [part for key in PLAIN_FOURTH for part in ("--set", key)]
    why = "--set strings.4.gauge: the bridge would slant by 16.6°, over the 11° of the steepest bridges; "
    status, _, shown = run("draw", "banjo", "spacing", "fork", "gauge", *keys, "--out", tmp_path)
    assert status == 3
    (line,) = (line for line in shown.splitlines() if not line.startswith("note: "))
    assert line.startswith(f"missing: fork, gauge: {why}")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["banjo-spacing.pdf", "banjo-spacing.svg"]
    status, _, shown = run("draw", "banjo", "crown", "fork", *keys, "--out", tmp_path / "out")
    faults_are_sentences(status, shown, tmp_path / "out")
    assert shown.startswith(why)
    assert len(shown.splitlines()) == 1


def test_sure_draws_it_with_a_note(tmp_path):
    keys = [part for key in PLAIN_FOURTH for part in ("--set", key)]
    status, _, shown = run("draw", "banjo", *keys, "--sure", "--out", tmp_path)
    assert status == 0
    assert "note: string 4, gauge: the bridge would slant by 16.6°, over the 11° of the steepest bridges; " in shown
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {"banjo-fork.pdf", "banjo-fork.svg", "banjo-fork-words.svg"}, "the check takes a line of the sheet"


def test_sure_changes_no_byte_of_a_drawing_that_is_not_steep(tmp_path):
    for out, more in (("plain", ()), ("sure", ("--sure",))):
        assert run("draw", "banjo", *more, "--out", tmp_path / out)[0] == 0
    assert (tmp_path / "plain" / "banjo-fork.pdf").read_bytes() == (tmp_path / "sure" / "banjo-fork.pdf").read_bytes()


@pytest.mark.parametrize("command", [("numbers",), ("readings", "--string", "1", "--harmonic", "0", "--fretted", "2")])
def test_numbers_and_readings_of_it_come_with_a_note(command):
    keys = [part for key in PLAIN_FOURTH for part in ("--set", key)]
    status, shown, noted = run(command[0], "banjo", *command[1:], *keys)
    assert status == 0
    assert shown
    assert "is string 4 wound?" in noted


def test_help_and_page_say_from_which_slant_on():
    assert f"{STEEP_SLANT_DEG:g}°" in SURE.help
    assert f"{STEEP_SLANT_DEG:g}°" in SURE.hint


@pytest.mark.parametrize("more", [(), ("--sheet", "600x600")], ids=["forks", "nested gauges"])
def test_a_rack_names_it_and_draws_the_others(tmp_path, more):
    shelf, out = tmp_path / "shelf", tmp_path / "out"
    shelf.mkdir()
    (shelf / "a.toml").write_text(SMALL_FILE, encoding="utf-8")
    (shelf / "b.toml").write_text(SMALL_FILE.replace('"E5"', '"G3"'), encoding="utf-8")
    status, printed, shown = run("rack", shelf, "--out", out, "--json", *more)
    assert status == 3
    assert f"{shelf / 'b.toml'}: string 1, gauge: the bridge would slant" in shown
    assert [item["status"] for item in json.loads(printed)["instruments"]] == ["made", "faulty"]
    assert not any(path.name.startswith("b-") for path in out.iterdir())
    sure = run("rack", shelf, "--out", out, "--sure", "--json", *more)
    assert [item["status"] for item in json.loads(sure[1])["instruments"]] == ["made", "made"]
