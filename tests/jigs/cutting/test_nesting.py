"""Parts on stock: nothing lost, nothing overlaps, nothing outside, no stock wasted that a plain way would have saved."""

import csv
import io
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from readers import Loop, dxf_document, dxf_loops, svg_layer, svg_loops
from samples import run
from shapely import Polygon, box

from jigs.cutting.engraving import all_engraved
from jigs.cutting.nesting import GAP_MM, PartBox, Stock, nest_sheet, nested
from jigs.cutting.reference import HEIGHT_MM, WIDTH_MM
from jigs.drawing.items import Anchor, Drawing, Line, Path, Role, Text
from jigs.instrument.opening import preset_text

UM = 1e-3
KERF_MM = 0.2
STOCK_MM = (450.0, 300.0)
MARGIN_MM = 10.0
RACK = ("banjo", "mandolin", "mandola", "octave-mandolin", "tenor-banjo")
"""Instruments whose gauges take more than one sheet of such stock."""


@st.composite
def racks(draw):
    side = st.floats(5, 120).map(lambda mm: round(mm, 3))
    sizes = draw(st.lists(st.tuples(side, side), min_size=1, max_size=25))
    stock = Stock(draw(st.floats(60, 400)), draw(st.floats(60, 400)), draw(st.sampled_from([0.0, 3.0, 7.5])))
    return [PartBox(f"p{n}", *size) for n, size in enumerate(sizes)], stock, draw(st.sampled_from([0.0, 0.15, 2.0]))


def on_shelves(parts, stock, kerf, turn):
    """How many sheets a plain packing takes: in rows, the highest first; ``turn`` says which side lies across."""
    spacing = stock.gap_mm + kerf
    room = stock.width_mm - stock.gap_mm, stock.height_mm - stock.gap_mm
    sizes = [turn((part.width_mm + spacing, part.height_mm + spacing)) for part in parts]
    sheets, x, y, row = 1, 0.0, 0.0, 0.0
    for width, height in sorted(sizes, key=lambda size: -size[1]):
        if x + width > room[0]:
            x, y, row = 0.0, y + row, 0.0
        if y + height > room[1]:
            sheets, x, y, row = sheets + 1, 0.0, 0.0, 0.0
        x, row = x + width, max(row, height)
    return sheets


@given(racks())
@settings(max_examples=60, deadline=None)
def test_boxes_are_all_there_once_apart_inside_and_on_no_more_sheets_than_rows_would_take(rack):
    parts, stock, kerf = rack
    nest = nested(parts, stock, kerf)
    by_name = {part.name: part for part in parts}
    edge = stock.gap_mm + kerf / 2
    placed = [place.name for place in nest.placed]
    assert sorted([*placed, *(part.name for part in nest.too_large)]) == sorted(by_name)
    for part in nest.too_large:
        for width, height in ((part.width_mm, part.height_mm), (part.height_mm, part.width_mm)):
            assert width > stock.width_mm - 2 * edge - UM or height > stock.height_mm - 2 * edge - UM
    shapes = {}
    for place in nest.placed:
        part = by_name[place.name]
        size = (part.height_mm, part.width_mm) if place.turned else (part.width_mm, part.height_mm)
        assert (place.width_mm, place.height_mm) == size
        assert min(place.x_mm, place.y_mm) >= edge - UM
        assert place.x_mm + size[0] <= stock.width_mm - edge + UM
        assert place.y_mm + size[1] <= stock.height_mm - edge + UM
        shape = box(place.x_mm, place.y_mm, place.x_mm + size[0], place.y_mm + size[1])
        for other in shapes.setdefault(place.sheet, []):
            assert shape.distance(other) >= stock.gap_mm + kerf - UM
        shapes[place.sheet].append(shape)
    assert sorted(shapes) == list(range(1, nest.sheets + 1))
    fitting = [by_name[name] for name in placed]
    for turn in (lambda s: s, lambda s: (max(s), min(s)), lambda s: (min(s), max(s))):
        sizes = [turn((p.width_mm, p.height_mm)) for p in fitting]
        if fitting and all(w <= stock.width_mm - 2 * edge and h <= stock.height_mm - 2 * edge for w, h in sizes):
            assert nest.sheets <= on_shelves(fitting, stock, kerf, turn)
    assert nested(parts[::-1], stock, kerf).placed == nest.placed


