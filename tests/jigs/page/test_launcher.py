"""The launcher on Linux: what it writes, and that it starts the program whatever its path is."""

import json
import os
import re
import shutil
import subprocess
import sys
import time
import xml.etree.ElementTree as ET

import pytest
from samples import faults_are_sentences, run
from served import Served, environment_of

from jigs.page import launcher

ODD = [
    "plain", "two words", 'a "quote"', "an 'apostrophe'", "50%", "100% %u %%", "$HOME", "`id`", "back\\slash", "\\s\\n\\",
    "a\nline", "a\ttab", "semi;colon & more | <less>", "~", "#", "*?()", "Größe ♭", "--odd=value", "", "cr\rlf",
]  # fmt: skip

ESCAPED = {"s": " ", "n": "\n", "t": "\t", "r": "\r", "\\": "\\"}


@pytest.fixture
def data(tmp_path, monkeypatch):
    """The folder of the user's data."""
    folder = tmp_path / "da ta"
    monkeypatch.setenv("XDG_DATA_HOME", str(folder))
    monkeypatch.setattr(sys, "platform", "linux")
    return folder


def values_of(text):
    """The values of a desktop entry, read as the specification says, section 3 and 4."""
    header, *lines = text.splitlines()
    assert header == "[Desktop Entry]"
    assert text.endswith("\n")
    values = {}
    for line in lines:
        key, _, value = line.partition("=")
        assert re.fullmatch("[A-Za-z0-9-]+", key), line
        assert key not in values
        assert re.fullmatch(r"(?:[^\\\x00-\x1f\x7f]|\\[sntr\\])*", value), line
        values[key] = re.sub(r"\\(.)", lambda match: ESCAPED[match[1]], value)
    return values


def arguments_of(line):
    """The arguments of the key Exec, read as the specification says, section 7."""
    found, at = [], 0
    while at < len(line):
        match = re.compile(r'"((?:[^"`$\\]|\\["`$\\])*)"(?: |$)|([^ \t\n"\'\\><~|&;$*?#()`]+)(?: |$)').match(line, at)
        assert match, line[at:]
        quoted, plain = match.groups()
        text = plain if quoted is None else re.sub(r"\\(.)", r"\1", quoted)
        assert re.fullmatch("(?:[^%]|%%)*", text), "a field code"
        found.append(text.replace("%%", "%"))
        at = match.end()
    return found


@pytest.mark.parametrize("odd", ODD, ids=ascii)
def test_launcher_starts_what_was_meant(odd):
    command = [f"/opt/{odd}/python", "-m", "jigs", "page", "--shelf", odd]
    found = arguments_of(values_of(launcher.desktop_entry(command))["Exec"])
    assert found[-len(command) :] == command
    assert found[: -len(command)] in ([], ["/bin/sh", "-c", 'exec "$0" "$@"'])
    assert not {"=", "%"} & set(found[0]), "no desktop finds such a program"


def test_launcher_says_where_it_is_and_is_the_same_each_time(data, tmp_path):
    status, printed, complaints = run("page", "--install-launcher", "--shelf", tmp_path, "--port", "8400")
    assert (status, complaints) == (0, "")
    entry, icon = data / "applications/bridge-jigs.desktop", data / "icons/hicolor/scalable/apps/bridge-jigs.svg"
    assert sorted(path for path in data.rglob("*") if path.is_file()) == sorted((entry, icon))
    assert f"wrote {entry}\nwrote {icon}\n" in printed
    assert "To remove it" in printed
    before = entry.read_bytes(), icon.read_bytes()
    entry.write_text("an older one")
    assert run("page", "--install-launcher", "--shelf", tmp_path, "--port", "8400")[:2] == (0, printed)
    assert (entry.read_bytes(), icon.read_bytes()) == before
    values = values_of(entry.read_text(encoding="utf-8"))
    expected = [sys.executable, "-P", "-m", "jigs", "page", "--port", "8400", "--shelf", str(tmp_path)]
    assert arguments_of(values["Exec"]) == expected
    assert (values["Type"], values["Terminal"], values["Icon"]) == ("Application", "false", icon.stem)
    assert values["Categories"].endswith(";")


def test_launcher_takes_the_usual_shelf_unless_one_is_named(data):
    assert run("page", "--install-launcher")[0] == 0
    values = values_of((data / "applications/bridge-jigs.desktop").read_text(encoding="utf-8"))
    assert arguments_of(values["Exec"])[-1] == "page"
    assert not (data / "bridge-jigs").exists(), "the shelf is made when the page starts"


@pytest.mark.skipif(not shutil.which("desktop-file-validate"), reason="desktop-file-validate is not installed")
@pytest.mark.parametrize("odd", ODD, ids=ascii)
def test_validator_of_the_specification_finds_no_fault(tmp_path, odd):
    file = tmp_path / "bridge-jigs.desktop"
    file.write_bytes(launcher.desktop_entry(["/usr/bin/env", "page", odd]).encode())
    found = subprocess.run(["desktop-file-validate", file], capture_output=True, text=True, check=False)
    assert (found.returncode, found.stdout) == (0, "")


