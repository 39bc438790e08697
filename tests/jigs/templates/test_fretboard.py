"""The fretboard: every slot, dot and string at its place, nothing to cut outside its outline, and its words."""

import re
from itertools import pairwise

import numpy as np
import pytest
from boards import level, new_mandolin, piece, with_nut, without_board, words
from instruments import edited
from samples import HANDS, PRESETS, ROOT, assert_clear, named, pieces, preset, run
from shapely import Point, Polygon

from jigs.drawing.items import STYLES, Circle, Layer, Text
from jigs.export.pdf import to_pdf
from jigs.export.svg import to_svg
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

UM = 1e-3


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
    assert peg.start[1] == peg.end[1] == pytest.approx(fret - workup.instrument.strings[4].peg, abs=UM)
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
        sheets = lay_out(workup, templates()["fretboard"], PAPERS["a4"], Options(to_bridge=True))
        assert "Short marks: each string leaves its nut there." in " ".join(words(sheet.drawing) for sheet in sheets)
        for sheet in sheets:
            assert_clear(sheet.drawing)


def test_board_with_a_zero_fret_says_what_its_distances_count_from():
    workup = with_nut("banjo", "zero_fret = true", nut=0.0)
    sheets = lay_out(workup, templates()["fretboard"], PAPERS["a4"], Options())
    shown = " ".join(words(sheet.drawing) for sheet in sheets)
    assert "mm from the zero fret" in shown
    assert "Leave wood beyond the zero fret." in shown
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


def test_body_is_named_below_the_number_of_its_fret_and_explained():
    board = piece(new_mandolin(), "fretboard")
    (word,) = (item for item in board if isinstance(item, Text) and item.text == "body")
    assert level(named(board, "fret-15")) < word.at[1] - word.height_mm < word.at[1] < level(named(board, "fret-16"))
    sheets = lay_out(new_mandolin(), templates()["fretboard"], PAPERS["a4"], Options())
    assert "Fret 15, marked body: the neck joins the body there." in " ".join(words(sheet.drawing) for sheet in sheets)


def test_body_is_named_beside_its_fret_where_slots_are_crowded():
    board = piece(edited("mandolin", {"frets": 24}, board={"joint_fret": 22}), "fretboard")
    (word,) = (item for item in board if isinstance(item, Text) and item.text == "body")
    assert word.at[1] - word.height_mm / 2 == pytest.approx(level(named(board, "fret-22")))
    assert_clear(board)


TO_CUT = {Layer.CUT, Layer.SCORE, Layer.DRILL, Layer.ENGRAVE}
NUTS = ({}, {"steps": [0.3, 0.0, 0.5, 0.2]})


def outside_mm(board):
    """How far anything that a cutter would follow lies outside the board's outline."""
    outline = Polygon(named(board, "board").runs[0])
    cut = [item for item in board if not isinstance(item, Text) and STYLES[item.role].layer in TO_CUT]
    assert len(cut) > 20
    far = [outline.distance(Point(x, y)) for x1, y1, x2, y2 in pieces(cut) for x, y in ((x1, y1), (x2, y2))]
    dots = [outline.exterior.distance(Point(dot.centre)) - dot.radius for dot in cut if isinstance(dot, Circle)]
    assert not dots or min(dots) > 0
    return max(far)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_nothing_that_a_cutter_follows_lies_outside_the_board(name, hand):
    for to_bridge in (False, True):
        assert outside_mm(piece(preset(name, hand), "fretboard", to_bridge=to_bridge)) < 1e-9


@pytest.mark.parametrize("nut", NUTS)
@pytest.mark.parametrize("tune_to", ["octave", "nut and saddle"])
def test_nut_marks_and_wide_slots_end_at_the_boards_edge_too(nut, tune_to):
    workup = edited("mandolin", nut=nut, compensation={"tune_to": tune_to}, board={"slot": 0.55, "joint_fret": 15})
    assert outside_mm(piece(workup, "fretboard")) < 1e-9


def test_dots_can_be_drilled():
    dots = [item for item in piece(preset("mandolin"), "fretboard") if isinstance(item, Circle)]
    assert {STYLES[dot.role].layer for dot in dots} == {Layer.DRILL}


@pytest.mark.parametrize(
    ("name", "usual"), [("banjo", 10), ("mandolin", 10), ("archtop-guitar", 9), ("flat-top-guitar", 9)]
)
def test_guitar_has_a_dot_at_9_and_a_banjo_or_mandolin_at_10(name, usual):
    named_so = {item.id for item in piece(preset(name), "fretboard") if isinstance(item, Circle)}
    assert {f"dot-{fret}" for fret in (9, 10)} & named_so == {f"dot-{usual}"}


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_sheet_says_how_to_join_the_pieces_before_they_are_glued_on(name, hand):
    sheets = lay_out(preset(name, hand), templates()["fretboard"], PAPERS["a4"], Options())
    shown = " ".join(words(sheet.drawing) for sheet in sheets)
    in_pieces = any(item.id.startswith("joint-") for item in sheets[0].drawing)
    assert ("A on A. Tape it." in shown) is in_pieces
    if in_pieces:
        assert shown.index("through its crosses.") < shown.index("Tape it.") < shown.index("Glue the paper on")
    assert shown.count("Fretboard: saw the slots here") == len(sheets)


def test_left_handed_board_is_the_mirror_image():
    right, left = (piece(preset("banjo", hand), "fretboard") for hand in ("right", "left"))
    for name in ("string-1", "string-5", "fret-7", "board"):
        here, there = named(right, name), named(left, name)
        assert [[(-x, y) for x, y in run_] for run_ in here.runs] == [list(run_) for run_ in there.runs]


def test_pdf_is_one_file_of_many_pages_and_svg_a_file_for_each(tmp_path):
    run("draw", "banjo", "fretboard", "--out", tmp_path)
    names = sorted(path.name for path in tmp_path.iterdir())
    pages = (tmp_path / "banjo-fretboard.pdf").read_bytes().count(b"/Type /Page\n")
    assert pages > 1
    assert names == sorted(["banjo-fretboard.pdf", *(f"banjo-fretboard-{n}.svg" for n in range(1, pages + 1))])


def test_untiled_svg_is_one_file(tmp_path):
    run("draw", "banjo", "fretboard", "--untiled", "--format", "svg", "--out", tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["banjo-fretboard.svg"]


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
