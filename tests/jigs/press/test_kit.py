"""The kit of an instrument: its parts on one sheet are those of their own files, apart, in every format."""

import io
import re
from itertools import combinations

import numpy as np
import pdfplumber
import pytest
from pages import faults_of, pages_of
from readers import dxf_loops, pdf_loops_by_pdfium, svg_layer, svg_loops
from samples import HANDS, faults_are_sentences, filed, run
from shapely import MultiLineString, Polygon, box

from jigs.cutting.nesting import GAP_MM
from jigs.templates.catalogue import CUT_FROM_STOCK, KIT

pytestmark = pytest.mark.slow

UM = 1e-3
IS_NAME = re.compile("(^|-)name$")
MARGIN_MM = 10.0
LAYERS = ("cut", "score", "engrave", "guide", "drill")
OUTLINES = re.compile(r"(gauge|head|top)-outline|wedge-\w+|witness-\w+|blank-\w+|strip|counter|comb|square|protractor")


@pytest.fixture
def mine(tmp_path):
    """An instrument's file, by preset and hand, and the folder that it is in."""

    def write(name="mandolin", hand="right", **values):
        file = tmp_path / f"{name}-{hand}.toml"
        file.write_text(filed(name, hand=hand, **values))
        return file

    return write


def kit_of(file, *options):
    """Exit status, files by suffix, and what was said."""
    out = file.parent / "kit"
    status, _, said = run("draw", file, "--kit", "--out", out, *options)
    return status, {one.name.removeprefix(file.stem): one.read_bytes() for one in out.iterdir()}, said


def strokes(content):
    """Start and end of every piece of an SVG file to cut, as complex numbers, without the names of instruments."""
    items = [item for layer in LAYERS for item in svg_layer(content, layer) if not IS_NAME.search(item[0])]
    return np.array([(edge.start, edge.end) for _, edges, _ in items for edge in edges])


def parts_in(content):
    """Every part of a file: its outline's name, and where its pieces are, from the corner of its outline's box."""
    named = [(OUTLINES.search(loop.name), loop) for loop in svg_loops(content)]
    outer = {found[0]: loop.box for found, loop in named if found}
    pieces, parts = strokes(content), {}
    for name, (left, top, right, foot) in outer.items():
        x, y = pieces.mean(axis=1).real, pieces.mean(axis=1).imag
        mine = pieces[(left - UM < x) & (x < right + UM) & (top - UM < y) & (y < foot + UM)]
        parts[name] = mine - complex(left, top), complex(right - left, foot - top)
    return parts


def reach(loop):
    """Left, top, right, bottom of a loop, its arcs included."""
    points = loop.points(0.05)
    return points.real.min(), points.imag.min(), points.real.max(), points.imag.max()


def turned(part):
    """A part a quarter turn clockwise, from the corner of its box."""
    pieces, size = part
    return pieces * 1j + size.imag, complex(size.imag, size.real)


def is_same(one, other):
    """Whether two parts have the same pieces, each the same way round."""
    if len(one[0]) != len(other[0]) or abs(one[1] - other[1]) > 4 * UM:
        return False
    flat = [np.column_stack([part[0].real, part[0].imag]) for part in (one, other)]
    from scipy.spatial import cKDTree

    return max(cKDTree(flat[0]).query(flat[1])[0].max(), cKDTree(flat[1]).query(flat[0])[0].max()) < 4 * UM


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize(("name", "kerf"), [("mandolin", 0.0), ("banjo", 0.2)])
def test_every_part_of_the_kit_is_the_part_of_its_own_file(mine, name, kerf, hand):
    file = mine(name, hand)
    status, files, said = kit_of(file, "--kerf", kerf, "--format", "svg")
    assert status == 0, said
    nested = parts_in(files["-kit.svg"])
    own = file.parent / "own"
    assert run("draw", file, *KIT, "--wedges", "--kerf", kerf, "--format", "svg", "--out", own)[0] == 0
    alone = {}
    for template in KIT:
        alone |= parts_in((own / f"{file.stem}-{template}.svg").read_bytes())
    assert nested.keys() == alone.keys()
    assert {"gauge-outline", "wedge-treble", "wedge-bass", "strip", "comb", "witness-treble", "witness-bass"} < set(
        alone
    )
    for part, there in nested.items():
        assert is_same(there, alone[part]) or is_same(there, turned(alone[part])), part


