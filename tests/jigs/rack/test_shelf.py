"""A shelf of instrument files: nothing on it is lost, and nothing outside it is reached."""

import datetime
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest
from samples import PRESETS, ROOT, run
from trouble import disk, fill

from jigs.faults import InputFaults
from jigs.instrument.opening import preset_text
from jigs.press.order import read_order
from jigs.rack import shelf, shelf_drawn
from jigs.readings.keep import Given, keep
from jigs.sheets.paper import PAPERS

pytestmark = pytest.mark.slow

BANJO = preset_text("banjo").encode()
OTHER = BANJO.replace(b"Five-string", b"Another five-string")


@pytest.fixture
def folder(tmp_path):
    """A shelf with three instruments."""
    made = tmp_path / "shelf"
    made.mkdir()
    for number in (10, 9, 2):
        (made / f"loan-{number}.toml").write_bytes(BANJO)
    return made


def codes(refused):
    return [fault.code for fault in refused.value.faults]


def test_files_come_in_the_order_of_their_numbers(folder):
    assert shelf.names(folder) == ["loan-2.toml", "loan-9.toml", "loan-10.toml"]


def test_only_regular_files_directly_on_the_shelf_are_listed(folder, tmp_path):
    outside = tmp_path / "outside.toml"
    outside.write_bytes(BANJO)
    (folder / "link.toml").symlink_to(outside)
    (folder / "inner.toml").symlink_to(folder / "loan-2.toml")
    (folder / "device.toml").symlink_to("/dev/zero")
    os.mkfifo(folder / "pipe.toml")
    (folder / ".hidden.toml").write_bytes(BANJO)
    (folder / "folder.toml").mkdir()
    (folder / "notes.txt").write_text("x")
    (folder / "loan-9.jsonl").write_text("")
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(folder / "socket.toml"))
        assert shelf.names(folder) == ["loan-2.toml", "loan-9.toml", "loan-10.toml"]
        for name in (
            "link.toml",
            "inner.toml",
            "device.toml",
            "pipe.toml",
            ".hidden.toml",
            "folder.toml",
            "socket.toml",
        ):
            with pytest.raises(InputFaults) as refused:
                shelf.opened(folder, name)
            assert codes(refused) == ["shelf-file-unknown"]


HOSTILE = [
    "../outside.toml", "/etc/passwd", "..", ".", "", "loan-2.toml\0", "a/../loan-2.toml", "./loan-2.toml",
    "drawn/x.toml", "LOAN-2.TOML", "loan-2.toml/", "loan-2", "\ud800.toml", "x" * 5000, "C:\\loan.toml", "nul.toml",
]  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_no_name_reaches_a_file_that_is_not_listed(folder, tmp_path, name):
    (tmp_path / "outside.toml").write_bytes(BANJO)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.toml")}
    for use in (shelf.opened, shelf.copy, shelf.log_of):
        with pytest.raises(InputFaults) as refused:
            use(folder, name)
        assert codes(refused) == ["shelf-file-unknown"]
    with pytest.raises(shelf.Conflict) as conflict:
        shelf.save(folder, name, OTHER, shelf.stamp_of(BANJO))
    assert conflict.value.why is shelf.Why.GONE
    assert Path(conflict.value.free).name == conflict.value.free
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.toml")} == before


@pytest.mark.parametrize(
    "typed",
    ["", "..", "...", ".toml", "../x", "a/b", "a\\b", "/etc/passwd", "x\0", "a b", "con", "NUL.toml", "lpt1", "-a", "a-",
     "a--b", ".hidden", "x" * 61, "a:b", "a\nb", "a\u202eb", "x.y", "<b>", "com\u00b9", "\U0001d4b3" * 60],
)  # fmt: skip
def test_name_that_is_a_path_or_reserved_is_refused_with_a_better_one(typed):
    with pytest.raises(InputFaults) as refused:
        shelf.read_name(typed)
    (fault,) = refused.value.faults
    better = str(fault.remedy).rpartition(" ")[2]
    assert fault.place.option == "file"
    assert shelf.read_name(better) == f"{better}.toml"


