"""The words of a sheet: all of them, once, in order, beside the drawing or on a sheet of their own."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import assert_clear

from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Drawing, Line, Path, Role, Text, bounds, drawing
from jigs.drawing.lettering import DESCENT_PER_CAPITAL, LARGE, LARGEST, MEDIUM, SMALL
from jigs.drawing.room import DoesNotFit, Room
from jigs.sheets.flow import with_words
from jigs.sheets.paper import PAPERS, list_room, room_on

A4, WORDS = room_on(PAPERS["a4"]), list_room(PAPERS["a4"])
SAID = Instructions(
    "Fork: put the bridge here",
    "against fret 19",
    ("Cut out the fork.", "Slide it under the strings.", "Tape its top edge down."),
    ((Role.CUT, "cut here"), (Role.PROVISIONAL, "without compensation")),
    ("Scale 669.8 mm.", "Where the line may be: ± 1.6 mm (95%)."),
    ("Strings are under tension.", "Slacken them first."),
)

word = st.text("abgpM", min_size=1, max_size=9)
sentence = st.lists(word, min_size=1, max_size=15).map(" ".join)
sentences = st.lists(sentence, max_size=4).map(tuple)
saying = st.builds(
    Instructions,
    st.just("Put the bridge here"),
    st.sampled_from(["", "against fret 19"]),
    st.lists(sentence, max_size=12).map(tuple),
    st.lists(st.tuples(st.sampled_from([Role.CUT, Role.MARK, Role.BAND]), sentence), max_size=3).map(tuple),
    sentences,
    sentences,
)


def part(left, top, right, foot):
    """A part: its outline."""
    return Drawing((Path((((left, top), (right, top), (right, foot), (left, foot)),), Role.CUT, "part", closed=True),))


parts = st.builds(
    lambda left, wide, high: part(left, 21.0, min(left + wide, A4.beside_ruler), 21.0 + high),
    st.floats(0, 120), st.floats(5, 160), st.floats(10, 215),
)  # fmt: skip


def poured(said, *drawn):
    laid = with_words(drawn or (Drawing(),), said, A4, WORDS)
    return [*laid.drawn, *laid.words]


def words_of(sheets, *heights):
    return [item for sheet in sheets for item in sheet if isinstance(item, Text) and item.height_mm in heights]


def in_order(*texts):
    return " ".join(texts).split()


def read(items):
    return in_order(*(item.text for item in items))


@settings(max_examples=80, deadline=None)
@given(saying, parts)
def test_no_word_is_lost_and_none_comes_twice(said, drawn):
    sheets = poured(said, drawn)
    small = read(words_of(sheets, SMALL))
    expected = [*(text for _, text in said.legend), *said.notes, *said.cautions]
    assert sorted(small) == sorted(in_order(*expected))
    steps = read(words_of(sheets, MEDIUM))
    assert steps == in_order(*(f"{n} {text}" for n, text in enumerate(said.steps, 1)))


@settings(max_examples=80, deadline=None)
@given(saying, parts)
def test_no_word_is_over_another_or_over_the_drawing_or_the_ruler(said, drawn):
    for sheet in poured(said, drawn):
        assert_clear(sheet)
        box = sheet.bounds()
        assert box.left >= 0
        assert box.top >= 0
        assert box.right <= max(A4.width, WORDS.width)
        assert box.bottom <= WORDS.height
    outline = bounds(drawn.items[0])
    laid = with_words((drawn,), said, A4, WORDS)
    for item in words_of(laid.drawn, SMALL, MEDIUM, LARGE, LARGEST):
        assert not bounds(item).overlaps(outline), "within the part"
        assert bounds(item).right <= A4.beside_ruler or bounds(item).top >= A4.corner_height


@settings(max_examples=60, deadline=None)
@given(st.lists(sentence, min_size=2, max_size=12).map(tuple), parts)
def test_next_step_is_below_the_last_or_at_its_right_or_on_the_next_sheet(steps, drawn):
    places = [
        (sheet, item.at[0], item.at[1])
        for sheet, laid in enumerate(poured(Instructions("Put the bridge here", steps=steps), drawn))
        for item in words_of([laid], MEDIUM)
        if item.text.isdigit()
    ]
    assert len(places) == len(steps)
    for (sheet, across, down), (next_sheet, next_across, next_down) in pairwise(places):
        assert next_sheet > sheet or (next_sheet == sheet and (next_down > down or next_across > across))


@settings(max_examples=60, deadline=None)
@given(saying, parts)
def test_every_sheet_has_its_heading_clear_of_the_drawing(said, drawn):
    sheets = poured(said, drawn)
    for sheet in sheets:
        heading = [item for item in sheet if isinstance(item, Text) and item.height_mm == LARGEST]
        assert read(heading) == in_order(said.title)
        outlines = [bounds(item) for item in sheet if item.id == "part"]
        assert not any(bounds(one).overlaps(outline, 1.0) for one in heading for outline in outlines)
    assert all("continued" in read(words_of([sheet], LARGE)) for sheet in sheets[1:])


def test_heading_stands_beside_a_part_that_leaves_no_room_above_it():
    (sheet,) = poured(SAID, part(90.0, 0.0, 160.0, 230.0))
    heading = words_of([sheet], LARGEST, LARGE)
    assert len(heading) > 2
    assert all(bounds(item).right < 90.0 for item in heading)


def test_part_that_leaves_no_room_for_its_heading_is_refused():
    with pytest.raises(DoesNotFit):
        poured(SAID, part(0.0, 0.0, 160.0, 230.0))


def test_drawing_is_not_refused_for_its_words():
    long = Instructions(SAID.title, steps=("Cut it out along the wide lines." * 3,) * 60, notes=SAID.notes)
    sheets = poured(long, part(0.0, 21.0, 168.0, 243.0))
    assert len(sheets) > 3
    assert read(words_of(sheets, MEDIUM)) == in_order(*(f"{n} {text}" for n, text in enumerate(long.steps, 1)))


def test_all_stays_on_one_sheet_where_it_has_room_and_then_it_is_not_set_closer():
    (sheet,) = poured(SAID, part(90.0, 21.0, 160.0, 200.0))
    first, second = (item.at[1] for item in words_of([sheet], MEDIUM) if item.text in "12")
    assert second - first == pytest.approx(MEDIUM * (1 + DESCENT_PER_CAPITAL) + 2.6)


def test_notes_go_to_another_sheet_before_cautions_do():
    room = Room(120.0, 110.0, 0.0, 0.0)
    said = Instructions("Cut it", "", SAID.steps, (), ("A note of many words. " * 40,), SAID.cautions)
    laid = with_words((part(60.0, 21.0, 120.0, 110.0),), said, room, WORDS)
    assert len(laid.words) == 1
    assert any(item.id == "cautions" for item in laid.drawn[0])
    assert "note" in read(words_of(laid.words, SMALL))
    assert "note" not in read(words_of(laid.drawn, SMALL))


def test_cautions_share_one_frame_at_the_end():
    (sheet,) = poured(SAID, part(90.0, 21.0, 160.0, 200.0))
    frames = [item for item in sheet if item.id == "cautions"]
    assert len(frames) == 1
    inside = [item for item in words_of([sheet], SMALL) if bounds(item).overlaps(bounds(frames[0]))]
    assert read(inside) == in_order(*SAID.cautions)
    rest = [item for item in words_of([sheet], SMALL, MEDIUM) if item not in inside]
    assert all(bounds(item).top < bounds(frames[0]).top or bounds(item).right < bounds(frames[0]).left for item in rest)


def test_sheet_without_a_heading_keeps_its_drawing_as_it_is():
    drawn = drawing(Line((0.0, 0.0), (190.0, 0.0), Role.CUT))
    assert poured(Instructions(), drawn) == [drawn]


def test_note_takes_a_place_too_narrow_for_steps_before_it_gets_a_sheet_of_its_own():
    """Left of the stem are the steps; right of it a step has no room, and below the part nothing has."""
    drawn = part(54.0, 21.0, 120.0, 190.0) + part(0.0, 190.0, 161.0, 243.0)
    steps = ("Slide it under the strings and lay its top edge against the fret.",) * 6
    said = Instructions("Put the bridge here", "", steps, notes=("word " * 100,))
    laid = with_words((drawn,), said, Room(161.0, 243.5, 0.0, 0.0), WORDS)
    assert laid.words == ()
    assert all(bounds(item).left > 120.0 for item in words_of(laid.drawn, SMALL))
    assert all(bounds(item).right < 54.0 for item in words_of(laid.drawn, MEDIUM))
