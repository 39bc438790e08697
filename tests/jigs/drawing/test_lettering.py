"""The typeface as it is measured, broken into lines and shortened, against the font file's own outlines."""

import time
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from jigs.drawing.lettering import (
    CAPITAL_PER_EM,
    DESCENT_PER_CAPITAL,
    FONT_FILE,
    MISSING,
    em_mm,
    face,
    kept_ends,
    runs_leftward,
    shortened,
    width_mm,
    wrapped,
    writable,
)

steady = settings(deadline=None, derandomize=True)

EM = 2048
LETTERS = "abgimpqwMW.,-0123½♯ℓ"
heights = st.sampled_from([2.5, 3.5, 5.0, 7.0])
sentences = st.lists(st.text(LETTERS, max_size=8), min_size=1, max_size=12).map(" ".join)


@pytest.fixture(scope="module")
def outlines():
    """The font file, read by FreeType at one pixel a unit."""
    return ImageFont.truetype(str(FONT_FILE), EM)


def test_a_capital_is_as_high_as_the_lettering_height(outlines):
    _, top, _, bottom = outlines.getbbox("H", anchor="ls")
    assert (bottom - top) / EM == CAPITAL_PER_EM
    assert em_mm(5.0) * (bottom - top) / EM == pytest.approx(5.0)


@pytest.mark.parametrize("letter", "gpqyjQ,;")
def test_tails_end_above_the_descent(outlines, letter):
    _, _, _, bottom = outlines.getbbox(letter, anchor="ls")
    assert 0 < bottom <= DESCENT_PER_CAPITAL * CAPITAL_PER_EM * EM


@pytest.mark.parametrize("text", ["Hamburgefonts", "± 0.1 mm", "E₄ ♯", "−1 1/64 in"])
def test_text_is_as_wide_as_the_font_file_says(outlines, text):
    advances = sum(outlines.getlength(char) for char in text)
    assert width_mm(text, 2.5) == pytest.approx(em_mm(2.5) * advances / EM, rel=1e-3)


@steady
@given(st.text(LETTERS + " "), st.text(LETTERS + " "), heights)
def test_widths_add_up_and_grow_with_the_height(one, other, height):
    assert width_mm(one + other, height) == pytest.approx(width_mm(one, height) + width_mm(other, height))
    assert width_mm(one, 2 * height) == pytest.approx(2 * width_mm(one, height))


@steady
@given(sentences, heights, st.floats(1, 200))
def test_wrapped_text_fits_the_width_and_loses_no_word(text, height, room):
    lines = wrapped(text, height, room)
    assert " ".join(lines) == text
    assert all(width_mm(line, height) <= room for line in lines if " " in line)


@steady
@given(sentences, heights, st.floats(1, 200))
def test_a_line_breaks_only_before_a_word_that_does_not_fit(text, height, room):
    lines = wrapped(text, height, room)
    for line, below in pairwise(lines):
        assert width_mm(f"{line} {below.split(' ')[0]}", height) > room


def test_another_alphabet_is_measured_by_its_own_widths():
    assert wrapped("aa bb cc", 2.5, 5, lambda text, _: len(text)) == ["aa bb", "cc"]
    assert wrapped("no\N{NO-BREAK SPACE}break here", 2.5, 1.0) == ["no\N{NO-BREAK SPACE}break", "here"]


@steady
@given(st.text(LETTERS + " ", max_size=30), heights, st.floats(5, 100))
def test_shortened_text_fits_and_is_as_long_as_can_be(text, height, room):
    short = shortened(text, height, room)
    if width_mm(text, height) <= room:
        assert short == text
        return
    kept = short.removesuffix("…")
    assert short.endswith("…")
    assert text.startswith(kept)
    assert width_mm(short, height) <= room or short == "…"
    spaces = len(text[len(kept) :]) - len(text[len(kept) :].lstrip())
    assert width_mm(text[: len(kept) + spaces + 1] + "…", height) > room


@steady
@given(st.text(max_size=40))
def test_every_written_character_is_in_the_font(text):
    written, lacking = writable(text)
    assert len(written) == len(text)
    assert all(ord(char) in face().face.charToGlyph for char in written)
    assert {old for old, new in zip(text, written, strict=True) if old != new} == set(lacking)
    assert all(new in (old, MISSING) for old, new in zip(text, written, strict=True))
    assert writable(written) == (written, "")


@pytest.mark.parametrize("text", ["שלום", "Oud عود"])
def test_letters_from_right_to_left_are_seen(text):
    assert runs_leftward(text)


@pytest.mark.parametrize("text", ["", "Loan 7 ♯", "Ж琴", "٣"])
def test_other_letters_and_all_digits_run_rightward(text):
    assert not runs_leftward(text)


@pytest.mark.parametrize("text", ["x" * 20_000, "ab " * 1_000, " " * 20_000 + "x", "name " + "i" * 20_000])
def test_endless_text_is_shortened_at_once_and_keeps_its_end(text):
    begun = time.process_time()
    lines = kept_ends(text, 2.5, 180.0, 2)
    assert time.process_time() - begun < 5
    assert len(lines) <= 2
    assert all(width_mm(line, 2.5) <= 180.0 for line in lines)
    assert lines[-1][-1] == text[-1] or text[-1] == " "
    assert width_mm(shortened(text, 2.5, 180.0), 2.5) <= 180.0
