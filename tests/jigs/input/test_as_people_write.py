"""Gauges and lengths as packets, rules and people write them: one thing where they can mean only one, else a question."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.faults import Wrong
from jigs.input.gauges import GAUGES, Gauge, is_marked_wound
from jigs.input.quantities import MODULUS, UNIT_MASS, Length
from jigs.instrument.keys import StringEntry
from jigs.instrument.lists import ForEachString
from jigs.instrument.reference import MODELS

steady = settings(deadline=None, derandomize=True)

STRING = Gauge(0.1, 4, "a string", "thin", "thick")
CORE = Gauge(0.05, 3, "a core", "thin", "thick", may_be_wound=False)
SCALE = Length(150, 1500, usual=(300, 800))
ACTION = Length(0.2, 15, "an action", "low", "high", usual=(1, 4.5))
SPACING = Length(5, 150, usual=(25, 75))
NUT = Length(0, 5)
KERF = Length(0, 6)
ONE_OF_MANY = Length(1, 1500, listed=True)


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        (".010", 0.254),
        ("0.010", 0.254),
        ("010", 0.254),
        ("10", 0.254),
        ("10 thou", 0.254),
        ("10-thou", 0.254),
        ("10 thousandths", 0.254),
        ("#10", 0.254),
        ("# 10", 0.254),
        ("#.010", 0.254),
        ('0.010"', 0.254),
        ("0.010 in", 0.254),
        (".010 in", 0.254),
        ("0,010 in", 0.254),
        ("0,010", 0.254),
        (",010", 0.254),
        (".26 mm", 0.26),
        ("0.26 mm", 0.26),
        ("0,26 mm", 0.26),
        ("0.26", 0.26),
        ("0.254", 0.254),
        ("1/64 in", 0.396875),
        ("1/64", 0.396875),
        ("9.5", 0.2413),
        (".0095", 0.2413),
        ("0.085", 2.159),
        (".105", 2.667),
        ("105", 2.667),
        (0.010, 0.254),
        (0.0095, 0.2413),
        (0.022, 0.5588),
        (0.254, 0.254),
        (10, 0.254),
        (10.0, 0.254),
        (1, 1.0),
        (4, 4.0),
        (5, 0.127),
        (80, 2.032),
    ],
)
def test_gauge_is_read_as_packets_print_it(written, mm):
    read = STRING.read(written)
    assert read == mm
    assert not is_marked_wound(read)


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        (".024w", 0.6096),
        ("24w", 0.6096),
        ("24W", 0.6096),
        ("024w", 0.6096),
        ("#24w", 0.6096),
        ("0.024 w", 0.6096),
        ("0,024w", 0.6096),
        ('.024"w', 0.6096),
        ("0.024 in w", 0.6096),
        ("24 thou w", 0.6096),
        ("0.61 mm w", 0.61),
        (" 0.61w ", 0.61),
        (".105w", 2.667),
    ],
)
def test_w_marks_a_wound_string_however_its_gauge_is_written(written, mm):
    read = STRING.read(written)
    assert read == mm
    assert is_marked_wound(read)


AS_ON_PACKETS = 'write it as on the packet, for instance ".010" or ".024w"'
SPELLINGS = (
    "{point}", "0{point}", "0{comma}", "{comma}", "{thousandths}", "#{thousandths}", "{thousandths} thou",
    "{thousandths}-thou", "{point} in", "0{point} in", '{point}"', "0{comma} in", "{thousandths} thousandths", "{mm} mm",
)  # fmt: skip


@steady
@given(st.integers(7, 80), st.sampled_from(SPELLINGS), st.booleans())
def test_every_gauge_is_the_same_in_every_spelling(thousandths, spelling, wound):
    """To the last digit, because the same string must give the same sheet."""
    point, mm = f".{thousandths:03d}", f"{thousandths * 254 // 10000}.{thousandths * 254 % 10000:04d}"
    written = spelling.format(point=point, comma=point.replace(".", ","), thousandths=thousandths, mm=mm)
    read = STRING.read(f"{written}{'w' * wound}")
    assert read == float(mm)
    assert is_marked_wound(read) is wound
    for number in (tomllib.loads(f"gauge = 0{point}")["gauge"], thousandths, float(thousandths)):
        assert STRING.read(number) == read


@steady
@given(st.integers(7, 80))
def test_three_digits_without_a_point_are_what_they_are_with_it(thousandths):
    assert STRING.read(f"{thousandths:03d}") == STRING.read(f".{thousandths:03d}")


@steady
@given(st.integers(16, 400))
def test_gauge_in_millimetres_stays_in_millimetres(hundredths):
    """A file that has always had gauge = 0.25 means that still; so does one with a nylon string of 1 mm."""
    assert STRING.read(hundredths / 100) == hundredths / 100
    assert STRING.read(f"{hundredths / 100:.2f}") == hundredths / 100


@pytest.mark.parametrize(
    ("gauge", "written", "sentence"),
    [
        (STRING, 0.12, '0.12 can mean two gauges; write "0.12 in" or "0.12 mm"'),
        (STRING, "0.105", '"0.105" can mean two gauges; write "0.105 in" or "0.105 mm"'),
        (STRING, "0,105w", '"0,105w" can mean two gauges; write "0.105 in w" or "0.105 mm w"'),
        (STRING, "0105", '"0105" can mean two gauges; write ".0105" or "105 thou"'),
        (STRING, "05w", '"05w" can mean two gauges; write ".05 in w" or "5 thou w"'),
        (STRING, ".10", '".10" can mean two gauges; write ".010", ".10 in" or ".10 mm"'),
        (STRING, ".16", '".16" can mean two gauges; write ".016" or ".16 mm"'),
        (STRING, ".24w", '".24w" can mean two gauges; write ".024w" or ".24 mm w"'),
        (STRING, ".220w", '".220w" is too thick for a string; write .004 to .157 in, or 0.1 to 4 mm'),
        (CORE, 0.06, '0.06 can mean two gauges; write "0.06 in" or "0.06 mm"'),
        (CORE, ".011w", '".011w" is the gauge of a wound string, and a core is plain wire; '
         'write the core alone, as in ".011"'),
        (STRING, 4.5, "4.5 is too thick for a string; write .004 to .157 in, or 0.1 to 4 mm"),
        (STRING, "300", '"300" is too thick for a string; write .004 to .157 in, or 0.1 to 4 mm'),
        (STRING, "#3", '"#3" is too thin for a string; write .004 to .157 in, or 0.1 to 4 mm'),
        (STRING, 0.002, "0.002 is too thin for a string; write .004 to .157 in, or 0.1 to 4 mm"),
        (STRING, "1 in", '"1 in" is too thick for a string; write .004 to .157 in, or 0.1 to 4 mm'),
        (CORE, "0.001 in", '"0.001 in" is too thin for a core; write .002 to .118 in, or 0.05 to 3 mm'),
        (STRING, ".024 wound", '".024 wound" has no w at its end; write ".024w"'),
        (STRING, "24 wound", '"24 wound" has no w at its end; write "24w"'),
        (STRING, "24 thou Wound", '"24 thou Wound" has no w at its end; write "24 thou w"'),
        (STRING, "W24", '"W24" has no w at its end; write "24w"'),
        (STRING, "w .024", '"w .024" has no w at its end; write ".024w"'),
        (STRING, "wound", '"wound" is not a length; ' + AS_ON_PACKETS),
        (CORE, "W24", '"W24" is the gauge of a wound string, and a core is plain wire; write the core alone, as in "24"'),
        (STRING, "thick", '"thick" is not a length; ' + AS_ON_PACKETS),
        (STRING, "0.024, 0.026", '"0.024, 0.026" has a comma; ' + AS_ON_PACKETS),
        (STRING, "10 mils", '"10 mils" has the unknown unit "mils"; ' + AS_ON_PACKETS),
        (STRING, True, 'true is not a length; ' + AS_ON_PACKETS),
        (STRING, 0, "0 is zero; write a length from 0.1 to 4 mm"),
        (STRING, "000", '"000" is zero; write a length from 0.1 to 4 mm'),
        (STRING, -0.25, "-0.25 is negative; write a length from 0.1 to 4 mm"),
        (STRING, float("nan"), "nan is not a length; write a number of millimetres, or mm, cm, in or ft"),
        (STRING, 10**400, f"{'1' + 39 * '0'}… is beyond any instrument; write a length from 0.1 to 4 mm"),
    ],
)  # fmt: skip
def test_gauge_that_can_be_none_or_two_is_refused_with_what_to_write(gauge, written, sentence):
    with pytest.raises(Wrong) as refusal:
        gauge.read(written)
    assert str(refusal.value) == sentence


def test_gauges_of_a_file_are_the_keys_that_packets_print():
    """The line that a fault shows instead of `gauge = .010` depends on it."""
    marked = {
        (name, key)
        for name, model in MODELS.items()
        for key, field in model.model_fields.items()
        if "Gauge(" in repr((field.annotation, field.metadata))
    }
    assert marked == {("strings", key) for key in GAUGES}


def test_string_is_wound_if_its_gauge_says_so_and_its_core_is_a_gauge_too():
    one = StringEntry.model_validate({"note": "D3", "gauge": "24w", "core": ".011"})
    assert (one.is_wound, one.gauge, one.core_mm) == (True, 0.6096, 0.2794)
    assert not StringEntry.model_validate({"note": "D4", "gauge": "#10"}).is_wound


@pytest.mark.parametrize(
    ("length", "written", "mm"),
    [
        (SCALE, "26¼", 666.75),
        (SCALE, "26 1/4", 666.75),
        (SCALE, "26-1/4", 666.75),
        (SCALE, "26.25", 666.75),
        (SCALE, "26,25", 666.75),
        (SCALE, 26.25, 666.75),
        (SCALE, 14, 355.6),
        (SCALE, "26,25 in", 666.75),
        (SCALE, "666,75", 666.75),
        (SCALE, "666,750", 666.75),
        (SCALE, "1234,5", 1234.5),
        (SCALE, 650, 650.0),
        (SCALE, "58½", 1485.9),
        (ACTION, "2,9", 2.9),
        (ACTION, "1/8", 3.175),
        (ACTION, ".110", 2.794),
        (ACTION, 0.11, 2.794),
        (ACTION, "0.25", 0.25),
        (ACTION, "110 thou", 2.794),
        (SPACING, "1 11/16", 42.8625),
        (SPACING, 1.7, 43.18),
        (SPACING, "43", 43.0),
        (NUT, "1/2", 0.5),
        (NUT, "0,5", 0.5),
        (NUT, ".020 in", 0.508),
        (KERF, "0,2", 0.2),
        (ONE_OF_MANY, "33,7", 33.7),
    ],
)  # fmt: skip
def test_length_is_read_where_it_can_mean_only_one(length, written, mm):
    assert length.read(written) == mm


@pytest.mark.parametrize(
    ("length", "written", "sentence"),
    [
        (SCALE, 35, '35 is read as 35 mm, too short; for inches write "35 in", for centimetres write "35 cm"'),
        (SCALE, "66,7", '"66,7" is read as 66.7 mm, too short; for centimetres write "66,7 cm"'),
        (SCALE, 31, '31 is read as 31 mm, too short; for inches write "31 in", for centimetres write "31 cm"'),
        (SPACING, 4.3, '4.3 is read as 4.3 mm, too short; for inches write "4.3 in", for centimetres write "4.3 cm"'),
        (ACTION, "1/4", '"1/4" can be inches or millimetres; for inches write "1/4 in", for millimetres write "0.25 mm"'),
        (NUT, "1/64", '"1/64" can be inches or millimetres; for inches write "1/64 in", for millimetres write "0.01562 mm"'),
        (ACTION, 120, '120 is read as 120 mm, too high for an action; for thousandths of an inch write "120 thou"'),
        (ACTION, 0.19, '0.19 is read as 0.19 mm, too low for an action; for inches write "0.19 in"'),
        (Length(1, 1500), "1,234", '"1,234" has a comma; write "1.234" or "1234"'),
        (Length(1, 1500), "1,234 mm", '"1,234 mm" has a comma; write "1.234 mm" or "1234 mm"'),
        (SCALE, "1,234", '"1,234" has a comma; write "1234"'),
        (SCALE, "650, 651", '"650, 651" has a comma; write the decimals after a point'),
        (SCALE, "1.234,5", '"1.234,5" has a comma; write the decimals after a point'),
        (ONE_OF_MANY, 0.9, '0.9 is read as 0.9 mm, too short; for inches write "0.9 in"'),
        (ONE_OF_MANY, "1 3/4",
         '"1 3/4" can be inches or millimetres; for inches write "1 3/4 in", for millimetres write "1.75 mm"'),
        (ONE_OF_MANY, "15/32", '"15/32" is read as 0.469 mm, too short; for inches write "15/32 in"'),
    ],
)  # fmt: skip
def test_length_that_can_be_two_is_refused_with_what_to_write(length, written, sentence):
    with pytest.raises(Wrong) as refusal:
        length.read(written)
    assert str(refusal.value) == sentence


@steady
@given(st.floats(0.001, 2000))
def test_length_that_is_accepted_is_within_its_bounds(number):
    for length in (SCALE, ACTION, SPACING, NUT, ONE_OF_MANY, STRING, CORE):
        for written in (number, f"{number:.3f}", f"{number:.2f}".replace(".", ",")):
            try:
                read = length.read(written)
            except Wrong:
                continue
            assert length.low <= read <= length.high


def test_steps_are_lengths_with_a_sign():
    steps = ForEachString(-6, 6, "[-1.2, 1.2]")
    assert steps.read([-1.2, "-1,2", "−1/64 in", "1/2", 0]) == (-1.2, -1.2, -0.396875, 0.5, 0)
    with pytest.raises(Wrong) as refusal:
        steps.read([0, "-1/64"])
    assert "string 2" in str(refusal.value)
    assert '"-1/64" can be inches or millimetres; for inches write "-1/64 in"' in str(refusal.value)


@pytest.mark.parametrize(
    ("quantity", "written", "amount"),
    [(UNIT_MASS, "0,398 g/m", 0.398), (UNIT_MASS, "1,234 g/m", 1.234), (MODULUS, "203,5 GPa", 203.5)],
)
def test_decimal_comma_is_read_in_a_mass_and_a_modulus_too(quantity, written, amount):
    assert quantity.read(written) == pytest.approx(amount)


def test_comma_for_thousands_is_not_taken_for_a_decimal_comma():
    """29,000 ksi is how tables print the modulus of steel; a thousandth of it would be rubber."""
    with pytest.raises(Wrong) as refusal:
        MODULUS.read("29,000 ksi")
    assert str(refusal.value) == '"29,000 ksi" has a comma; write "29.000 ksi" or "29000 ksi"'
