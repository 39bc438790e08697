"""What you read when a length or a note cannot be read: what you wrote, and what to write."""

import re
from itertools import chain

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.lengths import LengthError, parse_mm
from geometry.strings import NoteError, pitch_hz
from jigs.faults import InputFaults, Place, Wrong
from jigs.input import text, words
from jigs.input.quantities import Length

steady = settings(deadline=None, derandomize=True)

LOW, HIGH = 150, 1500
ALLOWED = "write a length from 150 to 1500 mm (5 29/32 in to 59 3/64 in)"


def sentence(read, text, refusal, says):
    with pytest.raises(refusal) as wrong:
        read(text)
    return str(Wrong(says(wrong.value)))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("abc", f'"abc" is not a length; {ALLOWED}'),
        ("-", f'"-" is not a length; {ALLOWED}'),
        ("5 furlongs", '"5 furlongs" has the unknown unit "furlongs"; write mm, cm, in or ft'),
        ('5" x', f"'5\" x' is not a length; {ALLOWED}"),
        ("1,234 mm", '"1,234 mm" has a comma; write "1.234 mm" or "1234 mm"'),
        ("5, 7", '"5, 7" has a comma; write the decimals after a point'),
        ("26 14", '"26 14" has a number without a unit; put mm, cm, in or ft after each'),
        ("1/0 in", '"1/0 in" divides by zero; ' + ALLOWED),
        ("1" * 41, f'"{"1" * 20}…" is too long for a length; {ALLOWED}'),
    ],
)
def test_refused_length_is_quoted_with_a_remedy(text, message):
    assert sentence(parse_mm, text, LengthError, lambda error: words.length_unread(error, LOW, HIGH)) == message


@pytest.mark.parametrize("bounds", [(0.001, 5), (0.005, 5), (0, 0.2), (0.5, 30), (0.1, 4), (1, 500), (50, 5000)])
def test_bounds_that_a_remedy_names_are_accepted(bounds):
    length = Length(*bounds)
    unread = ("wide", "1/0 in", "1" * 41, True, [bounds[0]])
    for beyond in (f"{bounds[0] / 2 or -1} mm", f"{bounds[1] + 1} mm", 1e12, *unread):
        with pytest.raises(Wrong) as wrong:
            length.read(beyond)
        (in_mm,) = re.findall(r"([\d.]+) to ([\d.]+) mm", wrong.value.says.remedy)
        in_inches = re.findall(r"\((.+ in) to (.+ in)\)", wrong.value.says.remedy)
        for written in (*(f"{mm} mm" for mm in in_mm), *chain(*in_inches)):
            length.read(written)


@pytest.mark.parametrize("text", ["H3", "D##4", ""])
def test_refused_note_is_quoted_with_an_example(text):
    expected = f'"{text}" is not a note; write letter and octave, for instance "D4" or "F#3"'
    assert sentence(pitch_hz, text, NoteError, words.note_unread) == expected


@steady
@given(st.text(max_size=45) | st.text("0123456789 ./-−¼½⅔⁄inftcm'\"″′,", max_size=45))
def test_every_text_is_a_length_or_gets_a_sentence(written):
    faults = []
    try:
        parse_mm(written)
    except LengthError as error:
        faults = [words.length_unread(error, LOW, HIGH).at(Place())]
    assert all(fault.remedy.startswith(("write ", "put ")) for fault in faults)


@pytest.mark.parametrize(
    ("line", "code", "remedy"),
    [
        ("scale = 26,5", "toml-decimal-comma", "write scale = 26.5"),
        ("fret_12 = 2,9", "toml-decimal-comma", "write fret_12 = 2.9"),
        ("nut = -0,5 # low", "toml-decimal-comma", "write nut = -0.5"),
        ("gauge = 0,010", "toml-decimal-comma", "write gauge = 0.010"),
        ("scale = 1,234", "toml-decimal-comma", "write scale = 1.234 or scale = 1234"),
        ("gauge = .010", "toml-unreadable", 'write gauge = ".010"'),
        ("gauge = 010", "toml-unreadable", 'write gauge = ".010"'),
        ("gauge = #10", "toml-unreadable", 'write gauge = "#10"'),
        ("gauge = .024w   # third", "toml-unreadable", 'write gauge = ".024w"'),
        ("core = 10 thou", "toml-unreadable", 'write core = "10 thou"'),
        ("scale = 26¼", "toml-unreadable", 'write scale = "26¼"'),
        ("scale = 26 1/4 in", "toml-unreadable", 'write scale = "26 1/4 in"'),
        ('head = 11"', "toml-unreadable", "write head = '11\"'"),
        ("nut = .5", "toml-unreadable", "write nut = 0.5"),
        ("frets = 022", "toml-unreadable", "write frets = 22"),
        ("note = F#3 # G before", "toml-unreadable", 'write note = "F#3"'),
        ("pair = True", "toml-unreadable", "write pair = true"),
        (
            "strings = [{gauge = 24w}]",
            "toml-unreadable",
            'put text and lengths with a unit in quotes, as in scale = "26 1/4 in"',
        ),
        ("scale = “26 1/4 in”", "toml-curly-quotes", 'replace the curly quotes by straight ones (")'),
        ("kind = 1\nkind = 2", "toml-key-twice", "is this key written twice? keep one of the two"),
    ],
)
def test_line_that_is_not_toml_gets_the_remedy_for_its_slip(line, code, remedy):
    with pytest.raises(InputFaults) as refusal:
        text.parse_toml(line, "mine.toml", 'scale = "26 1/4 in"', "")
    (fault,) = refusal.value.faults
    assert (fault.code, fault.remedy, fault.place.line) == (code, remedy, len(line.splitlines()))


bare_values = st.text("0123456789.,#¼ /-wWin'\"=abcF", max_size=15)


@steady
@given(st.sampled_from(["gauge", "scale", "note"]), bare_values)
def test_line_that_a_fault_shows_can_be_read(key, value):
    """Whatever was written without quotes: the line that the message says to write is a line of TOML."""
    line = f"{key} = {value}"
    try:
        text.parse_toml(line, "mine.toml", "x", "")
    except InputFaults as refusal:
        (fault,) = refusal.faults
        if fault.remedy.startswith("write "):
            for corrected in fault.remedy.removeprefix("write ").split(f" or {key} = ")[:1]:
                assert set(text.parse_toml(corrected, "mine.toml", "x", "")) == {key}
