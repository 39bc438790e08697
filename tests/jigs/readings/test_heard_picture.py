"""The picture of what was heard: every dot where the scale says, nothing over anything else, on every paper."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from readers import svg_pieces
from samples import assert_clear, named, preset

from geometry.hearing import Difference
from geometry.partials import Partials
from geometry.readings import NORMAL_QUANTILE, USUAL_ERRORS
from jigs.drawing.items import Circle, Line, Role, Text, bounds
from jigs.drawing.lettering import LARGE, LARGEST
from jigs.faults import InputFaults
from jigs.readings.advice import advise
from jigs.readings.heard_picture import files, lay_out
from jigs.readings.listening import Heard, HeardDifference, Listened, What, readings_of
from jigs.sheets.paper import PAPERS, Paper


def partials(hz, count=8):
    number = np.arange(1, count + 1)
    level = -6.0 - 40 * (number / count) ** 2
    return Partials(number, number * hz, np.full(count, 0.1), level, 2.0 + number, 2.0, 0.05)


def heard(workup, *differences, file="kitchen.wav"):
    """Each difference as (string's index, cents, standard error), with its two plucks; a fret as a fourth."""
    plucks, found = [], []
    for n, (string, cents, error, *fret) in enumerate(differences):
        hz = float(workup.instrument.stringing.pitch_hz[string])
        what, number = (What.FRET, fret[0]) if fret else (What.OCTAVE, int(workup.octave_frets[string]))
        reference = Heard(file, 4.0 * n, string, What.OPEN, None, partials(hz))
        pressed = Heard(file, 4.0 * n + 2, string, what, number, partials(2 * hz))
        pairs = np.arange(1, 5)
        made = Difference(cents, error, 0.3, pairs, np.full(4, cents), np.full(4, error))
        plucks += [reference, pressed]
        found.append(HeardDifference(string, made, pressed, reference))
    return Listened(tuple(plucks), tuple(found))


HEARD = {
    "one pluck": [(3, -7.0, 0.4)],
    "three of each": [(n, cents, 0.4) for n, cents in ((0, 4.0), (0, 3.6), (0, 4.3), (3, -3.0), (3, -2.6), (3, -3.1))],
    "in tune": [(0, 0.0, 0.31), (3, 0.0, 0.31)],
    "far off": [(0, 97.0, 2.0), (3, -99.0, 3.0)],
    "all five strings": [(n, n - 2.0, 0.5) for n in range(5) for _ in range(3)],
    "hundred plucks": [(3, -3 + 0.1 * (n % 7), 0.5) for n in range(100)],
    "frets": [(3, -3.0, 0.4), *((3, 1.0 + n, 1.5, n) for n in (3, 5, 7, 9, 10))],
}


def laid(name, paper="a4", instrument="banjo"):
    workup = preset(instrument)
    listened = heard(workup, *HEARD[name])
    advice = advise(workup, readings_of(listened.differences, workup), None, USUAL_ERRORS, name == "frets")
    return lay_out(listened, advice, PAPERS[paper], "mine"), listened, advice


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "legal"])
@pytest.mark.parametrize("name", HEARD)
def test_words_of_the_picture_are_clear_and_nothing_is_cut_off(name, paper):
    sheet, *_ = laid(name, paper)
    assert_clear(sheet.drawing)
    box = sheet.drawing.bounds()
    assert min(box.left, box.top) >= 5
    assert box.right <= sheet.paper.width_mm - 5
    assert box.bottom <= sheet.paper.height_mm - 5


def numbers_of(sheet, number):
    """The scale of a string's block: cents and x of each number that stands below its line of zero."""
    zero = named(sheet.drawing, f"in-tune-{number}")
    left = [item for item in sheet.drawing if isinstance(item, Text) and item.at[0] < sheet.paper.width_mm * 0.6]
    below = [item for item in left if 0 < item.at[1] - zero.end[1] < 7 and item.text.strip("+−").isdecimal()]
    return {int(item.text.replace("−", "-")): item.at[0] for item in below}


def test_every_note_of_a_diagnosis_says_at_which_fret_it_was_pressed():
    sheet, *_ = laid("frets")
    labels = [
        item.text for item in sheet.drawing if isinstance(item, Text) and item.text.endswith("\N{NO-BREAK SPACE}s")
    ]
    assert [label.partition(",")[0] for label in labels] == [f"fret {n}" for n in (12, 3, 5, 7, 9, 10)]


@pytest.mark.parametrize("name", [name for name in HEARD if name != "hundred plucks"])
def test_every_difference_is_where_the_scale_says_with_the_bar_of_its_95_percent(name):
    sheet, listened, advice = laid(name)
    dots = [item.id for item in sheet.drawing if item.id.startswith("difference-")]
    counts = {}
    for one in reversed(listened.differences):
        number = one.string + 1
        shown = sum(dot.startswith(f"difference-{number}-") for dot in dots)
        counts[number] = counts.get(number, shown + 1) - 1
        if counts[number] == 0:
            continue
        scale = numbers_of(sheet, number)
        assert {-10, 0, 10} <= set(scale) or max(scale) >= 50
        cents, places = zip(*sorted(scale.items()), strict=True)
        per_cent = (places[-1] - places[0]) / (cents[-1] - cents[0])
        dot = named(sheet.drawing, f"difference-{number}-{counts[number]}")
        assert dot.centre[0] == pytest.approx(scale[0] + per_cent * one.difference.cents)
        bar = next(
            item
            for item in sheet.drawing
            if isinstance(item, Line) and item.role is Role.MARK and item.start[1] == item.end[1] == dot.centre[1]
        )
        half = NORMAL_QUANTILE * one.difference.standard_error_cents * per_cent
        assert (bar.start[0], bar.end[0]) == pytest.approx((dot.centre[0] - half, dot.centre[0] + half))
    for one in advice.strings:
        mean, scale = bounds(named(sheet.drawing, f"mean-{one.string + 1}")), numbers_of(sheet, one.string + 1)
        cents, places = zip(*sorted(scale.items()), strict=True)
        per_cent = (places[-1] - places[0]) / (cents[-1] - cents[0])
        assert (mean.left + mean.right) / 2 == pytest.approx(scale[0] + per_cent * one.cents)


