"""What sheets are drawn along: the board's edges, the scale of cents, a line on an arched top, the wedges' feet.

Without these, a board would get its step on the wrong side, or a leg a tick at the wrong place.
"""

import numpy as np
import pytest
from samples import preset

from geometry.bridge import BridgeLine
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.workup.board_edges import BoardEdges
from jigs.workup.cents_scale import CentsScale, feet_line, leg_scales
from jigs.workup.on_the_top import laid_from_end_mm, laid_line, laid_mm
from jigs.workup.sureness import to_bridge_mm
from jigs.workup.wedges import set_by_wedges
from jigs.workup.work_up import work_up


def banjo(*edits, name="banjo"):
    text = preset_text(name)
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    return work_up(parse(text.encode(), "mine.toml"))


def test_board_steps_out_on_the_bass_side_only_for_a_short_string_there():
    board = BoardEdges(preset("banjo"))
    nut_of_the_fifth = float(preset("banjo").from_nut_mm[4])
    assert board.steps_at == pytest.approx(nut_of_the_fifth - 4)
    assert -board.bass(board.steps_at + 1e-6) > -board.bass(board.steps_at) + 3
    on_the_treble_side = banjo(
        ('note  = "D4"\ngauge = ".010"', 'note  = "D4"\ngauge = ".010"\nstarts_at_fret = 5'),
        ("starts_at_fret = 5\n\n[nut]", "\n[nut]"),
        ("# steps = [0.0, 0.3, 0.0, 0.3, 0.0]", "#"),
    )
    assert BoardEdges(on_the_treble_side).steps_at is None
    assert BoardEdges(preset("mandolin")).steps_at is None


@pytest.mark.parametrize(("key", "at"), [("end_width", "end"), ("fret_12_width", "fret 12")])
def test_board_is_as_wide_as_it_was_measured(key, at):
    workup = banjo(("# end_width = 42.0", f"{key} = 37.5  #"), name="mandolin")
    edges = BoardEdges(workup)
    place = edges.end if at == "end" else float(workup.from_nut_mm[11])
    assert edges.treble(place) - edges.bass(place) == pytest.approx(37.5)
    assert edges.treble(0.0) == pytest.approx(15.0)


def test_sheet_without_a_fret_at_the_octave_counts_from_half_the_scale():
    workup = preset("mandolin")
    assert to_bridge_mm(workup, None) == pytest.approx(workup.scale_mm / 2)
    assert to_bridge_mm(workup, 7) == pytest.approx(float(workup.to_bridge_mm[6]))


@pytest.mark.parametrize(
    ("per_cent", "step", "numbered"),
    [(0.8, 1, (5, 10, 15)), (0.79, 2, (10,)), (0.4, 2, (10,)), (0.39, 5, (10,)), (0.72, 2, (10,)), (0.16, 5, (10,))],
)
def test_ticks_of_a_leg_are_as_fine_as_they_keep_apart(per_cent, step, numbered):
    scale = CentsScale("treble", 0, 40.0, 600.0, per_cent)
    assert (scale.step, scale.numbered) == (step, numbered)
    assert sorted(scale.ticks) == [n for n in range(-15, 16) if n % step == 0 and n]
    assert scale.place_mm(-5) == pytest.approx(600 - 5 * per_cent)


def test_leg_stands_clear_of_the_feet_at_its_end_of_the_line():
    workup = preset("banjo")
    treble, bass = leg_scales(workup)
    face = feet_line(workup)
    assert (treble.string, bass.string) == tuple(workup.outer_strings)
    assert treble.inner_mm == -bass.inner_mm > workup.instrument.bridge.length / 2 + 1.5
    for one in (treble, bass):
        assert one.mark_mm == pytest.approx(float(face.at(np.array(one.inner_mm))))


def test_line_on_an_arched_top_is_laid_from_the_frets_or_from_the_end_of_the_board():
    edits = ('# height = "3/4 in"', 'height = "3/4 in"'), ("# over_top = 10.0", "over_top = 10.0")
    instrument = banjo(*edits, name="mandolin").instrument
    line, ends = BridgeLine(355.0, 0.02), np.array([50.0, -50.0])
    taut, butted = laid_line(instrument, line), laid_line(instrument, line, from_end=True)
    assert taut.at(ends) == pytest.approx(laid_mm(instrument, line.at(ends)))
    assert butted.at(ends) == pytest.approx(laid_from_end_mm(instrument, line.at(ends)))
    assert taut.centre_mm > butted.centre_mm + 0.1


def test_wedge_of_a_bridge_on_feet_meets_its_outer_foot():
    on_feet = set_by_wedges(banjo(("# feet = 3", "feet = 3"), ("# foot = 12.0", "foot = 12.0")))
    for wedge in (on_feet.pair.treble, on_feet.pair.bass):
        assert wedge.foot_mm == pytest.approx(72 / 2 - 12)
        assert wedge.taper == pytest.approx(1 / on_feet.taper)
    on_a_base = set_by_wedges(preset("banjo"))
    assert on_a_base.pair.treble.foot_mm == -np.inf


def test_string_without_a_place_is_refused_at_its_gauge_only_if_its_w_is_asked_for():
    def at(*edits):
        with pytest.raises(InputFaults) as wrong:
            banjo(*edits, name="mandolin")
        return [(one.place.table, one.place.key, one.place.string) for one in wrong.value.faults]

    plain = ('gauge = ".040w"', 'gauge = ".040"\nwound = false')
    last = ('wrap  = "phosphor bronze"\npair  = true\n\n[nut]', "pair  = true\n\n[nut]")
    assert at(plain, last) == [("strings", "gauge", 4)]
    assert at(('# core = "0.019 in" ', 'core = "0.039 in" #')) == [("strings", "", 4)]
