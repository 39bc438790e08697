"""What is wrong is shown at the field that is wrong, with the labels of the page, as the command line finds it."""

import ast
import re

import pytest
from hostile import as_file, instruments, nearly
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from samples import run
from served import own_file, refused_by_the_command_line, shown, state
from sources import JIGS, ROOT, tree

from jigs.instrument.opening import preset_text
from jigs.instrument.reference import kind_of
from jigs.page.form.fields import name_of
from jigs.templates.catalogue import NAMES

FULL = "banjo"
WRONG = {
    "text": "\a",
    "choice": "up",
    "length": "26, 25 in",
    "number": "many",
    "whole": "many",
    "list": "5, x",
    "check": "perhaps",
}
"""For each kind of field a text that is never right."""

TYPED = ("", "\a", "-1", "0", "1/8", "2,5", "1,234", "30 in", "333", "9999", "5, 7, 9", "x, y", "D4", "steel", "true")
"""What somebody may type anywhere."""

FOREIGN_TO_THE_PAGE = re.compile(r"--[a-z]|\[\[?\w+\]|\w+_\w+|\w = ")
"""An option of the command line, a table of the file, a key of two words, a key with its value."""


def assert_in_words_of_the_page(*texts):
    for text in texts:
        assert not FOREIGN_TO_THE_PAGE.search(text), text


def fields_of_the_form():
    """Every key that the form has a field for, of a string those of string 4."""
    from jigs.page.form.fields import GROUPS, STRING_FIELDS

    keys = [field.key for group in GROUPS for field in group.fields]
    strings = [f"strings.4.{field.key.rsplit('.', 1)[-1]}" for field in STRING_FIELDS]
    assert len(keys) > 30
    return list(dict.fromkeys((*keys, *strings)))


def refused(folder, content):
    """The faults with which `jigs draw` refuses a file."""
    (folder / "mine.toml").write_bytes(content)
    faults = refused_by_the_command_line("draw", folder / "mine.toml", "--format", "svg", "--out", folder / "out")
    assert faults
    return faults


@pytest.mark.parametrize("key", fields_of_the_form())
def test_wrong_value_is_shown_at_its_field_in_the_words_of_the_page(tmp_path, application, key):
    fields = {key: WRONG[kind_of(key)]}
    if key == "nut.edge":
        fields["nut.spacing"] = ""
    faults = application.faults(FULL, fields)
    assert key in {fault["field"] for fault in faults}, faults
    content = application.post("/file", state(FULL, fields)).body
    assert shown(faults) == refused(tmp_path, content)
    for fault in faults:
        assert fault["remedy"]
        assert fault["where"] == name_of(fault["field"])
        assert_in_words_of_the_page(fault["what"], fault["remedy"])


@pytest.mark.parametrize(
    ("base", "fields"),
    [
        (None, {"name": ""}),
        (None, {"strings.2.note": ""}),
        (None, {"strings.4.gauge": ""}),
        (own_file(re.sub(r"(?m)^# dots.*$", "dots = 5", preset_text(FULL))), {}),
    ],
    ids=["name", "note", "gauge", "list"],
)
def test_remedy_for_a_missing_value_or_list_names_the_field_and_not_the_key_of_the_file(application, base, fields):
    from jigs.instrument.body import Rim
    from jigs.instrument.keys import Head, StringEntry
    from jigs.instrument.tables import TABLES

    known = {key for model in (Head, StringEntry, Rim, *TABLES.values()) for key in model.model_fields}
    for fault in application.faults(FULL, fields, base=base):
        for text in (fault["what"], fault["remedy"]):
            assert not re.search(rf"\b({'|'.join(known)}) =", text), text


@pytest.mark.parametrize(
    ("base", "fields", "remedy"),
    [
        (own_file(""), {}, "start from one of the presets"),
        (own_file("strings = 3"), {}, "list the strings, each under “Strings”"),
        (None, {"frets_measured": "a b"}, "write one for each fret, as in 33.7, 65.5, 95.5, …"),
        (None, {"bridge.steps": "x"}, "write one for each string, as in -1.2, 1.2, -0.6, 1.0"),
        (
            None,
            {"wanted_cents": "100; 300; 400; 500; 600; 700; 800; 900; 1000; 1100", "frets": "10", "strings": "4"},
            "write “In tune for”: all frets or nut and saddle; or check “Wanted notes, in cents”",
        ),
    ],
    ids=["empty", "strings", "frets", "steps", "octave"],
)
def test_remedy_is_what_people_type_on_the_page_without_quotes_and_brackets(application, base, fields, remedy):
    assert remedy in [fault["remedy"] for fault in application.faults(FULL, fields, base=base)]


