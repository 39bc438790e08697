"""The gauge says the same as the paper fork, and what a cutter or a thick stock does to it is shown."""

import re

import numpy as np
import pytest
from odd_instruments import odd
from readers import UM, svg_layer, svg_loops
from samples import (
    HANDS,
    PRESETS,
    SMALL_FILE,
    WALL,
    assert_clear,
    cut_files,
    filed,
    measured,
    named,
    page,
    preset,
    run,
    with_template,
    words_of,
)
from working_edges import half_feet, level_edge, outline_and_windows, placed, widest, wire_mm

from geometry.fretting import octave_cents
from jigs.cutting.cutter import Cutter
from jigs.drawing.items import Role, Text, bounds
from jigs.drawing.lettering import MEDIUM
from jigs.instrument.file import parse
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS, room_on
from jigs.templates.gauge_words import on_stem
from jigs.templates.instructions import CUTTER_CAUTIONS
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

FOUND = """
[found]
treble = 669.7
bass = 670.4
plus_minus = 0.6
date = 2026-11-25
"""

both_hands = pytest.mark.parametrize("hand", HANDS)


def shown(template, workup, paper="a4", **options):
    """All words of a template's sheets."""
    sheets = lay_out(workup, templates()[template], PAPERS[paper], Options(**options))
    return " ".join(words_of(one.drawing) for one in sheets)


def gauge_levels(workup, xs, **choice):
    """Distance from the datum to the shoulders at several x, read from the cut file."""
    loops = svg_loops(cut_files("gauge", workup, formats="svg", **choice)["svg"])
    part = placed("gauge", workup, loops, 0.0, **choice)
    outline, _ = outline_and_windows(loops)
    found = []
    for x in xs:
        across = part.at(x, 0.0).real
        crossed = [
            float(edge.start.imag + (edge.end - edge.start).imag * share)
            for edge in outline.edges
            if edge.centre is None and abs((edge.end - edge.start).real) > UM
            for share in [(across - edge.start.real) / (edge.end - edge.start).real]
            if 0 <= share <= 1
        ]
        found.append(max(crossed))
    return np.array(found) - level_edge(widest(part.windows), +1).start.imag


def fork_levels(workup, xs, fret):
    """The same, of the paper fork's mark."""
    drawn, *_ = lay_out(workup, templates()["fork"], WALL, Options(datum_fret=fret))
    datum, line = named(drawn.drawing, "datum"), named(drawn.drawing, "bridge-line")
    middle = (datum.start[0] + datum.end[0]) / 2
    hand = 1 if workup.instrument.head.hand == "right" else -1
    (x1, y1), (x2, y2) = line.runs[0][0], line.runs[1][1]
    return y1 + (y2 - y1) * (middle + hand * np.asarray(xs) - x1) / (x2 - x1) - datum.start[1]


def bearing(workup):
    end = half_feet(workup)
    return [-end - 0.5, -end, 1.5 - end, end - 1.5, end, end + 0.5]


@both_hands
@pytest.mark.parametrize("name", PRESETS)
def test_gauge_stops_the_bridge_where_the_fork_marks_it(name, hand):
    tables = [(), ("heights",)] if "banjo" in name else [(), ("heights",), ("heights", "arch")]
    for table in tables:
        workup = measured(name, *table, hand=hand)
        xs, fret = bearing(workup), workup.instrument.head.frets
        assert gauge_levels(workup, xs) == pytest.approx(fork_levels(workup, xs, fret), abs=UM), table


@pytest.mark.parametrize("fret", [12, 17])
def test_gauge_and_fork_agree_from_any_fret(fret):
    workup = measured("banjo", "heights")
    xs = bearing(workup)
    assert gauge_levels(workup, xs, datum_fret=fret) == pytest.approx(fork_levels(workup, xs, fret), abs=UM)


