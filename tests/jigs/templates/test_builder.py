"""A builder's sheets: spacing rules, crown, and boards whose frets follow other rules."""

import json
import re

import numpy as np
import pytest
from boards import level, new_mandolin, piece, with_nut, without_board, words
from samples import PRESETS, ROOT, SMALL_FILE, assert_clear, named, preset, run

from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import CUT_FROM_STOCK
from jigs.templates.crown import break_points_mm, spread_in_words
from jigs.templates.options import Options
from jigs.templates.spacing import rules
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

UM = 1e-3
OCTAVE = 2 ** (1 / 12)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PRESETS)
def test_every_id_on_a_sheet_names_one_thing(name, paper):
    workup = preset(name)
    drawn = [(workup, template, paper) for template in templates().values() if template.name not in CUT_FROM_STOCK]
    if workup.instrument.head.kind == "banjo":
        measured = f"{preset_text(name)}\n[rim]\nfret_12_to_near_edge = {workup.scale_mm / 2 - 176}\n"
        drawn.append((work_up(parse(measured.encode(), name)), templates()["head"], paper))
    else:
        drawn.append((workup, templates()["top"], "a3"))
    drawn.append((workup, templates()["gauge"], "a3"))
    for of, template, on in drawn:
        for sheet in lay_out(of, template, PAPERS[on], Options(to_bridge=True)):
            ids = [item.id for item in sheet.drawing if item.id]
            assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", PRESETS)
@pytest.mark.parametrize("template", ["fretboard", "spacing", "crown"])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_words_are_clear_of_marks_and_of_each_other(name, template, hand):
    for sheet in lay_out(preset(name, hand), templates()[template], PAPERS["a4"], Options(to_bridge=True)):
        assert_clear(sheet.drawing)


def test_words_are_clear_on_the_new_mandolin():
    for template in ("fretboard", "spacing", "crown"):
        for sheet in lay_out(new_mandolin(), templates()[template], PAPERS["letter"], Options()):
            assert_clear(sheet.drawing)


# spacing


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
            assert f"{x + rule.width / 2 + 1e-9:.2f} mm" in words(drawn)


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
            assert f"{n + 1} {workup.instrument.strings[n].note}" in words(drawn)
            assert f"{wanted[n]:+.2f} mm" in words(drawn) or wanted[n] == 0
        strip = named(drawn, "nut-rule").runs[0]
        assert max(y for _, y in strip) > line + max(wanted)
        assert "where each string leaves the nut" in words(drawn)
        assert_clear(drawn)
    assert "leaves the nut" not in words(piece(preset("banjo"), "spacing"))


# crown


def test_steps_that_are_there_are_drawn_and_listed_beside_those_that_are_wanted():
    steps = (-1.2, 1.2, -0.6, 1.0)
    for hand in ("right", "left"):
        text = re.sub(r"(?m)^steps *=.*\n", "", preset_text("mandolin"))
        text = re.sub(r"(?m)^(hand *=) .*", rf'\1 "{hand}"', text).replace(
            "[bridge]", f"[bridge]\nsteps = {list(steps)}", 1
        )
        workup = work_up(parse(text.encode(), "mine.toml"))
        drawn, tilt = piece(workup, "crown"), np.cos(np.radians(workup.line.slant_deg))
        wanted = workup.setbacks.setback_mm - (workup.line.at(workup.across_mm) - workup.scale_mm)
        for prefix, times in (("", 1), ("at-5-", 5)):
            straight = named(drawn, f"{prefix}straight-crown").start[0]
            for name, offsets in (("steps-there", np.array(steps)), ("break-line", wanted)):
                corners = named(drawn, f"{prefix}{name}").runs[0]
                across = [x for x, _ in corners[::2]][:: 1 if hand == "right" else -1]
                assert (np.array(across) - straight) / times == pytest.approx(offsets * tilt, abs=UM)
        shown = words(drawn)
        for n, entry in enumerate(workup.instrument.strings):
            row = f"{n + 1} {entry.note} {workup.setbacks.setback_mm[n]:.2f} {wanted[n]:+.2f} {steps[n]:+.2f}"
            assert row.replace("-", "−") in shown
        assert "where they bear now" in shown
        assert_clear(drawn)
    straight = piece(preset("banjo"), "crown")
    assert "where they bear now" not in words(straight)
    assert not [item for item in straight if item.id.endswith("steps-there")]


