"""A part in its room: within it, off the ruler, with room for its heading left of it or over it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.drawing.items import Drawing, Path, Role, strokes
from jigs.drawing.room import BESIDE_MM, HEADING_MM, NARROW_BESIDE_MM, DoesNotFit, Room, placed

A4 = Room(190.0, 243.5, 21.2, 108.0)
NEAR = 1e-9


def outline(*points):
    return Drawing((Path((points,), Role.CUT, "part", closed=True),))


def fork(stem, legs, long, foot, left=0.0, top=0.0):
    """A stem, and below it a wider part."""
    inner, outer = stem / 2, legs / 2
    points = [(-inner, 0), (inner, 0), (inner, long), (outer, long), (outer, long + foot), (-outer, long + foot),
              (-outer, long), (-inner, long)]  # fmt: skip
    return outline(*((left + x, top + y) for x, y in points))


forks = st.builds(
    fork, *(st.floats(*bounds) for bounds in ((10, 80), (80, 200), (5, 200), (10, 90), (-90, 90), (-400, 400)))
)
rooms = st.builds(
    Room, st.floats(110, 400), st.floats(130, 600), st.sampled_from([0.0, 21.2]), st.sampled_from([0.0, 108.0])
)


def lay(part, room=A4):
    return placed(part, room, "too large", "over the ruler")


@settings(max_examples=300, deadline=None)
@given(forks, rooms)
def test_part_lies_in_its_room_off_the_ruler_with_room_for_its_heading(part, room):
    try:
        laid = lay(part, room)
    except DoesNotFit:
        return
    box, own = laid.bounds(), part.bounds()
    assert (box.width, box.height) == pytest.approx((own.width, own.height))
    assert box.left >= -NEAR
    assert box.right <= room.width + NEAR
    assert box.top >= -NEAR
    assert box.bottom <= room.height + NEAR
    pieces = [stroke for item in laid for stroke in strokes(item)]
    beside = [stroke for stroke in pieces if stroke.top < room.corner_height]
    assert all(stroke.right <= room.beside_ruler + NEAR for stroke in beside)
    first = [stroke.left for stroke in pieces if stroke.top < HEADING_MM]
    assert box.top >= HEADING_MM - NEAR or min(first) >= NARROW_BESIDE_MM


@settings(max_examples=200, deadline=None)
@given(forks, rooms)
def test_part_is_only_refused_where_its_heading_would_find_no_room(part, room):
    """One that is small enough below a heading, and beside the ruler, is never refused."""
    box = part.bounds()
    if box.height + HEADING_MM <= room.height and box.width <= room.beside_ruler - 1.01:
        assert lay(part, room)


def test_narrow_part_stands_as_far_right_as_the_ruler_lets_it_so_that_words_have_the_left():
    laid = lay(outline((0, 0), (60, 0), (60, 200), (0, 200)))
    assert laid.bounds().right == pytest.approx(A4.beside_ruler - 1.0)
    assert laid.bounds().top == 0.0


def test_wide_part_goes_below_its_heading():
    laid = lay(outline((0, 0), (120, 0), (120, 150), (0, 150)))
    assert laid.bounds().top == HEADING_MM


def test_wide_legs_of_a_fork_reach_under_the_ruler():
    laid = lay(fork(40.0, 180.0, 160.0, 60.0))
    assert laid.bounds().right > A4.beside_ruler
    assert laid.bounds().height + laid.bounds().top <= A4.height


def test_part_too_high_for_a_heading_over_it_has_it_beside():
    laid = lay(outline((0, 0), (75, 0), (75, 240), (0, 240)))
    assert laid.bounds().top == 0.0
    assert laid.bounds().left >= BESIDE_MM


@pytest.mark.parametrize(
    ("width", "height", "reason"),
    [(200, 100, "too large"), (100, 250, "too large"), (180, 200, "over the ruler"), (150, 240, "too large")],
)
def test_refusal_has_the_reason(width, height, reason):
    with pytest.raises(DoesNotFit, match=reason):
        lay(outline((0, 0), (width, 0), (width, height), (0, height)))