@both_hands
@pytest.mark.parametrize("name", PRESETS)
@pytest.mark.parametrize("end", ["treble", "bass"])
def test_tick_is_as_many_cents_as_it_says(name, end, hand):
    """Moving one end of the feet to a tick's level, the other held at its shoulder, changes that string by its cents."""
    workup = preset(name, hand=hand)
    content = cut_files("gauge", workup, formats="svg")["svg"]
    part = placed("gauge", workup, svg_loops(content), 0.0)
    score = {name: edges for name, edges, _ in svg_layer(content, "score")}
    line = np.array([[edge.start, edge.end] for edge in score["bridge-line"]]).ravel()
    slope, level = np.polyfit(line.real, line.imag, 1)
    side = 1 if end == "treble" else -1
    string = workup.outer_strings[0 if end == "treble" else 1]
    held = part.at(-side * half_feet(workup), 0).real
    nut = workup.setbacks.nut_setback_mm
    before = octave_cents(workup.model, workup.setbacks.setback_mm, nut)[string]
    found = sorted(int(name.removeprefix(f"cents-{end}-")) for name in score if name.startswith(f"cents-{end}-"))
    assert found in ([n for n in range(-10, 11, step) if n] for step in (2, 5))
    for cents in found:
        (tick,) = score[f"cents-{end}-{cents}"]
        tilts = [(p.imag - slope * p.real - level) / (p.real - held) for p in (tick.start, tick.end)]
        assert tilts[0] == pytest.approx(tilts[1], abs=1e-5), "the feet's nut side, carried on, lies along the tick"
        assert min((p.real - part.middle) * part.hand * side for p in (tick.start, tick.end)) > half_feet(workup)
        tilt = tilts[0]
        moves = tilt * (part.at(workup.across_mm[string], 0).real - held)
        back = workup.setbacks.setback_mm.copy()
        back[string] -= moves
        reads = octave_cents(workup.model, back, nut)[string] - before
        assert reads == pytest.approx(cents, rel=0.02)


@pytest.mark.parametrize("name", PRESETS)
def test_ticks_stay_apart(name):
    """One below the other, and never finer than the eye: 0.8 mm or more. The steps say how many cents each is."""
    score = svg_layer(cut_files("gauge", preset(name), formats="svg")["svg"], "score")
    for end in ("treble", "bass"):
        ticks = [edges[0] for of, edges, _ in score if of.startswith(f"cents-{end}-")]
        assert np.ptp([tick.start.real for tick in ticks]) < UM
        assert min(np.diff(sorted(tick.start.imag for tick in ticks))) > 0.8 - UM
    assert f"one tick for each {20 // len(ticks)} cents." in shown("gauge", preset(name))


@both_hands
def test_sharp_is_to_the_tail_and_the_bass_leg_is_the_bass_strings(hand):
    workup = preset("banjo", hand=hand)
    content = cut_files("gauge", workup, formats="svg")["svg"]
    part = placed("gauge", workup, svg_loops(content), 0.0)
    score = {name: edges[0].start for name, edges, _ in svg_layer(content, "score")}
    for end, side in (("treble", 1), ("bass", -1)):
        assert score[f"cents-{end}-10"].imag > score[f"cents-{end}--10"].imag
        assert (score[f"cents-{end}-10"].real - part.middle) * part.hand * side > 0


