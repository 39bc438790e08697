"""A part comes off the cutter true: its files are read back with other programs."""

import os
import re
import subprocess
import sys
from itertools import combinations, pairwise

import numpy as np
import pytest
from ezdxf import bbox
from readers import (
    UM,
    Edge,
    dxf_document,
    dxf_loops,
    pdf_loops_by_pdfium,
    pdf_loops_by_pdfminer,
    pdf_pieces_by_pdfium,
    svg_layer,
    svg_loops,
)
from samples import (
    HANDS,
    TO_CUT,
    assert_clear,
    cut_files,
    faults_are_sentences,
    filed,
    page,
    preset,
    run,
    with_template,
    words_of,
)
from shapely import LineString, MultiLineString, Polygon, box
from shapely import Point as ShapelyPoint
from working_edges import crown_at, deviations, face_at, outline_and_windows, placed

from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.cutting.registration import crosses
from jigs.drawing.items import Drawing, Role, Text, bounds
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import RimSide
from jigs.templates.options import Options
from jigs.templates.template import templates

pytestmark = pytest.mark.slow

KERFS = (0.0, 0.15, 0.4)
READERS = {"svg": svg_loops, "dxf": dxf_loops, "pdf": pdf_loops_by_pdfium}
MEASURED = {"gauge": ("heights", "arch"), "head": ("feet",), "top": ("heights", "arch", "notches", "feet")}

both_hands = pytest.mark.parametrize("hand", HANDS)
every_part = pytest.mark.parametrize(("template", "name"), TO_CUT)


def assert_true(template, workup, kerf, readers, rim_side=None, **choice):
    made = {key: value for key, value in choice.items() if key != "tail_side"}
    if rim_side is not None:
        made["rim_side"] = rim_side
    files = cut_files(template, workup, formats=",".join(readers), kerf_mm=kerf, **made)
    for kind, read in readers.items():
        for edge, off in deviations(template, workup, read(files[kind]), kerf, **choice).items():
            assert off < 2 * UM, f"{kind}, kerf {kerf}: {edge} is off by {off / UM:.2f} µm"


@both_hands
@every_part
def test_every_working_edge_is_true_after_cutting_in_every_format(template, name, hand):
    workup = with_template(template, name, hand=hand)
    for kerf in KERFS:
        in_all = (kerf == 0.15) == (hand == "left")
        assert_true(template, workup, kerf, READERS if in_all else {"svg": svg_loops})


@pytest.mark.parametrize(("template", "name"), [("gauge", "banjo"), ("head", "banjo"), ("top", "mandolin")])
def test_a_second_reader_of_pdf_finds_the_same_edges(template, name):
    workup = with_template(template, name, hand="left")
    content = cut_files(template, workup, formats="pdf", kerf_mm=0.15)["pdf"]
    for edge, off in deviations(template, workup, pdf_loops_by_pdfminer(content), 0.15).items():
        assert off < 2 * UM, f"{edge} is off by {off / UM:.2f} µm"


@both_hands
@pytest.mark.parametrize(("template", "name"), [part for part in TO_CUT if part[1] in ("banjo", "mandolin", "mandola")])
def test_working_edges_allow_for_step_arch_and_single_feet(template, name, hand):
    tables = MEASURED[template] if template != "gauge" or "banjo" not in name else ("heights",)
    workup = with_template(template, name, *tables, hand=hand)
    assert_true(template, workup, 0.15, {"svg": svg_loops, "dxf": dxf_loops})


@pytest.mark.parametrize("fret", [12, 15])
@pytest.mark.parametrize(("template", "name"), [("gauge", "banjo"), ("top", "archtop-guitar")])
def test_working_edges_are_true_from_another_fret(template, name, fret):
    assert_true(template, with_template(template, name), 0.15, {"svg": svg_loops}, datum_fret=fret)


@both_hands
@pytest.mark.parametrize("tables", [("heights",), ("heights", "arch")])
def test_working_edges_are_true_from_the_end_of_the_board(tables, hand):
    for name in ("mandolin", "archtop-guitar"):
        assert_true("top", with_template("top", name, *tables, hand=hand), 0.15, {"svg": svg_loops}, datum_end=True)


