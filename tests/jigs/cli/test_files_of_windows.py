"""Files, paths and outputs as they are on Windows: line ends, byte order marks, backslashes and few signs."""

import io
import re

import pytest
from samples import run

from jigs.cli.plain_signs import PLAINLY
from jigs.instrument.opening import preset_text
from jigs.readings.log import read
from jigs.wording import in_a_shell

BOM = b"\xef\xbb\xbf"
READINGS_TOML = (
    "[[readings]]\nstring = 1\nharmonic = 0\nfretted = 3\n[[readings]]\nstring = 4\nharmonic = 0\nfretted = -7\n"
)
SURVEY_TOML = 'name = "Old board"\nreading_error = 0.2\nfrets = [\n  [5, 167.2],\n  [12, 333.6],\n  [17, 417.0],\n]\n'
SETTINGS = '[cutter]\nkerf = "0.2 mm"\n'
PRINTER = (
    'name = "laser"\npaper = "a4"\nwidth = 190\nheight = 277\nreading_error = 0.1\nacross = [190.5]\ndown = [277.5]\n'
)
KINDS = {
    "instrument": ("mine.toml", preset_text("mandolin"), ("numbers", "{}")),
    "readings as CSV": ("r.csv", "string,harmonic,fretted\n1,0,3\n4,0,-7\n", ("readings", "banjo", "--file", "{}")),
    "readings as TOML": ("r.toml", READINGS_TOML, ("readings", "banjo", "--file", "{}")),
    "survey as CSV": ("s.csv", "fret,mm\n5,167.2\n12,333.6\n17,417.0\n", ("survey", "{}")),
    "survey as TOML": ("s.toml", SURVEY_TOML, ("survey", "{}")),
    "settings": ("bridge-jigs/settings.toml", SETTINGS, ("settings",)),
    "printer": ("bridge-jigs/printers/laser.toml", PRINTER, ("printer", "show", "laser")),
}


@pytest.mark.parametrize("kind", KINDS)
def test_file_that_an_editor_on_windows_saved_says_the_same(kind, tmp_path, monkeypatch):
    name, text, command = KINDS[kind]
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    path = tmp_path / name
    path.parent.mkdir(parents=True, exist_ok=True)
    arguments = [part.format(path) for part in command]
    path.write_bytes(text.encode())
    as_here = run(*arguments)
    assert as_here[0] == 0, as_here[2]
    path.write_bytes(BOM + text.replace("\n", "\r\n").encode())
    assert run(*arguments) == as_here


def test_preset_that_a_shell_of_windows_wrote_says_how_to_save_it(tmp_path):
    """What `jigs presets banjo > mine.toml` writes in PowerShell 5 was only called no UTF-8 text."""
    path = tmp_path / "mine.toml"
    path.write_bytes(preset_text("banjo").replace("\n", "\r\n").encode("utf-16"))
    status, _, said = run("draw", path)
    assert status == 2
    assert (
        said
        == f"{path}: this is UTF-16 text, as some shells write it; open it in a plain text editor and save it as UTF-8\n"
    )


@pytest.mark.parametrize("mark", [b"", BOM])
def test_log_that_an_editor_on_windows_saved_goes_on_with_its_line_ends(tmp_path, mark):
    """Line ends of two kinds in one file show as one long line in some editors."""
    path = tmp_path / "log.jsonl"
    step = ("readings", "banjo", "--string", 1, "--harmonic", 0, "--fretted", 3, "--log", path)
    assert run(*step)[0] == 0
    path.write_bytes(mark + path.read_bytes().replace(b"\n", b"\r\n"))
    for _ in range(2):
        assert run(*step)[0] == 0
    assert path.read_bytes().count(b"\r\n") == path.read_bytes().count(b"\n") == 3
    assert [one.step for one in read(path)] == [1, 2, 3]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["draw", r"C:\Users\me\mine.toml"], "C:\\Users\\me\\mine.toml: there is no such file; check its name"),
        (["draw", r"..\mine.toml"], "..\\mine.toml: there is no such file; check its name"),
        (["draw", r"C:\Users\me\mine"], "C:\\Users\\me\\mine: there is no such file; check its name"),
        (["draw", r"..\banjo"], "..\\banjo: there is no such file; check its name"),
        (["draw", "C:banjo"], "C:banjo: there is no such file; check its name"),
        (["keep", r"D:mine.toml", "--ticks", "0 / 0"], "D:mine.toml: there is no such file; check its name"),
        (["survey", r"..\board.csv"], "..\\board.csv: there is no such file; check its name"),
        (["rack", r"C:\shelf", "--out", "x"], "C:\\shelf: there is no such file; check its name"),
        (["draw", "banjo", "--set", r"C:\mine.toml"], "--set"),
        (["draw", "banjo", "--set", r"C:\scale=650"], "--set C:\\scale: unknown key; "),
        (["new", r"..\mine"], 'run `jigs new "..\\mine.toml"`'),
        (["new", "mine.toml."], "run `jigs new mine.toml`"),
        (["new", "nul .toml"], "some systems keep the name nul for a device"),
        ([r"..\mine.toml"], 'did you mean `jigs draw "..\\mine.toml"`?'),
    ],
)
def test_path_of_windows_is_a_path_and_neither_preset_nor_key(tmp_path, monkeypatch, typed, said):
    monkeypatch.chdir(tmp_path)
    status, printed, wrong = run(*typed)
    assert (status, printed) == (2, "")
    assert said in wrong
    assert not list(tmp_path.iterdir())


def test_word_with_a_backslash_is_quoted_for_the_shell():
    assert in_a_shell(r"..\mine.toml") == r'"..\mine.toml"'


def test_minus_is_kept_where_the_output_has_no_true_one():
    """In a file on Windows there are few signs. With a question mark for its minus, a move would go the wrong way."""
    got = io.TextIOWrapper(io.BytesIO(), encoding="cp1252", write_through=True)
    got.reconfigure(errors=PLAINLY)
    got.write("−2.7 mm ± 0.2 mm, 64°, “F♯”, ω")
    assert got.buffer.getvalue().decode("cp1252") == "-2.7 mm ± 0.2 mm, 64°, “F#”, ?"
    assert "−2 ± 1°".encode("ascii", PLAINLY) == b"-2 +/- 1 deg"
    assert not re.search(rb"[^ -~]", "“−…→”".encode("ascii", PLAINLY))