def test_a_string_is_named_once_in_a_note(application):
    notes = application.drawn("mandolin", {"strings.3.gauge": ".026", "strings.3.core": "", "strings.3.wrap": ""})[
        "notes"
    ]
    (text,) = [note["text"] for note in notes if note["code"] == "setback-unusual"]
    assert text.startswith("String 3: D4 needs its bridge ")


def test_a_likely_slip_is_to_be_checked_first_at_its_field(application):
    (note,) = [one for one in application.drawn("mandolin", {"strings.1.note": "E4"})["notes"] if one["first"]]
    assert (note["field"], note["where"]) == ("strings.1.gauge", "String 1, gauge")
    assert note["text"].startswith("String 1: 26 N is slack; ")


def test_a_note_is_a_whole_sentence(application):
    wide = {"scale": "35 in", "strings.1.note": "D3"}
    for note in application.drawn(FULL, wide)["notes"]:
        assert re.match(r"[A-Z0-9“].*[.?]$", note["text"]), note["text"]


def test_a_wrong_string_is_looked_for_at_that_string_although_much_is_wrong_with_it(application):
    faults = application.faults(FULL, {"strings.1.note": "D7"})
    assert len(faults) > 1
    assert {fault["field"] for fault in faults} == {"strings.1.gauge"}, "the scale is right"


def test_a_reading_that_counts_for_several_is_wrong_once(application):
    readings = {"treble-harmonic": "x", "treble-fretted": "-3 / -2", "bass-harmonic": "0", "bass-fretted": "2"}
    faults = application.post("/readings", state(FULL, readings=readings)).data["faults"]
    assert [fault["field"] for fault in faults] == ["readings.treble-harmonic"]


def test_one_listed_value_is_counted_as_one(application):
    for fields, said in (
        ({"frets_measured": "33.7"}, "1 fret is listed"),
        ({"bridge.steps": "1.2"}, "1 step is listed, but the instrument has 5 strings"),
    ):
        assert any(fault["what"].startswith(said) for fault in application.faults(FULL, fields))


@pytest.mark.parametrize(
    ("fields", "at"),
    [
        ({"action.fret_12": "0.3"}, "action.fret_12"),
        ({"scale": ""}, "scale"),
        ({"nut_to_fret_12": "333", "scale": "26 in"}, "scale"),
        ({"name": ""}, "name"),
        ({"strings.4.core": "0.022 in"}, "strings.4.core"),
        ({"strings.1.note": "D5"}, "strings.1.gauge"),
        ({"bridge.face": "20"}, "bridge.face"),
        ({"bridge.spacing": "100"}, "bridge.spacing"),
        ({"frets": "12"}, "strings.5.starts_at_fret"),
        ({"strings": "0"}, "strings"),
        ({"rim.fret_12_to_near_edge": "150", "rim.fret_12_to_far_edge": "400"}, "rim.fret_12_to_far_edge"),
        ({"top.arch_rise": "5"}, "top.arch_span"),
        ({"tolerance.slip_from": "0.6", "tolerance.slip_to": "0.5"}, "tolerance.slip_to"),
        ({"compensation.frets": "30"}, "compensation.frets"),
        ({"board.dots": "5, 40"}, "board.dots"),
    ],
    ids=lambda given: "-".join(given) if isinstance(given, dict) else given,
)
def test_fields_that_do_not_agree_are_shown_at_the_one_to_change(tmp_path, application, fields, at):
    faults = application.faults(FULL, fields)
    assert at in {fault["field"] for fault in faults}, faults
    content = application.post("/file", state(FULL, fields)).body
    assert shown(faults) == refused(tmp_path, content)


def test_bookmark_of_an_instrument_that_is_no_longer_a_preset_speaks_as_the_page(application):
    (fault,) = application.post("/draw", state("lute")).data["faults"]
    assert fault["code"] == "preset-unknown"
    assert fault["where"] == ""


def test_all_faults_are_shown_at_once(application):
    wrong = {"scale": "26, 25 in", "action.nut": "x", "strings.2.gauge": "thick", "strings.4.note": "H9"}
    faults = application.faults(FULL, wrong, {"kerf": "wide", "paper": "blotting", "template": "gauge"})
    assert {fault["field"] for fault in faults} >= {*wrong, "draw.kerf", "draw.paper"}


