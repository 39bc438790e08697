"""Readings as a player meets them: the advice, in words and for programs, and the refusals."""

import json
import re

import numpy as np
import pytest
from samples import PRESETS, preset, run
from simulator import octave_reading, truth

from geometry.readings import USUAL_ERRORS
from jigs.faults import InputFaults, Place
from jigs.readings import diagnosis_words, note_words
from jigs.readings import file as readings_file
from jigs.readings import words as readings_words
from jigs.readings.advice import advise
from jigs.readings.checked import Row, checked, read_tone, rows_from_options
from jigs.sheets.paper import PAPERS, room_on
from jigs.templates.fork_plan import plan

FLAT = ("--string", "1", "--harmonic", "+2", "--fretted", "+2", "--string", "4", "--harmonic", "+2", "--fretted", "-5")


def advised(*arguments, instrument="banjo"):
    status, printed, said = run("readings", instrument, "--json", *arguments)
    assert status == 0, said
    return json.loads(printed)


def printed_for(*arguments, instrument="banjo"):
    status, printed, notes = run("readings", instrument, *arguments)
    assert status == 0, notes
    return printed, notes


def refused(*arguments, instrument="banjo"):
    status, printed, said = run("readings", instrument, *arguments)
    assert (status, printed) == (2, ""), printed + said
    assert "Traceback" not in said
    for line in said.splitlines():
        assert ": " in line
        assert "; " in line, f"no remedy: {line}"
    return said


def move_of(found, string):
    (move,) = [each for each in found["moves"] if each["string"] == string]
    return move


def test_flat_string_is_sent_towards_the_nut_by_its_cents():
    found = advised(*FLAT)
    bass = move_of(found, 4)
    assert (bass["end"], bass["towards"], bass["reading_cents"]) == ("bass", "nut", -7.0)
    assert bass["move_mm"] == pytest.approx(7 * 0.38, rel=0.05)
    assert bass["scale_cents"] == pytest.approx(-7, rel=0.05)
    assert move_of(found, 1)["move_mm"] == pytest.approx(0, abs=1e-6)
    assert found["relative"] is True
    assert found["after"]["bass_mm"] == pytest.approx(-bass["move_mm"])


def test_sharp_string_is_sent_towards_the_tail():
    found = advised("--string", "1", "--harmonic", "-20", "--fretted", "-15", instrument="mandolin")
    (treble,) = found["moves"]
    assert (treble["end"], treble["towards"]) == ("treble", "tail")
    assert treble["move_mm"] == pytest.approx(5 * 0.20, rel=0.05)


def test_only_the_difference_of_cents_counts():
    one, other = (
        advised("--string", "4", "--harmonic", str(h), "--fretted", str(h - 7))["moves"][0] for h in (0, -31.5)
    )
    assert one["move_mm"] == pytest.approx(other["move_mm"])


def test_known_place_is_shown_before_and_after():
    found = advised(*FLAT, "--at", "669 / 672")
    assert found["relative"] is False
    assert found["before"]["treble_mm"] == 669.0
    assert found["before"]["bass_mm"] == 672.0
    assert found["after"]["bass_mm"] == pytest.approx(672 - move_of(found, 4)["move_mm"])
    assert found["before"]["slant_deg"] > found["after"]["slant_deg"]


@pytest.mark.parametrize("name", PRESETS)
def test_ticks_for_both_legs_bring_both_strings_home(name):
    """Legs at those ticks, from a bridge a few millimetres off: both outer strings read what they are meant to.

    The simulated finger presses right at the fret, and the model's behind it, so a few hundredths of a cent are left.
    """
    workup = preset(name)
    outer = np.array(workup.outer_strings)
    random = np.random.default_rng(8)
    true = truth(workup, outer, 1, random, different=False)
    x = workup.across_mm[outer]
    line = workup.line.at(x) - workup.scale_mm + np.array([3.0, -2.0])
    reading = octave_reading(true, workup, outer, line)[0]
    said = [(n + 1, cents) for n, cents in zip(outer, reading, strict=True)]
    arguments = [word for n, cents in said for word in ("--string", n, "--harmonic", 0, "--fretted", f"{cents:.9f}")]
    moves = {move["end"]: move for move in advised(*arguments, instrument=name)["moves"]}
    legs = plan(workup, workup.instrument.octave_fret, False, room_on(PAPERS["a4"])).scales
    ends = [(leg.inner_mm, moves[leg.end]["both_scale_cents"] * leg.mm_per_cent) for leg in legs]
    slope = (ends[0][1] - ends[1][1]) / (ends[0][0] - ends[1][0])
    moved = line + ends[0][1] + slope * (x - ends[0][0])
    np.testing.assert_allclose(octave_reading(true, workup, outer, moved)[0], 0, atol=0.06)


