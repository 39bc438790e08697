"""Outputs that are closed or full, and a user without a home folder: a sentence or nothing, never a traceback."""

import os
import subprocess
import sys

import pytest
from samples import ROOT, run

from jigs.system.user_folder import NoHome, settings_path


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no full device")
@pytest.mark.parametrize(
    ("how", "status", "said"), [(">&-", 0, ""), ("2>&-", 0, ""), (">/dev/full", 1, "standard output cannot be written")]
)
def test_help_goes_nowhere_without_a_traceback(how, status, said):
    command = f'"{sys.executable}" -m jigs --help {how}'
    ended = subprocess.run(
        ["sh", "-c", command], cwd=ROOT, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False
    )
    assert ended.returncode == status, ended.stderr
    assert ended.stderr.startswith(said)
    assert "Traceback" not in ended.stderr


def test_user_without_a_home_goes_without_settings(monkeypatch):
    monkeypatch.delenv("XDG_CONFIG_HOME")
    monkeypatch.setenv("HOME", "nowhere")
    monkeypatch.setattr("pwd.getpwuid", lambda _uid: (_ for _ in ()).throw(KeyError))
    with pytest.raises(NoHome):
        settings_path()
    assert run("printer", "list")[0] == 0
    status, _, said = run("settings")
    assert (status, "no home folder" in said) == (2, True), said


def test_printer_renamed_by_hand_is_found(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    measured = ("--across", "189.4", "189.5", "--down", "276.9", "276.8")
    assert run("printer", "add", "laser", *measured)[0] == 0
    folder = tmp_path / "bridge-jigs" / "printers"
    (folder / "laser.toml").rename(folder / "Kitchen Laser.toml")
    for name in ("Kitchen Laser", "kitchen-laser"):
        assert run("printer", "show", name)[0] == 0
    assert run("printer", "add", "kitchen laser", *measured)[0] == 2