@pytest.mark.parametrize(
    ("draw", "at"),
    [
        ({"paper": "blotting"}, "draw.paper"),
        ({"paper": "130x200", "template": "fretboard"}, "draw.paper"),
        ({"template": "spoon"}, "draw.template"),
        ({"template": "head"}, "rim.fret_12_to_near_edge"),
        ({"template": "top"}, "draw.template"),
        ({"printer": "kitchen"}, "draw.printer"),
        ({"datum-fret": "last"}, "draw.datum-fret"),
        ({"datum-fret": "99"}, "draw.datum-fret"),
        ({"template": "head", "rim": "left"}, "draw.rim"),
        *(
            ({"template": "gauge", key: text}, f"draw.{key}")
            for key in ("kerf", "clearance", "corner", "web", "stock")
            for text in ("wide", "1000")
        ),
    ],
    ids=str,
)
def test_wrong_option_is_shown_at_its_field(application, draw, at):
    faults = application.faults("tenor-banjo" if at == "draw.template" else "banjo", {}, draw)
    assert any(fault["field"].startswith(at) for fault in faults), faults


@pytest.mark.parametrize(
    ("readings", "at"),
    [
        ({"treble-harmonic": "sharp", "treble-fretted": "1"}, "treble-harmonic"),
        ({"treble-harmonic": "1", "treble-fretted": "sharp"}, "treble-fretted"),
        ({"bass-harmonic": "1", "bass-fretted": "900"}, "bass-fretted"),
        ({"bass-harmonic": "1"}, "bass-fretted"),
        ({"bass-fretted": "1"}, "bass-harmonic"),
        ({"treble-harmonic": "1", "treble-fretted": "1", "at": "here"}, "at"),
        ({"treble-harmonic": "1", "treble-fretted": "1", "tuner-error": "-1"}, "tuner-error"),
        ({"treble-harmonic": "1", "treble-fretted": "1", "touch-error": "heavy"}, "touch-error"),
        ({"treble-harmonic": "1 / 2 / 1", "treble-fretted": "1 / 2"}, "treble-fretted"),
        ({"bass-harmonic": "1 / 2", "bass-fretted": "1 / 2 / 2"}, "bass-fretted"),
        ({"bass-harmonic": "1 / 2", "bass-fretted": "1"}, "bass-fretted"),
        ({"bass-harmonic": "1 / x / 2", "bass-fretted": "1 / 2 / 3"}, "bass-harmonic"),
        ({"bass-harmonic": "1 / 1 / 2", "bass-fretted": "1 / 2 / x"}, "bass-fretted"),
        ({"bass-harmonic": "1 // 2", "bass-fretted": "1 / 2 / 3"}, "bass-harmonic"),
        ({"treble-harmonic": "1 / 2 / 1"}, "treble-fretted"),
        ({"treble-fretted": "1 / 2 / 1"}, "treble-harmonic"),
        ({"treble-harmonic": "/", "treble-fretted": "/"}, "treble-harmonic"),
        ({"treble-harmonic": "1" + " / 1" * 1200, "treble-fretted": "1" + " / 1" * 1200}, "treble-fretted"),
        ({}, "treble-harmonic"),
    ],
    ids=lambda given: str(given)[:60],
)
def test_wrong_reading_is_shown_at_its_field(application, readings, at):
    reply = application.post("/readings", state("banjo", readings=readings))
    assert reply.status == 200
    assert f"readings.{at}" in {fault["field"] for fault in reply.data["faults"]}
    assert not reply.data.get("lines")


def test_fields_with_a_different_number_of_readings_say_how_many_each_has(application):
    read = {"bass-harmonic": "1 / 2", "bass-fretted": "1 / 2 / 2"}
    (fault,) = application.post("/readings", state("banjo", readings=read)).data["faults"]
    assert fault["code"] == "readings-counts-differ"
    assert (fault["what"], fault["where"]) == (
        "there are 2 harmonics and 3 fretted notes",
        "Bass end, pressed at fret 12",
    )
    assert "one harmonic for all fretted notes" in fault["remedy"]


def test_open_string_read_instead_of_the_harmonic_is_shown_at_the_harmonic_as_the_page_can_take_it(application):
    """The page has no field for an open string, so it cannot be given as such there."""
    read = {"bass-harmonic": "146.8 Hz", "bass-fretted": "293.5 Hz"}
    (fault,) = application.post("/readings", state("banjo", readings=read)).data["faults"]
    assert fault["field"] == "readings.bass-harmonic"
    assert fault["remedy"] == "read the harmonic, not the open string"
    assert fault["what"].startswith('the harmonic, "146.8 Hz", and the note at fret 12, "293.5 Hz", are ')


