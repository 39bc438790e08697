"""The placement fork puts the bridge where the numbers say, on every paper, for both hands."""

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import PRESETS, assert_clear, fork_sheets, named, preset, sheet, words_of

from jigs.drawing.items import Anchor, Line, Role, Text, bounds
from jigs.export.svg import to_svg
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import MARGIN_MM, PAPERS, Paper, room_on
from jigs.templates import fork
from jigs.templates.fork_plan import plan
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.sureness import how_sure
from jigs.workup.work_up import work_up

UM = 1e-3


def across(item):
    return (item.start[0] + item.end[0]) / 2


def line_at(line, x):
    """Height of the bridge line at x: its two pieces lie on one straight line."""
    (x1, y1), (x2, y2) = line.runs[0][0], line.runs[1][1]
    for px, py in (line.runs[0][1], line.runs[1][0]):
        assert y1 + (y2 - y1) * (px - x1) / (x2 - x1) == pytest.approx(py, abs=UM)
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)


def ticks_of(drawn, end):
    """The ticks of a leg by their cents."""
    named_so = f"cents-{end}-"
    return {int(item.id.removeprefix(named_so)): item for item in drawn if item.id.startswith(named_so)}


def leg_edges(drawn):
    """How far a leg's inner and outer edges are from the fork's middle."""
    xs = {round(abs(x - across(named(drawn, "datum"))), 6) for x, _ in named(drawn, "fork-outline").runs[0]}
    outside = max(xs)
    return max(xs - {outside}), outside


def datum_fret(drawn):
    return int(drawn.title.document.split("fret ")[1].split(",")[0])


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("name", PRESETS)
def test_bridge_pushed_to_the_line_stands_at_the_computed_place(name, hand):
    drawn, workup = sheet(name, hand), preset(name, hand)
    bridge, datum = workup.instrument.bridge, named(drawn.drawing, "datum")
    line = named(drawn.drawing, "bridge-line")
    middle = across(datum)
    sign = 1 if hand == "right" else -1
    wire = workup.from_nut_mm[datum_fret(drawn) - 1] + workup.instrument.head.fret_crown_width / 2
    for x, place in zip(workup.across_mm, workup.line.at(workup.across_mm), strict=True):
        tilt = np.cos(np.radians(workup.line.slant_deg))
        expected = place - bridge.face_mm / tilt
        assert wire + line_at(line, middle + sign * x) - datum.start[1] == pytest.approx(expected, abs=UM)


@pytest.mark.parametrize("name", PRESETS)
def test_dashed_line_is_the_theoretical_one_for_the_same_face(name):
    drawn, workup = sheet(name), preset(name)
    dashed, datum = named(drawn.drawing, "bridge-theoretical"), named(drawn.drawing, "datum")
    wire = workup.from_nut_mm[datum_fret(drawn) - 1] + workup.instrument.head.fret_crown_width / 2
    levels = {y for run in dashed.runs for _, y in run}
    assert len(levels) == 1
    assert wire + levels.pop() - datum.start[1] == pytest.approx(
        workup.scale_mm - workup.instrument.bridge.face_mm, abs=UM
    )


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("name", PRESETS)
@pytest.mark.parametrize("end", ["treble", "bass"])
def test_reading_on_the_cents_scale_is_the_place_where_the_string_comes_true(name, end, hand):
    """Moving one end to a tick while the other stands still changes that string by the tick's cents."""
    drawn, workup = sheet(name, hand), preset(name, hand)
    line, middle = named(drawn.drawing, "bridge-line"), across(named(drawn.drawing, "datum"))
    string = workup.outer_strings[0 if end == "treble" else 1]
    ticks, inner = ticks_of(drawn.drawing, end), leg_edges(drawn.drawing)[0]
    assert set(ticks) == {-c for c in ticks}
    assert max(ticks) in (14, 15)
    sign = (1 if hand == "right" else -1) * (1 if end == "treble" else -1)
    held = middle - sign * inner
    for cents, tick in ticks.items():
        tilts = [(y - line_at(line, x)) / (x - held) for x, y in (tick.start, tick.end)]
        assert tilts[0] == pytest.approx(tilts[1], abs=1e-6), "the feet's nut side, carried on, lies along the tick"
        string_moves = tilts[0] * (middle + (1 if hand == "right" else -1) * workup.across_mm[string] - held)
        back = workup.setbacks.setback_mm.copy()
        back[string] -= string_moves
        nut = workup.setbacks.nut_setback_mm
        from geometry.fretting import octave_cents

        before = octave_cents(workup.model, workup.setbacks.setback_mm, nut)[string]
        reads = octave_cents(workup.model, back, nut)[string] - before
        assert reads == pytest.approx(cents, rel=0.02)  # ticks are evenly spaced, the model bends 1.3 % over 15 cents


