"""Millimetres or inches at the fields: what is shown changes, and the instrument file keeps its own text."""

import pytest
from served import own_file, state

from geometry.lengths import parse_mm
from jigs.instrument.opening import preset_names, preset_text
from jigs.page.form.fields import DRAW_FIELDS, GROUPS, STRING_FIELDS


def shown(application, to, fields):
    reply = application.post("/units", {"base": {"preset": "banjo"}, "asked": {"to": to, **fields}})
    assert reply.status == 200, reply.body
    return reply.data["shown"]


def said_by(application, preset):
    return application.post("/open", state(preset)).data["fields"]


@pytest.mark.parametrize(
    ("key", "text", "mm", "inches"),
    [
        ("scale", "26 1/4 in", "666.75", "26 1/4"),
        ("scale", "666.8", "666.8", "26 1/4"),
        ("scale", "670", "670", "26.378"),
        ("scale", "26.25", "666.75", "26.25"),
        ("scale", "26¼", "666.75", "26¼"),
        ("nut_to_fret_12", "333.4 mm", "333.4", "13 1/8"),
        ("nut_to_fret_12", "1 ft 1 in", "330.2", "13"),
        ("action.fret_12", "3.0", "3.0", "0.118"),
        ("action.fret_12", "7/64 in", "2.778", "7/64"),
        ("action.relief", "0.0", "0.0", "0"),
        ("bridge.steps", "-1.2, 0.3 in, 0", "-1.2, 7.62, 0", "-3/64, 0.300, 0"),
        ("strings.4.nut_height", "0,6", "0,6", "0.024"),
        ("strings.4.gauge", "0.024 in", ".024", ".024"),
        ("strings.4.gauge", ".024w", ".024w", ".024w"),
        ("strings.4.gauge", "24w", ".024w", ".024w"),
        ("strings.4.gauge", "10 thou", ".010", ".010"),
        ("strings.4.gauge", "0.3", "0.3 mm", "0.3 mm"),
        ("strings.4.core", "0.254", ".010", ".010"),
        ("strings.4.unit_mass", "0.398 g/m", "0.398", "0.398"),
        ("strings.4.unit_mass", "0.0223 lb/in", "0.0223 lb/in", "0.0223 lb/in"),
        ("strings.4.modulus", "203 GPa", "203", "203"),
        ("draw.kerf", "0.5", "0.5", "0.020"),
    ],
)
def test_field_shows_its_length_in_the_unit_of_the_switch(application, key, text, mm, inches):
    assert shown(application, "mm", {key: text}) == {key: mm}
    assert shown(application, "in", {key: text}) == {key: inches}


@pytest.mark.parametrize("text", ["", "long", "26, 2500 in", "2 in", "-50", "1/0 in", "nan", "1e5", "9" * 50, "\x00"])
@pytest.mark.parametrize("key", ["scale", "strings.2.gauge", "bridge.steps", "strings.2.modulus", "frets_measured"])
def test_text_that_cannot_be_read_is_shown_as_it_was_typed(application, key, text):
    """A fault quotes it, and the player has to find it again."""
    for to in ("mm", "in"):
        assert shown(application, to, {key: text}) == {key: text}


@pytest.mark.parametrize("preset", preset_names())
def test_every_length_of_a_preset_is_shown_within_a_hair_of_what_its_file_says(application, preset):
    said = {key: text for key, text in said_by(application, preset).items() if key != "name"}
    for to, unit in (("mm", 1.0), ("in", 25.4)):
        seen = shown(application, to, said)
        assert "scale" in seen
        assert any("gauge" in key for key in seen)
        for key, text in seen.items():
            if key.startswith("strings.") and key.endswith(("gauge", "core", "unit_mass", "modulus")):
                continue
            for one, of in zip(text.split(", "), said[key].split(", "), strict=True):
                assert abs(float(parse_mm(one)) * unit - float(parse_mm(of))) <= 0.06, (key, text)


def test_a_length_that_is_read_as_inches_without_a_unit_says_so(application):
    """Else the field would say “26.25 mm” of a scale that is drawn in inches."""
    asked = {"to": "mm", "scale": "26.25", "nut_to_fret_12": "333.4", "strings.1.gauge": "10"}
    reply = application.post("/units", {"base": {"preset": "banjo"}, "asked": asked})
    assert reply.data["in_inches"] == ["scale"]


@pytest.mark.parametrize("asked", [{}, {"to": "ft"}, {"to": ""}, {"to": "in", "scale": 26}])
def test_request_for_no_known_unit_is_refused(application, asked):
    assert application.post("/units", {"base": {"preset": "banjo"}, "asked": asked}).status == 400


def test_fields_that_the_page_does_not_have_are_not_answered(application):
    asked = {"colour": "3", "strings.gauge.4": "3", "..": "3", "name": "3", "draw.paper": "3", "strings.99x.gauge": "1"}
    assert shown(application, "in", asked) == {}


def test_every_field_with_a_unit_shows_it_and_every_length_is_one():
    """Else a number in a field could be of anything."""
    fields = [*(field for group in GROUPS for field in group.fields), *STRING_FIELDS, *DRAW_FIELDS]
    without = {field.key for field in fields if field.kind == "length" and not field.unit}
    assert without == {"gauge", "core"}
    units = {field.key: field.unit for field in fields}
    assert (units["scale"], units["pitch.a4"], units["unit_mass"], units["modulus"]) == ("mm", "Hz", "g/m", "GPa")
    assert (units["wanted_cents"], units["tolerance.print_percent"], units["kerf"]) == ("cents", "%", "mm")
    assert {field.key for field in fields if field.added} == {"unit_mass", "modulus"}


@pytest.mark.parametrize("text", [".010", "010", "10", "#10", "10 thou", "0.010 in", "0,254", ".254 mm"])
def test_every_way_to_write_a_plain_gauge_is_taken_on_the_page(application, text):
    expected = application.drawn("banjo", {"strings.1.gauge": ".010"})["headline"]
    assert application.drawn("banjo", {"strings.1.gauge": text})["headline"] == expected


@pytest.mark.parametrize("text", [".024w", "24w", "24W", ".024 w", "0.024 in w", "#24w", "24 thou w"])
def test_every_way_to_write_a_wound_gauge_is_taken_on_the_page(application, text):
    expected = application.drawn("banjo", {"strings.4.gauge": ".024w"})["headline"]
    assert application.drawn("banjo", {"strings.4.gauge": text})["headline"] == expected


def test_fractions_of_a_word_processor_are_taken_on_the_page(application):
    expected = application.drawn("banjo", {"scale": "26 1/4 in"})["headline"]
    for text in ("26¼", "26 ¼ in", "26¼″", "26 1⁄4 in", "26,25 in", "26.25"):
        assert application.drawn("banjo", {"scale": text})["headline"] == expected


def test_gauges_of_an_opened_file_are_shown_as_packets_print_them_and_kept_as_they_are(application):
    text = preset_text("banjo").replace('".022w"', '"0.022 in w"').replace('gauge = ".014"', "gauge = 0.3556")
    said = application.post("/open", state(base=own_file(text))).data["fields"]
    assert shown(application, "mm", {key: said[key] for key in ("strings.3.gauge", "strings.4.gauge")}) == {
        "strings.3.gauge": ".014",
        "strings.4.gauge": ".022w",
    }
    assert application.post("/file", state(base=own_file(text))).body.decode() == text
