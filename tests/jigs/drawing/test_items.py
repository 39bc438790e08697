"""Drawings as they are moved, mirrored, turned, clipped and joined: their bounds go with them, and nothing is lost."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.drawing.items import (
    STYLES,
    Anchor,
    Box,
    Circle,
    Drawing,
    Layer,
    Line,
    Path,
    Role,
    Text,
    bounds,
    drawing,
    paragraph,
    paragraph_height_mm,
    strokes,
    with_single_ids,
)

steady = settings(deadline=None, derandomize=True)

mm = st.floats(-500, 500).map(lambda value: round(value, 3))
places = st.tuples(mm, mm)
roles = st.sampled_from(Role)
ids = st.sampled_from(["", "fret-1", "fret-2", "line"])
lines = st.builds(Line, places, places, roles, ids)
circles = st.builds(Circle, places, st.floats(0.1, 50), roles, ids)
lettered = st.text("abgp 12♯", min_size=1, max_size=9)
angles = st.sampled_from([0.0, 90.0, -30.0])
texts = st.builds(Text, places, lettered, st.sampled_from([2.5, 5.0]), st.sampled_from(Anchor), angles)
straight, straight_or_round = st.just(0.0), st.sampled_from([0.0, 0.2, -0.7, 1.0, -3.0])


@st.composite
def paths(draw, bulge=straight_or_round):
    """A path of a run or two, in which no point follows itself."""
    runs = draw(st.lists(st.lists(places, min_size=2, max_size=5, unique=True).map(tuple), min_size=1, max_size=2))
    bulges = tuple(tuple(draw(bulge) for _ in run) for run in runs)
    return Path(tuple(runs), draw(roles), draw(ids), draw(st.booleans()), bulges if draw(st.booleans()) else ())


drawings = st.lists(lines | circles | paths() | texts, min_size=1, max_size=6).map(lambda items: Drawing(tuple(items)))


def level(drawn):
    """The drawing with all its words on level lines."""
    return Drawing(tuple(replace(item, angle_deg=0.0) if isinstance(item, Text) else item for item in drawn))


def edges(box):
    return (box.left, box.top, box.right, box.bottom)


@steady
@given(drawings)
def test_mirrored_twice_it_is_the_same(drawn):
    assert drawn.mirrored().mirrored() == drawn


@steady
@given(drawings)
def test_mirror_image_has_its_bounds_on_the_other_side(drawn):
    box, other = level(drawn).bounds(), level(drawn).mirrored().bounds()
    assert edges(other) == pytest.approx((-box.right, box.top, -box.left, box.bottom), abs=1e-6)


@steady
@given(drawings)
def test_words_stay_readable_in_the_mirror_image(drawn):
    for item, other in zip(drawn, drawn.mirrored(), strict=True):
        if isinstance(item, Text):
            assert (other.text, other.height_mm, other.angle_deg) == (item.text, item.height_mm, item.angle_deg)


@steady
@given(drawings, mm, mm)
def test_bounds_shift_with_the_drawing(drawn, across, down):
    box, other = drawn.bounds(), drawn.shifted(across, down).bounds()
    shifted = (box.left + across, box.top + down, box.right + across, box.bottom + down)
    assert edges(other) == pytest.approx(shifted, abs=1e-6)


@steady
@given(drawings)
def test_a_turn_takes_right_to_the_bottom_and_four_bring_it_back(drawn):
    box, other = drawn.bounds(), drawn.turned().bounds()
    assert edges(other) == pytest.approx((-box.bottom, box.left, -box.top, box.right), abs=1e-6)
    whole = drawn.turned().turned().turned().turned()
    assert level(whole) == level(drawn)


@steady
@given(drawings, drawings)
def test_two_drawings_together_reach_as_far_as_either(one, other):
    both, (a, b) = edges((one + other).bounds()), map(edges, (one.bounds(), other.bounds()))
    assert both == (*map(min, a[:2], b[:2]), *map(max, a[2:], b[2:]))
    assert list(drawing(one, *other)) == list(one + other)


@steady
@given(drawings)
def test_strokes_take_no_more_room_than_the_item_and_reach_all_its_edges(drawn):
    for item in drawn:
        lefts, tops, rights, bottoms = zip(*map(edges, strokes(item)), strict=True)
        assert edges(bounds(item)) == (min(lefts), min(tops), max(rights), max(bottoms))


def test_empty_drawing_has_no_bounds():
    with pytest.raises(ValueError, match="no bounds"):
        Drawing().bounds()


@steady
@given(paths(), st.floats(0.01, 1))
def test_path_with_chords_for_arcs_keeps_its_corners_and_nearly_its_bounds(path, within):
    flat = path.flattened(within)
    assert not flat.bulges
    assert (flat.role, flat.id, flat.closed) == (path.role, path.id, path.closed)
    assert all(set(run) <= set(chords) for run, chords in zip(path.runs, flat.runs, strict=True))
    assert not path.closed or all(chords[0] != chords[-1] for chords in flat.runs)
    assert edges(bounds(flat)) == pytest.approx(edges(bounds(path)), abs=within * 1.001)
    assert flat.flattened(within) == flat


# ---- clipping


@steady
@given(drawings, mm, st.floats(0, 300))
def test_lines_are_clipped_at_both_heights_and_words_and_circles_kept_or_dropped(drawn, top, high):
    for item in drawn.clipped(top, top + high):
        box = bounds(item)
        assert top - 1e-3 <= box.top
        assert box.bottom <= top + high + 1e-3
        if isinstance(item, Text | Circle):
            assert item in drawn.items


@steady
@given(drawings)
def test_what_lies_between_the_heights_is_not_changed(drawn):
    box = drawn.bounds()
    assert drawn.clipped(box.top, box.bottom) == drawn


def test_a_clipped_arc_stays_round():
    half = Path((((-50, 0), (50, 0)),), Role.CUT, bulges=((1.0, 0.0),))
    (item,) = drawing(half).clipped(-40, 40)
    assert len(item.runs) == 2
    for one, other in (ends for run in item.runs for ends in pairwise(run)):
        middle = math.hypot((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)
        assert middle == pytest.approx(50, abs=0.001)


def length(item):
    runs = [(item.start, item.end)] if isinstance(item, Line) else []
    if isinstance(item, Path):
        runs = [(*run, run[0]) if item.closed else run for run in item.runs]
    return sum(math.dist(*ends) for run in runs for ends in pairwise(run))


@steady
@given(lines | paths(straight), mm)
def test_a_cut_loses_nothing_of_a_line(item, level):
    level += 0.0005  # between the places, so that no line runs along the cut
    whole = drawing(item)
    parts = [*whole.clipped(-2000, level), *whole.clipped(level, 2000)]
    assert sum(map(length, parts)) == pytest.approx(length(item), abs=1e-6)


# ---- boxes, styles, paragraphs, ids


boxes_of_all_sizes = st.builds(lambda x, y, w, h: Box(x, y, x + w, y + h), mm, mm, st.floats(0, 300), st.floats(0, 300))


@steady
@given(boxes_of_all_sizes, boxes_of_all_sizes, st.floats(0, 50))
def test_boxes_overlap_each_other_and_still_do_with_a_gap(one, other, gap):
    assert one.overlaps(other) == other.overlaps(one)
    assert one.overlaps(other, gap) or not one.overlaps(other)


@steady
@given(boxes_of_all_sizes, st.floats(0.1, 50), st.sampled_from([(1, 0), (-1, 0), (0, 1), (0, -1)]))
def test_a_box_beside_another_comes_too_near_within_the_gap_alone(one, gap, way):
    def beside(distance):
        across, down = way[0] * (one.width + distance), way[1] * (one.height + distance)
        return Box(one.left + across, one.top + down, one.right + across, one.bottom + down)

    assert one.overlaps(beside(0.9 * gap), gap)
    assert not one.overlaps(beside(0.9 * gap))
    assert not one.overlaps(beside(1.1 * gap), gap)


def test_every_role_has_a_layer_and_a_line_or_a_fill():
    assert STYLES.keys() == set(Role)
    assert {style.layer for style in STYLES.values()} == set(Layer)
    lines_drawn = {role for role, style in STYLES.items() if style.width_mm and not style.fill}
    assert set(Role) - lines_drawn == {Role.TEXT, Role.BAND}
    assert max(STYLES, key=lambda role: STYLES[role].width_mm) is Role.CUT


@steady
@given(st.lists(st.text("abgp ", min_size=1), min_size=1, max_size=6), st.sampled_from([2.5, 3.5]))
def test_paragraph_starts_at_its_top_and_no_line_touches_the_next(rows, height):
    laid = paragraph(rows, 10, 20, height)
    boxes = [bounds(item) for item in laid]
    assert boxes[0].top == pytest.approx(20)
    assert laid.items[-1].at[1] == pytest.approx(20 + paragraph_height_mm(len(rows), height))
    assert all(above.bottom < below.top for above, below in pairwise(boxes))
    assert [item.text for item in laid] == rows


@steady
@given(drawings)
def test_an_id_stays_with_the_first_item_that_has_it(drawn):
    single = with_single_ids(drawn)
    kept = [item.id for item in single if item.id]
    assert len(kept) == len(set(kept))
    assert set(kept) == {item.id for item in drawn if item.id}
    assert [replace(item, id="") for item in single] == [replace(item, id="") for item in drawn]
    firsts = [next(n for n, item in enumerate(drawn) if item.id == name) for name in kept]
    assert all(single.items[n].id == name for n, name in zip(firsts, kept, strict=True))