@pytest.mark.parametrize("end", ["treble", "bass"])
def test_tick_for_one_end_is_where_the_fork_has_it_with_the_other_end_held(end):
    workup = preset("banjo")
    (leg,) = [leg for leg in plan(workup, 12, False, room_on(PAPERS["a4"])).scales if leg.end == end]
    (move,) = advised("--string", leg.string + 1, "--harmonic", 0, "--fretted", -6)["moves"]
    assert move["scale_cents"] == pytest.approx(move["both_scale_cents"])
    held = -leg.inner_mm
    at_leg = -move["move_mm"] * (leg.inner_mm - held) / (workup.across_mm[leg.string] - held)
    assert leg.place_mm(move["scale_cents"]) - leg.mark_mm == pytest.approx(at_leg)


def test_rest_within_what_the_tuner_can_show_says_stop_and_moves_nothing():
    arguments = ("--string", "1", "--harmonic", 0, "--fretted", 1.2, "--string", 4, "--harmonic", 0, "--fretted", -1)
    found = advised(*arguments)
    assert found["verdict"] == "stop"
    assert [move["move_mm"] for move in found["moves"]] == [0, 0]
    assert [move["rest_cents"] for move in found["moves"]] == pytest.approx([1.2, -1.0])
    printed, _ = printed_for(*arguments)
    assert "Leave the bridge where it is." in printed
    assert "Stop" in printed
    assert advised(*arguments, "--tuner-error", "0.2", "--touch-error", "0.2")["verdict"] != "stop"


def test_first_string_is_to_be_checked_where_the_second_move_shifts_it():
    assert advised(*FLAT, "--touch-error", "0")["verdict"] == "check first string again"
    assert "shifts string 1 D4" in printed_for(*FLAT, "--touch-error", "0")[0]
    first_last = ("--string", 4, "--harmonic", 0, "--fretted", -7, "--string", 1, "--harmonic", 0, "--fretted", 0)
    assert advised(*first_last)["verdict"] == "move"


def test_too_long_a_way_is_something_else():
    arguments = ("--string", "1", "--harmonic", 0, "--fretted", -22, "--string", 4, "--harmonic", 0, "--fretted", -23)
    assert advised(*arguments)["verdict"] == "something else"
    assert "would have to move 9." in printed_for(*arguments)[0]


def test_too_great_a_slant_is_something_else():
    level = ("--string", 1, "--harmonic", 0, "--fretted", 3, "--string", 4, "--harmonic", 0, "--fretted", -3)
    assert advised(*level, "--at", "669 / 669")["verdict"] != "something else"
    found = advised(*level, "--at", "676 / 669")
    assert found["after"]["slant_deg"] < -8
    assert found["verdict"] == "something else"
    assert "would slant by 16°, and no bridge does" in printed_for(*level, "--at", "676 / 669")[0]


def test_all_strings_count_and_each_shows_what_is_left_of_it():
    arguments = [
        word
        for n, cents in enumerate((-4, -3, 8, -8), 1)
        for word in ("--string", n, *("--harmonic", 0, "--fretted", cents) * 3)
    ]
    found = advised(*arguments)
    assert [one["string"] for one in found["strings"]] == [1, 2, 3, 4]
    assert found["strings"][2]["rest_cents"] > 5
    assert sum(one["rest_cents"] for one in found["strings"]) == pytest.approx(0, abs=0.3)
    assert "the least that this bridge can leave" in printed_for(*arguments)[0]