@pytest.mark.skipif(not shutil.which("gio"), reason="gio is not installed")
@pytest.mark.parametrize("odd", [odd for odd in ODD if "\r" not in odd and odd], ids=ascii)
def test_menu_of_a_desktop_starts_it_from_a_path_with_odd_characters(tmp_path, odd):
    """GLib starts it, as most desktops do. The program is here a script that writes down what it was given."""
    folder = tmp_path / odd
    folder.mkdir(exist_ok=True)
    script = folder / "python"
    script.write_text(f'#!/bin/sh\nprintf "%s\\0" "$@" > "{tmp_path}/part"\nmv "{tmp_path}/part" "{tmp_path}/given"\n')
    script.chmod(0o755)
    entry = tmp_path / "bridge-jigs.desktop"
    entry.write_bytes(launcher.desktop_entry([str(script), "--shelf", odd]).encode())
    subprocess.run(["gio", "launch", entry], check=True, timeout=20, env=environment_of(tmp_path))
    _wait_until((tmp_path / "given").exists)
    assert (tmp_path / "given").read_bytes() == f"--shelf\0{odd}\0".encode()


def _wait_until(done):
    end = time.monotonic() + 30
    while not done():
        assert time.monotonic() < end, "it never happened"
        time.sleep(0.02)


def test_launcher_is_not_led_astray_by_modules_in_the_folder_of_its_start(tmp_path, data):
    """A menu starts programs in the user's home, which may hold a folder ``jigs`` or a file ``click.py``."""
    for name in ("jigs.py", "click.py", "socket.py"):
        (tmp_path / name).write_text("raise SystemExit('led astray')")
    run("page", "--install-launcher")
    command = arguments_of(values_of((data / "applications/bridge-jigs.desktop").read_text())["Exec"])
    found = subprocess.run(
        [*command, "--help"], cwd=tmp_path, env=environment_of(tmp_path), capture_output=True, text=True, check=True
    )
    assert "--shelf" in found.stdout


def test_icon_is_a_picture_in_black_on_white():
    import io

    import resvg_py
    from PIL import Image

    colours = {}
    for side in (16, 64, 256):
        png = bytes(resvg_py.svg_to_bytes(svg_string=launcher.icon(), width=side))
        image = Image.open(io.BytesIO(png))
        assert image.size == (side, side)
        colours[side] = {pixel[:3] for _, pixel in image.getcolors(1 << 16) if pixel[3] == 255}
    for found in colours.values():
        assert all(red == green == blue for red, green, blue in found)
        assert {(0, 0, 0), (255, 255, 255)} <= found
    tags = {item.tag for item in ET.fromstring(launcher.icon()).iter()}
    assert tags == {f"{{http://www.w3.org/2000/svg}}{name}" for name in ("svg", "defs", "rect", "line", "path")}


@pytest.mark.parametrize("platform", ["darwin", "win32"])
def test_launcher_elsewhere_is_refused_in_a_sentence(data, monkeypatch, platform):
    monkeypatch.setattr(sys, "platform", platform)
    status, printed, refusal = run("page", "--install-launcher")
    assert printed == ""
    faults_are_sentences(status, refusal, data)
    assert "jigs page" in refusal


@pytest.mark.parametrize("program", ["/opt/\udcff/python"], ids=ascii)
def test_program_that_no_menu_can_start_is_refused_in_a_sentence(data, monkeypatch, program):
    monkeypatch.setattr(sys, "executable", program)
    status, _, refusal = run("page", "--install-launcher")
    faults_are_sentences(status, refusal, data)


def test_launcher_that_cannot_be_written_is_refused_in_a_sentence(data, tmp_path):
    data.write_text("")
    status, printed, refusal = run("page", "--install-launcher")
    assert printed == ""
    faults_are_sentences(status, refusal, tmp_path / "nothing")
    assert str(data) in refusal


@pytest.mark.parametrize("options", [["--no-browser"], ["--shelf", "/nowhere"], ["--port", "x"]], ids=lambda o: o[0])
def test_launcher_that_would_never_work_is_not_installed(data, options):
    status, _, refusal = run("page", "--install-launcher", *options)
    faults_are_sentences(status, refusal, data)
    assert not os.path.lexists(data)


@pytest.mark.skipif(not shutil.which("gio"), reason="gio is not installed")
def test_menu_starts_the_page_and_a_second_time_opens_the_same(tmp_path):
    """All of it, from a folder whose name has a space, a quote and a percent sign. The browser is a script."""
    odd = tmp_path / "o d%d\"'$x"
    odd.symlink_to(sys.prefix, target_is_directory=True)
    shelf, script = tmp_path / "my shelf", tmp_path / "browser"
    shelf.mkdir()
    script.write_text(f"#!/bin/sh\necho \"$1\" >> '{tmp_path}/opened'\n")
    script.chmod(0o755)
    environment = environment_of(tmp_path, {"BROWSER": str(script)})
    python = odd / "bin" / "python"
    install = [python, "-m", "jigs", "page", "--install-launcher", "--shelf", shelf]
    subprocess.run(install, check=True, cwd=tmp_path, env=environment, capture_output=True)
    launch = ["gio", "launch", tmp_path / "data" / "applications" / "bridge-jigs.desktop"]
    try:
        for times in (1, 2):
            subprocess.run(launch, check=True, timeout=20, cwd=tmp_path, env=environment, stdout=subprocess.DEVNULL)
            _wait_until(lambda: (tmp_path / "opened").exists() and _opened(tmp_path)[times - 1 :])  # noqa: B023
        first, second = _opened(tmp_path)
        assert second == first
    finally:
        for record in (tmp_path / "state").rglob("*.json"):
            assert Served(json.loads(record.read_text())["port"], None).post("/stop", {}).status == 200


def _opened(folder):
    return (folder / "opened").read_text().split()
