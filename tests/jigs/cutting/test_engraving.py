"""Engraved words: single strokes as high as asked for, where the text stood, and every name in some letters."""

import numpy as np
import pytest
from samples import SMALL_FILE, run

from jigs.cutting import engraving
from jigs.cutting.engraving import all_engraved, engravable, engraved
from jigs.drawing.items import Anchor, Line, Role, Text, drawing


def extent(text, height=2.5, **how):
    points = np.concatenate(engraved(Text((0.0, 0.0), text, height, **how)).runs)
    return points.min(axis=0), points.max(axis=0)


@pytest.mark.parametrize("height", [2.5, 3.5, 10.0])
@pytest.mark.parametrize("letter", list("HEITLZ1"))
def test_capital_has_the_height_asked_for_and_stands_on_its_line(letter, height):
    low, high = extent(letter, height)
    assert high[1] - low[1] == pytest.approx(height, abs=1e-9)
    assert high[1] == pytest.approx(0.0, abs=1e-9)


def test_letters_with_tails_go_below_the_line_but_no_further_than_the_room_between_lines():
    _, high = extent("gpqy,()")
    assert 0 < high[1] < 2.5 * 0.5


def test_words_run_to_the_right_and_stand_upright():
    (left, _), (right, _) = extent("IIIIII")
    assert 0 <= left < 1 < right
    points = np.array(engraved(Text((0.0, 0.0), "L", 2.5)).runs[0])
    corner = points[np.argmax(points[:, 1] - points[:, 0])]
    assert corner == pytest.approx([points[:, 0].min(), points[:, 1].max()])


@pytest.mark.parametrize("text", ["H", "Loan banjo 7", "scale 666.8 mm (26 1/4 in)"])
def test_anchor_says_which_point_of_the_words_is_there(text):
    width = engraving.width_mm(text, 2.5)
    start, middle, end = (extent(text, anchor=anchor)[0][0] for anchor in (Anchor.START, Anchor.MIDDLE, Anchor.END))
    assert start - middle == pytest.approx(width / 2)
    assert start - end == pytest.approx(width)
    low, high = extent(text)
    assert 0 <= low[0] < high[0] <= width


def test_words_turn_about_their_place():
    straight = np.concatenate(engraved(Text((5.0, 7.0), "Lg", 2.5)).runs) - [5.0, 7.0]
    turned = np.concatenate(engraved(Text((5.0, 7.0), "Lg", 2.5, angle_deg=90.0)).runs) - [5.0, 7.0]
    assert turned == pytest.approx(np.column_stack([-straight[:, 1], straight[:, 0]]))


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("Ré mandolín", "Re mandolin"),
        ("Åse Ñandú Öl", "Ase Nandu Ol"),
        ("Žluť ½", "Zlut 1/2"),
        ("F♯ B♭ − –", "F# Bb - -"),
        ("Straße Łódź Ærø", "Strasse Lodz AEro"),
        ("½ in × 3", "1/2 in x 3"),
    ],
)
def test_accents_are_dropped_and_signs_spelt(name, plain):
    assert engravable(name) == (plain, "")


@pytest.mark.parametrize(("name", "lacking"), [("琴 3", "琴"), ("Ωραία", None), ("🪕 7", "🪕")])
def test_name_that_cannot_be_engraved_gives_way_to_the_files_and_is_noted(tmp_path, name, lacking):
    spelt, unknown = engravable(name)
    assert "?" in spelt
    assert unknown
    if lacking:
        assert unknown == lacking
    file = tmp_path / "mine.toml"
    file.write_text(SMALL_FILE.replace("Test mandolin", name), encoding="utf-8")
    status, _, shown = run("draw", file, "gauge", "--format", "svg", "--out", tmp_path)
    assert status == 0
    (note,) = (line for line in shown.splitlines() if "cannot be engraved in single strokes; " in line)
    assert unknown[0] in note
    assert note.endswith("; parts say mine")


def test_name_that_can_be_engraved_is_not_remarked_on(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text(SMALL_FILE.replace("Test mandolin", "Ré 7"), encoding="utf-8")
    status, _, shown = run("draw", file, "gauge", "--format", "svg,dxf", "--out", tmp_path)
    assert status == 0
    assert "engraved" not in shown


def test_every_stroke_is_a_line_and_lines_are_left_as_they_are():
    line = Line((0.0, 0.0), (1.0, 1.0), Role.TICK)
    made = all_engraved(drawing(line, Text((0.0, 0.0), "Word", 2.5, id="word"), Text((0.0, 0.0), " ", 2.5)))
    assert made.items[0] is line
    assert len(made.items) == 2
    assert made.items[1].role is Role.ENGRAVED
    assert made.items[1].id == "word"
    assert not made.items[1].closed
    assert all(len(run) > 1 for run in made.items[1].runs)
