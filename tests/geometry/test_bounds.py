"""Constants of the model are those that its figures were measured with: most of them no single test would miss."""

from own_bounds import BOUNDS, all_of_them

from geometry.readings import ReadingErrors


def test_constants_are_as_they_were_when_they_were_last_measured():
    """``tests/own_bounds.py`` says what to do after a change."""
    assert all_of_them() == BOUNDS.read_text(encoding="utf-8")


def test_readings_without_any_error_are_as_sure_fretted_as_not():
    assert ReadingErrors(0.0, 0.0).fretted_share == 0.5
