"""A key set beside the file counts as if it were written in it, whatever key it is."""

import copy
import tomllib
from dataclasses import fields
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import PRESETS

from jigs.faults import InputFaults
from jigs.instrument.file import from_data
from jigs.instrument.filled import as_fields
from jigs.instrument.opening import preset_text
from jigs.instrument.reference import MODELS, ORDER, keys_of
from jigs.instrument.set_keys import EITHER, known_paths, read_set_keys
from jigs.press.order import Order
from jigs.press.press import prepare
from jigs.sheets.paper import PAPERS
from jigs.workup.tables import as_json
from jigs.workup.work_up import work_up

ALL = [one for table in ORDER for one in keys_of(table)]
DATA = {name: tomllib.loads(preset_text(name)) for name in PRESETS}
BANJO = DATA["banjo"]
OF_TWELVE_FRETS = {"frets": "12", "strings.5.starts_at_fret": "0", "strings.5.note": '"C4"'}
BESIDE = {
    "frets_measured": OF_TWELVE_FRETS,
    "wanted_cents": OF_TWELVE_FRETS,
    "strings.gauge": {"strings.4.core": '"0.012 in"'},
    "strings.turns": {"strings.4.turns": "60"},
    "bridge.feet": {"bridge.foot": "12.0"},
    "bridge.steps": {"bridge.steps": "[-1.2, 1.2, -0.6, 1.0, 0]"},
    "nut.steps": {"nut.steps": "[0.0, 0.3, 0.0, 0.3, 0]"},
    "top.arch_rise": {"top.arch_span": "280.0", "board.over_top": "8.0"},
    "top.arch_span": {"top.arch_rise": "12.0", "board.over_top": "8.0"},
    "strings.material": {"strings.4.gauge": "0.6", "strings.4.wound": "false"},
}
CROWN, FEET = (
    {"found.treble": "669.7", "found.bass": "670.0"},
    {"found.feet_treble": "331.7", "found.feet_bass": "332.7"},
)
BESIDE |= {f"found.{key}": CROWN for key in ("treble", "bass", "date", "strings", "a4", "same_make", "plus_minus")}
BESIDE |= {f"found.{key}": FEET | {"found.fret": "12"} for key in ("fret", "feet_treble", "feet_bass")}
TICKS = {"found.ticks_treble": "-3", "found.ticks_bass": "5"}
BESIDE |= dict.fromkeys(TICKS, TICKS)
"""What a banjo needs beside a key to have it, or another value of it that a banjo can have."""

ON_STRING = {"note": 1, "starts_at_fret": 5}
"""The string that can have a key's example; string 4 has the others."""

TWO_WAYS = (
    ({"scale", "nut_to_fret_12"}, ()),
    ({"fret_rule", "frets_measured"}, ()),
    ({"core", "turns"}, ("strings",)),
    ({"spacing", "edge"}, ("nut",)),
    ({"end_width", "fret_12_width"}, ("board",)),
    ({"fret_12_to_near_edge", "fret_12_to_far_edge"}, ("rim",)),
)


def table_in(data, path):
    """The table of a key in a file's data, and the key."""
    *table, key = path.split(".")
    if len(table) == 2:
        return data["strings"][int(table[1]) - 1], key
    return (data.setdefault(table[0], {}) if table else data), key


def edited(data, values):
    """The data with values written in as a player would: what says the same in another way is removed."""
    data = copy.deepcopy(data)
    for path, text in values.items():
        own, key = table_in(data, path)
        own[key] = tomllib.loads(f"x = {text}")["x"]
        for pair, tables in TWO_WAYS:
            if key in pair and tuple(path.split(".")[:1]) == (tables or (key,)):
                own.pop(*(pair - {key}), None)
        if (key, text) == ("wound", "false"):
            for other in ("core", "turns", "wrap"):
                own.pop(other, None)
        if (key, text) == ("zero_fret", "true"):
            data["action"].pop("nut")
    return data


def typed(path, text):
    """A key and a value of the file, as a shell hands them on."""
    return f"{path}={text.strip(chr(34)).strip('[]')}"


def known(instrument):
    """All that is known of an instrument, except arrays, which follow from it."""
    return {field.name: getattr(instrument, field.name) for field in fields(instrument) if field.name != "stringing"}


