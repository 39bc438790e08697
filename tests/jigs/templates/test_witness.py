"""Witness marks: their inside corner fits the feet after cutting, and what they say is where the feet stand."""

import re

import numpy as np
import pytest
from odd_instruments import ODD, odd
from readers import UM, dxf_loops, pdf_loops_by_pdfium, svg_layer, svg_loops
from samples import HANDS, PRESETS, cut_files, faults_are_sentences, page, preset, run, words_of
from shapely import LineString, Polygon, union_all
from working_edges import face_at, wire_mm

from geometry.lengths import round_half_up
from jigs.cutting.engraving import engraved
from jigs.drawing.items import Path, Role, Text, bounds
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.templates.witness import WitnessPlan, _plan
from jigs.workup.work_up import work_up

READERS = {"svg": svg_loops, "dxf": dxf_loops, "pdf": pdf_loops_by_pdfium}
FOUND = """
[found]
treble = {treble}
bass = {bass}
date = 2026-11-25
"""

both_hands = pytest.mark.parametrize("hand", HANDS)


def tags(content, read):
    """Both tags from the left, each as its loop."""
    loops = sorted(read(content), key=lambda loop: loop.box[0])
    assert len(loops) == 2
    return loops


def inside_corner(loop, feet_to_the_right, kerf):
    """The corner that the feet fit into: where the straight edges meet that look at them, moved back by half a kerf."""
    edges = [edge for edge in loop.edges if edge.centre is None]
    level = [edge for edge in edges if abs((edge.end - edge.start).imag) < UM]
    upright = [edge for edge in edges if abs((edge.end - edge.start).real) < UM]
    left, top, right, foot = loop.box
    (face,) = (edge for edge in level if min(abs(edge.start.imag - y) for y in (top, foot)) > 1)
    (end,) = (edge for edge in upright if min(abs(edge.start.real - x) for x in (left, right)) > 1)
    assert abs(face.length) > 3
    assert abs(end.length) > 3
    outward = 1 if feet_to_the_right else -1
    return complex(end.start.real - outward * kerf / 2, face.start.imag - kerf / 2), face, end


@pytest.mark.slow
@both_hands
@pytest.mark.parametrize("name", ["banjo", "mandolin", "archtop-guitar", "banjo-ukulele"])
@pytest.mark.parametrize("kerf", [0.0, 0.15, 0.4])
def test_feet_fit_into_both_tags_after_cutting_in_every_format(name, kerf, hand):
    """The feet's corner is square and sharp: both edges run from the one corner, away from it along the feet."""
    files = cut_files("witness", preset(name, hand=hand), formats="svg,dxf,pdf", kerf_mm=kerf)
    for kind, read in READERS.items():
        for loop, feet_to_the_right in zip(tags(files[kind], read), (True, False), strict=True):
            corner, face, end = inside_corner(loop, feet_to_the_right, kerf)
            grown = complex((1 if feet_to_the_right else -1) * kerf / 2, kerf / 2)
            ends = [face.start, face.end, end.start, end.end]
            at_corner = sorted(ends, key=lambda at: abs(at - corner - grown))[:2]
            assert max(abs(at - corner - grown) for at in at_corner) < 2 * UM, kind
            way = 1 if feet_to_the_right else -1
            assert all(way * (at - corner - grown).real > -2 * UM for at in (face.start, face.end))
            assert all((at - corner - grown).imag > -2 * UM for at in (end.start, end.end))


def engraved_lines(drawn):
    return [item for item in drawn if isinstance(item, Path) and item.role is Role.ENGRAVED]


def says(drawn, text):
    """Boxes of the lines on a drawing that are engraved with this text."""
    wanted = engraved(Text((0.0, 0.0), text, 2.0))
    shape = [len(run) for run in wanted.runs]
    own = np.concatenate(wanted.runs)
    found = []
    for line in engraved_lines(drawn):
        if [len(run) for run in line.runs] == shape:
            apart = np.concatenate(line.runs) - own
            if np.ptp(apart, axis=0).max() < 1e-9:
                found.append(bounds(line))
    return found


@both_hands
@pytest.mark.parametrize("name", PRESETS)
def test_tags_say_where_the_feet_stand_from_the_fret_along_each_outer_string(name, hand):
    workup = preset(name, hand=hand)
    drawn = templates()["witness"].part(workup, Options()).drawing
    wire = wire_mm(workup, workup.instrument.head.frets)
    for end, x in zip(("treble", "bass"), workup.outer_mm.tolist(), strict=True):
        mm = round_half_up(float(face_at(workup, x)) - wire, 1)
        (which,) = says(drawn, f"{end}, fret {workup.instrument.head.frets}")
        near = [box for box in says(drawn, f"{mm} mm") if abs(box.left - which.left) < 1]
        assert len(near) == 1, f"{end}: {mm}"
        assert 0 < near[0].top - which.top < 5
        assert (which.left > 0) == ((end == "treble") == (hand == "right"))


