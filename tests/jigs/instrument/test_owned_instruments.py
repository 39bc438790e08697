"""What people own and what they know of it: steps, wound strings, zero frets, fingers, boards of other frets, half a scale.

Each refusal names its place, what is wrong and what to do; values of the same kind that can be are taken.
"""

import pytest

from geometry.lengths import format_inches
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.instrument.set_keys import read_set_keys

MANDOLIN = ("mandolin", "steps     = [-1.2, 1.2, -0.6, 1.0]")
DIATONIC = "[200, 400, 500, 700, 900, 1000, 1200, 1400, 1600, 1700, 1900, 2100, 2200, 2400, 2600, 2800, 2900]"
SEVEN = "[200, 400, 500, 700, 900, 1000, 1200]"


def read(name, *edits):
    """A preset with parts of its file replaced, each once."""
    text = preset_text(name)
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new, 1)
    return parse(text.encode(), "mine.toml")


def refused(name, *edits):
    """The one fault of such a file as (place, what is wrong, what to do)."""
    with pytest.raises(InputFaults) as wrong:
        read(name, *edits)
    (line,) = map(str, wrong.value.faults)
    place, _, says = line.removeprefix("mine.toml: ").partition(": ")
    what, _, remedy = says.partition("; ")
    return place, what, remedy


def seven_frets(*cents):
    """Edits that make the dulcimer's board one of so many frets."""
    return (
        (f"fret_rule = {DIATONIC}", f"fret_rule = {list(cents)}"),
        ("frets = 17", f"frets = {len(cents)}"),
        ("dots = ", "# dots = "),
        ("frets      = 12", "# frets = 12"),
    )


# steps


@pytest.mark.parametrize(
    ("steps", "what", "remedy"),
    [
        ("[-1.2, 1.2, -0.6]", "3 steps are listed, but the instrument has 4 strings", "treble side first"),
        ("[-1.2, 1.2, -0.6, 1, 0]", "5 steps are listed, but the instrument has 4 strings", "treble side first"),
        ("[-1.2, 1.2, 10.1, 1]", "at string 3, 10.1 is not a step", "mm from -10 to 10"),
        ("[-1.2, -10.1, 0, 1]", "at string 2, -10.1 is not a step", "mm from -10 to 10"),
        ('[-1.2, "1/2 in", 0, 1]', 'at string 2, "1/2 in" is not a step', "mm from -10 to 10"),
        ('[-1.2, "much", 0, 1]', 'at string 2, "much" is not a length', "write a length from -10 to 10 mm"),
        ("1.2", "1.2 is not a list", "one for each string, as in [-1.2, 1.2, -0.6, 1.0]"),
    ],
)
def test_steps_that_no_saddle_has_are_refused(steps, what, remedy):
    name, line = MANDOLIN
    place, said, do = refused(name, (line, f"steps = {steps}"))
    assert (place, said) == ("[bridge] steps", what)
    assert remedy in do


@pytest.mark.parametrize(
    ("steps", "corrected"),
    [
        ("[-1,2, 1,2, -0,6, 1,0]", "write decimals with a point: [-1.2, 1.2, -0.6, 1.0]"),
        ("[0,5, -0,5, 0,6, -2,0]", "write decimals with a point: [0.5, -0.5, 0.6, -2.0]"),
        ("[-1.2 1.2 -0.6 1.0]", "write steps = [-1.2, 1.2, -0.6, 1.0]"),
        ("[-1,2 1,2 -0,6 1,0]", "write steps = [-1.2, 1.2, -0.6, 1.0]"),
        ("[-1,2; 1,2; -0,6; 1,0]", "write steps = [-1.2, 1.2, -0.6, 1.0]"),
        ("[-1.2, 1.2, -.6, 1.0]  # measured", "write steps = [-1.2, 1.2, -0.6, 1.0]"),
        ('"-1.2 1.2 -0.6 1.0"', "write [-1.2, 1.2, -0.6, 1.0]"),
    ],
)
def test_steps_with_commas_or_spaces_as_people_write_them_are_shown_as_a_file_has_them(steps, corrected):
    name, line = MANDOLIN
    with pytest.raises(InputFaults) as wrong:
        read(name, (line, f"steps = {steps}"))
    assert str(wrong.value).endswith(f"; {corrected}")
    shown = corrected[corrected.index("[") :]
    assert read(name, (line, f"steps = {shown}")).bridge.steps in ((-1.2, 1.2, -0.6, 1.0), (0.5, -0.5, 0.6, -2.0))


