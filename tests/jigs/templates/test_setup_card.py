"""The setup card says what this instrument wants, in figures that the model bears out, on any paper and for both hands."""

import re
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from readers import farthest_mm, pdf_pieces_by_pdfminer, svg_pieces
from samples import PRESETS, assert_clear, named, pieces, preset, run
from scipy.optimize import brentq

from geometry.fretting import error_cents, octave_cents
from geometry.lengths import MM_PER_INCH
from jigs.drawing.items import Anchor, Box, Text, bounds
from jigs.drawing.lettering import LARGE, LARGEST, MEDIUM, SMALL
from jigs.drawing.room import DoesNotFit
from jigs.export.svg import to_svg
from jigs.faults import InputFaults
from jigs.instrument.file import parse
from jigs.press.layout import how_sure_on, lay_out
from jigs.sheets.paper import MARGIN_MM, PAPERS, Paper, paper_named, room_on
from jigs.templates import fork, setup_card, setup_card_words
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.setup import TABLE_CENTS
from jigs.workup.sureness import how_sure
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

HANDS = ("right", "left")
AIMS = ('"octave"', '"all frets"', '"nut and saddle"')


@cache
def sheets(name, hand="right", paper="a4", **edits):
    """The setup card of a preset: the sheet for the bench, and the chart."""
    laid = lay_out(preset(name, hand, **edits), templates()["setup-card"], PAPERS[paper], Options())
    assert len(laid) == 2
    return laid


def card(*of, **edits):
    return sheets(*of, **edits)[0]


def chart(*of, **edits):
    return sheets(*of, **edits)[1]


def fork_of(workup, paper="a4", **options):
    """The fret of the fork on the same paper."""
    return templates()["fork"].draw(workup, room_on(PAPERS[paper]), Options(**options)).datum_fret


def texts(drawn):
    return [item for item in drawn if isinstance(item, Text)]


def words(drawn):
    return " ".join(item.text for item in texts(drawn)).replace("\N{NO-BREAK SPACE}", " ")


def row_of(drawn, text):
    """The words on the base line of a text, from left to right."""
    base = next(item.at[1] for item in texts(drawn) if item.text == text)
    beside = [item for item in texts(drawn) if abs(item.at[1] - base) < 0.01]
    return [item.text for item in sorted(beside, key=lambda item: bounds(item).left)]


def inches(text):
    """Millimetres of inches as they are written on the card."""
    whole, _, rest = text.removesuffix(" in").rpartition(" ")
    over, _, under = rest.partition("/")
    return float(MM_PER_INCH) * (int(whole or 0) + int(over) / int(under or 1))


def move_by_search(workup, string, off_cents):
    """Millimetres away from the nut from where the model reads so much off the aim to where it reads the aim."""
    nut = workup.setbacks.nut_setback_mm

    def reads(back):
        return octave_cents(workup.model, np.full(len(nut), back), nut)[string]

    there = float(workup.line.at(workup.across_mm[string])) + workup.instrument.steps_mm[string] - workup.scale_mm
    return there - brentq(lambda back: reads(back) - reads(there) - off_cents, there - 15, there + 15, xtol=1e-9)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_target_is_the_workups_line_at_both_outer_strings_and_the_right_side_is_named(name, hand):
    workup, drawn = preset(name, hand), card(name, hand).drawing
    sides = ("right", "left") if hand == "right" else ("left", "right")
    sure = how_sure(workup, fork_of(workup))
    for end, side, n in zip(("treble", "bass"), sides, workup.outer_strings, strict=True):
        x = float(workup.across_mm[n])
        wanted = [float(line.at(np.array(x))) for line in (workup.line, workup.face_line)]
        label, *in_mm, sure_mm = row_of(drawn, f"{end} end, {side}")
        assert label == f"{end} end, {side}"
        assert [float(cell.removesuffix(" mm")) for cell in in_mm] == pytest.approx(wanted, abs=0.0501)
        assert float(sure_mm.strip("± m")) == pytest.approx(sure.of_line(x).half_width_mm, abs=0.0501)
        at = next(item for item in texts(drawn) if item.text == label)
        below = min(item.at[1] for item in texts(drawn) if item.at[1] > at.at[1] and item.at[0] == at.at[0])
        string, *in_inches, sure_cents = [
            item.text for item in sorted(texts(drawn), key=lambda item: item.at[0]) if item.at[1] == below
        ]
        assert string == workup.instrument.string_in_words(n)
        assert [inches(cell) for cell in in_inches] == pytest.approx(wanted, abs=float(MM_PER_INCH) / 128 + 1e-6)
        cents = sure.of_line(x).half_width_cents(float(workup.cents_per_mm[n]))
        assert float(sure_cents.strip("± cents")) == pytest.approx(cents, abs=0.0501)