def set_on(data, *texts):
    keys = read_set_keys(texts)
    with keys.blamed():
        return from_data(keys.on(data, "x"), "x")


def refused(data, *texts):
    with pytest.raises(InputFaults) as wrong:
        set_on(data, *texts)
    return [str(fault) for fault in wrong.value.faults]


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.path)
def test_a_set_key_counts_as_if_it_were_written_in_the_file(one):
    path = one.path.replace("strings.", f"strings.{ON_STRING.get(one.key, 4)}.")
    values = {path: one.example} | BESIDE.get(one.path, {})
    by_hand = from_data(edited(BANJO, values), "x")
    by_option = set_on(BANJO, *(typed(*each) for each in values.items()))
    assert known(by_option) == known(by_hand)
    assert as_json(work_up(by_option)) == as_json(work_up(by_hand))


def test_the_file_s_own_text_can_be_set_as_it_is():
    as_file = set_on(BANJO, 'scale="25 1/2 in"', "board.dots=[5, 7]", " action.fret_12 = 2.8 ", "hand=left")
    as_typed = set_on(BANJO, "scale=25 1/2 in", "board.dots=5,7", "action.fret_12=2.8", 'hand="left"')
    assert known(as_file) == known(as_typed)
    assert (as_file.head.scale, as_file.board.dots, as_file.action.fret_12) == (647.7, [5, 7], 2.8)


def test_nothing_of_a_file_is_changed_by_setting_keys_on_it():
    before = copy.deepcopy(BANJO)
    set_on(BANJO, "strings.4.gauge=0.5", "action.fret_12=2.8", "nut_to_fret_12=333")
    assert before == BANJO


# what a file says already


@pytest.mark.parametrize("name", PRESETS)
def test_keys_set_to_their_own_values_change_no_byte(name):
    data = DATA[name]
    own = set_on(data, *(f"{path}={text}" for path, text in as_fields(data).items()))
    plain = from_data(data, "x")
    assert known(own) == known(plain)
    drawn = [prepare(work_up(one), Order(("fork", "fretboard"), PAPERS["a3"]), "x").files for one in (own, plain)]
    assert drawn[0] == drawn[1]


@settings(max_examples=60, deadline=None)
@given(st.data(), st.sampled_from(PRESETS))
def test_any_of_a_file_s_keys_can_be_set_to_what_it_is(data, name):
    values = as_fields(DATA[name])
    chosen = data.draw(st.lists(st.sampled_from(sorted(values)), unique=True))
    assert known(set_on(DATA[name], *(f"{key}={values[key]}" for key in chosen))) == known(from_data(DATA[name], "x"))


def test_a_rule_that_is_in_the_file_beside_measured_frets_may_be_set_to_itself():
    frets = [36.0 * n for n in range(1, 13)]
    data = edited(BANJO, OF_TWELVE_FRETS) | {"fret_rule": "equal", "frets_measured": frets}
    data["compensation"] = {"tune_to": "all frets"}
    assert set_on(data, "fret_rule=equal").head.frets_measured == tuple(frets)
    assert set_on(data, "fret_rule=eighteen").head.frets_measured is None


# what says the same in another way


@pytest.mark.parametrize("table", MODELS)
def test_keys_that_a_file_cannot_have_together_replace_each_other(table):
    string = {"strings": "strings.4."}.get(table, f"{table}." if table else "")
    examples = {one.key: one.example for one in keys_of(table)}
    examples |= {"turns": "60", "fret_rule": '"eighteen"'}
    data, found = edited(BANJO, OF_TWELVE_FRETS), set()
    for one, other in combinations(examples, 2):
        values = [typed(f"{string}{key}", examples[key]) for key in (one, other)]
        try:
            set_on(data, *values)
        except InputFaults as wrong:
            if "both-given" in {fault.code for fault in wrong.faults}:
                found.add((table, one, other))
    assert found == {pair for pair in EITHER if pair[0] == table}