def test_mandolin_crown_is_stepped_with_the_plain_a_pair_behind_the_wound_d_pair():
    """Common practice, no source."""
    points = break_points_mm(preset("mandolin"))
    assert points[1] > points[2] + 1


@pytest.mark.parametrize(("prefix", "times"), [("", 1), ("at-5-", 5)])
@pytest.mark.parametrize("name", ["mandolin", "tenor-banjo"])
def test_break_points_stand_off_the_straight_crown_by_their_setbacks(name, prefix, times):
    workup, drawn = preset(name), piece(preset(name), "crown")
    straight = named(drawn, f"{prefix}straight-crown").start[0]
    tilt = np.cos(np.radians(workup.line.slant_deg))
    for n, back in enumerate(workup.setbacks.setback_mm):
        off = (back - (float(workup.line.at(workup.across_mm[n])) - workup.scale_mm)) * tilt
        assert (named(drawn, f"{prefix}break-{n + 1}").start[0] - straight) / times == pytest.approx(off, abs=UM)


def test_strings_lie_along_the_crown_as_far_apart_as_on_the_bridge():
    workup, drawn = preset("mandolin"), piece(preset("mandolin"), "crown")
    middles = [sum(p[1] for p in (b.start, b.end)) / 2 for b in (named(drawn, f"break-{n}") for n in (1, 4))]
    assert middles[1] - middles[0] == pytest.approx(workup.instrument.bridge.spacing, abs=UM)


def test_left_handed_crown_has_its_treble_end_down():
    tops = []
    for hand in ("right", "left"):
        drawn = piece(preset("mandolin", hand), "crown")
        tops.append(named(drawn, "at-5-break-1").start[1] < named(drawn, "at-5-break-4").start[1])
    assert tops == [True, False]


def test_crown_that_is_too_thin_is_called_so():
    assert "they fit on this crown of 6 mm" in spread_in_words(preset("mandolin"))
    assert "more than this crown of 2.5 mm" in spread_in_words(preset("banjo"))
    assert "more than this crown of 2.5 mm" in words(piece(preset("banjo"), "crown"))


def test_crown_says_what_a_straight_one_would_leave():
    workup, shown = preset("mandolin"), words(piece(preset("mandolin"), "crown"))
    for cents in workup.left_cents:
        assert f"{abs(cents):.1f} c" in shown


# other fret rules

EIGHTEEN = 'fret_rule = "eighteen"\n'


def numbers(tmp_path, text):
    path = tmp_path / "mine.toml"
    path.write_text(text)
    status, printed, shown = run("numbers", path, "--json")
    assert status == 0, shown
    return json.loads(printed)


def with_head(name, lines):
    text = preset_text(name)
    return text.replace("\nfrets = ", f"\n{lines}frets = ", 1)


def test_frets_by_the_rule_of_eighteen_are_where_it_puts_them(tmp_path):
    found = numbers(tmp_path, with_head("banjo", EIGHTEEN))
    places = [fret["to_bridge_mm"] for fret in found["frets"]]
    assert places == pytest.approx([666.75 * (17 / 18) ** n for n in range(1, 23)])


def test_board_by_the_rule_of_eighteen_has_a_best_bridge_line_and_what_it_leaves(tmp_path):
    text = with_head("banjo", EIGHTEEN).replace('"octave" ', '"all frets" ')
    best = numbers(tmp_path, text)
    octave = numbers(tmp_path, with_head("banjo", EIGHTEEN))
    for all_frets, one in zip(best["strings"], octave["strings"], strict=True):
        assert all_frets["rms_cents"] < one["rms_cents"]
    even = numbers(tmp_path, preset_text("banjo").replace('"octave" ', '"all frets" '))
    assert abs(best["strings"][0]["rms_cents"] - even["strings"][0]["rms_cents"]) > 0.1


