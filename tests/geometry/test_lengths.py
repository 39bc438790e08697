"""Lengths as people write them: exact on the way in, the nearest on the way out."""

from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.lengths import LengthError, format_inches, format_mm, parse_mm, round_half_up

steady = settings(deadline=None, derandomize=True)

INCH = Fraction("25.4")
FOOT = 12 * INCH


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("333.4", Fraction("333.4")),
        ("333.4 mm", Fraction("333.4")),
        ("333.4mm", Fraction("333.4")),
        (" 5 MM ", 5),
        ("5.", 5),
        (".5", Fraction("0.5")),
        ("2.5 cm", 25),
        ("0.65 m", 650),
        ("26 1/4 in", Fraction(105, 4) * INCH),
        ("26-1/4 in", Fraction(105, 4) * INCH),
        ('13-7/8"', Fraction(111, 8) * INCH),
        ("26¼ in", Fraction(105, 4) * INCH),
        ("26 ¼ in", Fraction(105, 4) * INCH),
        ("13⅞″", Fraction(111, 8) * INCH),
        ("½ in", INCH / 2),
        ("1⁄3 in", INCH / 3),
        ("26.25 inches", Fraction(105, 4) * INCH),
        ("26.25in.", Fraction(105, 4) * INCH),
        ("1 inch", INCH),
        ("1 ft 2 in", FOOT + 2 * INCH),
        ("2 feet", 2 * FOOT),
        ("1' 2\"", FOOT + 2 * INCH),
        ("1'2 1/2''", FOOT + Fraction(5, 2) * INCH),
        ("1′ 2½″", FOOT + Fraction(5, 2) * INCH),
        ("2 ft 2 1/4 in 0.5 mm", 2 * FOOT + Fraction(9, 4) * INCH + Fraction("0.5")),
        ("1/2", Fraction(1, 2)),
        ("-1/8 in", -INCH / 8),
        ("−3 mm", -3),
        ("-1 ft 2 in", -FOOT - 2 * INCH),
        ("-½ in", -INCH / 2),
        ("+3", 3),
        ("+3/64 in", Fraction(3, 64) * INCH),
        ("2,9", Fraction("2.9")),
        (",5 mm", Fraction("0.5")),
        ("0,010 in", INCH / 100),
        ("26,25 in", Fraction(105, 4) * INCH),
        ("1 ft 2,5 in", FOOT + Fraction("2.5") * INCH),
        ("−1,2", Fraction("-1.2")),
        ("1234,5", Fraction("1234.5")),
        ("1,2345", Fraction("1.2345")),
        ("11-inch", 11 * INCH),
        ("26-1/4-in", Fraction(105, 4) * INCH),
        ("10-thou", INCH / 100),
    ],
)
def test_lengths_are_read_as_people_write_them(text, mm):
    assert parse_mm(text) == mm


