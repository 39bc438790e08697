"""Files with odd names: none costs the rack, acts on the terminal, or is worked out by a spreadsheet."""

import csv
import io
import json
import os

import pytest
from samples import SMALL_FILE, run

from jigs.instrument.opening import stem_for

NO_TEXT, CONTROL = os.fsdecode(b"\xff"), "\x1b[31m\x9b"


@pytest.mark.parametrize("odd", [NO_TEXT, CONTROL, "=1+2", "y" * 249])
def test_odd_name_costs_no_drawing_and_the_second_run_knows_it_again(tmp_path, odd):
    shelf, out = tmp_path / f"shelf{odd[:20]}", tmp_path / f"out{odd[:20]}"
    shelf.mkdir()
    (shelf / f"{odd}a.toml").write_text(SMALL_FILE, encoding="utf-8")
    (shelf / f"{odd}b.toml").write_text("scale = 1\n", encoding="utf-8")
    status, printed, shown = run("rack", shelf, "--out", out)
    assert status == 3
    assert printed.startswith("1 drawn, 0 unchanged, 1 faulty, in ")
    assert not [char for char in printed + shown if char in NO_TEXT + CONTROL[0] + CONTROL[-1]]
    status, printed, _ = run("rack", shelf, "--out", out, "--json")
    report = json.loads(printed)
    assert [one["status"] for one in report["instruments"]] == ["unchanged", "faulty"]
    rows = list(csv.DictReader(io.StringIO((out / "rack.csv").read_text(encoding="utf-8"))))
    assert [row["name"] for row in rows] == ["Test mandolin", ""]


def test_a_name_is_never_a_formula_of_a_spreadsheet_and_a_number_stays_one(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("=1+2", "@SUM(1)", "-2+3", "+4"):
        (tmp_path / f"{name}.toml").write_text(SMALL_FILE.replace("Test mandolin", name), encoding="utf-8")
    assert run("rack", *(f"./{path}" for path in os.listdir(tmp_path)), "--out", "out")[0] == 0
    tables = (tmp_path / "out" / "rack.csv").read_text(encoding="utf-8"), run("numbers", "=1+2.toml", "--csv")[1]
    cells = [cell for table in tables for row in csv.reader(io.StringIO(table)) for cell in row]
    assert "'=1+2" in cells
    assert "'@SUM(1)" in cells
    risky = [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
    assert all(float(cell) is not None for cell in risky)


def test_drawings_of_a_very_long_name_have_names_that_a_system_takes_and_that_differ(tmp_path):
    one, other = "y" * 249 + "a.toml", "y" * 249 + "b.toml"
    assert stem_for(one) != stem_for(other)
    (tmp_path / one).write_text(SMALL_FILE, encoding="utf-8")
    assert run("draw", tmp_path / one, "--out", tmp_path / "out")[0] == 0
    assert max(len(name) for name in os.listdir(tmp_path / "out")) < 200


def test_folder_with_control_characters_does_not_act_on_the_terminal(tmp_path):
    out = tmp_path / CONTROL
    status, printed, _ = run("draw", "banjo", "--out", out)
    assert status == 0
    assert r"\x1b[31m\x9b/banjo-fork.pdf" in printed
    assert not set(CONTROL[::5]) & set(printed)
