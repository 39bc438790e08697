"""The title block says whose the sheet is, of which file and version, however long the names are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jigs import __version__
from jigs.drawing.items import Drawing, Line, Path, Text, bounds
from jigs.drawing.lettering import LARGE, MEDIUM, SMALL, writable
from jigs.sheets.paper import PAPERS, on_sheet
from jigs.sheets.title import HEIGHT_MM, Title, title_block

WIDTHS = (76.0, 90.0)
LONG = "The school's second banjo with the cracked resonator, no. 12"
WIDE = "MANDOLIN WITH A WOVEN CASE FROM THE HALL, MENDED, No. 1207"
NAMES = (
    "Loan banjo 7",
    LONG,
    WIDE,
    "W" * 59 + "7",
    "A banjo of the library with a name too long for it " * 3 + "12",
    "7",
)
STEMS = (
    "loan-banjo-7",
    "a-file-whose-own-name-is-longer-than-a-line-of-any-title-block-and-ends-in-number-31",
    "w" * 200,
)


def block(width=90.0, **fields):
    said = {
        "name": "Loan banjo 7",
        "document": "Fork, fret 19",
        "facts": "scale 669.8 mm",
        "paper": "A4",
        "stem": "loan-7",
    }
    return title_block(Title(**(said | fields)), width)


def texts(drawn):
    return [item for item in drawn if isinstance(item, Text)]


def name_lines(drawn):
    """The texts above the lines that every block has."""
    return [item for item in texts(drawn) if item.at[1] <= 8.0]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("stem", STEMS)
@pytest.mark.parametrize("name", NAMES)
def test_no_name_leaves_its_block_or_lies_over_a_line(name, stem, width):
    drawn = block(width, name=name, stem=stem, document="Placement fork, fret 19, right-handed" * 2, facts="0" * 90)
    words = texts(drawn)
    lines = [bounds(item) for item in drawn if isinstance(item, Line)]
    for n, item in enumerate(words):
        box = bounds(item)
        assert box.left > 0.0
        assert box.right < width
        assert box.top > 0.0
        assert box.bottom < HEIGHT_MM
        assert item.height_mm >= SMALL
        assert not any(box.overlaps(bounds(other)) for other in words[n + 1 :])
        assert not any(box.overlaps(line) for line in lines)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", NAMES)
def test_long_name_is_on_two_lines_at_most_and_keeps_its_end(name, width):
    lines = name_lines(block(width, name=name))
    assert 1 <= len(lines) <= 2
    assert lines[0].text.startswith(name[0])
    assert lines[-1].text.endswith(name[-2:])
    assert "…" not in lines[-1].text[-2:]


@pytest.mark.parametrize("width", WIDTHS)
def test_name_of_sixty_ordinary_letters_is_whole(width):
    assert " ".join(line.text for line in name_lines(block(width, name=LONG))) == LONG


def test_name_is_as_large_as_its_line_holds():
    assert [item.height_mm for item in name_lines(block(name="Loan banjo 7"))] == [LARGE]
    assert [item.height_mm for item in name_lines(block(name="The long banjo of the library 7"))] == [MEDIUM]
    assert {item.height_mm for item in name_lines(block(name=LONG))} == {SMALL}


@given(st.text(st.characters(categories=["L", "N", "P"]), min_size=1, max_size=90), st.sampled_from(WIDTHS))
def test_any_name_stays_in_its_block(name, width):
    for item in name_lines(block(width, name=writable(name)[0])):
        assert bounds(item).right < width


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("stem", STEMS)
def test_stem_version_unit_paper_and_date_are_always_there(name, stem):
    for width in WIDTHS:
        said = [item.text for item in texts(block(width, name=name, stem=stem))]
        assert {"A4", "Date", "mm", f"bridge-jigs {__version__}", "Sheet 1 of 1", "Scale 1:1"} <= set(said)
        ends = [text for text in said if text.startswith(stem[:6]) and text.endswith(stem[-6:])]
        assert len(ends) == 1


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("paper", ["208 x 560 mm", "215.9 x 330 mm"])
def test_paper_without_a_name_of_its_own_shows_both_its_lengths(paper, width):
    drawn = block(width, paper=paper)
    said, lines = texts(drawn), [bounds(item) for item in drawn if isinstance(item, Line)]
    assert {paper, "Scale 1:1", "Sheet 1 of 1"} <= {item.text for item in said}
    assert not any(bounds(item).overlaps(line) for item in said for line in lines)


def test_date_has_room_to_write_it():
    drawn = block(76.0)
    date = next(item for item in texts(drawn) if item.text == "Date")
    walls = [item.start[0] for item in drawn if isinstance(item, Line) and item.start[0] == item.end[0]]
    at_date = [x for x in walls if x > date.at[0]]
    assert min(at_date) - bounds(date).right > 15.0


def test_sheet_that_is_not_to_scale_says_so_and_has_no_rulers():
    title = Title("Loan banjo 7", "setup card", "", stem="loan-7", scale="")
    laid = on_sheet(Drawing(), PAPERS["a4"], title).drawing
    said = [text.text for text in texts(laid)]
    assert [text for text in said if "scale" in text.lower()] == ["Not to scale"]
    assert not any(item.id.startswith("ruler") for item in laid)


def test_every_block_is_as_high_as_the_room_that_is_kept_for_it():
    for name in NAMES:
        frame = next(item for item in block(name=name) if isinstance(item, Path))
        assert bounds(frame).height == HEIGHT_MM


def test_a_file_whose_name_the_typeface_lacks_leaves_its_cell_empty():
    """Boxes and question marks tell nobody which file it was."""
    shown = [item.text for item in block(stem="三線-3") if isinstance(item, Text)]
    assert "三線-3" not in shown
    assert all(writable(text)[1] == "" for text in shown)
    assert "loan-7" in [item.text for item in block() if isinstance(item, Text)]