def number_on(drawn, cents, end):
    """The number at a leg's line: the nearest of its kind, and the line's outer end."""
    middle = across(named(drawn, "datum"))
    side = np.sign(named(drawn, f"cents-{end}-10").end[0] - middle)
    on_leg = [run for run in named(drawn, "bridge-line").runs if (run[0][0] - middle) * side > 0]
    line = on_leg[0] if cents == 0 else ticks_of(drawn, end)[cents]
    ends = (line.start, line.end) if cents else line
    x, y = max(ends, key=lambda point: abs(point[0] - middle))
    label = f"{'+' if cents > 0 else '−'}{abs(cents)}" if cents else "0"
    texts = [bounds(t) for t in drawn if isinstance(t, Text) and t.text == label]
    return min(texts, key=lambda box: abs((box.left + box.right) / 2 - x) + abs(box.top - y)), (x, y)


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("name", PRESETS)
def test_scale_is_readable_beside_the_fingers_that_hold_the_bridge(name, hand):
    """Lines with a number begin at the feet, 0 among them; ticks and numbers are in the outer half of the leg."""
    drawn = sheet(name, hand, "a3").drawing
    middle, (inner, outside) = across(named(drawn, "datum")), leg_edges(drawn)
    half = (inner + outside) / 2
    assert outside - inner == pytest.approx(22)
    for end in ("treble", "bass"):
        for cents in (-10, 0, 10):
            box, (x, y) = number_on(drawn, cents, end)
            assert min(abs(box.left - x), abs(box.right - x)) < 1, "the number is beside its line's end"
            assert abs((box.top + box.bottom) / 2 - y) < 1.6
            assert min(abs(box.left - middle), abs(box.right - middle)) > half
            assert max(abs(box.left - middle), abs(box.right - middle)) < outside
        for cents, tick in ticks_of(drawn, end).items():
            near, far = sorted(abs(x - middle) for x, _ in (tick.start, tick.end))
            assert far > half
            assert near == pytest.approx(inner) if abs(cents) == 10 else near > half


def test_zero_line_and_its_band_are_in_one_piece_on_each_leg():
    for name in PRESETS:
        drawn = sheet(name).drawing
        lines = {round(np.mean([x for x, _ in run])): run for run in named(drawn, "bridge-line").runs}
        for end in ("treble", "bass"):
            (run,) = named(drawn, f"band-{end}").runs
            line = lines[round(np.mean([x for x, _ in run]))]
            assert {round(x, 6) for x, _ in run} == {round(x, 6) for x, _ in line}


@pytest.mark.parametrize("name", PRESETS)
def test_ticks_are_the_finest_that_stay_apart(name):
    workup = preset(name)
    for scale in plan(workup, 12, False, room_on(PAPERS["a4"])).scales:
        assert scale.step * scale.mm_per_cent >= 0.8
        finer = [s for s in (1, 2, 5) if s < scale.step]
        assert all(s * scale.mm_per_cent < 0.8 for s in finer)


def test_sharp_moves_the_bridge_away_from_the_nut():
    drawn = sheet("mandolin").drawing
    assert named(drawn, "cents-treble-5").start[1] > named(drawn, "cents-treble--5").start[1]


@pytest.mark.parametrize("hand", ["right", "left"])
def test_numbers_and_words_on_the_legs_say_the_right_way(hand):
    drawn = sheet("banjo", hand).drawing
    middle = across(named(drawn, "datum"))
    for end in ("treble", "bass"):
        sharp, flat = named(drawn, f"cents-{end}-10"), named(drawn, f"cents-{end}--10")
        on_leg = [t for t in drawn if isinstance(t, Text) and (t.at[0] > middle) == (sharp.start[0] > middle)]
        beside = {t.text: t.at[1] for t in on_leg if t.text in ("+10", "−10")}
        assert abs(beside["+10"] - sharp.start[1]) < 3
        assert abs(beside["−10"] - flat.start[1]) < 3
        assert {"flat ↑ nut", "sharp ↓ tail"} <= {t.text.replace("\N{NO-BREAK SPACE}", " ") for t in on_leg}
        assert any(t.text == end and t.anchor is Anchor.MIDDLE for t in on_leg)


