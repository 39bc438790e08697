"""What cannot be drawn is listed with its reason, and everything else of the order is drawn all the same."""

import json

import pytest
from samples import preset, run, with_template

from jigs.faults import Fault, InputFaults, Key, Place
from jigs.press import press
from jigs.press.missing import Missing, by_reason
from jigs.press.order import Order
from jigs.sheets.paper import PAPERS, paper_named
from jigs.templates.catalogue import CUT_FROM_STOCK, NAMES
from jigs.templates.options import Options

pytestmark = pytest.mark.slow

WIDE_MM = "200.0"
"""Of a bridge's feet. No fork about them goes on A4."""

DRAWN_OF_A_BANJO = set(NAMES) - {"head", "top"}
"""What the banjo's file has the measurements for."""

MEASURED_FOR = {"head": ("feet",), "top": ("heights",)}

TINY, LARGE = paper_named("130x200"), paper_named("1000x1400")


@pytest.fixture
def wide(tmp_path):
    """A banjo with a wide bridge, in a file."""
    text = run("presets", "banjo")[1].replace("length    = 72.0", f"length    = {WIDE_MM}")
    assert WIDE_MM in text
    path = tmp_path / "wide.toml"
    path.write_text(text, encoding="utf-8")
    return path


def draw(*arguments, status):
    done = run("draw", *arguments)
    assert done[0] == status, done
    return done[2].splitlines()


def files_in(folder):
    return {path.name for path in folder.iterdir()}


def test_fork_that_is_too_wide_for_the_paper_costs_no_other_drawing(wide, tmp_path):
    out = tmp_path / "out"
    shown = draw(wide, "--all", "--out", out, status=3)
    missing = [line.split(": ")[:3] for line in shown if not line.startswith("note: ")]
    assert missing == [["missing", name, "--paper"] for name in ("fork", "gauge.pdf", "blank.pdf")]
    pages = {name.removeprefix("wide-") for name in files_in(out) if name.endswith(".pdf")}
    assert pages == {f"{name}.pdf" for name in DRAWN_OF_A_BANJO - {"fork", "gauge", "blank"}}
    assert {"wide-gauge.svg", "wide-blank.svg"} < files_in(out)
    shown = draw(wide, "--all", "--paper", "a3", "--out", tmp_path / "a3", status=0)
    assert all(line.startswith("note: ") for line in shown)


def test_reason_that_a_drawing_is_missing_is_the_one_that_it_has_alone(wide, tmp_path):
    (alone,) = draw(wide, "fork", "--out", tmp_path / "alone", status=2)
    assert not (tmp_path / "alone").exists()
    assert f"missing: fork: {alone}" in draw(wide, "fork", "crown", "--out", tmp_path / "out", status=3)


def test_nothing_is_written_if_no_drawing_fits(wide, tmp_path):
    shown = draw(wide, "fork", "gauge", "--format", "pdf", "--out", tmp_path / "out", status=2)
    assert [line.split(": ")[0] for line in shown] == ["--paper", "--paper"]
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "order",
    [("--paper", "a44"), ("frok",), ("--format", "pfd"), ("--datum-fret", "last"), ("--set", "bridge.length=wide")],
)
def test_order_with_a_fault_draws_nothing(wide, tmp_path, order):
    draw(wide, "crown", "gauge", *order, "--out", tmp_path / "out", status=2)
    assert not (tmp_path / "out").exists()


def test_option_that_some_templates_cannot_follow_is_listed_once_for_all_of_them(tmp_path):
    shown = draw("banjo", "fork", "crown", "gauge", "--datum-fret", "99", "--out", tmp_path, status=3)
    assert shown == ["missing: fork, gauge: --datum-fret: there is no fret 99; choose 1 to 22"]
    assert files_in(tmp_path) == {"banjo-crown.pdf", "banjo-crown.svg"}


