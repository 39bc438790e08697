"""Keeping a place must not cost a comment, a line end or any other byte of a file that somebody wrote by hand."""

import datetime

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import PRESETS

from jigs.faults import InputFaults
from jigs.instrument.found_file import with_found
from jigs.instrument.opening import preset_text

TABLE = {"treble": 669.7, "bass": 670.0, "plus_minus": 0.6, "date": datetime.date(2026, 11, 25), "strings": "D4 .010"}
OTHER = {"fret": 12, "feet_treble": 328.1, "feet_bass": 328.6, "plus_minus": 0.8}


@pytest.mark.parametrize("name", PRESETS)
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_a_file_without_a_place_gets_one_at_its_end_and_keeps_every_byte(name, line_end):
    before = preset_text(name).replace("\n", line_end)
    after = with_found(before, TABLE, "mine.toml")
    assert after.startswith(before)
    assert tomli.loads(after)["found"] == TABLE
    assert after.count("\n") == after.count(line_end)


AROUND = ["# a note", "", "[tail]\nslip = 0.5", "# [found]", "   # mine", "[[strings]]\nnote = 'D4'"]


@settings(deadline=None, derandomize=True)
@given(st.lists(st.sampled_from(AROUND), unique=True), st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_only_the_table_changes_wherever_it_is(around, line_end, comment):
    head, *tail = [f"name = 'x'{line_end}", *(f"{part}\n".replace("\n", line_end) for part in around)]
    middle = len(tail) // 2
    before, behind = head + "".join(tail[:middle]), "".join(tail[middle:])
    table = f"[found]\ntreble = 660.0{'  # by ear' if comment else ''}\nbass = 661.0\n".replace("\n", line_end)
    new = with_found(before + table + behind, TABLE, "mine.toml")
    assert new.startswith(before)
    assert new.endswith(behind)
    assert tomli.loads(new)["found"] == TABLE
    assert ("# by ear" in new) == comment


def test_a_place_that_is_kept_again_replaces_all_of_the_last_one():
    once = with_found("name = 'x'\n", TABLE, "mine.toml")
    assert tomli.loads(with_found(once, OTHER, "mine.toml"))["found"] == OTHER
    assert with_found(with_found(once, OTHER, "mine.toml"), TABLE, "mine.toml") == once


def test_a_file_whose_last_line_has_no_end_keeps_that_line():
    assert with_found("name = 'x'", TABLE, "mine.toml").startswith("name = 'x'\n\n[found]\ntreble = 669.7\n")


@pytest.mark.parametrize(
    "text",
    ["found.treble = 660.0\nfound.bass = 661.0\n", "found = {treble = 660.0, bass = 661.0}\n", "[found.more]\nx = 1\n"],
)
def test_a_place_in_another_form_is_refused_and_not_written_twice(text):
    with pytest.raises(InputFaults) as wrong:
        with_found(text, TABLE, "mine.toml")
    assert [fault.code for fault in wrong.value.faults] == ["found-not-a-table"]


def test_a_header_within_a_text_is_not_taken_for_the_table():
    text = 'name = """\n[found]\n"""\n'
    try:
        new = with_found(text, TABLE, "mine.toml")
    except InputFaults:
        return
    assert tomli.loads(new) == {"name": "[found]\n", "found": TABLE}


def test_the_table_is_found_behind_a_text_that_looks_like_it():
    text = 'name = """\n[found]\n"""\n\n[found]\ntreble = 660.0\nbass = 661.0\n'
    new = with_found(text, TABLE, "mine.toml")
    assert tomli.loads(new) == {"name": "[found]\n", "found": TABLE}