def test_slash_before_the_next_reading_is_typed_changes_nothing(application):
    """Else the page would show a fault between two readings of every string."""
    typed, whole = (
        application.post("/readings", state("banjo", readings={"bass-harmonic": "1 / 2", "bass-fretted": text})).data
        for text in ("1 / 2 / ", "1 / 2")
    )
    assert whole["faults"] == []
    assert typed == whole


def test_faults_name_the_octave_s_own_fret(application):
    for read, expected in (
        ({"bass-harmonic": "1", "bass-fretted": "sharp"}, "Bass end, pressed at fret 7"),
        ({}, "the note at fret 7"),
        ({"bass-fretted": "1"}, "the harmonic over fret 7"),
    ):
        (fault,) = application.post("/readings", state("mountain-dulcimer", readings=read)).data["faults"]
        assert expected in f"{fault['where']}: {fault['remedy']}"
        assert "12" not in str(fault)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "name = ",
        "name = 'x'\nname = 'y'",
        "[[strings]]",
        "a = " + "[" * 3000,
        "\ufeff",
        "fretts = 3",
        "strings = 3",
    ],
    ids=["empty", "half", "twice", "bare", "nested", "mark", "unknown", "no-list"],
)
def test_own_file_that_cannot_be_read_is_refused_as_on_the_command_line(tmp_path, application, text):
    faults = application.faults(base=own_file(text))
    assert shown(faults) == refused(tmp_path, text.encode())


def test_file_with_faults_can_be_downloaded_and_fixed_elsewhere(application):
    reply = application.post("/file", state(FULL, {"scale": "26, 25 in", "strings.1.note": ""}))
    assert reply.status == 200
    assert b'"26, 25 in"' in reply.body


def test_faults_of_a_pdf_are_those_of_its_picture(application):
    sent = state(FULL, {"scale": "much"})
    pdf = application.post("/pdf", sent)
    assert pdf.status == 422
    assert pdf.data["faults"] == application.post("/draw", sent).data["faults"]


def test_every_field_of_the_form_is_a_key_of_the_instrument_file():
    from jigs.instrument.body import Rim
    from jigs.instrument.keys import Head, StringEntry
    from jigs.instrument.tables import TABLES

    known = {*Head.model_fields, *(f"strings.4.{key}" for key in StringEntry.model_fields)}
    known |= {f"{name}.{key}" for name, model in TABLES.items() for key in model.model_fields}
    assert set(fields_of_the_form()) - {"strings"} == known
    assert "rim.head" in known
    assert Rim is TABLES["rim"]


def test_wrong_values_are_wrong_in_the_file_of_the_preset_too(tmp_path):
    """Otherwise these tests could not fail: the preset itself has none."""
    (tmp_path / "mine.toml").write_text(preset_text(FULL))
    assert run("draw", tmp_path / "mine.toml", "--format", "svg", "--out", tmp_path)[0] == 0


# ---- no sentence of the page speaks of files, options and commands

OF_THE_FILE = re.compile("toml-.*|table-expected|key-misplaced|key-unknown|strings-not-tables|truth-expected")
"""Codes of what only the opened file can have: no field holds it, so it has to be mended there."""

QUOTED = re.compile(r'"[^"]*"|`[^`]*`|“[^”]*”')
NOT_ON_THE_PAGE = re.compile(r"--[a-z]|[\[\]=`]|\btoml\b|\bjigs\b|\w_\w", re.IGNORECASE)


def assert_nothing_foreign(reply):
    """Outside quotes of the user's own text."""
    for fault in reply["faults"]:
        if not OF_THE_FILE.fullmatch(fault["code"]):
            for text in (fault["what"], fault["remedy"], fault["where"] if fault["field"] else ""):
                assert not NOT_ON_THE_PAGE.search(QUOTED.sub("", text)), fault
    for note in reply.get("notes", []):
        for text in (note["text"], note["where"], note["says"]):
            assert not NOT_ON_THE_PAGE.search(QUOTED.sub("", text)), note


