"""What `jigs keep` writes is what the file says from then on, in every way to give a place, whatever else the file holds."""

import pytest
from hypothesis import given
from kept_and_read import assert_kept_place_comes_back, files_and_places, preset_with_a_place
from round_trips import tried


@pytest.mark.parametrize("way", ["at", "feet_from_fret", "ticks"])
def test_place_that_was_kept_is_read_back_from_a_preset(tmp_path, way):
    """Else the next sheet would be drawn for another place than the ear found."""
    assert_kept_place_comes_back(tmp_path, preset_with_a_place(way))


@tried(2)
@given(files_and_places())
def test_place_that_was_kept_is_read_back_and_costs_no_other_byte(tmp_path_factory, case):
    """Else a builder would lose comments or line ends for it."""
    assert_kept_place_comes_back(tmp_path_factory.mktemp("kept"), case)
