"""A rack with an instrument that is too wide for the paper: it gets all that fits, and is listed until it has the rest."""

import csv
import io
import json

import pytest
from samples import SMALL_FILE, run

from jigs.drawing.items import Text
from jigs.faults import Fault, Place
from jigs.instrument.opening import preset_text
from jigs.press.missing import Missing
from jigs.rack import index as rack_index
from jigs.rack.report import Item, Status
from jigs.rack.rows import Row
from jigs.sheets.paper import PAPERS

pytestmark = pytest.mark.slow


@pytest.fixture
def shelf(tmp_path):
    """A mandolin, and a banjo whose bridge is too wide for A4."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    (folder / "a.toml").write_text(SMALL_FILE, encoding="utf-8")
    wide = preset_text("banjo").replace("length    = 72.0", "length    = 200.0")
    (folder / "wide.toml").write_text(wide, encoding="utf-8")
    return folder


def made(*arguments, status=3):
    done = run("rack", *arguments)
    assert done[0] == status, done
    return done


def missing_lines(complaint):
    return [line for line in complaint.splitlines() if line.startswith("missing: ")]


def test_instrument_that_cannot_have_a_fork_gets_everything_else(shelf, tmp_path):
    out = tmp_path / "out"
    _, printed, complaint = made(shelf, "--out", out, "--templates", "fork,crown,gauge", "--format", "pdf,svg")
    assert printed.startswith("2 drawn, 0 unchanged, 1 of them incomplete, in ")
    names = {path.name for path in out.iterdir() if path.name.startswith("wide-")}
    assert names == {"wide-crown.pdf", "wide-crown.svg", "wide-gauge.svg"}
    assert {"a-fork.pdf", "a-crown.pdf", "a-gauge.pdf", "a-gauge.svg"} < {path.name for path in out.iterdir()}
    begins = [line.split(": ")[1:4] for line in missing_lines(complaint)]
    assert begins == [[name, str(shelf / "wide.toml"), "--paper"] for name in ("fork", "gauge.pdf")]


def test_unchanged_instrument_lists_what_it_lacks_again_and_is_not_redrawn(shelf, tmp_path):
    arguments = (shelf, "--out", tmp_path / "out", "--templates", "fork,crown")
    first = made(*arguments)[2]
    written = {path.name: path.stat().st_mtime_ns for path in (tmp_path / "out").iterdir()}
    for _ in range(2):
        _, printed, again = made(*arguments)
        assert printed.startswith("0 drawn, 2 unchanged, 1 of them incomplete, in ")
        assert again == first
    assert {path.name: path.stat().st_mtime_ns for path in (tmp_path / "out").iterdir()} == written


def test_what_is_missing_is_listed_under_the_place_that_the_shelf_was_moved_to(shelf, tmp_path):
    made(shelf, "--out", tmp_path / "out", "--templates", "fork,crown")
    moved = shelf.rename(tmp_path / "elsewhere")
    _, printed, complaint = made(moved, "--out", tmp_path / "out", "--templates", "fork,crown")
    assert printed.startswith("0 drawn, 2 unchanged")
    assert [line.split(": ")[2] for line in missing_lines(complaint)] == [str(moved / "wide.toml")]


def test_larger_paper_or_a_corrected_file_completes_the_rack(shelf, tmp_path):
    out = tmp_path / "out"
    made(shelf, "--out", out, "--templates", "fork,crown")
    _, printed, complaint = made(shelf, "--out", out, "--templates", "fork,crown", "--paper", "a3", status=0)
    assert "incomplete" not in printed
    assert not missing_lines(complaint)
    (shelf / "wide.toml").write_text(preset_text("banjo"), encoding="utf-8")
    _, printed, _ = made(shelf, "--out", out, "--templates", "fork,crown", status=0)
    assert "incomplete" not in printed
    assert (out / "wide-fork.pdf").exists()


def test_table_and_json_name_what_is_missing_and_why(shelf, tmp_path):
    out = tmp_path / "out"
    for _ in range(2):
        status, printed, complaint = run("rack", shelf, "--out", out, "--templates", "fork,crown", "--json")
        assert status == 3
        complete, incomplete = (item["missing"] for item in json.loads(printed)["instruments"])
        assert complete == []
        (one,) = incomplete
        assert (one["names"], one["where"], one["code"]) == (["fork"], "--paper", "paper-too-small")
        assert missing_lines(complaint) == [f"missing: fork: {one['source']}: --paper: {one['what']}"]
    rows = list(csv.DictReader(io.StringIO((out / "rack.csv").read_text(encoding="utf-8"))))
    assert [row["missing"] for row in rows] == ["", f"fork: --paper: {one['what']}"]
    assert [row["faults"] for row in rows] == ["", ""]


def test_part_is_nested_although_its_page_does_not_fit(shelf, tmp_path):
    arguments = ("--sheet", "600x400", "--templates", "fork,gauge", "--format", "dxf,pdf")
    _, printed, complaint = made(shelf, "--out", tmp_path / "out", *arguments)
    assert "2 parts on 1 sheet: nest-1" in printed
    assert "wide-gauge" in (tmp_path / "out" / "nest.csv").read_text(encoding="utf-8")
    assert [line.split(": ")[1] for line in missing_lines(complaint)] == ["fork", "gauge.pdf"]


def test_rack_of_which_nothing_fits_writes_nothing(shelf, tmp_path):
    (shelf / "a.toml").unlink()
    _, printed, complaint = made(
        shelf, "--out", tmp_path / "out", "--templates", "fork,gauge", "--format", "pdf", status=2
    )
    assert not printed
    assert [line.split(": ")[:2] for line in complaint.splitlines()] == [[str(shelf / "wide.toml"), "--paper"]] * 2
    assert not (tmp_path / "out").exists()


def test_index_lists_every_missing_drawing_with_its_instrument():
    row = Row("Banjo", *[1.0] * 9, "banjo", 5, in_courses=False, treble_string=1, bass_string=4)
    reasons = [Fault(Place("shelf/i.toml", option="paper"), what, "", "some-code") for what in ("too wide", "too long")]
    missing = (Missing(("fork",), reasons[0]), Missing(("gauge.pdf",), reasons[1]))
    item = Item("shelf/i.toml", Status.UNCHANGED, row, ("i-crown.pdf",), missing=missing, stem="i")
    (sheet,) = rack_index.lay_out([item], PAPERS["a4"], "x")
    words = [one.text for one in sheet.drawing if isinstance(one, Text)]
    assert "shelf/i.toml: fork: --paper: too wide" in words
    assert "shelf/i.toml: gauge.pdf: --paper: too long" in words
    assert "1 instrument, 1 incomplete" in " ".join(words)
