"""The pattern for a new bridge: every string gets its action, bears where it should, and the sheets can be worked from."""

import math
import re
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import pytest
from every_page import wrong_with
from instruments import edited
from odd_instruments import ODD
from readers import UM, dxf_document, dxf_loops, svg_layer, svg_loops
from samples import HANDS, PRESETS, cut_files, faults_are_sentences, named, preset, run, words_of
from scipy.optimize import brentq
from shapely import Polygon

from jigs.cutting.cutter import Cutter
from jigs.drawing.items import Text
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.press.layout import lay_out
from jigs.sheets.paper import PAPERS
from jigs.templates.blank_plan import blank_parts
from jigs.templates.blank_words import blank_words
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

TWO_PIECE = [name for name in PRESETS if "banjo" not in name and name not in ("flat-top-guitar", "mountain-dulcimer")]
MEASURED = {
    "banjo": {"bridge": {"height": 15.9, "feet": 3, "foot": 12.0, "crown": 4.5}, "board": {"radius": 406.4}},
    "mandolin": {"bridge": {"height": 19.0, "feet": 2, "foot": 40.0}, "board": {"radius": 304.8}},
    "flat-top-guitar": {"bridge": {"height": 12.5}, "board": {"radius": 250.0}},
}


def filled(name, hand="right"):
    return edited(name, head={"hand": hand}, **MEASURED[name])


def sheets_of(workup, paper="a4", **options):
    return lay_out(workup, templates()["blank"], PAPERS[paper], Options(**options))


def said_on(sheets):
    return " ".join(words_of(sheet.drawing) for sheet in sheets)


def part_of(workup, **cutter):
    return templates()["blank"].part(workup, Options(cutter=Cutter(**cutter)))


class Single(NamedTuple):
    name: str
    index: int
    entry: object
    at_nut: float
    at_bridge: float


def singles(workup):
    """Every single string: its entry and its places at nut and bridge, a short one's at the board's edge at most."""
    half = workup.instrument.board.nut_width / 2
    for n, entry in enumerate(workup.instrument.strings):
        for side, letter in enumerate("ab" if entry.pair else ("",)):
            at_nut = min(max(float(workup.nut_places_mm[n, side]), -half), half)
            yield Single(f"{n + 1}{letter}", n, entry, at_nut, float(workup.bridge_places_mm[n, side]))


def underside_mm(workup, at_nut, at_bridge):
    """Height of a string at the bridge over one in the middle that has the action of the file over round fret tops.

    The fret tops are searched on their circle, and the height at the bridge by raising it until fret 12 has the action.
    """
    action, radius = workup.instrument.action, workup.instrument.board.radius

    def fret_top(x):
        return brentq(lambda z: math.hypot(x, z + radius) - radius, -radius, 1e-9, xtol=1e-13)

    def over_fret_12(z, x_nut, x_bridge):
        start = action.nut + fret_top(x_nut)
        return (start + z) / 2 - (fret_top((x_nut + x_bridge) / 2) - action.relief)

    def needed(x_nut, x_bridge):
        return brentq(lambda z: over_fret_12(z, x_nut, x_bridge) - action.fret_12, -60, 60, xtol=1e-13)

    return needed(at_nut, at_bridge) - needed(0.0, 0.0)


def loop_named(loops, name):
    (found,) = [loop for loop in loops if loop.name == f"blank-{name}"]
    return found


# ---- the height profile


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", MEASURED)
def test_every_string_on_the_profile_has_the_action_of_the_file_at_fret_12(name, hand):
    """Half a string over the bottom of its slot is the edge. From the nut the treble side is at the left."""
    workup = filled(name, hand)
    profile = loop_named(svg_loops(cut_files("blank", workup, formats="svg")["svg"]), "profile")
    left, _, right, foot = profile.box
    middle, toward_treble = (left + right) / 2, -1 if hand == "right" else 1
    apart = re.search(r"lower edge lies (\d+) mm below a string in the middle", said_on(sheets_of(workup)))
    low = float(apart[1]) if apart else workup.instrument.bridge.height
    for one in singles(workup):
        over = low + underside_mm(workup, one.at_nut, one.at_bridge) + one.entry.gauge / 2
        point = complex(middle + toward_treble * one.at_bridge, foot - over)
        assert profile.distance_mm(np.array([point])).max() < 2 * UM


