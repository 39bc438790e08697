"""What a preset says is what people with such an instrument would expect. All of it common practice, no source."""

import re

import numpy as np
import pytest
from samples import BANJOS, PRESETS, named, preset

from jigs.drawing.items import bounds
from jigs.faults import InputFaults
from jigs.instrument import usual
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.sheets.words import PART_WITH_WORDS
from jigs.templates.options import Options
from jigs.templates.template import templates

STEPPED = ("archtop-guitar", "bouzouki", "cello-banjo", "mandola", "mandolin", "octave-mandolin")
STRAIGHT = ("flat-top-guitar", "mountain-dulcimer")
SHORT_FIFTH = {"banjo": 5, "long-neck-banjo": 8}
OFFERED = re.compile(r"^# (\[\w+\]|\w+ *= (?!.*(modulus|nut_height)))")


def filled_in(name):
    """A preset with every line that it offers as a comment taken out of it, except the zero fret."""
    rows = preset_text(name).split("\n")
    return "\n".join(
        row.removeprefix("# ") if OFFERED.match(row) and not row.startswith("# zero_fret") else row for row in rows
    )


def offered(name, key):
    """What a preset has for a key, as a comment or not, and what it says of it."""
    found = re.findall(rf"^(?:# )?{key} *= (.*?) *(?:# (.*))?$", preset_text(name), re.MULTILINE)
    assert found, key
    return found


@pytest.mark.parametrize("name", PRESETS)
def test_every_measurement_that_a_preset_offers_goes_with_its_other_values(name):
    """A user who takes one line out of its comment meets no fault, nor a note of what is unlikely."""
    text = filled_in(name)
    assert text.count("\n# ") < preset_text(name).count("\n# ") - 12
    assert parse(text.encode(), "mine.toml").notes == ()


@pytest.mark.parametrize("name", PRESETS)
def test_a_zero_fret_is_offered_with_its_height(name):
    text = preset_text(name).replace("# zero_fret", "zero_fret")
    with pytest.raises(InputFaults, match="zero fret"):
        parse(text.encode(), "mine.toml")
    assert parse(re.sub(r"^nut  .*", "nut = 0", text, flags=re.MULTILINE).encode(), "mine.toml").notes == ()
    assert "then nut = 0" in offered(name, "zero_fret")[0][1]


@pytest.mark.parametrize("name", PRESETS)
def test_strings_of_a_preset_pull_as_strings_do(name):
    workup = preset(name)
    for entry, tension in zip(workup.instrument.strings, workup.instrument.stringing.tension_n, strict=True):
        low, high = (20, 60) if entry.material == "nylon" else (30, 150)
        assert low < tension < high, entry.note


@pytest.mark.parametrize("name", PRESETS)
def test_a_preset_asks_nothing_and_its_bridge_is_nearly_square(name):
    workup = preset(name)
    assert [str(note) for note in workup.notes] == []
    assert 0 < workup.line.slant_deg < usual.STEEP_SLANT_DEG
    assert np.abs(workup.left_cents).max() < 15


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", PRESETS)
def test_the_fork_of_a_preset_fits_on_one_sheet(name, paper):
    """Its words may need another."""
    laid, *more = lay_out(preset(name), templates()["fork"], PAPERS[paper], Options())
    assert laid.title.part == "", "it is in pieces"
    assert bounds(named(laid.drawing, "fork-outline")).top == named(laid.drawing, "datum").start[1]
    assert all(sheet.title.part.startswith(PART_WITH_WORDS) for sheet in more)


@pytest.mark.parametrize("name", PRESETS)
def test_a_preset_shows_its_own_half_of_the_scale(name):
    (shown,) = re.findall(r'nut_to_fret_12 = "([\d.]+) mm"', preset_text(name))
    text = re.sub(r'^scale = "[^"]*"', f"nut_to_fret_12 = {shown}", preset_text(name), flags=re.MULTILINE)
    assert parse(text.encode(), "mine.toml").head.scale_mm == pytest.approx(preset(name).scale_mm, abs=0.11)