@pytest.mark.parametrize("kerf", [0.0, 0.3])
@pytest.mark.parametrize("gap", [0.0, 3.0, 8.0])
def test_stock_as_wide_as_the_gap_is_left_between_parts_and_at_the_edges(mine, gap, kerf):
    status, files, said = kit_of(mine(), "--gap", gap, "--kerf", kerf, "--sheet", "500x400")
    assert status == 0, said
    for kind, read in (("svg", svg_loops), ("dxf", dxf_loops)):
        loops = read(files[f"-kit.{kind}"])
        shapes = [Polygon([(p.real, p.imag) for p in loop.points(0.1)]) for loop in loops]
        outer = [one for one in shapes if not any(other is not one and other.contains(one) for other in shapes)]
        assert len(outer) > 10
        finished = [shape.buffer(-kerf / 2, join_style="mitre") for shape in outer]
        if kind == "svg":
            stock = box(*(MARGIN_MM + edge for edge in (0, 0, 500, 400)))
            assert min(stock.exterior.distance(shape) for shape in finished) > gap - 5 * UM
            assert all(stock.contains(shape) or gap == 0 for shape in finished)
        assert min(one.distance(other) for one, other in combinations(finished, 2)) > gap - 5 * UM


def test_svg_dxf_and_pdf_hold_the_same_lines_to_cut(mine):
    status, files, said = kit_of(mine("banjo"))
    assert status == 0, said
    assert set(files) == {"-kit.svg", "-kit.dxf", "-kit.pdf"}
    svg, dxf, pdf = (
        sorted(reach(loop) for loop in read(files[f"-kit.{kind}"]))
        for kind, read in (("svg", svg_loops), ("dxf", dxf_loops), ("pdf", pdf_loops_by_pdfium))
    )
    assert len(svg) == len(dxf) == len(pdf)
    assert np.array(svg) == pytest.approx(np.array(pdf), abs=4 * UM)
    sizes = [sorted((round(b[2] - b[0], 2), round(b[3] - b[1], 2)) for b in boxes) for boxes in (svg, dxf)]
    assert np.array(sizes[0]) == pytest.approx(np.array(sizes[1]), abs=0.011)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", ["mandolin", "banjo", "archtop-guitar"])
def test_every_part_says_which_instrument_it_is_for_or_a_note_says_that_it_cannot(mine, name, hand):
    _, files, said = kit_of(mine(name, hand), "--format", "svg")
    names = [item for item in svg_layer(files["-kit.svg"], "engrave") if IS_NAME.search(item[0])]
    nameless = " ".join(line for line in said.splitlines() if "no room for the instrument's name" in line)
    for part in parts_in(files["-kit.svg"]):
        short = part.removesuffix("-outline")
        own = [item for item in names if item[0].startswith(f"{name}-{hand}-{short}-")]
        assert len(own) == (0 if re.search(rf"\b{short}\b", nameless) else 1), part
    assert len(names) > 8


def test_name_that_the_kit_adds_touches_nothing(mine):
    _, files, _ = kit_of(mine(), "--format", "svg")
    content = files["-kit.svg"]
    items = [
        (name, MultiLineString([_ends(edge) for edge in edges]))
        for layer in LAYERS
        for name, edges, _ in svg_layer(content, layer)
    ]
    names = [(name, line) for name, line in items if IS_NAME.search(name)]
    assert len(names) > 8
    for name, line in names:
        assert min(line.distance(other) for item, other in items if item != name) > 0.5, name


def _ends(edge):
    return [(edge.start.real, edge.start.imag), (edge.end.real, edge.end.imag)]


def test_no_two_things_of_a_kit_have_one_id(mine):
    _, files, _ = kit_of(mine("banjo"), "--format", "svg")
    ids = re.findall(r'\bid="([^"]+)"', files["-kit.svg"].decode())
    assert len(ids) == len(set(ids)) > 100


def test_printed_kit_says_what_it_is_for(mine):
    content = kit_of(mine())[1]["-kit.pdf"]
    assert list(faults_of(content)) == []
    assert [" ".join(page.headings) for page in pages_of(content)] == ["Kit: cut these parts"]


def test_same_kit_has_the_same_bytes(mine):
    file = mine()
    assert kit_of(file)[1] == kit_of(file)[1]


