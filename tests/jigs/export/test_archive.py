"""All drawings in one file: nothing is lost in it, and the same drawings make the same bytes."""

import io
import shutil
import subprocess
import zipfile

import pytest

from jigs.export.archive import archive

FILES = {"réb-7.svg": "<svg>é</svg>".encode(), "banjo-fork.pdf": bytes(range(256)) * 40, "empty.dxf": b""}


def test_every_file_comes_out_as_it_went_in():
    with zipfile.ZipFile(io.BytesIO(archive(FILES))) as packed:
        assert packed.testzip() is None
        assert {name: packed.read(name) for name in packed.namelist()} == FILES


def test_same_files_make_the_same_bytes_in_whatever_order_they_were_made():
    assert archive(FILES) == archive(dict(reversed(FILES.items())))


def test_bytes_do_not_depend_on_the_day(monkeypatch):
    before = archive(FILES)
    monkeypatch.setattr("time.time", lambda: 2_000_000_000.0)
    monkeypatch.setattr("time.localtime", lambda *_: (2033, 5, 18, 3, 33, 20, 2, 138, 0))
    assert archive(FILES) == before


def test_nothing_makes_an_archive_that_opens():
    with zipfile.ZipFile(io.BytesIO(archive({}))) as packed:
        assert packed.namelist() == []


def test_another_program_unpacks_it(tmp_path):
    if shutil.which("unzip") is None:
        pytest.skip("unzip is not installed")
    (tmp_path / "all.zip").write_bytes(archive(FILES))
    subprocess.run(["unzip", "-q", "all.zip", "-d", "out"], cwd=tmp_path, check=True)
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == FILES