def test_frets_by_a_list_of_cents_are_where_it_puts_them(tmp_path):
    cents = [100.0 * n for n in range(1, 13)]
    cents[3] = 386.3
    text = preset_text("mandolin").replace("frets = 20", f"frets = 12\nfret_rule = {cents}")
    found = numbers(tmp_path, text)
    assert found["frets"][3]["to_bridge_mm"] == pytest.approx(352.425 * 2 ** (-386.3 / 1200))
    assert found["strings"][0]["cents"][3] < found["strings"][0]["cents"][2] - 10
    wanted = numbers(tmp_path, text.replace("fret_rule", "wanted_cents"))
    assert wanted["strings"][0]["cents"][3] > wanted["strings"][0]["cents"][2] + 10
    both = numbers(tmp_path, text.replace("\nfret_rule", f"\nwanted_cents = {cents}\nfret_rule"))
    assert abs(both["strings"][0]["cents"][3] - both["strings"][0]["cents"][2]) < 2


def test_measured_frets_are_used_wherever_pitch_is_computed(tmp_path):
    places = [round(352.425 * (1 - OCTAVE**-n), 3) for n in range(1, 21)]
    even = numbers(tmp_path, with_head("mandolin", f"frets_measured = {places}\n"))
    usual = numbers(tmp_path, preset_text("mandolin"))
    assert even["bridge"]["treble_mm"] == pytest.approx(usual["bridge"]["treble_mm"], abs=0.003)
    places[6] += 1.0
    strayed = numbers(tmp_path, with_head("mandolin", f"frets_measured = {places}\n"))
    sharper = strayed["strings"][0]["cents"][6] - even["strings"][0]["cents"][6]
    assert sharper == pytest.approx(1200 / np.log(2) / (352.425 * OCTAVE**-7 + 1.6), rel=0.02)


def test_number_of_frets_follows_from_a_list(tmp_path):
    places = [round(352.425 * (1 - OCTAVE**-n), 2) for n in range(1, 18)]
    text = preset_text("mandolin").replace("frets = 20", f"frets_measured = {places}")
    assert len(numbers(tmp_path, text)["frets"]) == 17


def test_nut_to_fret_12_gives_the_scale_by_the_rule_of_the_frets(tmp_path):
    text = with_head("banjo", EIGHTEEN).replace('scale = "26 1/4 in"', 'nut_to_fret_12 = "333.4 mm"')
    assert numbers(tmp_path, text)["scale_mm"] == pytest.approx(333.4 / (1 - (17 / 18) ** 12))


def test_fretboard_and_fork_stand_on_the_measured_frets():
    places = [round(352.425 * (1 - OCTAVE**-n), 3) for n in range(1, 21)]
    places[11] += 0.7
    text = with_head("mandolin", f"frets_measured = {places}\n")
    workup = work_up(parse(text.encode(), "x"))
    assert level(named(piece(workup, "fretboard"), "fret-12")) == pytest.approx(places[11])
    fork = piece(workup, "fork", datum_fret=12)
    usual = piece(preset("mandolin"), "fork", datum_fret=12)
    gaps = [
        np.mean([p[1] for r in named(d, "bridge-line").runs for p in r]) - named(d, "datum").start[1]
        for d in (usual, fork)
    ]
    place = workup.line.centre_mm - preset("mandolin").line.centre_mm
    assert gaps[1] - gaps[0] == pytest.approx(place - 0.7, abs=0.01)


