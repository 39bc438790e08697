"""More strings and frets on the page: the answers of ``jigs readings --diagnose``, and always a next step."""

import json

import pytest
from samples import run
from served import lines_on_the_page, state

from jigs.faults import Command, named_in_file
from jigs.page.form.fields import label_of

OUTER = {"treble-harmonic": "0", "treble-fretted": "2", "bass-harmonic": "0", "bass-fretted": "-1"}
NUT_IS_HIGH = ((1, "17"), (3, "9.4"), (5, "9"), (7, "9.3"), (10, "10.5"), (12, "11.5"))
"""Frets of the third string, and what they read against the open string."""


def rows(*given):
    """Rows as the fields of the page, from (string, fret, against, reference, fretted)."""
    names = ("string", "fret", "against", "reference", "fretted")
    return {
        f"rows.{n}.{name}": text
        for n, row in enumerate(given, 1)
        for name, text in zip(names, map(str, row), strict=True)
    }


def by_the_command_line(preset, given, readings=OUTER, last=4):
    options = []
    for string, end in ((1, "treble"), (last, "bass")):
        if f"{end}-fretted" in readings:
            options += [
                "--string",
                string,
                "--harmonic",
                readings[f"{end}-harmonic"],
                "--fretted",
                readings[f"{end}-fretted"],
            ]
    for string, fret, against, reference, fretted in given:
        options += ["--string", string, f"--{against}", reference, "--fret", fret, "--fretted", fretted]
    status, printed, wrong = run("readings", preset, *options, "--json", "--diagnose")
    assert status == 0, wrong
    return json.loads(printed)


def renamed(lines):
    """Commands in sentences by the names of the page's views."""
    for command in ("survey", "compare"):
        was, now = named_in_file(Command(command)), label_of(Command(command))
        lines = [{**line, "text": line["text"].replace(was, now)} for line in lines]
    return lines_on_the_page(lines)


GIVEN = {
    "high-nut": [(3, fret, "open", "0", cents) for fret, cents in NUT_IS_HIGH],
    "one-fret": [(1, fret, "open", "0", "15" if fret == 7 else "0") for fret in (1, 3, 5, 7, 10)],
    "too-few": [(4, 7, "open", "0", "3")],
    "octave-only": [(2, 12, "harmonic", "0", "-3")],
    "hertz": [(3, 12, "harmonic", "392 Hz", "393 Hz"), (3, 7, "open", "196 Hz", "294.5 Hz")],
    "short-string": [(5, 7, "open", "0", "4"), (5, 12, "harmonic", "1", "5")],
}


@pytest.mark.parametrize("given", GIVEN.values(), ids=GIVEN)
def test_rows_get_the_diagnosis_of_the_command_line(application, given):
    expected = by_the_command_line("banjo", given)
    page = application.post("/diagnose", state(readings={**OUTER, **rows(*given)})).data
    assert page["faults"] == []
    assert page["lines"] == renamed(expected["lines"])
    assert (page["verdict"], page["next"]) == (expected["verdict"], expected["next"])
    shown = [(one["name"], one["weight"]) for each in page["causes"] for one in each["causes"]]
    enough = {one["string"] for one in expected["diagnosis"] if len(one["frets"]) >= 4}
    wanted = [one for one in expected["causes"] if one["string"] in enough and one["weight"] > 0.01]
    assert shown == [(one["name"], pytest.approx(one["weight"])) for one in wanted]


def test_readings_elsewhere_than_at_the_octave_are_diagnosed_unasked(application):
    sent = state(readings={**OUTER, **rows(*GIVEN["high-nut"])})
    plain, asked = (application.post(route, sent).data for route in ("/readings", "/diagnose"))
    assert plain["lines"] == asked["lines"]
    assert any(line["kind"] == "diagnosis" for line in plain["lines"])


def test_inner_strings_at_the_octave_count_for_a_bridge_that_follows_all(application):
    fields = {"compensation.bridge_fit": "all"}
    without = application.post("/readings", state(fields=fields, readings=OUTER)).data
    inner = rows((2, 12, "harmonic", 0, -9), (3, "", "harmonic", 0, "-8 / -9"), (5, 12, "harmonic", 0, 1))
    with_all = application.post("/readings", state(fields=fields, readings={**OUTER, **inner})).data
    assert [(row["string"], row["fret"], row["against"]) for row in without["rows"]] == [
        ("2", "12", "harmonic"),
        ("3", "12", "harmonic"),
        ("5", "12", "harmonic"),
    ]
    assert with_all["rows"] == []
    assert with_all["round"]["moved_mm"] != without["round"]["moved_mm"]
    assert [string for string, _, _ in with_all["round"]["rests"]] == [1, 4, 2, 3, 5]


def test_several_readings_of_a_row_count_each_with_its_own_reference(application):
    slashes = rows((3, 7, "open", "0 / 1", "3 / 4"))
    apart = rows((3, 7, "open", "0", "3"), (3, 7, "open", "1", "4"))
    both = [application.post("/diagnose", state(readings={**OUTER, **one})).data["lines"] for one in (slashes, apart)]
    assert both[0] == both[1]