@pytest.mark.parametrize("name", PRESETS)
def test_left_handed_card_differs_in_the_sides_that_are_named_and_in_nothing_else(name):
    right, left = (card(name, hand).drawing for hand in HANDS)
    moved = [(a, b) for a, b in zip(right, left, strict=True) if a != b]
    swapped = {"right": "left", "left": "right"}
    for a, b in moved:
        assert isinstance(a, Text)
        assert re.sub("right|left", lambda side: swapped[side[0]], a.text) == b.text
    shown = [a.text for a, _ in moved]
    assert "treble end, right" in shown
    assert "bass end, left" in shown
    assert len(shown) == 5, "two ends in the target, two over the boxes, one in the title block"
    assert [a for a, b in zip(*(chart(name, hand).drawing for hand in HANDS), strict=True) if a != b] == [
        item for item in chart(name).drawing if isinstance(item, Text) and "right-handed" in item.text
    ]


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("name", PRESETS)
def test_table_sends_each_end_as_far_as_the_model_wants_for_that_reading(name, aim):
    workup, drawn = preset(name, tune_to=aim), card(name, paper="a3", tune_to=aim).drawing
    heading = next(item for item in texts(drawn) if item.text == "How far to move")
    right = [item for item in texts(drawn) if item.anchor is Anchor.END and item.at[0] > heading.at[0]]
    for cents in TABLE_CENTS:
        base = next(i.at[1] for i in right if i.text == str(cents) and abs(i.at[0] - heading.at[0] - 8) < 0.01)
        beside = sorted((i for i in right if abs(i.at[1] - base) < 0.01), key=lambda i: i.at[0])
        _, *cells = [i.text for i in beside]
        assert len(cells) == 8
        wanted = [(n, sign * cents) for n in workup.outer_strings for sign in (-1, 1)]
        for (n, off), in_mm, in_inches in zip(wanted, cells[::2], cells[1::2], strict=True):
            move = move_by_search(workup, n, off)
            assert (move > 0) == (off > 0), "sharp goes to the tail, flat to the nut"
            assert re.fullmatch(r"\d+\.\d", in_mm), "no more than a tenth of a millimetre"
            assert float(in_mm) == pytest.approx(abs(move), abs=0.0501)
            nearest = 0.0 if in_inches == "<1/64" else inches(in_inches)
            assert nearest == pytest.approx(abs(move), abs=float(MM_PER_INCH) / 128 + 1e-6)


def test_columns_of_the_table_say_which_string_and_which_way():
    drawn = card("banjo").drawing
    assert row_of(drawn, "treble: string 1 D4")[-2:] == ["treble: string 1 D4", "bass: string 4 D3"]
    ways = [item for item in texts(drawn) if item.text in ("flat: nut", "sharp: tail")]
    assert [item.text for item in sorted(ways, key=lambda item: item.at[0])] == ["flat: nut", "sharp: tail"] * 2


@pytest.mark.parametrize("name", PRESETS)
def test_end_of_the_feet_goes_as_much_farther_as_a_bar_turned_about_its_other_end(name):
    workup = preset(name)
    half = workup.instrument.bridge.length / 2
    for end, n, sign in (("treble", workup.outer_strings[0], 1), ("bass", workup.outer_strings[1], -1)):
        times = 2 * half / (half + sign * workup.across_mm[n])
        assert f"{times:.2f} times ({end})" in words(card(name).drawing)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("name", PRESETS)
