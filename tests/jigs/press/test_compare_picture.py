"""The picture of the move for other strings: what is on it, that it is to its scale, and that it can be read."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from readers import svg_pieces
from samples import HANDS, PRESETS, SMALL_FILE, assert_clear, named, preset, words_of

from jigs.drawing.items import Circle, Text, bounds
from jigs.faults import InputFaults, Place
from jigs.instrument.file import parse
from jigs.press.compare_picture import as_svg, files, lay_out, on_own_sheet
from jigs.sheets.paper import MARGIN_MM, PAPERS, Paper
from jigs.workup.compare import compare, with_strings
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

UM = 1e-3
ENDS = ("treble", "bass")


def thicker(workup, share=1.15):
    each = (
        f"{entry.note} {entry.gauge / 25.4 * share:.5f}{'w' if entry.is_wound else ''}"
        for entry in workup.instrument.strings
    )
    return compare(workup, *with_strings(workup, ", ".join(each), Place(option="strings")))


def drawn(comparison, paper="a4"):
    return lay_out(comparison, PAPERS[paper]).drawing


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_every_word_is_on_the_sheet_and_clear_of_marks(name, hand, paper):
    for share in (1.1, 0.85):
        sheet = lay_out(thicker(preset(name, hand), share), PAPERS[paper])
        assert_clear(sheet.drawing)
        for item in sheet.drawing:
            if isinstance(item, Text):
                box = bounds(item)
                assert box.left >= MARGIN_MM - UM
                assert box.right <= sheet.paper.width_mm - MARGIN_MM + UM
                assert box.bottom <= sheet.paper.height_mm - MARGIN_MM + UM


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_picture_for_a_screen_shows_the_same_move_and_can_be_read(name, hand):
    for share in (1.1, 1.0, 0.85):
        found = thicker(preset(name, hand), share)
        sheet = on_own_sheet(found)
        assert_clear(sheet.drawing)
        box = sheet.drawing.bounds()
        assert min(box.left, box.top, sheet.paper.width_mm - box.right, sheet.paper.height_mm - box.bottom) >= 3.5
        seen = svg_pieces(as_svg(found))
        (times,) = re.findall(r"the moves are (\d+) times as large", words_of(sheet.drawing)) or ["1"]
        assert ("bridge-before" in seen) == found.moves
        for mm, string in zip(found.moves_mm if found.moves else (), found.new.outer_strings, strict=False):
            x = float(seen[f"string-{string + 1}"][:, 0].mean())
            old, new = (level(seen[f"bridge-{when}"], x) for when in ("before", "after"))
            assert (new - old) / int(times) == pytest.approx(mm, abs=UM)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_new_line_lies_as_far_from_the_old_one_as_the_bridge_moves(name, hand):
    found = thicker(preset(name, hand))
    seen = svg_pieces(files(found, PAPERS["a4"], ["svg"], "x")["x-compare.svg"])
    (times,) = re.findall(r"the moves are (\d+) times as large", words_of(drawn(found))) or ["1"]
    for end, mm, string in zip(ENDS, found.moves_mm, found.new.outer_strings, strict=True):
        x = float(seen[f"string-{string + 1}"][:, 0].mean())
        old, new = (level(seen[f"bridge-{when}"], x) for when in ("before", "after"))
        assert (new - old) / int(times) == pytest.approx(mm, abs=UM)
        assert f"move-{end}" in seen or isinstance(named(drawn(found), f"move-{end}"), Circle)


def level(line, x):
    """How far down the first piece of a bridge is at x."""
    x1, y1, x2, y2 = line[0]
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)


def test_arrow_points_where_the_bridge_goes():
    found = thicker(preset("archtop-guitar"))
    assert min(found.moves_mm) > 0
    picture = drawn(found)
    nut = named(picture, "to-nut").runs[0]
    assert nut[1][1] < nut[0][1], "the nut is at the top"
    (outline,) = named(picture, "move-bass").runs
    tip, base = outline[0], outline[3]
    assert tip[1] > base[1]
    assert tip[1] == pytest.approx(np.interp(tip[0], *ordered(named(picture, "bridge-after").runs[0])))


def ordered(run):
    return zip(*sorted(run), strict=True)


def test_both_ends_show_how_far_and_which_way_and_the_title_says_the_job():
    picture = drawn(thicker(preset("archtop-guitar")))
    texts = [item for item in picture if isinstance(item, Text)]
    assert [item.text for item in texts if item.height_mm == 7.0] == ["New strings: move the bridge"]
    for string in ("string 1 E4", "string 6 E2"):
        after = [item.text for item in texts][[item.text for item in texts].index(string) :]
        assert re.fullmatch(r"\d+\.\d mm", after[1])
        assert after[2] == "towards the tail"
        assert after[3].startswith("± ")


def test_cautions_stand_in_their_frame_and_a_harder_pull_comes_first():
    picture = drawn(thicker(preset("banjo")))
    frame = bounds(named(picture, "cautions"))
    inside = [i.text for i in picture if isinstance(i, Text) and frame.top < i.at[1] < frame.bottom]
    assert "harder in all" in inside[0]
    assert any("qualified repairer first" in text for text in (inside[0], " ".join(inside[:2])))
    assert any(text.startswith("Strings are under tension") for text in inside)
    assert "harder" not in words_of(drawn(thicker(preset("banjo"), 0.9)))


def test_strings_that_leave_the_bridge_leave_one_line_and_no_arrow():
    same = thicker(preset("banjo"), 1.0)
    picture = drawn(same)
    assert "New strings: leave the bridge" in words_of(picture)
    ids = {item.id for item in picture}
    assert "bridge-after" in ids
    assert "bridge-before" not in ids
    assert all(isinstance(named(picture, f"move-{end}"), Circle) for end in ENDS)


def test_table_has_every_string():
    found = thicker(preset("mandolin"))
    texts = [item.text for item in drawn(found) if isinstance(item, Text)]
    for entry in (*found.old.instrument.strings, *found.new.instrument.strings):
        assert any(text.startswith(f"{entry.note} .") for text in texts)
    assert {"1 pair", "2 pair", "3 pair", "4 pair", "all", "if it stays", "if moved"} <= set(texts)


def test_old_and_new_line_differ_without_colour():
    sheet = files(thicker(preset("banjo")), PAPERS["a4"], ["svg"], "x")["x-compare.svg"].decode()
    (before,) = re.findall(r'<[^>]*id="bridge-before"[^>]*>', sheet)
    (after,) = re.findall(r'<[^>]*id="bridge-after"[^>]*>', sheet)
    assert "stroke-dasharray" in before
    assert "stroke-dasharray" not in after


def test_same_comparison_makes_the_same_bytes():
    first, second = (files(thicker(preset("mandolin")), PAPERS["a4"], ["pdf", "svg"], "x") for _ in range(2))
    assert first == second
    assert set(first) == {"x-compare.pdf", "x-compare.svg"}


def test_paper_that_is_too_small_is_refused_with_those_that_are_not():
    with pytest.raises(InputFaults) as refused:
        lay_out(thicker(preset("banjo")), Paper("small", 130.0, 200.0))
    (fault,) = refused.value.faults
    assert fault.place.option == "paper"
    assert "A4" in str(fault)


def test_single_string_has_one_end():
    text = "[[strings]]\n".join(SMALL_FILE.split("[[strings]]\n")[:2])
    picture = drawn(thicker(work_up(parse(text.encode(), "x"))))
    assert_clear(picture)
    assert "move-bass" not in {item.id for item in picture}


@settings(max_examples=40, deadline=None)
@given(name=st.sampled_from(PRESETS), share=st.floats(0.75, 1.25), paper=st.sampled_from(["a4", "letter", "a3"]))
def test_whatever_the_gauges_are_the_sheet_can_be_read(name, share, paper):
    try:
        found = thicker(preset(name), share)
    except InputFaults:
        return
    assert_clear(drawn(found, paper))


def test_picture_names_the_instruments_file_and_steps_have_hanging_numerals():
    texts = [
        item for item in lay_out(thicker(preset("banjo")), PAPERS["a4"], "loan-3").drawing if isinstance(item, Text)
    ]
    assert "loan-3" in [item.text for item in texts]
    numerals = [item for item in texts if item.height_mm == 3.5 and item.text.isdigit()]
    assert [item.text for item in numerals] == ["1", "2", "3", "4"]
    for numeral in numerals:
        (beside,) = [i for i in texts if i.at[1] == numeral.at[1] and i.at[0] > numeral.at[0]]
        below = [i for i in texts if i.height_mm == 3.5 and i.at[0] == beside.at[0]]
        assert len(below) >= 4, "all lines of steps begin at one edge"
