"""The sheet of measuring aids: every line true in every format, readings that give the measure back, and nothing refused."""

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from every_page import complete, wrong_with
from hypothesis import given, settings
from hypothesis import strategies as st
from instruments import edited
from pages import pages_of
from readers import (
    UM,
    dxf_document,
    dxf_loops,
    farthest_mm,
    pdf_pieces_by_pdfium,
    pdf_pieces_by_pdfminer,
    svg_layer,
    svg_loops,
)
from samples import PRESETS, cut_files, preset, words_of
from shapely import LineString, Polygon, union_all
from validity import assert_svg_is_valid

from jigs.drawing.items import Line, Path, Role, strokes
from jigs.faults import InputFaults
from jigs.press.layout import lay_out
from jigs.press.order import Order
from jigs.press.press import prepare
from jigs.sheets.paper import PAPERS
from jigs.templates import aid_comb, aid_counter, aid_strip, aid_wedge, measure
from jigs.templates.options import Options
from jigs.templates.template import templates

pytestmark = pytest.mark.slow

KERFS = (0.0, 0.2, 0.4)


@cache
def made(name, hand="right", **cutter):
    return cut_files("measure", preset(name, hand), **cutter)


@cache
def laid(name, paper="a4"):
    return lay_out(preset(name), templates()["measure"], PAPERS[paper], Options())


@cache
def page_file(name, paper="a4"):
    order = Order(("measure",), PAPERS[paper], ("pdf",))
    return prepare(preset(name), order, "x").files["x-measure.pdf"]


@cache
def loops(name, hand="right", **cutter):
    return {loop.name: loop for loop in svg_loops(made(name, hand, **cutter)["svg"])}


@cache
def scores(name, hand="right"):
    """The scored lines of the SVG by id: both ends."""
    layer = svg_layer(made(name, hand)["svg"], "score")
    return {key: (edges[0].start, edges[0].end) for key, edges, _ in layer}


def corners(loop):
    return np.array([edge.start for edge in loop.edges])


def origin(loop, side="left"):
    """Where a part's frame is 0: its lowest corner at one side."""
    points = corners(loop)
    foot = points.imag.max()
    low = points.real[abs(points.imag - foot) < 1e-6]
    return complex(low.min() if side == "left" else low.max(), foot)


# ---- every line is where it must be


@pytest.mark.parametrize("name", ["banjo", "mandolin", "archtop-guitar"])
def test_every_height_of_both_wedges_stands_a_twentieth_of_the_way_from_where_the_slope_would_begin(name):
    lines = scores(name)
    for face, step, way in (("mm", 0.1, 1.0), ("64", 25.4 / 128, -1.0)):
        tip = origin(loops(name)[f"wedge-{face}"], "left" if way > 0 else "right")
        zero = tip - way * 6.0
        ticks = {int(key.rsplit("-", 1)[1]): ends for key, ends in lines.items() if key.startswith(f"height-{face}-")}
        assert len(ticks) == (58 if face == "mm" else 29)
        for n, ends in ticks.items():
            assert [end.real for end in ends] == pytest.approx([(zero + way * 20 * n * step).real] * 2, abs=UM)
            assert min(end.imag for end in ends) == pytest.approx(tip.imag - n * step, abs=UM)


@pytest.mark.parametrize("name", ["banjo", "mandolin", "archtop-guitar"])
def test_every_line_of_the_strip_is_at_half_the_scale_that_it_means(name):
    lines, nut = scores(name), corners(loops(name)["strip"]).imag.min()
    whole = [(int(key[6:]), ends) for key, ends in lines.items() if key.startswith("strip-") and key[6:].isdigit()]
    inches = [(int(key[16:]) / 16, ends) for key, ends in lines.items() if key.startswith("strip-sixteenth-")]
    assert len(whole) > 300
    for scale, ends in [*whole, *((25.4 * inch, ends) for inch, ends in inches)]:
        assert [end.imag - nut for end in ends] == pytest.approx([scale / 2] * 2, abs=UM)
    assert np.diff(sorted(ends[0].imag for _, ends in whole)) == pytest.approx(0.5, abs=UM)