@pytest.mark.parametrize("steps", ["[1, 2, 3, 4, 5, 6, 7]", "[1, 2.5, 1, 2, 1, 2, 1, 2]", "[1, -2, 1, 2, 1, 2, 1, 2]"])
def test_steps_that_no_decimal_comma_cut_in_two_are_only_counted(steps):
    name, line = MANDOLIN
    assert "treble side first" in refused(name, (line, f"steps = {steps}"))[2]


def test_a_minus_before_a_nought_moves_no_step():
    name, line = MANDOLIN
    assert read(name, (line, "steps = [-0, 1.2, -0, 1.0]")).steps_mm.tolist() == [0, 1.2, 0, 1.0]


def test_steps_that_are_typed_with_spaces_or_decimal_commas_mean_the_same():
    text = preset_text("mandolin").encode()
    for typed in ("-1.2 1.2 -.6 1", "-1,2 1,2 -0,6 1,0", "-1,2; 1,2; -0,6; 1,0", "−1.2 1.2 −0.6 1.0"):
        keys = read_set_keys([f"bridge.steps={typed}"])
        assert parse(text, "mine.toml", keys).bridge.steps == (-1.2, 1.2, -0.6, 1.0)
    with pytest.raises(InputFaults, match=r"write decimals with a point: \[-1.2, 1.2, -0.6, 1.0\]"):
        parse(text, "mine.toml", read_set_keys(["bridge.steps=-1,2, 1,2, -0,6, 1,0"]))


def test_steps_can_be_millimetres_or_have_a_unit_of_their_own():
    name, line = MANDOLIN
    given = read(name, (line, 'steps = [-10, "0.05 in", "−1 mm", 10]'))
    assert given.steps_mm.tolist() == pytest.approx([-10, 1.27, -1, 10])


def test_a_nut_step_behind_the_nut_is_refused():
    place, what, remedy = refused("mandolin", ("# steps = [0.0, 0.3, 0.0, 0.3]", "steps = [0.0, -0.3, 0.0, 0.3]"))
    assert (place, what) == ("[nut] steps", "at string 2, -0.3 lies behind the nut")
    assert "0 to 10 mm" in remedy
    taken = read("mandolin", ("# steps = [0.0, 0.3, 0.0, 0.3]", "steps = [0.0, 0.3, 0.0, 10]"))
    assert taken.nut_setback_mm.tolist() == [0.0, -0.3, 0.0, -10.0]


@pytest.mark.parametrize(("step", "shown"), [("11", "11"), ("true", "true"), ("nan", "nan")])
def test_the_remedy_of_a_nut_step_asks_for_no_minus(step, shown):
    place, what, remedy = refused("mandolin", ("# steps = [0.0, 0.3, 0.0, 0.3]", f"steps = [0, {step}, 0.2, 0]"))
    assert (place, what) == ("[nut] steps", f"at string 2, {shown} is not a step")
    assert remedy == "write 0 to 10 mm, towards the bridge"


def test_steps_of_a_nut_are_refused_where_a_zero_fret_bears_the_strings():
    edits = [("nut     = 0.4", "nut = 0"), ("# zero_fret", "zero_fret")]
    steps = "# steps = [0.0, 0.3, 0.0, 0.3]"
    place, what, remedy = refused("mandolin", *edits, (steps, "steps = [0.0, 0.3, 0.0, 0.3]"))
    assert place == "[nut] steps"
    assert "a zero fret bears all strings" in what
    assert remedy == "remove them, or [nut] zero_fret"
    assert read("mandolin", *edits, (steps, "steps = [0, 0, 0, 0]")).nut.zero_fret
    with_steps = preset_text("mandolin").replace(steps, "steps = [0.0, 0.3, 0.0, 0.3]").encode()
    assert parse(with_steps, "mine.toml", read_set_keys(["nut.zero_fret=true"])).nut.steps is None


# wound strings


