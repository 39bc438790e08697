"""Lengths typed after measuring a check sheet: kept whole, refused in sentences if they cannot be right, never lost."""

import json
import os
import subprocess
import sys

import pytest
from samples import faults_are_sentences, run

from jigs.faults import InputFaults
from jigs.printers.correction import Correction
from jigs.printers.kept import as_text, folder, load, save
from jigs.printers.printer import Printer
from jigs.printers.words import as_dict
from jigs.system import whole_files

GOOD = ("--across", "190.5", "190.6", "--down", "276.4", "276.5", "--diagonals", "335.5", "335.9")


@pytest.fixture(autouse=True)
def _own_settings(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))


def add(name, *arguments):
    status, shown, said = run("printer", "add", name, *arguments)
    assert status == 0, said
    return shown, said


def refused(*arguments):
    """Refused in sentences, with nothing kept."""
    before = {path: path.read_bytes() for path in folder().glob("*")}
    status, shown, said = run("printer", "add", *arguments)
    assert status == 2, shown
    assert "Traceback" not in said
    for line in said.splitlines():
        assert ": " in line, f"no place: {line}"
        assert line.count("; ") == 1, f"no remedy, or two: {line}"
    assert {path: path.read_bytes() for path in folder().glob("*")} == before
    return said


def test_programs_get_scales_and_shear_with_their_errors():
    add("laser", *GOOD)
    shown = json.loads(run("printer", "show", "laser", "--json")[1])
    for key in ("scale_across", "scale_down", "shear_deg"):
        assert isinstance(shown[key], float)
        assert 0 < shown[f"{key}_se"] < 0.05
    assert shown["scale_across"] == pytest.approx(1.0028, abs=1e-4)
    assert shown["scale_down"] == pytest.approx(0.9979, abs=1e-4)
    assert shown["shear_deg"] == pytest.approx(-0.073, abs=1e-3)
    assert json.loads(run("printer", "list", "--json")[1]) == [shown]


def test_person_reads_the_same_in_words():
    shown, said = add("laser", *GOOD)
    assert "across: +0.28% ± 0.07% (95%)" in shown
    assert "down:   −0.21% ± 0.05% (95%)" in shown
    assert "askew:  0.07° ± 0.06° (95%), to the left going down" in shown
    errors = json.loads(run("printer", "show", "laser", "--json")[1])
    for printed, se in ((0.07, 100 * errors["scale_across_se"]), (0.06, errors["shear_deg_se"])):
        assert 1.96 * se <= printed < 1.96 * se + 0.01
    assert said == ""
    assert run("printer", "list")[1] == "laser: across +0.28%, down −0.21%, askew −0.07°, measured on a4\n"


def test_shear_is_not_claimed_where_no_diagonal_was_measured():
    _, said = add("laser", *GOOD[:6])
    assert "not known whether it prints askew" in said
    shown = json.loads(run("printer", "show", "laser", "--json")[1])
    assert shown["shear_deg"] == 0
    assert shown["shear_deg_se"] is None
    assert load("laser").correction.lean == 0


@pytest.mark.parametrize(
    "written",
    [
        ("--across", "190.5", "190.6", "--down", "10 29/32 in", "10 29/32 in"),
        ("--across", "190.5", "--across", "190.6", "--down", "10", "29/32", "in", "10", "29/32", "in"),
        ("--down=10-29/32in", '10 29/32"', "--across=190.5", "19.06", "cm"),
        ("--across", "190.5mm", "190.6 mm", "--down", "10 29/32″", "277.01875"),
        ("--across", "7.5", "7.503937", "--down", "10", "29/32", "10-29/32"),
        ("--across", "190,5", "190,6 mm", "--down", "277,01875", "10,90625"),
    ],
    ids=str,
)
def test_lengths_are_taken_as_people_write_them(written):
    status, _, said = run("printer", "add", *written, "laser")
    assert status == 0, said
    read = load("laser").read_mm
    assert read["across"] == pytest.approx((190.5, 190.6), abs=1e-5)
    assert read["down"] == pytest.approx((277.01875, 277.01875), abs=1e-9)


def test_repeated_readings_count_and_too_wide_a_spread_is_noted():
    add("once", *GOOD)
    add("often", *GOOD, *GOOD, *GOOD, *GOOD)
    once, often = (load(name).figures[1][1] for name in ("once", "often"))
    assert often == pytest.approx(once / 2, rel=1e-6)
    rough = ("--across", "190.3", "190.8", "190.7", "190.2", "--down", "276.2", "276.7", "276.6", "276.3")
    _, said = add("rough", *rough)
    assert "note: the readings of printer rough differ by more than a reading error of 0.1 mm explains" in said
    _, said = add("honest", *rough, "--reading-error", "0.3")
    assert "differ by more" not in said


