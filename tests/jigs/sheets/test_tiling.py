"""Pieces of a fretboard that has been cut for the paper go together again to the board that was computed."""

import io
from functools import cache
from itertools import pairwise, product
from math import ceil, log2

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from instruments import edited
from readers import MM_PER_POINT, farthest_mm, pdf_pieces_by_pdfminer, svg_pieces
from samples import HANDS, PRESETS, named, pieces, preset

from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Circle, Line, Path, Role, Text, bounds, drawing, strokes
from jigs.drawing.room import HEADING_MM, DoesNotFit
from jigs.export.pdf import to_pdf
from jigs.export.svg import to_svg
from jigs.instrument.file import parse
from jigs.press.layout import lay_out
from jigs.sheets import tiling
from jigs.sheets.laying import long_on_sheets
from jigs.sheets.paper import PAPERS, own_size_for, room_on
from jigs.sheets.title import Title
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

UM = 1e-3
SAID = Instructions("Fretboard: saw the slots here", "top edge at the nut")
NAMES = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"]


@cache
def board(scale, to_bridge=False, spacing=43):
    """The fretboard of an instrument of any scale, its strings tuned as high as that scale bears."""
    number = round(69 + 12 * log2(150 / (scale / 1000) / 440))
    note = f"{NAMES[number % 12]}{number // 12 - 1}"
    text = (
        f'name = "x"\nscale = {scale}\nfrets = 22\n[board]\nnut_width = 30\n'
        "dots = [5, 7, 10, 12, 15, 17]\n[nut]\nspacing = 24\n"
        f"[bridge]\nspacing = {spacing}\nlength = 160\n" + f'[[strings]]\nnote = "{note}"\ngauge = 0.3\n' * 4
    )
    workup = work_up(parse(text.encode(), "test"))
    return templates()["fretboard"].draw(workup, room_on(PAPERS["a4"]), Options(to_bridge=to_bridge)).drawing


def sheets_of(whole, paper):
    return long_on_sheets(whole, SAID, PAPERS[paper], Title("t", "d", "f"))


def longest(paper):
    """How long a piece may be: the room below the heading."""
    return room_on(PAPERS[paper]).height - HEADING_MM


def tiles_on(whole, paper):
    return tiling.tiles_of(whole, longest(paper))


def crosses(found):
    """Centres of all registration crosses among straight pieces: two strokes of 5 mm through one middle."""
    middles, size = (found[:, :2] + found[:, 2:]) / 2, np.abs(found[:, 2:] - found[:, :2])
    flat = (np.abs(size[:, 0] - 5) < UM) & (size[:, 1] < UM)
    upright = (np.abs(size[:, 1] - 5) < UM) & (size[:, 0] < UM)
    return np.array([m for m in middles[flat] if np.abs(middles[upright] - m).max(axis=1).min() < UM]).reshape(-1, 2)


def crosses_of(tile):
    marks = [item for item in tile.drawing if item.id.startswith("joint-")]
    return np.array([np.mean([p for run in mark.runs for p in run], axis=0) for mark in marks]).reshape(-1, 2)


def holds(found, expected):
    return farthest_mm(expected, found) < 2 * UM


def clipped(piece, top, bottom):
    """The part of a straight piece between two heights, or None; the test's own arithmetic."""
    (x1, y1, x2, y2) = piece
    if y1 > y2:
        x1, y1, x2, y2 = x2, y2, x1, y1
    if y2 < top or y1 > bottom:
        return None
    low, high = max(y1, top), min(y2, bottom)

    def at(y):
        return x1 if y2 == y1 else x1 + (x2 - x1) * (y - y1) / (y2 - y1)

    part = (at(low), low, at(high), high) if y1 != y2 else piece
    return part if np.hypot(part[2] - part[0], part[3] - part[1]) > 0.01 else None


def untiled_pieces(whole):
    """Every straight piece of the board in its own frame, read back from the PDF of the untiled sheet."""
    paper = own_size_for(whole)
    (sheet,) = long_on_sheets(whole, SAID, paper, Title("t", "d", "f"))
    found = pdf_pieces_by_pdfminer(to_pdf([sheet], "t", "s"))
    outline = np.array(named(whole, "board").runs[0])
    corner = named(sheet.drawing, "board").runs[0][0]
    shift = np.array(corner) - outline[0]
    inside = found[(np.abs(found[:, [1, 3]] - shift[1]) < 2000).all(axis=1)] - np.tile(shift, 2)
    box = whole.bounds()
    keep = (inside[:, [0, 2]] >= box.left - 0.01).all(axis=1) & (inside[:, [0, 2]] <= box.right + 0.01).all(axis=1)
    keep &= (inside[:, [1, 3]] >= box.top - 0.01).all(axis=1) & (inside[:, [1, 3]] <= box.bottom + 0.01).all(axis=1)
    assert keep.sum() >= len(pieces(whole)) - sum(isinstance(item, Text) for item in whole)
    return inside[keep]