@pytest.mark.parametrize("name", PRESETS)
def test_strings_run_under_the_fork_as_they_do_on_the_instrument(name):
    workup, drawn = preset(name), sheet(name)
    middle, datum = across(named(drawn.drawing, "datum")), named(drawn.drawing, "datum")
    wire = workup.from_nut_mm[datum_fret(drawn) - 1] + workup.instrument.head.fret_crown_width / 2
    full = [n for n, s in enumerate(workup.instrument.strings) if not s.starts_at_fret]
    spread = workup.instrument.nut.spacing, workup.instrument.bridge.spacing
    for n, at_bridge in enumerate(workup.across_mm):
        runs = named(drawn.drawing, f"string-{n + 1}").runs
        for end in (0, 1):
            x = np.mean([run[end][0] for run in runs]) - middle
            y = wire + runs[0][end][1] - datum.start[1]
            if n in full:
                at_nut = spread[0] / 2 - full.index(n) * spread[0] / (len(full) - 1)
                assert x == pytest.approx(at_nut + (at_bridge - at_nut) * y / workup.scale_mm, abs=UM)
        if workup.instrument.strings[n].pair:
            assert abs(runs[0][1][0] - runs[1][1][0]) == pytest.approx(workup.instrument.bridge.pair_gap, abs=0.3)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_feet_lie_behind_their_nut_side_and_clear_of_the_legs(hand):
    for name in PRESETS:
        workup, drawn = preset(name, hand), sheet(name, hand).drawing
        window, line = named(drawn, "bridge-window").runs[0], named(drawn, "bridge-line")
        behind = sorted(y - line_at(line, x) for x, y in window)
        tilt = np.cos(np.radians(workup.line.slant_deg))
        assert behind[:2] == pytest.approx([0, 0], abs=UM)
        assert behind[2:] == pytest.approx([workup.instrument.bridge.thickness / tilt] * 2, abs=UM)
        edges = [abs(x - across(named(drawn, "datum"))) for run in line.runs for x, _ in run]
        assert max(abs(x - across(named(drawn, "datum"))) for x, _ in window) < min(edges) - 1


def test_thick_slanted_feet_still_pass_between_the_legs():
    workup = preset("mandola", length=80, thickness=20, face=10, fret_12=4, tune_to='"nut and saddle"')
    laid_out = plan(workup, 12, False, room_on(PAPERS["a3"]))
    assert abs(laid_out.feet[:, 0]).max() + 1 < laid_out.inner
    assert laid_out.feet[:, 1].max() < laid_out.end_mm


def test_face_of_the_feet_is_taken_from_the_file():
    usual, forward = preset("mandolin"), preset("mandolin", face=2.0)
    assert forward.face_line.centre_mm - usual.face_line.centre_mm == pytest.approx(
        (usual.instrument.bridge.face_mm - 2.0) / np.cos(np.radians(usual.line.slant_deg))
    )
    assert forward.line == usual.line


def test_long_name_stays_on_the_stem():
    workup = preset("mandolin", name='"' + "W" * 60 + '"')
    drawn, *_ = lay_out(workup, templates()["fork"], PAPERS["a4"], Options())
    assert_clear(drawn.drawing)


def test_fork_for_a_cut_nut_says_how_far_to_cut():
    workup = preset("mandolin", tune_to='"nut and saddle"')
    said = fork.draw(workup, room_on(PAPERS["a4"]), Options()).said
    words = " ".join((*said.steps, *said.notes))
    assert "only if the nut's end is moved towards the bridge" in words
    assert f"string 1 by {-workup.setbacks.nut_setback_mm[0]:.2f} mm" in words


def test_sheets_say_what_they_were_computed_from():
    words = " ".join(words_of(one.drawing) for one in fork_sheets("mandolin"))
    assert "scale 352.4 mm" in words
    assert "E5 .011, A4 .015, D4 .026w, G3 .040w" in words


