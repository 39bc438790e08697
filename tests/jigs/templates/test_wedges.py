"""Wedges set an end of the feet to a cent: read from the files to cut, laid together, and measured."""

import functools
import re

import numpy as np
import pytest
from instruments import edited
from pages import faults_of
from readers import UM
from samples import HANDS, PRESETS, WALL, filed, measured, preset, run, words_of
from wedge_shapes import edges_of_wedge, face_when_set, laid, long_edges, marks_of, off_and_turned, shoulder

from geometry.wedges import Wedge
from jigs.cutting.cutter import Cutter
from jigs.instrument.file import load
from jigs.press import press
from jigs.press.layout import lay_out
from jigs.press.order import Order
from jigs.sheets.paper import PAPERS
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.wedges import set_by_wedges
from jigs.workup.work_up import work_up

both_hands = pytest.mark.parametrize("hand", HANDS)
SAMPLED = ("banjo", "mandolin", "archtop-guitar")
ENDS = ("treble", "bass")


def files(workup, formats=("svg",), datum_fret=None, **cutter):
    options = Options(datum_fret, wedges=True, cutter=Cutter(**cutter))
    printed = press.prepare(workup, Order(("gauge",), WALL, formats, options), "x")
    return {name.rsplit(".", 1)[1]: content for name, content in printed.files.items()}


@functools.cache
def shapes(name, hand="right", kerf=0.0):
    workup = preset(name, hand=hand)
    return laid(workup, files(workup, kerf_mm=kerf)["svg"], kerf)


@pytest.mark.slow
@both_hands
@pytest.mark.parametrize("kerf", [0.0, 0.15, 0.4])
@pytest.mark.parametrize("name", PRESETS)
def test_a_wedge_set_to_a_reading_has_its_face_at_the_place_for_these_cents(name, kerf, hand):
    """With the other end held; the other wedge does not move it, so with both set too. Kerf changes nothing."""
    gauge = shapes(name, hand, kerf)
    for end in ENDS:
        for cents in marks_of(gauge, end):
            off, turned = off_and_turned(gauge, end, cents)
            assert abs(off) < 0.01, (end, cents)
            assert turned < 0.02, (end, cents)


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in PRESETS if "banjo" not in name])
def test_the_same_on_an_arched_top_with_heights(name):
    workup = measured(name, "heights")
    gauge = laid(workup, files(workup)["svg"])
    for end in ENDS:
        assert max(abs(off_and_turned(gauge, end, cents)[0]) for cents in marks_of(gauge, end)) < 0.01


@both_hands
@pytest.mark.parametrize("name", PRESETS)
def test_shoulders_and_wedges_lean_alike_and_no_more_than_one_in_four(name, hand):
    gauge = shapes(name, hand)
    for end in ENDS:
        (outer, inner), (face, slanted) = shoulder(gauge, end), edges_of_wedge(gauge, end)
        across, lean = (outer - inner) / gauge.along, slanted[1] - slanted[0]
        taper = abs(lean.imag / lean.real)
        assert abs(across.imag / across.real) == pytest.approx(taper, abs=1e-5)
        assert 0.1 - 1e-5 < taper < 0.25 + 1e-5
        assert abs(face[1] - face[0]) <= 110 + UM
        assert abs(face[0].imag - face[1].imag) < UM


@pytest.mark.parametrize("name", PRESETS)
def test_scale_is_never_finer_than_a_millimetre_and_a_half_and_zero_is_marked(name):
    gauge = shapes(name)
    for end in ENDS:
        marks = marks_of(gauge, end)
        assert marks == list(range(marks[0], marks[-1] + 1))
        assert 0 in marks
        assert len(marks) > 8
        starts = [gauge.ticks[f"cents-{end}-{cents}"].start for cents in marks]
        assert min(abs(np.diff([start.real for start in starts]))) >= 1.5 - UM


@pytest.mark.parametrize("name", PRESETS)
def test_shoulder_stands_sixteen_cents_before_the_line_at_the_middle_of_the_leg(name):
    gauge = shapes(name)
    for end in ENDS:
        outer, inner = shoulder(gauge, end)
        face = face_when_set(gauge, end, 0)
        apart = (((outer + inner) / 2 - face[0]) / gauge.along).imag
        cent = abs(((face_when_set(gauge, end, 1)[0] - face[0]) / gauge.along).imag)
        assert apart == pytest.approx(-16 * cent, abs=0.005)


