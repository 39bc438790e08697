"""The reader of pages finds each fault that a page can have, and finds nothing on a page without one."""

import pytest
from pages import pages_of, wrong_on

from jigs.drawing.items import Circle, Drawing, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LARGEST, SMALL
from jigs.export.pdf import to_pdf
from jigs.sheets.paper import Paper, Sheet, on_sheet
from jigs.sheets.title import Title

PAPER = Paper("own", 200.0, 250.0)
TITLE = Title("Loan banjo 7", "fork", "scale 669.8 mm", stem="loan-7", scale="")
HEADING = Text((10, 30), "Put the bridge here", LARGEST)


def read(*items, title=TITLE):
    (page,) = pages_of(to_pdf([on_sheet(drawing(*items), PAPER, title)], "t", "s"))
    return page


def bare(*items):
    (page,) = pages_of(to_pdf([Sheet(PAPER, Drawing(items), TITLE)], "t", "s"))
    return page


def word(across, down, text="gauge", height=SMALL, **more):
    return Text((across, down), text, height, **more)


def square(left, top, side, role=Role.CUT):
    right, foot = left + side, top + side
    return Path((((left, top), (right, top), (right, foot), (left, foot)),), role, closed=True)


FAULTY = {
    "two words on one place": ((word(50, 80), word(54, 81)), "'gauge' over 'gauge'"),
    "a turned word over another": ((word(50, 80), word(52, 76, "nut", angle_deg=90)), "'gauge' over 'nut'"),
    "a line through a word": ((word(50, 80), Line((40, 79), (90, 79), Role.TICK)), "'gauge' crossed by a line"),
    "a line under a word that meets its g": (
        (word(50, 80), Line((40, 80.5), (90, 80.5), Role.TICK)),
        "'gauge' crossed by a line",
    ),
    "a line beside a word, as wide as to touch it": (
        (word(50, 80, "nut"), Line((40, 80.3), (90, 80.3), Role.CUT)),
        "'nut' crossed by a line",
    ),
    "a dashed line through a turned word": (
        (word(50, 80, angle_deg=60), Line((40, 82), (60, 82), Role.PROVISIONAL)),
        "'gauge' crossed by a line",
    ),
    "a corner of a path in a word": ((word(50, 80), square(52, 79, 30)), "'gauge' crossed by a line"),
    "an arc through a word": ((word(50, 80), Circle((52, 100), 21.5, Role.MARK)), "'gauge' crossed by a line"),
    "a word on grey": ((word(50, 80), square(45, 70, 20, Role.BAND)), "'gauge' on grey"),
    "a word at the edge": ((word(-7, 80),), "'gauge' at the paper's edge"),
    "a line at the edge": ((Line((40, -6), (60, -6), Role.CUT),), "a line at the paper's edge"),
    "a line whose width comes too near the edge": (
        (Line((40, -4.8), (60, -4.8), Role.CUT),),
        "a line at the paper's edge",
    ),
    "small letters": ((word(50, 80, height=2.4),), "'gauge' only 2.40 mm high"),
    "small letters, turned": ((word(50, 80, height=2.4, angle_deg=75),), "'gauge' only 2.40 mm high"),
    "a word that was cut": ((word(50, 80, "gau…"),), "'gau…' is cut short"),
    "a character that is not written": ((word(50, 80, "\N{REPLACEMENT CHARACTER}"),), "is not written"),
}


@pytest.mark.parametrize("fault", FAULTY)
def test_fault_is_found_and_nothing_else(fault):
    items, said = FAULTY[fault]
    wrong = wrong_on(read(HEADING, *items))
    assert wrong
    assert all(said in one for one in wrong)


def test_sheet_without_a_heading_is_found():
    assert wrong_on(read(word(50, 80))) == ["no heading"]
    assert wrong_on(read(word(50, 80, "Fork", 5.0))) == ["no heading"]


def test_page_without_faults_has_none():
    fine = (
        HEADING,
        word(50, 80),
        word(50, 80 + SMALL * 1.7),
        word(70, 80, angle_deg=90),
        Line((40, 81.1), (60, 81.1), Role.TICK),
        square(48, 74, 20),
        square(72, 95, 20, Role.BAND),
    )
    assert wrong_on(read(*fine)) == []


def test_line_in_the_space_between_two_words_crosses_neither():
    assert wrong_on(read(HEADING, word(50, 80, "nut  tail"), Line((57.4, 70), (57.4, 90), Role.TICK))) == []


def test_only_a_title_block_may_shorten_a_name():
    long = Title("A banjo with a very long name " * 4 + "7", "fork", "", stem="loan-7", scale="")
    page = read(HEADING, title=long)
    assert any("…" in text for text in page.texts)
    assert wrong_on(page) == []


def test_letters_of_every_height_are_measured_and_read():
    page = bare(word(50, 80, "small", 2.5), word(50, 90, "step", 3.5, angle_deg=90), word(50, 120, "Datum", 5.0))
    assert [(one.text, round(one.capital_mm, 3)) for one in page.words] == [("small", 2.5), ("step", 3.5), ("Datum", 5)]


def test_letters_take_their_ink_and_not_more():
    from shapely import box

    page = bare(word(50, 80, "H", 7.0))
    left, top, right, foot = page.words[0].box.bounds
    assert (top, foot) == pytest.approx((73.0, 80.0), abs=0.02)
    assert page.words[0].box.within(box(49.99, 72.9, 60, 80.1))
    assert left == pytest.approx(50.0)
    assert right > 55