def test_the_strip_follows_the_rule_of_the_frets_where_that_has_no_half():
    """By the rule of eighteen the twelfth fret leaves (17/18)¹² of the scale."""
    workup = edited("banjo", head={"fret_rule": "eighteen"})
    drawn = aid_strip.strip_part(workup, Options())
    at = {item.id: item.start[1] for item in drawn if isinstance(item, Line)}
    assert at["strip-650"] == pytest.approx(650 * (1 - (17 / 18) ** 12), abs=UM)
    scale = edited("banjo", head={"fret_rule": "eighteen", "scale": None, "nut_to_fret_12": at["strip-650"]}).scale_mm
    assert scale == pytest.approx(650, abs=UM)


def test_the_counters_window_is_ten_millimetres_long_and_its_lines_one_apart():
    window, lines = corners(loops("banjo")["counter-window"]), scores("banjo")
    assert np.ptp(window.real) == pytest.approx(10.0, abs=UM)
    for side in ("above", "below"):
        places = [lines[f"turns-{side}-{n}"][0].real - window.real.min() for n in range(11)]
        assert places == pytest.approx(range(11), abs=UM)


@pytest.mark.parametrize("name", ["banjo", "mandolin", "tenor-banjo", "archtop-guitar"])
def test_the_combs_lines_are_staggered_by_a_quarter_from_one_side_of_a_gap_to_the_other(name):
    lines = scores(name)
    zero = lines["comb-0-0"][0].imag
    teeth = 1 + max(int(key.split("-")[1]) for key in lines if key.startswith("comb-"))
    assert teeth == len(preset(name).instrument.strings) + 1
    for n in range(teeth - 1):
        left = sorted(e[0].imag - zero for key, e in lines.items() if key.startswith(f"comb-{n}-right-"))
        right = sorted(e[0].imag - zero for key, e in lines.items() if key.startswith(f"comb-{n + 1}-left-"))
        assert sorted([*left, 0.0, *right]) == pytest.approx(np.arange(-3, 3.01, 0.25), abs=UM)
        assert not {round(y, 3) for y in left} & {round(y, 3) for y in right}


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("name", ["banjo", "mandolin"])
def test_every_string_runs_through_the_middle_of_a_gap_of_the_comb(name, hand):
    workup = preset(name, hand)
    points = corners(loops(name, hand)["comb"])
    roots = np.sort(points.real[abs(points.imag - (scores(name, hand)["comb-0-0"][0].imag - 5.0)) < 0.001]).reshape(
        -1, 2
    )
    along = 1 / math.cos(math.radians(workup.line.slant_deg))
    way = 1.0 if hand == "right" else -1.0
    strings = np.sort(way * along * workup.bridge_places_mm.mean(axis=1))
    assert np.diff(roots.mean(axis=1)) == pytest.approx(np.diff(strings), abs=UM)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_every_ray_of_the_protractor_has_its_angle_from_the_notch(hand):
    lines, base = scores("banjo", hand), corners(loops("banjo", hand)["protractor"])
    origin_at = complex((base.real.min() + base.real.max()) / 2, base.imag.max())
    way = 1.0 if hand == "right" else -1.0
    rays = {float(key[6:]): ends for key, ends in lines.items() if key.startswith("slant-")}
    assert sorted(rays) == [n / 2 for n in range(-16, 17)]
    for degrees, ends in rays.items():
        for end in ends:
            up = origin_at.imag - end.imag
            assert way * (end.real - origin_at.real) == pytest.approx(up * math.tan(math.radians(degrees)), abs=UM)


def test_the_square_has_right_angles_inside_and_outside_and_millimetres_from_its_foot():
    points, lines = corners(loops("banjo", corner_mm=0.0)["square"]), scores("banjo")
    ways = np.diff(np.append(points, points[0]))
    assert np.abs((ways * np.conj(np.roll(ways, 1))).real).max() < 1e-4
    foot = points.imag.max()
    assert [foot - lines[f"square-{n}"][0].imag for n in range(1, 56)] == pytest.approx(range(1, 56), abs=UM)


