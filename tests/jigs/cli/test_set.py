"""``--set``: a player with a ruler changes any key of the file on the command line, and opens no editor."""

import json
import shlex

import pytest
from click.testing import CliRunner
from samples import SMALL_FILE, faults_are_sentences, run

from jigs.cli.main import main
from jigs.instrument.opening import preset_text

COMMANDS = ("draw", "numbers", "readings", "rack")


def refused(tmp_path, *arguments):
    """A drawing that is refused, with nothing written: the lines that the user reads."""
    status, _, shown = run("draw", "banjo", *arguments, "--out", tmp_path / "out")
    faults_are_sentences(status, shown, tmp_path / "out")
    return shown.splitlines()


def files_in(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_set_keys_draw_what_the_edited_file_draws(tmp_path):
    text = preset_text("banjo").replace('scale = "26 1/4 in" ', 'nut_to_fret_12 = "333.4 mm"\n#')
    text = text.replace('name  = "Five-string banjo"', 'name = "Mine"')
    (tmp_path / "banjo.toml").write_text(text, encoding="utf-8")
    keys = ("--set", "nut_to_fret_12=333.4 mm", "--set", "name=Mine")
    for arguments, out in ((("banjo", *keys), "set"), ((tmp_path / "banjo.toml",), "edited")):
        assert run("draw", *arguments, "--out", tmp_path / out)[0] == 0
    assert files_in(tmp_path / "set") == files_in(tmp_path / "edited")
    assert {"banjo-fork.pdf", "banjo-fork.svg"} <= set(files_in(tmp_path / "set"))
    assert b"Mine" in files_in(tmp_path / "set")["banjo-fork.svg"]


def test_numbers_and_readings_are_those_of_the_edited_file(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(preset_text("banjo").replace("fret_12 = 3.0", "fret_12 = 2.5"), encoding="utf-8")
    keys = ("--set", "action.fret_12=2.5")
    read = ("--string", "1", "--harmonic", "1", "--fretted", "4", "--json")
    for command, more in (("numbers", ("--json",)), ("readings", read)):
        by_set, edited, plain = (
            json.loads(run(command, *instrument, *more)[1]) for instrument in (("banjo", *keys), (path,), ("banjo",))
        )
        assert by_set == edited
        assert by_set != plain


def test_what_is_set_counts_as_measured(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(SMALL_FILE, encoding="utf-8")
    assert "[action] fret_12" in run("numbers", path)[2]
    assert "[action] fret_12" not in run("numbers", path, "--set", "action.fret_12=1.6")[2]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("acton.fret_12=3", "acton.fret_12: unknown key; did you mean action.fret_12?"),
        ("fret_12=3", "fret_12: unknown key; did you mean action.fret_12?"),
        ("spacing=3", "spacing: unknown key; did you mean nut.spacing or bridge.spacing?"),
        ("strings.gauge=.01", "strings.gauge: unknown key; did you mean strings.1.gauge?"),
        ("strings.4.guage=.01", "strings.4.guage: unknown key; did you mean strings.4.gauge?"),
        ("strings.0.gauge=.01", "strings.0.gauge: unknown key; did you mean strings.1.gauge?"),
        ("colour=red", "colour: unknown key; `jigs keys` lists all keys"),
        ("action=3", "action: this is a table; write a key of it, as in --set action.nut=0.5"),
        ("strings=4", "strings: this is a table; write a key of it, as in --set strings.1.note=D4"),
        ("scale", 'scale: there is no value; write for instance --set scale="26 1/4 in"'),
        ("scale=", 'scale: there is no value; write for instance --set scale="26 1/4 in"'),
        ('pitch.a4=""', "pitch.a4: there is no value; write for instance --set pitch.a4=442"),
        ("hand=up", 'hand: "up" is not one of the choices; choose right or left'),
        ("nut.zero_fret=perhaps", 'nut.zero_fret: "perhaps" is neither true nor false; write true or false, without quotes'),
        ("strings.6.note=D4", "strings.6.note: the instrument has 5 strings; count from 1, the treble side"),
        ("action.fret_12=-3", "action.fret_12: -3 is negative; write a length from 0.2 to 15 mm"),
    ],
)  # fmt: skip
def test_slip_in_a_set_key_is_shown_with_the_option_and_a_remedy(tmp_path, given, expected):
    assert refused(tmp_path, "--set", given) == [f"--set {expected}"]


def test_text_without_a_key_is_refused(tmp_path):
    for given in ("=3", "", " = "):
        assert refused(tmp_path, "--set", given)[0].startswith(
            "--set: there is no key; write for instance --set scale="
        )


def test_what_a_remedy_shows_can_be_typed_as_it_is(tmp_path):
    """Every key's own example, through a shell's quotes."""
    from jigs.instrument.set_keys import known_paths

    for path in known_paths("4"):
        (line,) = refused(tmp_path, "--set", path)
        remedy = shlex.split(line.partition("write for instance ")[2])
        assert remedy[0] == "--set"
        assert remedy[1].startswith(f"{path}=")
        _, _, shown = run("numbers", "banjo", *remedy)
        assert "no value" not in shown
        assert "is not a" not in shown, shown


def test_all_faults_of_set_keys_and_of_the_order_are_shown_at_once(tmp_path):
    lines = refused(tmp_path, "--set", "scale=x", "--set", "frets=1", "--set", "frets=22", "--paper", "a9", "frok")
    assert [line.split(": ")[0] for line in lines] == ["TEMPLATE", "--paper", "--set scale", "--set frets"]


def test_key_that_is_set_twice_is_refused(tmp_path):
    twice = refused(tmp_path, "--set", "scale=26 in", "--set", "scale=27 in")
    assert twice == ["--set scale: this key is set more than once; keep one"]


def test_two_keys_of_which_a_file_has_one_are_refused_if_both_are_set(tmp_path):
    both = refused(tmp_path, "--set", "scale=26 in", "--set", "nut_to_fret_12=330")
    assert both == ["--set scale: both scale and nut_to_fret_12 are filled in; keep one"]


def test_fault_of_the_file_keeps_its_place_in_the_file(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(SMALL_FILE.replace("13 7/8 in", "13 7/8 inn"), encoding="utf-8")
    _, _, shown = run("draw", path, "--set", "action.fret_12=0.3", "--out", tmp_path / "out")
    places = [line.split(": ")[:2] for line in shown.splitlines()]
    assert places == [[str(path), "scale"], ["--set action.fret_12", places[1][1]]]


def test_help_of_every_command_with_an_instrument_has_it():
    for command in COMMANDS:
        shown = " ".join(run(command, "--help")[1].split())
        assert "--set KEY=VALUE" in shown, command
        assert "`jigs keys` lists them" in shown, command


def test_tab_completes_keys():
    def completed(begun):
        words = f"jigs draw banjo --set {begun}"
        env = {"_JIGS_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": "4"}
        return CliRunner(env=env).invoke(main, prog_name="jigs").stdout.split()

    assert completed("action.f") == ["plain,action.fret_12", "plain,action.finger"]
    assert completed("strings.4.g") == ["plain,strings.4.gauge"]
    assert completed("sca") == ["plain,scale"]


# racks


@pytest.fixture
def shelf(tmp_path):
    """A folder with two mandolins of two strings each, and a banjo."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    for name in ("a", "b"):
        (folder / f"{name}.toml").write_text(SMALL_FILE.replace("Test mandolin", name), encoding="utf-8")
    (folder / "banjo.toml").write_text(preset_text("banjo"), encoding="utf-8")
    return folder


def drawn(shelf, *arguments, status=0):
    """What became of each instrument: (report by stem, standard error)."""
    done = run("rack", shelf, "--out", shelf.parent / "out", "--format", "svg", "--json", *arguments)
    assert done[0] == status, done
    report = json.loads(done[1])["instruments"] if done[1] else []
    return {item["source"].rpartition("/")[2]: item for item in report}, done[2]


def test_a_rack_sets_the_key_in_every_instrument(shelf):
    report, _ = drawn(shelf, "--set", "action.fret_12=2.2")
    for name, item in report.items():
        alone = json.loads(run("numbers", shelf / name, "--set", "action.fret_12=2.2", "--json")[1])
        assert item["treble_mm"] == alone["bridge"]["treble_mm"]
    plain, _ = drawn(shelf)
    assert all(plain[name]["treble_mm"] != item["treble_mm"] for name, item in report.items())


def test_a_rack_is_redrawn_when_a_set_key_changes_and_only_then(shelf):
    def redrawn(*arguments):
        return {item["status"] for item in drawn(shelf, *arguments)[0].values()}

    assert redrawn("--set", "action.fret_12=2.2") == {"made"}
    assert redrawn("--set", "action.fret_12=2.2") == {"unchanged"}
    assert redrawn("--set", "action.fret_12=2.3") == {"made"}
    assert redrawn() == {"made"}


def test_parts_nested_on_stock_are_cut_as_from_edited_files(tmp_path):
    path, keys = tmp_path / "a.toml", ("--set", "bridge.length=130")
    nests = []
    for text, more in ((SMALL_FILE, keys), (f"{SMALL_FILE}\n[bridge]\nlength = 130\n", ()), (SMALL_FILE, ())):
        path.write_text(text, encoding="utf-8")
        out = tmp_path / f"out-{len(nests)}"
        assert run("rack", path, "--out", out, "--sheet", "600x600", "--format", "svg", *more)[0] == 0
        nests.append((out / "nest-1.svg").read_bytes())
    assert nests[0] == nests[1] != nests[2]


def test_instrument_that_cannot_have_the_key_is_named_and_the_others_are_drawn(shelf):
    report, shown = drawn(shelf, "--set", "strings.5.note=F4", status=3)
    assert {name: item["status"] for name, item in report.items()} == {
        "a.toml": "faulty",
        "b.toml": "faulty",
        "banjo.toml": "made",
    }
    assert shown.splitlines()[-1] == (
        f"{shelf / 'b.toml'}: --set strings.5.note: the instrument has 2 strings; count from 1, the treble side"
    )


def test_value_that_does_not_agree_with_a_file_names_the_file_and_the_option(shelf):
    _, shown = drawn(shelf, "--set", "action.fret_12=0.45", status=3)
    (line,) = (line for line in shown.splitlines() if not line.startswith("note: "))
    assert line.startswith(f"{shelf / 'banjo.toml'}: --set action.fret_12: 0.45 mm is lower than the nut allows")


def test_value_that_no_instrument_can_have_stops_the_rack_before_anything_is_drawn(shelf):
    _, shown = drawn(shelf, "--set", "action.fret_12=high", status=2)
    assert shown.startswith('--set action.fret_12: "high" is not a length')
    assert len(shown.splitlines()) == 1
    assert not (shelf.parent / "out").exists()
