"""A whole rack with one command: complete files, nothing overwritten by surprise, and only what changed is redrawn."""

import csv
import io
import json
import os
import pty
import random
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest
from samples import SMALL_FILE, faults_are_sentences, run

from jigs.drawing.items import Text, bounds
from jigs.drawing.lettering import LARGE, LARGEST
from jigs.faults import Place
from jigs.input.words import empty
from jigs.instrument.opening import open_instrument, preset_text
from jigs.press import press
from jigs.press.order import Order
from jigs.rack import index as rack_index
from jigs.rack.files import gather
from jigs.rack.report import Item, Status
from jigs.rack.rows import Row
from jigs.rack.state import digest
from jigs.sheets.paper import PAPERS, Paper, paper_named
from jigs.system.workers import Brake, WorkerLost, each
from jigs.workup.tables import as_dict
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

BAD = 'name = "x"\nscale = -1\nfretts = 3\n'
BOARD = 'frets = [[1, 19.8], [2, "38.5 mm"]]\n'
STATE = "rack-state.jsonl"
FORK_ENDS = (".pdf", ".svg", "-words.svg")


def filled(folder, *names, content=SMALL_FILE):
    """A folder with an instrument file for each name."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in names:
        text = content.replace("Test mandolin", f"The {name}")
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def files_in(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def forks_of(stem, folder):
    """The names of an instrument's fork: a page, its drawing, and its words where these are on a sheet of their own."""
    names = sorted(name for name in files_in(folder) if name.startswith(f"{stem}-fork"))
    assert {f"{stem}-fork.pdf", f"{stem}-fork.svg"} <= set(names) <= {f"{stem}-fork{end}" for end in FORK_ENDS}
    return names


def stamps(folder):
    """When each file was put in its place, and which file that is."""
    return {path.name: (path.stat().st_mtime_ns, path.stat().st_ino) for path in folder.iterdir()}


def made(*arguments, status=0):
    done = run("rack", *arguments)
    assert done[0] == status, done
    return done


def report_of(*arguments, status=0):
    return json.loads(made(*arguments, "--json", status=status)[1])


def rows_of(folder):
    return list(csv.DictReader(io.StringIO((folder / "rack.csv").read_text(encoding="utf-8"))))


