"""A name on a part: on the stock that is left, clear of what is there, the best name first."""

import pytest

from jigs.cutting.engraving import engraved
from jigs.cutting.labels import HEIGHTS_MM, is_named, named
from jigs.cutting.parts import Corner, closed_path, round_hole
from jigs.drawing.items import Drawing, Line, Path, Role, Text, bounds, drawing


def card(width, height, *on_it):
    corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    return drawing(closed_path([Corner(at) for at in corners], "card"), on_it)


def label(part):
    (found,) = (item for item in part if item.id == "name")
    return found


def is_engraved_as(path, text):
    """Whether a path has as many strokes of as many points as the text."""
    return [len(run) for run in path.runs] == [len(run) for run in engraved(Text((0, 0), text, 1.0)).runs]


def test_name_lies_on_the_part_and_off_its_window_and_its_marks():
    line = Line((5.0, 4.0), (35.0, 4.0), Role.TICK, "mark")
    hole = round_hole((20.0, 12.0), 4.0, "hole")
    box = bounds(label(named(card(40.0, 20.0, line, hole), ["Banjo 7"])))
    assert box.left > 0.5
    assert box.right < 39.5
    assert box.top > 0.5
    assert box.bottom < 19.5
    assert box.top > 4.5 or box.bottom < 3.5
    assert not box.overlaps(bounds(hole), 0.5)


def test_first_name_that_fits_is_taken_and_the_smaller_letters_before_none():
    long, short = "A name that no such card holds", "Banjo 7"
    wide = named(card(60.0, 8.0), [long, short])
    narrow = named(card(18.0, 8.0), [long, short])
    assert is_engraved_as(label(wide), long)
    assert is_engraved_as(label(narrow), short)
    small = named(card(9.0, 4.0), ["Banjo"])
    assert bounds(label(small)).height < 1.4 * HEIGHTS_MM[-1]


def test_name_runs_down_a_part_that_is_too_narrow_across():
    box = bounds(label(named(card(6.0, 30.0), ["Banjo 7"])))
    assert box.height > 2 * box.width
    assert 0.5 < box.left < box.right < 5.5


@pytest.mark.parametrize("size", [(3.0, 3.0), (1.0, 40.0)])
def test_part_without_room_stays_as_it_was(size):
    part = card(*size)
    assert named(part, ["Banjo 7"]) == part
    assert not is_named(part)


def test_part_that_says_its_name_is_known_also_among_several():
    name = Path((((1.0, 1.0), (2.0, 2.0)),), Role.ENGRAVED, "treble-name")
    assert is_named(card(9.0, 9.0, name))
    assert is_named(Drawing((engraved(Text((0, 0), "B", 2.0, id="name")),)))
    assert not is_named(card(9.0, 9.0, Path((((1.0, 1.0), (2.0, 2.0)),), Role.ENGRAVED, "surname")))
