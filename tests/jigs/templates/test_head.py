"""The head template: from the rim to the bridge, on the side that is nearer, with the distances it says."""

import re

import numpy as np
import pdfplumber
import pytest
from readers import UM, svg_layer, svg_loops
from samples import BANJOS, HANDS, cut_files, faults_are_sentences, filed, measured, page, pieces, preset, run, words_of
from working_edges import outline_and_windows, placed, rim_arc

from geometry.lengths import format_mm
from jigs.cutting.engraving import engraved
from jigs.drawing.items import Path, Role, Text
from jigs.drawing.lettering import SMALL
from jigs.instrument.file import parse
from jigs.templates.catalogue import RimSide

HEAD_MM = 279.4


def ends_with(path, text):
    """Whether an engraved line ends with this text, at whatever place."""
    wanted = engraved(Text((0.0, 0.0), text, SMALL)).runs
    found = path.runs[-len(wanted) :]
    if [len(run) for run in found] != [len(run) for run in wanted]:
        return False
    apart = np.concatenate(found) - np.concatenate(wanted)
    return bool(np.ptp(apart, axis=0).max() < 1e-9)


def engraved_lines(drawn):
    return [item for item in drawn if isinstance(item, Path) and item.role is Role.ENGRAVED]


def edges_mm(workup, near):
    """Both inside edges of the rim, from the nut."""
    first = float(workup.from_nut_mm[11]) + near
    return first, first + HEAD_MM


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize(
    ("name", "near"), [("banjo", 157), ("banjo", 230), ("tenor-banjo", 115), ("plectrum-banjo", 170)]
)
def test_distances_to_both_edges_agree_with_the_numbers(name, near, hand):
    workup = measured(name, "head", hand=hand, fret_12_to_near_edge=near)
    nut_edge, tail_edge = edges_mm(workup, near)
    to_tail, to_nut = tail_edge - workup.line.centre_mm, workup.line.centre_mm - nut_edge
    drawn = page("head", workup).drawing
    distances = (
        f"The crown line lies {format_mm(to_tail)} from the tail edge and {format_mm(to_nut)} from the nut edge."
    )
    assert distances in words_of(drawn)
    for distance in (to_tail, to_nut):
        assert any(ends_with(line, format_mm(distance)) for line in engraved_lines(drawn)), distance
    part = placed(
        "head", workup, svg_loops(cut_files("head", workup, formats="svg")["svg"]), 0.0, tail_side=to_tail <= to_nut
    )
    arc = rim_arc(part.outline).imag - part.down
    assert (arc.max() if to_tail <= to_nut else arc.min()) == pytest.approx(
        tail_edge if to_tail <= to_nut else nut_edge, abs=2 * UM
    )


@pytest.mark.parametrize("name", BANJOS)
def test_near_and_far_edge_are_the_same_measurement(name):
    """Far from fret 12 is near plus the head."""
    near = measured(name, "head")
    rim = near.instrument.rim
    far_edge = f"fret_12_to_far_edge = {rim.fret_12_to_near_edge + rim.head}"
    text = re.sub("fret_12_to_near_edge = .*", far_edge, filed(name, "head"))
    assert far_edge in text
    from jigs.workup.work_up import work_up

    far = work_up(parse(text.encode(), "far.toml"))
    one, other = (pieces(page("head", workup).drawing) for workup in (near, far))
    assert np.array(one) == pytest.approx(np.array(other), abs=1e-9)


@pytest.mark.parametrize("near", [120, 157, 185, 195, 230])
def test_the_nearer_rim_is_chosen(near):
    workup = measured("banjo", "head", fret_12_to_near_edge=near)
    nut_edge, tail_edge = edges_mm(workup, near)
    nearer = "tail" if tail_edge - workup.line.centre_mm < workup.line.centre_mm - nut_edge else "nut"
    drawn = page("head", workup)
    assert drawn.title.document == f"Head template, {nearer} side, right-handed"
    words = words_of(drawn.drawing)
    assert f"Lay the template on the head, arc to the {nearer}," in words
    assert "Push the arc against the inside of the tension hoop." in words


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("side", list(RimSide))
def test_own_side_of_the_rim_is_respected(tmp_path, side, hand):
    file = tmp_path / "mine.toml"
    file.write_text(filed("banjo", "head", hand=hand, fret_12_to_near_edge=190))
    status, _, shown = run("draw", file, "head", "--rim", side, "--format", "svg", "--out", tmp_path)
    assert status == 0, shown
    loops = svg_loops((tmp_path / "mine-head.svg").read_bytes())
    outline, windows = outline_and_windows(loops)
    arc, feet = rim_arc(outline), windows[0].box
    assert (arc.imag.min() > feet[3]) if side is RimSide.TAIL else (arc.imag.max() < feet[1])
    assert (tmp_path / "mine-head.svg").read_text().count(f"Head template, {side} side") == 1


