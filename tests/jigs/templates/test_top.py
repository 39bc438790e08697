"""The top template: the true straight distance, though it lies over a step and an arch; and what the notches say."""

import numpy as np
import pytest
from readers import UM, svg_layer, svg_loops
from samples import ARCHED, HANDS, cut_files, faults_are_sentences, filed, measured, page, run, words_of
from working_edges import crown_at, face_at, lean, level_edge, outline_and_windows, placed, standing_mm, wire_mm


def levels(workup, **choice):
    """From the datum edge to the middle of the window's nut side, as the sheet lies flat."""
    loops = svg_loops(cut_files("top", workup, formats="svg", **choice)["svg"])
    outline, (window,) = outline_and_windows(loops)
    nut_side = min(
        (edge for edge in window.edges if edge.length > 0.9 * workup.instrument.bridge.length),
        key=lambda e: e.at(0.5).imag,
    )
    return float(nut_side.at(0.5).imag - level_edge(outline, -1).start.imag)


@pytest.mark.parametrize("name", ARCHED)
def test_flat_and_level_top_is_measured_straight(name):
    workup = measured(name)
    assert levels(workup) == pytest.approx(
        float(face_at(workup, 0)) - wire_mm(workup, workup.instrument.head.frets), abs=2 * UM
    )


@pytest.mark.parametrize("name", ARCHED)
def test_step_from_board_to_top_makes_the_way_longer(name):
    """A straight step: the hypotenuse over what is left of the way behind the board (Pythagoras)."""
    workup = measured(name, "heights", height=5.0)
    instrument = workup.instrument
    step, end = instrument.board.over_top, instrument.board.end
    beyond = workup.line.centre_mm - standing_mm(workup)[1] * np.hypot(1, workup.line.slope) - end
    fall = np.tan(lean(workup))
    straight = end - wire_mm(workup, instrument.head.frets) + np.hypot(beyond, step + fall * beyond)
    assert levels(workup) == pytest.approx(straight, abs=2 * UM)


@pytest.mark.parametrize("name", ARCHED)
def test_from_the_end_of_the_board_the_step_does_not_count_but_the_fall_does(name):
    workup = measured(name, "heights", height=22.0)
    instrument = workup.instrument
    end = instrument.board.end
    fall = np.tan(lean(workup))
    beyond = workup.line.centre_mm - standing_mm(workup)[1] * np.hypot(1, workup.line.slope) - end
    assert levels(workup, datum_end=True) == pytest.approx(np.hypot(beyond, fall * beyond), abs=2 * UM)


def test_counting_on_the_end_of_the_board_without_knowing_it_is_refused(tmp_path):
    file, out = tmp_path / "mine.toml", tmp_path / "out"
    file.write_text(filed("mandolin"))
    status, _, shown = run("draw", file, "top", "--datum-end", "--out", out)
    faults_are_sentences(status, shown, out)
    assert "[board] end: the end of the board is not known" in shown


def test_part_says_which_edge_it_registers_with():
    workup = measured("mandola", "heights")
    from_fret, from_end = page("top", workup), page("top", workup, datum_end=True)
    assert from_fret.title.document == "Top template, fret 20, right-handed"
    assert from_end.title.document == "Top template, end of board, right-handed"
    assert "against the bridge side of fret 20" in words_of(from_fret.drawing)
    assert "against the end of the board" in words_of(from_end.drawing)


@pytest.mark.parametrize(("off", "side"), [(3.2, "tail"), (0.3, "tail"), (-2.7, "nut"), (-0.3, "nut"), (0.02, None)])
def test_notches_are_said_to_lie_the_right_way_off(tmp_path, off, side):
    plain = measured("mandolin")
    notches = plain.line.centre_mm - float(plain.from_nut_mm[11]) + off
    file = tmp_path / "mine.toml"
    text = filed("mandolin", "notches", notches=notches)
    file.write_text(text)
    workup = measured("mandolin", "notches", notches=notches)
    sentence = (
        f"he f-holes' notches lie {abs(off):.1f} mm nearer the {side} than the bridge line"
        if side
        else "he f-holes' notches lie on the bridge line"
    )
    assert f"T{sentence}{';' if side else '.'}" in words_of(page("top", workup).drawing)
    status, _, noted = run("draw", file, "top", "--format", "svg", "--out", tmp_path)
    assert (status, f"note: [top] notches: t{sentence}" in noted) == (0, True), noted


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("tables", [(), ("heights", "arch")])
def test_notches_are_scored_at_both_edges_where_they_are(tables, hand):
    workup = measured("mandolin", "notches", *tables, hand=hand)
    content = cut_files("top", workup, formats="svg", kerf_mm=0.15)["svg"]
    part = placed("top", workup, svg_loops(content), 0.15)
    marks = {name: edges for name, edges, _ in svg_layer(content, "score")}
    straight = float(workup.from_nut_mm[11]) + workup.instrument.top.notches
    from jigs.workup.on_the_top import laid_mm

    expected = float(laid_mm(workup.instrument, np.array(straight)))
    assert len(marks["notches"]) == 2
    for edge in marks["notches"]:
        assert [edge.start.imag - part.down, edge.end.imag - part.down] == pytest.approx([expected] * 2, abs=2 * UM)
    if not tables:
        assert expected == straight


def test_without_notches_nothing_is_said_of_them(tmp_path):
    assert "notches lie" not in words_of(page("top", measured("mandolin")).drawing)
    _, _, shown = run("draw", "mandolin", "top", "--format", "svg", "--out", tmp_path)
    assert "notches" not in shown


@pytest.mark.parametrize("tables", [(), ("heights",), ("heights", "arch")])
def test_sheet_says_what_the_heights_cost(tables):
    workup = measured("mandolin", *tables)
    words = words_of(page("top", workup).drawing)
    if not tables:
        assert "Computed for a flat top, level with the board." in words
        return
    nearer = standing_mm(workup)[0] * np.hypot(1, workup.line.slope)
    climb = float(crown_at(workup, 0.0)) - (workup.line.centre_mm - nearer)
    assert climb > 0.1
    assert f"the way from board to top, {climb:.1f} mm longer than straight" in words
    assert (f"its base {nearer:.1f} mm nearer the nut than its crown" in words) == (nearer > 0.05)


def test_measure_on_the_sheet_is_that_of_the_part():
    workup = measured("mandolin", "heights", "arch")
    content = cut_files("top", workup, formats="svg")["svg"]
    part = placed("top", workup, svg_loops(content), 0.0)
    (line,) = (edges for name, edges, _ in svg_layer(content, "score") if name == "bridge-line")
    ends = np.array([[edge.start, edge.end] for edge in line]).ravel()
    level = np.polyval(np.polyfit(ends.real, ends.imag, 1), part.middle)
    said = f"Laid flat, edge to crown line on the centreline: {level - part.outline.box[1]:.1f} mm."
    assert said in words_of(page("top", workup).drawing)