def test_chart_shows_every_string_at_every_fret_where_the_model_says(name, hand):
    """Read back from the SVG, by the numbers beside its axes."""
    workup, sheet = preset(name, hand), chart(name, hand)
    found = svg_pieces(to_svg(sheet, "card", "card"))
    steps = np.array(workup.instrument.bridge.steps or (0.0,) * len(workup.across_mm))
    square = error_cents(workup.model, steps, np.zeros(len(workup.across_mm)))
    back = workup.line.at(workup.across_mm) + steps - workup.scale_mm
    placed = error_cents(workup.model, back, workup.setbacks.nut_setback_mm)
    for n, entry in enumerate(workup.instrument.strings, 1):
        own = workup.model.has_fret[n - 1]
        frets = np.arange(1, own.sum() + 1) + entry.starts_at_fret
        x_of, cents_of = axes(sheet.drawing, found, n)
        for curve, wanted in (("before", square), ("after", placed)):
            ends = found[f"{curve}-{n}"]
            points = np.vstack((ends[:, :2], ends[-1:, 2:]))
            assert points[:, 0] == pytest.approx(x_of(frets), abs=1e-3)
            assert cents_of(points[:, 1]) == pytest.approx(wanted[n - 1][own], abs=0.01)
            assert frets[-1] == workup.instrument.head.frets


def axes(drawn, found, number):
    """Fret to x and y to cents of a panel, from two numbers on either axis and the marks beside them."""
    left, _, right, _ = found[f"panel-{number}"][0]
    foot = found[f"panel-{number}"][:, 1].max()
    below = [t for t in texts(drawn) if left < t.at[0] < right and foot < t.at[1] < foot + 6 and t.text.isdigit()]
    frets, at = np.array([(int(t.text), t.at[0]) for t in below]).T
    per_fret, first = np.polyfit(frets, at, 1)
    assert first + per_fret * frets == pytest.approx(at, abs=1e-3)
    top = found[f"panel-{number}"][:, 1].min()
    beside = [t for t in texts(drawn) if t.anchor is Anchor.END and re.fullmatch("[+−]?[0-9]+", t.text)]
    marks = [t for t in beside if t.at[0] < left and top < t.at[1] - SMALL / 2 < foot]
    cents, levels = np.array([(int(t.text.replace("−", "-")), t.at[1] - SMALL / 2) for t in marks]).T
    assert len(marks) >= 2
    assert 0 in cents
    per_mm, zero = np.polyfit(levels, cents, 1)
    assert per_mm < 0, "up is sharp"
    assert (-zero / per_mm) == pytest.approx(found[f"zero-{number}"][0][1], abs=1e-3)
    return (lambda fret: first + per_fret * fret), (lambda y: zero + per_mm * y)


@pytest.mark.parametrize("aim", AIMS)
def test_chart_after_counts_on_the_cut_nut_and_before_on_the_uncut_one(aim):
    workup, sheet = preset("mandolin", tune_to=aim), chart("mandolin", paper="a3", tune_to=aim)
    found = svg_pieces(to_svg(sheet, "card", "card"))
    nothing, steps = np.zeros(4), workup.instrument.steps_mm
    back, nut = workup.line.at(workup.across_mm) + steps - workup.scale_mm, workup.setbacks.nut_setback_mm
    for curve, wanted in (
        ("before", error_cents(workup.model, steps, nothing)),
        ("after", error_cents(workup.model, back, nut)),
    ):
        for n in range(4):
            _, cents_of = axes(sheet.drawing, found, n + 1)
            assert cents_of(found[f"{curve}-{n + 1}"][:, 1]) == pytest.approx(wanted[n][:-1], abs=0.01)


def test_short_string_stands_at_the_frets_of_the_neck_with_its_own_nut_and_octave():
    sheet = chart("banjo")
    found = svg_pieces(to_svg(sheet, "card", "card"))
    x_of, _ = axes(sheet.drawing, found, 5)
    assert found["after-5"][0][0] == pytest.approx(x_of(6), abs=1e-3)
    assert found["own-nut-5"][0][0] == pytest.approx(x_of(5), abs=1e-3)
    assert found["octave-5"][0][0] == pytest.approx(x_of(17), abs=1e-3)
    assert found["octave-1"][0][0] == pytest.approx(axes(sheet.drawing, found, 1)[0](12), abs=1e-3)
    assert "5 G4 from fret 5" in words(sheet.drawing)


