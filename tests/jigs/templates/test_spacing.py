"""The rules for nut and bridge: places, edges, words on the strips, clearances, numbers."""

import numpy as np
import pytest
from boards import new_mandolin, piece, with_nut, words
from instruments import edited
from samples import PRESETS, SMALL_FILE, assert_clear, named, preset, run

from jigs.drawing.items import Text
from jigs.instrument.file import parse
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.crown_plan import outside_crown
from jigs.templates.options import Options
from jigs.templates.spacing import rules
from jigs.templates.spacing_words import spacing_words
from jigs.templates.template import templates
from jigs.workup.edge_clearance import edge_clearances
from jigs.workup.work_up import work_up


def sheets(workup, paper="a4"):
    return [sheet.drawing for sheet in lay_out(workup, templates()["spacing"], PAPERS[paper], Options())]


def shown(workup, paper="a4"):
    return " ".join(map(words, sheets(workup, paper)))


def at(drawn, text):
    """Where a word is, and no other like it."""
    (found,) = [item for item in drawn if isinstance(item, Text) and item.text == text]
    return found.at


def test_rule_has_a_tick_for_every_single_string_at_its_place():
    workup = preset("mandolin")
    drawn = piece(workup, "spacing")
    for rule in rules(workup):
        strip = named(drawn, f"{rule.name}-rule").runs[0]
        left = min(x for x, _ in strip)
        assert max(x for x, _ in strip) - left == pytest.approx(rule.width)
        for string, x in zip(rule.strings, rule.across_mm, strict=True):
            tick = named(drawn, f"{rule.name}-string-{string.name}")
            assert tick.start[0] - left == pytest.approx(x + rule.width / 2)
            assert f"{x + rule.width / 2 + 1e-9:.2f} mm" in shown(workup)


def test_nut_rule_leaves_the_short_string_out():
    assert [len(rule.strings) for rule in rules(preset("banjo"))] == [4, 5]


def test_pairs_keep_their_own_inner_gap():
    for rule, gap in zip(rules(preset("mandolin")), (2.0, 2.5), strict=True):
        assert rule.across_mm[::2] - rule.across_mm[1::2] == pytest.approx(np.full(4, gap))


def test_edge_margin_is_from_the_boards_edge_to_the_outside_of_the_string_on_both_sides():
    nut, _ = rules(new_mandolin())
    assert nut.width / 2 - nut.across_mm[0] - nut.gauges_mm[0] / 2 == pytest.approx(2.2, abs=1e-6)
    assert nut.width / 2 + nut.across_mm[-1] - nut.gauges_mm[-1] / 2 == pytest.approx(2.2, abs=1e-6)


def test_equal_gaps_differ_from_equal_centres():
    gaps, _ = rules(new_mandolin())
    inner = -np.diff(gaps.across_mm) - (gauges := gaps.gauges_mm)[:-1] / 2 - gauges[1:] / 2
    assert np.ptp(inner[1::2]) < 1e-6
    centres, _ = rules(preset("mandolin"))
    assert np.ptp(np.diff(centres.across_mm[::2])) < 1e-9


def test_left_handed_rule_has_its_treble_on_the_left():
    right, left = (piece(preset("banjo", hand), "spacing") for hand in ("right", "left"))
    places = [named(d, "bridge-string-1").start[0] - named(d, "bridge-string-5").start[0] for d in (right, left)]
    assert places[0] == pytest.approx(-places[1])
    assert places[0] > 0