@pytest.mark.parametrize("name", PRESETS)
def test_turns_that_a_preset_offers_leave_the_core_that_it_offers(name):
    instrument = preset(name).instrument
    wound = [entry for entry in instrument.strings if entry.is_wound]
    shown = re.findall(r'^# core = "([\d.]+) in".* turns = (\d+),', preset_text(name), re.MULTILINE)
    assert len(shown) == len(wound)
    for entry, (core, turns) in zip(wound, shown, strict=True):
        assert float(core) * 25.4 == pytest.approx(entry.core_mm, abs=0.02)
        assert usual.core_from_turns_mm(entry.gauge, int(turns)) == pytest.approx(entry.core_mm, abs=0.03)


@pytest.mark.parametrize("name", PRESETS)
def test_no_preset_counts_a_core_as_measured_that_its_user_never_saw(name):
    assert {entry.core or entry.turns for entry in preset(name).instrument.strings} == {None}


@pytest.mark.parametrize("name", PRESETS)
def test_gauges_are_written_as_packets_print_them(name):
    for gauge, _ in offered(name, "gauge"):
        assert re.fullmatch(r'"\.0\d\dw?"', gauge)
    for wrap, _ in re.findall(r"^wrap *= (.*?)( *#.*)?$", preset_text(name), re.MULTILINE):
        assert wrap == f'"{usual.USUAL_WRAPS[preset(name).instrument.head.kind]}"'


@pytest.mark.parametrize("name", PRESETS)
def test_a_saddle_is_stepped_where_that_is_the_rule(name):
    steps = preset(name).instrument.bridge.steps
    assert (steps is not None and any(steps)) == (name in STEPPED)
    assert (steps is not None and not any(steps)) == (name in STRAIGHT)
    assert "hold a rule along the crown" in preset_text(name)


@pytest.mark.parametrize("name", STEPPED)
def test_steps_of_a_preset_leave_its_strings_nearer_than_a_straight_edge_would(name):
    stepped = np.abs(preset(name).left_cents)
    straight = np.abs(preset(name, steps=str([0] * len(stepped))).left_cents)
    assert stepped.max() < straight.max()
    assert stepped.max() < 7


@pytest.mark.parametrize("name", PRESETS)
def test_dots_are_where_players_of_such_an_instrument_look_for_them(name):
    dots = preset(name).instrument.dots
    if name in ("archtop-guitar", "flat-top-guitar"):
        assert dots == (3, 5, 7, 9, 12, 15, 17)
    elif name == "long-neck-banjo":
        assert dots == (8, 10, 13, 15, 18, 20), "three frets more at the nut"
    elif name == "mountain-dulcimer":
        assert 7 in dots
    else:
        assert dots == tuple(fret for fret in (5, 7, 10, 12, 15, 17) if fret <= preset(name).instrument.head.frets)


@pytest.mark.parametrize("name", BANJOS)
def test_feet_of_a_banjo_bridge_are_as_they_are_made(name):
    assert offered(name, "feet")[0][0] == ("3" if name in SHORT_FIFTH else "2")
    assert 6.5 <= preset(name).instrument.bridge.thickness <= 8
    assert 50 <= preset(name).instrument.tail.afterlength <= 90
    starts = [entry.starts_at_fret for entry in preset(name).instrument.strings]
    assert max(starts) == SHORT_FIFTH.get(name, 0)


@pytest.mark.parametrize("name", BANJOS)
def test_the_tailpiece_of_a_banjo_is_on_its_rim(name):
    """The afterlength ends before the far edge of the head: the tailpiece lies over the head, and is fixed at the rim."""
    instrument = parse(filled_in(name).encode(), "mine.toml")
    near = instrument.head.from_nut_to_octave_mm + instrument.rim.fret_12_to_near_edge
    to_far_edge = near + instrument.rim.head - preset(name).line.centre_mm
    assert instrument.tail.afterlength < to_far_edge < instrument.tail.afterlength + 70
    assert preset(name).from_nut_mm[-1] < near, "the last fret is before the head"
    assert instrument.head.frets - 2 <= instrument.board.joint_fret <= instrument.head.frets


def test_the_dulcimer_s_octave_is_at_the_fret_that_its_players_call_seven():
    workup = preset("mountain-dulcimer")
    assert workup.instrument.octave_fret == 7
    assert workup.from_nut_mm[6] == pytest.approx(workup.scale_mm / 2)