def test_every_instrument_is_drawn_as_alone_and_summed_up(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    (shelf / "banjo.toml").write_text(preset_text("banjo"), encoding="utf-8")
    made(shelf, "--out", out, "--templates", "fork,gauge", "--format", "pdf,dxf")
    found = files_in(out)
    for stem in ("a", "b", "banjo"):
        workup = work_up(open_instrument(str(shelf / f"{stem}.toml")))
        alone = press.prepare(workup, Order(("fork", "gauge"), formats=("pdf", "dxf")), stem).files
        assert len(alone) == 3
        assert {name: found.pop(name) for name in alone} == alone
    assert set(found) == {"rack.csv", "rack-index.pdf", STATE}


def test_summary_holds_the_numbers_of_every_instrument(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    (shelf / "banjo.toml").write_text(preset_text("banjo"), encoding="utf-8")
    report = report_of(shelf, "--out", out)
    for row, item, stem in zip(rows_of(out), report["instruments"], ("a", "banjo"), strict=True):
        numbers = as_dict(work_up(open_instrument(str(shelf / f"{stem}.toml"))))
        known = {"name": numbers["name"], "scale_mm": numbers["scale_mm"]}
        keys = ("treble_mm", "bass_mm", "slant_deg", "plus_minus_mm", "treble_plus_minus_mm", "bass_plus_minus_mm")
        known |= {key: numbers["bridge"][key] for key in keys}
        assert {key: item[key] for key in known} == known
        assert row["name"] == known.pop("name")
        assert all(abs(float(row[key]) - value) <= 0.005001 for key, value in known.items())
        assert row["files"].split() == item["files"] == forks_of(stem, out)


def test_faults_of_a_file_are_all_shown_and_the_others_are_drawn(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "c"), tmp_path / "out"
    (shelf / "b.toml").write_text(BAD, encoding="utf-8")
    _, printed, complaint = made(shelf, "--out", out, status=3)
    alone = run("draw", shelf / "b.toml", "--out", tmp_path / "nowhere")[2]
    assert len(alone.splitlines()) > 2
    assert [line for line in complaint.splitlines() if "b.toml" in line] == alone.splitlines()
    assert {"a-fork.pdf", "c-fork.pdf"} < set(files_in(out))
    assert "2 drawn" in printed
    assert "1 faulty" in printed
    names = [(row["name"], bool(row["faults"])) for row in rows_of(out)]
    assert names == [("The a", False), ("", True), ("The c", False)]


def test_survey_among_the_instruments_is_skipped_unless_it_was_named(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    (shelf / "board.toml").write_text(BOARD, encoding="utf-8")
    (shelf / "notes.txt").write_text("x", encoding="utf-8")
    (shelf / ".b.toml").write_text(BAD, encoding="utf-8")
    filled(shelf / "last year", "a")
    _, _, complaint = made(shelf, "--out", out)
    assert "board.toml" in complaint
    assert "skipped" in complaint
    assert [row["name"] for row in rows_of(out)] == ["The a"]


def test_file_that_was_named_must_be_an_instrument(tmp_path):
    shelf = filled(tmp_path / "shelf", "a")
    (shelf / "board.toml").write_text(BOARD, encoding="utf-8")
    _, _, complaint = made(shelf / "board.toml", shelf, "--out", tmp_path / "out", status=3)
    assert "board.toml: scale: the scale length is missing" in complaint


def test_instruments_come_in_the_order_of_their_numbers(tmp_path):
    shelf = filled(tmp_path / "shelf", "loan 10", "loan 9", "Loan 1")
    assert [source.path.name for source in gather([str(shelf)]).sources] == [
        "Loan 1.toml",
        "loan 9.toml",
        "loan 10.toml",
    ]
    twice = gather([str(shelf / "loan 9.toml"), str(shelf), f"{shelf}/../shelf"])
    assert [source.path.name for source in twice.sources] == ["loan 9.toml", "Loan 1.toml", "loan 10.toml"]


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("empty",), "no instrument file"),
        (("nowhere",), "no such file"),
        (("shelf", "--jobs", "0"), "--jobs"),
        (("shelf", "--jobs", "-1"), "--jobs"),
        (("shelf", "--jobs", "many"), "--jobs"),
        (("shelf", "--jobs", "1e9"), "--jobs"),
        (("shelf", "--templates", "frok"), 'did you mean "fork"'),
        (("shelf", "--templates", ""), "--templates"),
        (("shelf", "--paper", "a44"), 'did you mean "a4"'),
        (("shelf", "--format", "dxf"), "there is no dxf of fork"),
        (("shelf", "--sheet", "600"), "width x height"),
        (("shelf", "--sheet", "24x11,5"), "for inches write 24inx11,5in, for centimetres 24cmx11,5cm"),
        (("shelf", "--sheet", "600x20"), "30 to 5000 mm"),
        (("shelf", "--sheet", "600x-3"), "--sheet"),
        (("shelf", "--sheet", "9000x600"), "30 to 5000 mm"),
        (("shelf", "--sheet", "600x300", "--gap", "80"), "--gap"),
        (("shelf", "--gap", "3"), "--sheet"),
        (("shelf", "--name", ""), '--name: "" is not a name'),
        (("shelf", "--name", " "), '--name: " " is not a name'),
        (("shelf", "--name", "a\nb"), "--name: "),
        (("shelf", "--sheet", "600x300", "--templates", "fork"), "gauge"),
        (("shelf", "--sheet", "600x300", "--format", "pdf"), "dxf or svg"),
        (("bad",), "is negative"),
    ],
)
def test_order_that_leads_to_nothing_is_refused_and_nothing_is_written(tmp_path, monkeypatch, arguments, expected):
    monkeypatch.chdir(tmp_path)
    filled(tmp_path / "shelf", "a")
    (tmp_path / "empty").mkdir()
    filled(tmp_path / "bad", "x", content=BAD)
    status, _, complaint = run("rack", *arguments, "--out", "out")
    faults_are_sentences(status, complaint, tmp_path / "out")
    assert expected in complaint