@pytest.mark.parametrize("typed", ["loan-banjo-7", "Réb-7.toml", "琴-3", "x" * 60, " a "])
def test_name_of_letters_and_digits_is_taken(folder, typed):
    assert shelf.save(folder, shelf.read_name(typed), BANJO, "")
    assert shelf.read_name(typed) in shelf.names(folder)


def test_every_preset_is_named_and_its_kind_and_place_are_listed(tmp_path):
    for name in PRESETS:
        (tmp_path / f"{name}.toml").write_text(preset_text(name), encoding="utf-8")
    keep(str(tmp_path / "banjo.toml"), Given(at="669.7 / 670.0"), datetime.date(2026, 11, 25))
    listed, more = shelf.entries(tmp_path)
    assert more == 0
    assert [entry.faults for entry in listed] == [()] * len(PRESETS)
    found = {entry.file: (entry.kind, entry.found) for entry in listed}
    assert found["banjo.toml"][0] == "banjo, 5 strings"
    assert found["banjo.toml"][1].date == datetime.date(2026, 11, 25)
    assert found["mandolin.toml"] == ("mandolin, 4 courses", None)


def test_last_reading_is_that_of_the_log_beside_the_file_and_of_no_link(folder, tmp_path):
    readings = [
        "--string",
        "1",
        "--harmonic",
        "1",
        "--fretted",
        "0",
        "--string",
        "4",
        "--harmonic",
        "0",
        "--fretted",
        "-9",
    ]
    log = folder / "loan-2.jsonl"
    assert run("readings", str(folder / "loan-2.toml"), *readings, "--log", str(log))[0] == 0
    first, second, _ = shelf.entries(folder)[0]
    assert (first.last.step, round(first.last.bass_cents)) == (1, -9)
    assert second.last is None
    log.rename(tmp_path / "outside.jsonl")
    log.symlink_to(tmp_path / "outside.jsonl")
    assert shelf.entries(folder)[0][0].last is None
    with pytest.raises(InputFaults) as refused:
        shelf.log_of(folder, "loan-2.toml")
    assert codes(refused) == ["shelf-log-is-link"]


@pytest.mark.parametrize(
    ("content", "code", "is_text"),
    [
        (b"scale = 26 1/4 in", "", True),
        (BANJO.replace(b'kind  = "banjo"', b'kind = "lute"'), "", True),
        (b"", "", False),
        (b"\xff\xfe\0", "", False),
        (b'rule = "equal"', "shelf-not-an-instrument", True),
        (b"#" * (shelf.LARGEST_KIB << 10) + b"#", "shelf-file-too-large", False),
        (b"a = " + b"[" * 9000, "", True),
    ],
)
def test_faulty_file_is_listed_with_its_fault_and_opens_if_it_is_text(folder, content, code, is_text):
    (folder / "loan-1.toml").write_bytes(content)
    (first, second, *_), _ = shelf.entries(folder)
    assert first.file == "loan-1.toml"
    assert first.faults
    assert first.is_text is is_text
    assert second.faults == ()
    assert first.faults[0].code == code or not code
    if is_text:
        assert shelf.opened(folder, "loan-1.toml").text.encode() == content
    else:
        with pytest.raises(InputFaults):
            shelf.opened(folder, "loan-1.toml")


def test_file_of_a_gigabyte_is_not_read(folder):
    with (folder / "loan-1.toml").open("wb") as file:
        file.truncate(1 << 30)
    entry = shelf.entries(folder)[0][0]
    assert [fault.code for fault in entry.faults] == ["shelf-file-too-large"]