@pytest.mark.parametrize(
    ("units", "mm"),
    [
        (("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 1),
        (("cm",), 10),
        (("m",), 1000),
        (("in", "in.", "inch", "inches", '"', "″", "”", "''"), INCH),
        (("ft", "ft.", "foot", "feet", "'", "′", "’"), FOOT),
        (("thou", "thousandth", "thousandths"), INCH / 1000),
    ],
)
def test_unit_is_known_however_it_is_written(units, mm):
    """Typographic quotation marks among them, as word processors make them of the straight ones."""
    assert {unit: parse_mm(f"2 {unit}") for unit in units} == dict.fromkeys(units, 2 * mm)


@pytest.mark.parametrize(
    ("text", "code", "unit"),
    [
        ("", "length-unread", ""),
        ("   ", "length-unread", ""),
        ("abc", "length-unread", ""),
        ("mm", "length-unread", ""),
        ("1,000 mm", "length-has-comma", ""),
        ("999,123 in", "length-has-comma", ""),
        ("5, 7", "length-has-comma", ""),
        ("36,48,36", "length-has-comma", ""),
        ("1.234,5", "length-has-comma", ""),
        ("26,", "length-has-comma", ""),
        ("5 mils", "length-unit-unknown", "mils"),
        ("26 in 1/4", "length-without-unit", ""),
        ("26 14", "length-without-unit", ""),
        ("26 1/4 1/2", "length-without-unit", ""),
        ("1/2/3", "length-without-unit", ""),
        ("5.5.5", "length-without-unit", ""),
        ("1/0 in", "length-divides-by-zero", ""),
        ("2 1/0 in", "length-divides-by-zero", ""),
        ("5 furlongs", "length-unit-unknown", "furlongs"),
        ("5 Furlongs", "length-unit-unknown", "Furlongs"),
        ("5e3", "length-unit-unknown", "e"),
        ("1 ft -2 in", "length-unread", ""),
        ("--3", "length-unread", ""),
        ("+-3", "length-unread", ""),
        ("1 ft +2 in", "length-unread", ""),
        ("-", "length-unread", ""),
        ("nan", "length-unread", ""),
        ("inf", "length-unread", ""),
        (' 5" x', "length-unread", ""),
        ("1" * 41, "length-text-too-long", ""),
    ],
)
def test_text_that_is_not_a_length_is_refused_as_it_was_written(text, code, unit):
    with pytest.raises(LengthError) as refusal:
        parse_mm(text)
    assert (refusal.value.code, refusal.value.text, refusal.value.unit) == (code, text, unit)


def test_length_of_forty_characters_is_still_read():
    assert parse_mm("2.5 mm".rjust(40)) == Fraction("2.5")


CODES = {
    "length-unread",
    "length-text-too-long",
    "length-has-comma",
    "length-without-unit",
    "length-unit-unknown",
    "length-divides-by-zero",
}


def refusal_of(text):
    try:
        parse_mm(text)
    except LengthError as refusal:
        return refusal
    return None


@steady
@given(st.text(max_size=45) | st.text("0123456789 ./-−¼½⅔⁄inftcm'\"″′,", max_size=45))
def test_no_text_breaks_the_reader(text):
    refusal = refusal_of(text)
    assert refusal is None or (refusal.code in CODES and refusal.text == text)


@pytest.mark.parametrize("sign", [1, -1])
def test_every_64th_of_an_inch_survives_print_and_reading(sign):
    for parts in range(64 * 60 + 1):
        exact = sign * parts * INCH / 64
        assert parse_mm(format_inches(float(exact))) == exact


@steady
@given(st.floats(-3000, 3000), st.sampled_from([1, 2, 4, 8, 16, 32, 64, 128]))
def test_inches_shown_are_the_nearest_on_the_rule(mm, denominator):
    shown = parse_mm(format_inches(mm, denominator))
    assert (shown / INCH * denominator).denominator == 1
    assert abs(shown - Fraction(mm)) <= INCH / denominator / 2 + Fraction(1, 10**9)


@steady
@given(st.integers(-2000, 2000), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inch_fractions_are_in_lowest_terms(half, denominator):
    text = format_inches(float((2 * half + 1) * INCH / denominator))
    assert text.endswith(f"/{denominator} in")


@steady
@given(st.decimals(-1000, 1000, places=6))
def test_decimals_are_read_without_rounding(number):
    assert parse_mm(f"{number:f} mm") == Fraction(number)
    assert parse_mm(f"{number:f} in") == Fraction(number) * INCH


@steady
@given(st.integers(0, 99), st.integers(0, 99), st.integers(0, 64), st.integers(1, 64))
def test_feet_inches_and_fractions_add_up(feet, inches, over, under):
    exact = feet * FOOT + (inches + Fraction(over, under)) * INCH
    assert parse_mm(f"{feet} ft {inches} {over}/{under} in") == exact
    assert parse_mm(f"{feet}'{inches}-{over}/{under}\"") == exact
    assert parse_mm(f"-{feet}′ {inches} {over}⁄{under}″") == -exact


@steady
@given(st.integers(0, 9999), st.integers(0, 9999), st.sampled_from(["", " mm", " in", " thou"]))
def test_decimal_comma_reads_as_a_point_or_not_at_all(whole, decimals, unit):
    """Three digits after one to three may be thousands: nobody gets a length a thousand times too short."""
    read = refusal_of(f"{whole},{decimals}{unit}")
    assert (read is None) == (len(str(decimals)) != 3 or not 1 <= whole <= 999)
    if read is None:
        assert parse_mm(f"{whole},{decimals}{unit}") == parse_mm(f"{whole}.{decimals}{unit}")


def on_paper(value, decimals):
    """The decimal module's ROUND_HALF_UP of the number as Python prints it, without a negative zero."""
    step = Decimal(1).scaleb(-decimals)
    rounded = Decimal(repr(value)).quantize(step, ROUND_HALF_UP, Context(prec=60))
    return f"{abs(rounded) if rounded == 0 else rounded:f}"


@steady
@given(st.floats(-1e6, 1e6), st.integers(0, 6))
def test_rounding_is_that_of_paper_arithmetic(value, decimals):
    assert round_half_up(value, decimals) == on_paper(value, decimals)
    assert format_mm(value, decimals) == f"{on_paper(value, decimals)} mm"


@steady
@given(st.integers(-(10**6), 10**6), st.integers(0, 6))
def test_halves_go_away_from_zero_as_written_not_as_stored(digits, decimals):
    """2.675 is stored a little lower and still reads 2.68."""
    half = float(f"{digits}5e-{decimals + 1}")
    assert round_half_up(half, decimals) == on_paper(half, decimals)


@pytest.mark.parametrize("mm", [-0.0, -0.04, -1e-12])
def test_no_length_is_shown_as_minus_zero(mm):
    assert format_mm(mm) == "0.0 mm"
    assert format_inches(mm) == "0 in"


@pytest.mark.parametrize("value", [1.7976931348623157e308, -1e300, 123456789012345678901234567890.0])
def test_a_number_of_any_size_is_written_out(value):
    """It is shown where somebody typed it, before it is refused."""
    shown = round_half_up(value, 3)
    assert (float(shown), shown[-4:]) == (value, ".000")
