"""Each key is declared once: what the page, the table of keys and the presets' comments say of it is the same."""

import json
import re
import tomllib

import pytest
from samples import PRESETS, run

from jigs.instrument.opening import preset_text
from jigs.instrument.reference import MODELS, ORDER, TOP, declared, default_of, keys_of
from jigs.page.form.fields import GROUPS, STRING_FIELDS

ALL = [one for table in ORDER for one in keys_of(table)]
UNITS = ("mm", "Hz", "g/m", "GPa", "cents", "%")
NEEDED = {
    "": {"name": "x", "frets": 12, "fret_crown_width": 2.0},
    "action": {"nut": 0.0, "fret_12": 15.0},
    "strings": {"note": "D4", "gauge": "0.022 in"},
    "board": {"nut_width": 31.8},
    "bridge": {"spacing": 5.0, "length": 300.0, "thickness": 60.0, "crown": 2.5},
    "tail": {"afterlength": 120.0, "headlength": 90.0},
}
"""For some tables the keys that have to be there for any other one to be read, with room for it."""

BESIDE = {
    "action.fret_12": {"nut": 0.0},
    "strings.core": {"gauge": 4.0},
    "strings.turns": {"gauge": "0.040 in"},
    "strings.wrap": {"core": 0.2},
    "bridge.feet": {"foot": 2.0},
    "top.arch_rise": {"arch_span": 1000.0},
    "top.arch_span": {"arch_rise": 0.1},
}
"""For some keys what belongs beside them, with room for all that they may hold."""


def read(one, value):
    """A key's value out of its table, checked with what else that needs. Raises pydantic's ValidationError."""
    given = {**NEEDED.get(one.table, {}), **BESIDE.get(one.path, {}), one.key: value}
    if one.key == "fret_rule" and isinstance(value, list):
        given["frets"] = len(value)
    if one.table == "" and one.key != "nut_to_fret_12":
        given.setdefault("scale", 666.8)
    return getattr(MODELS[one.table].model_validate(given), one.key)


def path(one):
    return one.path


def test_every_table_of_the_file_has_its_place_in_the_reference():
    assert sorted(ORDER) == sorted(MODELS)


@pytest.mark.parametrize("one", ALL, ids=path)
def test_every_key_has_a_label_and_an_example_that_can_be_copied_into_the_file(one):
    assert one.label
    assert one.label[0].isupper()
    value = tomllib.loads(f"x = {one.example}")["x"]
    assert read(one, value) is not None


@pytest.mark.parametrize("one", [one for one in ALL if one.low is not None and one.kind != "list"], ids=path)
def test_bounds_that_the_reference_shows_are_those_that_the_file_is_held_to(one):
    def fits(number):
        try:
            read(one, f"{number!r} {one.unit}" if one.kind in ("text", "length") else number)
        except ValueError:
            return False
        return True

    whole = one.kind == "whole"
    step = 1 if whole else 0.001
    low, high = (int(one.low), int(one.high)) if whole else (one.low, one.high)
    assert fits(low)
    assert fits(high)
    assert not fits(low - step)
    assert not fits(high + step)
    assert one.within == f"{one.low:g} to {one.high:g}"


@pytest.mark.parametrize("one", [one for one in ALL if one.default], ids=path)
def test_default_that_the_reference_shows_is_one_that_the_file_takes(one):
    words = one.kind in ("choice", "list")
    value = one.default if words else tomllib.loads(f"x = {one.default}")["x"]
    read(one, value)


@pytest.mark.parametrize("one", [one for one in ALL if one.choices], ids=path)
def test_every_choice_that_the_page_offers_is_one_that_the_file_takes(one):
    for word in one.choices:
        assert str(read(one, word)) == word


def test_the_page_shows_every_key_with_its_label():
    shown = {field.key: field.label for group in GROUPS for field in group.fields}
    shown |= {f"strings.{field.key}": field.label for field in STRING_FIELDS}
    assert shown == {one.path: one.label for one in ALL}


# the command


def test_all_keys_are_listed_with_a_heading_for_each_table():
    status, printed, _ = run("keys")
    assert status == 0
    for table in ORDER:
        assert not table or f"[{table}]" in printed
    for one in ALL:
        assert re.search(rf"^  {one.key} +.*{re.escape(one.label)}", printed, re.MULTILINE), one.key
    assert "banjo / mandolin / other" in printed


