"""Every round trip with many files, places and readings: what the fast tests of the rooms try with a few."""

import pytest
from hypothesis import given
from kept_and_read import assert_kept_place_comes_back, files_and_places
from logged_and_read import assert_log_goes_on_as_the_advice_did, benchwork
from round_trips import (
    TYPED,
    assert_form_carries_the_instrument,
    assert_one_field_changes_one_key,
    assert_untouched_is_the_same,
    people_s_files,
    tried,
)
from served import in_process

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def application():
    """The page in this process."""
    return in_process()


@tried(100)
@given(people_s_files())
def test_file_that_was_opened_and_not_touched_is_saved_byte_for_byte(application, text):
    assert_untouched_is_the_same(application, text)


@tried(60)
@given(people_s_files(), people_s_files())
def test_form_holds_all_that_a_file_says_of_its_instrument(application, text, other):
    assert_form_carries_the_instrument(application, text, other)


@tried(60)
@given(people_s_files(), TYPED)
def test_field_that_is_typed_costs_no_other_line_of_the_file(application, text, typed):
    assert_one_field_changes_one_key(application, text, *typed)


@tried(100)
@given(files_and_places())
def test_place_that_was_kept_is_read_back_and_costs_no_other_byte(tmp_path_factory, case):
    assert_kept_place_comes_back(tmp_path_factory.mktemp("kept"), case)


@tried(150)
@given(benchwork())
def test_round_after_a_log_is_the_round_after_the_advice(tmp_path_factory, case):
    assert_log_goes_on_as_the_advice_did(tmp_path_factory.mktemp("log"), case)
