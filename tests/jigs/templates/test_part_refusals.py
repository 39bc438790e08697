"""What no part can be cut from is refused in a sentence that says where it is and what to do."""

import pytest
from samples import faults_are_sentences, filed, run


def refused(tmp_path, text, *arguments):
    """Draw from a file; the refusal's words."""
    file, out = tmp_path / "mine.toml", tmp_path / "out"
    file.write_text(text)
    status, _, shown = run("draw", file, *arguments, "--out", out)
    faults_are_sentences(status, shown, out)
    return shown


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (
            ["gauge", "--kerf", "2.1"],
            ["--kerf: a kerf of 2.1 mm leaves nothing of the gauge's notch, 1.9 mm", "finer cutter"],
        ),
        (["gauge", "--kerf", "3"], ["--kerf: a kerf of 3 mm leaves nothing"]),
        (["gauge", "--clearance", "-0.1"], ["--clearance", "negative"]),
        (["gauge", "--kerf", "-0.1"], ["--kerf", "negative"]),
        (["gauge", "--kerf", "0.2 furlong"], ["--kerf", "unknown unit"]),
        (["gauge", "--kerf", ""], ["--kerf"]),
        (["gauge", "--stock", "0.2"], ["--stock", "too thin", "0.3 to 3 mm"]),
        (["gauge", "--kerf", "x"], ["--kerf", "is not a length; write a length from 0 to 6 mm"]),
        (["gauge", "--stock", "4"], ["--stock", "too thick", "0.3 to 3 mm"]),
        (["gauge", "--corner", "11"], ["--corner", "too large"]),
        (["gauge", "--web", "0"], ["--web", "zero"]),
        (["gauge", "--datum-fret", "0"], ["--datum-fret", "there is no fret 0"]),
        (["gauge", "--datum-fret", "23"], ["--datum-fret", "there is no fret 23"]),
        (["head", "--rim", "left"], ["--rim", '"left" is not a side of the tension hoop', "nut or tail"]),
        (["head", "--rim", ""], ["--rim"]),
        (["fork", "--format", "dxf"], ["there is no dxf of the fork"]),
        (["spacing", "--format", "dxf"], ["there is no dxf of the spacing"]),
        (["crown", "--format", "dxf"], ["there is no dxf of the crown"]),
        (["gauge", "--format", "dfx"], ["--format", 'unknown format "dfx"', "did you mean"]),
        (["top"], ["top", "for mandolins and archtops", "for a banjo choose the head template"]),
        (["gage"], ['did you mean "gauge"']),
    ],
)
def test_bad_choice_for_a_banjo_is_refused(tmp_path, arguments, expected):
    shown = refused(tmp_path, filed("banjo", "head"), *arguments)
    for words in expected:
        assert words in shown, shown


def test_all_faults_of_the_cutter_are_listed_at_once(tmp_path):
    shown = refused(
        tmp_path, filed("banjo"), "gauge", "--kerf", "-1", "--clearance", "-1", "--stock", "9", "--web", "99"
    )
    assert len(shown.splitlines()) == 4


@pytest.mark.parametrize(
    ("tables", "values", "arguments", "expected"),
    [
        (("head",), {"length": 280}, ["head"], ["[bridge] length", "280 mm is longer than the head is wide, 279.4 mm"]),
        (("head",), {"fret_12_to_near_edge": 30}, ["head"], ["[rim] fret_12_to_near_edge", "would be beside it"]),
        (("head",), {"fret_12_to_near_edge": 400}, ["head"], ["[rim] fret_12_to_near_edge", "would be beside it"]),
        (("head",), {"fret_12_to_near_edge": 56}, ["head"], ["[rim]", "would not all stand on the head"]),
        (("head",), {"fret_12_to_near_edge": 0}, ["head"], ["[rim] fret_12_to_near_edge", "zero"]),
        (("head",), {"fret_12_to_near_edge": -5}, ["fork"], ["[rim] fret_12_to_near_edge", "negative"]),
        (("head",), {"length": 272}, ["head"], ["[rim]"]),
        (("head", "feet"), {"foot": 30}, ["head"], ["[bridge] foot", "wider than a bridge 72 mm long"]),
        (("head", "feet"), {"feet": 7}, ["head"], ["[bridge] feet", "the most is 6"]),
        (("heights",), {"height": 5}, ["gauge"], ["[bridge] height", "5 mm is less than the 5.5 mm"]),
        (("heights",), {"over_top": -1}, ["gauge"], ["[board] over_top", "negative"]),
        (("heights",), {"end": 300}, ["gauge"], ["[board] end", "before the last fret"]),
    ],
)
def test_measurements_of_a_banjo_that_cannot_be_are_refused(tmp_path, tables, values, arguments, expected):
    shown = refused(tmp_path, filed("banjo", *tables, **values), *arguments)
    for words in expected:
        assert words in shown, shown


