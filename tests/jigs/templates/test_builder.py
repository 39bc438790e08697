"""A builder's sheets: fretboard, spacing rules, crown, and boards whose frets follow other rules."""

import json
import re
from itertools import pairwise

import numpy as np
import pytest
from samples import PRESETS, ROOT, SMALL_FILE, assert_clear, named, preset, run

from jigs.drawing.items import Circle, Text
from jigs.export.pdf import to_pdf
from jigs.export.svg import to_svg
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS, room_on
from jigs.templates.catalogue import CUT_FROM_STOCK
from jigs.templates.crown import break_points_mm, spread_in_words
from jigs.templates.options import Options
from jigs.templates.spacing import rules
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

UM = 1e-3
OCTAVE = 2 ** (1 / 12)


def piece(workup, template, **options):
    return templates()[template].draw(workup, room_on(PAPERS["a4"]), Options(**options)).drawing


def level(item):
    ys = {y for run in item.runs for _, y in run}
    return sum(ys) / len(ys)


def words(drawn):
    return " ".join(item.text for item in drawn if isinstance(item, Text)).replace("\N{NO-BREAK SPACE}", " ")


def without_board(name):
    """A preset's file without its [board] table."""
    head, _, rest = preset_text(name).partition("[board]")
    return head + "[bridge]" + rest.partition("[bridge]")[2]


def new_mandolin():
    path = ROOT / "jigs" / "demo" / "new-mandolin.toml"
    return work_up(parse(path.read_bytes(), path.name))


@pytest.mark.parametrize("name", PRESETS)
def test_every_slot_is_at_its_place_with_its_number_and_distance(name):
    workup, board = preset(name), piece(preset(name), "fretboard")
    texts = [item for item in board if isinstance(item, Text)]
    rule, frets = workup.instrument.head.fret_rule, range(1, workup.instrument.head.frets + 1)
    for n, cents in zip(frets, [100 * n for n in frets] if rule == "equal" else rule, strict=True):
        wanted = workup.scale_mm * (1 - 2 ** (-cents / 1200))
        assert level(named(board, f"fret-{n}")) == pytest.approx(wanted, abs=UM)
        assert any(t.text == str(n) and abs(t.at[1] - wanted) < 3 for t in texts)
        assert any(t.text == f"{wanted + 1e-9:.2f}" and abs(t.at[1] - wanted) < 3 for t in texts)


def test_slot_is_drawn_as_two_lines_its_width_apart_when_asked():
    board = piece(new_mandolin(), "fretboard")
    runs = named(board, "fret-7").runs
    assert len(runs) == 2
    assert runs[1][0][1] - runs[0][0][1] == pytest.approx(0.55)
    assert len(named(piece(preset("mandolin"), "fretboard"), "fret-7").runs) == 1


def test_board_is_as_wide_as_measured_at_nut_and_end():
    board = piece(new_mandolin(), "fretboard")
    corners = named(board, "board").runs[0]
    nut, end = min(y for _, y in corners), max(y for _, y in corners)
    widths = {edge: np.ptp([x for x, y in corners if y == edge]) for edge in (nut, end)}
    assert widths[end] == pytest.approx(41.0)
    assert widths[nut] == pytest.approx(29.0, abs=0.1)
    slot = named(board, "fret-12").runs[0]
    share = slot[0][1] / end
    assert abs(slot[1][0] - slot[0][0]) == pytest.approx(29 + 12 * share, abs=0.05)


def test_width_at_fret_12_is_met_there():
    text = without_board("mandolin") + "\n[board]\nnut_width = 29\nfret_12_width = 36\n"
    board = piece(work_up(parse(text.encode(), "x")), "fretboard")
    slot = named(board, "fret-12").runs[0]
    assert abs(slot[1][0] - slot[0][0]) == pytest.approx(36.0)


def test_width_at_fret_12_is_met_beside_a_short_string_too():
    head, _, rest = preset_text("banjo").partition("[board]")
    text = head + "[board]\nnut_width = 31.8\nfret_12_width = 46\n[bridge]" + rest.partition("[bridge]")[2]
    slot = named(piece(work_up(parse(text.encode(), "x")), "fretboard"), "fret-12").runs[0]
    assert abs(slot[1][0] - slot[0][0]) == pytest.approx(46.0)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("[nut]\nspacing = 40\n", "[nut] spacing: the outer strings would be 6.5 mm outside"),
        ("[nut]\nedge = 3\nspacing = 20\n", "[nut] spacing: both [nut] spacing and [nut] edge are filled in"),
        ("[nut]\nedge = 14\n", "[nut] edge: "),
        ("[nut]\npair_gap = 0.9\n", "[nut] pair_gap: "),
        ("[bridge]\npair_gap = 0.9\n", "[bridge] pair_gap: "),
        ("[bridge]\nlength = 41\n", "[bridge] spacing: the outer strings would be 1.3 mm outside"),
        ("[board]\nend = 400\n", "[board] end: 400 mm from the nut is beyond the bridge"),
        ("[board]\ndots = 5\n", "[board] dots: 5 is not a list"),
    ],
)
def test_strings_and_boards_that_cannot_be_are_refused(tmp_path, lines, expected):
    path = tmp_path / "mine.toml"
    path.write_text((ROOT / "jigs" / "demo" / "loan-mandolin-3.toml").read_text().partition("[bridge]")[0] + lines)
    status, _, shown = run("draw", path, "fretboard", "--out", tmp_path / "out")
    assert status == 2
    assert expected in shown, shown
    assert "; " in shown


