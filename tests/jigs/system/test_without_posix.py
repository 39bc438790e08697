"""What Windows lacks or does otherwise costs its users nothing: no lock, no file replaced while it is open, other names."""

import json
import os
import signal
import socket
from functools import partial
from pathlib import Path, PureWindowsPath
from types import SimpleNamespace

import pytest
from elsewhere import windows_files
from samples import run

from jigs.faults import InputFaults
from jigs.instrument import new_file
from jigs.instrument.opening import preset_text
from jigs.page import serve
from jigs.page.request import read_request
from jigs.rack import run as rack_run
from jigs.rack import state
from jigs.readings import log
from jigs.system import locks, whole_files, workers
from jigs.system.names import KEPT_FOR_DEVICES, is_kept_for_a_device, own_name

ADVISED = ("readings", "banjo", "--string", 1, "--harmonic", 0, "--fretted", 3)


@pytest.fixture
def windows(monkeypatch):
    """This process without locks, with files as on Windows."""
    monkeypatch.setattr(locks, "fcntl", None)
    for room in (locks, log, state):
        monkeypatch.setattr(room, "HAS_LOCKS", False)
    monkeypatch.delattr(signal, "pthread_sigmask")
    windows_files.put_in(partial(monkeypatch.setattr, raising=False))


@pytest.mark.usefixtures("windows")
def test_kept_place_goes_into_the_file_although_nothing_replaces_an_open_one(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_bytes(preset_text("banjo").replace("\n", "\r\n").encode("utf-8-sig"))
    status, _, said = run("keep", path, "--ticks", "+1 / -2")
    assert status == 0, said
    kept = path.read_bytes()
    assert kept.startswith(b"\xef\xbb\xbf# ")
    assert kept.count(b"\r\n") == kept.count(b"\n")
    assert b"\r\n[found]\r\n" in kept
    assert [one.name for one in tmp_path.iterdir()] == ["mine.toml"]


@pytest.mark.usefixtures("windows")
def test_log_gets_its_lines_and_only_line_feeds(tmp_path):
    path = tmp_path / "log.jsonl"
    for _ in range(2):
        assert run(*ADVISED, "--log", path)[0] == 0
    assert path.read_bytes().count(b"\n") == 2
    assert b"\r" not in path.read_bytes()
    assert [step.step for step in log.read(path)] == [1, 2]


@pytest.mark.usefixtures("windows")
def test_open_file_is_not_waited_for_where_its_numbers_are_unknown(tmp_path, monkeypatch):
    """Some systems give an open file other numbers than its name has: the program must not ask for ever."""
    path = tmp_path / "log.jsonl"
    path.write_bytes(b"")
    numbers = iter(range(10, 99))
    other = {"stat": lambda _path: SimpleNamespace(st_dev=1, st_ino=next(numbers))}
    monkeypatch.setattr(locks, "os", SimpleNamespace(**{**vars(os), **other}))
    handle, empty = locks.open_locked(path)
    os.close(handle)
    assert empty


@pytest.mark.usefixtures("windows")
def test_rack_that_is_killed_remembers_what_it_drew(tmp_path):
    """Line ends that the system changes would spoil every line's checksum, and all would be drawn again."""
    record = state.Record("key", {"a.pdf": "0"})
    with state.only_rack(tmp_path), state.open_state(tmp_path) as records:
        for what in ("instrument a", "instrument b"):
            records.add(what, record)
        assert state.remembered(tmp_path) == {"instrument a": record, "instrument b": record}


@pytest.mark.usefixtures("windows")
def test_drawing_that_a_program_shows_stays_and_the_message_says_which(tmp_path):
    run("draw", "banjo", "--out", tmp_path)
    drawn = (tmp_path / "banjo-fork.pdf").read_bytes()
    with (tmp_path / "banjo-fork.pdf").open("rb"):
        status, _, said = run("draw", "banjo", "--paper", "letter", "--out", tmp_path)
    assert status == 2
    assert said == (
        f"{tmp_path / 'banjo-fork.pdf'}: this file cannot be replaced (Access is denied); close it in the program that"
        " shows it, or name another folder with --out\n"
    )
    assert (tmp_path / "banjo-fork.pdf").read_bytes() == drawn


@pytest.mark.usefixtures("windows")
def test_worker_ignores_the_ctrl_c_that_its_parent_deals_with():
    before = signal.getsignal(signal.SIGINT)
    try:
        with workers.deaf_children([signal.SIGINT]):
            workers.stay_deaf([signal.SIGINT])
        assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)


