"""What sheets say of moving the bridge: three readings, and that one end alone shifts the other string."""

import numpy as np
import pytest
from samples import PRESETS, SMALL_FILE, preset, words_of

from jigs.instrument.file import parse
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.instructions import one_end_alone, reading_step
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.cents_scale import carried_share, leg_scales
from jigs.workup.work_up import work_up

MOST_WORDS = 15


def shown_on(template, workup):
    """All words of a template's sheets."""
    sheets = lay_out(workup, templates()[template], PAPERS["a3"], Options())
    return " ".join(words_of(one.drawing) for one in sheets)


@pytest.mark.parametrize("template", ["fork", "gauge", "setup-card"])
@pytest.mark.parametrize("name", ["banjo", "mandolin", "flat-top-guitar"])
def test_sheets_ask_for_three_readings_and_for_both_strings_after_one_end(template, name):
    shown = shown_on(template, preset(name))
    assert "three times." in shown
    share = {"banjo": 46, "mandolin": 47, "flat-top-guitar": 46}[name]
    assert f"One end alone shifts the other string by up to {share}% as much: check both." in shown
    assert "Hold the other end still" not in shown


@pytest.mark.parametrize("name", PRESETS)
def test_share_is_what_an_end_moved_by_a_cent_does_to_the_other_string(name):
    workup = preset(name)
    (treble, bass), legs = workup.outer_mm, leg_scales(workup)
    ends = ((legs[1].inner_mm, treble, bass), (legs[0].inner_mm, bass, treble))
    shares = [np.polyval(np.polyfit((held, moved), (0, 1), 1), other) for held, moved, other in ends]
    assert carried_share(workup) == pytest.approx(max(shares))
    assert 0.1 < carried_share(workup) < 0.55


def test_a_single_string_shifts_no_other():
    alone = SMALL_FILE[: SMALL_FILE.rindex("[[strings]]")]
    workup = work_up(parse(alone.encode(), "mine.toml"))
    assert one_end_alone(workup) == ()
    assert "One end alone" not in shown_on("fork", workup)


@pytest.mark.parametrize("name", PRESETS)
def test_these_steps_are_short_enough_to_be_read_at_the_bench(name):
    for step in (*one_end_alone(preset(name)), reading_step(preset(name))):
        assert len(step.replace("\N{NO-BREAK SPACE}", " ").split()) <= MOST_WORDS