def test_squares_that_tile_the_stock_fill_it():
    stock = Stock(4 * 50 + 5 * 3, 2 * 50 + 3 * 3)
    nest = nested([PartBox(f"p{n}", 50, 50) for n in range(16)], stock, 0.0)
    assert nest.sheets == 2
    assert not nest.too_large


def test_part_that_fits_only_turned_is_turned():
    nest = nested([PartBox("p", 50, 200)], Stock(220, 60), 0.0)
    (place,) = nest.placed
    assert place.turned
    assert (place.width_mm, place.height_mm) == (200, 50)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shelf")
    for name in RACK:
        text = preset_text(name)
        if name == "mandola":
            text = text.replace('hand  = "right"', 'hand  = "left"')
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def rack(shelf, tmp_path_factory):
    """A nested rack: its folder, and what lies on each sheet as nest.csv says."""
    out = tmp_path_factory.mktemp("rack")
    size = f"{STOCK_MM[0]:g}x{STOCK_MM[1]:g}"
    status, printed, shown = run(
        "rack", shelf, "--out", out, "--sheet", size, "--kerf", KERF_MM, "--format", "dxf,svg,pdf"
    )
    assert status == 0, shown
    lies = {}
    for row in csv.DictReader(io.StringIO((out / "nest.csv").read_text())):
        lies.setdefault(int(row["sheet"]), []).append(row)
    assert f"5 parts on {len(lies)} sheets" in printed
    assert len(lies) > 1, "they fit on one sheet, and the tests would show little"
    return out, lies


def polygon(loop):
    points = loop.points(0.5)
    return Polygon(np.column_stack([points.real, points.imag]))


def of_part(loops, part):
    return [loop for loop in loops if loop.name.startswith(f"{part}-")]


def outlines(loops):
    """The loops that lie in no other."""
    shapes = [polygon(loop) for loop in loops]
    return [shape for shape in shapes if not any(other is not shape and other.contains(shape) for other in shapes)]


@pytest.mark.parametrize("kind", ["svg", "dxf"])
def test_finished_parts_lie_the_gap_apart_and_from_the_edges_on_every_sheet(rack, kind):
    out, lies = rack
    for sheet, rows in lies.items():
        content = (out / f"nest-{sheet}.{kind}").read_bytes()
        shapes = outlines(svg_loops(content) if kind == "svg" else dxf_loops(content))
        assert len(shapes) == len(rows)
        top = MARGIN_MM if kind == "svg" else MARGIN_MM - float(sheet_height(out, sheet))
        stock = box(MARGIN_MM, top, MARGIN_MM + STOCK_MM[0], top + STOCK_MM[1])
        for n, shape in enumerate(shapes):
            assert stock.contains(shape)
            assert stock.exterior.distance(shape) >= GAP_MM + KERF_MM / 2 - UM
            for other in shapes[n + 1 :]:
                assert shape.distance(other) >= GAP_MM + KERF_MM - UM


def sheet_height(out, sheet):
    """Height of a sheet's page in mm, from which DXF counts up."""
    return ET.fromstring((out / f"nest-{sheet}.svg").read_bytes()).get("height").removesuffix("mm")