def test_ten_thousand_files_are_counted_and_the_first_are_listed(tmp_path):
    for number in range(10_000):
        (tmp_path / f"{number}.toml").touch()
    listed, more = shelf.entries(tmp_path)
    assert (len(listed), more) == (shelf.MOST_LISTED, 10_000 - shelf.MOST_LISTED)
    assert [entry.file for entry in listed[:3]] == ["0.toml", "1.toml", "2.toml"]
    assert shelf.save(tmp_path, "9999.toml", BANJO, shelf.stamp_of(b"")), "also those that are not listed can be saved"


def test_name_that_is_not_utf_8_is_passed_over(folder):
    (folder / os.fsdecode(b"\xff.toml")).write_bytes(BANJO)
    assert len(shelf.entries(folder)[0]) == 3


def test_shelf_without_a_folder_is_empty_and_the_first_instrument_makes_it(tmp_path):
    made = tmp_path / "data" / "shelf"
    assert shelf.entries(made) == ([], 0)
    assert not made.exists()
    shelf.save(made, "first.toml", BANJO, "")
    assert shelf.names(made) == ["first.toml"]


def test_folder_that_is_a_file_is_said(tmp_path):
    (tmp_path / "shelf").write_text("x")
    for use in (lambda: shelf.entries(tmp_path / "shelf"), lambda: shelf.save(tmp_path / "shelf", "a.toml", BANJO, "")):
        with pytest.raises(InputFaults) as refused:
            use()
        assert codes(refused) == ["shelf-folder-unreadable"]


# ---- saving


def test_save_over_the_file_that_was_opened(folder):
    was = shelf.opened(folder, "loan-2.toml")
    os.chmod(folder / "loan-2.toml", 0o640)
    stamp = shelf.save(folder, was.file, OTHER, was.stamp)
    assert shelf.opened(folder, "loan-2.toml") == shelf.Opened("loan-2.toml", OTHER.decode(), stamp)
    assert (folder / "loan-2.toml").stat().st_mode & 0o777 == 0o640


def conflict(*given):
    with pytest.raises(shelf.Conflict) as refused:
        shelf.save(*given)
    return refused.value.why, refused.value.free


def test_file_that_another_changed_is_not_overwritten(folder):
    was = shelf.opened(folder, "loan-2.toml")
    keep(str(folder / "loan-2.toml"), Given(at="669.7 / 670.0"), datetime.date(2026, 11, 25))
    kept = (folder / "loan-2.toml").read_bytes()
    assert conflict(folder, was.file, OTHER, was.stamp) == (shelf.Why.CHANGED, "loan-2-2.toml")
    assert (folder / "loan-2.toml").read_bytes() == kept
    assert not (folder / "loan-2-2.toml").exists()


def test_file_that_has_gone_does_not_come_back_unasked(folder):
    was = shelf.opened(folder, "loan-2.toml")
    (folder / "loan-2.toml").unlink()
    assert conflict(folder, was.file, OTHER, was.stamp) == (shelf.Why.GONE, "loan-2.toml")
    assert shelf.names(folder) == ["loan-9.toml", "loan-10.toml"]


def test_new_file_replaces_none(folder):
    (folder / "Loan 2.toml").write_bytes(BANJO)
    assert conflict(folder, "loan-9.toml", OTHER, "") == (shelf.Why.TAKEN, "loan-9-2.toml")
    assert (folder / "loan-9.toml").read_bytes() == BANJO


@pytest.mark.parametrize("taken", ["Loan 5.toml", "loan-5.TOML", "LOAN_5.toml"])
def test_new_file_gets_no_name_whose_drawings_would_be_anothers(folder, taken):
    (folder / taken).write_bytes(BANJO)
    assert conflict(folder, "loan-5.toml", OTHER, "") == (shelf.Why.TAKEN, "loan-5-2.toml")


