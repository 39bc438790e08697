"""“Keep this place”: the page writes what ``jigs keep`` would write, and nothing unlikely without a question."""

import pytest
from samples import run
from served import own_file, state

from jigs.instrument.opening import preset_text

DAY = "2026-11-25"
TODAY = ("--date", DAY)
OWN_LINES = "# Loan banjo 7, at the kitchen table\r\n"
STOPS = {"at": "line", "treble-harmonic": "0", "treble-fretted": "0.2", "bass-harmonic": "0", "bass-fretted": "-0.1"}
MOVES = {**STOPS, "treble-fretted": "-3", "bass-fretted": "4"}

WAYS = {
    "at": (("--at", "669.7 / 671.0"), {"how": "at", "treble": "669.7", "bass": "671.0"}),
    "one-place": (("--at", "670"), {"how": "at", "treble": "670"}),
    "inches": (("--at", "26 3/8 in / 26 13/32 in"), {"how": "at", "treble": "26 3/8 in", "bass": "26 13/32 in"}),
    "feet": (
        ("--feet-from-fret", "12", "331.1 / 332.6"),
        {"how": "feet", "fret": "12", "treble": "331.1", "bass": "332.6"},
    ),
    "ticks": (("--ticks", "-3 / 5.5"), {"how": "ticks", "treble": "−3", "bass": "5,5"}),
    "wedges": (("--wedges", "-1 / 2"), {"how": "wedges", "treble": "-1", "bass": "2"}),
    "more": (
        ("--at", "669.7 / 671.0", "--plus-minus", "0.7", "--strings", "D4 .011, B3 .012, G3 .014, D3 .024w, G4 .010"),
        {
            "how": "at",
            "treble": "669.7",
            "bass": "671.0",
            "plus-minus": "0.7",
            "strings": "D4 .011, B3 .012, G3 .014, D3 .024w, G4 .010",
        },
    ),
    "sure": (("--at", "690 / 691", "--sure"), {"how": "at", "treble": "690", "bass": "691", "sure": "true"}),
}
"""Each way on the command line, and the same on the page."""


def asked(sent, **what):
    return {**sent, "asked": {"date": DAY, **what}}


def kept(application, sent, **what):
    reply = application.post("/keep", asked(sent, **what))
    assert reply.data["faults"] == []
    return reply.data


def faults(application, sent, **what):
    return application.post("/keep", asked(sent, **what)).data["faults"]


@pytest.mark.parametrize("text", [preset_text("banjo"), OWN_LINES + preset_text("banjo") + "\n[found]\nticks_treble = 1\nticks_bass = 1  # old\n"], ids=["new", "replaced"])  # fmt: skip
@pytest.mark.parametrize("way", WAYS)
def test_the_file_is_that_of_the_command_line_byte_for_byte(application, tmp_path, text, way):
    options, what = WAYS[way]
    if "ticks" in way and "[found]" in text:
        options, what = (*options, "--sure"), {**what, "sure": "true"}
    mine = tmp_path / "mine.toml"
    mine.write_bytes(text.encode())
    assert run("keep", mine, *options, *TODAY)[0] == 0
    page = kept(application, state(base=own_file(text)), **what)
    assert page["text"].encode() == mine.read_bytes()
    assert page["name"] == "mine.toml"


def test_what_was_filled_in_since_is_in_the_kept_file_too(application, tmp_path):
    fields = {"bridge.spacing": "44", "name": "Loan banjo 7"}
    sent = state(base=own_file(preset_text("banjo")), fields=fields)
    mine = tmp_path / "mine.toml"
    mine.write_bytes(application.post("/file", sent).body)
    assert run("keep", mine, "--at", "669.7 / 671", *TODAY)[0] == 0
    assert kept(application, sent, how="at", treble="669.7", bass="671")["text"].encode() == mine.read_bytes()