def test_correction_smaller_than_its_error_is_noted_and_a_larger_one_is_not():
    _, said = add("true", "--across", "190.02", "189.98", "--down", "278", "278", "--diagonals", "336.8", "336.7")
    assert "correction of printer true across" in said
    assert "is smaller than its own error" in said
    assert "correction of printer true down" not in said
    assert "correction of printer true askew" in said
    assert (
        "correction of printer true across" in run("draw", "mandolin", "--printer", "true", "--out", folder().parent)[2]
    )


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (("--across", "7.06", "--down", "277"), ["--across", "off across by 5.6"]),
        (("--across", "19.0", "--down", "277"), ['write "19.0 cm"']),
        (("--across", "190", "--down", "190"), ["--down", "far from the 277.0 mm"]),
        (("--across", "0", "--down", "-277"), ["--across", "--down"]),
        (("--across", "190,5,6", "--down", "277"), ["--across", "comma"]),
        (("--across", "190", "--down", "27,7"), ["--down", 'for centimetres write "27,7 cm"']),
        (("--across", "wide", "--down", "277"), ["--across", '"wide" is not a length']),
        (("--across", "190", "wide", "--down", "277"), ["--across D to C", '"wide" is not a length']),
        (("--across", "--down", "277"), ["--across: no length across is given"]),
        (("--down", "277", "--across"), ["--across: no length across is given"]),
        (("--across", "9" * 39, "--down", "277"), ["--across", "far from"]),
        (("--across", "190"), ["--down: no length down", "A to D"]),
        ((), ["--across: no length across", "--down: no length down"]),
        (("--across", "190", "--down", "277", "--reading-error", "0"), ["--reading-error", "zero"]),
        (("--across", "196", "--down", "259.3"), ["these lengths are not those of A4", "--paper letter"]),
        (("--across", "7.72", "--down", "10.2"), ["these lengths are not those of A4", "--paper letter"]),
        (("--across", "190", "190", "--down", "277", "277", "--diagonals", "340", "340"),
         ["diagonals: A to C (340.0 mm) and B to D (340.0 mm) contradict the rest"]),
        (("--across", "190", "193", "--down", "277", "277", "--diagonals", "336", "336"),
         ["across: D to C (193.0 mm) is 3.0 mm longer than the other readings make it"]),
        (("--across", "190", "193", "--down", "277"), ["A to B (190.0 mm) and D to C (193.0 mm) contradict"]),
        (("--across", "190", "--down", "277", "--diagonals", "340", "340"), ["contradict each other"]),
        (("--across", "186", "186.1", "--down", "271.2"), ['"fit to page"', "actual size, 100%"]),
        (("--across", "193.3", "--down", "281.8"), ["too large", '"fit to page"']),
        (("--across", "184", "--down", "277"), ["off across by 3.16%", "beyond 3%"]),
        (("--across", "190", "--down", "277", "--diagonals", "345", "326.5"), ["off askew by", "beyond 3%"]),
        (("--across", "190", "--down", "277", "--paper", "a44"), ["--paper", 'did you mean "a4"']),
    ],
    ids=str,
)  # fmt: skip
def test_slip_in_what_was_measured_is_named_with_its_place_and_remedy(written, expected):
    said = refused("laser", *written)
    for words in expected:
        assert words in said, said


def test_errors_of_a_printer_are_not_taken_for_a_setting():
    """Both beyond 1.5 %, but not alike; and alike, but within 1.5 %."""
    add("one", "--across", "186.2", "--down", "272.6")
    add("two", "--across", "187.3", "--down", "273")


@pytest.mark.parametrize(
    "name", ["../x", "/etc/passwd", "a/b", "a\\b", "..", "", "  ", "a\0b", "a:b", "~root*", "x\ny\x1b[3m", "n" * 41]
)
def test_name_never_leads_out_of_the_folder(name, tmp_path):
    for command in (("add", name, *GOOD), ("show", name), ("remove", name), ("check", name, "--out", tmp_path / "out")):
        status, _, said = run("printer", *command)
        faults_are_sentences(status, said, tmp_path / "out")
    status, _, said = run("draw", "mandolin", "--printer", name, "--out", tmp_path / "out")
    faults_are_sentences(status, said, tmp_path / "out")
    assert not folder().exists()


@pytest.mark.parametrize(("name", "file"), [("Office laser", "office-laser"), ("Büro", "büro"), ("con.1", "con-1")])
def test_name_makes_a_plain_file_name_and_finds_the_printer_again(name, file):
    add(name, *GOOD)
    assert [path.name for path in folder().iterdir()] == [f"{file}.toml"]
    assert load(name.upper()).name == name