def test_bridge_that_is_meant_to_leave_something_is_not_moved_to_zero(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(run("presets", "banjo")[1].replace('tune_to    = "octave"', 'tune_to    = "all frets"'))
    left = json.loads(run("numbers", path, "--json")[1])["bridge"]["left_cents"]
    assert abs(left[0]) > 0.2
    (move,) = advised("--string", "1", "--harmonic", 0, "--fretted", left[0], instrument=path)["moves"]
    assert move["move_mm"] == pytest.approx(0, abs=1e-6)
    assert "meant to read" in printed_for("--string", "1", "--harmonic", 0, "--fretted", left[0], instrument=path)[0]


def test_repeats_are_averaged():
    found = advised("--string", 4, *("--harmonic", 0, "--fretted", -6) * 2, "--harmonic", 0, "--fretted", -9)
    (one,) = found["strings"]
    assert (one["reading_cents"], one["repeats"]) == (-7.0, 3)
    again = advised(
        *(("--string", 4, "--harmonic", 0, "--fretted", -6) * 2), "--string", 4, "--harmonic", 0, "--fretted", -9
    )
    assert again == found
    assert "mean of 3" in printed_for("--string", 4, *("--harmonic", 0, "--fretted", -6) * 3)[0]


def test_hertz_and_cents_give_the_same_advice():
    by_hertz = advised("--string", 4, "--harmonic", "293.9Hz", "--fretted", "292.7 hz")["strings"][0]
    assert by_hertz["reading_cents"] == pytest.approx(1200 * np.log2(292.7 / 293.9))
    mixed = advised("--string", 4, "--harmonic", "+2", "--fretted", "292.8182 Hz")["strings"][0]
    assert mixed["reading_cents"] == pytest.approx(-5 - 2, abs=0.01), (
        "hertz against the string's own note, D4 293.665 Hz"
    )


def test_open_string_may_replace_the_harmonic():
    assert advised("--string", 4, "--open", 0, "--fretted", -7)["strings"][0]["reading_cents"] == pytest.approx(
        -7, abs=0.1
    )
    found = advised("--string", 4, "--open", "146.83 Hz", "--fretted", "292.4 Hz")["strings"][0]
    assert found["reading_cents"] == pytest.approx(1200 * np.log2(292.4 / 146.83) - 1200, abs=0.1)


def test_short_string_is_read_at_its_own_octave():
    found = advised("--string", 5, "--harmonic", 0, "--fretted", -5, "--string", 1, "--harmonic", 0, "--fretted", 0)
    assert [one["string"] for one in found["strings"]] == [5, 1]
    assert {move["string"] for move in found["moves"]} == {1, 4}
    assert move_of(found, 4)["reading_cents"] is move_of(found, 4)["rest_cents"] is None


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("r.csv", "string, harmonic, fretted\n1, +2, +2\n4, +2, -5\n"),
        ("r.csv", "1, 2, 2\n4, 2, -5  # flat\n"),
        ("r.csv", "Fretted;String;Harmonic;Fret\n+2;1;+2;\n−5;4;+2;12\n"),
        ("r.csv", "\ufeffstring\tharmonic\tfretted\r\n1\t+2\t+2 cents\r\n4\t+2\t-5 ct\r\n"),
        ("r.toml", "[[readings]]\nstring = 1\nharmonic = +2\nfretted = 2.0\n[[readings]]\n"
                   'string = 4\nharmonic = "2"\nfretted = -5\nfret = 12\n'),
    ],
)  # fmt: skip
def test_file_and_command_line_give_the_same_advice(tmp_path, name, content):
    path = tmp_path / name
    path.write_text(content, encoding="utf-8")
    assert advised("--file", path) == advised(*FLAT)


def test_table_speaks_of_the_strings_as_the_player_does():
    printed, _ = printed_for(*FLAT, "--at", "669 / 672")
    for words in (
        "string 4 D3: fretted note 7.0 ± 2.0 cents flat",
        "bass end, at string 4 D3: 2.7 mm (7/64 in) towards the nut; −",
        "bass leg −7.0 cents",
        "before: 669.0 mm / 672.0 mm; slant",
        "after:  669.0 mm / 669.3 mm; slant",
        "0.0 ± 2.0 cents, in tune",
    ):
        assert words in printed


def test_place_that_does_not_go_with_the_sound_is_pointed_out():
    _, notes = printed_for(*FLAT, "--at", "660 / 660")
    assert "farther from the nut than --at says" in notes
    assert "--at says" not in printed_for(*FLAT, "--at", "668.9 / 673")[1]


def test_string_far_from_its_note_is_pointed_out():
    assert "tune it first" in printed_for("--string", 4, "--harmonic", "262 Hz", "--fretted", "262.3 Hz")[1]
    assert "tune it first" not in printed_for("--string", 4, "--harmonic", "293 Hz", "--fretted", "293.3 Hz")[1]


DIAGNOSIS = ("--diagnose", "--string", 4, "--open", 0)


def test_high_nut_slots_are_named_and_the_bridge_is_not_blamed():
    arguments = [*DIAGNOSIS, *(word for fret, cents in ((1, 13), (3, 8), (5, 6), (7, 5), (12, 3))
                               for word in ("--fret", fret, "--fretted", cents))]  # fmt: skip
    found = advised(*arguments)
    assert found["causes"][0]["name"] == "nut slots too high"
    assert found["causes"][0]["weight"] > 0.6
    assert sum(each["weight"] for each in found["causes"]) == pytest.approx(1)
    assert found["diagnosis"][0]["fit"]["nut_height_mm"] > 0.2
    assert found["verdict"] == "something else"
    printed, _ = printed_for(*arguments)
    assert "nut slots too high, " in printed
    assert "filed" in printed


def test_fret_out_of_place_is_named_by_its_number():
    arguments = [*DIAGNOSIS, *(word for fret, cents in ((1, 2), (3, 1), (5, 1), (7, -8), (12, 0))
                               for word in ("--fret", fret, "--fretted", cents))]  # fmt: skip
    (found,) = advised(*arguments)["diagnosis"]
    assert found["cause"] == "fret 7 out of place"
    assert found["strength"] in ("likely", "all but certain")