@pytest.mark.parametrize("name", PRESETS)
def test_every_string_has_a_panel_under_its_own_name(name):
    workup, drawn = preset(name), chart(name).drawing
    boxes = [bounds(named(drawn, f"panel-{n}")) for n in range(1, len(workup.across_mm) + 1)]
    for one, next_one in pairwise(boxes):
        assert next_one.left > one.right + 1 or next_one.top > one.bottom + 1
    for n, box in enumerate(boxes):
        above = (t for t in texts(drawn) if abs(t.at[0] - box.left) < 0.01 and t.at[1] < box.top)
        name_above = max(above, key=lambda t: t.at[1])
        assert str(n + 1) in name_above.text.split()
        assert workup.instrument.strings[n].note in name_above.text
        for curve in ("before", "after"):
            inner = bounds(named(drawn, f"{curve}-{n + 1}"))
            assert box.left < inner.left < inner.right < box.right
            assert box.top < inner.top <= inner.bottom < box.bottom


def test_before_and_after_differ_by_more_than_their_place():
    drawn = chart("mandolin").drawing
    assert {named(drawn, f"{curve}-1").role.value for curve in ("before", "after")} == {"provisional", "mark"}
    shown = {t.text: bounds(t) for t in texts(drawn)}
    for role, start in (("provisional", "before: "), ("mark", "after: ")):
        box = next(box for text, box in shown.items() if text.startswith(start))
        samples = [item for item in drawn if not isinstance(item, Text) and item.role.value == role and not item.id]
        beside = [bounds(item) for item in samples if bounds(item).width > 5]
        assert any(0 < box.left - s.right < 4 and box.top < s.top < box.bottom for s in beside)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PRESETS)
def test_boxes_are_high_enough_for_a_pencil_and_enough_for_three_to_five_rounds(name, paper):
    drawn = card(name, paper=paper).drawing
    levels = [named(drawn, item.id).start[1] for item in drawn if item.id.startswith("round-")]
    assert 3 <= len(levels) - 1 <= 5
    assert min(np.diff(levels)) >= 7 - 1e-9
    top, foot = levels[0], levels[-1]
    upright = sorted({x1 for x1, y1, x2, y2 in pieces(drawn) if x1 == x2 and (y1, y2) == (top, foot)})
    assert len(upright) == 9
    assert min(np.diff(upright)) >= 15
    heads = [t for t in texts(drawn) if t.text in ("harmonic", "fretted", "difference", "moved")]
    assert [t.text for t in heads] == ["harmonic", "fretted", "difference", "moved"] * 2
    for t, left, right in zip(heads, upright, upright[1:], strict=False):
        assert left <= bounds(t).left < bounds(t).right <= right
    assert not [t for t in texts(drawn) if top < t.at[1] < foot and t.at[0] > upright[0]], "boxes are empty"


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PRESETS)
def test_words_are_clear_and_nothing_leaves_the_paper(name, paper, hand):
    for sheet in sheets(name, hand, paper):
        assert_clear(sheet.drawing)
        ids = [item.id for item in sheet.drawing if item.id]
        assert len(ids) == len(set(ids))
        for item in sheet.drawing:
            if item.id or isinstance(item, Text):
                box = bounds(item)
                assert min(box.left, box.top) >= MARGIN_MM - 1e-9
                assert box.right <= sheet.paper.width_mm - MARGIN_MM + 1e-9
                assert box.bottom <= sheet.paper.height_mm - MARGIN_MM + 1e-9


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("name", PRESETS)
def test_words_are_clear_for_every_aim(name, aim):
    for sheet in sheets(name, tune_to=aim, bridge_fit='"all"'):
        assert_clear(sheet.drawing)


@pytest.mark.parametrize("name", PRESETS)
def test_card_goes_on_the_small_sheet_that_the_help_names(name):
    for sheet in lay_out(preset(name), templates()["setup-card"], paper_named("200x300"), Options()):
        assert_clear(sheet.drawing)
        assert sheet.drawing.bounds().right <= 200 - 5


def test_card_has_no_ruler_and_uses_the_room_of_one():
    """Nothing on it is to scale."""
    room = room_on(PAPERS["a4"])
    right = MARGIN_MM + room.width
    corner = Box(right - room.corner_width, MARGIN_MM, right, MARGIN_MM + room.corner_height)
    for sheet in sheets("banjo"):
        assert not [item for item in sheet.drawing if item.id.startswith("ruler")]
        assert "Must measure" not in words(sheet.drawing)
        assert [item for item in sheet.drawing if bounds(item).overlaps(corner)]


