"""Drawings and their words on sheets: how many there are, what each file is called, what its title block says."""

from dataclasses import replace

import pytest
from samples import assert_clear

from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Drawing, Line, Path, Role, Text, bounds
from jigs.drawing.lettering import LARGEST
from jigs.drawing.room import DoesNotFit
from jigs.sheets.laying import long_on_sheets, on_sheets
from jigs.sheets.paper import PAPERS
from jigs.sheets.title import Title

TITLE = Title("Loan banjo 7", "fork", "scale 669.8 mm", stem="loan-7", note="Corrected for a printer")
SHORT = Instructions("Put the bridge here", "against fret 19", ("Cut it out.", "Slide it under the strings."))
LONG = replace(SHORT, steps=("Cut it out along the wide lines.",) * 500)


def board(width, length):
    """A long part, and a fret across it every 20 mm."""
    outline = ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length))
    frets = (Line((0.0, y), (width, y), Role.MARK, f"fret-{y:.0f}") for y in range(20, int(length), 20))
    return Drawing((Path((outline,), Role.CUT, "board", closed=True), *frets))


PART = board(50.0, 200.0).shifted(110.0, 21.0)


def said_on(sheet):
    return {item.text for item in sheet.drawing if isinstance(item, Text)}


def parts(sheets):
    return [sheet.title.part for sheet in sheets]


def test_one_drawing_with_few_words_is_one_sheet_whose_file_has_no_ending():
    (sheet,) = on_sheets((PART,), SHORT, PAPERS["a4"], TITLE)
    assert sheet.title.part == ""
    assert "Sheet 1 of 1" in said_on(sheet)


def test_words_that_find_no_room_are_on_a_sheet_called_words():
    sheets = on_sheets((PART,), replace(SHORT, steps=LONG.steps[:60]), PAPERS["a4"], TITLE)
    assert parts(sheets) == ["", "words"]


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
def test_every_title_block_counts_all_sheets_and_every_file_has_its_own_ending(paper):
    sheets = on_sheets((PART, PART), LONG, PAPERS[paper], TITLE)
    assert len(sheets) > 2
    for n, sheet in enumerate(sheets, 1):
        assert f"Sheet {n} of {len(sheets)}" in said_on(sheet)
        assert {"Loan banjo 7", "loan-7"} <= said_on(sheet)
    endings = parts(sheets)
    assert endings[:2] == ["1", "2"]
    assert all(ending.startswith("words") for ending in endings[2:])
    assert len(set(endings)) == len(endings)


def test_sheet_of_words_has_no_rulers_no_scale_and_no_note_on_the_print():
    drawn, *_, words = on_sheets((PART,), LONG, PAPERS["a4"], TITLE)
    assert {"Scale 1:1", TITLE.note} <= said_on(drawn)
    assert any(item.id == "ruler-down" for item in drawn.drawing)
    assert "Not to scale" in said_on(words)
    assert not {"Scale 1:1", TITLE.note} & said_on(words)
    assert not any(item.id.startswith("ruler") for item in words.drawing)


def test_further_drawing_at_another_scale_says_so_and_has_no_rulers():
    first, second = on_sheets((PART, PART), SHORT, PAPERS["a4"], TITLE, further_scale="4:1")
    assert "Scale 1:1" in said_on(first)
    assert "Scale 4:1" in said_on(second)
    assert any(item.id == "ruler-down" for item in first.drawing)
    assert not any(item.id.startswith("ruler") for item in second.drawing)


def test_drawings_after_a_long_one_are_not_lost():
    sheets = long_on_sheets(board(60.0, 400.0), SHORT, PAPERS["a4"], TITLE, others=((), (PART,)))
    assert sum(item.id == "board" for item in sheets[-1].drawing) == 1
    assert not any(item.id.startswith("joint") for item in sheets[-1].drawing)


def test_words_go_on_the_paper_that_they_are_given():
    sheets = on_sheets((PART,), LONG, PAPERS["a3"], TITLE, PAPERS["letter"])
    assert {sheet.paper.name for sheet in sheets[1:]} == {"Letter"}
    assert sheets[0].paper.name == "A3"
    assert all("Letter" in said_on(sheet) for sheet in sheets[1:])


@pytest.mark.parametrize("length", [150.0, 400.0, 900.0])
@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
def test_long_part_is_whole_where_a_sheet_holds_it_and_else_in_pieces(paper, length):
    sheets = long_on_sheets(board(60.0, length), SHORT, PAPERS[paper], TITLE)
    drawn = [sheet for sheet in sheets if not sheet.title.part.startswith("words")]
    in_pieces = any(item.id.startswith("joint") for sheet in drawn for item in sheet.drawing)
    assert in_pieces == (length > PAPERS[paper].height_mm - 60)
    frets = {item.id for sheet in drawn for item in sheet.drawing if item.id.startswith("fret")}
    assert len(frets) == len(board(60.0, length).items) - 1
    for sheet in sheets:
        assert_clear(sheet.drawing)
        assert any(isinstance(item, Text) and item.height_mm == LARGEST for item in sheet.drawing)


def test_no_piece_lies_under_the_heading_or_on_the_ruler():
    for sheet in long_on_sheets(board(60.0, 900.0), SHORT, PAPERS["a4"], TITLE):
        words = [bounds(item) for item in sheet.drawing if isinstance(item, Text) and item.height_mm == LARGEST]
        cut = [bounds(item) for item in sheet.drawing if item.role is Role.CUT]
        assert not any(one.overlaps(other, 1.0) for one in words for other in cut)
        rulers = [bounds(item) for item in sheet.drawing if item.id == "ruler-down"]
        assert not any(one.overlaps(other, 1.0) for one in rulers for other in cut)


def test_part_that_is_wider_than_the_paper_is_refused():
    with pytest.raises(DoesNotFit):
        long_on_sheets(board(260.0, 500.0), SHORT, PAPERS["a4"], TITLE)