def test_unknown_printer_is_refused_with_the_nearest_name(tmp_path):
    said = run("draw", "mandolin", "--printer", "laser")[2]
    assert "`jigs printer sheet`" in said
    add("laser", *GOOD)
    add("inkjet", *GOOD)
    for command in (("printer", "show"), ("printer", "remove"), ("draw", "mandolin", "--printer")):
        status, _, said = run(*command, "lazer", *(("--out", tmp_path / "out") if command[0] == "draw" else ()))
        faults_are_sentences(status, said, tmp_path / "out")
        where = "--printer" if command[0] == "draw" else "NAME"
        assert said == f'{where}: there is no printer "lazer"; did you mean "laser"?\n'


def test_printer_of_the_same_name_is_replaced_only_on_request():
    add("laser", *GOOD)
    said = refused("Laser", "--across", "191", "--down", "277")
    assert 'there is a printer "laser" already' in said
    assert load("laser").read_mm["across"] == (190.5, 190.6)
    add("Laser", "--across", "191", "--down", "277", "--replace")
    assert load("laser").read_mm["across"] == (191.0,)


def test_removed_printer_is_gone():
    add("laser", *GOOD)
    add("inkjet", *GOOD)
    assert run("printer", "remove", "laser")[0] == 0
    assert [json.loads(run("printer", "list", "--json")[1])[0]["name"]] == ["inkjet"]
    assert run("printer", "remove", "laser")[0] == 2


