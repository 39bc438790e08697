"""Signs, lists and columns: what is written can be read back, and nothing is lost or promised too much."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs import wording

steady = settings(deadline=None, derandomize=True)

values = st.floats(-1e5, 1e5)
decimals = st.integers(0, 4)
names = st.lists(st.text("abc 7", min_size=1, max_size=8), min_size=1, max_size=9)


@steady
@given(values, decimals)
def test_a_number_is_within_half_its_last_digit_and_has_a_true_minus(value, places):
    for text in (wording.signed(value, places), wording.with_minus(value, places)):
        assert "-" not in text
        assert float(text.replace("−", "-")) == pytest.approx(value, abs=0.5 / 10**places + 1e-9)
        assert len(text.partition(".")[2]) == places


@steady
@given(values | st.floats(-0.1, 0.1), decimals)
def test_only_what_is_not_zero_as_written_has_a_sign(value, places):
    plain, text = wording.with_minus(value, places), wording.signed(value, places)
    is_zero = float(plain.replace("−", "-")) == 0
    assert plain.startswith("−") == (value < 0 and not is_zero)
    assert text == (plain if value <= 0 or is_zero else f"+{plain}")


@steady
@given(st.floats(0.1, 3), st.booleans())
def test_gauge_is_read_back_to_a_thousandth_of_an_inch(mm, wound):
    text = wording.gauge_in_words(mm, wound)
    assert text.endswith("w") is wound
    assert text.startswith(".")
    assert float(text.removesuffix("w")) == pytest.approx(mm / 25.4, abs=0.0005 + 1e-9)
    assert wording.in_inches(mm) == f"0{text.removesuffix('w')} in"


@steady
@given(
    st.integers(1, 4).flatmap(lambda n: st.lists(st.tuples(*[st.text("ab7 −", max_size=6)] * n), min_size=1)), st.data()
)
def test_every_cell_is_in_its_column_on_its_side(rows, data):
    sides = data.draw(st.text("<>", min_size=1, max_size=len(rows[0])))
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    for row, line in zip(rows, wording.in_columns(rows, sides), strict=True):
        assert line == line.rstrip()
        padded = line.ljust(sum(widths) + 2 * (len(widths) - 1))
        for n, (cell, width) in enumerate(zip(row, widths, strict=True)):
            left = sum(widths[:n]) + 2 * n
            side = sides[min(n, len(sides) - 1)]
            assert padded[left : left + width] == (cell.ljust(width) if side == "<" else cell.rjust(width))


@steady
@given(st.lists(st.lists(st.text('ab,;" −'), min_size=1, max_size=4)))
def test_csv_is_read_back_as_it_was(rows):
    assert list(csv.reader(io.StringIO(wording.csv_text(rows), newline=""))) == rows


@steady
@given(st.lists(st.lists(st.text('ab,"\n\r\x1b'), min_size=1, max_size=4)))
def test_no_name_breaks_a_line_of_csv_or_reaches_a_terminal_raw(rows):
    text = wording.csv_text(rows)
    assert text.count("\n") == len(rows)
    assert text.replace("\n", "").isprintable()


@steady
@given(st.text("abm ", max_size=30))
def test_unbroken_phrases_keep_their_words_and_have_no_space_to_break_at(text):
    kept = wording.unbroken(text, " mm", "a b")
    assert kept.replace("\N{NO-BREAK SPACE}", " ") == text
    assert " mm" not in kept
    assert "a b" not in kept
    assert wording.unbroken(text) == text


@steady
@given(st.floats(0, 1000), st.integers(0, 3))
def test_an_error_is_rounded_up_by_less_than_a_digit(value, places):
    text = wording.round_up(value, places)
    assert float(text) >= value - 2e-6 / 10**places
    assert float(text) < value + 1 / 10**places
    assert wording.round_up(float(text), places) == text


@steady
@given(names)
def test_few_names_are_all_said_and_many_are_counted(several):
    said = wording.some_of(several)
    if len(several) <= 3:
        assert said == ", ".join(several)
    else:
        assert said == f"{', '.join(several[:3])} and {len(several) - 3} more"


@pytest.mark.parametrize(
    ("several", "said"),
    [([], ""), (["gauge"], "gauge"), (["gauge", "top"], "gauge and top"), (["a", "b", "c", "d"], "a, b, c and d")],
)
def test_names_are_listed_with_an_and_before_the_last(several, said):
    assert wording.listed(several) == said
