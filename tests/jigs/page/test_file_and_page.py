"""A file that is opened on the page comes back as the same instrument: whatever it says, however it is written."""

from hypothesis import given
from round_trips import (
    TYPED,
    assert_form_carries_the_instrument,
    assert_one_field_changes_one_key,
    assert_untouched_is_the_same,
    people_s_files,
    tried,
)


@tried(3)
@given(people_s_files())
def test_file_that_was_opened_and_not_touched_is_saved_byte_for_byte(application, text):
    assert_untouched_is_the_same(application, text)


@tried(2)
@given(people_s_files(), people_s_files())
def test_form_holds_all_that_a_file_says_of_its_instrument(application, text, other):
    """Else a measurement would be lost on the way through the form."""
    assert_form_carries_the_instrument(application, text, other)


@tried(3)
@given(people_s_files(), TYPED)
def test_field_that_is_typed_costs_no_other_line_of_the_file(application, text, typed):
    """Else a builder would lose comments, or line ends, for one measurement."""
    assert_one_field_changes_one_key(application, text, *typed)