@pytest.mark.parametrize(
    ("tables", "values", "arguments", "expected"),
    [
        (
            ("heights", "arch"),
            {"arch_rise": 30, "arch_span": 58},
            ["top"],
            ["[top] arch_span", "30 mm high is higher than half"],
        ),
        (("heights", "arch"), {"arch": '"gothic"'}, ["top"], ["[top] arch", "circular or parabolic"]),
        (("arch",), {}, ["fork"], ["[board] over_top", "is needed for [top] arch_rise"]),
        (("heights",), {"end": 352, "height": 70}, ["fork"], ["[bridge] height", "would stand under the board"]),
        (("heights",), {"end": 360}, ["fork"], ["[board] end", "beyond the bridge"]),
        ((), {}, ["head"], ["head", "the head template is for banjos", "choose the top template"]),
        (
            (),
            {},
            ["top", "--datum-end"],
            ["[board] end: the end of the board is not known", "--datum-end starts there"],
        ),
        (("notches",), {"notches": 5}, ["top"], ["[top] notches", "too short"]),
        ((), {}, ["top", "--datum-fret", "21"], ["--datum-fret", "there is no fret 21"]),
    ],
)
def test_measurements_of_a_mandolin_that_cannot_be_are_refused(tmp_path, tables, values, arguments, expected):
    shown = refused(tmp_path, filed("mandolin", *tables, **values), *arguments)
    for words in expected:
        assert words in shown, shown


@pytest.mark.parametrize(("kept", "missing"), [("arch_rise", "arch_span"), ("arch_span", "arch_rise")])
def test_arch_without_its_rise_or_its_span_is_refused(tmp_path, kept, missing):
    text = "\n".join(line for line in filed("mandolin", "heights", "arch").split("\n") if not line.startswith(missing))
    shown = refused(tmp_path, text, "top")
    assert f"[top] {missing}: [top] {kept} is filled in without [top] {missing}" in shown


def test_both_edges_of_the_rim_are_one_too_many(tmp_path):
    text = filed("banjo", "head") + "\nfret_12_to_far_edge = 436.4\n"
    assert "both [rim] fret_12_to_near_edge and [rim] fret_12_to_far_edge are filled in" in refused(
        tmp_path, text, "head"
    )


def test_dxf_beside_paper_is_passed_over_with_a_note(tmp_path):
    status, _, shown = run("draw", "mandolin", "fork", "--format", "pdf,dxf", "--out", tmp_path)
    assert status == 0
    assert "there is no dxf of the fork" in shown
    assert [path.name for path in tmp_path.iterdir()] == ["mandolin-fork.pdf"]


@pytest.mark.parametrize("template", ["gauge", "head"])
def test_part_too_large_for_the_paper_names_papers_that_fit_and_is_still_made_for_a_cutter(tmp_path, template):
    file, out = tmp_path / "mine.toml", tmp_path / "out"
    file.write_text(filed("banjo", "head", length=190.0))
    status, _, shown = run("draw", file, template, "--format", "pdf,dxf", "--paper", "a4", "--out", out)
    assert status == 3, shown
    assert "does not fit on A4" in shown
    assert "choose A3" in shown
    assert [path.suffix for path in out.iterdir()] == [".dxf"]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("template", ["gauge", "head"])
def test_part_too_wide_to_lie_beside_the_ruler_lies_below_it(tmp_path, template, paper):
    file = tmp_path / "mine.toml"
    file.write_text(filed("banjo", "head", length=150.0))
    status, _, shown = run("draw", file, template, "--paper", paper, "--out", tmp_path)
    assert status == 0, shown


def test_cut_files_need_no_paper(tmp_path):
    """What is too large for the sheet can still be cut."""
    file = tmp_path / "mine.toml"
    file.write_text(filed("archtop-guitar"))
    status, _, shown = run(
        "draw", file, "gauge", "--datum-fret", "12", "--format", "svg,dxf", "--out", tmp_path / "out"
    )
    assert status == 0, shown
    assert {path.suffix for path in (tmp_path / "out").iterdir()} == {".svg", ".dxf"}
