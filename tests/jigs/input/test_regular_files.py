"""A pipe or a device with the name of a file is refused at once: nobody waits for ever. What a shell hands over is read."""

import os
import signal
from contextlib import contextmanager
from pathlib import Path

import pytest
from samples import SMALL_FILE, run

from jigs.faults import InputFaults
from jigs.input.text import read_bytes


@contextmanager
def within_seconds(seconds):
    """Fail instead of waiting for ever."""

    def late(*_):
        raise TimeoutError

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize(
    "arguments",
    [
        ("draw", "x.toml"),
        ("numbers", "x.toml"),
        ("survey", "x.toml"),
        ("survey", "x.toml", "--format", "svg"),
        ("readings", "banjo", "--file", "x.toml"),
        ("readings", "banjo", "--string", "1", "--harmonic", "0", "--fretted", "0", "--log", "x.toml"),
        ("keep", "x.toml", "--at", "669,670"),
        ("compare", "banjo", "x.toml"),
        ("rack", "x.toml", "--out", "out"),
    ],
)
def test_pipe_of_that_name_is_refused_at_once_by_every_command_that_reads_a_file(tmp_path, monkeypatch, arguments):
    monkeypatch.chdir(tmp_path)
    os.mkfifo("x.toml")
    with within_seconds(10):
        status, _, shown = run(*arguments)
    assert status == 2
    assert "x.toml" in shown
    assert "file" in shown
    assert os.listdir(tmp_path) == ["x.toml"]


def test_pipe_among_the_instruments_costs_the_rack_that_file_and_no_other(tmp_path):
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text(SMALL_FILE, encoding="utf-8")
    os.mkfifo(tmp_path / "x.toml")
    os.mkfifo(tmp_path / "a.jsonl")
    (tmp_path / "out").mkdir()
    with within_seconds(10):
        status, printed, shown = run("rack", tmp_path, "--out", tmp_path / "out")
    assert status == 3
    assert printed.startswith("2 drawn, 0 unchanged, 1 faulty")
    assert "x.toml: this file cannot be read (not a regular file)" in shown


@pytest.mark.parametrize("name", ["rack-state.jsonl", "rack.csv", "a-fork.pdf"])
def test_pipe_in_the_racks_folder_stops_no_run_for_ever(tmp_path, name):
    (tmp_path / "a.toml").write_text(SMALL_FILE, encoding="utf-8")
    (tmp_path / "out").mkdir()
    os.mkfifo(tmp_path / "out" / name)
    with within_seconds(10):
        status, _, shown = run("rack", tmp_path, "--out", tmp_path / "out")
    assert status == 2
    assert name in shown


def test_device_without_an_end_is_refused():
    with within_seconds(10), pytest.raises(InputFaults, match="not a regular file"):
        read_bytes(Path("/dev/zero"), "file", "check it")


def test_what_a_shell_hands_over_is_read_to_its_end():
    ends = os.pipe()
    os.write(ends[1], b"scale = 1")
    os.close(ends[1])
    with within_seconds(10):
        assert read_bytes(Path(f"/dev/fd/{ends[0]}"), "file", "check it") == b"scale = 1"
    os.close(ends[0])