@both_hands
def test_working_edges_are_true_on_the_nut_side_of_the_rim(hand):
    workup = with_template("head", "banjo", hand=hand, fret_12_to_near_edge=220)
    for kerf in KERFS:
        assert_true("head", workup, kerf, {"svg": svg_loops}, rim_side=RimSide.NUT, tail_side=False)


@both_hands
@every_part
def test_scored_line_is_where_the_numbers_say_whatever_the_kerf(template, name, hand):
    workup = with_template(template, name, hand=hand)
    at = face_at if template == "gauge" else crown_at
    for kerf in (0.0, 0.4):
        content = cut_files(template, workup, formats="svg", kerf_mm=kerf)["svg"]
        part = placed(template, workup, svg_loops(content), kerf)
        (line,) = (edges for name, edges, _ in svg_layer(content, "score") if name == "bridge-line")
        ends = np.array([[edge.start, edge.end] for edge in line]).ravel()
        x = (ends.real - part.middle) / part.hand
        assert (x > 0).sum() == (x < 0).sum() == 2
        assert ends.imag - part.down == pytest.approx(at(workup, x), abs=2 * UM)


@both_hands
@every_part
def test_lines_to_cut_are_closed_uncrossed_and_cut_once(template, name, hand):
    """And run one way round outside, the other way inside."""
    workup = with_template(template, name, hand=hand)
    for kerf in KERFS:
        kinds = ("svg", "dxf") if kerf == 0.4 and hand == "left" else ("svg",)
        files = cut_files(template, workup, formats=",".join(kinds), kerf_mm=kerf)
        for kind in kinds:
            loops = READERS[kind](files[kind])
            shapes = [Polygon([(p.real, p.imag) for p in loop.points(0.5)]) for loop in loops]
            assert all(shape.is_valid for shape in shapes)
            assert all(not a.exterior.intersects(b.exterior) for a, b in combinations(shapes, 2))
            assert all(edge.length > 0.05 for loop in loops for edge in loop.edges), "a crumb of a line"
            outline, windows = outline_and_windows(loops)
            assert outline.turns_on, f"{kind}, kerf {kerf}"
            assert windows
            assert not any(window.turns_on for window in windows)


def shape_of(loops):
    outline, windows = outline_and_windows(loops)
    whole, *holes = (Polygon([(p.real, p.imag) for p in loop.points(0.05)]).buffer(0) for loop in (outline, *windows))
    return whole, holes


@both_hands
@every_part
def test_windows_keep_their_web_of_stock_after_cutting(template, name, hand):
    for kerf, web, tables in ((0.0, 5.0, ()), (0.4, 3.0, ("feet",) if template != "gauge" else ())):
        workup = with_template(template, name, *tables, hand=hand)
        whole, holes = shape_of(svg_loops(cut_files(template, workup, formats="svg", kerf_mm=kerf, web_mm=web)["svg"]))
        least = web + kerf - 2 * UM
        for hole in holes:
            assert whole.contains(hole)
            assert whole.exterior.distance(hole) > least
        assert all(a.distance(b) > least for a, b in combinations(holes, 2))


@pytest.mark.parametrize(
    ("template", "name", "tables", "asked", "web"),
    [
        ("gauge", "banjo", (), ["--corner", "8"], 3),
        ("head", "banjo", ("head", "feet"), ["--web", "20"], 20),
        ("top", "mandolin", ("feet",), ["--web", "29"], 29),
    ],
)
def test_more_web_than_there_is_stock_is_refused_with_the_reason(tmp_path, template, name, tables, asked, web):
    """Three feet of 12 mm on 72 mm have 18 mm between them; two of 40 on 108 have 28."""
    file, out = tmp_path / "mine.toml", tmp_path / "out"
    file.write_text(filed(name, *tables))
    for kind in ("pdf", "svg", "dxf"):
        status, _, shown = run("draw", file, template, *asked, "--format", kind, "--paper", "a3", "--out", out)
        faults_are_sentences(status, shown, out)
        assert f"less than the web of {web} mm" in shown