def test_dxf_has_the_same_parts_as_svg():
    ours = sorted(loops("mandolin").values(), key=lambda loop: -len(loop.edges))
    other = sorted(dxf_loops(made("mandolin")["dxf"]), key=lambda loop: -len(loop.edges))
    first, there = (np.concatenate([corners(loop) for loop in found]) for found in (ours, other))
    shift = complex(first.real.min() - there.real.min(), first.imag.min() - there.imag.min())
    assert len(ours) == len(other) == 8
    assert max(abs(there + shift - point).min() for point in first) < UM
    assert not list(dxf_document(made("mandolin")["dxf"]).audit().errors)


@pytest.mark.parametrize("read", [pdf_pieces_by_pdfminer, pdf_pieces_by_pdfium])
def test_every_scored_line_of_the_printed_pages_is_where_it_was_drawn(read):
    drawn = page_file("banjo")
    for n, sheet in enumerate(laid("banjo")):
        lines = [(*i.start, *i.end) for i in sheet.drawing if isinstance(i, Line) and i.role in (Role.TICK, Role.MARK)]
        assert farthest_mm(lines, read(drawn, n)) < UM


@pytest.mark.parametrize("kerf", KERFS)
@pytest.mark.parametrize("name", ["wedge-mm", "wedge-64", "strip", "square", "counter-window"])
def test_a_kerf_leaves_the_part_as_it_was_drawn(name, kerf):
    """A straight edge of the path lies half a kerf outside the part's, or inside a window."""
    shapely = pytest.importorskip("shapely")
    bare, path = (
        shapely.Polygon([(p.real, p.imag) for p in corners(loops("banjo", kerf_mm=k, corner_mm=0.0)[name])])
        for k in (0.0, kerf)
    )
    cut = path.buffer((1 if name == "counter-window" else -1) * kerf / 2, join_style="mitre", mitre_limit=50)
    moved = shapely.affinity.translate(cut, bare.bounds[0] - cut.bounds[0], bare.bounds[1] - cut.bounds[1])
    assert moved.hausdorff_distance(bare) < 0.002


# ---- what is read gives the measure back


@settings(deadline=None, max_examples=200)
@given(st.floats(0.35, 5.9), st.floats(0.2, 1.6))
def test_the_wedge_read_from_its_file_gives_a_strings_height_back_within_a_twentieth(height, diameter):
    """The string comes down until its circle touches the slope of the part that was cut."""
    part, lines = loops("mandolin", corner_mm=0.0)["wedge-mm"], scores("mandolin")
    slope = max(
        (e for e in part.edges if abs((e.end - e.start).imag) > 1e-6), key=lambda e: abs(e.end.real - e.start.real)
    )
    base = corners(part).imag.max()
    low, high = sorted((slope.start, slope.end), key=lambda p: p.real)
    way = (high - low) / abs(high - low)
    up = complex(way.imag, -way.real)
    up = up if up.imag < 0 else -up
    level = base - height - diameter / 2
    share = (level - (low + up * diameter / 2).imag) / way.imag
    touch = low + way * share
    ticks = [
        (int(key.rsplit("-", 1)[1]) / 10, ends[0].real) for key, ends in lines.items() if key.startswith("height-mm-")
    ]
    ticks.sort()
    between = [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in pairwise(ticks)]
    seen, _ = min([*ticks, *between], key=lambda one: abs(one[1] - touch.real))
    assert seen == pytest.approx(height, abs=0.05)


@pytest.mark.parametrize(("gauge", "core"), [(0.559, 0.25), (0.914, 0.406), (1.27, 0.56)])
def test_turns_counted_in_the_window_and_looked_up_in_the_table_give_the_core(gauge, core):
    wrap = (gauge - core) / 2
    turns = 10 / wrap
    counts = aid_counter.counts_for(gauge)
    cores = [gauge - 20 / n for n in counts]
    assert counts == sorted(set(counts))
    assert np.interp(turns, counts, cores) == pytest.approx(core, abs=0.01 * gauge)