def test_file_that_becomes_a_link_while_it_is_saved_changes_nothing_outside(folder, tmp_path, monkeypatch):
    outside, mine, names = tmp_path / "outside.toml", folder / "loan-2.toml", shelf.names
    outside.write_bytes(BANJO)

    def then_a_link(place):
        found = names(place)
        mine.unlink(missing_ok=True)
        mine.symlink_to(outside)
        return found

    monkeypatch.setattr(shelf, "names", then_a_link)
    with pytest.raises(shelf.Conflict) as conflict:
        shelf.save(folder, "loan-2.toml", OTHER, shelf.stamp_of(BANJO))
    assert conflict.value.why is shelf.Why.GONE
    assert outside.read_bytes() == BANJO


def test_link_or_folder_of_that_name_is_not_written_through(folder, tmp_path):
    (folder / "a.toml").symlink_to(tmp_path / "outside.toml")
    (folder / "b.toml").mkdir()
    assert conflict(folder, "a.toml", OTHER, "") == (shelf.Why.TAKEN, "a-2.toml")
    assert conflict(folder, "b.toml", OTHER, "") == (shelf.Why.TAKEN, "b-2.toml")
    assert not (tmp_path / "outside.toml").exists()


def test_save_that_is_sent_twice_is_saved_once(folder):
    stamp = shelf.stamp_of(BANJO)
    assert shelf.save(folder, "loan-2.toml", OTHER, stamp) == shelf.save(folder, "loan-2.toml", OTHER, stamp)
    assert shelf.save(folder, "new.toml", OTHER, "") == shelf.save(folder, "new.toml", OTHER, "")
    assert len(shelf.names(folder)) == 4


SAVES = """
import sys, pathlib
from jigs.rack import shelf
folder, who = pathlib.Path(sys.argv[1]), sys.argv[2]
won = 0
for number in range(150):
    if sys.argv[3] == "over":
        was = shelf.opened(folder, "counted.toml")
        content, stamp, file = f"{was.text}# {who} {number}\\n".encode(), was.stamp, "counted.toml"
    else:
        content, stamp, file = f"# {who} {number}\\n".encode(), "", f"new-{number}.toml"
    while True:
        try:
            shelf.save(folder, file, content, stamp)
            break
        except shelf.Conflict as conflict:
            if sys.argv[3] == "over":
                was = shelf.opened(folder, "counted.toml")
                content, stamp = f"{was.text}# {who} {number}\\n".encode(), was.stamp
            else:
                file = conflict.free
"""


def together(folder, way):
    """Two processes that save at the same time, a hundred and fifty times each."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    both = [subprocess.Popen([sys.executable, "-c", SAVES, str(folder), who, way], env=environment) for who in "ab"]
    assert [one.wait(120) for one in both] == [0, 0]


def test_two_windows_that_save_one_file_at_once_lose_no_line(folder):
    (folder / "counted.toml").write_bytes(b"# first\n")
    together(folder, "over")
    lines = (folder / "counted.toml").read_text().splitlines()
    assert sorted(lines) == sorted(["# first", *(f"# {who} {n}" for who in "ab" for n in range(150))])
    assert [name for name in os.listdir(folder) if name.endswith(".part")] == []


def test_two_windows_that_save_new_files_of_one_name_lose_none(tmp_path):
    together(tmp_path, "new")
    saved = [(tmp_path / name).read_text() for name in shelf.names(tmp_path)]
    assert sorted(saved) == sorted(f"# {who} {n}\n" for who in "ab" for n in range(150))


KILLED = """
import sys, pathlib
from jigs.rack import shelf
folder = pathlib.Path(sys.argv[1])
print("ready", flush=True)
content = (folder / "one.toml").read_bytes()
number = 0
while True:
    number += 1
    new = f"# {number}\\n".encode() + b"#" * 20000 + f"\\n# {number} end\\n".encode()
    shelf.save(folder, "one.toml", new, shelf.stamp_of(content))
    shelf.save(folder, f"new-{number}.toml", new, "")
    content = new