@pytest.mark.slow
@pytest.mark.parametrize("scale", [300, 450, 666.75, 900])
@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_pieces_put_together_by_their_crosses_are_the_untiled_board(paper, scale):
    """Read back from the PDFs: where a piece's crosses lie on a page, all that the untiled board has there lies too."""
    whole = board(scale)
    untiled = untiled_pieces(whole)
    sheets = sheets_of(whole, paper)
    in_pieces = any(item.id.startswith("joint-") for item in sheets[0].drawing)
    tiles = tiles_on(whole, paper) if in_pieces else tiling.tiles_of(whole, 2000.0)
    pdf = to_pdf(sheets, "t", "s")
    found = [pdf_pieces_by_pdfminer(pdf, page) for page in range(len(sheets))]
    for tile in tiles:
        parts = (clipped(piece, tile.top, tile.bottom) for piece in untiled)
        wanted = np.array([part for part in parts if part is not None])
        marks = crosses_of(tile)
        if len(tiles) == 1:
            longest = max(wanted, key=lambda p: abs(p[3] - p[1]))
            gaps = [(p, p - longest) for p in np.concatenate((found[0], found[0][:, [2, 3, 0, 1]]))]
            candidates = [(0, gap[:2]) for _, gap in gaps if np.abs(gap[2:] - gap[:2]).max() < UM]
        else:
            candidates = [
                (page, cross - marks[0])
                for page, straight in enumerate(found)
                for cross in crosses(straight)
                if all(np.abs(crosses(straight) - (mark + cross - marks[0])).max(axis=1).min() < UM for mark in marks)
            ]
        assert candidates, "no page has this piece's crosses"
        assert any(holds(found[page], wanted + np.tile(shift, 2)) for page, shift in candidates)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_dots_are_on_the_pieces_where_the_board_has_them(paper):
    whole = board(900)
    tiles = tiles_on(whole, paper)
    dots = {item.id: item for item in whole if isinstance(item, Circle)}
    kept = {item.id: item for tile in tiles for item in tile.drawing if isinstance(item, Circle)}
    assert dots
    assert kept == dots


def test_piece_above_a_joint_is_cut_through_its_crosses_and_the_one_below_goes_on_under_it():
    tiles = tiles_on(board(900), "a4")
    for above, below in pairwise(tiles):
        cuts = [
            i.start[1] for i in above.drawing if isinstance(i, Line) and i.role is Role.CUT and i.start[1] == i.end[1]
        ]
        assert above.joint_below in cuts
        assert crosses_of(above)[-1][1] == pytest.approx(above.joint_below)
        lines = [i.start[1] for i in below.drawing if isinstance(i, Line) and i.role is Role.FINE and not i.id]
        assert min(lines) == pytest.approx(above.joint_below - 7.5)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_neighbours_share_fifteen_millimetres_and_the_same_crosses(paper):
    tiles = tiles_on(board(900), paper)
    assert len(tiles) > 1
    for above, below in pairwise(tiles):
        assert above.bottom - below.top == pytest.approx(15)
        assert above.joint_below == below.joint_above
        assert above.joint_below == int(above.joint_below)
        names = [item.id for item in below.drawing if item.id.startswith("joint")][:2]
        for name in names:
            first, second = (next(i for i in t.drawing if i.id == name) for t in (above, below))
            assert first.runs == second.runs


@settings(max_examples=40, deadline=None)
@given(st.floats(300, 900), st.sampled_from(sorted(PAPERS)), st.booleans())
def test_no_piece_outgrows_its_sheet_and_none_of_the_board_is_lost(scale, paper, to_bridge):
    whole = board(round(scale, 1), to_bridge)
    tiles = tiles_on(whole, paper)
    assert tiles[0].top == whole.bounds().top
    assert tiles[-1].bottom == whole.bounds().bottom
    assert all(tile.bottom - tile.top <= longest(paper) + 1e-9 for tile in tiles)
    texts = {item.text for item in whole if isinstance(item, Text)}
    kept = {item.text for tile in tiles for item in tile.drawing if isinstance(item, Text)}
    assert texts <= kept
    for sheet in sheets_of(whole, paper):
        for item in sheet.drawing:
            box = bounds(item)
            assert box.left >= 5
            assert box.right <= sheet.paper.width_mm - 5
            assert box.top >= 5
            assert box.bottom <= sheet.paper.height_mm - 5