def test_each_sheet_of_the_card_says_its_job_in_letters_of_7_mm():
    for sheet, title in zip(sheets("banjo"), (setup_card_words.TITLE, setup_card_words.CHART_TITLE), strict=True):
        assert [t.text for t in texts(sheet.drawing) if t.height_mm == LARGEST] == [title]
    crown = [t.text for t in texts(card("banjo").drawing) if t.height_mm == LARGE]
    treble, bass = preset("banjo").outer_places_mm
    assert f"Crown: {treble:.1f} mm treble, {bass:.1f} mm bass" in crown
    found = preset("banjo", fret_crown_width="2.0\n[found]\ntreble = 670.5\nbass = 671.5")
    bench, _ = lay_out(found, templates()["setup-card"], PAPERS["letter"], Options())
    assert "Found by ear: 670.5 mm treble, 671.5 mm bass" in words(bench.drawing)


@pytest.mark.parametrize("name", PRESETS)
def test_steps_are_in_larger_letters_than_the_rest(name):
    drawn = card(name).drawing
    step = next(t for t in texts(drawn) if t.text.startswith("Place it with a fork or gauge."))
    caution = next(t for t in texts(drawn) if t.text.startswith("Strings are under tension"))
    assert (step.height_mm, caution.height_mm) == (MEDIUM, SMALL)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", PRESETS)
def test_card_says_the_plus_minus_of_the_fork_on_the_same_paper(name, paper):
    """In one folder, two sheets with two different ± would leave you not knowing which to trust."""
    workup, datum = preset(name), fork_of(preset(name), paper)
    fork_sheet = lay_out(workup, templates()["fork"], PAPERS[paper], Options())
    on_fork = re.findall(r"± ?\d+\.\d", " ".join(words(one.drawing) for one in fork_sheet))
    shown = words(card(name, paper=paper).drawing)
    assert f"±: with the fork for this paper, against fret {datum}." in shown
    on_card = re.findall(r"± (\d+\.\d) mm", shown)
    wide = [how_sure(workup, datum).of_line(float(workup.across_mm[n])).half_width_mm for n in workup.outer_strings]
    assert [float(size) for size in on_card] == pytest.approx(wide, abs=0.0501)
    assert on_fork, "the fork says how sure it is"


def test_card_follows_the_fork_that_you_ask_for_from_another_fret():
    workup, options = preset("mandolin"), Options(datum_fret=15)
    bench, _ = lay_out(workup, templates()["setup-card"], PAPERS["a4"], options)
    assert "against fret 15. From a different fret the ± differs." in words(bench.drawing)
    figure = how_sure_on(workup, templates()["setup-card"], PAPERS["a4"], options, None)
    assert "a fork against fret 15" in figure.rest


def test_where_no_fork_goes_on_the_paper_the_card_says_which_fork_it_counts_on(monkeypatch):
    workup = preset("archtop-guitar")
    monkeypatch.setattr(fork, "draw", lambda *_: (_ for _ in ()).throw(DoesNotFit("it is wide")))
    bench = setup_card.draw(workup, room_on(PAPERS["a4"]), Options()).drawing
    assert "±: with a fork against fret 12." in words(bench)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", PRESETS)
def test_a_cent_is_high_enough_on_the_chart_to_be_read(name, paper):
    drawn, workup = chart(name, paper=paper).drawing, preset(name)
    found = svg_pieces(to_svg(chart(name, paper=paper), "card", "card"))
    for n in range(1, len(workup.across_mm) + 1):
        _, cents_of = axes(drawn, found, n)
        assert 1 / abs(cents_of(1.0) - cents_of(0.0)) >= 1.4