@pytest.mark.parametrize(
    ("template", "name"), [("gauge", "banjo"), ("gauge", "mandola"), ("head", "tenor-banjo"), ("top", "mandolin")]
)
def test_corners_never_eat_into_a_working_edge(template, name):
    """Every working edge is as long with the roundest corners as with sharp ones."""
    workup = with_template(template, name)
    lengths = []
    for corner in (0.0, 1.0, 3.0, 5.0 if template == "gauge" else 10.0):
        loops = svg_loops(cut_files(template, workup, formats="svg", corner_mm=corner)["svg"])
        outline, windows = outline_and_windows(loops)
        if template == "gauge":
            part = placed(template, workup, loops, 0.0)
            slope = workup.face_line.slope
            found = [level_edge(widest(windows), +1).length]
            found += sorted(
                edge.length
                for edge in outline.edges
                if edge.centre is None
                and abs((edge.end - edge.start).real) > 1
                and abs((edge.end - edge.start).imag / (edge.end - edge.start).real - part.hand * slope) < 1e-6
                and abs(edge.at(0.5).imag - part.at(0, workup.face_line.centre_mm).imag) < 8
            )
            assert len(found) == 3
        else:
            found = (
                [max(edge.length for edge in outline.edges if edge.centre is not None)]
                if template == "head"
                else [level_edge(outline, -1).length]
            )
            found += [
                max(edge.length for edge in loop.edges if edge.at(0.5).imag < sum(loop.box[1::2]) / 2)
                for loop in windows
            ]
            assert found[-1] == pytest.approx(workup.instrument.bridge.length, abs=UM)
        lengths.append(found)
    assert np.array(lengths) == pytest.approx(np.tile(lengths[0], (4, 1)), abs=2 * UM)


@pytest.mark.parametrize("clearance", [0.0, 0.1, 0.35])
def test_notch_is_as_wide_as_crown_and_clearance(clearance):
    workup = preset("archtop-guitar")
    for kerf in (0.0, 0.4):
        loops = svg_loops(cut_files("gauge", workup, formats="svg", kerf_mm=kerf, clearance_mm=clearance)["svg"])
        _, top, _, bottom = widest(outline_and_windows(loops)[1]).box
        assert bottom - top + kerf == pytest.approx(workup.instrument.head.fret_crown_width + clearance, abs=2 * UM)


@pytest.mark.parametrize("name", PRESETS)
def test_notch_is_wider_than_the_board(name):
    """Else the gauge would not go down over the fret."""
    workup = preset(name)
    notch = widest(outline_and_windows(svg_loops(cut_files("gauge", workup, formats="svg")["svg"]))[1])
    wire = wire_mm(workup, workup.instrument.head.frets)
    strings = float(np.ptp(workup.strings_at(wire)))
    assert notch.box[2] - notch.box[0] > max(strings + 4, workup.instrument.board.nut_width)


def promised_mm(words):
    """What the sheet says stock may measure: thinner than so much, or any stock there is."""
    return float(re.search(r"Stock (?:thinner than|up to) ([\d.]+) mm slips", words)[1])


def least_height_mm(workup, from_nut):
    """Of any string over the plane of the fret tops: from its own nut to the bridge, where all bear at one height.

    Over fret 12 a full-length string stands at the action, over its own nut at its height there.
    """
    action, scale = workup.instrument.action, workup.scale_mm
    over_bridge = action.nut + 2 * (action.fret_12 - action.nut)
    heights = []
    for string in workup.instrument.strings:
        own = float(workup.from_nut_mm[string.starts_at_fret - 1]) if string.starts_at_fret else 0.0
        if from_nut >= own:
            at_nut = action.nut if string.nut_height is None else string.nut_height
            heights.append(at_nut + (over_bridge - at_nut) * (from_nut - own) / (scale - own))
    return min(heights)


@pytest.mark.slow
@pytest.mark.parametrize("values", [{}, {"relief": 0.3}, {"fret_12": 2.0}, {"fret_12": 1.1, "nut": 0.3}])
@pytest.mark.parametrize("name", PRESETS)
def test_sheet_never_promises_more_room_under_the_strings_than_there_is(name, values):
    """The short string of a banjo counts too: it runs over the stem too."""
    workup = preset(name, **values)
    loops = svg_loops(cut_files("gauge", workup, formats="svg")["svg"])
    part = placed("gauge", workup, loops, 0.0)
    nut_edge = part.outline.box[1] - part.down
    there = least_height_mm(workup, nut_edge)
    promised = promised_mm(shown("gauge", workup))
    assert promised == 3.0 if there > 3.15 else there - 0.15 < promised
    assert promised <= there