@pytest.mark.parametrize(
    ("turns", "left"),
    [
        (37, "37 turns in 10 mm leave a core of 0.12 mm"),  # a fifth of 0.66 mm is 0.13
        (10, "10 turns in 10 mm leave no core"),
    ],
)
def test_turns_that_leave_hardly_a_core_were_miscounted(turns, left):
    place, what, remedy = refused("mandolin", ('# core = "0.012 in"', f"turns = {turns} #"))
    assert (place, what) == ("string 3, turns", f"{left} in a string of 0.66 mm (0.026 in)")
    assert remedy == "count again: 51 to 67 are usual; or remove it"


@pytest.mark.parametrize("turns", [51, 58, 67])
def test_turns_that_the_refusal_calls_usual_are_taken(turns):
    third = read("mandolin", ('# core = "0.012 in"', f"turns = {turns} #")).strings[2]
    assert third.core_mm == pytest.approx(0.6604 - 20 / turns)
    assert 0.4 < third.core_mm / 0.6604 < 0.55


@pytest.mark.parametrize(("turns", "shown"), [("4", "4"), ("121", "121"), ('"many"', '"many"'), ("true", "true")])
def test_something_else_than_a_count_of_turns_is_refused(turns, shown):
    place, what, remedy = refused("mandolin", ('# core = "0.012 in"', f"turns = {turns} #"))
    assert (place, what) == ("string 3, turns", f"{shown} is not a number of turns in 10 mm")
    assert "5 to 120 are possible" in remedy


def test_core_and_turns_of_one_string_are_one_too_many():
    place, what, remedy = refused("mandolin", ('# core = "0.012 in"', 'turns = 58\ncore = "0.012 in" #'))
    assert (place, what) == ("string 3, turns", "both core and turns are filled in")
    assert remedy == "keep the one that you measured best"


@pytest.mark.parametrize(
    ("written", "at"),
    [
        ('".025w"', "gauge"),
        ('".025"\nwound = true', "wound"),
        ('".025"\nturns = 60', "turns"),
        ('".025"\nwrap = "stainless"', "wrap"),
    ],
)
def test_a_wound_nylon_string_needs_what_its_maker_knows(written, at):
    place, what, remedy = refused("banjo-ukulele", ('".025"', written))
    assert place == f"string 1, {at}"
    assert "wound nylon string" in what
    assert "remove" in remedy
    assert "unit_mass and modulus from its maker" in remedy


def test_a_nylon_string_with_its_maker_s_numbers_is_taken():
    first = read("banjo-ukulele", ('".025"', '".025"\nunit_mass = "0.4 g/m"\nmodulus = "4 GPa"')).strings[0]
    assert (first.is_wound, first.unit_mass, first.modulus) == (False, 0.4, 4.0)


@pytest.mark.parametrize(
    ("written", "at", "other"),
    [
        ('".026"\nwound = false\ncore = "0.012 in" #', "core", "wound"),
        ('".026"\nwound = false\nturns = 58 #', "turns", "wound"),
        ('".026w"\nwound = false #', "wound", "gauge"),
    ],
)
def test_a_string_cannot_be_plain_and_have_a_core(written, at, other):
    place, what, remedy = refused("mandolin", ('".026w"', written), ('wrap  = "phosphor bronze"', ""))
    assert (place, what) == (f"string 3, {at}", f"this and {other} disagree on whether the string is wound")
    assert remedy == "keep the one that is right"


# nut and finger


def test_a_zero_fret_leaves_no_height_at_the_nut():
    place, what, remedy = refused("mandolin", ("# zero_fret = true", "zero_fret = true"))
    assert place == "[action] nut"
    assert "0.4 mm over them cannot be" in what
    assert remedy == "remove it, or [nut] zero_fret"
    zero = ("# zero_fret = true", "zero_fret = true")
    for nut in ("", "nut = 0.0"):
        assert read("mandolin", zero, ("nut     = 0.4", nut)).action.nut == 0.0


def test_a_finger_at_the_fret_cannot_press_deep():
    finger, press = ("# finger = 10.0", "finger = 0"), ("# press = 0.2", "press = 0.2")
    place, what, remedy = refused("mandolin", finger, press)
    assert (place, what) == ("[action] press", "a finger right at the fret cannot press 0.2 mm below its top")
    assert remedy == "write [action] finger = 5.0, or remove this"
    assert read("mandolin", press).touch.press_to_mm == 0.2
    assert read("mandolin", finger, ("# press = 0.2", "press = 0")).touch.finger_mm == 0.0


# boards of other frets


