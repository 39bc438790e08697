"""The whole job in processes that lack what Windows lacks, with its files and its few signs: `tests/elsewhere`."""

import os
import subprocess
import sys

import pytest
from samples import ROOT
from samples import run as run_here
from served import serving, state

from jigs.instrument.opening import preset_text

pytestmark = pytest.mark.slow

ELSEWHERE = {
    "PYTHONPATH": os.pathsep.join((str(ROOT / "tests" / "elsewhere"), str(ROOT))),
    "PYTHONIOENCODING": "cp1252",
}
OCTAVES = ("--string", "1", "--harmonic", "0", "--fretted", "3", "--string", "4", "--harmonic", "0", "--fretted", "-7")
MANY = 31
"""Instruments that are worth a second process."""


@pytest.fixture
def elsewhere(tmp_path):
    """Runs `jigs` in ``tmp_path``, in a process as on Windows: what it prints. Anything but success fails the test."""
    own = {f"XDG_{kind}_HOME": str(tmp_path / "user") for kind in ("CONFIG", "DATA", "STATE")}

    def run(*arguments, typed=b""):
        command = [sys.executable, "-m", "jigs", *map(str, arguments)]
        environment = {**os.environ, **own, **ELSEWHERE}
        done = subprocess.run(command, cwd=tmp_path, env=environment, input=typed, capture_output=True, check=False)
        assert done.returncode == 0, done.stderr.decode("cp1252")
        return done.stdout.decode("cp1252")

    return run


def test_user_without_locks_signals_and_forks_measures_draws_reads_and_keeps(elsewhere, tmp_path):
    assert sys.platform == "linux", "elsewhere the other tests are the real ones"
    answers = ["banjo", *[""] * 30]
    assert "wrote mine.toml" in elsewhere("new", "mine.toml", typed="\r\n".join(answers).encode())
    for _ in range(2):
        elsewhere("draw", "mine.toml", "fork", "gauge", "--format", "pdf,svg,dxf", "--out", "drawn")
    run_here("draw", tmp_path / "mine.toml", "fork", "gauge", "--format", "pdf,svg,dxf", "--out", tmp_path / "here")
    drawn, here = ({one.name: one.read_bytes() for one in (tmp_path / name).iterdir()} for name in ("drawn", "here"))
    assert drawn == here
    assert len(drawn) > 4

    assert "±" in elsewhere("numbers", "mine.toml")
    assert "towards the nut; -10.0 cents" in elsewhere("readings", "mine.toml", *OCTAVES, "--log", "log.jsonl")
    assert "wrote log.jsonl" in elsewhere("readings", "mine.toml", *OCTAVES, "--log", "log.jsonl", "--format", "pdf")
    assert (tmp_path / "log.jsonl").read_bytes().count(b"\n") == 2
    assert "kept in mine.toml" in elsewhere("keep", "mine.toml", "--ticks", "+1 / -2")
    assert "[found]" in (tmp_path / "mine.toml").read_text(encoding="utf-8")

    elsewhere("printer", "add", "con", "--across", 190.2, 190.1, "--down", 277.1, 277.2)
    elsewhere("draw", "mine.toml", "--printer", "con", "--out", "drawn")
    assert (tmp_path / "user" / "bridge-jigs" / "printers" / "con-1.toml").is_file()


def test_rack_is_drawn_by_processes_that_are_spawned_and_then_only_what_changed(elsewhere, tmp_path):
    for n in range(MANY):
        (tmp_path / "shelf").mkdir(exist_ok=True)
        named = preset_text("banjo").replace('name  = "', f'name  = "{n} ', 1).replace("\n", "\r\n")
        (tmp_path / "shelf" / f"loan-{n}.toml").write_bytes(named.encode("utf-8-sig"))
    draws = ("rack", "shelf", "--out", "own", "--jobs", 2, "--format", "svg")
    elsewhere(*draws)
    before = {one.name: one.stat().st_mtime_ns for one in (tmp_path / "own").glob("loan-*.svg")}
    assert len(before) >= MANY
    elsewhere(*draws)
    assert {one.name: one.stat().st_mtime_ns for one in (tmp_path / "own").glob("loan-*.svg")} == before


def test_page_starts_draws_saves_and_ends(tmp_path):
    with serving(tmp_path, **ELSEWHERE) as page:
        assert page.drawn("mandolin")["pdf"] == "mandolin-fork.pdf"
        assert page.ask("GET", "/").status == 200
        saved = page.post("/shelf-save", {**state("banjo"), "asked": {"file": "loan-7", "stamp": ""}}).data
        again = {**state(base={key: saved[key] for key in ("text", "name", "stamp")}, fields={"scale": "667"})}
        over = page.post("/shelf-save", {**again, "asked": {"file": saved["name"], "stamp": saved["stamp"]}}).data
        assert over["name"] == "loan-7.toml"
        assert over["stamp"] != saved["stamp"]
    assert page.process.returncode == 0
    assert "Traceback" not in "".join(page.printed)
