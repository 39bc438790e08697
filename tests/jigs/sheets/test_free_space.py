"""Words get room where nothing is: beside a drawing, never on it, never on the ruler, each place once."""

from itertools import combinations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from jigs.drawing.items import Box
from jigs.drawing.room import Room
from jigs.sheets.free_space import CLEAR_MM, FULL, LEAST_HEIGHT_MM, LEAST_WIDTH_MM, WIDEST_MM, free_boxes

A4 = Room(190.0, 243.5, 21.2, 108.0)
NEAR = 1e-9

rooms = st.builds(
    Room, st.floats(110, 400), st.floats(130, 600), st.sampled_from([0.0, 21.2]), st.just(108.0)
).map(lambda room: room if room.corner_width else Room(room.width, room.height, 0.0, 0.0))  # fmt: skip


@st.composite
def laid(draw):
    """A room, and boxes of a drawing that lies in it."""
    room = draw(rooms)
    boxes = []
    for _ in range(draw(st.integers(0, 6))):
        across = sorted(draw(st.floats(0, room.width)) for _ in range(2))
        down = sorted(draw(st.floats(0, room.height)) for _ in range(2))
        boxes.append(Box(across[0], down[0], across[1], down[1]))
    return room, boxes


@settings(max_examples=300, deadline=None)
@given(laid())
@example((A4, [Box(80.0, 20.0, 120.0, 230.0)]))
@example((A4, [Box(0.0, 0.0, 190.0, 243.5)]))
def test_room_for_words_is_in_the_room_and_clear_of_drawing_and_ruler(case):
    room, taken = case
    for box in free_boxes(taken, room):
        assert box.left >= -NEAR
        assert box.top >= -NEAR
        assert box.right <= room.width + NEAR
        assert box.bottom <= room.height + NEAR
        assert not any(box.overlaps(one, CLEAR_MM - NEAR) for one in taken)
        corner = Box(room.beside_ruler, 0.0, room.width, room.corner_height)
        assert room.corner_width == 0.0 or not box.overlaps(corner, -NEAR)


@settings(max_examples=300, deadline=None)
@given(laid())
def test_no_place_is_given_twice(case):
    room, taken = case
    for one, other in combinations(free_boxes(taken, room), 2):
        assert not one.overlaps(other, -NEAR)


@settings(max_examples=200, deadline=None)
@given(laid())
def test_room_for_words_is_wide_enough_to_read_and_not_too_wide(case):
    room, taken = case
    for box in free_boxes(taken, room):
        assert box.width >= LEAST_WIDTH_MM - NEAR
        assert box.width <= WIDEST_MM + NEAR
        assert box.height >= LEAST_HEIGHT_MM - NEAR


@settings(max_examples=200, deadline=None)
@given(laid())
def test_words_never_lie_between_two_parts_of_a_drawing(case):
    """No word goes into a window, or between two legs."""
    room, taken = case
    for box in free_boxes(taken, room):
        beside = [one for one in taken if one.top < box.bottom and box.top < one.bottom]
        assert not (any(one.right <= box.left for one in beside) and any(one.left >= box.right for one in beside))


def test_empty_sheet_is_two_columns_where_a_line_would_be_hard_to_follow():
    boxes = free_boxes([], Room(190.0, 243.5, 0.0, 0.0))
    assert [(box.left, box.top, box.bottom) for box in boxes] == [(0.0, 0.0, 242.0), (98.5, 0.0, 242.0)]


def test_places_are_in_the_order_of_reading():
    """Below the heading: left of the part, then right of it, then below it."""
    heading, part = Box(0.0, 0.0, 160.0, 17.0), Box(70.0, 21.0, 110.0, 150.0)
    boxes = free_boxes([heading, part], Room(190.0, 243.5, 0.0, 0.0))
    sides = ["left" if box.right <= 66 else "right" if box.top < 150 else "below" for box in boxes]
    assert sides == ["left", "right", "below", "below"]


def test_part_that_fills_the_room_leaves_no_place():
    assert free_boxes([Box(0.0, 0.0, 190.0, 243.5)], A4) == []


def test_words_have_the_width_beside_a_stem_that_widens_to_legs():
    """A part like a fork: a narrow column down to the legs' ends would waste the room beside its stem."""
    stem, legs = Box(104.0, 0.0, 154.0, 180.0), Box(70.0, 180.0, 190.0, 230.0)
    boxes = free_boxes([stem, legs], Room(190.0, 243.5, 28.0, 110.0), FULL)
    assert boxes[0].right == 100.0
    assert boxes[0].height > 160.0
