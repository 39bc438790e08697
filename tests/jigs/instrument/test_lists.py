"""Lists of an instrument file, as they are written."""

import pytest
from in_time import no_longer_than

from jigs.instrument.lists import with_minus_noughts


@pytest.mark.parametrize("before", ["", "[bridge]", "[bridge]\n[nut]"])
def test_empty_lines_do_not_make_the_user_wait(before):
    """A file with a -0 and 60,000 empty lines took minutes."""
    with no_longer_than(1.0):
        assert with_minus_noughts({"bridge": {"steps": [1]}}, f"{before}\n-0" + "\n" * 60_000) == {
            "bridge": {"steps": [1]}
        }


def test_minus_of_a_nought_is_found_behind_spaces_and_other_keys():
    text = "  [bridge] # mine\nlength = 60\n\n  steps\t= [1, 2,\n -0, 6]\n"
    assert with_minus_noughts({"bridge": {"steps": [1, 2, 0, 6]}}, text) == {"bridge": {"steps": [1, 2, -0.0, 6]}}