def test_every_part_is_there_once_and_is_the_part_that_is_drawn_alone(rack, shelf, tmp_path):
    out, lies = rack
    names = sorted(row["part"] for rows in lies.values() for row in rows)
    assert names == sorted(f"{name}-gauge" for name in RACK)
    run("rack", shelf, "--out", tmp_path, "--templates", "gauge", "--format", "svg,dxf,pdf", "--kerf", KERF_MM)
    for name in names:
        assert (tmp_path / f"{name}.pdf").read_bytes() == (out / f"{name}.pdf").read_bytes()
        assert not (out / f"{name}.dxf").exists()
    for sheet, rows in lies.items():
        content = (out / f"nest-{sheet}.svg").read_bytes()
        flat = dxf_loops((out / f"nest-{sheet}.dxf").read_bytes())
        loops = svg_loops(content)
        assert len(flat) == len(loops) == sum(len(of_part(loops, row["part"])) for row in rows)
        for row in rows:
            alone = svg_loops((tmp_path / f"{row['part']}.svg").read_bytes())
            mine = of_part(loops, row["part"])
            assert [loop.name for loop in mine] == [f"{row['part']}-{loop.name}" for loop in alone]
            corner = complex(float(row["x_mm"]) + MARGIN_MM, float(row["y_mm"]) + MARGIN_MM)
            turn = 1j if row["turned"] == "yes" else 1.0
            assert_same_place(alone, mine, turn, corner, (float(row["width_mm"]), float(row["height_mm"])))
            for layer in ("score", "engrave"):
                here = [item for item in svg_layer(content, layer) if item[0].startswith(row["part"]) or not item[0]]
                assert len(here) >= len(svg_layer((tmp_path / f"{row['part']}.svg").read_bytes(), layer))


def assert_same_place(alone, mine, turn, corner, size):
    """Piece by piece the same lines, arcs as arcs, turned or not, the box's corner where the table has it."""
    ends = [np.array([edge.start for loop in loops for edge in loop.edges]) for loops in (alone, mine)]
    moved = ends[0] * turn
    assert np.abs(moved - moved[0] - (ends[1] - ends[1][0])).max() < 0.01 * UM + 2e-6
    for before, after in zip(alone, mine, strict=True):
        for edge, other in zip(before.edges, after.edges, strict=True):
            assert (edge.centre is None) == (other.centre is None)
            assert abs(edge.length - other.length) < 1e-5
            assert abs(edge.sweep - other.sweep) < 1e-5
    left, top, right, bottom = np.array([Loop(loop.edges).box for loop in mine]).T
    assert abs(left.min() - corner.real) < 0.6 * UM + 1e-6
    assert abs(top.min() - corner.imag) < 0.6 * UM + 1e-6
    assert abs(right.max() - left.min() - size[0]) < UM
    assert abs(bottom.max() - top.min() - size[1]) < UM


def test_sheet_carries_the_rectangle_to_measure_and_the_stock_as_guides(rack):
    out, lies = rack
    for sheet, rows in lies.items():
        guides = {
            name: edges for name, edges, _ in svg_layer((out / f"nest-{sheet}.svg").read_bytes(), "guide") if name
        }
        crosses = {f"{row['part']}-{row['part'].split('-')[-1]}-outline-cross-{n}" for row in rows for n in (1, 2)}
        assert set(guides) == {"stock", "reference", *crosses}
        sizes = {name: Loop(edges).box for name, edges in guides.items()}
        assert sizes["stock"] == (MARGIN_MM, MARGIN_MM, MARGIN_MM + STOCK_MM[0], MARGIN_MM + STOCK_MM[1])
        left, top, right, bottom = sizes["reference"]
        assert (right - left, bottom - top) == (WIDTH_MM, HEIGHT_MM)
        assert left > sizes["stock"][2], "it lies on the stock"
        space = dxf_document((out / f"nest-{sheet}.dxf").read_bytes()).modelspace()
        frames = [item for item in space.query('LWPOLYLINE[layer=="GUIDE"]') if item.closed]
        found = {tuple(np.ptp([point[:2] for point in item.get_points("xy")], axis=0).tolist()) for item in frames}
        assert found == {STOCK_MM, (WIDTH_MM, HEIGHT_MM)}
        assert {item.dxftype() for item in space} <= {"LWPOLYLINE", "LINE", "CIRCLE"}


def test_ids_are_unique_on_a_sheet_even_where_an_instrument_has_two_parts_on_it(tmp_path):
    text = preset_text("mandolin")
    (tmp_path / "mandolin.toml").write_text(text, encoding="utf-8")
    out = tmp_path / "out"
    status, _, shown = run("rack", tmp_path, "--out", out, "--sheet", "900x600", "--templates", "gauge,top")
    assert status == 0, shown
    ids = [item.get("id") for item in ET.fromstring((out / "nest-1.svg").read_bytes()).iter() if item.get("id")]
    assert len(ids) == len(set(ids))
    for part in ("mandolin-gauge-bridge-line", "mandolin-top-bridge-line"):
        assert part in ids