@pytest.mark.parametrize("corner", ["5.5", "6.1", "6.5"])
def test_stock_beside_a_window_is_not_refused_as_equal_to_the_web(tmp_path, corner):
    status, _, shown = run("draw", "banjo", "gauge", "--corner", corner, "--format", "svg", "--out", tmp_path)
    assert status == 0 or "only 3.0 mm of stock" not in shown, shown


@both_hands
@every_part
def test_round_corners_and_rims_stay_true_arcs_when_the_kerf_is_allowed_for(template, name, hand):
    """Every arc of the bare part comes back about the same centre, larger or smaller by half the kerf."""
    workup = with_template(template, name, hand=hand)
    for kind in ("svg", "dxf") if hand == "right" else ("svg",):
        bare, grown = arcs_of(template, workup, "svg", 0.0), arcs_of(template, workup, kind, 0.4)
        assert len(grown) == len(bare) > 4
        for arc in grown:
            change = arc.radius - min(bare, key=lambda old: abs(old.at(0.5) - arc.at(0.5))).radius
            assert abs(abs(change) - 0.2) < 2 * UM
            old = min(bare, key=lambda old: abs(old.at(0.5) - arc.at(0.5)))
            off = abs(abs(arc.at(np.linspace(0, 1, 9)) - old.centre) - old.radius - change).max()
            assert off < 2 * UM, f"{kind}: an arc is off by {off / UM:.2f} µm"


def arcs_of(template, workup, kind, kerf):
    """Arcs of a file, in the instrument's frame."""
    loops = READERS[kind](cut_files(template, workup, formats=kind, kerf_mm=kerf)[kind])
    part = placed(template, workup, loops, kerf)
    origin = complex(part.middle, part.down)
    return [
        Edge(edge.start - origin, edge.end - origin, edge.centre - origin, edge.sweep)
        for loop in loops
        for edge in loop.edges
        if edge.centre is not None
    ]


@pytest.mark.parametrize(("template", "name"), [("gauge", "banjo"), ("head", "banjo"), ("top", "mandolin")])
def test_corner_as_round_as_half_the_kerf_leaves_no_crumbs(template, name):
    """Inside corners become sharp then; pieces of a few thousandths would make a cutter stutter."""
    workup = with_template(template, name)
    for corner in (0.1999, 0.2):
        content = cut_files(template, workup, formats="svg", kerf_mm=0.4, corner_mm=corner)["svg"]
        shortest = min(edge.length for loop in svg_loops(content) for edge in loop.edges)
        assert shortest > 0.05, f"a piece of {shortest / UM:.1f} µm"


@both_hands
@every_part
def test_words_and_marks_stay_on_the_part_and_apart(template, name, hand):
    """All words are open single strokes; none lies over a mark, another word, a window, or the edge."""
    workup = with_template(template, name, hand=hand)
    assert_words_apart(cut_files(template, workup, formats="svg", kerf_mm=0.15)["svg"])


@both_hands
@pytest.mark.parametrize(("template", "name"), [part for part in TO_CUT if part[1] in ("banjo", "mandolin")])
def test_words_and_marks_stay_apart_on_a_part_with_everything_measured(template, name, hand):
    tables = MEASURED[template] if template != "gauge" or "banjo" not in name else ("heights",)
    workup = with_template(template, name, *tables, hand=hand, name='"' + "Long name " * 5 + '"')
    assert_words_apart(cut_files(template, workup, formats="svg", kerf_mm=0.15)["svg"])