@both_hands
@pytest.mark.parametrize("name", PRESETS)
def test_wedges_meet_the_feet_drawn_out_as_far_as_they_go_and_stay_apart_pushed_in(name, hand):
    gauge = shapes(name, hand)
    half = gauge.workup.instrument.bridge.length / 2
    middle = gauge.at(0.0, gauge.workup.face_line.centre_mm)
    for end in ENDS:
        side = gauge.hand * (1 if end == "treble" else -1)
        marks = marks_of(gauge, end)
        tips = [side * ((face_when_set(gauge, end, cents)[0] - middle) / gauge.along).real for cents in marks]
        assert tips[0] <= half - 3 + 0.01
        assert tips[-1] > -0.01
        stop = gauge.ticks[f"stop-{end}"]
        assert stop.start.real == pytest.approx(gauge.ticks[f"cents-{end}-{marks[-1]}"].start.real, abs=UM)
        thin = min(abs(b - a) for a, b in long_edges(gauge.parts[f"wedge-{end}"], 1.0))
        assert thin >= 1.2 - UM


@both_hands
def test_pushed_in_is_sharp_and_sharp_is_away_from_the_nut(hand):
    gauge = shapes("mandolin", hand)
    for end in ENDS:
        low, high = (face_when_set(gauge, end, cents)[0] for cents in (-5, 5))
        assert high.imag > low.imag
        assert abs(high.real - gauge.middle) < abs(low.real - gauge.middle)


def test_wedges_do_not_lie_on_the_gauge_or_on_each_other_in_the_file():
    from shapely import Polygon

    for name in PRESETS:
        gauge = shapes(name, "left", 0.4)
        parts = [Polygon([(p.real, p.imag) for p in part]).buffer(0.2) for part in gauge.parts.values()]
        assert len(parts) == 3
        assert all(a.distance(b) > 2 for n, a in enumerate(parts) for b in parts[:n])


def test_with_feet_that_have_gaps_a_tip_never_reaches_the_next_foot():
    workup = measured("banjo", "feet")
    gauge = laid(workup, files(workup)["svg"])
    bridge, middle = workup.instrument.bridge, gauge.at(0.0, workup.face_line.centre_mm)
    next_foot = bridge.foot / 2  # of three, the middle one
    for end in ENDS:
        face = face_when_set(gauge, end, marks_of(gauge, end)[-1])
        assert abs(((face[0] - middle) / gauge.along).real) > next_foot


def drawn_words(name, paper, hand="right"):
    sheets = lay_out(preset(name, hand=hand), templates()["gauge"], PAPERS[paper], Options(wedges=True))
    return " ".join(words_of(sheet.drawing) for sheet in sheets), sheets


@pytest.mark.slow
@both_hands
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", SAMPLED)
def test_nothing_lies_over_anything_else_on_any_page(name, paper, hand):
    options = Options(wedges=True)
    printed = press.prepare(preset(name, hand=hand), Order(("gauge",), PAPERS[paper], ("pdf",), options), "x")
    assert list(faults_of(printed.files["x-gauge.pdf"])) == []


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", PRESETS)
def test_page_has_all_three_parts_once_and_says_what_to_do(name, paper):
    words, sheets = drawn_words(name, paper)
    ids = [item.id for sheet in sheets for item in sheet.drawing]
    for one in ("wedge-treble", "wedge-bass"):
        assert ids.count(one) == 1
    assert "Set both wedges as it says" in words
    assert "Keep the place: jigs keep FILE" in words


@pytest.mark.parametrize("untiled", [False, True])
def test_a_gauge_that_is_joined_from_pieces_still_has_its_wedges(untiled):
    options = Options(wedges=True, datum_fret=9)
    sheets = lay_out(preset("banjo"), templates()["gauge"], PAPERS["a4"], options, untiled)
    ids = [item.id for sheet in sheets for item in sheet.drawing]
    assert (ids.count("wedge-treble"), ids.count("wedge-bass")) == (1, 1)