@pytest.mark.parametrize(
    ("row", "field", "code", "where"),
    [
        ((9, 7, "open", 0, 3), "rows.1.string", "string-unknown", "Row 1, string"),
        (("", 7, "open", 0, 3), "rows.1.string", "string-number-unread", "Row 1, string"),
        ((3, 99, "open", 0, 3), "rows.1.fret", "reading-fret-unknown", "Row 1, fret"),
        ((3, 0, "open", 0, 3), "rows.1.fret", "fret-nought", "Row 1, fret"),
        ((3, 7, "open", "x", 3), "rows.1.reference", "tone-unread", "Row 1, it reads"),
        ((3, 7, "open", 0, "x"), "rows.1.fretted", "tone-unread", "Row 1, pressed, it reads"),
        ((3, 7, "open", "0 / 1 / 2", "1 / 2"), "rows.1.fretted", "row-counts-differ", "Row 1, pressed, it reads"),
    ],
)
def test_faults_of_a_row_are_at_its_field(application, row, field, code, where):
    listed = application.post("/diagnose", state(readings={**OUTER, **rows(row)})).data["faults"]
    assert [(one["field"], one["code"], one["where"]) for one in listed] == [(f"readings.{field}", code, where)]


@pytest.mark.parametrize("key", ["rows.0.fret", "rows.100.fret", "rows.1.colour", "rows.1", "rows.1.fret.2"])
def test_rows_that_no_page_sends_are_refused(application, key):
    assert application.post("/readings", state(readings={key: "1"})).status == 400


DEAD_ENDS = {
    "semitone": {**OUTER, "treble-fretted": "90"},
    "too-far": {**OUTER, "treble-fretted": "-30", "bass-fretted": "-32"},
    "too-slanted": {**OUTER, "treble-fretted": "-25", "bass-fretted": "25", "at": "line"},
    "rough": {**OUTER, "treble-fretted": "0", "bass-fretted": "0", "touch-error": "9"},
    "one-string": {"treble-harmonic": "0", "treble-fretted": "0"},
    "high-nut": {**OUTER, **rows(*GIVEN["high-nut"])},
    "one-fret": {**OUTER, **rows(*GIVEN["one-fret"])},
}


@pytest.mark.parametrize("readings", DEAD_ENDS.values(), ids=DEAD_ENDS)
def test_wherever_the_move_ends_there_is_a_next_step(application, readings):
    data = application.post("/readings", state(readings=readings)).data
    assert data["faults"] == []
    assert data["kind"] not in ("verdict-move", "verdict-stop")
    assert data["leads"]
    for lead in data["leads"]:
        assert lead["text"]
        assert set(lead) - {"text"} in ({"field"}, {"view"}, {"rows"})
        assert "`" not in lead["text"]


def test_rows_for_a_diagnosis_are_enough_for_one_and_fit_the_string(application):
    data = application.post("/readings", state(readings=DEAD_ENDS["too-far"])).data
    assert len(data["rows"]) == 3
    (string,) = {row["string"] for row in data["rows"]}
    assert string in ("1", "4")
    filled = rows(*((row["string"], row["fret"], row["against"], "0", "-20") for row in data["rows"]))
    then = application.post("/readings", state(readings={**DEAD_ENDS["too-far"], **filled})).data
    assert then["causes"]
    assert "12" not in [row["fret"] for row in data["rows"]]


def test_a_cause_leads_to_what_finds_it(application):
    high, fret = (
        application.post("/readings", state(readings=DEAD_ENDS[one])).data for one in ("high-nut", "one-fret")
    )
    assert "action.nut" in [lead.get("field") for lead in high["leads"]]
    assert "boards" in [lead.get("view") for lead in fret["leads"]]


# ---- one end at a time, and the rounds as a picture


def test_one_end_at_a_time_has_one_number_and_the_next_round_counts_from_that_move(application):
    sent = state(readings={**OUTER, "treble-fretted": "-4", "bass-fretted": "7", "at": "line"})
    both, one = (application.post("/readings", {**sent, "asked": asked}).data for asked in ({}, {"one-end": "true"}))
    assert (both["two_moves"], one["two_moves"]) == (True, True)
    moves = [[line["text"] for line in data["lines"] if line["kind"] == "move"] for data in (both, one)]
    assert [len(each) for each in moves] == [2, 1]
    assert one["round"]["moved_mm"][0] is None
    assert one["round"]["moved_mm"][1] == both["round"]["moved_mm"][1]
    assert one["next"] != both["next"]
    assert one["picture"] != both["picture"]


def test_rounds_are_drawn_with_the_round_that_is_read(application):
    first = application.post("/readings", state(readings={**OUTER, "treble-fretted": "-4", "at": "line"})).data
    assert "string-1-step-1" in first["rounds_picture"]
    sent = {**state(readings=OUTER), "rounds": [first["round"]], "start": first["next"]}
    second = application.post("/readings", sent).data["rounds_picture"]
    assert {f"string-{string}-step-{step}" for string in (1, 4) for step in (1, 2)} <= set(second.split('"'))
    listed = application.post("/rounds", {**state(), "rounds": [first["round"]]}).data["picture"]
    assert "string-4-step-1" in listed


def test_rounds_of_an_older_bookmark_are_listed_and_not_drawn(application):
    old = {"read_cents": [-3.0, 4.0], "moved_mm": [-1.2, 1.5], "verdict": "move", "next": None}
    data = application.post("/rounds", {**state(), "rounds": [old]}).data
    assert data["rounds"][0][0]["text"] == "Round 1"
    assert data["picture"] is None


@pytest.mark.parametrize(
    "rests",
    ["1", [1], [[1, 2]], [[0, 1.0, 1.0]], [[1, True, 1.0]], [[1, 1e300, 1.0]], [[1, 1.0, -1.0]], [[1, 1, 1]] * 25],
    ids=str,
)
def test_figures_that_no_round_has_are_refused(application, rests):
    one = {"read_cents": [-3.0, 4.0], "moved_mm": [-1.2, 1.5], "verdict": "move", "next": None, "rests": rests}
    assert application.post("/rounds", {**state(), "rounds": [one]}).status == 400