@pytest.mark.parametrize("rounds", [[STOPS], [MOVES, {key: text for key, text in STOPS.items() if key != "at"}]])
def test_the_place_of_the_rounds_is_kept_as_from_their_log(application, tmp_path, rounds):
    mine, log = tmp_path / "mine.toml", tmp_path / "mine.jsonl"
    mine.write_text(preset_text("banjo"), encoding="utf-8")
    base, start = own_file(preset_text("banjo")), None
    for one in rounds:
        options = ["--at", one["at"]] if "at" in one else []
        for string, end in ((1, "treble"), (4, "bass")):
            options += ["--string", string, "--harmonic", one[f"{end}-harmonic"], "--fretted", one[f"{end}-fretted"]]
        assert run("readings", mine, *options, "--log", log)[0] == 0
        sent = {**state(base=base, readings=one), "start": start}
        start = application.post("/readings", sent).data["next"]
    assert run("keep", mine, "--log", log, *TODAY)[0] == 0
    assert kept(application, sent, how="round")["text"].encode() == mine.read_bytes()


def test_what_was_kept_is_said_in_the_words_of_the_command_line_without_its_options(application):
    said = " ".join(kept(application, state(readings=STOPS), how="round")["lines"])
    assert said.startswith("Kept in banjo.toml: crown line at 669.9 mm / 670.2 mm from the nut")
    assert "I measured its feet from a fret" in said
    assert "--" not in said


@pytest.mark.parametrize(
    ("readings", "what", "field", "code"),
    [
        ({}, {}, "keep.how", "keep-way-unknown"),
        ({}, {"how": "/etc/passwd"}, "keep.how", "keep-way-unknown"),
        ({}, {"how": "round"}, "keep.how", "keep-no-round"),
        (MOVES, {"how": "round"}, "keep.how", "keep-round-without-stop"),
        ({**STOPS, "at": ""}, {"how": "round"}, "keep.how", "keep-round-without-place"),
        ({"at": "line", "treble-harmonic": "0", "treble-fretted": "0"}, {"how": "round"}, "keep.how", "keep-log-half-read"),
        ({}, {"how": "at", "bass": "670"}, "keep.treble", "keep-end-missing"),
        ({}, {"how": "ticks", "treble": "3"}, "keep.bass", "keep-end-missing"),
        ({}, {"how": "ticks", "treble": "3", "bass": "far"}, "keep.treble", "keep-ticks-unread"),
        ({}, {"how": "at", "treble": "far away"}, "keep.treble", "place-unread"),
        ({}, {"how": "feet", "treble": "331", "bass": "332"}, "keep.fret", "keep-fret-unknown"),
        ({}, {"how": "feet", "fret": "99", "treble": "331"}, "keep.fret", "keep-fret-unknown"),
        ({}, {"how": "at", "treble": "670", "date": "2099-12-31"}, "keep.date", "keep-date-to-come"),
        ({}, {"how": "at", "treble": "670", "date": "soon"}, "keep.date", "date-unread"),
        ({}, {"how": "at", "treble": "670", "plus-minus": "much"}, "keep.plus-minus", "length-unread"),
        ({}, {"how": "at", "treble": "670", "strings": "D4"}, "keep.strings", "string-set-string-unread"),
    ],
)  # fmt: skip
def test_what_cannot_be_kept_is_refused_at_its_field(application, readings, what, field, code):
    listed = faults(application, state(readings=readings), **what)
    assert [(one["field"], one["code"]) for one in listed] == [(field, code)]
    assert not any("--" in one["what"] + one["remedy"] for one in listed)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (preset_text("banjo"), {"how": "at", "treble": "690", "bass": "691"}),
        (preset_text("banjo"), {"how": "at", "treble": "662", "bass": "677"}),
        (preset_text("banjo") + "\n[found]\ntreble = 669\nbass = 670\n", {"how": "ticks", "treble": "1", "bass": "1"}),
    ],
    ids=["far", "steep", "which-sheet"],
)
def test_unlikely_place_is_kept_only_if_the_user_is_sure(application, text, what):
    refused = application.post("/keep", asked(state(base=own_file(text)), **what)).data
    assert refused["may_confirm"] is True
    assert "text" not in refused
    assert "“Keep it all the same”" in refused["faults"][0]["remedy"]
    assert "[found]" in kept(application, state(base=own_file(text)), **what, sure="true")["text"]


def test_place_that_nothing_can_confirm_offers_no_confirmation(application):
    refused = application.post("/keep", asked(state(), how="at", treble="12")).data
    assert refused["may_confirm"] is False