def test_readings_that_no_cause_explains_point_to_the_string():
    arguments = [*DIAGNOSIS, *(word for fret, cents in ((1, 12), (3, -9), (5, 11), (7, -8), (12, 14))
                               for word in ("--fret", fret, "--fretted", cents))]  # fmt: skip
    (found,) = advised(*arguments)["diagnosis"]
    assert found["cause"] == "none of these fits, perhaps a worn string"


def test_too_few_readings_say_what_to_read_next():
    printed, _ = printed_for("--diagnose", "--string", 4, "--harmonic", 0, "--fretted", 6)
    assert "not sure; read at least 4 different frets" in printed
    assert "read next: fret" in printed
    assert "on string 4 D3" in printed
    (found,) = advised("--diagnose", "--string", 4, "--harmonic", 0, "--fretted", 6)["diagnosis"]
    assert found["cause"] is None
    assert found["next_fret"] in (1, 3, 5, 7, 10)


def test_string_that_is_read_everywhere_sends_on_to_the_next_string():
    as_it_should_be = zip((1, 3, 5, 7, 10, 12), (4.3, 2.2, 1.6, 1.2, 0.5, 0.0), strict=True)
    arguments = [
        *DIAGNOSIS,
        *(word for fret, cents in as_it_should_be for word in ("--fret", fret, "--fretted", cents)),
    ]
    printed, _ = printed_for(*arguments)
    assert "not sure; nothing stands out" in printed
    assert "read next: the same frets on string 1 D4" in printed


def test_harmonic_gives_the_same_diagnosis_as_the_open_string():
    frets = [
        word
        for fret, cents in ((1, 13), (3, 8), (5, 6), (7, 5), (12, 3))
        for word in ("--fret", fret, "--fretted", cents)
    ]
    by_open = advised("--diagnose", "--string", 4, "--open", 0, *frets)["causes"]
    by_harmonic = advised("--diagnose", "--string", 4, "--harmonic", 0, *frets)["causes"]
    assert by_harmonic[0]["name"] == by_open[0]["name"]
    assert by_harmonic[0]["weight"] == pytest.approx(by_open[0]["weight"], abs=0.05)


def test_reference_that_all_readings_share_is_not_believed_five_times():
    """One wrong open string weighs less than five."""
    frets = (1, 3, 5, 7, 12)
    shared = advised(*DIAGNOSIS, *(w for fret in frets for w in ("--fret", fret, "--fretted", 4)))["causes"]
    own = advised(
        "--diagnose", "--string", 4,
        *(w for n, fret in enumerate(frets) for w in ("--fret", fret, "--open", n / 1e3, "--fretted", 4 + n / 1e3)),
    )["causes"]  # fmt: skip

    def nothing(causes):
        return next(each["weight"] for each in causes if each["name"] == "nothing out of the ordinary")

    assert nothing(shared) > 1.2 * nothing(own)


