"""`jigs compare` at the command line: what it prints, what it writes, and what it refuses."""

import json
import re

import pytest
from samples import ROOT, faults_are_sentences, run

from jigs.instrument.opening import preset_text

SET = "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011"
LOAN_BANJO = ROOT / "out_examples" / "loan-banjo-7-kept.toml"


def other_file(tmp_path, *changes, name="new.toml"):
    text = preset_text("banjo")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / name
    path.write_text(text)
    return path


def numbers(*arguments):
    status, printed, shown = run("compare", *arguments, "--json")
    assert status == 0, shown
    return json.loads(printed)


def test_presets_and_files_are_compared(tmp_path):
    new = other_file(tmp_path, (".022w", ".026w"))
    found = numbers("banjo", new)
    printed = [json.loads(run("numbers", each, "--json")[1])["bridge"] for each in ("banjo", new)]
    for end in ("treble", "bass"):
        moved = printed[1][f"{end}_mm"] - printed[0][f"{end}_mm"]
        assert found[f"{end}_move_mm"] == pytest.approx(moved, abs=1e-9)


def test_table_says_what_to_do_first():
    status, printed, _ = run("compare", "banjo", "--strings", "D4 .012, B3 .014, G3 .018, D3 .030w, G4 .012")
    assert status == 0
    lines = printed.splitlines()
    assert lines[0] == "Five-string banjo: other strings"
    assert re.match(r"(Move|Leave) (both ends|the treble end|the bridge)", lines[1])
    assert any(line.startswith("± (95%)") for line in lines)


def test_set_counts_for_both_sets_of_strings(tmp_path):
    new, keys = other_file(tmp_path, (".022w", ".026w")), ("--set", "action.fret_12=4")
    at_option = numbers("banjo", new, *keys)
    files = [other_file(tmp_path, ("fret_12 = 3.0", "fret_12 = 4.0"), name="old.toml"),
             other_file(tmp_path, ("fret_12 = 3.0", "fret_12 = 4.0"), (".022w", ".026w"), name="other.toml")]  # fmt: skip
    in_files = numbers(*files)
    assert at_option["bass_move_mm"] == pytest.approx(in_files["bass_move_mm"], abs=1e-12)
    assert at_option["bass_move_mm"] != pytest.approx(numbers("banjo", new)["bass_move_mm"], abs=1e-4)
    assert "[action]" not in run("compare", "banjo", new, *keys)[2]
    by_text = numbers("banjo", "--strings", SET, *keys)
    assert by_text["old"]["bass_mm"] == pytest.approx(in_files["old"]["bass_mm"])


def test_computed_line_counts_where_the_place_found_is_not_wanted(tmp_path):
    path = tmp_path / "found.toml"
    path.write_text(preset_text("banjo") + "\n[found]\ntreble = 671.0\nbass = 672.0\n")
    with_place, without = numbers(path, "--strings", SET), numbers(path, "--strings", SET, "--computed")
    assert with_place["old"]["treble_mm"] == pytest.approx(671.0)
    assert without["old"] == numbers("banjo", "--strings", SET)["old"]
    assert with_place["bass_move_mm"] == pytest.approx(without["bass_move_mm"], abs=1e-9)


@pytest.mark.parametrize("formats", ["pdf", "svg", "pdf,svg"])
def test_picture_is_written_beside_the_table(tmp_path, formats):
    status, printed, _ = run("compare", "banjo", "--strings", SET, "--format", formats, "--out", tmp_path / "out")
    assert status == 0
    names = sorted(f"banjo-compare.{kind}" for kind in formats.split(","))
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == names
    assert "Five-string banjo: other strings" in printed
    first = {path: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    run("compare", "banjo", "--strings", SET, "--format", formats, "--out", tmp_path / "out")
    assert first == {path: path.read_bytes() for path in (tmp_path / "out").iterdir()}


def test_json_stays_json_when_a_picture_is_written(tmp_path):
    status, printed, shown = run("compare", "banjo", "--strings", SET, "--json", "--format", "svg", "--out", tmp_path)
    assert status == 0
    assert json.loads(printed)["strings"]
    assert "wrote" in shown


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["banjo"], "there is nothing to compare"),
        (["banjo", "tenor-banjo", "--strings", SET], "both given"),
        (["banjo", "tenor-banjo"], "has 4 strings"),
        (["banjo", "--strings", ".010 .012"], "--strings: this set has 2 strings"),
        (["banjo", "--strings", "rope"], "--strings: string 1"),
        (["banjo", "--strings", SET.replace(".011, B3", ".090, B3")], "--strings"),
        (["nobody.toml", "banjo"], "nobody.toml"),
        (["banjo", "nobody.toml"], "nobody.toml"),
        (["banjo", "--strings", SET, "--paper", "a3"], "--paper: this is for the picture"),
        (["banjo", "--strings", SET, "--format", "dxf"], "--format"),
        (["banjo", "--strings", SET, "--format", "pdf", "--paper", "130x200"], "--paper"),
        (["banjo", "--strings", SET, "--set", "scale=1"], "--set scale"),
    ],
)
def test_what_cannot_be_compared_is_refused_in_a_sentence(tmp_path, arguments, expected):
    out = tmp_path / "out"
    more = ["--out", out] if "--format" in arguments else []
    status, printed, shown = run("compare", *arguments, *more)
    faults_are_sentences(status, shown, out)
    assert expected in shown
    assert printed == ""


def test_faults_of_both_files_are_printed_at_once():
    shown = run("compare", "nobody.toml", "no-one.toml")[2]
    assert "nobody.toml" in shown
    assert "no-one.toml" in shown