def test_left_handed_fork_is_the_mirror_image_with_readable_words():
    right, left = sheet("tenor-banjo").drawing, sheet("tenor-banjo", "left").drawing
    middle = across(named(right, "datum"))
    for item in right:
        if isinstance(item, Line) and item.id:
            other = named(left, item.id)
            if item.id.startswith("cents"):
                assert other.start[0] - middle == pytest.approx(middle - item.start[0])
                assert other.start[1] == pytest.approx(item.start[1])
    words = [{t.text.replace("left", "right") for t in d if isinstance(t, Text)} for d in (right, left)]
    assert words[0] == words[1]
    treble = {
        where: next(t for t in d if isinstance(t, Text) and t.text == "treble")
        for where, d in (("right", right), ("left", left))
    }
    assert treble["right"].at[0] > middle > treble["left"].at[0]


def test_edge_laid_over_the_fret_starts_at_its_centre():
    against, over = sheet("mandolin", datum_fret=12), sheet("mandolin", datum_fret=12, datum_over_fret=True)
    gaps = [named(d.drawing, "bridge-line").runs[0][0][1] - named(d.drawing, "datum").start[1] for d in (against, over)]
    assert gaps[1] - gaps[0] == pytest.approx(preset("mandolin").instrument.head.fret_crown_width / 2)


def test_fork_opens_to_the_tail_so_that_it_can_be_drawn_out():
    drawn = sheet("banjo")
    outline = named(drawn.drawing, "fork-outline").runs[0]
    window = named(drawn.drawing, "bridge-window").runs[0]
    inner = sorted(abs(x - across(named(drawn.drawing, "datum"))) for x, _ in outline)
    half_feet = max(abs(x - across(named(drawn.drawing, "datum"))) for x, _ in window)
    assert min(x for x in inner if x > 30) > half_feet
    assert max(y for _, y in outline) > max(y for _, y in window)


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("name", PRESETS)
def test_words_are_clear_of_marks_and_of_each_other(name, paper):
    for one in fork_sheets(name, paper=paper):
        assert_clear(one.drawing)


@pytest.mark.parametrize("objective", ['"all frets"', '"nut and saddle"'])
@pytest.mark.parametrize("name", PRESETS)
def test_words_are_clear_for_every_aim(name, objective):
    workup = preset(name, tune_to=objective)
    drawn, *_ = lay_out(workup, templates()["fork"], PAPERS["a3"], Options())
    assert_clear(drawn.drawing)


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("name", PRESETS)
def test_nothing_is_cut_off_at_the_paper_edge(name, paper):
    drawn = sheet(name, paper=paper)
    box = drawn.drawing.bounds()
    assert min(box.left, box.top) >= 5
    assert box.right <= drawn.paper.width_mm - 5
    assert box.bottom <= drawn.paper.height_mm - 5
    for item in drawn.drawing:
        if item.id:
            assert bounds(item).left >= MARGIN_MM - 1e-9


def test_fret_12_is_taken_where_the_paper_is_long_enough():
    assert datum_fret(sheet("mandolin")) == 12
    assert datum_fret(sheet("banjo", paper="tabloid")) == 12
    assert datum_fret(sheet("banjo", paper="a3")) == 12


def test_lowest_fret_that_fits_is_taken_on_a_shorter_sheet():
    taken = datum_fret(sheet("banjo"))
    assert taken > 12
    assert not fork.draw(preset("banjo"), room_on(PAPERS["a4"]), Options(datum_fret=taken)).long
    assert fork.draw(preset("banjo"), room_on(PAPERS["a4"]), Options(datum_fret=taken - 1)).long


def test_own_datum_fret_is_respected():
    assert datum_fret(sheet("mandolin", paper="a3", datum_fret=15)) == 15
    with pytest.raises(InputFaults, match="there is no fret 21"):
        sheet("mandolin", datum_fret=21)


def test_fork_that_is_too_long_for_its_paper_is_joined_from_pieces():
    """It is refused where it is too wide for that, with the papers that would do."""
    first, second, *_ = fork_sheets("tenor-banjo", datum_fret=14)
    assert first.drawing.bounds().bottom > 0
    assert named(first.drawing, "datum")
    assert named(second.drawing, "bridge-line")
    with pytest.raises(InputFaults, match=r"does not fit on own .*choose A4 .*, Letter .*, Legal"):
        lay_out(preset("tenor-banjo"), templates()["fork"], Paper("own", 148.0, 210.0), Options())


