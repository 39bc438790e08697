"""A place that was found by ear, on the page: filled in, drawn, kept in the instrument file, and opened again."""

import re

import pytest
from playwright.sync_api import expect
from samples import run
from served import own_file, state

from jigs.instrument.opening import preset_text

STRINGS = "D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010"
FOUND = {
    "found.treble": "669.7",
    "found.bass": "670.3",
    "found.plus_minus": "0.5",
    "found.date": "2026-11-25",
    "found.strings": STRINGS,
    "found.same_make": "true",
}
BY_HAND = f"""
[found]  # at the kitchen table
treble = 669.7
bass = "670.3 mm"
date = 2026-11-25  # a Wednesday
strings = "{STRINGS}"
same_make = true
"""
WAYS = {
    "crown": {"found.treble": "669.7", "found.bass": "670.3"},
    "feet": {"found.fret": "12", "found.feet_treble": "332.4", "found.feet_bass": "333.0"},
    "ticks": {"found.ticks_treble": "-1", "found.ticks_bass": "1,5"},
}


def headline(data):
    return {one["name"]: f"{one['figure']}{one['joint']}{one['rest']}" for one in data["headline"]}


def test_found_place_is_drawn_saved_and_opened_again(application):
    drawn = application.drawn("banjo", FOUND)
    assert headline(drawn)["place"] == "found by ear on 25 November 2026 with these strings"
    assert "669.7 mm" in drawn["headline"][0]["figure"]
    assert "670.3 mm" in drawn["headline"][1]["figure"]
    saved = application.post("/file", state("banjo", FOUND)).body.decode()
    opened = application.post("/open", state(base=own_file(saved))).data["fields"]
    assert {key: text for key, text in opened.items() if key.startswith("found.")} == FOUND
    assert application.drawn(base=own_file(saved, "banjo.toml"))["sheets"] == drawn["sheets"]


@pytest.mark.parametrize("fields", WAYS.values(), ids=WAYS)
def test_every_way_to_give_a_place_is_that_of_the_command_line(application, tmp_path, fields):
    sent = state("banjo", fields)
    (tmp_path / "banjo.toml").write_bytes(application.post("/file", sent).body)
    page = application.drawn("banjo", fields)
    assert run("draw", tmp_path / "banjo.toml", "--format", "svg", "--out", tmp_path)[0] == 0
    assert (tmp_path / page["names"][0]).read_text(encoding="utf-8") == page["sheets"][0]
    assert headline(page)["place"].startswith("found by ear")


def test_date_and_comments_of_a_kept_place_survive_a_change_beside_them(application):
    text = preset_text("banjo") + BY_HAND
    opened = application.post("/open", state(base=own_file(text))).data["fields"]
    assert (opened["found.date"], opened["found.same_make"]) == ("2026-11-25", "true")
    kept = application.post("/file", state(base=own_file(text), fields={"found.bass": "670.1"})).body.decode()
    assert kept == text.replace('bass = "670.3 mm"', "bass = 670.1")
    without = application.post("/file", state(base=own_file(text), fields={"found.same_make": ""})).body.decode()
    assert "date = 2026-11-25  # a Wednesday" in without
    assert "same_make" not in without[without.index("[found]") :]


@pytest.mark.parametrize(
    ("fields", "field", "code"),
    [
        ({"found.treble": "669.7"}, "found.bass", "found-end-missing"),
        ({"found.strings": STRINGS}, "found.strings", "found-place-missing"),
        ({"found.same_make": "true"}, "found.same_make", "found-place-missing"),
        ({**WAYS["crown"], **WAYS["ticks"]}, "found.ticks_treble", "found-two-ways"),
        ({**WAYS["feet"], "found.fret": ""}, "found.fret", "found-fret-missing"),
        ({**WAYS["crown"], "found.date": "2026-02-30"}, "found.date", "date-unread"),
    ],
    ids=lambda one: one if isinstance(one, str) else None,
)
def test_fault_of_a_found_place_names_fields_by_their_labels(application, fields, field, code):
    (fault,) = application.faults("banjo", fields)
    assert (fault["field"], fault["code"]) == (field, code)
    said = f"{fault['where']} {fault['what']} {fault['remedy']}"
    keys = r"\b(treble|bass|fret|feet|ticks)_\w+|\bsame_make\b|\[found\]|\b(treble|bass|strings) (is there|too)\b"
    assert not re.search(keys, said), said


def test_found_place_is_typed_in_and_the_computed_line_drawn_with_a_tick(visit):
    here = visit()
    computed = here.fill("found.treble", "669.7")
    assert computed["faults"]
    found = here.fill("found.bass", "670.3")
    cells = here.page.locator("#headline")
    expect(cells).to_contain_text("found by ear")
    for template in ("gauge", "fork"):
        here.fill("draw.template", template)
        expect(here.field("draw.computed")).to_be_visible()
        assert here.field("draw.computed").get_attribute("type") == "checkbox"
    drawn = here.fill("draw.computed", "true")
    assert drawn["sheets"] != found["sheets"]
    expect(cells).not_to_contain_text("found by ear")
    here.page.wait_for_function("() => location.hash.includes('computed=true')")
    again = visit(here.page.url.partition("#")[2])
    expect(again.field("draw.computed")).to_be_checked()
    expect(again.field("found.bass")).to_have_value("670.3")


def test_readings_begin_on_the_line_that_the_sheet_draws_whether_found_or_computed(application):
    """A bridge on the sheet's line stands at the found place, unless the computed line was drawn."""
    read = {"treble-harmonic": "0", "treble-fretted": "3", "bass-harmonic": "0", "bass-fretted": "-4", "at": "line"}
    found, computed = (
        application.post("/readings", state("banjo", FOUND, draw, read)).data for draw in ({}, {"computed": "true"})
    )
    before = [
        next(line["text"] for line in one["lines"] if line["text"].startswith("before")) for one in (found, computed)
    ]
    assert before[0].startswith("before: 669.7 mm / 670.3 mm")
    assert before[1].startswith("before: 669.9 mm / 670.2 mm")