def test_a_board_without_its_octave_is_offered_the_aims_that_work():
    cents = (200, 400, 500, 700, 900, 1000, 1100)
    place, what, remedy = refused("mountain-dulcimer", *seven_frets(*cents))
    assert place == "[compensation] tune_to"
    assert what == "none of the 7 frets is meant to sound the octave of the open string"
    for aim in ("all frets", "nut and saddle"):
        assert f'"{aim}"' in remedy
        other = ('tune_to    = "octave"', f'tune_to = "{aim}"')
        assert read("mountain-dulcimer", *seven_frets(*cents), other).compensation.tune_to == aim


def test_a_board_of_seven_frets_is_taken_and_one_of_six_is_not():
    seven = read("mountain-dulcimer", *seven_frets(200, 400, 500, 700, 900, 1000, 1200))
    assert (seven.head.frets, seven.octave_fret) == (7, 7)
    assert seven.compensation.frets == 7, "all that there are count where twelve would"
    place, what, remedy = refused("mountain-dulcimer", *seven_frets(200, 400, 500, 700, 900, 1200), ("frets = 6", ""))
    assert (place, what, remedy) == ("frets", "6 is too small", "the least is 7")
    place, what, remedy = refused("mandolin", ("frets = 20", "frets = 6"), ("frets      = 12", "# frets = 12"))
    assert (place, what, remedy) == ("frets", "6 is too small", "the least is 7")


# half a scale


@pytest.mark.parametrize(
    ("name", "scale", "half"),
    [
        ("mandolin", 'scale = "13 7/8 in"', 176.2),
        ("mandola", 'scale = "16 1/2 in"', 209.6),
        ("octave-mandolin", 'scale = "21 in"', 266.7),
        ("tenor-banjo", 'scale = "22 7/8 in"', 290.5),
        ("banjo-ukulele", 'scale = "14 in"', 177.8),
    ],
)
def test_a_scale_that_is_half_of_one_asks_whether_it_ends_at_fret_12(name, scale, half):
    place, what, remedy = refused(name, (scale, f"scale = {half}"))
    assert (place, what) == ("scale", f"{half} mm ({format_inches(half)}) looks like the distance from nut to fret 12")
    assert f'write nut_to_fret_12 = "{half} mm" instead' in remedy
    assert read(name, (scale, f"nut_to_fret_12 = {half}")).head.scale_mm == 2 * half
    small = remedy.rpartition("write ")[2]
    assert read(name, (scale, small)).head.scale_mm == pytest.approx(half)


@pytest.mark.parametrize(
    ("name", "scale", "half"),
    [("banjo", 'scale = "26 1/4 in"', 333.4), ("archtop-guitar", 'scale = "25 in"', 317.5)],
)
def test_a_scale_that_a_shorter_instrument_could_have_is_asked_about_where_its_strings_would_be_slack(
    name, scale, half
):
    """Half of a five-string's scale is a banjo-ukulele's: its steel strings then pull a quarter of what is usual."""
    codes = [note.code for note in read(name, (scale, f"scale = {half}")).notes]
    assert codes == ["scale-perhaps-half"]
    assert "scale-perhaps-half" not in [note.code for note in read(name).notes]
    low = read("banjo-ukulele", ('note  = "A4"', 'note  = "E4"'))
    assert low.stringing.tension_n.mean() < 30, "nylon pulls little"
    assert "scale-perhaps-half" not in [note.code for note in low.notes]


# a straight edge


def test_a_straight_edge_is_assumed_aloud_only_where_steps_are_the_rule():
    def notes(name, *edits):
        return {note.code: str(note) for note in read(name, *edits).notes}

    name, line = MANDOLIN
    assert "most mandolin bridges have a stepped one" in notes(name, (line, ""))["straight-edge-assumed"]
    assert "straight-edge-assumed" not in notes(name, (line, "steps = [0, 0, 0, 0]"))
    assert "straight-edge-assumed" not in notes("banjo")
    guitar = notes("flat-top-guitar", ("steps     = [0, 0, 0, 0, 0, 0]", ""))["straight-edge-assumed"]
    assert "most" not in guitar


def test_a_high_fourth_string_of_four_is_not_asked_whether_it_is_a_short_fifth():
    assert "string-perhaps-short" not in [note.code for note in read("banjo-ukulele").notes]
    fifth = read("banjo", ("starts_at_fret = 5\n", "")).notes
    assert "string-perhaps-short" in [note.code for note in fifth]