def test_joint_is_lettered_and_says_its_distance_from_the_nut_on_both_pieces():
    tiles = tiles_on(board(900), "a4")
    for n, tile in enumerate(tiles[:-1]):
        words = f"{'ABCDEFG'[n]}  {tile.joint_below:g} mm from the nut"
        for piece in (tile, tiles[n + 1]):
            assert [item.text for item in piece.drawing if isinstance(item, Text)].count(words) == 1


def test_distance_at_a_cross_is_the_distance_of_the_frets_beside_it():
    """On the printed page, from a fret's number to a cross it is as far as the two numbers say."""
    import pdfplumber

    whole = board(666.75)
    pdf = to_pdf(sheets_of(whole, "a4"), "t", "s")
    tile = tiles_on(whole, "a4")[0]
    fret_5 = 666.75 * (1 - 2 ** (-5 / 12))
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        page = opened.pages[0]
        number = next(w for w in page.extract_words() if w["text"] == f"{fret_5:.2f}")
        straight = pdf_pieces_by_pdfminer(pdf)
        slot = (number["top"] + number["bottom"]) / 2 * MM_PER_POINT
    level = [p[1] for p in straight if abs(p[1] - p[3]) < UM and abs(p[1] - slot) < 1.5 and abs(p[2] - p[0]) > 20]
    assert any(abs((cross[1] - y) - (tile.joint_below - fret_5)) < 2 * UM for y in level for cross in crosses(straight))


def test_every_sheet_has_its_rulers_title_and_number():
    sheets = sheets_of(board(900), "a4")
    assert len(sheets) > 1
    for n, sheet in enumerate(sheets, 1):
        assert {"ruler-across", "ruler-down"} <= {item.id for item in sheet.drawing}
        assert f"Sheet {n} of {len(sheets)}" in {item.text for item in sheet.drawing if isinstance(item, Text)}
    joining = ["A, tape" in {i.text for i in sheet.drawing if isinstance(i, Text)} for sheet in sheets]
    assert joining == [True] + [False] * (len(sheets) - 1)


def packed(boxes, room, upright):
    """How many sheets a rectangle packer finds for boxes, in its best of many ways."""
    import rectpack

    ways = product(
        (rectpack.PackingBin.BFF, rectpack.PackingBin.BBF, rectpack.PackingBin.Global),
        (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.MaxRectsBl, rectpack.GuillotineBssfSas),
    )
    counts = []
    for choose, pack in ways:
        packer = rectpack.newPacker(rectpack.PackingMode.Offline, choose, pack, rotation=not upright)
        packer.add_bin(*(int(1000 * side) for side in room), count=len(boxes))
        for n, (width, height) in enumerate(boxes):
            packer.add_rect(ceil(1000 * width), ceil(1000 * height), n)
        packer.pack()
        if len(packer.rect_list()) == len(boxes):
            counts.append(len(packer))
    return min(counts)


@pytest.mark.parametrize("to_bridge", [False, True])
@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", [*PRESETS, "mandolin with 24 frets"])
def test_pieces_take_as_few_sheets_as_a_rectangle_packer_finds(name, paper, to_bridge):
    workup = edited("mandolin", {"frets": 24}, board=NEW_BOARD) if name not in PRESETS else preset(name)
    whole = templates()["fretboard"].draw(workup, room_on(PAPERS[paper]), Options(to_bridge=to_bridge)).drawing
    tiles, width = tiles_on(whole, paper), room_on(PAPERS[paper]).beside_ruler
    boxes = [(tile.drawing.bounds().width + 3, tile.bottom - tile.top) for tile in tiles]
    drawn = len([sheet for sheet in sheets_of(whole, paper) if sheet.title.scale])
    assert drawn <= packed(boxes, (width + 3, longest(paper)), upright=True)


NEW_BOARD = {"joint_fret": 15, "slot": 0.55}


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_mandolin_board_of_24_frets_takes_one_sheet(paper):
    workup = edited("mandolin", {"frets": 24}, board=NEW_BOARD, compensation={"tune_to": "nut and saddle"})
    whole = templates()["fretboard"].draw(workup, room_on(PAPERS[paper]), Options()).drawing
    assert len(sheets_of(whole, paper)) == 1