@both_hands
def test_sheet_says_how_far_the_corners_are_straight_along_the_neck(hand):
    workup = preset("archtop-guitar", hand=hand)
    bridge, slope = workup.instrument.bridge, workup.line.slope
    half = bridge.length / 2 / np.sqrt(1 + slope**2)
    wire = wire_mm(workup, 15)
    treble, bass = (round_half_up(float(face_at(workup, x)) - wire, 1) for x in (half, -half))
    words = words_of(page("witness", workup, datum_fret=15).drawing)
    assert f"{treble} / {bass} mm" in words
    assert "from fret 15's bridge" in words


def test_found_place_with_its_date_is_on_the_tags_and_a_computed_one_says_so():

    text = preset_text("banjo") + FOUND.format(treble=669.0, bass=669.8)
    found = work_up(parse(text.encode(), "mine.toml"))
    part = templates()["witness"].part
    drawn, computed = part(found, Options()).drawing, part(preset("banjo"), Options()).drawing
    assert len(says(drawn, "found by ear")) == len(says(drawn, "2026-11-25")) == 2
    assert not says(drawn, "computed")
    assert not says(drawn, "measured")
    assert len(says(computed, "computed")) == len(says(computed, "measured")) == 2
    assert not says(computed, "found by ear")
    assert "Found by ear on 25 November 2026" in words_of(page("witness", found).drawing)
    assert "The distances are computed" in words_of(page("witness", preset("banjo")).drawing)


def test_strings_are_on_both_tags_as_packets_have_them():
    drawn = templates()["witness"].part(preset("mandolin"), Options()).drawing
    strings = preset("mandolin").instrument.strings
    assert len(strings) == 4
    for line in ("E5 .011 A4 .015", "D4 .026w G3 .040w"):
        assert len(says(drawn, line.replace(" .", "\N{NO-BREAK SPACE}."))) == 2


@pytest.mark.parametrize("name", sorted(ODD))
def test_words_stay_on_the_tag_and_off_the_feet_whatever_the_instrument(name):
    workup = odd(name)
    drawn = templates()["witness"].part(workup, Options()).drawing
    outlines = [bounds(item) for item in drawn if item.id.startswith("witness-")]
    assert len(outlines) == 2
    for line in engraved_lines(drawn):
        box = bounds(line)
        (own,) = (one for one in outlines if one.left < box.left < one.right)
        assert own.left < box.left, "over the edge"
        assert box.right < own.right, "over the edge"
        assert own.top < box.top
        assert box.bottom < own.bottom
        assert box.bottom < 0 or min(abs(box.left), abs(box.right)) > 6.0 + 8.0, "on the feet"


def test_large_corners_leave_the_letters_their_stock():
    files = cut_files("witness", preset("banjo"), corner_mm=10.0)
    parts = union_all([Polygon([(z.real, z.imag) for z in loop.points(0.1)]) for loop in svg_loops(files["svg"])])
    for _, edges, _ in svg_layer(files["svg"], "engrave"):
        ends = [(z.real, z.imag) for edge in edges for z in (edge.start, edge.end)]
        assert parts.buffer(-0.5).covers(LineString(ends))


@pytest.mark.parametrize("fret", [0, 23, 99])
def test_fret_that_the_board_lacks_is_refused(tmp_path, fret):
    status, shown, notes = run("draw", "banjo", "witness", "--datum-fret", fret, "--out", tmp_path / "x")
    assert not shown
    faults_are_sentences(status, notes, tmp_path / "x")
    assert "--datum-fret" in notes
    assert "choose 1 to 22" in notes


def test_steps_are_short_and_caution_names_old_varnish():
    words = words_of(page("witness", preset("mandolin")).drawing)
    assert "Tape lifts old varnish." in words
    assert "Marks: put the bridge" in words


def test_plan_is_of_the_last_fret_by_default():
    workup = preset("banjo")
    plan = _plan(workup, Options())
    assert isinstance(plan, WitnessPlan)
    assert plan.fret == workup.instrument.head.frets
    assert re.fullmatch(r"Witness marks, fret 22, right-handed", page("witness", workup).title.document)


@pytest.mark.parametrize("template", ["gauge", "witness"])
def test_sixty_letters_without_a_space_give_way_to_the_files_name_and_not_to_air(template):
    workup = work_up(parse(preset_text("mandolin").replace('"Mandolin"', f'"{"W" * 60}"').encode(), "x.toml"))
    assert workup.instrument.name == "W" * 60
    file = cut_files(template, workup)["svg"]
    parts = union_all([Polygon([(z.real, z.imag) for z in loop.points(0.1)]) for loop in svg_loops(file)])
    for _, edges, _ in svg_layer(file, "engrave"):
        assert parts.covers(LineString([(z.real, z.imag) for edge in edges for z in (edge.start, edge.end)]))