def test_flat_board_gives_a_straight_row_of_slots():
    workup = edited("banjo", bridge={"height": 15.9})
    said = said_on(sheets_of(workup))
    for one in singles(workup):
        assert f"{one.name} {one.entry.note} 15.90 mm" in said
    assert "taken as flat" in said


def test_table_has_the_heights_over_the_top_if_the_file_has_the_bridges_and_else_from_the_middle():
    for bridge, of, sign in (({"height": 19.0}, 19.0, ""), ({"height": None}, 0.0, "−")):
        workup = edited("mandolin", board={"radius": 304.8}, bridge=bridge)
        said = said_on(sheets_of(workup))
        for one in singles(workup):
            figure = of + underside_mm(workup, one.at_nut, one.at_bridge)
            assert f"{one.name} {one.entry.note} {sign}{abs(figure):.2f} mm" in said


def test_own_height_of_a_nut_slot_is_allowed_for():
    """A string 0.3 mm higher at the nut has its action with a bridge 0.3 mm lower."""
    plain, own = (edited("banjo", bridge={"height": 15.9}, strings={1: {"nut_height": high}}) for high in (None, 0.8))
    assert "2 B3 15.90 mm" in said_on(sheets_of(plain))
    assert "2 B3 15.60 mm" in said_on(sheets_of(own))


def test_without_a_height_the_shape_is_drawn_and_the_sheet_and_a_note_say_what_to_do():
    workup = preset("banjo")
    piece = part_of(workup)
    (note,) = [note for note in piece.notes if note.code == "blank-without-height"]
    assert (note.place.table, note.place.key) == ("bridge", "height")
    assert "file the middle to your bridge's height, then this curve" in said_on(sheets_of(workup))
    assert "blank-without-height" not in [note.code for note in part_of(filled("banjo")).notes]


def test_bridge_that_is_too_low_for_its_profile_is_refused_at_its_height():
    low = {"height": 6.0, "spacing": 140.0, "length": 150.0}
    workup = edited("flat-top-guitar", board={"radius": 180.0}, bridge=low)
    with pytest.raises(InputFaults) as refused:
        part_of(workup)
    (fault,) = refused.value.faults
    assert (fault.place.table, fault.place.key, fault.code) == ("bridge", "height", "profile-under-feet")
    assert fault.remedy


# ---- from above


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", MEASURED)
def test_strings_bear_where_their_setbacks_say_and_their_slots_lie_along_them(name, hand):
    workup, treble = filled(name, hand), 1 if hand == "right" else -1
    drawn = part_of(workup).drawing
    line = named(drawn, "blank-break-line").runs[0]
    across = 1j * complex(-workup.line.slope, 1.0)
    behind = []
    for one in singles(workup):
        slot = named(drawn, f"blank-slot-{one.name}")
        side = int(one.name.endswith("b"))
        spread = workup.bridge_places_mm[one.index, side] - workup.nut_places_mm[one.index, side]
        string = complex(spread, workup.scale_mm) / -across
        ran = complex(treble * (slot.end[0] - slot.start[0]), slot.end[1] - slot.start[1])
        assert ran.real / ran.imag == pytest.approx(string.real / string.imag, abs=1e-9)
        setback = workup.setbacks.setback_mm[one.index]
        wanted = workup.scale_mm + setback - float(workup.line.at(workup.across_mm[one.index]))
        behind.append(line_level(line, treble * one.at_bridge) - wanted * abs(across.real) / abs(across))
    assert np.ptp(behind) < 2 * UM


def line_level(run, x):
    """Level of a stepped line at x."""
    for (x1, y1), (x2, y2) in pairwise(run):
        if y1 == y2 and min(x1, x2) <= x <= max(x1, x2):
            return y1
    raise AssertionError(f"the line does not go over {x}")


