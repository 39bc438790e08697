"""What `jigs numbers` says of how sure the line is, and what the `[tolerance]` table of a file may say."""

import csv
import io
import json
import re
from dataclasses import replace

import numpy as np
import pytest
from readers import svg_pieces
from samples import PRESETS, SMALL_FILE, preset, run

from geometry.compensation import Objective, setbacks
from geometry.tolerance import Source
from jigs.instrument.opening import preset_text
from jigs.sheets.paper import PAPERS, room_on
from jigs.templates.fork_plan import plan
from jigs.workup.sureness import how_sure
from jigs.workup.table_words import SOURCES


def numbers_of(tmp_path, content, *options):
    path = tmp_path / "mine.toml"
    path.write_text(content)
    status, printed, shown = run("numbers", path, *options)
    assert status == 0, shown
    return printed


def as_json(tmp_path, table=""):
    return json.loads(numbers_of(tmp_path, f"{SMALL_FILE}\n[tolerance]\n{table}\n", "--json"))


OF_A_COMPUTED_PLACE = set(Source) - {Source.FOUND}


def parts(place):
    return {part["name"]: part["mm"] for part in place["contributions"]}


@pytest.mark.parametrize("name", PRESETS)
def test_programs_get_the_sureness_of_every_string_and_of_the_line(name):
    numbers = json.loads(run("numbers", name, "--json")[1])
    for place in (*numbers["strings"], numbers["bridge"]):
        assert set(parts(place)) == {source.value for source in OF_A_COMPUTED_PLACE}
        in_order = [part["mm"] for part in place["contributions"]]
        assert in_order == sorted(in_order, reverse=True)
        assert sum(mm**2 for mm in in_order) == pytest.approx(place["plus_minus_mm"] ** 2)
    for string in numbers["strings"]:
        assert string["plus_minus_cents"] == pytest.approx(-string["plus_minus_mm"] * string["cents_per_mm"])
    bridge = numbers["bridge"]
    assert bridge["plus_minus_datum_fret"] == preset(name).instrument.octave_fret
    outer = [numbers["strings"][bridge[f"{end}_string"] - 1]["cents_per_mm"] for end in ("treble", "bass")]
    assert bridge["plus_minus_cents"] == pytest.approx(-bridge["plus_minus_mm"] * sum(outer) / 2, rel=1e-12)
    for end in ("treble", "bass"):
        string = numbers["strings"][bridge[f"{end}_string"] - 1]
        assert bridge[f"{end}_plus_minus_mm"] == pytest.approx(string["plus_minus_mm"])
        assert bridge[f"{end}_plus_minus_cents"] == pytest.approx(string["plus_minus_cents"])


def test_spreadsheet_rows_hold_the_same_sureness_as_json():
    rows = csv.DictReader(io.StringIO(run("numbers", "banjo", "--csv")[1]))
    found = {(row["part"], row["number"], row["quantity"]): row["value"] for row in rows}
    numbers = json.loads(run("numbers", "banjo", "--json")[1])
    assert float(found["string", "5", "plus_minus_cents"]) == numbers["strings"][4]["plus_minus_cents"]
    assert float(found["bridge", "", "bass_plus_minus_mm"]) == numbers["bridge"]["bass_plus_minus_mm"]
    for source in OF_A_COMPUTED_PLACE:
        quantity = f"plus_minus_mm from {source.value}"
        assert float(found["string", "3", quantity]) == parts(numbers["strings"][2])[source.value]
        assert float(found["bridge", "", quantity]) == parts(numbers["bridge"])[source.value]


@pytest.mark.parametrize("name", PRESETS)
def test_table_says_how_sure_and_what_to_measure_better_and_never_a_hundredth(name):
    table = run("numbers", name)[1].splitlines()
    numbers = json.loads(run("numbers", name, "--json")[1])
    start = next(n for n, line in enumerate(table) if line.startswith("± (95%)"))
    assert f"printed fork against fret {preset(name).instrument.octave_fret}," in table[start]
    lines = table[start + 2 : table.index("", start)]
    assert [line.split()[0] for line in lines[-2:]] == ["line,", "line,"]
    assert len(lines) == len(numbers["strings"]) + 2
    for string, line in zip(numbers["strings"], lines, strict=False):
        assert f"{string['string']} {string['note']}" in line
        assert f"± {string['plus_minus_mm']:.1f} mm" in line
        assert re.search(rf"\(± +{string['plus_minus_cents']:.1f} cents\)", line)
        largest = [SOURCES[Source(part["name"])] for part in string["contributions"][:3]]
        shown = [re.sub(r" [\d.]+$", "", part) for part in line.split(")  ")[1].split(", ")]
        assert shown == largest
    for line in lines:
        assert not re.search(r"\d\.\d\d", line), line