def test_endless_name_of_a_rack_is_refused_at_once_and_a_long_one_is_kept_short(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    _, _, complaint = made(shelf, "--out", out, "--name", "x" * 20_000, status=2)
    assert "--name: this name has 20000 characters; write up to 200" in complaint
    assert not out.exists()
    made(shelf, "--out", out, "--name", "x" * 200)


def test_rack_of_many_folders_is_called_by_the_first_of_them(tmp_path):
    from jigs.rack.run import _called

    folders = [filled(tmp_path / f"{n}{'x' * 100}", "a") for n in range(40)]
    assert _called([str(folder) for folder in folders]).endswith(" and 37 more")


def test_fault_in_an_option_says_which_instrument_it_does_not_suit(tmp_path):
    shelf = filled(tmp_path / "shelf", "a")
    (shelf / "banjo.toml").write_text(preset_text("banjo"), encoding="utf-8")
    for fret, faulty, status in (("21", ["a"], 3), ("99", ["a", "banjo"], 2)):
        _, _, complaint = made(shelf, "--out", tmp_path / fret, "--datum-fret", fret, status=status)
        lines = complaint.splitlines()
        assert [line.split(": ")[:2] for line in lines] == [[f"{shelf}/{one}.toml", "--datum-fret"] for one in faulty]


def test_folder_that_cannot_be_written_is_named(tmp_path):
    shelf = filled(tmp_path / "shelf", "a")
    (tmp_path / "file").write_bytes(b"mine")
    for out in (tmp_path / "file", tmp_path / "file" / "deeper", tmp_path / "\0"):
        status, _, complaint = run("rack", shelf, "--out", out)
        faults_are_sentences(status, complaint, tmp_path / "out")
        assert "cannot be written" in complaint
    assert (tmp_path / "file").read_bytes() == b"mine"


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_folder_without_permission_is_named(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    out.mkdir(mode=0o500)
    status, _, complaint = run("rack", shelf, "--out", out)
    assert status == 2
    assert "cannot be written" in complaint


def test_full_disk_loses_no_instrument_that_was_there(tmp_path, monkeypatch):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    made(shelf, "--out", out)
    before = files_in(out)

    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    status, _, complaint = run("rack", shelf, "--out", out, "--force")
    assert status == 2
    assert "No space left on device" in complaint
    assert files_in(out) == before


def test_instruments_whose_files_would_have_one_name_are_refused_and_the_others_are_drawn(tmp_path):
    one, two, out = filled(tmp_path / "one", "loan 7", "a"), filled(tmp_path / "two", "Loan-7", "b"), tmp_path / "out"
    _, _, complaint = made(one, two, "--out", out, status=3)
    assert sum("rename one of the two" in line for line in complaint.splitlines()) == 2
    assert {"a-fork.pdf", "b-fork.pdf"} < set(files_in(out))
    assert "loan-7-fork.pdf" not in files_in(out)


def test_surveys_of_the_same_name_are_no_clash(tmp_path):
    one, two, out = filled(tmp_path / "one", "a"), filled(tmp_path / "two", "b"), tmp_path / "out"
    for shelf in (one, two):
        (shelf / "board.toml").write_text(BOARD, encoding="utf-8")
    made(one, two, "--out", out)


def test_another_shelfs_files_are_not_overwritten_without_force(tmp_path):
    one, two, out = filled(tmp_path / "one", "loan"), filled(tmp_path / "two", "loan"), tmp_path / "out"
    (two / "loan.toml").write_text(SMALL_FILE.replace("13 7/8", "14"), encoding="utf-8")
    made(one, "--out", out)
    before = files_in(out)
    _, _, complaint = made(two, "--out", out, status=2)
    assert "were made from" in complaint
    assert files_in(out) == before
    made(two, "--out", out, "--force")
    assert files_in(out)["loan-fork.pdf"] != before["loan-fork.pdf"]


def test_shelf_that_was_moved_is_still_the_same_rack(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    made(shelf, "--out", out)
    before = stamps(out)
    shelf.rename(tmp_path / "elsewhere")
    assert "0 drawn, 2 unchanged" in made(tmp_path / "elsewhere", "--out", out)[1]
    assert stamps(out)["a-fork.pdf"] == before["a-fork.pdf"]
    filled(tmp_path / "elsewhere", "a", content=SMALL_FILE.replace("13 7/8", "14"))
    assert "1 drawn, 1 unchanged" in made(tmp_path / "elsewhere", "--out", out)[1]


def test_second_run_writes_nothing(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    first = report_of(shelf, "--out", out)
    before, contents = stamps(out), files_in(out)
    again = report_of(shelf, "--out", out)
    assert stamps(out) == before
    assert files_in(out) == contents
    assert {item["status"] for item in again["instruments"]} == {"unchanged"}
    for report in (first, again):
        for item in report["instruments"]:
            del item["status"]
    assert again == first


def test_instrument_without_a_drawing_is_not_counted_as_drawn(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    for _ in range(2):
        assert made(shelf, "--out", out, "--templates", "head")[1].startswith(
            "0 drawn, 0 unchanged, 1 with nothing to draw, "
        )
    assert [one["status"] for one in report_of(shelf, "--out", out, "--templates", "head")["instruments"]] == [
        "nothing to draw"
    ]
    assert made(shelf, "--out", out, "--sheet", "600x300")[1].startswith("1 drawn, 0 unchanged, in ")


def test_only_what_changed_is_redrawn(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "b", "c"), tmp_path / "out"
    made(shelf, "--out", out)
    before = stamps(out)
    filled(shelf, "b", content=SMALL_FILE.replace("13 7/8", "14"))
    made(shelf, "--out", out)
    changed = {name for name, stamp in stamps(out).items() if before[name] != stamp}
    assert changed == {*forks_of("b", out), "rack.csv", "rack-index.pdf", "rack-index.svg", STATE}


@pytest.mark.parametrize("name", ["a-fork.svg", "rack.csv", "rack-index.pdf"])
def test_missing_or_altered_file_is_redrawn(tmp_path, name):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    made(shelf, "--out", out)
    wanted, before = files_in(out), stamps(out)
    (out / name).unlink()
    made(shelf, "--out", out)
    assert files_in(out) == wanted
    (out / name).write_bytes(wanted[name][:-5])
    made(shelf, "--out", out)
    assert files_in(out) == wanted
    assert stamps(out)["b-fork.pdf"] == before["b-fork.pdf"]


@pytest.mark.parametrize("option", [("--paper", "letter"), ("--datum-fret", "13"), ("--datum-over",)])
def test_another_option_redraws_everything(tmp_path, option):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    made(shelf, "--out", out)
    assert "1 drawn" in made(shelf, "--out", out, *option)[1]
    assert "0 drawn" in made(shelf, "--out", out, *option)[1]


def test_another_setting_or_program_redraws_everything(tmp_path, monkeypatch):
    from jigs.rack import state as rack_state
    from jigs.system.user_folder import settings_path

    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    arguments = (shelf, "--out", out, "--templates", "gauge", "--format", "svg")
    made(*arguments)
    settings_path().parent.mkdir(parents=True)
    settings_path().write_text('[cutter]\nkerf = 0.2\n[cutter.cut]\ncolour = "#ff0000"\n', encoding="utf-8")
    assert "1 drawn" in made(*arguments)[1]
    assert b"#ff0000" in files_in(out)["a-gauge.svg"]
    monkeypatch.setattr(rack_state, "program", lambda: "the next one")
    assert "1 drawn" in made(*arguments)[1]


def test_force_writes_everything_again(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    made(shelf, "--out", out)
    wanted, before = files_in(out), stamps(out)
    made(shelf, "--out", out, "--force")
    assert files_in(out) == wanted
    assert not any(stamps(out)[name] == stamp for name, stamp in before.items() if name != STATE)


def test_files_of_an_instrument_that_is_gone_stay_and_are_listed(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    made(shelf, "--out", out)
    before = files_in(out)
    (shelf / "b.toml").unlink()
    for _ in range(2):
        report = report_of(shelf, "--out", out)
        assert report["left_over"] == forks_of("b", out)
        assert files_in(out)["b-fork.pdf"] == before["b-fork.pdf"]
    assert "b-fork.pdf" in made(shelf, "--out", out)[2]
    drawings = [name for name in forks_of("a", out) if name.endswith(".svg")]
    left_over = report_of(shelf, "--out", out, "--format", "pdf")["left_over"]
    assert left_over == [*drawings, *forks_of("b", out), "rack-index.svg"]
    filled(shelf, "b")
    assert report_of(shelf, "--out", out)["left_over"] == []


@pytest.mark.parametrize("trouble", ["mistake", "folder", "clash"])
def test_last_drawing_of_an_instrument_that_fails_today_is_not_among_those_to_delete(tmp_path, trouble):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    made(shelf, "--out", out)
    if trouble == "mistake":
        (shelf / "b.toml").write_text(BAD, encoding="utf-8")
    elif trouble == "clash":
        filled(tmp_path / "other", "b")
    else:
        (out / "b-fork.pdf").unlink()
        (out / "b-fork.pdf").mkdir()
    others = [tmp_path / "other"] if trouble == "clash" else []
    report = report_of(shelf, *others, "--out", out, status=3)
    assert (report["left_over"], "b-fork.svg" in [path.name for path in out.iterdir()]) == ([], True)
    (shelf / "b.toml").unlink()
    left_over = report_of(shelf, "--out", out)["left_over"]
    assert "b-fork.svg" in left_over


def line_of(content, what):
    return next(n for n, line in enumerate(content.split(b"\n")) if what in line)


def torn(content):
    return content[: len(content) // 2]


def edited(content):
    return content.replace(b'"The a"', b'"The z"')


def led_out(content):
    """A line that is whole, and names a file outside of the folder."""
    lines = content.split(b"\n")
    n = line_of(content, b'"instrument a"')
    body = b"{" + lines[n].partition(b", ")[2].replace(b'"a-fork.pdf"', b'"../a-fork.pdf"')
    lines[n] = b'{"checksum": "%b", ' % digest(body + b"\n")[:16].encode() + body[1:]
    return b"\n".join(lines)


@pytest.mark.parametrize(
    "damage",
    [
        lambda _: b"",
        lambda _: b"\0" * 4096,
        lambda content: content.split(b"\n")[0] + b"\n" + b"[" * 100_000 + b"\nnull\n3\n[]\n{}\n",
        lambda content: b"somebody else's\n" + content,
        torn,
        edited,
        led_out,
    ],
)
def test_damaged_state_costs_nothing_but_time(tmp_path, damage):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    made(shelf, "--out", out)
    wanted = files_in(out)
    (tmp_path / "a-fork.pdf").write_bytes(b"mine")
    (out / STATE).write_bytes(damage(wanted[STATE]))
    assert (out / STATE).read_bytes() != wanted[STATE]
    assert "0 drawn" not in made(shelf, "--out", out)[1]
    assert files_in(out) == wanted


@pytest.mark.parametrize(
    ("name", "content"),
    [
        (STATE, b"{}"),
        (STATE, b"\0\xff\n\n"),
        (STATE, b"[" * 100_000),
        ("rack.csv", b"my,own,table\n"),
        ("rack-index.pdf", b"%PDF-1.4 mine"),
        ("nest.csv", b"mine\n"),
        (".rack-notes.part", b"mine"),
        (".rack-my_notes.part", b"mine"),
        (".rack-abcdefgh.part", b"mine"),
    ],
)
def test_file_of_the_users_in_the_racks_folder_is_never_lost_and_nothing_is_drawn_in_vain(tmp_path, name, content):
    out = filled(tmp_path / "own", "a")
    (out / name).write_bytes(content)
    kept, is_part = files_in(out), name.endswith(".part")
    _, _, complaint = made(out, "--out", out, "--sheet", "600x300", "--format", "pdf,dxf", status=0 if is_part else 2)
    assert files_in(out).items() >= kept.items()
    if not is_part:
        assert files_in(out) == kept
        assert f"{name}: jigs did not write this file, so it stays; rename it" in complaint


def test_drawing_of_the_users_costs_one_instrument_and_not_the_rack(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), filled(tmp_path / "out")
    (out / "a-fork.pdf").write_bytes(b"%PDF-1.4 mine")
    _, shown, complaint = made(shelf, "--out", out, status=3)
    assert shown.startswith("1 drawn, 0 unchanged, 1 faulty")
    assert "a-fork.pdf: jigs did not write this file" in complaint
    assert (out / "a-fork.pdf").read_bytes() == b"%PDF-1.4 mine"
    assert forks_of("b", out)


@pytest.mark.parametrize("error", [MemoryError(), ZeroDivisionError("by nought"), RecursionError("too deep")])
def test_error_of_one_file_is_that_files_and_the_others_are_drawn(tmp_path, monkeypatch, error):
    from jigs.rack import work

    def work_up_but_one(instrument):
        if instrument.name == "The b":
            raise error
        return work_up(instrument)

    shelf, out = filled(tmp_path / "shelf", "a", "b", "c"), tmp_path / "out"
    monkeypatch.setattr(work, "work_up", work_up_but_one)
    _, shown, complaint = made(shelf, "--out", out, "--jobs", "1", status=3)
    assert shown.startswith("2 drawn, 0 unchanged, 1 faulty")
    assert f"b.toml: jigs cannot draw this, through an error of its own ({type(error).__name__}" in complaint
    assert "b.toml" in (out / "rack.csv").read_text(encoding="utf-8")
    assert forks_of("a", out)
    assert forks_of("c", out)


def test_error_of_a_log_is_its_instruments_and_the_others_are_drawn(tmp_path, monkeypatch):
    from jigs.rack import run as rack_run

    def unreadable(path, *_):
        if path.stem == "a":
            raise MemoryError
        return None, ()

    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    monkeypatch.setattr(rack_run, "last_reading", unreadable)
    for shown in ("1 drawn, 0 unchanged, 1 faulty", "0 drawn, 1 unchanged, 1 faulty"):
        assert made(shelf, "--out", out, status=3)[1].startswith(shown)


def test_file_whose_process_ends_by_itself_is_faulty_and_the_others_are_drawn(tmp_path, monkeypatch):
    from jigs.rack import run as rack_run

    def ended(work, tasks, _jobs, _brake, lost):
        return [lost(task) if task.source.stem == "b" else work(task) for task in tasks]

    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    monkeypatch.setattr(rack_run, "each", ended)
    _, shown, complaint = made(shelf, "--out", out, status=3)
    assert shown.startswith("1 drawn, 0 unchanged, 1 faulty")
    assert "b.toml: the process that drew this ended by itself" in complaint


def test_same_bytes_with_any_number_of_processes(tmp_path):
    shelf = filled(tmp_path / "shelf", *(f"n{n}" for n in range(62)))
    (shelf / "bad.toml").write_text(BAD, encoding="utf-8")
    for jobs in (1, 3):
        made(shelf, "--out", tmp_path / f"out-{jobs}", "--jobs", jobs, status=3)
    found = files_in(tmp_path / "out-1")
    assert all(forks_of(f"n{n}", tmp_path / "out-1") for n in range(62))
    assert len([name for name in found if name.startswith("rack-index-")]) > 1
    assert {"rack.csv", "rack-index.pdf", STATE} < set(found)
    assert found == files_in(tmp_path / "out-3")


def test_lost_state_rewrites_no_file_that_is_as_it_should_be(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a", "b"), tmp_path / "out"
    made(shelf, "--out", out)
    before = stamps(out)
    (out / STATE).unlink()
    made(shelf, "--out", out)
    assert {name for name, stamp in stamps(out).items() if before[name] != stamp} == {STATE}


def test_unfinished_files_of_a_killed_rack_are_deleted_and_no_others(tmp_path):
    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    out.mkdir()
    halves = (b"", b"%PD", b"%PDF-1.6 half", b'<?xml version="1.0" half', b"name,source,scale_mm,half")
    for n, half in enumerate(halves):
        (out / f".rack-x_{n}abcd2.part").write_bytes(half)
    others = {".x_0abcd2.part", ".rack-x_0abcd2", "rack-x_0abcd2.part"}
    for name in others:
        (out / name).write_bytes(b"%PDF-1.6 half")
    made(shelf, "--out", out)
    assert {name for name in files_in(out) if "x_" in name} == others


def test_program_of_another_text_is_another_program(monkeypatch):
    from jigs.rack import state as rack_state

    this = rack_state.program()
    assert rack_state.program.__wrapped__() == this
    monkeypatch.setattr(Path, "read_bytes", lambda _: b"changed")
    assert rack_state.program.__wrapped__() != this


def test_one_rack_at_a_time_in_a_folder(tmp_path):
    from jigs.rack.state import only_rack

    shelf, out = filled(tmp_path / "shelf", "a"), tmp_path / "out"
    with only_rack(out):
        status, _, complaint = run("rack", shelf, "--out", out)
        assert status == 2
        assert "another rack is being drawn" in complaint
        assert files_in(out) == {}
    made(shelf, "--out", out)


def instances(shelf, out):
    """A whole rack in this process: what the killed ones must come to."""
    made(shelf, "--out", out, "--jobs", 1)
    return files_in(out)


def started(shelf, out):
    command = [sys.executable, "-m", "jigs", "rack", str(shelf), "--out", str(out), "--jobs", "2"]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True)


def until(condition, seconds=60):
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.005)


def at_work(child):
    """Whether a process is there, and not only its name in the table."""
    try:
        return (child / "stat").read_text().rpartition(") ")[2][0] not in "ZX"
    except OSError:
        return False


def children_of(process):
    listed = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    return [Path(f"/proc/{child}") for child in listed.read_text().split()] if listed.exists() else []


def test_run_that_is_killed_leaves_whole_files_and_goes_on_from_there(tmp_path):
    shelf, out = filled(tmp_path / "shelf", *(f"n{n}" for n in range(60))), tmp_path / "out"
    wanted = instances(shelf, tmp_path / "whole")
    dice = random.Random(6)
    for kill, how in enumerate((signal.SIGKILL, signal.SIGINT, signal.SIGKILL, signal.SIGTERM)):
        drawn = len(list(out.glob("*.pdf"))) if out.exists() else 0
        process = started(shelf, out)
        until(
            lambda drawn=drawn, process=process: process.poll() is not None or len(list(out.glob("*.pdf"))) > drawn + 4
        )
        time.sleep(dice.uniform(0, 0.02))
        workers = children_of(process)
        if how is not signal.SIGKILL:
            os.killpg(process.pid, how)  # as a terminal does: to the workers too
        else:
            process.send_signal(how)
        _, complaint = process.communicate()
        assert process.returncode in ((-signal.SIGKILL,) if how is signal.SIGKILL else (1,)), complaint
        if how is not signal.SIGKILL:
            assert "run the same command again" in complaint
            assert len(complaint.splitlines()) == 1, complaint
            assert not list(out.glob("*.part"))
        until(lambda workers=workers: not any(map(at_work, workers)))
        there = {name: content for name, content in files_in(out).items() if not name.endswith(".part")}
        assert 2 * 5 * (kill + 1) - 2 < len(there) < len(wanted), "it was not under way"
        assert {name: wanted[name] for name in there if name != STATE} == {
            name: content for name, content in there.items() if name != STATE
        }
    before = {name: stamp for name, stamp in stamps(out).items() if name in wanted and name != STATE}
    made(shelf, "--out", out, "--jobs", 1)
    assert files_in(out) == wanted
    assert {name: stamps(out)[name] for name in before} == before


def lost(_item):
    os._exit(3)


def test_worker_that_ends_by_itself_ends_the_run():
    with pytest.raises(WorkerLost):
        list(each(lost, range(30), 2, Brake()))


def test_system_without_processes_still_draws(monkeypatch):
    from jigs.system import workers

    def unable(*_arguments):
        raise NotImplementedError

    monkeypatch.setattr(workers, "ProcessPoolExecutor", unable)
    assert list(each(str, range(30), 2, Brake())) == [str(n) for n in range(30)]


def test_progress_bar_is_shown_on_a_terminal_only(tmp_path):
    shelf = filled(tmp_path / "shelf", "a", "b")
    assert "%" not in made(shelf, "--out", tmp_path / "quiet")[2]
    mine, theirs = pty.openpty()
    command = [sys.executable, "-m", "jigs", "rack", str(shelf), "--out", str(tmp_path / "out")]
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "80"}
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=theirs, env=environment, timeout=60)
    os.close(theirs)
    shown = ""
    with suppress(OSError):  # how the end of a terminal shows
        while part := os.read(mine, 1 << 16):
            shown += part.decode()
    os.close(mine)
    assert "2/2" in shown


def indexed(count, name="Instrument", faulty=0, more=()):
    """The items of a rack; each has a fork, and files of whatever ``more`` endings."""
    items = []
    for n in range(1, count + 1):
        numbers = (666.75, 669.76, 670.1, 0.61, 2.2, 2.1, 0.04, 669.76, 670.1)
        row = Row(f"{name} {n}", *numbers, "banjo", 5, in_courses=False, treble_string=1, bass_string=4)
        files = tuple(f"i{n}-{end}" for end in sorted(("fork.pdf", "fork.svg", *more)))
        items.append(Item(f"shelf/i{n}.toml", Status.MADE, row, files, stem=f"i{n}"))
    faults = (empty("start anew").at(Place("shelf/bad.toml")),)
    return [*items, *(Item(f"shelf/bad-{n}.toml", Status.FAULTY, faults=faults) for n in range(faulty))]


@pytest.mark.parametrize("paper", [*PAPERS, "130x200", "500x300"])
@pytest.mark.parametrize(
    "name", ["Loan banjo", "A mandolin whose name is as long as a name can well be, and then more"]
)
def test_index_has_every_instrument_once_with_nothing_over_anything_on_any_paper(paper, name):
    sheets = rack_index.lay_out(indexed(70, name, faulty=3), paper_named(paper), "The rack")
    words, first_column = [], []
    for n, sheet in enumerate(sheets, 1):
        texts = [item for item in sheet.drawing if isinstance(item, Text)]
        first_column += [text.text for text in texts if text.at[0] == 10.0]
        boxes = [bounds(text) for text in texts]
        words += [text.text for text in texts]
        assert f"Sheet {n} of {len(sheets)}" in words
        for text, box in zip(texts, boxes, strict=True):
            assert box.left >= 9.9, text.text
            assert box.right <= sheet.paper.width_mm - 9.9, text.text
            assert box.top >= 9.9, text.text
            assert box.bottom <= sheet.paper.height_mm - 9.0, text.text
        by_place = sorted(zip(boxes, texts, strict=True), key=lambda pair: pair[0].top)
        for m, (box, text) in enumerate(by_place):
            for other, over in by_place[m + 1 :]:
                if other.top > box.bottom:
                    break
                assert not box.overlaps(other), f"{text.text!r} over {over.text!r}"
    assert len(sheets) > 1 or paper == "a3"
    for n in range(1, 71):
        assert words.count(f"i{n}-fork.pdf .svg") == 1
        assert first_column.count(str(n)) == 1
    assert sum("bad-" in word for word in words) == 3
    assert words.count("± 2.1") == words.count("± 0.1") == 70


def test_index_names_every_file_of_an_instrument_that_has_several():
    (sheet,) = rack_index.lay_out(
        indexed(1, more=("fretboard.pdf", "fretboard-1.svg", "fretboard-2.svg")), PAPERS["a4"], "x"
    )
    texts = [item.text.replace("\N{NO-BREAK SPACE}", " ") for item in sheet.drawing if isinstance(item, Text)]
    n = texts.index("i1-")
    assert " ".join(texts[n:]).startswith("i1- fork.pdf .svg, fretboard-1.svg, fretboard-2.svg, fretboard.pdf")


def test_every_sheet_of_the_index_says_what_it_is_for_from_afar():
    for sheet in rack_index.lay_out(indexed(70, faulty=3), PAPERS["letter"], "The rack"):
        texts = [item for item in sheet.drawing if isinstance(item, Text)]
        assert [text.text for text in texts if text.height_mm == LARGEST] == ["Rack: where each bridge goes"]
        assert "70 instruments, 3 files not drawn" in [text.text for text in texts if text.height_mm == LARGE]


def test_index_of_a_thousand_takes_as_many_sheets_as_it_needs():
    sheets = rack_index.lay_out(indexed(1000), Paper("A4", 210.0, 297.0), "x")
    assert 15 < len(sheets) < 30
    assert sheets[0].title.facts == "1000 instruments"
