from collections import Counter
from typing import get_args

import pytest
from served import in_process

from jigs.faults import Key, Option
from jigs.instrument import keys
from jigs.instrument.reference import kind_of
from jigs.instrument.tables import TABLES
from jigs.page.form.fields import BEGINS_WITH, DRAW_KEYS, GROUPS, STRING_FIELDS, Kind, Level, label_of
from jigs.templates.catalogue import LENGTHS

ALL = [*(field for group in GROUPS for field in group.fields), *STRING_FIELDS]


def keys_of_the_file():
    return [
        *keys.Head.model_fields,
        *(f"{t}.{key}" for t, model in TABLES.items() for key in model.model_fields),
    ]


def test_every_key_of_an_instrument_file_can_be_filled_in_once():
    fields = Counter(field.key for group in GROUPS for field in group.fields)
    assert fields == Counter(keys_of_the_file())


def test_every_key_of_a_string_can_be_filled_in_once():
    assert Counter(field.key for field in STRING_FIELDS) == Counter(list(keys.StringEntry.model_fields))


def test_what_matters_first_is_in_view():
    in_view = [field.key for group in GROUPS if not group.folded for field in group.fields]
    assert {"name", "kind", "hand", "scale", "nut_to_fret_12", "frets", "bridge.steps", "action.fret_12"} <= set(
        in_view
    )
    assert [field.key for field in STRING_FIELDS if not field.folded] == ["note", "gauge", "core", "wrap", "pair"]


def test_a_choice_that_is_cut_off_at_its_width_names_no_wrap_that_does_not_count():
    """A mandolin's plain string would seem to be wound with nickel-plated steel."""
    wrap = next(field for field in STRING_FIELDS if field.key == "wrap")
    assert wrap.blank == "default"
    assert wrap.hint.endswith("if empty: nickel-plated steel on a banjo, else phosphor bronze")


def test_what_hardly_matters_is_folded_away():
    assert all(group.folded for group in GROUPS if group.level is Level.HARDLY)
    assert not any(group.folded for group in GROUPS if group.level is Level.MUST)


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group.name)
def test_no_two_fields_of_a_group_are_called_the_same(group):
    assert len({field.label for field in group.fields}) == len(group.fields)


def test_a_choice_offers_words_and_nothing_else_does():
    for field in ALL:
        assert (field.kind == "choice") == bool(field.choices), field.key
        assert field.kind in get_args(Kind)


def test_every_word_that_a_choice_offers_is_one_that_the_file_takes():
    taken = {
        "wrap": set(get_args(keys.Wrap)),
        "material": set(get_args(keys.Material)),
        "kind": set(get_args(keys.Kind)),
        "hand": set(get_args(keys.Hand)),
    }
    for field in ALL:
        if field.key in taken:
            assert set(field.choices) == taken[field.key]


def test_every_length_that_the_command_line_takes_for_a_cutter_has_its_field():
    assert set(LENGTHS) <= set(DRAW_KEYS)


def test_a_fault_of_a_whole_table_finds_a_field_of_that_table():
    assert set(BEGINS_WITH) == set(TABLES)
    assert all(kind_of(key) is not None for key in BEGINS_WITH.values())


def test_no_two_keys_are_called_the_same_in_a_sentence():
    named = [keys_of_the_file(), [f"strings.{key}" for key in keys.StringEntry.model_fields]]
    labels = [label_of(Key(*path.rpartition(".")[::2])) for paths in named for path in paths]
    assert len(set(labels)) == len(labels)
    assert all(label[0] == "“" and label[1].isupper() for label in labels)


def test_a_value_in_a_sentence_is_as_people_fill_it_in():
    assert label_of(Key("strings", "core", '"0.011 in"')) == "“Core”: 0.011 in"
    assert label_of(Key("board", "dots", "[5, 7]")) == "“Dots”: 5, 7"
    assert label_of(Option("kerf", "0.2")) == "“Kerf”: 0.2"
    assert label_of(Option("paper")) == "“Paper”"


def test_every_choice_of_the_page_that_a_sentence_names_has_its_label_on_the_page():
    page = in_process().ask("GET", "/").body.decode()
    for option in ("template", "paper", "printer", "at", "tuner-error"):
        assert f">{label_of(Option(option)).strip('“”')}</label>" in page, option