def test_what_a_file_says_of_its_measurements_counts(tmp_path):
    usual = as_json(tmp_path)["strings"][1]
    calibrated = as_json(tmp_path, "print_percent = 0.05")["strings"][1]
    assert parts(calibrated)["print"] == pytest.approx(parts(usual)["print"] / 6)
    assert calibrated["plus_minus_mm"] < usual["plus_minus_mm"]
    for source in ("scale", "action", "nut_height", "gauge", "datum", "laying"):
        coarse = parts(as_json(tmp_path, f'{source} = "0.004 in"')["strings"][1])
        fine = parts(as_json(tmp_path, f"{source} = {0.002 * 25.4}")["strings"][1])
        assert coarse[source] == pytest.approx(2 * fine[source])
        assert fine[source] > 0
        for other in set(fine) - {source}:
            assert fine[other] == parts(usual)[other]
    stiffer = parts(as_json(tmp_path, "modulus_percent = 6")["strings"][1])
    assert stiffer["modulus"] == pytest.approx(2 * parts(usual)["modulus"])
    assert parts(as_json(tmp_path, "slip_to = 0.0")["strings"][1])["slip"] == 0
    from_half = parts(as_json(tmp_path, "slip_from = 0.5")["strings"][1])["slip"]
    assert from_half < 0.5 * parts(usual)["slip"], "half the range, and the line is drawn with its middle"
    outside, inside = (
        parts(as_json(tmp_path, f"slip_from = {least}\n[tail]\nslip = 0.0")["strings"][1])["slip"] for least in (0.5, 0)
    )
    assert outside > inside, "nothing is gained by ruling out the value that the line was drawn with"


def test_with_a_nut_to_cut_a_finger_counts_as_much_as_it_moves_the_place_found_anew():
    """Each of 144 fingers by itself; on the wound strings of a mandolin one step of the search misses it sixfold."""
    workup = preset("mandolin", tune_to='"nut and saddle"')
    model, counted = workup.model, workup.instrument.compensation.frets
    moved = []
    for d in np.linspace(5, 15, 25)[1::2]:
        for p in np.linspace(0, 0.5, 25)[1::2]:
            finger = replace(model, finger_mm=np.full(4, d), press_mm=np.full(4, p))
            moved.append(setbacks(finger, Objective.NUT_AND_SADDLE, counted).setback_mm - workup.setbacks.setback_mm)
    wide = 1.96 * np.sqrt(np.mean(np.square(moved), axis=0))
    sure = how_sure(workup)
    touch = [dict(sure.of_string(n).contributions)[Source.TOUCH] for n in range(4)]
    assert touch == pytest.approx(wide, rel=0.02)
    assert max(touch) < 5


def test_exact_measurements_leave_what_no_measurement_says_and_no_other_words(tmp_path):
    """How nut and bridge hold the string is in no file; a known finger and a measured core leave nothing else."""
    tolerances = preset("banjo").instrument.tolerance.model_dump(exclude={"measured_with"})
    exact = "\n".join(f"{key} = 0" for key in tolerances)
    content = f"{SMALL_FILE}\n[action]\nfinger = 10\npress = 0\n[tolerance]\n{exact}"
    grip = SOURCES[Source.ENDS]
    assert re.search(rf"string 2 G3  ± 1.2 mm  \(± 5.7 cents\)  {grip} 1.2\n", numbers_of(tmp_path, content))
    nearly = content.replace("laying = 0", "laying = 0.01")
    assert f"{grip} 1.2, laying the paper under 0.1\n" in numbers_of(tmp_path, nearly)
    for source in OF_A_COMPUTED_PLACE - {Source.ENDS}:
        assert parts(json.loads(numbers_of(tmp_path, content, "--json"))["strings"][1])[source.value] == 0


@pytest.mark.parametrize("name", PRESETS)
def test_table_that_a_preset_shows_is_what_counts_without_it(name, tmp_path):
    text = preset_text(name)
    head, table = text.split("# [tolerance]")
    shown = head + "[tolerance]" + table.replace("\n# ", "\n")
    assert shown.count("[tolerance]") == 1
    assert json.loads(numbers_of(tmp_path, shown, "--json")) == json.loads(run("numbers", name, "--json")[1])
    keys = [line.split("=")[0].strip() for line in shown.split("[tolerance]")[1].splitlines() if "=" in line]
    known = preset(name).instrument.tolerance.model_dump()
    assert keys == [key for key in known if key != "gauge"]


