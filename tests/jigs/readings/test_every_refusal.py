"""Each refusal of readings and of a place to keep: where it is shown, its code, and beside it the value that is taken.

Without these, a slip would move the bridge, a sound reading be refused, or the fault be shown at another field.
"""

import datetime

import pytest
from samples import preset

from jigs.faults import InputFaults, Place
from jigs.readings import file as readings_file
from jigs.readings.checked import Row, checked, read_errors, read_tone, rows_from_options
from jigs.readings.kept_place import Given, table_for

HEADS = "string, harmonic, fretted, fret, open\n"
TODAY = datetime.date(2026, 11, 25)


def found_in(work, *arguments):
    """What is refused, as (place, code); nothing if nothing is."""
    try:
        work(*arguments)
    except InputFaults as wrong:
        return [(one.place, one.code) for one in wrong.faults if "None" not in one.sentence()]
    return []


def in_file(text, source="r.csv"):
    return found_in(lambda: checked(readings_file.parse(text.encode(), source), preset("banjo")))


@pytest.mark.parametrize(
    ("text", "line", "string", "code"),
    [
        ("", None, None, "file-empty"),
        (HEADS, None, None, "readings-file-empty"),
        ("1, +2, -5\n" * 1001, None, None, "readings-too-many"),
        ("1, +2, -5\n1," + "9" * 499, 2, None, "readings-line-too-long"),
        ("string, harmonic, freted", 1, None, "readings-column-unknown"),
        ("string, harmonic, fretted, harmonic", 1, None, "readings-column-twice"),
        ("harmonic, fretted", 1, None, "readings-column-missing"),
        ("string, harmonic", 1, None, "readings-column-missing"),
        ("string, fretted", 1, None, "readings-column-missing"),
        ("1, +2, -5, 12, 3, 4", 1, None, "readings-too-many-columns"),
        (HEADS + ", +2, -5", 2, None, "reading-without-string"),
        (HEADS + "x, +2, -5", 2, None, "string-number-unread"),
        (HEADS + "0, +2, -5", 2, 0, "string-unknown"),
        (HEADS + "6, +2, -5", 2, 6, "string-unknown"),
        (HEADS + "1, +2, -5, 12, 3", 2, 1, "reading-two-references"),
        (HEADS + "1", 2, 1, "reading-missing"),
        (HEADS + "1, +2", 2, 1, "reading-without-fretted"),
        (HEADS + "1, , , , +2", 2, 1, "reading-without-fretted"),
        (HEADS + "1, , -5", 2, 1, "reading-without-reference"),
        (HEADS + "1, +2, -5, x", 2, 1, "fret-number-unread"),
        (HEADS + "1, +2, -5, 0", 2, 1, "fret-nought"),
        (HEADS + "1, +2, -5, 23", 2, 1, "reading-fret-unknown"),
        (HEADS + "5, +2, -5, 18", 2, 5, "reading-fret-unknown"),
        (HEADS + "1, +2, y", 2, 1, "tone-unread"),
        (HEADS + "1, 60, -41", 2, 1, "tones-too-far-apart"),
    ],
)
def test_line_of_a_file_that_cannot_be_read_is_refused_at_its_line(text, line, string, code):
    assert in_file(text) == [(Place("r.csv", line=line, string=string), code)]


@pytest.mark.parametrize(
    "text",
    [
        "1, +2, -5\n" * 1000,
        HEADS + "1, 60, -40",
        HEADS + "5, +2, -5, 17",
        HEADS + "1, +2, -5, 22",
        "string, open, fretted\n4, 2, 3",
        "STRING, Harmonic, fretted\n4, 2, 3",
    ],
)
def test_line_at_a_limit_is_a_reading(text):
    assert in_file(text) == []


@pytest.mark.parametrize(
    ("text", "place", "code"),
    [
        ("reading = 1", Place("r.TOML", key="readings"), "readings-no-tables"),
        ("readings = [1]", Place("r.TOML", key="readings"), "readings-no-tables"),
        ("readings = []", Place("r.TOML", key="readings"), "readings-no-tables"),
        (
            "[[readings]]\nstring = 4\nharmonic = 2\nfreted = 5",
            Place("r.TOML", "readings", row=1, string=4),
            "readings-key-unknown",
        ),
        (
            "[[readings]]\nstring = 1\nharmonic = 2\nfretted = 5\n[[readings]]\nstring = 4\nharmonic = true\nfretted = 5",
            Place("r.TOML", "readings", row=2, string=4),
            "tone-unread",
        ),
    ],
)
def test_table_of_a_file_that_cannot_be_read_is_refused_at_its_row(text, place, code):
    assert (place, code) in in_file(text, "r.TOML")


@pytest.mark.parametrize(
    ("text", "cents", "hz"),
    [("100", 100, None), ("-100 ct", -100, None), ("15 Hz", None, 15), ("6000hz", None, 6000), (".5", 0.5, None)],
)
def test_tone_at_a_limit_is_read(text, cents, hz):
    assert (read_tone(text).cents, read_tone(text).hz) == (cents, hz)