def nearest_mark(whole, level):
    """How far a level is from the nearest thing that a cut there would spoil: anything drawn except long lines and words."""
    levels = [
        max(box.top - level, level - box.bottom)
        for item in whole
        if not isinstance(item, Text) and item.role not in (Role.FINE, Role.CENTRE)
        for box in strokes(item)
        if box.height < 20
    ]
    return min(levels)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PRESETS)
def test_joint_spoils_no_slot_no_dot_and_no_step_of_the_board(name, paper, hand):
    for to_bridge in (False, True):
        piece = templates()["fretboard"].draw(preset(name, hand), room_on(PAPERS[paper]), Options(to_bridge=to_bridge))
        for tile in tiles_on(piece.drawing, paper)[:-1]:
            assert nearest_mark(piece.drawing, tile.joint_below) >= 6


def test_joint_among_crowded_slots_lies_in_the_middle_between_two():
    """Slots are 8 mm apart here, so no joint can be 6 mm from all of them."""
    slots = drawing(
        Line((-20, 0), (-20, 400), Role.CUT), *(Line((-20, y), (20, y), Role.TICK) for y in range(0, 401, 8))
    )
    for tile in tiling.tiles_of(slots, 120.0)[:-1]:
        assert tile.joint_below % 8 == 4


def test_joint_moves_far_from_an_even_division_to_stay_clear():
    slots = drawing(
        Line((-20, 0), (-20, 300), Role.CUT), *(Line((-20, y), (20, y), Role.TICK) for y in range(120, 181, 8))
    )
    first, second = tiling.tiles_of(slots, 230.0)
    assert first.joint_below in (114, 182)
    assert first.bottom - first.top <= 230 >= second.bottom - second.top


def test_pieces_on_one_sheet_do_not_touch():
    for sheet in sheets_of(board(900), "a3"):
        cuts = sorted(
            {(round(b.left, 3), round(b.right, 3)) for i in sheet.drawing if isinstance(i, Line) and i.role is Role.CUT
             for b in [bounds(i)]}
        )  # fmt: skip
        for (_, right), (left, _) in pairwise(cuts):
            assert left >= right + 1


def test_ids_stay_single_on_a_sheet_and_frets_keep_theirs():
    for sheet in sheets_of(board(450), "a3"):
        ids = [item.id for item in sheet.drawing if item.id]
        assert len(ids) == len(set(ids))
    on_sheets = {item.id for sheet in sheets_of(board(900), "a4") for item in sheet.drawing}
    assert {f"fret-{n}" for n in range(1, 23)} <= on_sheets


def test_untiled_board_is_one_sheet_of_its_own_size():
    workup = preset("banjo")
    (sheet,) = lay_out(workup, templates()["fretboard"], PAPERS["a4"], Options(to_bridge=True), untiled=True)
    found = svg_pieces(to_svg(sheet, "t", "s"))
    frets = [found[f"fret-{n}"][0][1] for n in (1, 22)]
    assert frets[1] - frets[0] == pytest.approx(float(workup.from_nut_mm[21] - workup.from_nut_mm[0]), abs=UM)
    box = sheet.drawing.bounds()
    assert box.right <= sheet.paper.width_mm - 5
    assert box.bottom <= sheet.paper.height_mm - 5


def test_too_narrow_paper_is_refused():
    assert sheets_of(board(450, True, 110), "a4")
    wide = drawing(Line((0, 0), (400, 0), Role.CUT), Line((0, 0), (0, 900), Role.CUT))
    with pytest.raises(DoesNotFit, match="wide with the crosses"):
        sheets_of(wide, "a4")


def test_clipping_keeps_a_straight_line_straight():
    whole = drawing(Path((((0, 0), (10, 100), (20, 0)),), Role.CUT, closed=True))
    (item,) = whole.clipped(25, 75).items
    assert set(item.runs) == {((2.5, 25), (7.5, 75)), ((12.5, 75), (17.5, 25))}


@pytest.mark.slow
@pytest.mark.parametrize("name", PRESETS)
def test_every_preset_goes_on_every_paper(name):
    for paper in PAPERS.values():
        for template in ("fretboard", "spacing", "crown"):
            assert lay_out(preset(name), templates()[template], paper, Options(to_bridge=True))


@pytest.mark.parametrize("longest_mm", [-20.0, 10.0, 30.0])
def test_a_sheet_too_low_for_a_piece_refuses_the_drawing_and_does_not_let_it_run_over(longest_mm):
    slots = drawing(*(Line((0.0, float(y)), (30.0, float(y)), Role.CUT) for y in range(0, 400, 20)))
    with pytest.raises(DoesNotFit, match="too short to join"):
        tiling.tiles_of(slots, longest_mm)