def test_printed_error_is_of_what_the_fork_prints():
    for name, over in (("banjo", False), ("mandolin", True)):
        workup = preset(name)
        laid_out = plan(workup, 12, over, room_on(PAPERS["a3"]))
        printed = laid_out.face.centre_mm - laid_out.datum_mm
        at_centre = dict(how_sure(workup, 12, over).of_line(0.0).contributions)[Source.PRINT]
        assert at_centre == pytest.approx(1.96 * 0.003 * printed, abs=1e-3)


@pytest.mark.parametrize(
    ("table", "expected"),
    [
        ("scale = -0.25", ["[tolerance] scale", "negative", "from 0 to 10 mm"]),
        ("scale = 12", ["[tolerance] scale", "too long"]),
        ('action = "0.15 furlong"', ["[tolerance] action", "unknown unit"]),
        ("action = true", ["[tolerance] action", "not a length"]),
        ("nut_height = nan", ["[tolerance] nut_height", "nan"]),
        ("gauge = 0.3", ["[tolerance] gauge", "too long", "thousandths of an inch"]),
        ("modulus_percent = -1", ["[tolerance] modulus_percent", "the least is 0"]),
        ("modulus_percent = 31", ["[tolerance] modulus_percent", "the most is 30"]),
        ('print_percent = "0.3 %"', ["[tolerance] print_percent", "not a number", "for instance 0.3"]),
        ("print_percent = 6", ["[tolerance] print_percent", "the most is 5"]),
        ("print_percent = inf", ["[tolerance] print_percent"]),
        ("slip_from = -0.1", ["[tolerance] slip_from", "the least is 0"]),
        ("slip_to = 1.1", ["[tolerance] slip_to", "the most is 1"]),
        ("slip_from = 0.6\nslip_to = 0.4", ["[tolerance] slip_to", "less than [tolerance] slip_from", "smaller one"]),
        ("slip_to = 0.4\nslip_from = 0.6", ["[tolerance] slip_to", "less than [tolerance] slip_from"]),
        ("print_procent = 0.3", ["[tolerance] print_procent", 'did you mean "print_percent"']),
        ("datum = -1\nlaying = -1", ["[tolerance] datum", "[tolerance] laying"]),
    ],
)
def test_slip_in_the_tolerance_table_is_named_with_its_place_and_remedy(tmp_path, table, expected):
    path = tmp_path / "mine.toml"
    path.write_text(f"{SMALL_FILE}\n[tolerance]\n{table}\n")
    status, printed, shown = run("numbers", path)
    assert status == 2, printed
    assert printed == ""
    for words in expected:
        assert words in shown, shown
    for line in shown.splitlines():
        assert line.startswith(f"{path}: [tolerance] ")
        assert "; " in line, f"no remedy: {line}"


@pytest.mark.parametrize(
    ("line", "owner"),
    [
        ("print_percent = 0.3", "[tolerance]"),
        ("tolerance = 3", "[tolerance]"),
        ('gauge = "0.010 in"', "[[strings]]"),
        ("nut_height = 0.6", "[[strings]]"),
    ],
)
def test_key_above_all_tables_shows_where_it_belongs(tmp_path, line, owner):
    path = tmp_path / "mine.toml"
    path.write_text(f"{line}\n{SMALL_FILE}")
    status, _, shown = run("numbers", path)
    assert status == 2
    assert owner in shown


def test_tolerance_table_widens_the_grey_band_and_moves_no_mark(tmp_path):
    read = []
    for name, table in (("without", ""), ("with", "\n[tolerance]\nscale = 3.0\n")):
        path = tmp_path / name / "mine.toml"
        path.parent.mkdir()
        path.write_text(SMALL_FILE + table)
        assert run("draw", path, "--out", path.parent)[0] == 0
        read.append(svg_pieces((path.parent / "mine-fork.svg").read_bytes()))
    for mark in ("datum", "bridge-line", "bridge-theoretical", "cents-treble-10", "cents-bass--10"):
        assert np.array_equal(read[0][mark], read[1][mark]), mark
    heights = [np.ptp(pieces["band-treble"][:, 1]) for pieces in read]
    assert heights[1] > 1.5 * heights[0]