def test_other_frets_without_the_diagnosis_are_pointed_out():
    _, notes = printed_for(*FLAT, "--fret", 7, "--fretted", 3)
    assert "give --diagnose too" in notes
    assert "or give --diagnose" in refused("--string", 4, "--harmonic", 0, "--fret", 7, "--fretted", 3)


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ((), ["there is no reading", "--string 4 --harmonic +2 --fretted -5"]),
        (("--string", 9, "--harmonic", 0, "--fretted", 0), ["--string: there is no string 9", "strings 1 to 5"]),
        (("--string", 0, "--harmonic", 0, "--fretted", 0), ["there is no string 0"]),
        (("--string", "four", "--harmonic", 0, "--fretted", 0), ['"four" is not a string\'s number']),
        (("--string", 4, "--harmonic", 0), ["the harmonic", "has no pair"]),
        (("--string", 4, "--fretted", -3), ["the fretted note", "has no pair"]),
        (("--string", 4, "--harmonic", 0, "--harmonic", 1, "--fretted", 1), ["string 4, --harmonic", "has no pair"]),
        (("--string", 4), ["string 4: this string has no reading"]),
        (("--harmonic", 0, "--fretted", 1), ["this reading has no string"]),
        (("--string", 4, "--harmonic", "x", "--fretted", 1), ['string 4, --harmonic: "x" is not a reading']),
        (("--string", 4, "--harmonic", "1,5,2", "--fretted", 1), ['"1,5,2" is not a reading']),
        (("--string", 4, "--harmonic", "1,234 Hz", "--fretted", 1), ['write "1234 Hz"']),
        (("--string", 4, "--harmonic", "nan", "--fretted", 1), ['"nan" is not a reading']),
        (("--string", 4, "--harmonic", "293.9", "--fretted", 1), ['write "293.9 Hz"']),
        (("--string", 4, "--harmonic", "1e5Hz", "--fretted", 1), ["is not a reading"]),
        (("--string", 4, "--harmonic", "-293Hz", "--fretted", 1), ["not a string's pitch"]),
        (("--string", 4, "--harmonic", 60, "--fretted", -60), ["120 cents apart", "more than a semitone", "wrong fret"]),
        (("--string", 4, "--harmonic", "293.9Hz", "--fretted", "261.6Hz"), ["fret 10 sounds that: wrong fret?"]),
        (("--string", 4, "--harmonic", "293.9Hz", "--fretted", "392Hz"),
         ["string 3 sounds that at this fret: wrong string?"]),
        (("--string", 4, "--harmonic", "146.8Hz", "--fretted", "293.5Hz"),
         ['string 4, --harmonic: the harmonic, "146.8Hz", and the note at fret 12, "293.5Hz"', "then give it as --open"]),
        (("--string", 4, "--open", "293.5Hz", "--fretted", "293.9Hz"),
         ["string 4, --open: ", "was the harmonic read", "then give it as --harmonic"]),
        (("--string", 4, "--harmonic", "3", "--fretted", "330Hz"), ["more than a semitone", "wrong fret?"]),
        (("--string", 4, "--harmonic", 0, "--fret", 23, "--fretted", 0), ["there is no fret 23", "1 to 22"]),
        (("--string", 5, "--harmonic", 0, "--fret", 18, "--fretted", 0), ["1 to 17, counted from its own nut at fret 5"]),
        (("--string", 4, "--harmonic", 0, "--fret", 0, "--fretted", 0),
         ["fret 0 is the open string; give that as --open"]),
        (("--string", 4, "--harmonic", 0, "--fret", "x", "--fretted", 0), ['string 4, --fret: "x" is not a fret\'s number']),
        (("--string", 2, "--harmonic", 0, "--fretted", 0), ["string 2 alone", "read strings 1 and 4 too"]),
        ((*FLAT, "--fret", 7), ['string 4, --fret: no fretted note comes after this fret, "7"; write it before']),
        (("--string", 4, "--harmonic", 0, "--fret", 5, "--fret", 7, "--fretted", 0), ['after this fret, "5"']),
        ((*FLAT, "--tuner-error", "rough"), ["--tuner-error", "not a tuner's error"]),
        ((*FLAT, "--tuner-error", "0"), ["--tuner-error"]),
        ((*FLAT, "--at", "1 mm"), ["--at", "not a place"]),
        ((*FLAT, "--file", "x.csv"), ["--file: readings are given in a file and on the command line"]),
        ((*FLAT, "--format", "pdf"), ["--format: the picture is drawn from a log", "--log"]),
        ((*FLAT, "--out", "x"), ["--out: ", "; add --log and --format pdf, or remove this"]),
        ((*FLAT, "--out", "x", "--paper", "a3"), ["--out: ", "--paper: "]),
        ((*FLAT, "--log", "x.log", "--paper", "a3"), ["--paper: ", "; add --format pdf, or remove this"]),
        ((*FLAT, "--log", "x.log", "--format", "dxf"), ["not written as dxf; choose pdf or svg"]),
        ((*FLAT, "--log", "x.log", "--format", "pfd"), ['did you mean "pdf"']),
        (("--file", "none.csv"), ["there is no such file"]),
    ],
)  # fmt: skip
def test_slip_on_the_command_line_is_named_with_its_remedy(tmp_path, monkeypatch, arguments, expected):
    monkeypatch.chdir(tmp_path)
    said = refused(*arguments)
    for words in expected:
        assert words in said, said
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("name", "content", "expected"),
    [
        ("r.csv", "", ["is empty"]),
        ("r.csv", "string, harmonic, fretted\n", ["holds no readings"]),
        ("r.csv", "# nothing\n", ["holds no readings"]),
        ("r.csv", "string, harmony, fretted\n1, 0, 0\n", ["line 1", 'did you mean "harmonic"']),
        ("r.csv", "string, harmonic\n1, 0\n", ["line 1", 'no column "fretted"']),
        ("r.csv", "string, fretted, fretted, open\n1, 0, 0, 0\n", ["two columns"]),
        ("r.csv", "string, harmonic, fretted\n1, 0, flat\n", ["line 2, string 1", '"flat" is not a reading']),
        ("r.csv", "string, harmonic, fretted\n1, , -3\n6, 0, 0\n", ["line 2, string 1", "has no pair", "line 3, string 6"]),
        ("r.csv", "string, harmonic, fretted\n1, 0, -3, 2, 1, 1\n", ["line 2", "columns"]),
        ("r.csv", "string, harmonic, fretted\n1, x, 2\n1, 0, -3, 2\n1," + " " * 600 + "\n9, 1, 2\n",
         ["line 2, string 1", "line 3: there are 4 columns", "line 4: this line is too long", "line 5, string 9"]),
        ("r.toml", "[[readings]]\nstring = 4\nfreted = 3\n[[readings]]\nstring = 9\nharmonic = 0\nfretted = 0\n",
         ["readings, row 1, string 4: unknown key", "readings, row 2, string 9"]),
        ("r.csv", "string;harmonic;fretted\n1;0;-3,5,4\n", ["line 2, string 1", '"-3,5,4" is not a reading']),
        ("r.csv", "string,harmonic,fretted,fret,open\n1,0,-3,,1\n", ["both the harmonic and the open string"]),
        ("r.csv", "string,harmonic,fretted\n1,293.9Hz,587Hz\n", ["line 2, string 1", "then give it as open"]),
        ("r.csv", b"\xff\xfe1", ["UTF-8"]),
        ("r.csv", "1,0,0\n" * 1001, ["1001 lines"]),
        ("r.csv", "1," + "0" * 600, ["too long"]),
        ("r.toml", "readings = 3\n", ["not a list of tables"]),
        ("r.toml", "reading = 3\n", ['did you mean "readings"']),
        ("r.toml", "[[readings]]\nstring = 4\nfreted = 3\n", ["readings, row 1", 'did you mean "fretted"']),
        ("r.toml", "[[readings]]\nstring = true\nharmonic = [1]\nfretted = nan\n",
         ["true is not a string", "a list is not a reading", "nan is not a reading"]),
        ("r.toml", "[[readings]]\nstring = 4.5\nharmonic = 1\nfretted = 99999999999999999999999\n",
         ["4.5 is not a string", "more than the 100 cents", "; read the tuner again"]),
        ("r.toml", "[[readings]\n", ["line 1"]),
    ],
)  # fmt: skip
def test_slip_in_the_file_is_named_with_its_place_and_remedy(tmp_path, name, content, expected):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    said = refused("--file", path, "--log", tmp_path / "x.log", "--format", "svg", "--out", tmp_path / "out")
    for words in expected:
        assert words in said, said
    assert [each.name for each in tmp_path.iterdir()] == [name]