"""


@pytest.mark.parametrize("wait_s", [0.02, 0.05, 0.11])
def test_save_that_is_killed_leaves_every_file_whole(tmp_path, wait_s):
    (tmp_path / "one.toml").write_bytes(b"# 0\n# 0 end\n")
    with subprocess.Popen(
        [sys.executable, "-c", KILLED, str(tmp_path)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        process.stdout.readline()
        time.sleep(wait_s)
        process.send_signal(signal.SIGKILL)
    for name in shelf.names(tmp_path):
        first, *_, last = (tmp_path / name).read_text().splitlines()
        assert last == f"{first} end", name
    assert shelf.save(tmp_path, "one.toml", BANJO, shelf.opened(tmp_path, "one.toml").stamp)


def test_full_disk_is_a_fault_and_the_file_is_as_it_was(tmp_path):
    with disk(tmp_path / "disk", 1 << 20) as small:
        (small / "one.toml").write_bytes(BANJO)
        fill(small / "filler", 0)
        big = BANJO + b"#" * 20_000
        with pytest.raises(InputFaults) as refused:
            shelf.save(small, "one.toml", big, shelf.stamp_of(BANJO))
        assert codes(refused) == ["file-unwritable"]
        with pytest.raises(InputFaults) as refused:
            shelf.save(small, "two.toml", big, "")
        assert codes(refused) == ["shelf-folder-unwritable"]
        assert shelf.names(small) == ["one.toml"]
        assert (small / "one.toml").read_bytes() == BANJO


def test_folder_that_may_only_be_read_still_opens_and_says_why_it_does_not_save(folder):
    if os.geteuid() == 0:
        if subprocess.run(["mount", "--bind", folder, folder], capture_output=True, check=False).returncode:
            pytest.skip("root may write everywhere here")
        subprocess.run(["mount", "-o", "remount,ro,bind", folder], check=True)
    else:
        folder.chmod(0o555)
    try:
        assert shelf.opened(folder, "loan-2.toml").text == BANJO.decode()
        with pytest.raises(InputFaults) as refused:
            shelf.save(folder, "loan-2.toml", OTHER, shelf.stamp_of(BANJO))
        assert codes(refused) == ["file-unwritable"]
        for use in (lambda: shelf.save(folder, "new.toml", OTHER, ""), lambda: shelf.copy(folder, "loan-2.toml")):
            with pytest.raises(InputFaults) as refused:
                use()
            assert codes(refused) == ["shelf-folder-unwritable"]
    finally:
        if os.geteuid() == 0:
            subprocess.run(["umount", folder], check=True)
        else:
            folder.chmod(0o755)


# ---- copies


@pytest.mark.parametrize("ends", [b"\n", b"\r\n"])
def test_copy_differs_in_its_name_alone(folder, ends):
    keep(str(folder / "loan-2.toml"), Given(at="669.7 / 670.0"), datetime.date(2026, 11, 25))
    content = (b"# first\n" + (folder / "loan-2.toml").read_bytes()).replace(b"\n", ends)
    (folder / "loan-2.toml").write_bytes(content)
    name = shelf.copy(folder, "loan-2.toml")
    assert name == "loan-2-2.toml"
    before, after = (one.split(ends) for one in (content, (folder / name).read_bytes()))
    changed = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert len(changed) == 1
    assert changed[0][1] == changed[0][0].replace(b'banjo"', b'banjo (copy)"')
    assert b"copy" in changed[0][1]
    assert shelf.copy(folder, "loan-2.toml") == "loan-2-3.toml"


def test_faulty_file_is_copied_as_it_is(folder):
    (folder / "loan-2.toml").write_bytes(b'name = "x\nscale = 26 1/4 in\n')
    assert (folder / shelf.copy(folder, "loan-2.toml")).read_bytes() == b'name = "x\nscale = 26 1/4 in\n'


# ---- all of it drawn


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("templates", ["fork", "fork,gauge"])
def test_shelf_is_drawn_with_the_same_bytes_as_a_rack(folder, tmp_path, templates):
    (folder / "mandolin.toml").write_text(preset_text("mandolin"))
    (folder / "survey.toml").write_text('rule = "equal"')
    (folder / "faulty.toml").write_text("scale = 26 1/4 in")
    order = read_order(templates.split(","), {"format": "pdf,svg", "paper": "letter"}, "templates", leave_out=True)
    report = shelf_drawn.draw(folder, order)
    ours = contents(folder / "drawn")
    assert {"rack-index.pdf", "rack.csv", "loan-2-fork.pdf", "mandolin-fork.pdf"} <= ours.keys()
    status, _, _ = run(
        "rack", str(folder), "--out", str(tmp_path / "by"), "--templates", templates, "--paper", "letter"
    )
    assert status == 3
    theirs = contents(tmp_path / "by")
    assert {name: content for name, content in ours.items() if name != "rack-state.jsonl"} == {
        name: content for name, content in theirs.items() if name != "rack-state.jsonl"
    }
    assert [fault.code for item in report.items for fault in item.faults]
    again = run("rack", str(folder), "--out", str(folder / "drawn"), "--templates", templates, "--paper", "letter")[1]
    assert again.startswith("0 drawn, 4 unchanged"), "the command line goes on from there"
    assert contents(folder / "drawn") == ours


def test_archive_has_all_drawings_of_the_shelf_and_no_others(folder):
    order = read_order(["fork"], {"format": "pdf,svg"}, "templates", leave_out=True)
    shelf_drawn.draw(folder, order)
    (folder / "drawn" / "mine.txt").write_text("x")
    (folder / "loan-9.toml").unlink()
    shelf_drawn.draw(folder, order)
    found = shelf_drawn.drawings(folder)
    assert {name.rsplit("-", 1)[0] for name in found} == {"loan-2", "loan-10", "rack", "rack.csv"}
    assert found["rack-index.pdf"] == shelf_drawn.index(folder) == (folder / "drawn" / "rack-index.pdf").read_bytes()


def test_link_that_was_put_in_a_drawings_place_is_not_followed(folder, tmp_path):
    shelf_drawn.draw(folder, read_order(["fork"], {"format": "pdf,svg"}, "templates", leave_out=True))
    (tmp_path / "secret").write_bytes(b"secret")
    for name in ("rack-index.pdf", "loan-2-fork.pdf"):
        (folder / "drawn" / name).unlink()
        (folder / "drawn" / name).symlink_to(tmp_path / "secret")
    assert b"secret" not in shelf_drawn.drawings(folder).values()
    with pytest.raises(InputFaults) as refused:
        shelf_drawn.index(folder)
    assert codes(refused) == ["shelf-not-drawn"]


def test_drawings_go_through_no_link_out_of_the_shelf(folder, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    (folder / "drawn").symlink_to(tmp_path / "elsewhere")
    order = read_order(["fork"], {"format": "pdf,svg", "paper": "a4"}, "templates", leave_out=True)
    assert order.paper is PAPERS["a4"]
    for use in (lambda: shelf_drawn.draw(folder, order), lambda: shelf_drawn.index(folder)):
        with pytest.raises(InputFaults) as refused:
            use()
        assert codes(refused) == ["shelf-drawn-is-link"]
    assert contents(tmp_path / "elsewhere") == {}


def test_empty_shelf_says_that_there_is_nothing_to_draw(tmp_path):
    order = read_order(["fork"], {"format": "pdf,svg"}, "templates", leave_out=True)
    for use, code in (
        (lambda: shelf_drawn.draw(tmp_path, order), "shelf-empty"),
        (lambda: shelf_drawn.index(tmp_path), "shelf-not-drawn"),
        (lambda: shelf_drawn.drawings(tmp_path), "shelf-not-drawn"),
    ):
        with pytest.raises(InputFaults) as refused:
            use()
        assert codes(refused) == [code]
    assert os.listdir(tmp_path) == []