@pytest.mark.parametrize("chosen", ["automatically", "the other side"])
@pytest.mark.parametrize("side", ["tail", "nut"])
@pytest.mark.parametrize(("share", "shown"), [(0.66, False), (0.674, True)])
def test_bridge_outside_the_middle_two_thirds_is_noted(tmp_path, share, shown, side, chosen):
    """Common practice: a bridge belongs within the middle two thirds of the head, which end a sixth of it from the rim."""
    workup = preset("banjo")
    middle = workup.line.centre_mm - (1 if side == "tail" else -1) * share * HEAD_MM / 2
    near = middle - HEAD_MM / 2 - float(workup.from_nut_mm[11])
    file = tmp_path / "mine.toml"
    file.write_text(filed("banjo", "head", fret_12_to_near_edge=near))
    other = [] if chosen == "automatically" else ["--rim", "nut" if side == "tail" else "tail"]
    status, _, notes = run("draw", file, "head", "--format", "svg,dxf,pdf", "--paper", "a3", *other, "--out", tmp_path)
    assert status == 0, notes
    to_rim = format_mm(HEAD_MM / 2 * (1 - share))
    outside = "the bridge would stand outside the middle two thirds of the head"
    sentence = f"{outside}, {to_rim} from the tension hoop on the {side} side"
    assert (sentence in notes) is shown
    with pdfplumber.open(tmp_path / "mine-head.pdf") as pdf:
        assert ("outside the middle two thirds" in " ".join(pdf.pages[0].extract_text().split())) is shown


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", BANJOS)
def test_three_feet_of_twelve_have_their_own_windows(name, hand):
    """On a bridge 72 mm long: from 36 to 24, 6 to −6 and −24 to −36, along the slant."""
    workup = measured(name, "head", "feet", hand=hand, length=72.0, feet=3, foot=12.0)
    part = placed("head", workup, svg_loops(cut_files("head", workup, formats="svg")["svg"]), 0.0)
    cos = np.cos(np.radians(workup.line.slant_deg))
    tilt = abs(np.sin(np.radians(workup.line.slant_deg))) * workup.instrument.bridge.thickness
    windows = sorted(((np.array(w.box[::2]) - part.middle) * part.hand for w in part.windows), key=max, reverse=True)
    for window, (first, last) in zip(windows, [(36, 24), (6, -6), (-24, -36)], strict=True):
        assert max(window) == pytest.approx(first * cos, abs=tilt + UM)
        assert min(window) == pytest.approx(last * cos, abs=tilt + UM)
    assert (
        len(outline_and_windows(svg_loops(cut_files("head", preset_with_rim(name, hand), formats="svg")["svg"]))[1])
        == 1
    )


def preset_with_rim(name, hand):
    return measured(name, "head", hand=hand)


def test_centreline_is_broken_by_the_windows_alone():
    """One window lies on it, or the middle one of three; between two it runs through."""
    for tables, values, runs in (((), {}, 2), (("feet",), {}, 2), (("feet",), {"feet": 2}, 1)):
        workup = measured("banjo", "head", *tables, **values)
        score = svg_layer(cut_files("head", workup, formats="svg")["svg"], "score")
        (line,) = (edges for name, edges, _ in score if name == "centreline")
        assert len(line) == runs
        part = placed("head", workup, svg_loops(cut_files("head", workup, formats="svg")["svg"]), 0.0)
        assert [edge.at(0.5).real for edge in line] == pytest.approx([part.middle] * runs, abs=UM)


def test_head_template_says_what_to_measure_where_the_rim_was_not(tmp_path):
    out = tmp_path / "out"
    status, _, shown = run("draw", "banjo", "head", "--out", out)
    faults_are_sentences(status, shown, out)
    assert "needs the distance from fret 12 to the inside of the tension hoop; measure it" in shown
    assert "[rim] fret_12_to_near_edge" in shown


def test_all_templates_leave_the_head_out_with_a_note_but_never_miss_it_on_a_mandolin(tmp_path):
    status, _, shown = run("draw", "banjo", "--all", "--paper", "a3", "--format", "svg", "--out", tmp_path / "banjo")
    assert (status, "the head is not drawn" in shown) == (0, True), shown
    assert not list((tmp_path / "banjo").glob("*head*"))
    status, _, shown = run(
        "draw", "mandolin", "--all", "--paper", "a3", "--format", "svg", "--out", tmp_path / "mandolin"
    )
    assert (status, "head" in shown) == (0, False), shown


def test_measure_on_the_sheet_is_that_of_the_part():
    """From the straight edge to the arc, along the centreline."""
    workup = measured("banjo", "head")
    loops = svg_loops(cut_files("head", workup, formats="svg")["svg"])
    left, top, right, bottom = outline_and_windows(loops)[0].box
    crest = rim_arc(outline_and_windows(loops)[0]).imag.max()
    said = re.search(r"along the centreline: ([\d.]+) mm from edge to arc", words_of(page("head", workup).drawing))
    assert float(said[1]) == pytest.approx(crest - top, abs=0.051)
    assert right - left > bottom - top > 0