@pytest.mark.slow
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.one_of(instruments(), nearly()),
    st.sampled_from(NAMES),
    st.sampled_from(("a4", "letter", "130x200", "blotting", "8x11")),
    st.dictionaries(st.sampled_from(("kerf", "datum-fret", "web", "stock", "sure")), st.sampled_from(("1", "99", "x"))),
)
def test_no_fault_and_no_note_speaks_of_keys_options_or_commands(application, data, template, paper, options):
    """Whatever is wrong with an instrument or an order. A player who never saw the file could not follow."""
    text = as_file(data).decode(errors="replace")
    draw = {"template": template, "paper": paper, **options}
    assert_nothing_foreign(application.post("/draw", state(draw=draw, base=own_file(text))).data)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.dictionaries(st.sampled_from(fields_of_the_form()), st.sampled_from(TYPED), max_size=6))
def test_no_fault_of_what_was_typed_speaks_of_keys_options_or_commands(application, fields):
    assert_nothing_foreign(application.post("/draw", state(FULL, fields)).data)


@pytest.mark.slow
@pytest.mark.parametrize("key", fields_of_the_form())
def test_no_field_answers_in_words_of_the_file(application, key):
    for text in TYPED:
        assert_nothing_foreign(application.post("/draw", state(FULL, {key: text})).data)


def test_a_remedy_gives_values_as_they_are_typed_without_a_file_s_quotes(application):
    for fields, remedy in (
        ({"strings.4.nut_height": "1/8"}, "for inches write 1/8 in"),
        ({"strings.4.gauge": "W24"}, "write 24w"),
        ({"strings.1.note": "H9"}, "write letter and octave, for instance D4 or F#3"),
        ({"strings.1.modulus": "lots"}, "write GPa, MPa, ksi, Mpsi: 203 GPa"),
        ({"scale": "1,234"}, "write 1234"),
    ):
        (fault,) = application.faults(FULL, fields)
        assert fault["remedy"].startswith(remedy), fault


def test_an_example_for_a_length_is_one_of_that_field(application):
    """“For instance 333.4 mm” helps nobody who measured an action of 3 mm."""
    for key in fields_of_the_form():
        if kind_of(key) == "length":
            for fault in application.faults(FULL, {key: "\a"}):
                assert fault["field"] != key or "333.4" not in fault["remedy"] or key == "nut_to_fret_12", fault


def test_what_only_the_opened_file_can_have_is_placed_in_it(application):
    text = preset_text(FULL).replace("[rim]", "").replace("# [rim]", "") + "\n[rim]\ncolour = 3\n"
    assert [fault["where"] for fault in application.faults(base=own_file(text))] == ["Your file, “Banjo head”, colour"]
    assert [fault["where"] for fault in application.faults(base=own_file("name = "))] == ["Your file, line 1"]


ELSEWHERE = {
    "not_installed", "no_table", "too_deep", "broken_line", "table_twice", "key_twice", "no_date", "curly_quotes",
    "decimal_comma", "_broken", "table_not_its_own", "key_unknown", "belongs_under", "belongs_at_the_top", "no_tables",
    "launcher_elsewhere", "no_file_of_its_own", "perhaps_the_scale", "perhaps_the_half", "name_taken", "no_toml",
}  # fmt: skip
"""Sentences that only the command line shows, and those on a file that has to be mended as a file."""

PARTS = {"Key", "Option", "Command", "plain_value", "typed"}
ROOMS = ("input", "instrument", "workup", "survey", "printers", "templates", "readings", "press", "sheets", "page")
FOR_A_FILE = re.compile(rf'{NOT_ON_THE_PAGE.pattern}|write "|in the file', re.IGNORECASE)


def test_no_sentence_holds_what_only_a_file_or_the_command_line_has():
    """Keys, options, commands and values are parts of a sentence, which the page shows as its own labels."""
    found = []
    for path in JIGS:
        if path.stem.endswith("words") and path.relative_to(ROOT).parts[1] in ROOMS:
            for function in (node for node in tree(path).body if isinstance(node, ast.FunctionDef)):
                if "Says" in ast.unparse(function.returns or function):
                    found += [(function.name, text) for text in literals(function) if FOR_A_FILE.search(text)]
    assert {name for name, _ in found} >= {"no_table", "belongs_under"}, "they are no longer found"
    assert [(name, text) for name, text in found if name not in ELSEWHERE] == []


def literals(function):
    """Its texts that are shown as they are: no docstring, no key, option, command or value."""
    parts = [n for n in ast.walk(function) if isinstance(n, ast.Call) and ast.unparse(n.func) in PARTS]
    spared = {id(part) for call in parts for part in ast.walk(call)} | {id(part) for part in ast.walk(function.body[0])}
    for node in ast.walk(function):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in spared:
            yield node.value