@pytest.mark.parametrize(
    ("damage", "expected"),
    [
        (lambda text: text.replace("across        = [", "across        = "), ["line 8", "cannot be read"]),
        (lambda text: text.replace("190.5, ", "190,5, 1"), ["across", "too short"]),
        (lambda text: text.replace("190.5", '"wide"'), ["across"]),
        (lambda text: text.replace("190.5", "nan"), ["across"]),
        (lambda text: text.replace("276.4, 276.5", ""), ["down"]),
        (lambda text: text.replace("335.5", "341.5"), ["diagonals", "contradict"]),
        (lambda text: text.replace("width         = 190.0", "width         = 150.0"), ["far from"]),
        (lambda text: text.replace("paper         = ", "papier        = "), ["papier", "unknown key"]),
        (lambda text: text.replace('"a4"', '"zz"'), ["paper", "unknown paper"]),
        (lambda text: text.replace('"a4"', "4"), ["paper"]),
        (lambda text: text.replace('"laser"', '"../laser"'), ["name"]),
        (lambda text: text.replace("0.1", "0.0"), ["reading_error", "zero"]),
        (lambda _: "", ["is empty"]),
        (lambda _: "\0\0", ["not UTF-8 text"]),
        (lambda text: text[: len(text) // 2], ["laser.toml"]),
    ],
)
def test_damaged_file_is_named_and_kept_and_ignored_only_on_request(tmp_path, damage, expected):
    add("laser", *GOOD)
    add("inkjet", *GOOD)
    path = folder() / "laser.toml"
    path.write_text(damage(path.read_text()))
    damaged = path.read_bytes()
    for command in (("draw", "mandolin", "--printer", "laser"), ("printer", "check", "laser")):
        status, _, said = run(*command, "--out", tmp_path / "out")
        faults_are_sentences(status, said, tmp_path / "out")
        assert str(path) in said
        assert "or draw without --printer" in said
        for words in expected:
            assert words in said, said
    status, shown, said = run("printer", "list")
    assert status == 2
    assert "inkjet" in shown
    assert str(path) in said
    assert path.read_bytes() == damaged
    assert run("draw", "mandolin", "--out", tmp_path / "plain")[0] == 0
    assert refused("laser", *GOOD)
    assert path.read_bytes() == damaged
    add("laser", *GOOD, "--replace")
    assert load("laser").read_mm["across"] == (190.5, 190.6)


def test_remedies_for_the_whole_file_are_said_once():
    add("laser", *GOOD)
    path = folder() / "laser.toml"
    path.write_text(path.read_text().replace("190.0", '"wide"').replace("277.0", "1").replace('"a4"', "4"))
    said = run("printer", "show", "laser")[2]
    assert len(said.splitlines()) == 3
    assert said.count("or measure again with") == said.count("or draw without --printer") == 1


def test_damaged_printer_can_be_removed():
    add("laser", *GOOD)
    (folder() / "laser.toml").write_text("x")
    assert run("printer", "remove", "laser")[0] == 0
    assert run("printer", "list")[1] == ""


@pytest.mark.parametrize("command", [("remove", "laser"), ("add", "laser", *GOOD, "--replace")])
def test_file_of_the_users_among_the_printers_is_renamed_and_never_lost(command):
    add("laser", *GOOD)
    (folder() / "laser.toml").write_text("my notes")
    (folder() / "laser.toml.1.old").write_text("older notes")
    assert run("printer", *command)[0] == 0
    assert (folder() / "laser.toml.2.old").read_text() == "my notes"
    assert (folder() / "laser.toml.1.old").read_text() == "older notes"
    assert (folder() / "laser.toml").exists() == (command[0] == "add")


def test_name_that_is_not_text_among_the_printers_files_hides_no_printer():
    add("laser", *GOOD)
    (folder() / os.fsdecode(b"\xff.toml")).write_text("x")
    status, shown, _ = run("printer", "list")
    assert status == 0
    assert "laser" in shown
    assert run("draw", "banjo", "--printer", "leser")[0] == 2


@pytest.mark.slow
def test_processes_that_add_at_once_lose_nothing():
    """Real processes, started together: four printers of their own, and four that want the same name."""
    names = [*(f"own {n}" for n in range(4)), *["shared"] * 4]
    widths = [f"190.{n}" for n in range(8)]
    jobs = [
        subprocess.Popen(
            [sys.executable, "-m", "jigs", "printer", "add", name, "--across", width, "--down", "277.4"],
            env=os.environ,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for name, width in zip(names, widths, strict=True)
    ]
    said = [job.communicate(timeout=60)[1] for job in jobs]
    done = [job.returncode for job in jobs]
    assert done[:4] == [0] * 4, said
    assert sorted(done[4:]) == [0, 2, 2, 2], said
    (winner,) = (width for width, code in zip(widths[4:], done[4:], strict=True) if code == 0)
    assert load("shared").read_mm["across"] == (float(winner),)
    assert [load(f"own {n}").read_mm["across"] for n in range(4)] == [(float(width),) for width in widths[:4]]
    assert sorted(path.name for path in folder().iterdir()) == [*(f"own-{n}.toml" for n in range(4)), "shared.toml"]


def test_later_of_two_is_refused_although_both_saw_the_name_free(monkeypatch):
    """Another run writes between the look and the write."""
    mine, other = (
        Printer("laser", "a4", 190.0, 277.0, 0.1, {"across": (mm,), "down": (277.0,)}) for mm in (190.1, 190.9)
    )
    real = whole_files._claim

    def late(part, path):
        monkeypatch.setattr(whole_files, "_claim", real)
        save(other, False)
        real(part, path)

    monkeypatch.setattr(whole_files, "_claim", late)
    with pytest.raises(InputFaults, match="already"):
        save(mine, False)
    assert load("laser").read_mm["across"] == (190.9,)
    assert [path.name for path in folder().iterdir()] == ["laser.toml"]


def test_file_system_without_links_also_keeps_printers(monkeypatch):
    def without(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", without)
    add("laser", *GOOD)
    assert "already" in refused("laser", *GOOD)
    assert load("laser").read_mm["across"] == (190.5, 190.6)


def test_full_disk_leaves_the_old_printer_and_no_litter(monkeypatch):
    add("laser", *GOOD)

    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert "No space left" in refused("laser", "--across", "191", "--down", "277", "--replace")
    assert [path.name for path in folder().iterdir()] == ["laser.toml"]


def test_file_holds_what_was_read_and_is_the_same_every_time():
    add("laser", *GOOD)
    printer = load("laser")
    text = (folder() / "laser.toml").read_text()
    assert text == as_text(printer)
    assert "across        = [190.5, 190.6]" in text
    again = load("laser")
    assert as_dict(again) == as_dict(printer)
    assert again.correction == printer.correction
    assert isinstance(printer.correction, Correction)


def test_one_diagonal_counts_as_the_falling_one_and_a_note_says_so():
    _, said = add("laser", "--across", "190", "--down", "277", "--diagonals", "336.5")
    assert "the one diagonal of printer laser counts as A to C" in said
    assert load("laser").figures[2][0] > 0


def test_paper_other_than_the_measured_one_is_noted(tmp_path):
    add("laser", *GOOD)
    assert "measured on a4" in run("draw", "mandolin", "--printer", "laser", "--paper", "letter", "--out", tmp_path)[2]
    assert "measured on" not in run("draw", "mandolin", "--printer", "laser", "--out", tmp_path)[2]


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ("[]", "this list is empty; write for instance "),
        (f"[{'189.4, ' * 101}]", "this list has 101 values; keep 100 or"),
    ],
    ids=["none", "101"],
)
def test_file_with_no_readings_or_too_many_is_refused_in_our_words(readings, said):
    """The user read "List should have at least 1 item after validation, not 0"."""
    add("laser", *GOOD)
    path = folder() / "laser.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("[190.5, 190.6]", readings), encoding="utf-8")
    with pytest.raises(InputFaults, match=said) as wrong:
        load("laser")
    assert [fault.place.key for fault in wrong.value.faults] == ["across"]