@settings(max_examples=60, deadline=None)
@given(
    width=st.floats(120, 450),
    height=st.floats(120, 650),
    name=st.sampled_from(PRESETS),
    hand=st.sampled_from(["right", "left"]),
)
def test_any_sheet_is_either_filled_within_its_room_or_left_to_pieces(width, height, name, hand):
    room = room_on(Paper("own", width, height))
    piece = fork.draw(preset(name, hand), room, Options())
    if piece.long:
        return
    box = piece.drawing.bounds()
    assert box.left >= -1e-9
    assert box.top >= -1e-9
    assert box.right <= room.width + 1e-9
    assert box.bottom <= room.height + 1e-9


def test_fork_shows_the_aim_where_the_line_does_not_bring_the_octave_true():
    words = " ".join(t.text for t in sheet("mandolin").drawing if isinstance(t, Text))
    assert "Aim:" not in words
    assert "as many cents as the fretted note is off." in words
    workup = preset("mandolin", tune_to='"all frets"')
    words = " ".join(fork.draw(workup, room_on(PAPERS["a4"]), Options()).said.steps)
    assert f"Aim: {workup.left_cents[0]:+.1f} cents on pair 1 E5".replace("-", "−") in words


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("name", PRESETS)
def test_grey_band_reaches_as_far_as_the_line_is_unsure(name, hand):
    drawn, workup = sheet(name, hand), preset(name, hand)
    middle, line = across(named(drawn.drawing, "datum")), named(drawn.drawing, "bridge-line")
    sure = how_sure(workup, datum_fret(drawn))
    sign = 1 if hand == "right" else -1
    for end in ("treble", "bass"):
        for run in named(drawn.drawing, f"band-{end}").runs:
            assert len(run) == 4
            for x, y in run:
                half = float(sure.band_mm(np.array([sign * (x - middle)]))[0])
                assert 0.3 < half < (14 if name == "cello-banjo" else 12), "half of it at the strings"
                assert abs(y - line_at(line, x)) == pytest.approx(half, abs=UM)
            above = [y < line_at(line, x) for x, y in run]
            assert above == [True, True, False, False]


def test_band_lies_behind_its_line_in_both_formats():
    drawn = [item.id for item in sheet("mandolin").drawing]
    assert drawn.index("band-treble") < drawn.index("bridge-line")
    svg = to_svg(sheet("mandolin"), "t", "s").decode()
    assert svg.index('id="band-treble"') < svg.index('id="bridge-line"')


def test_nothing_grey_is_drawn_where_nothing_is_unsure(monkeypatch):
    """No file can say that, because nobody knows how nut and saddle hold a string."""
    workup = preset("mandolin")
    sure = how_sure(workup)
    exact = replace(sure, effects_mm={source: 0 * effect for source, effect in sure.effects_mm.items()})
    monkeypatch.setattr("jigs.templates.fork_plan.how_sure", lambda *_: exact)
    piece = fork.draw(workup, room_on(PAPERS["a4"]), Options())
    assert not [item for item in piece.drawing if item.role is Role.BAND]


def test_very_unsure_line_still_leaves_the_words_alone():
    text = preset_text("mandolin") + "[tolerance]\nscale = 9.0\nlaying = 5.0\n"
    workup = work_up(parse(text.encode(), "x"))
    drawn, *_ = lay_out(workup, templates()["fork"], PAPERS["a3"], Options())
    assert_clear(drawn.drawing)


def test_words_for_the_feet_are_below_feet_that_are_too_short_for_them():
    short = work_up(parse(with_short_bridge().encode(), "x.toml"))
    for laid in lay_out(short, templates()["fork"], PAPERS["a4"], Options()):
        assert_clear(laid.drawing)


def with_short_bridge():
    """The mandolin with a bridge as short as a file may have it."""
    text = preset_text("mandolin")
    for key, mm in (("length", 20.0), ("spacing", 15.0)):
        text = re.sub(rf"(?m)^({key}\s*=) [0-9.]+", rf"\g<1> {mm}", text)
    return text