RISING = [round(352.425 * (1 - OCTAVE**-n), 2) for n in range(1, 21)]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ('fret_rule = "eigteen"\n', ["fret_rule", 'did you mean "eighteen"']),
        ("fret_rule = 18\n", ["fret_rule", "not a list"]),
        ("fret_rule = [100, 200]\n", ["fret_rule", "2 frets are listed", "frets = 20"]),
        (f"fret_rule = {[100, 90, *range(300, 2100, 100)]}\n", ["fret_rule", "fret 2", "does not lie beyond"]),
        (f"fret_rule = {[0, *range(200, 2100, 100)]}\n", ["fret_rule", "fret 1", "not an interval"]),
        (f"frets_measured = {[*RISING, 250]}\n", ["frets_measured", "21 frets are listed", "frets = 20"]),
        (
            f"frets_measured = {[*RISING[:7], RISING[7] - 30, *RISING[8:]]}\n",
            ["frets_measured", "fret 8", "beyond fret 7"],
        ),
        (f"frets_measured = {[*RISING[:-1], 360]}\n", ["frets_measured", "fret 20 lies behind the bridge"]),
        (
            f"frets_measured = {[*RISING[:-1], '9.5 furlong']}\n".replace("'", '"'),
            ["frets_measured", "fret 20", "furlong"],
        ),
        ("frets_measured = 33.7\n", ["frets_measured", "not a list"]),
        (
            f'frets_measured = {RISING}\nfret_rule = "eighteen"\n',
            ["frets_measured", "both fret_rule and"],
        ),
        ("wanted_cents = [true]\n", ["wanted_cents", "not an interval"]),
    ],
)
def test_slip_in_a_list_of_frets_is_named_with_its_fret(tmp_path, lines, expected):
    path = tmp_path / "mine.toml"
    path.write_text(with_head("mandolin", lines))
    status, _, shown = run("draw", path, "fretboard", "--out", tmp_path / "out")
    assert status == 2
    assert not (tmp_path / "out").exists()
    for words_ in expected:
        assert words_ in shown, shown
    assert "; " in shown


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("[board]\nnut_width = 29\nend = 200\n", ["[board] end", "before the last fret"]),
        ("[board]\nnut_width = 29\ndots = [3, 30]\n", ["[board] dots", "no fret 30"]),
        ("[board]\nnut_width = 29\njoint_fret = 25\n", ["[board] joint_fret", "no fret 25"]),
        (
            "[board]\nnut_width = 29\nend_width = 40\nfret_12_width = 36\n",
            ["[board] fret_12_width", "both [board] end_width and"],
        ),
        ("[board]\nnut_width = 29\nslots = 0.5\n", ["[board] slots", 'did you mean "slot"']),
    ],
)
def test_slip_in_the_board_is_named(tmp_path, lines, expected):
    path = tmp_path / "mine.toml"
    path.write_text(without_board("mandolin") + lines)
    status, _, shown = run("draw", path, "fretboard", "--out", tmp_path / "out")
    assert status == 2
    for words_ in expected:
        assert words_ in shown, shown


def test_spacing_table_says_what_a_calliper_would():
    """The mandolin's bridge: 108 mm across, pairs 40/3 mm apart, 2.5 mm within a pair; worked by hand."""
    shown = words(piece(preset("mandolin"), "spacing"))
    assert "4b G3 32.75 mm 1 19/64 in edge 32.24 mm" in shown
    assert "4a G3 35.25 mm 1 25/64 in 2.50 mm 1.48 mm" in shown
    assert "treble edge 108.00 mm 32.75 mm 32.61 mm" in shown


def test_crown_steps_between_the_strings_and_its_cents_have_the_sign_of_the_numbers():
    workup, drawn = preset("mandolin"), piece(preset("mandolin"), "crown")
    corners = named(drawn, "break-line").runs[0]
    ticks = [named(drawn, f"break-{n}") for n in (1, 2, 3, 4)]
    assert [x for x, _ in corners[::2]] == pytest.approx([tick.start[0] for tick in ticks])
    for n in (0, 1, 2):
        turn = corners[1 + 2 * n][1]
        assert ticks[n].end[1] < turn < ticks[n + 1].start[1]
        assert turn == pytest.approx((ticks[n].end[1] + ticks[n + 1].start[1]) / 2)
    shown = words(drawn)
    for n, cents in enumerate(workup.left_cents):
        if abs(cents) > 0.05:
            assert f"{'+' if cents > 0 else '−'}{abs(cents):.1f} c" in shown, n


def test_tables_of_the_readme_go_into_a_preset(tmp_path):
    """What a builder writes, after the README, instead of the preset's own tables."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    block = next(part for part in readme.split("```toml")[1:] if "[board]" in part).partition("```")[0]
    own = "\n".join(line.strip() for line in block.splitlines())
    text = preset_text("mandolin")
    head, tail = text.partition("[nut]")[0], "[bridge]" + text.partition("[bridge]")[2]
    path = tmp_path / "mine.toml"
    path.write_text(head + own + "\n" + tail)
    status, _, shown = run("draw", path, "--all", "--out", tmp_path / "out")
    flat = (
        "the top counts as flat and level with the board; measure how far the top lies below the board: a step of 10 mm"
    )
    assert (status, shown) == (0, f"note: [board] over_top: {flat} costs half a millimetre\n")