def test_all_slips_are_shown_at_once():
    said = refused("--string", 9, "--harmonic", "x", "--fretted", 0, "--string", 4, "--harmonic", 1, "--at", "1 mm")
    for words in ("no string 9", '"x" is not a reading', "has no pair", "--at"):
        assert words in said


def test_order_of_the_options_pairs_them():
    def rows(*given):
        return [(row.string, row.harmonic, row.open, row.fretted, row.fret) for row in rows_from_options(given)]

    assert rows(("string", "4"), ("fretted", "1"), ("harmonic", "2"), ("fretted", "3"), ("harmonic", "4")) == [
        ("4", "2", None, "1", None),
        ("4", "4", None, "3", None),
    ]
    assert rows(("string", "4"), ("open", "0"), ("fret", "7"), ("fretted", "1"), ("fret", "5"), ("fretted", "2")) == [
        ("4", None, "0", "1", "7"),
        ("4", None, "0", "2", "5"),
    ]
    assert rows_from_options([]) == []
    assert isinstance(rows_from_options([("fret", "3")])[0], Row)


@pytest.mark.parametrize(
    ("text", "cents"), [("-5", -5), ("+2", 2), ("−0.5", -0.5), (" 3.25 cents", 3.25), ("5¢", 5), (".5", 0.5), (0, 0)]
)
def test_tuner_readings_are_accepted_as_people_write_them(text, cents):
    assert read_tone(text).cents == cents


def test_advice_never_says_stop_while_the_nut_is_wrong(tmp_path):
    """The octave may be right all the same."""
    path = tmp_path / "high.csv"
    path.write_text("string, fret, open, fretted\n4, 1, 0, +8\n4, 3, 0, +4\n4, 5, 0, +3\n4, 7, 0, +2\n4, 12, 0, +1\n")
    status, printed, _ = run("readings", "banjo", "--file", path, "--diagnose")
    assert status == 0
    assert "nut slots too high" in printed
    assert "Something else is wrong" in printed
    assert "Stop" not in printed


def readings_of(*options):
    return printed_for(*options)[0]


def test_one_string_that_is_right_does_not_say_stop():
    printed = readings_of("--string", "1", "--harmonic", "0", "--fretted", "1")
    assert "String 1 D4 is right where the bridge stands. Read string 4 D3 next." in printed
    assert "Stop" not in printed


def test_stop_never_claims_that_all_is_in_tune_when_a_straight_bridge_cannot():
    given = [(1, -0.5), (2, -1.5), (3, 5.4), (4, -4.6)]
    options = [word for n, cents in given for word in ("--string", n, "--harmonic", 0, "--fretted", cents)]
    printed = readings_of(*options)
    assert "less than these readings can show" not in printed
    assert "no move of this bridge does better; string 3 G3 stays" in printed