def test_ticks_are_those_of_the_fork():
    from jigs.workup.cents_scale import leg_scales

    sheet, *_ = laid("three of each")
    zero = named(sheet.drawing, "in-tune-1")
    ticks = sorted(
        item.start[0]
        for item in sheet.drawing
        if isinstance(item, Line) and item.role is Role.TICK and item.start[1] == zero.end[1] and item.end[1] > zero.end[1]
        and item.start[0] < sheet.paper.width_mm * 0.6
    )  # fmt: skip
    scale = numbers_of(sheet, 1)
    per_cent = (scale[10] - scale[0]) / 10
    step = leg_scales(preset("banjo"))[0].step
    assert [b - a for a, b in pairwise(ticks)] == pytest.approx([step * per_cent] * (len(ticks) - 1))
    assert len(ticks) == 2 * (15 // step) + 1


def test_many_plucks_show_the_last_ones_and_say_how_many_there_are():
    sheet, *_ = laid("hundred plucks")
    (said,) = [item.text for item in sheet.drawing if isinstance(item, Text) and "of 100" in item.text]
    shown = [item for item in sheet.drawing if isinstance(item, Circle) and item.id.startswith("difference-")]
    assert f"(last {len(shown)} of 100)" in said
    assert len(shown) >= 10


def test_rows_name_their_files_where_there_are_several():
    workup = preset("banjo")
    one, other = (
        heard(workup, (3, -3.0, 0.4), file="a-long-name-of-a-file.wav"),
        heard(workup, (0, 4.0, 0.4), file="b.wav"),
    )
    both = Listened((*one.heard, *other.heard), (*one.differences, *other.differences))
    advice = advise(workup, readings_of(both.differences, workup), None, USUAL_ERRORS, diagnose=False)
    shown = {item.text for item in lay_out(both, advice, PAPERS["a4"]).drawing if isinstance(item, Text)}
    assert "b 2.0\N{NO-BREAK SPACE}s" in shown
    alone = {item.text for item in laid("one pluck")[0].drawing if isinstance(item, Text)}
    assert "2.0\N{NO-BREAK SPACE}s" in alone


def test_verdict_is_read_from_afar_and_what_was_read_below_it():
    sheet, *_ = laid("three of each")
    texts = [item for item in sheet.drawing if isinstance(item, Text)]
    assert [item.text for item in texts if item.height_mm == LARGEST] == ["Move, retune, read again"]
    second = " ".join(item.text for item in texts if item.height_mm == LARGE).replace("\N{NO-BREAK SPACE}", " ")
    assert "string 1 D4 4.0 cents sharp; string 4 D3 2.9 cents flat." in second


def test_two_notes_differ_by_their_marks_and_stand_side_by_side():
    sheet, *_ = laid("one pluck")
    right = [item for item in sheet.drawing if bounds(item).left > sheet.paper.width_mm * 0.6]
    rings = [item for item in right if isinstance(item, Circle)]
    stems = [item for item in right if isinstance(item, Line) and item.role is Role.CUT]
    assert (len(rings), len(stems)) == (8, 8)
    assert not {round(ring.centre[0], 3) for ring in rings} & {round(stem.start[0], 3) for stem in stems}


def test_aim_is_drawn_where_a_string_is_meant_to_read_something_else():
    workup = preset("banjo")
    listened = heard(workup, *HEARD["three of each"])
    advice = advise(workup, readings_of(listened.differences, workup), None, USUAL_ERRORS, diagnose=False)
    elsewhere = replace(advice, strings=tuple(replace(one, meant_cents=2.0) for one in advice.strings))
    sheet = lay_out(listened, elsewhere, PAPERS["a4"])
    scale = numbers_of(sheet, 1)
    assert named(sheet.drawing, "meant-1").start[0] == pytest.approx(scale[0] + 0.2 * (scale[10] - scale[0]))


def test_picture_has_no_colour_and_the_same_in_every_format():
    _, listened, advice = laid("three of each")
    found = files(listened, advice, PAPERS["a4"], ["pdf", "svg"], "mine")
    assert sorted(found) == ["mine-heard.pdf", "mine-heard.svg"]
    assert svg_pieces(found["mine-heard.svg"])
    colours = {part[:7] for part in found["mine-heard.svg"].decode().split('stroke="')[1:] if part.startswith("#")}
    assert colours <= {"#000000"}
    assert files(listened, advice, PAPERS["a4"], ["svg"], "mine")["mine-heard.svg"] == found["mine-heard.svg"]


def test_too_small_paper_is_refused_with_the_papers_that_are_large_enough():
    _, listened, advice = laid("all five strings")
    with pytest.raises(InputFaults) as refusal:
        lay_out(listened, advice, Paper("own", 150.0, 150.0))
    assert "A4" in str(refusal.value)
