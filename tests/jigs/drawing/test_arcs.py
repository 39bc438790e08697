"""Arcs by their bulge: true circles, chords within their tolerance, bounds that touch, curves that follow."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.drawing.arcs import arc_of, beziers, bulge_between, extremes, flattened

steady = settings(deadline=None, derandomize=True)

places = st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000))
bulges = st.floats(0.01, 20) | st.floats(-20, -0.01)


@st.composite
def round_pieces(draw):
    """Start, end and bulge of an arc from a tenth of a millimetre on."""
    start, long, way = draw(places), draw(st.floats(0.1, 1000)), draw(st.floats(0, 2 * math.pi))
    return start, (start[0] + long * math.cos(way), start[1] + long * math.sin(way)), draw(bulges)


def near(point, other, within=1e-6):
    return math.dist(point, other) <= within * (1 + math.hypot(*point))


@steady
@given(round_pieces())
def test_arc_goes_from_its_start_to_its_end_about_its_centre(piece):
    start, end, bulge = piece
    arc = arc_of(*piece)
    assert near(arc.at(0), start)
    assert near(arc.at(1), end)
    assert math.dist(arc.at(0.3), arc.centre) == pytest.approx(arc.radius)
    sagitta = abs(bulge) * math.dist(start, end) / 2
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    assert math.dist(arc.at(0.5), middle) == pytest.approx(sagitta, rel=1e-6, abs=1e-6)


def test_positive_bulge_turns_clockwise_on_the_page():
    assert arc_of((10, 0), (-10, 0), 1).at(0.5) == pytest.approx((0, 10))
    assert arc_of((10, 0), (-10, 0), -1).at(0.5) == pytest.approx((0, -10))


@steady
@given(round_pieces())
def test_bulge_is_found_again_from_the_centre(piece):
    start, end, bulge = piece
    assert bulge_between(start, end, arc_of(*piece).centre, bulge > 0) == pytest.approx(bulge, rel=1e-3)


@steady
@given(round_pieces(), st.floats(0.001, 5))
def test_chords_leave_the_arc_by_no_more_than_asked(piece, within):
    start, end, _ = piece
    arc = arc_of(*piece)
    points = [start, *flattened(*piece, within)]
    assert points[-1] == end
    for one, other in pairwise(points):
        assert math.dist(other, arc.centre) == pytest.approx(arc.radius, rel=1e-6)
        half = min(math.dist(one, other) / 2 / arc.radius, 1.0)
        if len(points) > 2:
            assert arc.radius * (1 - math.cos(math.asin(half))) <= within * 1.001 + 1e-9
    travelled = sum(math.dist(one, other) for one, other in pairwise(points))
    assert travelled <= arc.radius * abs(arc.sweep) * (1 + 1e-9)


@steady
@given(round_pieces())
def test_finer_chords_come_as_long_as_the_arc(piece):
    arc = arc_of(*piece)
    points = [piece[0], *flattened(*piece, arc.radius * 1e-5)]
    travelled = sum(math.dist(one, other) for one, other in pairwise(points))
    assert travelled == pytest.approx(arc.radius * abs(arc.sweep), rel=1e-4)


def test_straight_piece_stays_one_chord_between_its_ends():
    assert flattened((0, 0), (10, 5), 0.0, 0.01) == [(10, 5)]
    assert extremes((0, 0), (10, 5), 0.0) == [(0, 0), (10, 5)]


@steady
@given(round_pieces())
def test_extremes_hold_the_whole_arc_and_touch_it(piece):
    arc, points = arc_of(*piece), extremes(*piece)
    slack = 1e-6 * (1 + arc.radius + math.hypot(*arc.centre))
    along = [arc.at(n / 720) for n in range(721)]
    for axis in (0, 1):
        held = [point[axis] for point in points]
        walked = [point[axis] for point in along]
        assert min(held) - slack <= min(walked)
        assert max(walked) <= max(held) + slack
        assert min(walked) - min(held) <= arc.radius * 1e-4 + slack
        assert max(held) - max(walked) <= arc.radius * 1e-4 + slack


def at(start, curve, share):
    """A point of a cubic curve, after Bernstein."""
    rest = 1 - share
    weights = (rest**3, 3 * share * rest**2, 3 * share**2 * rest, share**3)
    return tuple(sum(w * point[axis] for w, point in zip(weights, (start, *curve), strict=True)) for axis in (0, 1))


@steady
@given(round_pieces())
def test_curves_follow_the_arc_to_four_parts_in_a_hundred_million(piece):
    start, end, _ = piece
    arc, curves = arc_of(*piece), beziers(*piece)
    assert curves[-1][-1] == end
    assert len(curves) >= abs(arc.sweep) / math.radians(20)
    slack = 1e-9 * (1 + math.hypot(*arc.centre) / arc.radius)
    for n, curve in enumerate(curves):
        for step in range(11):
            point = at(start, curve, step / 10)
            assert math.dist(point, arc.centre) / arc.radius == pytest.approx(1, abs=4e-8 + slack)
        assert near(curve[-1], arc.at((n + 1) / len(curves)))
        start = curve[-1]