def test_readings_too_rough_to_say_anything_are_not_taken_for_in_tune():
    pair = (
        "--string",
        "1",
        "--harmonic",
        "0",
        "--fretted",
        "-6.5",
        "--string",
        "4",
        "--harmonic",
        "0",
        "--fretted",
        "3",
    )
    printed = readings_of(*pair, "--tuner-error", "10")
    assert "Too rough to judge: string 1 D4 reads 6.5 ± 27.8 cents flat and string 4 D3" in printed
    assert "Stop" not in printed


def test_bridge_is_not_moved_by_hand_widths_for_a_note_from_the_wrong_fret():
    printed = readings_of("--string", "4", "--harmonic", "293.66Hz", "--fretted", "311Hz")
    assert "Was fret 13 fretted instead of 12?" in printed
    assert "towards the tail" not in printed
    assert "in tune" not in printed


def test_a_single_fret_gives_no_percentages_of_what_may_be_wrong(tmp_path):
    path = tmp_path / "one.csv"
    path.write_text("string, harmonic, fretted\n4, 0, +1\n")
    printed = readings_of("--file", path, "--diagnose")
    assert "how likely" not in printed
    assert printed.count("%") == 1, "the ± alone is in percent"
    assert "read next" in printed


def test_two_places_need_no_spaces_around_their_slash():
    assert readings_of("--at", "669.7/670.0", "--string", "1", "--harmonic", "0", "--fretted", "3") == readings_of(
        "--at", "669.7 / 670.0", "--string", "1", "--harmonic", "0", "--fretted", "3"
    )


def pairs(*given):
    """Options for strings that read so many cents sharp at fret 12."""
    return [word for n, cents in given for word in ("--string", n, "--harmonic", 0, "--fretted", cents)]


HIGH_NUT = [
    *DIAGNOSIS,
    *(
        word
        for fret, cents in ((1, 16), (3, 8), (5, 5), (7, 3.5), (12, 0.5))
        for word in ("--fret", fret, "--fretted", cents)
    ),
]
KINDS = {
    "verdict-move": [*pairs((4, -7), (1, 0))],
    "verdict-check-first": [*pairs((1, 0), (4, -9))],
    "verdict-stop": [*pairs((1, 0.5), (4, -0.5))],
    "verdict-read-next": [*pairs((1, 0.5))],
    "verdict-read-again": [*pairs((1, 0.5), (4, 0.5)), "--tuner-error", 10],
    "verdict-something-else": [*pairs((1, -22), (4, -23))],
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_verdict_has_its_own_kind_so_that_no_program_reads_its_words(kind):
    found = advised(*KINDS[kind])
    kinds = [line["kind"] for line in found["lines"]]
    assert [each for each in kinds if each.startswith("verdict")] == [kind]
    assert ("leave" in kinds) is (found["verdict"] == "stop")
    assert kinds.count("move") == (0 if found["verdict"] in ("stop", "something else") else len(found["moves"]))
    assert ("set-both" in kinds) is (kinds.count("move") == 2)


@pytest.mark.parametrize("arguments", [*KINDS.values(), HIGH_NUT, [*pairs((4, 6)), "--diagnose"]])
def test_lines_for_programs_are_the_lines_that_people_read(arguments):
    lines = advised(*arguments)["lines"]
    shown = [f"{'  ' if line['indented'] else ''}{line['text']}" for line in lines]
    assert shown == printed_for(*arguments)[0].splitlines()
    assert all((line["kind"] == "gap") is (line["text"] == "") for line in lines)
    assert not any(line["text"].startswith(" ") or "\n" in line["text"] for line in lines)


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (pairs((4, 98)), "other-fret"),
        (pairs((1, -22), (4, -23)), "too-far"),
        ([*pairs((1, 3), (4, -3)), "--at", "676 / 669"], "too-slanted"),
        (HIGH_NUT, "diagnosis"),
        (pairs((1, 0), (4, -7)), None),
        (pairs((1, 0), (4, 0)), None),
    ],
)
def test_reason_why_something_else_is_wrong_has_a_code(arguments, reason):
    assert advised(*arguments)["reason"] == reason


def test_reworded_advice_changes_nothing_for_programs(monkeypatch):
    def without_words(found):
        return found | {
            "lines": [(line["kind"], line["indented"]) for line in found["lines"]],
            "causes": [cause | {"name": None} for cause in found["causes"]],
            "diagnosis": [one | {"cause": None} for one in found["diagnosis"]],
        }

    before = without_words(advised(*HIGH_NUT))
    of_causes = (diagnosis_words.REMEDIES, diagnosis_words.CAUSES, diagnosis_words.STRENGTHS)
    for table in (*of_causes, readings_words.VERDICTS):
        for key in table:
            monkeypatch.setitem(table, key, "reworded")
    assert printed_for(*HIGH_NUT)[0].count("reworded") > 3
    assert without_words(advised(*HIGH_NUT)) == before
    assert before["diagnosis"][0]["strength"] == "all but certain"
    assert before["diagnosis"][0]["code"] == before["causes"][0]["code"] == "nut-high"


