"""What is filled in on the page, in the instrument file that the user gets."""

import re
import tomllib

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jigs.faults import InputFaults
from jigs.instrument.filled import as_fields, string_count
from jigs.instrument.opening import preset_names, preset_text
from jigs.page.form.fields import GROUPS, STRING_FIELDS
from jigs.page.form.filled import filled_in


def fill(text, **fields):
    named = {key.replace("__", "."): value for key, value in fields.items()}
    return filled_in(text, tomllib.loads(text), named, "mine.toml")


@pytest.mark.parametrize("name", preset_names())
def test_an_untouched_form_gives_the_preset_as_it_is(name):
    text = preset_text(name)
    assert filled_in(text, tomllib.loads(text), {}, name) == text


@pytest.mark.parametrize("name", preset_names())
def test_a_form_filled_in_with_what_the_file_says_changes_no_value(name):
    text = preset_text(name)
    data = tomllib.loads(text)
    assert tomllib.loads(filled_in(text, data, as_fields(data), name)) == data


def test_the_comments_that_explain_the_file_are_still_there():
    text = preset_text("banjo")
    got = fill(text, action__fret_12="2.8", rim__head="11 in", strings="6")
    comments = [line.partition("#")[2] for line in text.splitlines() if line.startswith("#")]
    assert all(comment in got for comment in comments)
    assert "# string heights over the fret tops" in got


def test_the_file_holds_what_was_typed_as_it_was_typed():
    got = tomllib.loads(fill(preset_text("banjo"), scale='26 1/2"', action__nut="0.4", frets="24", hand="left"))
    assert (got["scale"], got["action"]["nut"], got["frets"], got["hand"]) == ('26 1/2"', 0.4, 24, "left")
    gauges = tomllib.loads(fill(preset_text("banjo"), strings__1__gauge=".010", strings__2__gauge="0.30"))["strings"][
        :2
    ]
    assert [one["gauge"] for one in gauges] == [".010", "0.30"]


def test_an_emptied_field_leaves_its_measurement_to_the_kind():
    got = tomllib.loads(fill(preset_text("banjo"), action__relief="", board__end=" "))
    assert "relief" not in got["action"]
    assert "end" not in got["board"]


def test_a_string_that_is_added_or_removed_is_so_in_the_file():
    text = preset_text("banjo")
    more = tomllib.loads(fill(text, strings="6", strings__6__note="C3", strings__6__gauge="0.030 in"))
    assert more["strings"][5] == {"note": "C3", "gauge": "0.030 in"}
    fewer = tomllib.loads(fill(text, strings="4"))
    assert fewer["strings"] == tomllib.loads(text)["strings"][:4]
    assert "strings" not in tomllib.loads(fill(text, strings="0"))


def test_strings_written_on_one_line_can_be_changed_too():
    text = 'name = "One"\nscale = 650\nstrings = [{note = "D4", gauge = 0.25}, {note = "A3", gauge = 0.3}]\n'
    got = tomllib.loads(fill(text, strings="3", strings__2__gauge="0.32", strings__3__note="E3"))
    assert got["strings"] == [{"note": "D4", "gauge": 0.25}, {"note": "A3", "gauge": 0.32}, {"note": "E3"}]


def test_lists_and_ticks_are_lists_and_ticks_in_the_file():
    typed = {"board__dots": "5, 7, 10", "strings__1__pair": "false", "fret_rule": "eighteen"}
    got = tomllib.loads(fill(preset_text("mandolin"), **typed))
    assert (got["board"]["dots"], got["strings"][0]["pair"], got["fret_rule"]) == ([5, 7, 10], False, "eighteen")
    got = tomllib.loads(fill(preset_text("mandolin"), frets_measured="20, 38.6, 2 1/4 in"))
    assert got["frets_measured"] == [20, 38.6, "2 1/4 in"]
    got = tomllib.loads(fill(preset_text("mandolin"), bridge__steps="-1.2, 1.2, -0.6, 1", nut__steps='["1/64 in", 0]'))
    assert got["bridge"]["steps"] == [-1.2, 1.2, -0.6, 1]
    assert got["nut"]["steps"] == ["1/64 in", 0]
    got = tomllib.loads(fill(preset_text("mandolin"), bridge__steps="-1,2; 1,2; -0,6; 1", pitch__a4="442,5"))
    assert (got["bridge"]["steps"], got["pitch"]["a4"]) == ([-1.2, 1.2, -0.6, 1], 442.5)


def test_a_number_that_a_file_holds_is_one_again_when_the_form_gives_it_back():
    """A spreadsheet writes sixteen digits, or 5e-05: the form refused both as “not a number”."""
    held = {"tail": {"slip": 0.5162847282238551}, "tolerance": {"laying": 5e-05}}
    got = tomllib.loads(filled_in(preset_text("banjo"), tomllib.loads(preset_text("banjo")), as_fields(held), "x"))
    assert (got["tail"]["slip"], got["tolerance"]["laying"]) == (0.5162847282238551, 5e-05)