@pytest.mark.parametrize("name", PRESETS)
def test_chart_says_how_many_cents_its_lines_and_ticks_are(name):
    """Counted on the first panel."""
    drawn = chart(name).drawing
    found = svg_pieces(to_svg(chart(name), "card", "card"))
    _, cents_of = axes(drawn, found, 1)
    left, right = bounds(named(drawn, "panel-1")).left, bounds(named(drawn, "panel-1")).right
    ours = [item for item in drawn if not item.id and not isinstance(item, Text)]
    across = {
        round(cents_of(i.start[1]), 3) for i in ours if getattr(i, "start", (0, 0))[0] == left and i.end[0] == right
    }
    ticks = {
        round(cents_of(i.start[1]), 3)
        for i in ours
        if getattr(i, "start", (0, 0))[0] == left and left < i.end[0] < right and i.start[1] == i.end[1]
    }
    line, tick = re.search(r"1 line = (\d+) cents?(?:, 1 tick = (\d+) cents?)?\.", words(drawn)).groups()
    assert min(np.diff(sorted(across))) == pytest.approx(int(line), abs=0.01)
    if tick:
        assert min(np.diff(sorted(ticks | across))) == pytest.approx(int(tick), abs=0.01)
    else:
        assert not ticks


@settings(max_examples=25, deadline=None)
@given(
    width=st.floats(130, 900),
    height=st.floats(200, 600),
    name=st.sampled_from(PRESETS),
    hand=st.sampled_from(HANDS),
)
def test_any_sheet_is_either_filled_within_its_room_or_refused(width, height, name, hand):
    room = room_on(Paper("own", width, height))
    try:
        piece = setup_card.draw(preset(name, hand), room, Options())
    except DoesNotFit:
        return
    for drawn in (piece.drawing, *piece.more):
        box = drawn.bounds()
        assert min(box.left, box.top) >= -1e-9
        assert box.right <= room.width + 1e-9
        assert box.bottom <= room.height + 1e-9
        assert_clear(drawn)


def strung(count, frets, pair):
    notes = ["E5", "A4", "D4", "G3"]
    text = f'name = "x"\nscale = 400\nfrets = {frets}\n[nut]\nspacing = 80\n[board]\nnut_width = 95\n'
    text += "[bridge]\nspacing = 90\nlength = 120\n"
    for n in range(count):
        text += f'[[strings]]\nnote = "{notes[n * 4 // count]}"\ngauge = 0.25\npair = {str(pair).lower()}\n'
    return work_up(parse(text.encode(), "x"))


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("frets", [12, 36])
@pytest.mark.parametrize("count", [1, 2, 7, 12])
def test_up_to_twelve_courses_and_thirty_six_frets_go_on_two_sheets(count, frets, paper):
    workup = strung(count, frets, pair=count > 2)
    laid = lay_out(workup, templates()["setup-card"], PAPERS[paper], Options())
    assert len(laid) == 2
    for sheet in laid:
        assert_clear(sheet.drawing)
        assert sheet.drawing.bounds().bottom <= sheet.paper.height_mm - 5
    for n in range(1, count + 1):
        assert len(named(laid[1].drawing, f"after-{n}").runs[0]) == frets


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_twenty_four_strings_go_on_the_card_as_well(paper):
    laid = lay_out(strung(24, 22, False), templates()["setup-card"], PAPERS[paper], Options())
    assert [bounds(named(laid[1].drawing, f"panel-{n}")).width > 10 for n in range(1, 25)] == [True] * 24


def test_a_sheet_too_low_for_the_boxes_is_refused_with_papers_that_would_do():
    with pytest.raises(InputFaults, match=r"setup-card does not fit on 210 x 220 mm .*no height left for.*A4"):
        lay_out(preset("banjo"), templates()["setup-card"], paper_named("210x220"), Options())


def test_card_of_a_single_string_names_no_other_end():
    bench, _ = lay_out(strung(1, 12, False), templates()["setup-card"], PAPERS["a4"], Options())
    shown = words(bench.drawing)
    assert "other" not in shown
    assert "both" not in shown
    assert "treble" not in shown
    assert "Retune and check." in shown


def test_steps_come_in_the_order_of_the_bench():
    shown = words(card("banjo").drawing)
    order = [
        "1 Place it with a fork or gauge",
        "2 On string 1 D4, read the harmonic at fret 12, then the fretted note.",
        "3 Read each three times. Fret as you play.",
        "4 Write down the difference: fretted minus harmonic.",
        "5 Repeat with string 4 D3",
        "6 Flat (−): move that end towards the nut. Sharp (+): towards the tail.",
        "7 The table shows how far. Hold the bridge low",
        "8 Set both ends at once if you can: jigs readings gives both moves.",
        "9 One end alone shifts the other string by up to 46% as much: check both.",
        "10 Retune and check. Stop at 1.5 cents or less: three readings show nothing finer.",
    ]
    places = [shown.index(step) for step in order]
    assert places == sorted(places)
    assert "More than 8 mm to move? Then something else is wrong" in shown
    assert "the bridge falls" in shown