def strokes_of(text):
    (path,) = all_engraved(Drawing((Text((0.0, 0.0), text, 2.5, Anchor.START),)), Role.GUIDE)
    return shape_of(path)


def shape_of(path):
    points = np.array([point for run_ in path.runs for point in run_])
    return tuple(map(tuple, np.round(points - points[0], 6).tolist()))


def test_sheet_says_which_it_is_and_what_lies_on_it():
    parts = {"long-name-" * 9 + "gauge": Drawing((Line((0.0, 0.0), (50.0, 20.0), Role.CUT),)), "b-top": Drawing()}
    parts["b-top"] = parts[next(iter(parts))]
    stock = Stock(120, 80)
    nest = nested([PartBox(name, 50.0, 20.0) for name in parts], stock, 0.0)
    sheet = nest_sheet(parts, nest.placed, stock, 2, 3, 0.15)
    guides = [item for item in sheet.drawing if isinstance(item, Path) and item.role is Role.GUIDE]
    said = {shape_of(item) for item in guides}
    for words in ("Parts to cut, sheet 2 of 3", "Stock: 120 mm x 80 mm", "Kerf of 0.15 mm allowed for.", "b-top"):
        assert strokes_of(words) in said, words
    right = max(x for item in guides for run_ in item.runs for x, _ in run_)
    assert right <= sheet.paper.width_mm - MARGIN_MM + 1


def test_part_larger_than_the_stock_is_refused_with_the_reason_and_the_others_come_out(shelf, tmp_path):
    status, printed, shown = run("rack", shelf, "--out", tmp_path, "--sheet", "230x120")
    assert status == 3
    refused = [line for line in shown.splitlines() if "does not fit on stock of 230 mm x 120 mm" in line]
    assert {line.split(".toml: --sheet: ")[0].rsplit("/", 1)[1] for line in refused} == {
        "mandolin",
        "mandola",
        "octave-mandolin",
    }
    assert all("; choose larger stock with --sheet" in line for line in refused)
    assert "2 parts on 2 sheets" in printed
    named = {row["part"] for row in csv.DictReader(io.StringIO((tmp_path / "nest.csv").read_text()))}
    assert named == {"banjo-gauge", "tenor-banjo-gauge"}


def test_stock_too_small_for_any_part_writes_no_sheet(shelf, tmp_path):
    status, _, shown = run("rack", shelf, "--out", tmp_path, "--sheet", "60x60")
    assert status == 3
    assert sum("does not fit" in line for line in shown.splitlines()) == len(RACK)
    assert not [path for path in tmp_path.iterdir() if path.name.startswith("nest")]


def test_second_run_draws_no_sheet_again_and_a_change_only_those_that_it_touches(shelf, tmp_path):
    moved = tmp_path / "shelf"
    moved.mkdir()
    for path in shelf.iterdir():
        (moved / path.name).write_bytes(path.read_bytes())
    out = tmp_path / "out"
    arguments = ("rack", moved, "--out", out, "--sheet", "450x300", "--kerf", KERF_MM)
    run(*arguments)
    contents = {path.name: path.read_bytes() for path in out.iterdir()}
    before = {path.name: path.stat().st_mtime_ns for path in out.iterdir()}
    run(*arguments)
    assert {path.name: path.stat().st_mtime_ns for path in out.iterdir()} == before
    last = max(name for name in contents if name.endswith(".dxf"))
    (out / last).unlink()
    run(*arguments)
    assert {path.name: path.read_bytes() for path in out.iterdir()} == contents
    text = (moved / "banjo.toml").read_text()
    (moved / "banjo.toml").write_text(text.replace("Five-string banjo", "Five string banjo"))
    run(*arguments)
    changed = {name for name in contents if (out / name).read_bytes() != contents[name]}
    assert len([name for name in changed if name.endswith(".dxf")]) == 1
    assert "nest.csv" not in changed