@pytest.mark.parametrize("pair", EITHER, ids=lambda pair: pair[1])
def test_the_key_that_is_set_counts_and_two_that_are_set_are_one_too_many(pair):
    table, *keys = pair
    path = {"": "", "strings": "strings.4."}.get(table, f"{table}.")
    values = {key: next(one.example for one in keys_of(table) if one.key == key) for key in keys} | {"turns": "60"}
    beside = [typed(*each) for each in OF_TWELVE_FRETS.items()] if "frets_measured" in keys else []
    first, second = (typed(f"{path}{key}", values[key]) for key in keys)
    for here, there, key in ((first, second, keys[1]), (second, first, keys[0])):
        data = read_set_keys([here, *beside]).on(BANJO, "x")
        own = table_in(read_set_keys([there]).on(data, "x"), f"{path}{key}")[0]
        assert key in own
        assert not set(keys) - {key} & set(own)
        set_on(data, there)
    both = refused(BANJO, first, second, *beside)
    assert any(line.startswith("x: --set") and line.endswith(("keep one", "measured best")) for line in both), both


def test_a_string_that_is_said_to_be_plain_loses_its_core_and_wrap():
    wound = {"strings.4.gauge": '"0.022 in"', "strings.4.core": '"0.011 in"', "strings.4.wrap": '"nickel"'}
    data = edited(BANJO, wound)
    plain = set_on(data, "strings.4.wound=false", "strings.4.gauge=.4").strings[3]
    assert (plain.is_wound, plain.core, plain.wrap) == (False, None, None)
    again = set_on(edited(data, {"strings.4.wound": "false"}), "strings.4.core=0.011 in").strings[3]
    assert (again.is_wound, again.core) == (True, pytest.approx(0.2794))
    (line,) = refused(data, "strings.4.wound=false", "strings.4.core=0.011 in")
    assert line.startswith("x: --set strings.4.core: this and wound disagree")


def test_a_zero_fret_needs_no_height_at_the_nut():
    assert set_on(BANJO, "nut.zero_fret=true").action.nut == 0.0
    (line,) = refused(BANJO, "nut.zero_fret=true", "action.nut=0.5")
    assert line.startswith("x: --set action.nut: a zero fret bears the strings")


# faults


def test_a_value_that_does_not_agree_with_the_file_is_a_fault_of_the_option():
    assert refused(BANJO, "action.fret_12=0.3") == [
        "x: --set action.fret_12: 0.3 mm is lower than the nut allows: nut height and relief already make 0.50 mm;"
        " measure all three again, from the fret tops"
    ]
    (line,) = refused(BANJO, "strings.1.note=D5")
    assert line.startswith("x: string 1, gauge: a 0.010 in string would break at D5")


def test_a_set_value_corrects_a_fault_of_the_file():
    data = edited(BANJO, {"action.fret_12": "300"})
    assert set_on(data, "action.fret_12=3").action.fret_12 == 3


@pytest.mark.parametrize("text", ["strings.6.note=D3", "strings.25.note=D3"])
def test_string_that_the_file_does_not_have_is_a_fault(text):
    (line,) = refused(BANJO, text)
    assert line == f"x: --set {text.partition('=')[0]}: the instrument has 5 strings; count from 1, the treble side"


def test_file_s_own_faults_are_listed_when_nothing_can_be_set_in_it():
    for data in ({"name": "x", "scale": 650, "action": 3}, {"name": "x", "scale": 650, "strings": [3]}, {"strings": 3}):
        lines = refused(data, "action.nut=0.4", "strings.1.gauge=0.3")
        assert not any("--set" in line for line in lines), lines


anything = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
paths = st.sampled_from(known_paths("4")) | anything
values = (
    st.sampled_from(["3", "2.8", "26 1/4 in", "true", "1, 2", "-1.2, 1.2, -0.6, 1, 0", "D4", "=", "[[]]"]) | anything
)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(paths, values), max_size=3))
def test_whatever_is_typed_is_set_or_refused_in_a_sentence(typed_in):
    try:
        set_on(BANJO, *("=".join(one) for one in typed_in))
    except InputFaults as wrong:
        for fault in wrong.faults:
            assert str(fault.place)
            assert "; " in str(fault)


def test_every_key_can_be_set_by_the_path_that_completion_offers():
    assert sorted(known_paths("4")) == sorted(one.path.replace("strings.", "strings.4.") for one in ALL)
