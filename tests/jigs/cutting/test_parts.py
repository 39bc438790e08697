"""Kerf and corners on any shape: what is left after cutting is the part, arcs included."""

import math
import re

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from readers import UM, Edge, Loop
from shapely import LinearRing, Polygon, points

from jigs.cutting.parts import Corner, CutError, CutPart, check, closed_path, compensated, round_hole
from jigs.cutting.words import uncuttable
from jigs.faults import spoken

SIDES = st.integers(3, 7)
SHARES = st.floats(0.05, 1.0)


def corners(draw, centre, size, rounded):
    """A polygon with its corners somewhere on rays from its centre, so that it never crosses itself."""
    count = draw(SIDES)
    reach = [size * (0.55 + 0.45 * draw(st.floats(0, 1))) for _ in range(count)]
    turn = draw(st.floats(0, 6))
    way = draw(st.sampled_from([1, -1]))
    angles = [turn + way * 2 * math.pi * n / count for n in range(count)]
    places = [(centre[0] + r * math.cos(a), centre[1] + r * math.sin(a)) for r, a in zip(reach, angles, strict=True)]
    radii = [size * 0.12 * draw(SHARES) if rounded or draw(st.booleans()) else 0.0 for _ in places]
    return [Corner(place, radius) for place, radius in zip(places, radii, strict=True)]


@st.composite
def parts(draw, rounded=True):
    """An outline of 60 to 200 mm, with up to two windows well inside of it: polygons, or a round hole."""
    size = draw(st.floats(60, 200))
    outline = closed_path(corners(draw, (7.0, -3.0), size, rounded), "outline")
    inner = size * 0.55 * math.cos(math.pi / 3)
    windows = []
    for n, place in enumerate(((7.0 - inner / 2, -3.0), (7.0 + inner / 2, -3.0))[: draw(st.integers(0, 2))]):
        if draw(st.booleans()):
            windows.append(round_hole(place, inner * draw(st.floats(0.05, 0.4)), f"hole-{n}"))
        else:
            windows.append(closed_path(corners(draw, place, inner * 0.45, rounded), f"window-{n}"))
    part = CutPart(outline, tuple(windows))
    try:
        check(part, 0.5)
    except CutError:
        assume(False)
    return part


def loop_of(path):
    """A path's pieces, its arcs from the definition of the bulge: the tangent of a quarter of the angle."""
    run, bulges = path.runs[0], path.bulges[0] if path.bulges else (0.0,) * len(path.runs[0])
    edges = []
    for start, end, bulge in zip(run, (*run[1:], run[0]), bulges, strict=True):
        one, two = complex(*start), complex(*end)
        if bulge:
            sweep = 4 * math.atan(bulge)
            centre = one + (two - one) / (1 - complex(math.cos(sweep), math.sin(sweep)))
            edges.append(Edge(one, two, centre, sweep))
        else:
            edges.append(Edge(one, two))
    return Loop(tuple(edges), path.id)


def sampled(loop):
    """Points all along a loop."""
    return np.concatenate([edge.at(np.linspace(0, 1, 9)) for edge in loop.edges])


def polygon(loop):
    return Polygon([(p.real, p.imag) for p in loop.points(0.05)])


def sharp_corners(loop):
    """Corners where a loop turns at once."""
    sharp = []
    for before, after in zip((loop.edges[-1], *loop.edges[:-1]), loop.edges, strict=True):
        ways = before.at([0.999999, 1.0]), after.at([0.0, 0.000001])
        turn = np.angle((ways[1][1] - ways[1][0]) / (ways[0][1] - ways[0][0]))
        if abs(turn) > 1e-3:
            sharp.append(after.start)
    return sharp


@settings(max_examples=60, deadline=None)
@given(part=parts(), kerf=st.floats(0.02, 1.0))
def test_line_to_cut_keeps_half_the_kerf_from_a_rounded_part_everywhere(part, kerf):
    outline, *windows = map(loop_of, compensated(part, kerf))
    for cut, path, outward in ((outline, part.outline, True), *zip(windows, part.windows, [False] * 2, strict=False)):
        original = loop_of(path)
        reached = sampled(cut)
        assert original.distance_mm(reached) == pytest.approx(np.full(len(reached), kerf / 2), abs=2 * UM)
        inside = polygon(original).contains(points(reached.real, reached.imag))
        assert not inside.any() if outward else inside.all()


@settings(max_examples=60, deadline=None)
@given(part=parts(rounded=False), kerf=st.floats(0.02, 1.0))
def test_line_to_cut_never_comes_nearer_than_half_the_kerf_to_a_part_with_sharp_corners(part, kerf):
    """And nowhere farther, but at the corners, where it runs on until the edges' own lines meet."""
    outline, *windows = map(loop_of, compensated(part, kerf))
    for cut, path in ((outline, part.outline), *zip(windows, part.windows, strict=True)):
        original = loop_of(path)
        reached = sampled(cut)
        off = original.distance_mm(reached)
        assert off.min() > kerf / 2 - 2 * UM
        sharp = sharp_corners(original)
        apart = np.min([abs(reached - corner) for corner in sharp], axis=0) if sharp else np.full(len(off), np.inf)
        away = apart > 1.5 * off + 1e-3
        assert off[away] == pytest.approx(np.full(away.sum(), kerf / 2), abs=2 * UM)