@pytest.mark.parametrize(
    ("text", "code", "remedy"),
    [
        ("100.1", "tone-far-off", "100.1 Hz"),
        ("6000", "tone-far-off", "6000 Hz"),
        ("6000.1", "tone-far-off", "read the tuner again"),
        ("-293.9", "tone-far-off", "read the tuner again"),
        ("293.9 cents", "tone-far-off", "read the tuner again"),
        ("14.9 Hz", "tone-no-pitch", "15 to 6000 Hz"),
        ("6000.1 Hz", "tone-no-pitch", "15 to 6000 Hz"),
        ("-293.9 Hz", "tone-no-pitch", "15 to 6000 Hz"),
        ("sharp", "tone-unread", "293.9 Hz"),
    ],
)
def test_tone_beyond_a_limit_is_refused_with_what_was_perhaps_meant(text, code, remedy):
    ((at, found),) = found_in(checked, [Row(Place(string=1), 1, harmonic=text, fretted=text)], preset("banjo"))[:1]
    assert (at.option, found) == ("harmonic", code)
    with pytest.raises(InputFaults) as wrong:
        checked([Row(Place(string=1), 1, harmonic=text, fretted=text)], preset("banjo"))
    assert remedy in str(wrong.value.faults[0])


@pytest.mark.parametrize(
    ("tuner", "touch", "refused"),
    [
        ("0.01", "0", []),
        ("20", "20", []),
        ("0,5", None, []),
        ("0.009", None, ["tuner-error"]),
        ("20.1", "20.1", ["tuner-error", "touch-error"]),
        (None, "-0.1", ["touch-error"]),
        ("x", "nan", ["tuner-error", "touch-error"]),
    ],
)
def test_error_of_tuner_or_touch_is_taken_within_its_range_and_refused_at_its_option(tuner, touch, refused):
    codes = [(Place(option=option), f"{option}-out-of-range") for option in refused]
    assert found_in(read_errors, tuner, touch) == codes
    if not refused and tuner != "0,5":
        errors = read_errors(tuner, touch)
        assert (errors.tuner_cents, errors.touch_cents) == (float(tuner), float(touch))


@pytest.mark.parametrize(
    ("given", "option", "remedy"),
    [
        (("harmonic", "293.7 Hz", "587.3 Hz"), "harmonic", "was the open string read, not the harmonic?"),
        (("open", "587.3 Hz", "587.3 Hz"), "open", "was the harmonic read, not the open string?"),
        (("harmonic", "587.3 Hz", "493.9 Hz"), "", "string 2 sounds that"),
        (("harmonic", "587.3 Hz", "523.3 Hz"), "", "fret 10 sounds that"),
        (("harmonic", "587.3 Hz", "610 Hz"), None, None),
        (("harmonic", "587.3 Hz", "2000 Hz"), "", "wrong string or wrong fret"),
    ],
)
def test_tones_too_far_apart_are_traced_to_the_slip(given, option, remedy):
    name, reference, fretted = given
    rows = rows_from_options([("string", "1"), (name, reference), ("fretted", fretted)])
    if remedy is None:
        assert found_in(checked, rows, preset("banjo")) == []
        return
    with pytest.raises(InputFaults) as wrong:
        checked(rows, preset("banjo"))
    (fault,) = wrong.value.faults
    assert (fault.code, fault.place.string) == ("tones-too-far-apart", 1)
    assert remedy in str(fault)
    assert not option or fault.place.option == option


def kept(**given):
    return found_in(table_for, preset("banjo"), Given(**given), TODAY, None)


@pytest.mark.parametrize(
    ("given", "option", "code"),
    [
        ({}, "at", "keep-one-place"),
        ({"at": "669 / 670", "ticks": "0 / 0"}, "ticks", "keep-one-place"),
        ({"feet_from_fret": ("x", "331 / 332")}, "feet-from-fret", "keep-fret-unknown"),
        ({"feet_from_fret": ("0", "331 / 332")}, "feet-from-fret", "keep-fret-unknown"),
        ({"feet_from_fret": ("23", "331 / 332")}, "feet-from-fret", "keep-fret-unknown"),
        ({"ticks": "60.1 / 0"}, "ticks", "keep-ticks-unread"),
        ({"ticks": "0 / -60.1"}, "ticks", "keep-ticks-unread"),
        ({"ticks": "much"}, "ticks", "keep-ticks-unread"),
        ({"at": "669 / 670", "date": "2026-11-26"}, "date", "keep-date-to-come"),
        ({"at": "669 / 670", "date": "yesterday"}, "date", "date-unread"),
        ({"at": "669 / 670", "plus_minus": "10.1"}, "plus-minus", "length-perhaps-other-unit"),
        ({"wedges": "x"}, "wedges", "wedges-unread"),
    ],
)
def test_place_that_cannot_be_kept_is_refused_at_its_option(given, option, code):
    assert kept(**given) == [(Place(option=option), code)]


@pytest.mark.parametrize(
    ("given", "keys"),
    [
        ({"at": "669.714 / 670"}, {"treble": 669.71, "bass": 670.0, "plus_minus": 0.6, "date": TODAY, "a4": 440.0}),
        ({"at": "669 / 670", "date": "2026-11-25", "plus_minus": "10"}, {"plus_minus": 10.0, "date": TODAY}),
        ({"feet_from_fret": (" 12 ", "331.1 / 332.6")}, {"fret": 12, "feet_treble": 331.1, "plus_minus": 0.6}),
        ({"feet_from_fret": ("22", "183 / 184")}, {"fret": 22, "feet_treble": 183.0, "feet_bass": 184.0}),
        ({"ticks": "60 / -60"}, {"fret": 12}),
    ],
)
def test_place_at_a_limit_is_kept_under_its_keys(given, keys):
    table = table_for(preset("banjo"), Given(**given), TODAY, None)
    assert keys.items() <= table.keys.items()
    assert table.on_paper is ("ticks" in given)
    assert table.zero == ""
