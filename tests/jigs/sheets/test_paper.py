"""What every sheet has: rulers where something is to be measured, a title block, marks that stay in the margin."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jigs.drawing.items import Box, Drawing, Line, Text, bounds
from jigs.sheets.paper import MARGIN_MM, PAPERS, Paper, list_room, on_sheet, room_for, room_on
from jigs.sheets.title import Title

EDGE_MM = 5.0
TITLE = Title("Loan banjo 7", "fork", "scale 669.8 mm", stem="loan-7")
UNSCALED = Title("Loan banjo 7", "setup card", "", stem="loan-7", scale="")
PRINTED = {"true size": TITLE, "not to scale": UNSCALED}


def bare(paper, title, **more):
    return on_sheet(Drawing(), paper, title, **more).drawing


def marks_in_the_margin(drawn, paper):
    inner = Box(MARGIN_MM, MARGIN_MM, paper.width_mm - MARGIN_MM, paper.height_mm - MARGIN_MM)
    return [item for item in drawn if isinstance(item, Line) and not bounds(item).overlaps(inner)]


@pytest.mark.parametrize("said", PRINTED)
@pytest.mark.parametrize("name", sorted(PAPERS))
def test_centring_marks_stay_in_the_margin_at_the_middle_of_each_side(name, said):
    paper = PAPERS[name]
    marks = marks_in_the_margin(bare(paper, PRINTED[said]), paper)
    middles = {(round((m.start[0] + m.end[0]) / 2, 3), round((m.start[1] + m.end[1]) / 2, 3)) for m in marks}
    w, h = paper.width_mm, paper.height_mm
    aside = round(marks[0].start[1] + marks[0].end[1], 3) / 2
    sides = ((w / 2, aside), (w / 2, h - aside), (aside, h / 2), (w - aside, h / 2))
    assert middles == {(round(x, 3), round(y, 3)) for x, y in sides}
    for mark in marks:
        box = bounds(mark)
        assert min(box.left, box.top, w - box.right, h - box.bottom) >= EDGE_MM + 0.5
        for x, y in (mark.start, mark.end):
            assert min(x, y, w - x, h - y) < MARGIN_MM - 1.0


@given(st.floats(130, 700), st.floats(200, 900), st.sampled_from(sorted(PRINTED)))
def test_nothing_of_a_sheet_s_own_is_in_the_room_of_its_drawing(width, height, said):
    paper, title = Paper("own", width, height), PRINTED[said]
    room = room_for(paper, title.scale)
    inner = (
        Box(MARGIN_MM, MARGIN_MM, MARGIN_MM + room.beside_ruler, MARGIN_MM + room.height),
        Box(MARGIN_MM, MARGIN_MM + room.corner_height, MARGIN_MM + room.width, MARGIN_MM + room.height),
    )
    for item in bare(paper, title):
        assert not any(bounds(item).overlaps(one, -1e-6) for one in inner)
        box = bounds(item)
        assert min(box.left, box.top, width - box.right, height - box.bottom) >= EDGE_MM


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_rulers_say_what_they_must_measure_and_what_to_do_if_not(name):
    drawn = bare(PAPERS[name], TITLE)
    ids = {item.id for item in drawn}
    assert {"ruler-across", "ruler-down"} <= ids
    said = " ".join(item.text for item in drawn if isinstance(item, Text))
    assert said.count("Must measure 100 mm and 4 in.") == 2
    assert said.count("If not, print again at 100%.") == 2


def test_check_sheet_of_a_printer_has_rulers_that_promise_nothing():
    drawn = bare(PAPERS["a4"], TITLE, to_check=False)
    assert {"ruler-across", "ruler-down"} <= {item.id for item in drawn}
    assert not any("Must" in item.text or "again" in item.text for item in drawn if isinstance(item, Text))


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_sheet_that_is_not_to_scale_has_no_rulers_and_their_room_for_its_drawing(name):
    drawn = bare(PAPERS[name], UNSCALED)
    assert not any(item.id.startswith("ruler") for item in drawn)
    assert room_for(PAPERS[name], "") == list_room(PAPERS[name])
    assert list_room(PAPERS[name]).height >= room_on(PAPERS[name]).height
    assert list_room(PAPERS[name]).beside_ruler == list_room(PAPERS[name]).width
