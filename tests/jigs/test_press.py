"""Files are replaced whole or not at all."""

import os

import pytest

from jigs import press
from jigs.faults import InputFaults


def test_old_file_survives_when_a_later_one_cannot_be_written(tmp_path, monkeypatch):
    (tmp_path / "a.pdf").write_bytes(b"old")
    real = os.fsync
    calls = []

    def full_disk(handle):
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(InputFaults, match="No space left"):
        press.write_all({"a.pdf": b"new", "b.svg": b"new"}, tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a.pdf": b"old"}


def test_interrupted_writing_leaves_the_old_file_and_no_litter(tmp_path, monkeypatch):
    (tmp_path / "a.pdf").write_bytes(b"old")

    def stopped(_handle):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        press.write_all({"a.pdf": b"new"}, tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a.pdf": b"old"}


def test_folder_made_for_nothing_is_taken_away_again(tmp_path, monkeypatch):
    def stopped(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(InputFaults):
        press.write_all({"a.pdf": b"new"}, tmp_path / "new" / "deeper")
    assert not (tmp_path / "new").exists()


def test_new_file_replaces_the_old_one_and_can_be_read_by_others(tmp_path):
    (tmp_path / "a.pdf").write_bytes(b"old")
    assert press.write_all({"a.pdf": b"new"}, tmp_path) == [tmp_path / "a.pdf"]
    assert (tmp_path / "a.pdf").read_bytes() == b"new"
    mask = os.umask(0)
    os.umask(mask)
    assert (tmp_path / "a.pdf").stat().st_mode & 0o777 == 0o666 & ~mask


@pytest.mark.parametrize(
    ("name", "stem"), [("../../etc/x", "etc-x"), ("A/B\\C", "a-b-c"), ("…", "instrument"), ("Ω 3", "ω-3")]
)
def test_name_never_leads_out_of_the_folder(name, stem):
    assert press.file_stem(name) == stem