def test_gauges_that_do_not_fit_the_width_are_refused(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(SMALL_FILE + "pair = true\n[nut]\nspacing = 5\n[bridge]\nspacing = 5\npair_gap = 9\n")
    status, _, shown = run("draw", path, "spacing", "--out", tmp_path / "out")
    assert status == 2
    assert "[bridge] spacing: neighbouring strings would overlap by" in shown
    assert not (tmp_path / "out").exists()


def test_spacing_rule_of_a_compensated_nut_has_each_strings_own_end():
    for hand, lines in (("right", {}), ("left", {}), ("right", {"tune_to": '"nut and saddle"'})):
        steps = (0.0, 0.3, 0.5, 0.2, 0.0)
        workup = with_nut("banjo", f"steps = {list(steps)}", hand=f'"{hand}"', **lines)
        wanted = -workup.setbacks.nut_setback_mm if lines else np.array(steps)
        drawn = piece(workup, "spacing")
        line = named(drawn, "nut-line").start[1]
        for n in range(4):
            end, tick = named(drawn, f"nut-end-{n + 1}"), named(drawn, f"nut-string-{n + 1}")
            assert end.start[1] - line == pytest.approx(wanted[n])
            assert (end.start[0] + end.end[0]) / 2 == pytest.approx(tick.start[0])
            assert f"{n + 1} {workup.instrument.strings[n].note}" in shown(workup)
            assert f"{wanted[n]:+.2f} mm" in shown(workup) or wanted[n] == 0
        strip = named(drawn, "nut-rule").runs[0]
        assert max(y for _, y in strip) > line + max(wanted)
        assert "where each string leaves the nut" in words(drawn)
        assert_clear(drawn)
    assert "leaves the nut" not in words(piece(preset("banjo"), "spacing"))


def test_spacing_table_says_what_a_calliper_would():
    """The mandolin's bridge: 108 mm across, pairs 40/3 mm apart, 2.5 mm within a pair; worked by hand."""
    numbers = shown(preset("mandolin"))
    assert "4b G3 32.75 mm 1 19/64 in edge 32.24 mm" in numbers
    assert "4a G3 35.25 mm 1 25/64 in 2.50 mm 1.48 mm" in numbers
    assert "treble edge 108.00 mm 32.75 mm 32.61 mm" in numbers


def test_nut_rule_lies_before_the_boards_end_and_bridge_rule_behind_the_crown():
    """As on the instrument: the nut up. So the ticks are on the nut's lower edge, and on the bridge's upper one."""
    drawn = piece(preset("banjo"), "spacing")
    for name, sign in (("nut", 1), ("bridge", -1)):
        ticked = named(drawn, f"{name}-string-1").start[1]
        assert ticked == pytest.approx(max(sign * y for _, y in named(drawn, f"{name}-rule").runs[0]) * sign)
    assert at(drawn, "↑ Lay this edge on the board's end.")[1] > named(drawn, "nut-string-1").start[1]
    crown = next(
        item for item in drawn if isinstance(item, Text) and item.text.startswith("↓ Hold this edge along the")
    )
    assert crown.at[1] < named(drawn, "bridge-string-1").start[1]


@pytest.mark.parametrize("hand", ["right", "left"])
def test_strips_say_bass_and_treble_at_their_own_ends_and_what_they_lie_on(hand):
    drawn = piece(preset("mandolin", hand), "spacing")
    for name, part in (("nut", "nut"), ("bridge", "tail")):
        corners = named(drawn, f"{name}-rule").runs[0]
        (left, top), (right, foot) = map(min, zip(*corners, strict=True)), map(max, zip(*corners, strict=True))
        inside = {
            item.text: item.at[0]
            for item in drawn
            if isinstance(item, Text) and left < item.at[0] < right and top < item.at[1] < foot
        }
        assert {"bass", "treble", part} < set(inside)
        first = named(drawn, f"{name}-string-1a").start[0]
        assert abs(first - inside["treble"]) < abs(first - inside["bass"])


@pytest.mark.parametrize("name", PRESETS)
def test_one_sheet_has_both_rules_and_the_crown_pattern_and_the_steps_for_all(name):
    for paper in ("a4", "letter"):
        drawn, *numbers = sheets(preset(name), paper)
        for part in ("nut-rule", "bridge-rule", "break-line", "crown"):
            assert named(drawn, part)
        said = words(drawn)
        filing = ("Glue it on the crown", "File the grey")
        for step in (
            "Lay the nut rule on the nut",
            "Hold the bridge rule",
            *(() if outside_crown(preset(name)) else filing),
        ):
            assert step in said
        assert len(numbers) < 2
        for sheet in (drawn, *numbers):
            assert_clear(sheet)


def test_steps_are_short():
    for name in PRESETS:
        for compensated, whole, pattern in ((False, True, True), (True, False, False)):
            said = spacing_words(preset(name), compensated, whole, pattern)
            assert max(len(step.split()) for step in said.steps) <= 15
            assert said.cautions


def test_clearance_is_from_the_outside_of_the_outer_strings_to_the_boards_edges():
    """A board 30 mm wide all along, strings 24 mm apart at the nut and 27 mm at the bridge; worked by hand."""
    workup = edited(
        "tenor-banjo",
        {"frets": 12},
        nut={"spacing": 24.0},
        bridge={"spacing": 27.0},
        board={"nut_width": 30.0, "end_width": 30.0},
    )
    first, last = (workup.instrument.strings[n].gauge / 2 for n in (0, -1))
    found = {(one.fret, one.side): one.mm for one in edge_clearances(workup)}
    assert found[0, "treble"] == pytest.approx(15 - 12 - first)
    assert found[0, "bass"] == pytest.approx(15 - 12 - last)
    assert found[12, "treble"] == pytest.approx(15 - 12.75 - first)
    assert found[12, "bass"] == pytest.approx(15 - 12.75 - last)
    assert f"fret 12: {found[12, 'bass']:.1f} / {found[12, 'treble']:.1f} mm" in shown(workup)
    assert "guess" not in shown(workup)
    assert "a guess: the end's width is not in the file" in shown(preset("tenor-banjo"))


def test_short_string_is_measured_where_it_begins():
    fifth = [one for one in edge_clearances(preset("banjo")) if one.fret and one.side == "bass"]
    assert [(one.fret, one.string) for one in fifth] == [(5, 4), (22, 4)]


@pytest.mark.parametrize(
    ("width", "code", "words_"),
    [(46.0, None, ""), (42.0, "string-near-edge", "mm of the board's"), (38.0, "string-off-board", "off the board's")],
)
def test_string_that_comes_near_the_edge_or_runs_off_the_board_is_noted(width, code, words_):
    workup = edited("tenor-banjo", board={"end_width": width}, bridge={"spacing": 47.0})
    notes = [note for note in workup.notes if note.code in ("string-near-edge", "string-off-board")]
    assert [note.code for note in notes] == ([code] if code else [])
    for note in notes:
        assert words_ in note.sentence()
        assert (note.place.table, note.place.key) == ("board", "end_width")
        assert "at fret 19" in note.sentence()


def test_near_edge_at_the_nut_is_at_the_width_of_the_nut():
    workup = edited("tenor-banjo", nut={"spacing": 28.6})
    (note,) = [note for note in workup.notes if note.code == "string-near-edge"]
    assert note.place.key == "nut_width"
    assert "at the nut" in note.sentence()


def test_bridge_wider_than_the_sheet_has_a_rule_of_its_strings_alone():
    workup = edited("archtop-guitar", bridge={"length": 220.0})
    drawn = sheets(workup)[0]
    strip = np.ptp([x for x, _ in named(drawn, "bridge-rule").runs[0]])
    assert 52 < strip < 70
    middle = np.mean([x for x, _ in named(drawn, "bridge-rule").runs[0]])
    outer = [named(drawn, f"bridge-string-{n}").start[0] for n in (1, 6)]
    assert middle == pytest.approx(np.mean(outer))
    assert "Line up its middle with the bridge's." in words(drawn)
    assert "84.00 mm" in shown(workup), "the table still counts from the end of the feet"


def test_numbers_of_strings_that_are_close_are_not_laid_over_each_other():
    strings = "".join(f'[[strings]]\nnote = "A{3 if n else 4}"\ngauge = 0.3\n' for n in range(12))
    text = f'name = "x"\nscale = 600\n{strings}[nut]\nspacing = 20\n[bridge]\nspacing = 20\nlength = 60\n'
    for drawn in sheets(work_up(parse(text.encode(), "x"))):
        assert_clear(drawn)


def test_a_bridge_line_in_doubt_leaves_the_rules_without_the_crown_pattern():
    """A string that counts as plain makes the line slant: the crown is refused then, and the rules are not."""
    workup = edited("banjo", strings={3: {"gauge": ".022", "core": None, "wrap": None, "wound": False}})
    assert workup.steep_slant is not None
    drawn = sheets(workup)[0]
    assert named(drawn, "bridge-rule")
    assert not [item for item in drawn if item.id in ("crown", "break-line")]
    assert "Glue it" not in words(drawn)