def test_kit_on_small_stock_has_a_file_for_each_sheet_and_one_pdf(mine):
    status, files, said = kit_of(mine(), "--sheet", "360x150")
    assert status == 0, said
    sheets = {name for name in files if name.endswith(".svg")}
    assert len(sheets) > 1
    assert sheets == {f"-kit-{n}.svg" for n in range(1, len(sheets) + 1)}
    with pdfplumber.open(io.BytesIO(files["-kit.pdf"])) as pdf:
        assert len(pdf.pages) == len(sheets)
    parts = [name for one in sorted(sheets) for name in parts_in(files[one])]
    assert len(parts) == len(set(parts)) == len(parts_in(kit_of(mine(), "--format", "svg")[1]["-kit.svg"]))


def test_part_that_no_sheet_holds_is_missing_and_the_others_are_there(mine):
    whole = parts_in(kit_of(mine("banjo"), "--format", "svg")[1]["-kit.svg"])
    status, files, said = kit_of(mine("banjo"), "--sheet", "300x200", "--format", "svg", "--out", mine().parent / "kit")
    assert status == 3
    (line,) = (line for line in said.splitlines() if line.startswith("missing"))
    assert re.match(r"missing: strip: --sheet: banjo-right-strip \(22 mm x \d+ mm\) does not fit", line)
    assert line.endswith("choose larger stock with --sheet")
    there = set(parts_in(files["-kit.svg"]))
    assert there == set(whole) - {"strip"}


def test_gauge_is_in_the_kit_without_wedges_where_feet_are_too_short_for_them(mine):
    file = mine("banjo-ukulele", length=28.0, spacing=26.0)
    status, files, said = kit_of(file, "--format", "svg")
    assert status == 3, said
    assert "missing: wedges: " in said
    assert "[bridge] length" in said
    names = set(parts_in(files["-kit.svg"]))
    assert "gauge-outline" in names
    assert not {"wedge-treble", "wedge-bass"} & names


def test_nothing_is_written_if_no_part_fits(mine):
    file = mine()
    status, _, said = run("draw", file, "witness", "--kit", "--sheet", "30x30", "--out", file.parent / "x")
    faults_are_sentences(status, said, file.parent / "x")
    assert "--sheet" in said


def test_parts_that_are_named_are_the_kit(mine):
    status, files, said = kit_of(mine(), "witness", "--format", "svg")
    assert status == 0, said
    assert set(parts_in(files["-kit.svg"])) == {"witness-treble", "witness-bass"}


def test_part_whose_measurements_are_lacking_is_noted(mine):
    status, files, said = kit_of(mine("banjo"), "--all", "--format", "svg")
    assert status == 0, said
    assert "the head is not drawn: " in said
    assert "[rim] fret_12_to_near_edge" in said
    assert "head-outline" not in parts_in(files["-kit.svg"])


@pytest.mark.parametrize(
    ("arguments", "place"),
    [
        (("fork", "--kit"), "TEMPLATE"),
        (("gauge", "spacing", "--kit"), "TEMPLATE"),
        (("--kit", "--sheet", "600"), "--sheet"),
        (("--kit", "--sheet", "6x3"), "--sheet"),
        (("--kit", "--gap", "-1"), "--gap"),
        (("--sheet", "600x300"), "--sheet"),
        (("gauge", "--gap", "3"), "--gap"),
    ],
)
def test_kit_that_cannot_be_is_refused(mine, arguments, place):
    file = mine()
    status, _, said = run("draw", file, *arguments, "--out", file.parent / "x")
    faults_are_sentences(status, said, file.parent / "x")
    assert place in said.split(": ")[0], said


def test_kit_of_a_rack_holds_every_part_of_every_instrument(mine):
    shelf = mine("mandolin").parent
    mine("banjo", "left")
    out = shelf / "out"
    status, _, said = run("rack", shelf, "--kit", "--out", out)
    assert status == 0, said
    nested = {}
    for sheet in sorted(out.glob("nest-*.svg")):
        ids = [loop.name for loop in svg_loops(sheet.read_bytes())]
        nested |= dict.fromkeys(ids, sheet.name)
    for name in ("mandolin-right", "banjo-left"):
        _, files, _ = kit_of(shelf / f"{name}.toml", "--format", "svg")
        own = {loop.name for loop in svg_loops(files["-kit.svg"])}
        assert own == {one for one in nested if one.startswith(name)}
        for one in files:
            (shelf / "kit" / f"{name}{one}").unlink()


def test_every_template_of_the_kit_is_cut_from_stock():
    assert set(KIT) <= CUT_FROM_STOCK
    assert GAP_MM > 0