@pytest.mark.parametrize(
    ("arguments", "code", "expected"),
    [
        (("--string", 1, "--harmonic", "293.9Hz", "--fretted", "293.5Hz"), "tone-octave-off",
         ["293.9 Hz is an octave below the octave harmonic of string 1 D4, which is 587.3 Hz", "was it string 4 D3?"]),
        (("--string", 1, "--open", "146.9Hz", "--fretted", "293.5Hz"), "tone-octave-off",
         ["146.9 Hz is an octave below the open string of string 1 D4, which is 293.7 Hz", "was it string 4 D3?"]),
        (("--string", 3, "--harmonic", "784Hz", "--fretted", "784Hz", "--string", 1, "--harmonic", 0, "--fretted", 0),
         "tone-octave-off",
         ["784 Hz is an octave above", "was it string 5 G4?"]),
        (("--string", 2, "--harmonic", "247Hz", "--fretted", "247Hz", "--string", 1, "--harmonic", 0, "--fretted", 0),
         "tone-octave-off", ["247 Hz is an octave below", "; check the octave on the tuner"]),
        (("--string", 4, "--harmonic", "262Hz", "--fretted", "262.3Hz"), "tone-off-note", ["; tune it first"]),
        (("--string", 4, "--harmonic", "392Hz", "--fretted", "392.3Hz"), "tone-off-note", ["was it string 3 G3?"]),
    ],
)  # fmt: skip
def test_tone_of_another_string_or_octave_gets_a_note_that_names_it(arguments, code, expected):
    _, notes = printed_for(*arguments)
    for text in expected:
        assert text in notes
    rows = rows_from_options([(name[2:], str(value)) for name, value in zip(*[iter(arguments)] * 2, strict=True)])
    banjo = preset("banjo")
    advice = advise(banjo, checked(rows, banjo), None, USUAL_ERRORS, diagnose=False)
    assert [note.code for note in note_words.notes(advice)] == [code]


def faults_of(given):
    with pytest.raises(InputFaults) as wrong:
        checked(rows_from_options(given), preset("banjo"))
    return [(fault.code, fault.place) for fault in wrong.value.faults]


def test_fault_on_the_command_line_is_at_its_own_option():
    assert faults_of([("string", "9"), ("harmonic", "x"), ("fretted", "0")]) == [
        ("string-unknown", Place(option="string")),
        ("tone-unread", Place(string=9, option="harmonic")),
    ]
    assert faults_of([("string", "4"), ("harmonic", "0"), ("fret", "99"), ("fretted", "sharp")]) == [
        ("reading-fret-unknown", Place(string=4, option="fret")),
        ("tone-unread", Place(string=4, option="fretted")),
    ]


def test_decimal_comma_is_a_point_in_a_reading_of_its_own(tmp_path):
    """On the command line and between semicolons; between commas it would be two readings."""
    (tmp_path / "r.csv").write_text("string;harmonic;fretted\n4;1,5;-3,5\n")
    errors = ("--tuner-error", "0,4", "--touch-error", "0,6")
    given = ("--string", 4, "--harmonic", "1,5", "--fretted", "-3,5")
    pointed = ("--string", 4, "--harmonic", "1.5", "--fretted", "-3.5", "--tuner-error", "0.4", "--touch-error", "0.6")
    assert advised(*given, *errors) == advised("--file", tmp_path / "r.csv", *errors) == advised(*pointed)


def test_fault_in_a_file_is_at_its_own_line_or_table():
    for name, content, place in (
        ("r.csv", b"1,0,0\n\n4,0,x\n", Place("r.csv", line=3, string=4)),
        ("r.toml", b"[[readings]]\nstring = 4\nharmonic = 0\nfretted = 'x'\n",
         Place("r.toml", "readings", row=1, string=4)),
    ):  # fmt: skip
        with pytest.raises(InputFaults) as wrong:
            checked(readings_file.parse(content, name), preset("banjo"))
        assert [(fault.code, fault.place) for fault in wrong.value.faults] == [("tone-unread", place)]


def test_people_read_a_true_minus_and_programs_an_ascii_one():
    printed, _ = printed_for(*pairs((1, 0), (4, -7)), "--at", "669 / 672")
    assert "bass leg −7.0 cents" in printed
    assert not re.search(r"-\d", printed)
    assert advised(*pairs((1, 0), (4, -7)))["moves"][1]["scale_cents"] < 0