@pytest.mark.parametrize("name", ["bridge", "[bridge]", "Bridge"])
def test_one_table_is_listed_alone(name):
    status, printed, _ = run("keys", name)
    assert status == 0
    assert [line.split()[0] for line in printed.split("\n\n")[0].splitlines()[2:]] == list(
        MODELS["bridge"].model_fields
    )


def test_programs_get_every_key_with_its_bounds():
    found = json.loads(run("keys", "--json")[1])["keys"]
    assert [(one["table"], one["key"]) for one in found] == [(one.table or TOP, one.key) for one in ALL]
    scale = next(one for one in found if (one["table"], one["key"]) == (TOP, "scale"))
    assert (scale["unit"], scale["low"], scale["high"]) == ("mm", 150, 1500)


def test_table_that_there_is_not_is_refused_with_the_nearest():
    status, _, printed = run("keys", "brige")
    assert status == 2
    assert 'there is no table "brige"; did you mean "bridge"?' in printed


# the comments of the presets

KEY_LINE = re.compile(r'^(?:# )?(\w+)\s*= ("[^"]*"|\[[^\]]*\]|[^#,"]+?)\s*(?:# (.*))?$')
TABLE_LINE = re.compile(r"^(?:# )?\[+(\w+)\]+")


def key_lines(text):
    """Every line with a key, commented out or not: (declared key, its value, the comment behind it)."""
    table = ""
    for line in text.splitlines():
        if heading := TABLE_LINE.match(line):
            table = heading[1]
        elif (found := KEY_LINE.match(line)) and found[1] in MODELS[table].model_fields:
            yield declared(table, found[1]), tomllib.loads(f"x = {found[2]}")["x"], found[3] or ""


def words_in(comment, choices):
    return {word for word in choices if re.search(rf'(?<![\w-])"?{re.escape(word)}"?(?![\w-])', comment)}


@pytest.mark.parametrize("name", PRESETS)
def test_what_a_preset_shows_can_be_taken_out_of_its_comment_as_it_is(name):
    lines = list(key_lines(preset_text(name)))
    assert len(lines) > 45
    for one, value, _ in lines:
        read(one, value)


@pytest.mark.parametrize("name", PRESETS)
def test_defaults_units_bounds_and_choices_in_a_preset_s_comments_are_the_key_s(name):
    checked = {"default": 0, "unit": 0, "bounds": 0, "choices": 0}
    for one, value, comment in key_lines(preset_text(name)):
        if default := re.search(r"default: ([^;,]+)", comment):
            assert default[1].strip() in (one.empty, default_of(one)), one.path
            checked["default"] += 1
        for unit in re.findall(rf"\b[\d.]+ ?({'|'.join(UNITS)})(?![\w/])", comment):
            assert unit == one.unit or "nut_to_fret_12" in comment, one.path
            checked["unit"] += 1
        ends = [float(number) for number in re.findall(r"(?:^|, )(\d+): ", comment)]
        if ends:
            assert ends == [one.low, one.high], one.path
            checked["bounds"] += 1
        if one.choices and comment.partition("or ")[1]:
            assert words_in(comment, one.choices) | {value} == set(one.choices), one.path
            checked["choices"] += 1
    assert all(checked.values()), checked
    assert checked["default"] >= 5
    assert checked["choices"] >= 4


@pytest.mark.parametrize("name", PRESETS)
def test_what_a_preset_says_that_a_string_can_have_is_so(name):
    text = preset_text(name)
    said = text[text.index("A string can also have") : text.index("[[strings]]")].replace("\n# ", " ")
    given = re.findall(r'(\w+) = ("[^"]*"|[\d.]*\d|\w+)', said.partition("Wraps:")[0])
    assert {key for key, _ in given} == {"material", "unit_mass", "modulus", "nut_height", "pair"}
    for key, value in given:
        read(declared("strings", key), tomllib.loads(f"x = {value}")["x"])
    assert f"starts_at_fret ({declared('strings', 'starts_at_fret').example} on a banjo)" in said
    wraps = said.partition("Wraps:")[2].partition(". ")[0]
    assert tuple(re.findall('"([^"]+)"', wraps)) == declared("strings", "wrap").choices
    a4 = declared("pitch", "a4")
    assert f"A4 = {default_of(a4)}" in said
    assert f"[pitch] and below it a4 = {a4.example}" in said