def test_template_without_its_measurement_is_missing_only_if_it_was_named(tmp_path):
    named = draw("banjo", "head", "crown", "--out", tmp_path / "named", status=3)
    assert len(named) == 1
    assert named[0].startswith("missing: head: preset banjo: [rim] fret_12_to_near_edge: ")
    notes = draw("banjo", "--all", "--out", tmp_path / "all", status=0)
    assert len([note for note in notes if note.startswith("note: the head is not drawn: ")]) == 1
    assert all(note.startswith("note: ") for note in notes)
    assert files_in(tmp_path / "named") < files_in(tmp_path / "all")


@pytest.mark.parametrize(("template", "name"), [("gauge", "banjo"), ("head", "banjo"), ("top", "mandolin")])
def test_part_to_cut_is_the_same_on_any_paper_and_on_one_that_its_page_does_not_fit(template, name):
    workup = with_template(template, name, *MEASURED_FOR.get(template, ()), length=WIDE_MM)
    assert cut_files_on(TINY, template, workup) == cut_files_on(LARGE, template, workup)


def cut_files_on(paper, template, workup):
    formats = ("pdf", "svg", "dxf")
    printed = press.prepare(workup, Order((template,), paper, formats), "x")
    names = {f"x-{template}.dxf"} | ({f"x-{template}.svg"} if template in CUT_FROM_STOCK else set())
    if paper is TINY:
        assert set(printed.files) == names
        assert {name for one in printed.missing for name in one.names} >= {f"{template}.pdf"}
    return {name: printed.files[name] for name in names}


def test_board_for_a_cutter_is_the_same_on_any_paper_and_on_one_that_its_sheets_do_not_fit():
    workup = preset("banjo", length=WIDE_MM)
    assert cut_files_on(TINY, "fretboard", workup) == cut_files_on(LARGE, "fretboard", workup)


def test_names_of_what_is_missing_and_of_what_is_made_are_together_all_that_was_ordered():
    """On papers from too small for anything to large enough for all."""
    workup, counts = preset("banjo", length=WIDE_MM), []
    for paper in (TINY, PAPERS["letter"], PAPERS["a4"], PAPERS["a3"], LARGE):
        printed = press.prepare(workup, Order(NAMES, paper, ("pdf", "dxf"), leave_out=True), "x")
        made = {name.removeprefix("x-").rpartition(".")[0] for name in printed.files}
        missing = {name.partition(".")[0] for one in printed.missing for name in one.names}
        assert made | missing == DRAWN_OF_A_BANJO
        assert {"x-gauge.dxf", "x-fretboard.dxf"} <= set(printed.files)
        counts.append(len(missing))
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1] == 0


def test_nothing_that_can_be_made_raises_each_reason_once():
    with pytest.raises(InputFaults) as wrong:
        press.prepare(preset("banjo"), Order(("fork", "gauge"), options=Options(datum_fret=99)), "x")
    assert [fault.code for fault in wrong.value.faults] == ["datum-fret-unknown"]


def test_reasons_are_kept_as_json_and_come_back_in_the_same_words():
    place = Place("shelf/mine.toml", "strings", "gauge", string=4)
    why = Fault(place, ("check ", Key("rim", "head")), ("or write ", Key("", "scale", "666.8")), "some-code")
    kept = json.loads(json.dumps(Missing(("fork", "gauge.pdf"), why).as_data()))
    assert "shelf" not in str(kept), "the shelf may be moved"
    back = Missing.from_data(kept, "elsewhere/mine.toml")
    assert back.names == ("fork", "gauge.pdf")
    assert str(back.why) == str(why).replace("shelf", "elsewhere")
    assert back.why.code == why.code


def test_one_reason_for_several_drawings_names_each_of_them_once():
    slant, width = (Fault(Place(), what, "", "some-code") for what in ("slant", "width"))
    each = [Missing(("fork",), slant), Missing(("gauge",), width), Missing(("crown", "fork"), slant)]
    assert by_reason(each) == (Missing(("fork", "crown"), slant), Missing(("gauge",), width))
