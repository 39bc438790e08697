"""Files are replaced whole or not at all."""

import inspect
import os
import signal
import sys
from itertools import count

import pytest

from jigs.faults import InputFaults
from jigs.system import interrupts, whole_files
from jigs.system.whole_files import file_stem, write_all

OLD = b"<svg old made by bridge-jigs and %PDF- /Creator (bridge-jigs)"
"""What the program wrote before, with its marks."""


def test_old_file_survives_when_a_later_one_cannot_be_written(tmp_path, monkeypatch):
    (tmp_path / "a.pdf").write_bytes(OLD)
    real = os.fsync
    calls = []

    def full_disk(handle):
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(InputFaults, match="No space left"):
        write_all({"a.pdf": b"new", "b.svg": b"new"}, tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a.pdf": OLD}


def test_interrupted_writing_leaves_the_old_file_and_no_litter(tmp_path, monkeypatch):
    (tmp_path / "a.pdf").write_bytes(OLD)

    def stopped(_handle):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_all({"a.pdf": b"new"}, tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a.pdf": OLD}


class Ended(BaseException):
    """A signal had its effect."""


def written_with_a_signal(folder, number, moment):
    """Write two files, with a signal at the given line of the code that runs. Returns whether the code has so many lines."""
    lines = count()

    def follow(frame, event, _value):
        if frame.f_code.co_filename not in (whole_files.__file__, interrupts.__file__):
            return None
        if event == "line" and next(lines) == moment:
            signal.raise_signal(number)
        return follow

    before = sys.gettrace()
    sys.settrace(follow)
    try:
        write_all({"a.pdf": b"new", "b.svg": b"new"}, folder)
    finally:
        sys.settrace(before)
    return next(lines) > moment


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_signal_at_any_line_leaves_both_files_old_or_both_new(tmp_path, number):
    def end(*_):
        raise Ended

    before = signal.signal(number, end)
    states = []
    try:
        for moment in count():
            for name in ("a.pdf", "b.svg"):
                (tmp_path / name).write_bytes(OLD)
            try:
                heard = written_with_a_signal(tmp_path, number, moment)
            except Ended:
                heard = None
            assert signal.getsignal(number) is end
            states.append({path.name: path.read_bytes() for path in tmp_path.iterdir()})
            if heard is not None:
                break
    finally:
        signal.signal(number, before)
    assert heard is False, "a signal was lost"
    assert len(states) > 40
    for state in states:
        assert state in ({"a.pdf": OLD, "b.svg": OLD}, {"a.pdf": b"new", "b.svg": b"new"})


def test_ctrl_c_pressed_twice_does_not_wait(tmp_path, monkeypatch):
    real, calls = os.fsync, []

    def slow(handle):
        calls.append(handle)
        if len(calls) <= 2:
            signal.raise_signal(signal.SIGINT)
        real(handle)

    monkeypatch.setattr(os, "fsync", slow)
    with pytest.raises(KeyboardInterrupt):
        write_all({f"{n}.pdf": b"new" for n in range(9)}, tmp_path)
    assert len(calls) == 2
    assert not list(tmp_path.iterdir())


def test_ignored_signal_stays_ignored(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "fsync", lambda _handle: signal.raise_signal(signal.SIGHUP))
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        write_all({"a.pdf": b"new"}, tmp_path)
        assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGHUP, before)
    assert (tmp_path / "a.pdf").read_bytes() == b"new"


def test_folder_made_for_nothing_is_removed_again(tmp_path, monkeypatch):
    def stopped(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(InputFaults):
        write_all({"a.pdf": b"new"}, tmp_path / "new" / "deeper")
    assert not (tmp_path / "new").exists()


def test_new_file_replaces_the_old_one_and_can_be_read_by_others(tmp_path):
    (tmp_path / "a.pdf").write_bytes(OLD)
    assert write_all({"a.pdf": b"new"}, tmp_path) == [tmp_path / "a.pdf"]
    assert (tmp_path / "a.pdf").read_bytes() == b"new"
    mask = os.umask(0)
    os.umask(mask)
    assert (tmp_path / "a.pdf").stat().st_mode & 0o777 == 0o666 & ~mask


@pytest.mark.parametrize(
    ("name", "stem"), [("../../etc/x", "etc-x"), ("A/B\\C", "a-b-c"), ("…", "instrument"), ("Ω 3", "ω-3")]
)
def test_name_never_leads_out_of_the_folder(name, stem):
    assert file_stem(name) == stem


def test_very_deep_folder_is_made_or_refused_in_a_sentence(tmp_path):
    deep, before = tmp_path / "/".join("a" * 300), sys.getrecursionlimit()
    sys.setrecursionlimit(len(inspect.stack(0)) + 150)
    try:
        assert write_all({"a.pdf": b"new"}, deep) == [deep / "a.pdf"]
    finally:
        sys.setrecursionlimit(before)
    with pytest.raises(InputFaults, match="name too long"):
        write_all({"a.pdf": b"new"}, tmp_path / "/".join("a" * 4000))
    assert [path.name for path in tmp_path.iterdir()] == ["a"]
