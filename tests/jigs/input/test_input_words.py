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

EXAMPLE = 'write for instance "333.4 mm" or "26 1/4 in"'


def sentence(read, text, refusal, says):
    with pytest.raises(refusal) as wrong:
        read(text)
    return str(Wrong(says(wrong.value)))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("abc", f'"abc" is not a length; {EXAMPLE}'),
        ("-", f'"-" is not a length; {EXAMPLE}'),
        ("5 furlongs", '"5 furlongs" has the unknown unit "furlongs"; write mm, cm, in or ft'),
        ('5" x', f"'5\" x' is not a length; {EXAMPLE}"),
        ("26,5", '"26,5" has a comma; write the decimals after a point'),
        ("26 14", '"26 14" has a number without a unit; put mm, cm, in or ft after each'),
        ("1/0 in", '"1/0 in" divides by zero; write for instance 1/4'),
        ("1" * 41, f'"{"1" * 20}…" is too long for a length; {EXAMPLE}'),
    ],
)
def test_refused_length_is_quoted_with_a_remedy(text, message):
    assert sentence(parse_mm, text, LengthError, words.length_unread) == message


@pytest.mark.parametrize("bounds", [(0.001, 5), (0.005, 5), (0, 0.2), (0.5, 30), (0.1, 4), (1, 500), (50, 5000)])
def test_bounds_that_a_remedy_names_are_accepted(bounds):
    length = Length(*bounds)
    for beyond in (f"{bounds[0] / 2 or -1} mm", f"{bounds[1] + 1} mm", 1e12):
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
        faults = [words.length_unread(error).at(Place())]
    assert all(fault.remedy.startswith(("write ", "put ")) for fault in faults)


@pytest.mark.parametrize(
    ("line", "code", "remedy"),
    [
        ("scale = 26,5", "toml-decimal-comma", "use a point, not a comma: 26.5"),
        ("nut = -0,5 # low", "toml-decimal-comma", "use a point, not a comma: -0.5"),
        (
            "scale = 26 1/4 in",
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