# ---- the sheets


@pytest.mark.parametrize("name", ["archtop-guitar", "banjo", "mandolin"])
def test_nothing_is_refused_or_wrong_on_the_page(name):
    assert not list(wrong_with(complete(name, "left"), name, ("a4",), ("measure",)))
    assert not list(wrong_with(complete(name), name, ("letter",), ("measure",)))


@pytest.mark.parametrize("name", PRESETS)
@pytest.mark.parametrize("paper", ["a4", "letter", "legal", "tabloid"])
def test_every_preset_has_its_aids_on_every_paper(name, paper):
    assert 3 <= len(laid(name, paper)) <= 6


def test_each_sheet_says_what_it_measures():
    titles = [" ".join(page.headings) for page in pages_of(page_file("mandolin"))]
    assert all("easure" in title for title in titles), titles
    assert len(set(titles)) == len(titles)


def test_each_aid_names_the_key_that_it_is_for_and_how_sure_it_makes_it():
    said = " ".join(words_of(sheet.drawing) for sheet in laid("mandolin"))
    for key in ("[action] fret_12", "[action] nut", "[[strings]] turns", "[bridge] steps", "[bridge] height", "scale"):
        assert key in said, key
    assert 'measured_with = "aids"' in said
    assert said.count("±") >= 6


def test_a_strip_that_a_sheet_holds_is_not_cut():
    a3, a4 = (words_of(laid("mandolin", paper)[-1].drawing) for paper in ("a3", "a4"))
    assert "from the nut" in a4
    assert "from the nut" not in a3


def test_a_strip_reaches_over_the_scales_of_its_kind_and_its_own():
    low, high = aid_strip.scales_mm(preset("mandolin"))
    assert low <= 330.2
    assert high >= 685.8
    long = edited(
        "mandolin", head={"scale": "33 in"}, strings={n: {"note": x} for n, x in enumerate(("E4", "A3", "D3", "G2"))}
    )
    assert aid_strip.scales_mm(long)[1] >= 33 * 25.4


@pytest.mark.parametrize("name", ["mandolin", "banjo"])
def test_no_number_of_a_wedge_or_a_comb_lies_over_a_line(name):
    for aid in (aid_wedge.wedge, aid_comb.comb):
        for part in aid(preset(name), Options()).parts:
            numbers = [box for item in part if item.role is Role.ENGRAVED for box in strokes(item)]
            lines = [
                box
                for item in part
                if item.role in (Role.TICK, Role.MARK, Role.CUT) and not isinstance(item, Path)
                for box in strokes(item)
            ]
            assert numbers
            assert not [(a, b) for a in numbers for b in lines if a.overlaps(b, 0.05)]


def test_close_strings_share_a_gap_and_one_string_has_one():
    near = edited("mandolin", bridge={"spacing": 20.0})
    assert len(aid_comb.gaps_mm(near)) < 4
    assert measure.part(near, Options()).drawing.items


def test_a_kerf_as_wide_as_the_combs_gaps_is_refused_with_a_remedy():
    with pytest.raises(InputFaults) as refused:
        cut_files("measure", preset("banjo"), kerf_mm=3.5)
    assert [fault.code for fault in refused.value.faults] == ["kerf-fills-comb"]


# ---- files that a cutter's program opens


def test_no_two_lines_of_the_cut_file_have_one_id():
    assert_svg_is_valid(made("mandolin")["svg"])


@pytest.mark.parametrize("corner", [3.0, 10.0])
@pytest.mark.parametrize("name", ["banjo", "mandolin"])
def test_large_corners_cut_no_line_and_no_letter_off(name, corner):
    file = made(name, corner_mm=corner)["svg"]
    parts = union_all([Polygon([(z.real, z.imag) for z in loop.points(0.1)]) for loop in svg_loops(file)])
    for layer in ("score", "engrave"):
        for called, edges, _ in svg_layer(file, layer):
            ends = [(z.real, z.imag) for edge in edges for z in (edge.start, edge.end)]
            assert parts.buffer(1e-3).covers(LineString(ends)), called