@settings(max_examples=60, deadline=None)
@given(part=parts(), kerf=st.floats(0.02, 1.0))
def test_arcs_stay_arcs_and_nothing_falls_into_chords(part, kerf):
    for path in (part.outline, *part.windows):
        assume(not any(edge.centre is not None and abs(edge.radius - kerf / 2) < 0.1 for edge in loop_of(path).edges))
    for cut, path in zip(compensated(part, kerf), (part.outline, *part.windows), strict=True):
        original, made = loop_of(path), loop_of(cut)
        assert cut.id == path.id
        arcs, kept = ([edge for edge in loop.edges if edge.centre is not None] for loop in (original, made))
        assert len(made.edges) <= len(original.edges)
        assert len(kept) <= len(arcs)
        spared = [arc for arc in arcs if arc.radius > kerf and arc.length > kerf]
        assert len(kept) >= len(spared)
        for arc in kept:
            old = min(arcs, key=lambda old: abs(old.centre - arc.centre) + abs(abs(old.radius - arc.radius) - kerf / 2))
            points_on = arc.at(np.linspace(0, 1, 9))
            assert abs(abs(abs(points_on - old.centre) - old.radius) - kerf / 2).max() < 2 * UM


@settings(max_examples=40, deadline=None)
@given(part=parts(rounded=False), kerf=st.sampled_from([0.0, 0.2, 0.7]))
def test_outlines_and_windows_run_opposite_ways(part, kerf):
    outline, *windows = map(loop_of, compensated(part, kerf))
    assert outline.turns_on
    assert not any(window.turns_on for window in windows)
    ring = LinearRing([(p.real, p.imag) for p in outline.points(0.5)])
    assert ring.is_valid
    if not kerf:
        assert polygon(outline).area == pytest.approx(polygon(loop_of(part.outline)).area)


def square(side, name, middle=0.0, radius=0.0):
    places = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return closed_path([Corner((middle + x * side / 2, y * side / 2), radius) for x, y in places], name)


@pytest.mark.parametrize("number", [float, np.float64])
@pytest.mark.parametrize("backwards", [False, True])
def test_kerf_is_allowed_for_whatever_kind_of_number_and_way_round(number, backwards):
    """Templates bring numpy's numbers as well as Python's."""
    places = [(0, 0), (60, 0), (60, 40), (0, 40)]
    path = closed_path(
        [Corner((number(x), number(y)), number(3.0)) for x, y in (reversed(places) if backwards else places)], "p"
    )
    loop = loop_of(next(iter(compensated(CutPart(path), 0.2))))
    assert loop.turns_on
    assert len(loop.edges) == 8
    assert sorted(round(edge.radius, 6) for edge in loop.edges if edge.centre is not None) == [3.1] * 4


def refused(code, step, *given):
    """The refusal's sentence."""
    with pytest.raises(CutError) as wrong:
        step(*given)
    says = uncuttable(wrong.value, "gauge")
    assert wrong.value.code == says.code == code
    assert says.remedy
    return spoken(says.what)


def test_window_narrower_than_the_kerf_is_refused():
    part = CutPart(square(60, "outline"), (square(0.5, "slit"),))
    assert len(compensated(part, 0.4).items) == 2
    assert "a kerf of 0.6 mm is wider than a window" in refused("kerf-too-wide", compensated, part, 0.6)


def test_web_counts_between_windows_and_to_the_edge():
    part = CutPart(square(60, "outline"), (square(10, "one", -10), square(10, "other-window", 10)))
    check(part, 10.0)
    between = refused("web-too-small", check, part, 10.5)
    assert re.search(r"only 10.0 mm of the gauge would be left between one and other window, .* 10.5 mm", between)
    near_edge = CutPart(square(60, "outline"), (square(10, "one", -22),))
    check(near_edge, 3.0)
    to_edge = refused("web-too-small", check, near_edge, 3.1)
    assert "only 3.0 mm of the gauge would be left between one and edge" in to_edge


def test_window_that_reaches_over_the_edge_is_refused():
    for middle in (30.0, 100.0):
        part = CutPart(square(60, "outline"), (square(10, "one", middle),))
        assert "reach over its edge" in refused("window-over-edge", check, part, 1.0)


def test_lines_that_cross_are_refused():
    bow = closed_path([Corner(at) for at in ((0, 0), (50, 40), (50, 0), (0, 40))], "outline")
    assert "would cross" in refused("lines-cross", check, CutPart(bow), 1.0)


def test_corner_takes_no_more_than_half_of_an_edge():
    loop = loop_of(square(10, "outline", radius=100.0))
    assert [edge.radius for edge in loop.edges if edge.centre is not None] == pytest.approx([5.0] * 4)


@settings(max_examples=60, deadline=None)
@given(
    sides=st.integers(3, 6),
    size=st.floats(5, 60),
    turn=st.floats(0, 2),
    stretch=st.floats(1, 2),
    kerf=st.floats(0.05, 0.5),
)
def test_corners_so_round_that_they_meet_keep_half_the_kerf_as_well(sides, size, turn, stretch, kerf):
    """Then nothing is left of the straight edges between them but what rounding makes of it."""
    angles = [2 * math.pi * n / sides for n in range(sides)]
    along = complex(math.cos(turn), math.sin(turn))
    places = [complex(size * stretch * math.cos(a), size * math.sin(a)) * along for a in angles]
    path = closed_path([Corner((place.real, place.imag), 1000.0) for place in places], "outline")
    reached = sampled(loop_of(next(iter(compensated(CutPart(path), kerf)))))
    off = loop_of(path).distance_mm(reached)
    assert off == pytest.approx(np.full(len(off), kerf / 2), abs=2 * UM)
