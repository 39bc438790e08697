"""What sheets say of stepped and straight saddles, of zero frets and of octaves that are not at fret 12, on every paper."""

import re
from functools import cache

import numpy as np
import pytest
from samples import HANDS, PRESETS, assert_clear, filed, preset, words_of

from jigs.drawing.items import Text
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.press.layout import lay_out
from jigs.press.order import Order
from jigs.press.press import prepare
from jigs.sheets.paper import PAPERS, room_on
from jigs.templates import fork
from jigs.templates.options import Options
from jigs.templates.template import Lacks, templates
from jigs.workup.sureness import how_sure
from jigs.workup.table_words import SOURCES
from jigs.workup.words import comparing_in_words
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

PLACING = ("fork", "gauge", "top", "setup-card")
STRAIGHT = "Saddle taken as straight. If yours is stepped, fill in its steps"
CROWN_LINE = "Crown line: a straight edge of the crown or saddle that a rule can be held to."
WITH_HALF_FRET = "[200, 400, 500, 700, 900, 1000, 1100, 1200, 1400, 1600, 1700, 1900, 2100, 2200, 2300, 2400]"
NO_OCTAVE = "[200, 400, 500, 700, 900, 1000, 1150, 1350]"


@cache
def of(name, *measured, steps="", nut="", head="", hand="right", **values):
    """A preset without its steps, and with lines of your own."""
    text = re.sub(r"(?m)^steps *=.*\n", "", filed(name, *measured, hand=hand, **values))
    text = text.replace("[bridge]", f"[bridge]\n{steps}", 1).replace("[nut]", f"[nut]\n{nut}", 1)
    return work_up(parse(text.replace("\nname", f"\n{head}\nname", 1).encode(), "mine.toml"))


@cache
def diatonic(name, hand="right", octave=8):
    """A board with sixteen frets whose octave is fret 8."""
    rule = f"fret_rule = {WITH_HALF_FRET}" if octave else f"fret_rule = {NO_OCTAVE}\nwanted_cents = {NO_OCTAVE}"
    frets = 16 if octave else 8
    aims = {} if octave else {"tune_to": '"all frets"', "frets": frets}
    text = filed(name, hand=hand, **aims)
    text = re.sub(r"(?m)^frets *= *\d+.*", f"frets = {frets}", text)
    return work_up(parse(text.replace("\nname", f"\n{rule}\nname", 1).encode(), "mine.toml"))


def laid(workup, template, paper="a3", **options):
    """All sheets of a template as one drawing."""
    sheets = lay_out(workup, templates()[template], PAPERS[paper], Options(**options))
    return [item for sheet in sheets for item in sheet.drawing]


def shown(workup, template, **options):
    return words_of(laid(workup, template, **options))


@pytest.mark.parametrize("template", PLACING)
@pytest.mark.parametrize("name", ["mandolin", "archtop-guitar"])
def test_sheet_that_places_a_bridge_says_that_its_saddle_is_taken_as_straight(name, template):
    strings = 6 if "guitar" in name else 4
    words = shown(of(name), template)
    assert CROWN_LINE in words
    assert STRAIGHT in words
    for steps in ([0.5, *[-0.5] * (strings - 1)], [0.0] * strings):
        words = shown(of(name, steps=f"steps = {steps}"), template)
        assert CROWN_LINE in words
        assert STRAIGHT not in words


@pytest.mark.parametrize("template", ["fork", "gauge", "head", "setup-card"])
def test_banjo_bridge_is_straight_without_a_word(template):
    words = shown(of("banjo", "head"), template)
    assert CROWN_LINE in words
    assert "Saddle" not in words


@pytest.mark.parametrize("template", ["fork", "gauge", "setup-card"])
def test_steps_are_listed_on_the_sheet(template):
    words = shown(of("mandolin", steps="steps = [-1.2, 1.2, -0.6, 1.0]"), template)
    assert "Steps −1.2 +1.2 −0.6 +1.0 mm" in words


def test_card_lists_where_each_string_bears():
    workup = of("mandolin", steps="steps = [-1.2, 1.2, -0.6, 1.0]")
    crown = workup.line.at(workup.across_mm) + np.array([-1.2, 1.2, -0.6, 1.0])
    assert f"the strings bear at {', '.join(f'{place:.1f}' for place in crown)} mm." in shown(workup, "setup-card")
    assert "bear at" not in shown(of("mandolin"), "setup-card")


def test_dashed_line_is_called_by_what_it_shows():
    """It is a line of the base, so far before the theoretical line as the crown is behind its nut side."""
    words = shown(of("mandolin"), "fork")
    assert "base without compensation" in words
    assert "theoretical line" not in words


@pytest.mark.parametrize("template", ["fork", "gauge", "setup-card"])
def test_sheets_of_a_diatonic_board_go_by_its_own_octave(template):
    for hand in HANDS:
        words = shown(diatonic("tenor-banjo", hand), template)
        assert "fret 8" in words
        assert "fret 12" not in words
        assert "at fret 8" in words