@pytest.mark.parametrize("name", PRESETS)
def test_base_and_saddle_are_apart_where_a_bridge_has_two_pieces(name):
    workup = preset(name)
    loops = {loop.name: loop for loop in svg_loops(cut_files("blank", workup, formats="svg")["svg"])}
    bridge = workup.instrument.bridge
    if name in TWO_PIECE:
        assert set(loops) == {"blank-base", "blank-saddle", "blank-profile"}
        saddle = loops["blank-saddle"].box
        assert saddle[3] - saddle[1] == pytest.approx(bridge.crown, abs=UM)
        left, top, right, foot = loops["blank-base"].box
        assert foot - top == pytest.approx(bridge.thickness, abs=UM)
    else:
        assert set(loops) == {"blank-plan", "blank-profile"}
        left, top, right, foot = loops["blank-plan"].box
        assert foot - top >= bridge.thickness - UM
    assert right - left == pytest.approx(bridge.length, abs=UM)


def test_feet_stand_under_the_profile_as_wide_as_in_the_file():
    workup = filled("banjo")
    profile = loop_named(svg_loops(cut_files("blank", workup, formats="svg")["svg"]), "profile")
    foot = profile.box[3]
    feet = [edge for edge in profile.edges if abs(edge.start.imag - foot) + abs(edge.end.imag - foot) < UM]
    assert sorted(edge.length for edge in feet) == pytest.approx([12.0, 12.0, 12.0], abs=UM)
    reach = [x for edge in feet for x in (edge.start.real, edge.end.real)]
    assert max(reach) - min(reach) == pytest.approx(72.0, abs=UM)


def test_crown_without_the_wood_is_noted_with_one_that_has_it():
    thin = preset("banjo")
    (note,) = [note for note in part_of(thin).notes if note.code == "crown-too-thin"]
    (wider,) = [part.example for part in note.remedy if hasattr(part, "example")]
    thick = edited("banjo", bridge={"crown": float(wider)})
    assert "crown-too-thin" not in [note.code for note in part_of(thick).notes]


# ---- files and sheets


@pytest.mark.parametrize(("name", "kerf"), [("banjo", 0.4), ("mandolin", 0.2), ("flat-top-guitar", 0.1)])
def test_parts_are_closed_and_true_after_the_kerf_is_removed(name, kerf):
    workup = filled(name)
    bare, cut = (cut_files("blank", workup, kerf_mm=one, formats="svg,dxf") for one in (0.0, kerf))
    for suffix, read in (("svg", svg_loops), ("dxf", dxf_loops)):
        for true, line in zip(read(bare[suffix]), read(cut[suffix]), strict=True):
            left = Polygon([(p.real, p.imag) for p in true.points()])
            outer = Polygon([(p.real, p.imag) for p in line.points()])
            assert left.is_valid
            assert outer.is_valid
            widths = np.subtract(outer.bounds[2:], outer.bounds[:2]) - np.subtract(left.bounds[2:], left.bounds[:2])
            assert widths == pytest.approx([kerf, kerf], abs=2 * UM)


def test_no_kerf_is_allowed_for_on_paper():
    workup = preset("mandolin")
    plain, kerfed = (sheets_of(workup, cutter=Cutter(kerf_mm=kerf))[0].drawing for kerf in (0.0, 0.3))
    assert plain == kerfed


def test_cut_file_has_words_on_engrave_and_slots_on_score():
    files = cut_files("blank", preset("mandolin"))
    assert sum(name.startswith("blank-slot-") for name, _, _ in svg_layer(files["svg"], "score")) == 8
    assert svg_layer(files["svg"], "engrave")
    layers = {item.dxf.layer for item in dxf_document(files["dxf"]).modelspace()}
    assert {"CUT", "SCORE", "ENGRAVE"} <= layers