def test_sheet_that_only_shows_the_wedges_in_use_says_that_it_is_not_to_scale():
    _, (parts, in_use) = drawn_words("mandolin", "a4")
    assert (parts.title.scale, in_use.title.scale) == ("1:1", "")
    assert not [item for item in in_use.drawing if item.id.startswith("ruler")]


def test_option_draws_wedges_from_the_command_line_and_says_where_it_has_no_effect(tmp_path):
    assert run("draw", "mandolin", "gauge", "--wedges", "--format", "svg,dxf", "--out", tmp_path)[0] == 0
    assert b"wedge-treble" in (tmp_path / "mandolin-gauge.svg").read_bytes()
    status, _, shown = run("draw", "mandolin", "fork", "--wedges", "--out", tmp_path)
    assert (status, "applies to gauge" in shown) == (0, True)
    plain = tmp_path / "plain"
    run("draw", "mandolin", "gauge", "--format", "svg", "--out", plain)
    assert b"wedge-" not in (plain / "mandolin-gauge.svg").read_bytes()


def test_gauge_says_which_line_its_zero_is(tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text(filed("mandolin"), encoding="utf-8")
    assert "Zero is the computed line." in drawn_words("mandolin", "a4")[0]
    run("keep", mine, "--at", "355.9 / 356.0", "--date", "2026-11-25")
    sheets = lay_out(work_up(load(mine)), templates()["gauge"], PAPERS["a4"], Options(wedges=True))
    assert "Zero is the found line." in " ".join(words_of(sheet.drawing) for sheet in sheets)


def refused(tmp_path, text, *more):
    mine = tmp_path / "mine.toml"
    mine.write_text(text, encoding="utf-8")
    status, _, wrong = run("draw", mine, "gauge", "--wedges", "--out", tmp_path / "out", *more)
    assert not (tmp_path / "out").exists()
    return status, wrong


def test_feet_without_room_for_wedges_are_refused_with_what_would_do(tmp_path):
    text = filed("mountain-dulcimer").replace("= 38.0", "= 28.0").replace("= 30.0", "= 22.0")
    status, wrong = refused(tmp_path, text)
    assert status == 2
    assert "[bridge] length" in wrong
    assert "28 mm of base is too short" in wrong
    least = float(re.search(r"they need ([\d.]+) mm of base or more", wrong)[1])
    fits = edited("mountain-dulcimer", bridge={"length": least, "spacing": 22.0}, nut={"spacing": 22.0})
    short = edited("mountain-dulcimer", bridge={"length": least - 1, "spacing": 22.0}, nut={"spacing": 22.0})
    assert (set_by_wedges(fits) is None, set_by_wedges(short) is None) == (False, True)


def test_wedges_that_would_reach_over_the_tension_hoop_are_refused(tmp_path):
    text = filed("banjo", "head")
    assert refused(tmp_path, re.sub(r"(?m)^head .*", 'head = "8 in"', text))[0] in (0, 2)
    status, wrong = refused(tmp_path, re.sub(r"(?m)^head .*", "head = 180", text))
    assert status == 2
    assert "over the tension hoop" in wrong
    assert "without --wedges" in wrong


def test_kerf_that_fills_the_notch_and_a_fret_that_is_not_there_are_refused(tmp_path):
    assert refused(tmp_path, filed("mandolin"), "--kerf", "2")[0] == 2
    status, wrong = refused(tmp_path, filed("mandolin"), "--datum-fret", "40")
    assert (status, "there is no fret 40" in wrong) == (2, True)


@pytest.mark.parametrize("more", [(), ("--wedges",)])
def test_stock_that_does_not_slip_under_the_strings_is_noted_with_what_would(tmp_path, more):
    status, _, noted = run("draw", "mandolin", "gauge", "--stock", 3, "--format", "dxf", "--out", tmp_path, *more)
    assert status == 0
    assert (
        "--stock: stock of 3 mm does not slip under the strings at fret 20; slacken them, or take stock thinner"
        in noted
    )
    assert "--stock" not in run("draw", "mandolin", "gauge", "--format", "dxf", "--out", tmp_path, *more)[2]


def test_a_wedge_knows_its_scale():
    assert Wedge(0.25, 0.125, 30.0).scale_mm == 2.0