def test_fork_begins_at_the_octave_and_the_chart_marks_it():
    workup = diatonic("mandolin")
    fork, *_ = lay_out(workup, templates()["fork"], PAPERS["a3"], Options())
    assert "fret 8," in fork.title.document
    chart = laid(workup, "setup-card")
    octave, first = (next(item for item in chart if item.id == name) for name in ("octave-1", "panel-1"))
    left, right = min(x for x, _ in first.runs[0]), max(x for x, _ in first.runs[0])
    assert (octave.start[0] - left) / (right - left) == pytest.approx(8 / 16, abs=0.01)
    foot = max(y for _, y in first.runs[0])
    below = [t for t in chart if isinstance(t, Text) and foot < t.at[1] < foot + 6 and t.text == "8"]
    assert any(t.at[0] == pytest.approx(octave.start[0]) for t in below), "its number is there"


def test_board_without_an_octave_has_a_fork_that_says_what_to_compare_and_no_card():
    workup = diatonic("mandolin", octave=0)
    words = shown(workup, "fork")
    assert "compare the note at fret 7 with the pitch that it is meant to have" in words
    assert "harmonic" not in words
    assert "harmonic" not in comparing_in_words(workup)
    assert "Action 1.6 mm at half the scale" in words
    with pytest.raises(Lacks, match="no fret of this board is at the octave"):
        laid(workup, "setup-card")


def test_board_without_an_octave_still_has_its_other_sheets():
    """As with --all, which leaves the card out and says so."""
    order = Order(("fork", "setup-card", "crown"), PAPERS["a3"], ("pdf",), leave_out=True)
    printed = prepare(diatonic("mandolin", octave=0), order, "mine")
    assert sorted(printed.files) == ["mine-crown.pdf", "mine-fork.pdf"]
    assert [note for note in printed.notes if "no fret of this board is at the octave" in note.sentence()]


@pytest.mark.parametrize("template", PLACING)
def test_places_count_from_the_zero_fret(template):
    text = re.sub(r"(?m)^nut *= *[\d.]+", "nut = 0.0", filed("mandolin"))
    workup = work_up(parse(text.replace("[nut]", "[nut]\nzero_fret = true", 1).encode(), "mine.toml"))
    words = shown(workup, template)
    assert ("from the zero fret" in words) or ("Places count from the zero fret." in words)
    assert "from the nut," not in words
    assert "at the nut" not in words


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("kind", ["straight", "stepped", "diatonic", "zero fret", "nut steps", "touch"])
def test_words_are_clear_with_all_that_a_file_can_say(kind, hand, paper):
    nut_zero = re.sub(r"(?m)^nut *= *[\d.]+", "nut = 0.0", filed("mandolin", hand=hand))
    workup = {
        "straight": lambda: of("mandolin", hand=hand),
        "stepped": lambda: of("mandolin", steps="steps = [-1.25, 1.25, -0.65, 1.05]", hand=hand),
        "diatonic": lambda: diatonic("mandolin", hand),
        "zero fret": lambda: work_up(parse(nut_zero.replace("[nut]", "[nut]\nzero_fret = true", 1).encode(), "m")),
        "nut steps": lambda: of(
            "mandolin", nut="steps = [0.0, 0.35, 0.0, 0.35]", tune_to='"nut and saddle"', hand=hand
        ),
        "touch": lambda: of("mandolin", hand=hand, fret_12="1.6\nfinger = 8.0\npress = 0.25"),
    }[kind]()
    for template in ("fork", "setup-card", "crown", "spacing", "fretboard"):
        try:
            sheets = lay_out(workup, templates()[template], PAPERS[paper], Options())
        except InputFaults:
            sheets = ()
        assert sheets, template
        for sheet in sheets:
            assert_clear(sheet.drawing)
            box = sheet.drawing.bounds()
            assert box.right <= sheet.paper.width_mm - 5
            assert box.bottom <= sheet.paper.height_mm - 5


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", PRESETS)
def test_fork_says_what_its_range_mostly_comes_from(name, paper):
    """As `jigs numbers` has it for the same fret: the largest part at either end, by its name."""
    workup = preset(name)
    fret = fork.draw(workup, room_on(PAPERS[paper]), Options()).datum_fret
    said = shown(workup, "fork", paper=paper)
    sure = how_sure(workup, fret)
    for string in workup.outer_strings:
        largest, _ = sure.of_line(float(workup.across_mm[string])).contributions[0]
        assert SOURCES[largest] in said


@pytest.mark.parametrize("name", [name for name in PRESETS if name != "mountain-dulcimer"])
def test_few_frets_for_two_cuts_still_give_a_fork(name):
    """Bridge and nut by five frets alone: the ± is wide, but the sheet is drawn."""
    text = filed(name).replace('tune_to    = "octave"', 'tune_to    = "nut and saddle"')
    workup = work_up(parse(re.sub(r"(?m)^frets      = \d+", "frets      = 5", text).encode(), "mine.toml"))
    assert workup.instrument.compensation.frets == 5
    drawn = fork.draw(workup, room_on(PAPERS["a3"]), Options())
    assert_clear(drawn.drawing)