def assert_words_apart(content):
    assert b"<text" not in content
    whole, holes = shape_of(svg_loops(content))
    words, scored = ([[(e.start, e.end) for e in edges] for _, edges, _ in svg_layer(content, layer)]
                     for layer in ("engrave", "score"))  # fmt: skip
    assert not any(closed for _, _, closed in svg_layer(content, "engrave") + svg_layer(content, "score"))
    assert len(words) > 3
    lines, marks = (
        [MultiLineString([((a.real, a.imag), (b.real, b.imag)) for a, b in one]) for one in group]
        for group in (words, scored)
    )
    for line in (*lines, *marks):
        assert whole.contains(line), f"over the edge: {line.bounds}"
        assert whole.exterior.distance(line) > 0.2, f"at the edge: {line.bounds}"
        assert all(hole.distance(line) > 0.2 for hole in holes), f"at a window: {line.bounds}"
    boxes = [box(*line.bounds) for line in lines]
    for n, one in enumerate(boxes):
        assert all(one.distance(other) > 0.2 for other in boxes[n + 1 :]), f"two words at {one.bounds}"
        assert all(one.distance(mark) > 0.1 for mark in marks), f"word over a mark at {one.bounds}"


@every_part
def test_dxf_is_sound_and_says_millimetres(template, name):
    workup = with_template(template, name, hand="left")
    document = dxf_document(cut_files(template, workup, formats="dxf", kerf_mm=0.15)["dxf"])
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    space = document.modelspace()
    assert {item.dxf.layer for item in space} == {"CUT", "SCORE", "ENGRAVE", "GUIDE"}
    assert {item.dxftype() for item in space} <= {"LWPOLYLINE", "LINE", "CIRCLE"}
    assert not any(item.closed for item in space.query('LWPOLYLINE[layer=="ENGRAVE"]'))
    assert all(len(item) > 1 for item in space.query('LWPOLYLINE[layer=="ENGRAVE"]'))
    assert document.layers.get("GUIDE").dxf.plot == 0
    frames = [item for item in space.query('LWPOLYLINE[layer=="GUIDE"]') if item.closed]
    sizes = [np.ptp([point[:2] for point in frame.get_points()], axis=0) for frame in frames]
    assert any(size == pytest.approx([100, 50], abs=UM) for size in sizes)


@pytest.mark.parametrize(("template", "name"), [*TO_CUT, ("fretboard", "banjo"), ("fretboard", "mandolin")])
def test_dxf_opens_on_all_of_the_drawing_at_true_scale(template, name):
    """Wide boards too: the view is a third wider than high."""
    document = dxf_document(cut_files(template, with_template(template, name), formats="dxf")["dxf"])
    assert document.header["$PSVPSCALE"] == 1
    everything = bbox.extents(document.modelspace())
    for corner, name_in_header in ((everything.extmin, "$EXTMIN"), (everything.extmax, "$EXTMAX")):
        assert document.header[name_in_header] == pytest.approx(tuple(corner), abs=2 * UM)
    page = document.header["$PLIMMAX"]
    assert document.header["$PLIMMIN"] == (0, 0)
    assert all(5 < left < 16 for left in np.array(page) - tuple(everything.extmax)[:2]), "a program prints on this page"
    points = np.array(page) / 25.4 * 72
    assert tuple(page) == tuple(np.round(page))
    assert abs(points - np.round(points)).max() < 0.1, "a program rounds its page to points, and all lines with it"
    (view,) = document.viewports.get("*Active")
    assert tuple(view.dxf.center)[:2] == pytest.approx(tuple(everything.center)[:2], abs=2 * UM)
    shares = everything.size.y / view.dxf.height, everything.size.x / view.dxf.height / 1.34
    assert 0.85 < max(shares) < 0.95


def test_dxf_of_a_fretboard_is_sound_and_its_slots_are_where_the_frets_are():
    workup = preset("tenor-banjo")
    document = dxf_document(cut_files("fretboard", workup, formats="dxf")["dxf"])
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert document.header["$INSUNITS"] == 4
    slots = [item.get_points("xy") for item in document.modelspace().query('LWPOLYLINE[layer=="SCORE"]')]
    assert all(ends[0][1] == ends[-1][1] for ends in slots)
    levels = sorted(-ends[0][1] for ends in slots)
    assert np.diff(levels) == pytest.approx(np.diff(workup.from_nut_mm), abs=UM)