@pytest.mark.parametrize("hand", HANDS)
def test_treble_is_at_the_right_from_above_and_at_the_left_from_the_nut(hand):
    """A bridge without room for words on it has them around it."""
    (sheet, _) = sheets_of(preset("mountain-dulcimer", hand))
    at = {item.text: item.at[0] for item in sheet.drawing if isinstance(item, Text) and item.at[1] < 60}
    assert {"nut", "tail", "treble", "bass"} <= set(at)
    assert (at["treble"] > at["bass"]) == (hand == "right")
    for part in blank_parts(preset("mandolin", hand)):
        x = {item.text: item.at[0] for item in part.words}
        assert {"treble", "bass"} <= set(x)
        assert (x["treble"] > x["bass"]) == ((hand == "right") != (part.name == "profile"))


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", ["banjo", "mandolin"])
def test_sheets_can_be_read(name, hand):
    assert list(wrong_with(preset(name, hand), name, ("a4", "letter"), ("blank",))) == []


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", MEASURED)
def test_sheets_with_heights_and_feet_can_be_read(name, hand):
    assert list(wrong_with(filled(name, hand), name, ("a4", "letter", "a3"), ("blank",))) == []


def test_bass_and_treble_of_one_string_stay_apart():
    text = ODD["one-string"].replace("length = 60.0", "length = 60.0\nspacing = 5.0")
    assert list(wrong_with(work_up(parse(text.encode(), "one.toml")), "one", ("a4", "letter"), ("blank",))) == []


@pytest.mark.parametrize("name", PRESETS)
def test_words_on_a_pattern_are_large_enough_to_engrave_or_beside_it(name):
    (first, *_) = sheets_of(preset(name))
    from_above = [part for part in blank_parts(preset(name)) if part.name != "profile"]
    on_parts = [word for part in from_above for word in part.words]
    assert all(word.height_mm >= 2.5 for word in on_parts)
    shown = [item.text for item in (*on_parts, *first.drawing) if isinstance(item, Text)]
    assert min(shown.count(word) for word in ("bass", "treble", "nut", "tail")) >= len(from_above)


@pytest.mark.parametrize("name", PRESETS)
def test_sheet_says_its_job_its_enlargement_and_short_steps(name):
    first, second, *_ = sheets_of(preset(name))
    assert "Blank: cut a new bridge to this" in words_of(first.drawing)
    larger = max(int(item.id.split("-")[1]) for item in second.drawing if item.id.startswith("at-"))
    assert larger >= 2
    assert (first.title.scale, second.title.scale) == ("1:1", f"{larger}:1")
    assert not [item for item in second.drawing if item.id.startswith("ruler")], "nothing there is at true size"
    assert f"at {larger}:1" in words_of(second.drawing)
    assert [item for item in first.drawing if item.id == "in-use"]
    for step in blank_words(preset(name)).steps:
        assert len(step.split()) <= 15, step


@pytest.mark.parametrize(
    ("line", "key"), [("thickness = 0", "thickness"), ("radius = 21", "radius"), ("crown = 0", "crown")]
)
def test_measurements_that_no_bridge_has_are_refused_with_place_and_remedy(tmp_path, line, key):
    file, out = tmp_path / "mine.toml", tmp_path / "out"
    table = "board" if key == "radius" else "bridge"
    text = re.sub(rf"(?m)^{key} *=.*\n", "", preset_text("mandolin"))
    file.write_text(text.replace(f"[{table}]", f"[{table}]\n{line}", 1))
    status, _, shown = run("draw", file, "blank", "--out", out)
    faults_are_sentences(status, shown, out)
    assert f"[{table}] {key}" in shown


def test_crown_line_ends_with_a_base_that_is_shorter_than_the_crown():
    short = edited("mandolin", nut={"spacing": 12.0}, bridge={"length": 20.0, "spacing": 15.0})
    file = cut_files("blank", short)["svg"]
    left, _, right, _ = next(loop for loop in svg_loops(file) if loop.name == "blank-base").box
    ends = next(edges for name, edges, _ in svg_layer(file, "score") if name == "blank-crown-line")
    assert left - UM <= min(edge.start.real for edge in ends) < max(edge.end.real for edge in ends) <= right + UM
