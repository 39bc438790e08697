"""Outputs that are closed or full, and a user without a home folder: a sentence or nothing, never a traceback."""

import errno
import os
import subprocess
import sys

import pytest
from samples import ROOT, run
from served import in_process

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


def in_a_shell(folder, command):
    """A command line of a POSIX shell in a folder, ``jigs`` being this program."""
    ours = f'jigs() {{ "{sys.executable}" -m jigs "$@"; }}; {command}'
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.run(
        ["sh", "-c", ours],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        check=False,
    )


@pytest.mark.skipif(os.name != "posix", reason="needs a POSIX shell")
@pytest.mark.parametrize(
    ("command", "written"),
    [
        ("jigs draw banjo --out out >&-", {"banjo-fork.pdf", "banjo-fork.svg"}),
        ("jigs presets banjo > in.toml; jigs rack in.toml --jobs 1 --out out 2>&-", {"in-fork.pdf", "rack.csv"}),
    ],
    ids=["draw", "rack"],
)
def test_closed_output_costs_no_file(tmp_path, command, written):
    ended = in_a_shell(tmp_path, command)
    assert (ended.returncode, "Traceback" in ended.stderr) == (0, False), ended.stderr
    assert written <= {path.name for path in (tmp_path / "out").iterdir()}


@pytest.mark.skipif(os.name != "posix", reason="another system keeps the folder that a program is in")
def test_folder_that_is_gone_is_named_and_not_the_output(tmp_path):
    (tmp_path / "gone").mkdir()
    ended = in_a_shell(tmp_path / "gone", "rmdir ../gone; jigs draw banjo")
    assert ended.returncode == 1
    assert "this folder is gone, and you are still in it; go to another folder" in ended.stderr
    assert len(ended.stderr.splitlines()) == 1


@pytest.mark.parametrize("command", [("printer", "list"), ("draw", "banjo", "gauge")], ids=["printer", "draw"])
def test_folder_of_settings_with_an_endless_name_is_refused_for_what_it_is(tmp_path, monkeypatch, command):
    monkeypatch.setenv("XDG_CONFIG_HOME", "/" + 5000 * "x")
    monkeypatch.chdir(tmp_path)
    status, _, said = run(*command)
    assert status == 2
    assert "cannot be read (" in said
    assert "standard output" not in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="another system finds the home folder elsewhere")
def test_page_opens_for_a_user_without_a_home(monkeypatch):
    for kind in ("CONFIG", "DATA", "STATE"):
        monkeypatch.delenv(f"XDG_{kind}_HOME", raising=False)
    monkeypatch.delenv("HOME")
    monkeypatch.setattr("pwd.getpwuid", lambda _uid: (_ for _ in ()).throw(KeyError))
    assert in_process().ask("GET", "/").status == 200


@pytest.mark.parametrize("command", [("printer", "list"), ("draw", "banjo", "gauge")], ids=["printer", "draw"])
def test_folder_of_settings_that_may_not_be_searched_is_refused_for_what_it_is(tmp_path, monkeypatch, command):
    """An administrator may search any folder, so the system's answer is made up."""

    def forbidding(asks):
        def ask(path, *rest, **more):
            if str(path).startswith(str(tmp_path / "closed")):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), path)
            return asks(path, *rest, **more)

        return ask

    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "closed"))
    monkeypatch.chdir(tmp_path)
    for name in ("open", "stat", "lstat", "listdir", "scandir"):
        monkeypatch.setattr(os, name, forbidding(getattr(os, name)))
    status, _, said = run(*command)
    assert status == 2
    assert "closed" in said
    assert f"cannot be read ({os.strerror(errno.EACCES)})" in said
    assert list(tmp_path.iterdir()) == []