def test_file_says_that_kerf_is_allowed_for_only_where_it_is():
    """Beside the reference rectangle: a fretboard whose outline is where it was must not claim more for a wider kerf."""
    workup = preset("tenor-banjo")
    bare, claimed = (dxf_document(cut_files("fretboard", workup, formats="dxf", kerf_mm=k)["dxf"]) for k in (0.0, 0.4))
    (was,), (now,) = (one.modelspace().query('LWPOLYLINE[layer=="CUT"]') for one in (bare, claimed))
    if np.ptp(was.get_points("xy"), axis=0) == pytest.approx(np.ptp(now.get_points("xy"), axis=0), abs=UM):
        words = [len(one.modelspace().query('*[layer=="GUIDE"]')) for one in (bare, claimed)]
        assert words[0] == words[1], "the words differ, the outline does not"


@both_hands
@every_part
def test_reference_rectangle_lies_apart_and_is_not_cut(template, name, hand):
    files = cut_files(template, with_template(template, name, hand=hand), formats="svg", kerf_mm=0.15)
    (edges,) = (edges for name, edges, closed in svg_layer(files["svg"], "guide") if name == "reference" and closed)
    corners = np.array([edge.start for edge in edges])
    left, top, right, bottom = corners.real.min(), corners.imag.min(), corners.real.max(), corners.imag.max()
    assert (right - left, bottom - top, len(edges)) == (pytest.approx(100, abs=UM), pytest.approx(50, abs=UM), 4)
    whole, _ = shape_of(svg_loops(files["svg"]))
    assert whole.distance(box(left, top, right, bottom)) > 5
    width, height = (float(side) for side in re.search(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"', files["svg"]).groups())
    for one in (whole.bounds, (left, top, right, bottom)):
        assert 5 < one[0] < one[2] < width - 5
        assert 5 < one[1] < one[3] < height - 5


def guides_of(files):
    """Straight guides of each format, as rows of x and y of both ends, from the top left corner of the part's box."""
    found = {}
    for kind, read in READERS.items():
        left, top, _, _ = outline_and_windows(read(files[kind]))[0].box
        if kind == "svg":
            rows = [
                (e.start.real, e.start.imag, e.end.real, e.end.imag)
                for _, edges, _ in svg_layer(files[kind], "guide")
                for e in edges
            ]
        elif kind == "dxf":
            runs = [item.get_points("xy") for item in dxf_document(files[kind]).modelspace().query("LWPOLYLINE")]
            rows = [(x1, -y1, x2, -y2) for run in runs for (x1, y1), (x2, y2) in pairwise(run)]
        else:
            rows = pdf_pieces_by_pdfium(files[kind])
        found[kind] = np.array(rows) - [left, top, left, top]
    return found


def crosses_among(rows):
    """Middles of the crosses of 3 mm among straight pieces."""
    way, middles = abs(rows[:, 2:] - rows[:, :2]), (rows[:, 2:] + rows[:, :2]) / 2
    level, upright = (middles[abs(way - size).max(axis=1) < 2 * UM] for size in ([3, 0], [0, 3]))
    return sorted(tuple(one) for one in level if any(abs(upright - one).max(axis=1) < 2 * UM))


@every_part
def test_crosses_for_a_second_pass_lie_at_the_same_places_in_every_format(template, name):
    files = cut_files(template, with_template(template, name, hand="left"), formats="svg,dxf,pdf", kerf_mm=0.15)
    svg, dxf, pdf = (crosses_among(rows) for rows in guides_of(files).values())
    assert len(svg) == 2
    assert np.array(dxf) == pytest.approx(np.array(svg), abs=2 * UM)
    assert np.array(pdf) == pytest.approx(np.array(svg), abs=2 * UM)
    left, top, right, bottom = outline_and_windows(svg_loops(files["svg"]))[0].box
    assert np.hypot(*np.ptp(svg, axis=0)) > 0.7 * max(right - left, bottom - top)


@both_hands
@every_part
def test_crosses_lie_on_the_part_clear_of_all_else_whatever_the_kerf(template, name, hand):
    workup, places = with_template(template, name, hand=hand), []
    for kerf in (0.0, 0.4):
        content = cut_files(template, workup, formats="svg", kerf_mm=kerf)["svg"]
        whole, holes = shape_of(svg_loops(content))
        drawn = {layer: svg_layer(content, layer) for layer in ("guide", "score", "engrave")}
        arms = [edges for name, edges, _ in drawn["guide"] if "cross-" in name]
        shapes = [
            MultiLineString([((e.start.real, e.start.imag), (e.end.real, e.end.imag)) for e in run]) for run in arms
        ]
        marks = [
            MultiLineString([((e.start.real, e.start.imag), (e.end.real, e.end.imag)) for e in edges])
            for layer in ("score", "engrave")
            for _, edges, _ in drawn[layer]
        ]
        for shape in shapes:
            assert whole.contains(shape)
            assert min(one.distance(shape) for one in (whole.exterior, *holes, *marks)) > 0.9
        (line,) = (edges for name, edges, _ in drawn["score"] if name == "bridge-line")
        places.append([run[0].start - line[0].start for run in arms])
    assert places[0] == pytest.approx(places[1], abs=2 * UM)


@both_hands
def test_no_cross_of_a_gauge_can_be_read_as_the_sign_of_a_number(hand):
    for name in ("banjo", "mandolin"):
        content = cut_files("gauge", preset(name, hand=hand), formats="svg")["svg"]
        runs = {layer: svg_layer(content, layer) for layer in ("guide", "engrave")}
        shapes, words = (
            [
                MultiLineString([((e.start.real, e.start.imag), (e.end.real, e.end.imag)) for e in edges])
                for item, edges, _ in rows
                if layer == "engrave" or "cross-" in item
            ]
            for layer, rows in runs.items()
        )
        assert len(shapes) == 2
        assert min(one.distance(cross) for one in words for cross in shapes) > 5.9


def test_crosses_of_a_board_lie_between_its_slots_and_dots():
    for name, hand in (("banjo", "left"), ("mandolin", "right")):
        content = cut_files("fretboard", preset(name, hand=hand), formats="dxf")["dxf"]
        space = dxf_document(content).modelspace()
        (board,) = (Polygon(item.get_points("xy")) for item in space.query('*[layer=="CUT"]'))
        slots = [LineString(item.get_points("xy")) for item in space.query('LWPOLYLINE[layer=="SCORE"]')]
        dots = [ShapelyPoint(item.dxf.center.vec2).buffer(item.dxf.radius) for item in space.query('*[layer=="DRILL"]')]
        assert len(dots) >= 7
        runs = [item.get_points("xy") for item in space.query('LWPOLYLINE[layer=="GUIDE"]')]
        rows = np.array([(*start, *end) for run in runs for start, end in pairwise(run)])
        middles = crosses_among(rows)
        assert len(middles) == 2
        for at in middles:
            about = ShapelyPoint(at).buffer(1.5)
            assert board.contains(about)
            assert min(one.distance(about) for one in (board.exterior, *slots, *dots)) > 0.9


def test_a_part_without_room_for_crosses_has_none():
    corners = [Corner(at) for at in ((0, 0), (200, 0), (200, 4.9), (0, 4.9))]
    assert not crosses(CutPart(closed_path(corners, "strip")), Drawing()).items


@pytest.mark.parametrize("template", ["gauge", "head", "top"])
def test_svg_and_dxf_hold_the_same_part(template):
    """Every line of the one is in the other, layer by layer, once the reference rectangles lie on each other."""
    workup = with_template(
        template,
        "mandola" if template == "top" else "banjo",
        *(MEASURED[template] if template != "gauge" else ("heights",)),
    )
    files = cut_files(template, workup, formats="svg,dxf", kerf_mm=0.15)
    space = dxf_document(files["dxf"]).modelspace()
    frame = next(item for item in space.query('LWPOLYLINE[layer=="GUIDE"]') if item.closed)
    corner = min(point[0] for point in frame.get_points()), max(point[1] for point in frame.get_points())
    (edges,) = (edges for name, edges, _ in svg_layer(files["svg"], "guide") if name == "reference")
    shift = edges[0].start - complex(corner[0], -corner[1])
    for layer in ("cut", "score", "engrave", "guide"):
        ours = np.array([e.at([0.0, 0.5, 1.0]) for _, edges, _ in svg_layer(files["svg"], layer) for e in edges])
        theirs = []
        for item in space.query(f'*[layer=="{layer.upper()}"]'):
            for part in [item] if item.dxftype() == "LINE" else item.virtual_entities():
                if part.dxftype() == "ARC":
                    (middle,) = part.vertices(
                        [part.dxf.start_angle + (part.dxf.end_angle - part.dxf.start_angle) % 360 / 2]
                    )
                    points = (part.start_point, middle, part.end_point)
                else:
                    points = (part.dxf.start, part.dxf.start.lerp(part.dxf.end), part.dxf.end)
                theirs.append([complex(point.x, -point.y) + shift for point in points])
        theirs = np.array(theirs)
        assert len(theirs) == len(ours)
        for points in theirs:
            assert min(abs(ours - points).max(axis=1).min(), abs(ours - points[::-1]).max(axis=1).min()) < 2 * UM


def test_same_input_gives_the_same_bytes_in_another_run(tmp_path):
    """Sets and dictionaries of Python change their order with PYTHONHASHSEED."""
    file = tmp_path / "mine.toml"
    file.write_text(filed("banjo", "head", "feet"))
    command = [
        sys.executable,
        "-m",
        "jigs",
        "draw",
        file,
        "gauge",
        "head",
        "fretboard",
        "--format",
        "pdf,svg,dxf",
        "--paper",
        "a3",
    ]
    runs = [
        subprocess.Popen(
            [*command, "--kerf", "0.2", "--out", tmp_path / seed],
            stdout=subprocess.PIPE,
            env=os.environ | {"PYTHONHASHSEED": seed},
        )
        for seed in ("1", "77")
    ]
    for process in runs:
        assert process.wait(timeout=60) == 0
        process.stdout.close()
    first, second = ({path.name: path.read_bytes() for path in (tmp_path / seed).iterdir()} for seed in ("1", "77"))
    assert len(first) >= 8
    assert first == second


@both_hands
@every_part
def test_words_on_the_page_stand_clear_and_nothing_is_cut_off(template, name, hand):
    assert_page_clear(page(template, with_template(template, name, hand=hand)))


@every_part
def test_words_are_clear_on_american_paper_with_everything_measured(template, name):
    tables = MEASURED[template] if template != "gauge" or "banjo" not in name else ("heights",)
    assert_page_clear(page(template, with_template(template, name, *tables), paper="letter", other="tabloid"))


def assert_page_clear(drawn):
    assert_clear(drawn.drawing)
    all_of_it = drawn.drawing.bounds()
    assert min(all_of_it.left, all_of_it.top) >= 5
    assert all_of_it.right <= drawn.paper.width_mm - 5
    assert all_of_it.bottom <= drawn.paper.height_mm - 5
    outline = next(item for item in drawn.drawing if item.id.endswith("-outline")).flattened(0.05)
    part = Polygon(outline.runs[0])
    for item in drawn.drawing:
        if isinstance(item, Text):
            about = bounds(item)
            over = part.intersects(box(about.left, about.top, about.right, about.bottom))
            assert not over, f"{item.text!r} would be cut up"


@every_part
def test_page_says_to_measure_after_import_and_warns_of_knives_lasers_and_vinyl(template, name):
    sheets = lay_out(with_template(template, name), templates()[template], PAPERS["a4"], Options())
    words = " ".join(words_of(sheet.drawing) for sheet in sheets)
    assert "in a cut file, the rectangle on GUIDE: 100 × 50 mm." in words
    assert "only with extraction" in words
    assert "the machine's own rules" in words
    assert "never vinyl or PVC" in words
    assert "Slacken before you prise" in words
    assert "cut away from yourself and the instrument" in words
    assert any(item.role is Role.ENGRAVED for item in sheets[0].drawing)