def test_peg_beyond_the_nut_is_refused(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(preset_text("banjo").replace("starts_at_fret = 5", "starts_at_fret = 2\npeg = 75"))
    status, _, shown = run("draw", path, "fretboard", "--out", tmp_path / "out")
    assert status == 2
    assert "string 5, peg: 75 mm before fret 2 is beyond the nut" in shown


def test_numbers_are_outside_a_board_that_does_not_widen():
    text = without_board("mandolin") + "\n[board]\nnut_width = 46\nend_width = 46\n"
    for sheet in lay_out(work_up(parse(text.encode(), "x")), templates()["fretboard"], PAPERS["a4"], Options()):
        assert_clear(sheet.drawing)
    one = 'name = "x"\nscale = 600\n[[strings]]\nnote = "G3"\ngauge = 0.3\n'
    for sheet in lay_out(work_up(parse(one.encode(), "x")), templates()["fretboard"], PAPERS["a4"], Options()):
        assert_clear(sheet.drawing)


@pytest.mark.parametrize("scale", [350, 400, 450, 520, 600])
def test_pegs_word_is_clear_on_necks_of_any_length(scale):
    number = round(69 + 12 * np.log2(150 / (scale / 1000) / 440))
    names = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"]
    notes = [f"{names[n % 12]}{n // 12 - 1}" for n in (number, number, number + 5)]
    text = f'name = "x"\nkind = "banjo"\nscale = {scale}\n' + "".join(
        f'[[strings]]\nnote = "{note}"\ngauge = 0.3\n' for note in notes
    )
    workup = work_up(parse((text + "starts_at_fret = 5\n").encode(), "x"))
    for sheet in lay_out(workup, templates()["fretboard"], PAPERS["a4"], Options()):
        assert_clear(sheet.drawing)


def test_crowded_frets_keep_their_numbers_beside_their_own_slots():
    text = 'name = "x"\nscale = 300\nfrets = 36\n[[strings]]\nnote = "G4"\ngauge = 0.3\n[board]\nnut_width = 30\n'
    board = piece(work_up(parse(text.encode(), "x")), "fretboard")
    for n in range(1, 37):
        base = next(i.at[1] for i in board if isinstance(i, Text) and i.text == str(n))
        assert abs(base - 1.25 - level(named(board, f"fret-{n}"))) < 0.01
    assert_clear(board)


def test_strings_nut_of_a_short_string_is_moved_by_its_own_setback():
    workup = preset("banjo", tune_to='"nut and saddle"')
    board = piece(workup, "fretboard")
    moved = named(board, "nut-5").start[1] - level(named(board, "fret-5"))
    assert moved == pytest.approx(-workup.setbacks.nut_setback_mm[4])
    assert named(board, "string-5").runs[0][0][1] - level(named(board, "fret-5")) == pytest.approx(moved)


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


def test_strings_taper_from_nut_spacing_to_bridge_spacing():
    workup = preset("tenor-banjo")
    board = piece(workup, "fretboard", to_bridge=True)
    first, last = (named(board, f"string-{n}").runs[0] for n in (1, 4))
    assert first[0][0] - last[0][0] == pytest.approx(workup.instrument.nut.spacing)
    for n, run_ in ((0, first), (3, last)):
        (x0, y0), (x1, y1) = run_
        at_bridge = x0 + (x1 - x0) * (workup.scale_mm - y0) / (y1 - y0)
        assert at_bridge == pytest.approx(workup.across_mm[n])
        assert y1 == pytest.approx(float(workup.line.at(workup.across_mm[n])), abs=UM)


def test_dots_lie_in_the_middle_between_their_fret_and_the_one_before():
    board = piece(preset("mandolin"), "fretboard")
    dots = [item for item in board if isinstance(item, Circle)]
    assert sorted({int(dot.id.split("-")[1]) for dot in dots}) == [5, 7, 10, 12, 15, 17]
    for dot in dots:
        fret = int(dot.id.split("-")[1])
        above, below = (level(named(board, f"fret-{n}")) for n in (fret - 1, fret))
        assert dot.centre[1] == pytest.approx((above + below) / 2)
        assert above < dot.centre[1] - dot.radius < dot.centre[1] + dot.radius < below


def test_short_string_has_its_nut_at_its_fret_and_its_peg_before_it():
    workup, board = preset("banjo"), piece(preset("banjo"), "fretboard")
    nut, peg, string = (named(board, name) for name in ("nut-5", "peg-5", "string-5"))
    fret = level(named(board, "fret-5"))
    assert nut.start[1] == nut.end[1] == pytest.approx(fret)
    assert (nut.start[0] + nut.end[0]) / 2 == pytest.approx(string.runs[0][0][0])
    assert string.runs[0][0][1] == pytest.approx(fret)
    assert level(peg) == pytest.approx(fret - workup.instrument.strings[4].peg, abs=UM)
    left = min(x for x, _ in named(board, "fret-7").runs[0])
    assert left < string.runs[0][0][0] - 1, "the board must reach under the short string"


def test_nut_end_is_cut_where_the_objective_wants_it():
    workup, board = new_mandolin(), piece(new_mandolin(), "fretboard")
    cut, left = workup.square_nut
    assert left > workup.left_rms_cents.min()
    assert cut == pytest.approx(-workup.setbacks.nut_setback_mm.mean())
    assert cut > 0.1
    assert min(y for _, y in named(board, "board").runs[0]) == pytest.approx(cut)
    assert named(board, "nut-theoretical").start[1] == 0
    for n in range(4):
        assert named(board, f"nut-{n + 1}").start[1] == pytest.approx(-workup.setbacks.nut_setback_mm[n])
    plain = piece(preset("mandolin"), "fretboard")
    assert min(y for _, y in named(plain, "board").runs[0]) == 0
    assert not [item for item in plain if item.id == "nut-theoretical"]


def with_nut(name, lines, **edits):
    """A preset with these lines in its [nut] table."""
    text = preset_text(name).replace("[nut]", f"[nut]\n{lines}", 1)
    for key, value in edits.items():
        text = re.sub(rf"(?m)^{key} *=.*$", f"{key} = {value}", text)
    return work_up(parse(text.encode(), "mine.toml"))


def test_compensated_nut_that_is_there_leaves_the_boards_end_alone_and_has_each_strings_own_end():
    steps = (0.0, 0.3, 0.5, 0.2, 0.1)
    for hand in ("right", "left"):
        workup = with_nut("banjo", f"steps = {list(steps)}", hand=f'"{hand}"')
        board = piece(workup, "fretboard")
        assert min(y for _, y in named(board, "board").runs[0]) == 0
        assert not [item for item in board if item.id == "nut-theoretical"]
        for n, step in enumerate(steps, 1):
            start = step if n < 5 else level(named(board, "fret-5")) + step
            assert named(board, f"nut-{n}").start[1] == pytest.approx(start)
            assert named(board, f"string-{n}").runs[0][0][1] == pytest.approx(start)
        assert "short marks: nut ends" in words(board)
        for sheet in lay_out(workup, templates()["fretboard"], PAPERS["a4"], Options(to_bridge=True)):
            assert_clear(sheet.drawing)


def test_board_with_a_zero_fret_says_what_its_distances_count_from():
    workup = with_nut("banjo", "zero_fret = true", nut=0.0)
    sheets = lay_out(workup, templates()["fretboard"], PAPERS["a4"], Options())
    shown = " ".join(words(sheet.drawing) for sheet in sheets)
    assert "mm from the zero fret" in shown
    assert "leave wood beyond this end" in shown
    assert "from the nut" not in shown
    for sheet in sheets:
        assert_clear(sheet.drawing)


@pytest.mark.parametrize(("places", "double"), [((7, 14), [7, 14]), ((8, 16), [8, 16]), ((8, 15), [8, 15])])
def test_double_dots_are_where_the_octaves_are(places, double):
    """Diatonic boards: plain, with the half fret between 6 and 7, and with it in the first octave only."""
    first = [200, 400, 500, 700, 900, 1000, *([1100] if places[0] == 8 else []), 1200]
    second = [1400, 1600, 1700, 1900, 2100, 2200, *([2300] if places[1] == 16 else []), 2400]
    cents = first + second
    text = (
        f'name = "x"\nscale = 685\nfrets = {len(cents)}\nfret_rule = {cents}\n[[strings]]\nnote = "D4"\ngauge = 0.3\n'
    )
    text += f"[board]\nnut_width = 40\ndots = [3, 5, {places[0]}, 10, 12, {places[1]}]\n"
    board = piece(work_up(parse(text.encode(), "x")), "fretboard")
    of = [int(dot.id.split("-")[1]) for dot in board if isinstance(dot, Circle)]
    assert sorted({fret for fret in of if of.count(fret) == 2}) == double


def test_square_nut_leaves_a_short_string_on_its_own_nut():
    workup = preset("banjo", tune_to='"nut and saddle"')
    from geometry.fretting import error_cents

    cut, worst = workup.square_nut
    nuts = np.array([-cut] * 4 + [workup.setbacks.nut_setback_mm[4]])
    back = workup.line.at(workup.across_mm) - workup.scale_mm
    rms = [
        float(np.sqrt(np.mean(row[own][:12] ** 2)))
        for row, own in zip(error_cents(workup.model, back, nuts), workup.model.has_fret, strict=True)
    ]
    assert worst == pytest.approx(max(rms))


def test_body_joint_is_marked_at_its_fret():
    board = piece(new_mandolin(), "fretboard")
    assert level(named(board, "body-joint")) == pytest.approx(level(named(board, "fret-15")))
    slot = [x for x, _ in named(board, "fret-15").runs[0]]
    assert all(x <= min(slot) or x >= max(slot) for run_ in named(board, "body-joint").runs for x, _ in run_)
    assert "joint 15" in words(board)


def test_left_handed_board_is_the_mirror_image():
    right, left = (piece(preset("banjo", hand), "fretboard") for hand in ("right", "left"))
    for name in ("string-1", "string-5", "fret-7", "board"):
        here, there = named(right, name), named(left, name)
        assert [[(-x, y) for x, y in run_] for run_ in here.runs] == [list(run_) for run_ in there.runs]


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


def test_pdf_is_one_file_of_many_pages_and_svg_a_file_for_each(tmp_path):
    run("draw", "banjo", "fretboard", "--out", tmp_path)
    names = sorted(path.name for path in tmp_path.iterdir())
    pages = (tmp_path / "banjo-fretboard.pdf").read_bytes().count(b"/Type /Page\n")
    assert pages > 1
    assert names == sorted(["banjo-fretboard.pdf", *(f"banjo-fretboard-{n}.svg" for n in range(1, pages + 1))])


def test_untiled_svg_is_one_file(tmp_path):
    run("draw", "banjo", "fretboard", "--untiled", "--format", "svg", "--out", tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["banjo-fretboard.svg"]


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


def test_board_in_both_formats_has_the_same_dots():
    """Circles, read back from SVG; in PDF they are there as curves."""
    import xml.etree.ElementTree as ET

    (sheet,) = lay_out(preset("mandolin"), templates()["fretboard"], PAPERS["a3"], Options())
    svg = ET.fromstring(to_svg(sheet, "t", "s"))
    circles = [item for item in svg.iter() if item.tag.endswith("circle")]
    drawn = [item for item in sheet.drawing if isinstance(item, Circle)]
    assert len(circles) == len(drawn) == 7
    for mine, theirs in zip(drawn, circles, strict=True):
        assert (float(theirs.get("cx")), float(theirs.get("cy"))) == pytest.approx(mine.centre, abs=UM)
        assert float(theirs.get("r")) == pytest.approx(mine.radius, abs=UM)
    assert len(re.findall(rb" c[ \n]", to_pdf([sheet], "t", "s"))) >= 4 * len(drawn)


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


def test_board_steps_out_for_a_short_string_just_before_its_nut():
    board = piece(preset("banjo"), "fretboard")
    corners = named(board, "board").runs[0]
    step = [b for a, b in pairwise(corners) if a[1] == b[1] and a[0] < 0 and b[0] < 0]
    assert len(step) == 1
    fret_4, fret_5 = (level(named(board, f"fret-{n}")) for n in (4, 5))
    assert fret_4 < step[0][1] < fret_5 - 1
    assert fret_5 - step[0][1] < 6
    narrow = min(x for x, _ in named(board, "fret-4").runs[0])
    assert step[0][0] == pytest.approx(narrow, abs=0.3)


def test_board_ends_half_a_step_behind_its_last_fret_unless_measured():
    workup, board = preset("mandolin"), piece(preset("mandolin"), "fretboard")
    last, before = workup.from_nut_mm[-1], workup.from_nut_mm[-2]
    assert max(y for _, y in named(board, "board").runs[0]) == pytest.approx(last + (last - before) / 2)
    text = without_board("mandolin") + "\n[board]\nnut_width = 30\nend = 260\n"
    measured = piece(work_up(parse(text.encode(), "x")), "fretboard")
    assert max(y for _, y in named(measured, "board").runs[0]) == 260


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