def test_gauge_from_thick_stock_says_to_slacken_the_strings():
    workup = preset("mandolin")
    most = promised_mm(shown("gauge", workup))
    for stock, slack in ((0.3, False), (most - 0.1, False), (most + 0.1, True), (3.0, True)):
        words = shown("gauge", workup, cutter=Cutter(stock_mm=stock))
        assert ("Slacken the strings. Slide it under them." in words) is slack, stock
        assert ("Slide it under the strings." in words) is not slack
        assert "For thicker stock slacken them." in words


@pytest.mark.parametrize("name", ["banjo", "mandolin"])
def test_outer_strings_run_through_the_vees_and_over_the_sights(name):
    workup = preset(name)
    content = cut_files("gauge", workup, formats="svg")["svg"]
    part = placed("gauge", workup, svg_loops(content), 0.0)
    score = {name: edges[0] for name, edges, _ in svg_layer(content, "score")}
    for string in workup.outer_strings:
        for point in (score[f"string-{string + 1}"].start, score[f"string-{string + 1}"].end):
            x = workup.strings_at(point.imag - part.down)[string].mean()
            assert point.real == pytest.approx(part.at(x, 0).real, abs=UM)
        # The vee's point is the one corner of the outline that two slanted edges of its size share.
        points = [
            edge.end
            for edge, after in zip(part.outline.edges, (*part.outline.edges[1:], part.outline.edges[0]), strict=True)
            if edge.centre is None and after.centre is None
            and 2 < edge.length < 2.5 and 2 < after.length < 2.5
            and edge.end.imag < min(edge.start.imag, after.end.imag) - 1
        ]  # fmt: skip
        assert len(points) == 2
        vee = min(points, key=lambda point: abs(point.real - part.at(workup.across_mm[string], 0).real))
        assert vee.real == pytest.approx(
            part.at(workup.strings_at(vee.imag - part.down)[string].mean(), 0).real, abs=0.05
        )


@pytest.mark.parametrize(("fret", "note"), [(15, "frets lie between fret 15 and the bridge"), (None, None)])
def test_stiff_gauge_that_cannot_drop_over_its_fret_is_noted(tmp_path, fret, note):
    chosen = ["--datum-fret", fret] if fret else []
    status, _, shown = run("draw", "banjo", "gauge", "--format", "svg", *chosen, "--out", tmp_path)
    assert status == 0
    assert (note in shown) if note else "gauge:" not in shown


def test_gauge_registers_on_the_last_fret_and_says_so(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text(filed("mandola"))
    drawn = page("gauge", preset("mandola"))
    assert drawn.title.document == "Placement gauge, fret 20, right-handed"
    assert "notch over fret 20" in words_of(drawn.drawing)
    assert "Drop the notch over fret 20" in shown("gauge", preset("mandola"))
    status, _, refused = run("draw", file, "gauge", "--datum-fret", "21", "--out", tmp_path / "out")
    assert (status, "there is no fret 21" in refused) == (2, True)


def test_single_string_is_sighted_through_one_vee():
    head, first, *_ = SMALL_FILE.split("[[strings]]")
    text = f"{head}[[strings]]{first}"
    workup = work_up(parse(text.encode(), "one.toml"))
    drawn = templates()["gauge"].part(workup, Options()).drawing
    assert len([item for item in drawn if item.id.startswith("string-")]) == 1
    outline = named(drawn, "gauge-outline").runs[0]
    recess = sorted(y for x, y in outline if abs(x) < 3)
    assert len(recess) == 3


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["a4", "letter"])
@both_hands
@pytest.mark.parametrize("name", PRESETS)
def test_gauge_goes_on_small_paper_with_all_its_steps_and_cautions(name, hand, paper):
    """Cautions have no room beside some; then they are on the sheet of words."""
    workup = preset(name, hand=hand)
    sheets = lay_out(workup, templates()["gauge"], PAPERS[paper], Options())
    for one in sheets:
        assert_clear(one.drawing)
    words = " ".join(words_of(one.drawing) for one in sheets)
    for caution in CUTTER_CAUTIONS:
        assert caution in words
    texts = [t for one in sheets for t in one.drawing if isinstance(t, Text) and t.height_mm == MEDIUM]
    numerals = [int(t.text) for t in texts if t.text.isdigit()]
    assert numerals == list(range(1, len(numerals) + 1))
    assert len(numerals) >= 11


