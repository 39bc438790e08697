"""Headings, steps, paragraphs, legends and cautions: in their width, one below the other, nothing over anything else."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import assert_clear, words_of

from jigs.drawing.blocks import (
    SAMPLE_MM,
    blocks,
    framed,
    heading,
    legend_in_a_row,
    legend_of,
    numerals_mm,
    step_height_mm,
    step_of,
    steps_of,
)
from jigs.drawing.items import Circle, Drawing, Line, Role, Text, bounds
from jigs.drawing.lettering import LARGE, LARGEST, MEDIUM

steady = settings(deadline=None, derandomize=True)

words_in_a_row = st.lists(st.text("abgpM", min_size=1, max_size=8), min_size=1, max_size=15).map(" ".join)
texts = st.lists(words_in_a_row, min_size=1, max_size=5)
meant = st.sampled_from(["cut", "the frets", "where the bridge goes " * 4])
meanings = st.lists(st.tuples(st.sampled_from(Role), meant), min_size=1)


@steady
@given(texts, st.floats(30, 180))
def test_paragraphs_stay_in_their_width_and_clear_of_each_other(paragraphs, width):
    laid = blocks(paragraphs, 10, 20, width)
    assert words_of(laid).split() == " ".join(paragraphs).split()
    assert_clear(laid)
    box = laid.bounds()
    assert (box.left, box.top) == pytest.approx((10, 20))
    assert box.right <= 10 + width + 1e-9


def test_paragraphs_are_farther_apart_than_their_lines():
    first, second, other = (item.at[1] for item in blocks(["one\N{NO-BREAK SPACE}long two", "three"], 0, 0, 1.0))
    assert second - first < other - second


@steady
@given(meanings)
def test_legend_has_a_sample_beside_every_meaning(lines_meant):
    legend = legend_of(lines_meant, 5, 7, 90)
    samples = [item for item in legend if not isinstance(item, Text)]
    assert [sample.role for sample in samples] == [role for role, _ in lines_meant]
    assert words_of(legend).split() == " ".join(text for _, text in lines_meant).split()
    assert_clear(legend)
    assert legend.bounds().right <= 5 + 90
    words = [bounds(item) for item in legend if isinstance(item, Text)]
    for box in map(bounds, samples):
        assert (box.left, box.width) == (5, pytest.approx(SAMPLE_MM))
        assert any(word.top < box.bottom and box.top < word.bottom for word in words)


def test_legend_draws_the_samples_that_it_is_given():
    legend = legend_of([(Role.MARK, "a dot")], 0, 0, 50, lambda role, left, level: Circle((left + 1, level), 1, role))
    assert [type(item) for item in legend] == [Circle, Text]


@steady
@given(meanings, st.floats(2, 20))
def test_legend_in_a_row_stands_on_one_line_with_its_gaps(lines_meant, gap):
    legend = legend_in_a_row(lines_meant, 12, gap)
    words = [item for item in legend if isinstance(item, Text)]
    samples = [item for item in legend if not isinstance(item, Text)]
    assert {item.at[1] for item in words} == {12}
    assert [item.text for item in words] == [text for _, text in lines_meant]
    assert bounds(samples[0]).left == 0
    for word, sample in zip(words, samples, strict=True):
        assert bounds(word).top < bounds(sample).bottom <= 12
    assert_clear(legend)
    for word, sample in zip(words, samples[1:], strict=False):
        assert bounds(sample).left - bounds(word).right == pytest.approx(gap)
    assert all(isinstance(item, Line) for item in samples if item.role is not Role.BAND)


steps = st.lists(words_in_a_row, min_size=1, max_size=12)


@steady
@given(steps, st.floats(60, 180))
def test_steps_hang_their_numerals_and_follow_each_other(texts, width):
    laid = steps_of(texts, 10, 20, width)
    assert_clear(laid)
    numerals = [item for item in laid if item.at[0] == 10]
    assert [item.text for item in numerals] == [str(n) for n in range(1, len(texts) + 1)]
    lines = [item for item in laid if item not in numerals]
    assert {item.at[0] for item in lines} == {10 + numerals_mm(len(texts))}
    assert {item.height_mm for item in laid} == {MEDIUM}
    assert words_of(lines).split() == " ".join(texts).split()
    box = laid.bounds()
    assert box.top == pytest.approx(20)
    assert box.right <= 10 + width + 1e-9


@steady
@given(words_in_a_row, st.integers(1, 12), st.floats(60, 180))
def test_step_is_as_high_as_it_says(text, number, width):
    laid = step_of(number, 12, text, 0, 0, width)
    assert max(item.at[1] for item in laid) == pytest.approx(step_height_mm(text, 12, width))


@steady
@given(words_in_a_row, st.sampled_from(["", "against fret 19"]), st.floats(90, 180))
def test_heading_is_seven_millimetres_high_and_the_datum_five_below_it(title, datum, width):
    laid = heading(title, datum, width)
    assert_clear(laid)
    job = [item for item in laid if item.height_mm == LARGEST]
    below = [item for item in laid if item.height_mm == LARGE]
    assert words_of(job).split() == title.split()
    assert words_of(below).split() == datum.split()
    assert len(job) + len(below) == len(laid.items)
    assert (laid.bounds().left, laid.bounds().top) == (0, 0)
    assert laid.bounds().right <= width + 1e-9


def test_heading_on_two_lines_has_them_about_as_long_as_each_other():
    first, second = (bounds(item).width for item in heading("Put the bridge here and tape it down", "", 160.0))
    assert abs(first - second) < 40


@steady
@given(texts, st.floats(40, 180))
def test_cautions_lie_in_their_frame(sentences, width):
    frame, *lines = framed(sentences, 10, 20, width)
    assert words_of(lines).split() == " ".join(sentences).split()
    around = bounds(frame)
    assert (around.left, around.top, around.right) == (10, 20, 10 + width)
    for line in map(bounds, lines):
        assert around.left < line.left
        assert around.top < line.top
        assert line.right < around.right
        assert line.bottom < around.bottom
    assert_clear(Drawing((frame, *lines)))