def test_aim_is_counted_from_where_the_line_does_not_bring_the_octave_true():
    assert "Count from" not in words(card("mandolin").drawing)
    workup = preset("mandolin", tune_to='"all frets"')
    shown = words(card("mandolin", tune_to='"all frets"').drawing)
    aims = [f"{workup.left_cents[n]:+.1f}".replace("-", "−") for n in workup.outer_strings]
    assert f"Count from the aim ({aims[0]} and {aims[1]} cents), not from 0." in shown
    assert "Aim: frets 1 to 12 as true as possible, on the outer strings." in words(
        chart("mandolin", tune_to='"all frets"').drawing
    )
    for aim in aims:
        assert f"{aim} cents" in shown


def test_card_for_a_cut_nut_says_how_far_to_cut():
    workup = preset("mandolin", tune_to='"nut and saddle"')
    shown = words(chart("mandolin", tune_to='"nut and saddle"').drawing)
    by = f"{-workup.setbacks.nut_setback_mm[0]:.2f} mm"
    assert f"only if the nut's end is moved towards the bridge: string 1 by {by}" in shown


def test_card_says_what_it_was_computed_from():
    shown = words(chart("mandolin").drawing)
    assert "scale 352.4 mm. Action 1.6 mm at fret 12, 0.4 mm at the nut" in shown
    assert "E5 .011, A4 .015, D4 .026w, G3 .040w" in shown
    assert "frets:" not in shown.lower(), "equal steps go without saying"
    eighteen = chart("mandolin", fret_crown_width='2.0\nfret_rule = "eighteen"')
    assert "Frets: rule of eighteen" in words(eighteen.drawing)
    slant = preset("mandolin").line.slant_deg
    assert f"Slant {slant:.1f}°, bass end farther from the nut." in shown
    assert "Finger 5 to 15 mm behind the fret, 0 to 0.5 mm deep" in shown


def test_nothing_on_the_card_claims_to_be_drawn_to_scale():
    for sheet in sheets("banjo"):
        shown = [t.text for t in texts(sheet.drawing)]
        assert "Not to scale" in shown
        assert "Scale 1:1" not in shown


def test_string_too_slack_for_the_table_is_refused(tmp_path):
    path = tmp_path / "slack.toml"
    path.write_text('name = "x"\nscale = 1414.2\n[[strings]]\nnote = "C2"\ngauge = 0.747\ncore = 0.25\n'
                    '[[strings]]\nnote = "E0"\ngauge = 0.527\n[action]\nfret_12 = 1.26\nnut = 0.4\n')  # fmt: skip
    status, _, shown = run("draw", path, "setup-card", "--sure", "--out", tmp_path / "out")
    assert status == 2
    assert "there is no table of moves" in shown
    assert not (tmp_path / "out").exists()


def test_card_comes_in_both_formats_by_its_name_and_alike_every_time(tmp_path):
    for folder in ("one", "two"):
        status, _, shown = run("draw", "mandolin", "setup-card", "--out", tmp_path / folder)
        assert (status, shown) == (0, "")
    made = [{path.name: path.read_bytes() for path in (tmp_path / folder).iterdir()} for folder in ("one", "two")]
    assert made[0] == made[1]
    assert sorted(made[0]) == [
        "mandolin-setup-card-1.svg",
        "mandolin-setup-card-2.svg",
        "mandolin-setup-card.pdf",
    ]
    svg = svg_pieces(made[0]["mandolin-setup-card-2.svg"])
    in_pdf = pdf_pieces_by_pdfminer(made[0]["mandolin-setup-card.pdf"], page=1)
    for curve in ("before", "after"):
        for n in range(1, 5):
            assert farthest_mm(svg[f"{curve}-{n}"], in_pdf) < 0.005


def test_there_is_no_cut_file_of_it(tmp_path):
    status, _, shown = run("draw", "mandolin", "setup-card", "--format", "dxf", "--out", tmp_path)
    assert status == 2
    assert "there is no dxf of the setup-card, which is for paper" in shown