@pytest.mark.parametrize("scale", [12, 15, 19, 23, 28, 34])
def test_gauge_and_fork_draw_for_every_length_of_scale_on_small_paper(scale):
    head, *_ = SMALL_FILE.replace('scale = "13 7/8 in"', f'nut_to_fret_12 = "{scale / 2} in"').split("[[strings]]")
    notes = (("E5", 0.009), ("A4", 0.012)) if scale < 16 else (("B3", 0.010), ("F#3", 0.014))
    strings = "".join(f'[[strings]]\nnote = "{note}"\ngauge = "{gauge} in"\n' for note, gauge in notes)
    workup = work_up(parse(f"{head}{strings}".encode(), "x"))
    for template in ("gauge", "fork"):
        for paper in ("a4", "letter"):
            sheets = lay_out(workup, templates()[template], PAPERS[paper], Options())
            assert named(sheets[0].drawing, "datum")
            for one in sheets:
                assert_clear(one.drawing)


@pytest.mark.parametrize("name", PRESETS)
def test_steps_are_few_and_short_enough_for_the_bench(name):
    for aim in ('"octave"', '"all frets"'):
        steps = templates()["gauge"].draw(preset(name, tune_to=aim), room_on(PAPERS["a4"]), Options()).said.steps
        assert len(steps) <= 11 + (1 if aim == '"all frets"' else 0)
        for step in steps:
            words = step.replace("\N{NO-BREAK SPACE}", " ").replace(" mm", "mm").split()
            assert len(words) <= 15, step


def test_part_says_whether_its_line_was_found_by_ear():
    """Nothing else on a part that hangs on a nail shows which of two gauges is the newer, except the date by hand."""
    computed = preset("banjo")
    found = work_up(parse((filed("banjo") + FOUND).encode(), "x"))
    assert on_stem(computed, 22)[-1] == "line computed"
    assert on_stem(found, 22)[-1] == "line found by ear"
    parts = [templates()["gauge"].part(one, Options()).drawing for one in (computed, found)]
    strokes = [sum(len(item.runs) for item in one if item.role is Role.ENGRAVED) for one in parts]
    assert strokes[0] != strokes[1]
    assert named(parts[1], "date")


def test_a_single_strings_line_stays_off_the_hole_to_hang_it_by():
    """The scorer would fall into the hole."""
    drawn = templates()["gauge"].part(odd("one-string"), Options()).drawing
    hole = bounds(next(item for item in drawn if item.id == "hole"))
    sight = bounds(next(item for item in drawn if item.id == "string-1"))
    assert sight.left < hole.right
    assert hole.left < sight.right, "the string passes over the hole"
    assert sight.height > 2
    assert sight.bottom < hole.top - 0.5


@pytest.mark.parametrize("more", [(), ("--wedges",)], ids=["marks", "wedges"])
def test_gauge_that_would_reach_over_the_nut_is_refused(tmp_path, more):
    """It ended in a traceback, and in a rack it took all other files with it."""
    status, _, said = run("draw", "mandolin", "gauge", "--datum-fret", "1", "--web", "20", *more, "--out", tmp_path)
    assert status == 2
    assert "--datum-fret: from fret 1, with 20 mm beside its notch, the gauge would reach over the nut; " in said
    assert list(tmp_path.iterdir()) == []