def test_worker_that_starts_deaf_keeps_its_handlers():
    before = signal.getsignal(signal.SIGINT)
    workers.stay_deaf([signal.SIGINT])
    assert signal.getsignal(signal.SIGINT) is before


def test_port_of_the_page_is_no_other_programs():
    windows = SimpleNamespace(SO_EXCLUSIVEADDRUSE=-5, SO_REUSEADDR=4)
    assert (serve._alone(windows), serve._alone(socket)) == (-5, socket.SO_REUSEADDR)


def test_rack_on_another_drive_has_whole_paths(monkeypatch):
    def no_way(*_):
        raise ValueError("path is on mount 'C:', start on mount 'D:'")

    monkeypatch.setattr(rack_run, "relpath", no_way)
    assert rack_run._relative(Path("shelf/a.toml"), Path()) == os.path.abspath("shelf/a.toml")


def test_new_file_on_a_drive_that_is_not_there_is_refused_before_the_questions(monkeypatch, tmp_path):
    with monkeypatch.context() as patch:
        patch.setattr(Path, "exists", lambda _path: False)
        with pytest.raises(InputFaults, match="no file can be written there"):
            new_file.check_new(tmp_path / "mine.toml")


def test_new_file_with_a_character_that_this_system_takes_in_no_name_is_refused(monkeypatch, tmp_path):
    """On Windows, what is written to `mine:2.toml` would go out of sight."""
    monkeypatch.setattr(new_file, "refused_character", lambda name: ":" if ":" in name else "")
    with pytest.raises(InputFaults, match="this system takes no : in the name of a file; choose another name"):
        new_file.check_new(tmp_path / "mine:2.toml")


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.parametrize("ending", ["", ".toml", ".tar.gz", " .toml", ".", " "])
def test_names_of_devices_are_those_that_python_knows(ending):
    for name in [*KEPT_FOR_DEVICES, "con-1", "icon", "com10", "banjo"]:
        for spelt in (name, name.upper()):
            known = PureWindowsPath(f"{spelt}{ending}").is_reserved()
            assert is_kept_for_a_device(f"{spelt}{ending}") or not known, spelt
            if name[-1] != "0":  # Python 3.11 does not know the ports 0
                assert is_kept_for_a_device(f"{spelt}{ending}") == known, spelt
        assert not is_kept_for_a_device(own_name(name))


def test_printer_that_is_called_as_a_device_gets_a_file_that_every_system_takes(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert run("printer", "add", "Aux", "--across", 190, 190, "--down", 277, 277)[0] == 0
    assert [one.name for one in tmp_path.rglob("*.toml")] == ["aux-1.toml"]
    assert run("draw", "banjo", "--printer", "aux", "--out", tmp_path / "drawn")[0] == 0


def test_file_of_the_page_is_not_called_as_a_device():
    body = {"base": {"text": preset_text("banjo"), "name": "con.toml"}}
    assert read_request(json.dumps(body).encode()).own_file == "con-1.toml"


def test_lock_that_is_lacking_is_not_missed(monkeypatch, tmp_path):
    monkeypatch.setattr(locks, "fcntl", None)
    monkeypatch.setattr(locks, "HAS_LOCKS", False)
    (tmp_path / "a.toml").write_bytes(b"1")
    whole_files.rewrite(tmp_path / "a.toml", lambda content: content + b"2")
    assert (tmp_path / "a.toml").read_bytes() == b"12"