def test_a_board_without_dots_is_shown_as_that_and_stays_so():
    """The field was empty, which means the dots that are usual."""
    text = fill(preset_text("banjo"), board__dots="[]")
    assert tomllib.loads(text)["board"]["dots"] == []
    assert as_fields(tomllib.loads(text))["board.dots"] == "[]"
    assert "dots" not in tomllib.loads(fill(text, board__dots=""))["board"]


def test_a_table_that_is_not_a_table_is_left_for_the_file_s_own_checks():
    text = 'name = "One"\naction = 3\n'
    assert tomllib.loads(fill(text, action__nut="0.5", strings__1__note="D4")) == tomllib.loads(text)


@pytest.mark.parametrize("count", ["many", "-1", "25", "1e3", "9" * 4000])
def test_a_number_of_strings_that_cannot_be_is_refused(count):
    with pytest.raises(InputFaults, match="number of strings"):
        fill(preset_text("banjo"), strings=count)


def test_an_unknown_field_is_refused():
    with pytest.raises(InputFaults, match="there is no field"):
        fill(preset_text("banjo"), nonsense="1")


typed_often = st.sampled_from(["3", "2.8", "26 1/4 in", "", "1, 2"])
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20) | typed_often
of_strings = [f"strings.{n}.{field.key}" for n in (1, 5, 9) for field in STRING_FIELDS]
keys = st.sampled_from([field.key for group in GROUPS for field in group.fields] + of_strings)


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(st.sampled_from(preset_names()), st.dictionaries(keys, texts, max_size=6))
@example("banjo", {"name": "[[]]"})
@example("banjo", {"scale": "scale = scale = '\"3\"'"})
def test_whatever_is_typed_the_file_can_be_read_again_and_says_it(name, fields):
    text = preset_text(name)
    filled = filled_in(text, tomllib.loads(text), fields, name)
    got = tomllib.loads(filled)
    shown = as_fields(got)
    for key, raw in fields.items():
        typed = as_meant(key, raw)
        if not typed:
            assert key not in shown
        elif not key.startswith("strings.") or int(key.split(".")[1]) <= string_count(got):
            assert as_numbers(shown[key]) in (as_numbers(typed), as_numbers(re.sub(r"(\d*),(\d)", r"\1.\2", typed)))
    again = filled_in(filled, got, shown | {"strings": str(string_count(got))}, name)
    assert tomllib.loads(again) == got


def as_meant(key, text):
    """What was typed, without the quotes, the brackets or the key that a file has around it."""
    plain, name = text.strip(), key.rpartition(".")[2]
    if name != "name":
        plain = re.sub(rf"^{name}\s*=", "", plain).strip()
    for pair in ('""', "''", "“”", "[]"):
        quotes_more = pair != "[]" and pair[0] in plain[1:-1]
        if len(plain) > 1 and (plain[0], plain[-1]) == tuple(pair) and not quotes_more:
            plain = plain[1:-1].strip()
    return plain if plain == text else as_meant(key, plain)


def as_numbers(text):
    plain = r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)"
    parts = [as_meant("name", part) for part in text.split(";" if ";" in text else ",")]
    return [float(part) if re.fullmatch(plain, part) else part for part in parts]


@pytest.mark.parametrize(
    ("typed", "gone"),
    [
        ({"nut_to_fret_12": "333.4"}, "scale"),
        ({"nut__edge": "3"}, "spacing"),
        ({"nut__zero_fret": "true"}, "nut "),
    ],
    ids=["scale", "spacing", "zero-fret"],
)
def test_what_was_measured_in_another_way_replaces_the_presets(typed, gone):
    """A player who types nut to fret 12 has typed one of two, not both."""
    text = preset_text("banjo")
    kept = fill(text, **typed)
    lost = [line for line in text.splitlines() if line not in kept.splitlines()]
    assert len(lost) == 1
    assert lost[0].startswith(gone)


def test_two_ways_that_were_both_typed_are_both_kept_so_that_the_fault_is_shown():
    got = tomllib.loads(fill(preset_text("banjo"), scale="26 in", nut_to_fret_12="333.4"))
    assert (got["scale"], got["nut_to_fret_12"]) == ("26 in", 333.4)


def test_an_own_scale_replaces_nut_to_fret_12_of_a_file():
    text = preset_text("banjo").replace('scale = "26 1/4 in" ', "nut_to_fret_12 = 333.4 ")
    got = tomllib.loads(fill(text, scale="26 in"))
    assert got["scale"] == "26 in"
    assert "nut_to_fret_12" not in got


def test_turns_that_were_counted_replace_a_core_of_the_file():
    text = preset_text("banjo").replace('# core = "0.010 in"', 'core = "0.010 in" #')
    assert "core" not in tomllib.loads(fill(text, strings__4__turns="66"))["strings"][3]
