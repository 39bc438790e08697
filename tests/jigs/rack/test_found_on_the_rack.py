"""The rack shows where every bridge played in tune, what was read last, and which kind is off by how much."""

import csv
import io
import json
import math
import os
from dataclasses import replace
from itertools import pairwise
from statistics import mean, stdev

import pytest
from samples import assert_clear, run

from jigs.drawing.items import Text, bounds
from jigs.instrument.file import parse
from jigs.instrument.opening import preset_text
from jigs.rack import index as rack_index
from jigs.rack import words
from jigs.rack.corrections import by_kind, end
from jigs.rack.report import Item, Status
from jigs.rack.rows import FoundRow, LastReading, Row
from jigs.readings import log as readings_log
from jigs.sheets.paper import PAPERS, paper_named
from jigs.workup.work_up import work_up

pytestmark = pytest.mark.slow

STATE = "rack-state.jsonl"
DATE = "2026-11-25"
OTHER_STRINGS = '"D4 .009, B3 .011, G3 .013, D3 .020w, G4 .009"'


def named(name, preset="banjo"):
    """A preset's file under another name."""
    first = next(line for line in preset_text(preset).split("\n") if line.startswith("name"))
    return preset_text(preset).replace(first, f'name = "{name}"')


def computed_mm(preset="banjo"):
    """Where a preset's bridge belongs by the model alone: treble, bass."""
    return work_up(parse(preset_text(preset).encode(), preset)).outer_places_mm


def put(shelf, stem, off_mm=None, preset="banjo", more=""):
    """An instrument file of the invented library; ``off_mm``: how far from the computed line it played in tune."""
    shelf.mkdir(exist_ok=True)
    text = named(f"The {stem}", preset)
    if off_mm is not None:
        treble, bass = (round(mm + off, 3) for mm, off in zip(computed_mm(preset), off_mm, strict=True))
        text += f"\n[found]\ntreble = {treble}\nbass = {bass}\ndate = {DATE}\n{more}\n"
    (shelf / f"{stem}.toml").write_text(text, encoding="utf-8")
    return shelf


def library(tmp_path):
    """Three banjos with a found place and one without, two mandolins, a tenor banjo."""
    shelf = tmp_path / "shelf"
    for stem, off in (("b1", (0.7, 1.1)), ("b2", (0.9, 1.3)), ("b3", (0.8, 1.0)), ("b4", None)):
        put(shelf, stem, off)
    for stem, off in (("m1", (-0.6, -0.8)), ("m2", (0.4, 0.2))):
        put(shelf, stem, off, "mandolin")
    return put(shelf, "t1", (-0.4, 0.3), "tenor-banjo")


def logged(shelf, stem, step, cents, verdict="stop", instrument=None):
    """Add a step to the log beside an instrument's file."""
    strings = [
        {"string": string, "reading_cents": reading, "aim_cents": 0.0, "plus_minus_cents": 2.0}
        for string, reading in zip((1, 4), cents, strict=True)
    ]
    line = readings_log.as_line(
        {
            "log": readings_log.FORMAT,
            "step": step,
            "instrument": instrument or f"The {stem}",
            "strings": strings,
            "verdict": verdict,
        }
    )
    with (shelf / f"{stem}.jsonl").open("ab") as log:
        log.write(line)


def made(*arguments, status=0):
    done = run("rack", *arguments)
    assert done[0] == status, done
    return done


def report_of(*arguments):
    return json.loads(made(*arguments, "--json")[1])


def rows_of(out):
    rows = csv.DictReader(io.StringIO((out / "rack.csv").read_text(encoding="utf-8")))
    return {row["name"].removeprefix("The "): row for row in rows}


def stamps(out):
    return {path.name: (path.stat().st_mtime_ns, path.stat().st_ino) for path in out.iterdir()}


def contents(out):
    return {path.name: path.read_bytes() for path in out.iterdir()}


def test_table_and_report_show_computed_and_found_place_correction_date_and_strings(tmp_path):
    shelf, out = library(tmp_path), tmp_path / "out"
    report = report_of(shelf, "--out", out)
    rows = rows_of(out)
    treble, bass = computed_mm()
    for stem, (off_treble, off_bass) in (("b1", (0.7, 1.1)), ("b2", (0.9, 1.3)), ("b3", (0.8, 1.0))):
        item = next(one for one in report["instruments"] if one["name"] == f"The {stem}")
        expected = {
            "computed_treble_mm": treble,
            "computed_bass_mm": bass,
            "treble_mm": treble + off_treble,
            "bass_mm": bass + off_bass,
        }
        found = {
            "treble_mm": treble + off_treble,
            "bass_mm": bass + off_bass,
            "correction_treble_mm": off_treble,
            "correction_bass_mm": off_bass,
        }
        assert {key: item[key] for key in expected} == pytest.approx(expected, abs=2e-3)
        assert {key: item["found"][key] for key in found} == pytest.approx(found, abs=2e-3)
        for key, value in {**expected, **found}.items():
            head = f"found_{key}" if key in ("treble_mm", "bass_mm") else key
            assert float(rows[stem][head]) == pytest.approx(value, abs=7e-3)
        assert rows[stem]["found_on"] == item["found"]["date"] == DATE
        assert rows[stem]["found_with"] == item["found"]["strings"]
        assert item["found"]["strings"].startswith("D4 .010, B3 .012")
    without = next(one for one in report["instruments"] if one["name"] == "The b4")
    assert without["found"] is None
    assert {rows["b4"][head] for head in rows["b4"] if head.startswith(("found", "correction", "last"))} == {""}
    printed = made(shelf, "--out", out)[1]
    assert f"computed {treble:.1f} / {bass:.1f} mm, correction +0.7 / +1.1 mm" in printed
    assert "on 25 November 2026 with D4 .010" in printed
    assert "The b4" not in printed


def test_place_found_with_other_strings_is_drawn_where_todays_belong(tmp_path):
    shelf, out = put(tmp_path / "shelf", "b1", (0.4, 0.6), more=f"strings = {OTHER_STRINGS}"), tmp_path / "out"
    (item,) = report_of(shelf, "--out", out)["instruments"]
    alone = json.loads(run("numbers", shelf / "b1.toml", "--json")[1])
    for one in ("treble", "bass"):
        assert item[f"{one}_mm"] == pytest.approx(alone["bridge"][f"{one}_mm"], abs=1e-6)
        assert item["found"][f"correction_{one}_mm"] == pytest.approx(alone["found"][f"correction_{one}_mm"], abs=1e-6)
        drawn = item[f"computed_{one}_mm"] + item["found"][f"correction_{one}_mm"]
        assert drawn == pytest.approx(item[f"{one}_mm"], abs=1e-6)
        assert abs(item["found"][f"{one}_mm"] - item[f"{one}_mm"]) > 0.02
    assert item["found"]["strings"].startswith("D4 .009, B3 .011")
    assert "other strings than today's" in made(shelf, "--out", out)[1]


def test_computed_line_is_drawn_and_shown_if_it_is_ordered(tmp_path):
    shelf, out = put(tmp_path / "shelf", "b1", (0.7, 1.1)), tmp_path / "out"
    (item,) = report_of(shelf, "--out", out, "--computed")["instruments"]
    assert (item["treble_mm"], item["bass_mm"]) == pytest.approx(computed_mm(), abs=1e-6)
    assert item["found"] is None


def test_last_reading_is_the_last_step_of_the_log_beside_the_file(tmp_path):
    shelf, out = library(tmp_path), tmp_path / "out"
    logged(shelf, "b1", 1, (4.0, -5.0), "move")
    logged(shelf, "b1", 2, (0.3, -0.2))
    logged(shelf, "b4", 1, (-6.0, 7.0), "something else")
    logged(shelf, "b1", 9, (40.0, 40.0), instrument="A neighbour")
    report = report_of(shelf, "--out", out)
    last = {one["name"]: one["last_reading"] for one in report["instruments"]}
    assert last["The b1"] == {
        "step": 2,
        "verdict": "stop",
        "treble_cents": pytest.approx(0.3),
        "bass_cents": pytest.approx(-0.2),
    }
    assert last["The b2"] is None
    heads = ("last_step", "last_verdict", "last_treble_cents", "last_bass_cents")
    assert [rows_of(out)["b4"][head] for head in heads] == ["1", "something else", "-6.00", "7.00"]
    printed = made(shelf, "--out", out)[1]
    assert "last reading: step 2: stop; treble 0.3 cents sharp; bass 0.2 cents flat" in printed


def test_new_reading_renews_table_and_index_and_redraws_no_file(tmp_path):
    shelf, out = library(tmp_path), tmp_path / "out"
    logged(shelf, "b1", 1, (4.0, -5.0), "move")
    made(shelf, "--out", out)
    before = stamps(out)
    logged(shelf, "b1", 2, (0.3, -0.2))
    assert made(shelf, "--out", out)[1].startswith("0 drawn, 7 unchanged")
    changed = {name for name, stamp in stamps(out).items() if before[name] != stamp}
    assert changed == {"rack.csv", "rack-index.pdf", "rack-index.svg", STATE}
    assert rows_of(out)["b1"]["last_step"] == "2"
    before = stamps(out)
    made(shelf, "--out", out)
    assert stamps(out) == before
    (shelf / "b1.jsonl").unlink()
    made(shelf, "--out", out)
    assert rows_of(out)["b1"]["last_step"] == ""


def as_folder(log):
    log.mkdir()


def as_pipe(log):
    os.mkfifo(log)


def torn(log):
    logged(log.parent, "b1", 1, (4.0, -5.0))
    with log.open("ab") as file:
        file.write(b'{"log": "bridge-jigs readings 1", "step": 2, "ins')


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda log: log.write_bytes(b"\0\xff"), "line 1: this is not a line of a log"),
        (torn, "line 2: this line is damaged"),
        (as_folder, "this is a folder"),
        (as_pipe, "this is not a file"),
    ],
)
def test_damaged_log_is_a_note_and_never_a_fault_of_the_rack(tmp_path, damage, said):
    shelf, out = library(tmp_path), tmp_path / "out"
    logged(shelf, "b2", 1, (0.3, -0.2))
    damage(shelf / "b1.jsonl")
    _, printed, complaint = made(shelf, "--out", out)
    (note,) = complaint.splitlines()
    assert "b1.toml: its last reading is unknown: b1.jsonl: " in note
    assert said in note
    assert printed.startswith("7 drawn, 0 unchanged, in ")
    assert (rows_of(out)["b1"]["last_step"], rows_of(out)["b1"]["correction_treble_mm"]) == ("", "0.70")
    assert rows_of(out)["b2"]["last_step"] == "1"
    assert "its last reading is unknown" in made(shelf, "--out", out)[2], "it is forgotten at the next run"


def test_log_of_other_instruments_only_is_pointed_out(tmp_path):
    shelf, out = library(tmp_path), tmp_path / "out"
    logged(shelf, "b1", 3, (0.3, -0.2), instrument="The old name")
    complaint = made(shelf, "--out", out)[2]
    assert 'b1.jsonl has no step of "The b1", but of "The old name"' in complaint
    assert rows_of(out)["b1"]["last_step"] == ""


def test_verdict_that_no_version_writes_goes_into_no_table(tmp_path):
    shelf, out = library(tmp_path), tmp_path / "out"
    logged(shelf, "b1", 3, (0.3, -0.2), verdict="=a formula\n")
    made(shelf, "--out", out)
    assert (rows_of(out)["b1"]["last_step"], rows_of(out)["b1"]["last_verdict"]) == ("3", "")


def test_same_bytes_in_two_folders_and_with_two_processes(tmp_path):
    shelf = library(tmp_path)
    logged(shelf, "b1", 1, (4.0, -5.0))
    printed = [made(shelf, "--out", tmp_path / f"out-{jobs}", "--jobs", jobs)[1] for jobs in (1, 2)]
    assert contents(tmp_path / "out-1") == contents(tmp_path / "out-2")
    assert printed[0].replace("out-1", "out-2") == printed[1]


def test_corrections_of_each_kind_are_summed_up_and_tenors_are_a_kind_apart(tmp_path):
    shelf, out = library(tmp_path), tmp_path / "out"
    tenor, banjo, mandolin = report_of(shelf, "--out", out)["corrections"]
    for kind, name, counts, offs in (
        (tenor, ("banjo", 4), (1, 1), [(-0.4, 0.3)]),
        (banjo, ("banjo", 5), (3, 4), [(0.7, 1.1), (0.9, 1.3), (0.8, 1.0)]),
        (mandolin, ("mandolin", 4), (2, 2), [(-0.6, -0.8), (0.4, 0.2)]),
    ):
        assert (kind["kind"], kind["string_count"]) == name
        assert (kind["found"], kind["instruments"]) == counts
        for one, of_end in zip(("treble", "bass"), zip(*offs, strict=True), strict=True):
            assert kind[one]["mean_mm"] == pytest.approx(mean(of_end), abs=1e-3)
            sd = stdev(of_end) if len(of_end) > 1 else None
            assert kind[one]["sd_mm"] == (sd if sd is None else pytest.approx(sd, abs=1e-3))
    *table, meaning = made(shelf, "--out", out)[1].splitlines()[-4:]
    assert [line.split() for line in table] == [
        ["banjo,", "4", "strings", "1", "of", "1", "−0.4", "–", "+0.3", "–"],
        ["banjo,", "5", "strings", "3", "of", "4", "+0.8", "0.1", "+1.1", "0.2"],
        ["mandolin,", "4", "courses", "2", "of", "2", "−0.1", "0.7", "−0.3", "0.7"],
    ]
    assert "Check how the scale is measured" in meaning
    assert meaning.endswith("banjo, 5 strings.")


@pytest.mark.parametrize(
    ("offs", "said"),
    [
        ([(0.8, 1.0), (0.9, 1.1)], "With 3 or more found places"),
        ([(0.8, -1.0), (-0.9, 1.1), (0.2, 0.1)], "No kind is off alike"),
        ([(0.8, 1.0), (0.9, 1.1), (0.85, 0.9)], "Check how the scale is measured"),
        ([(0.05, 0.04), (0.05, 0.04), (0.05, 0.04)], "No kind is off alike"),
    ],
)
def test_sentence_below_the_corrections_says_what_they_mean(offs, said):
    rows = [item.row for item in library_of(len(offs))]
    found = [
        replace(row, found=replace(row.found, correction_treble_mm=treble, correction_bass_mm=bass))
        for row, (treble, bass) in zip(rows, offs, strict=True)
    ]
    assert words.corrections_mean(by_kind(found)).startswith(said)


def test_rack_without_a_found_place_prints_no_corrections(tmp_path):
    shelf, out = put(tmp_path / "shelf", "b4"), tmp_path / "out"
    assert len(made(shelf, "--out", out)[1].splitlines()) == 2
    assert report_of(shelf, "--out", out)["corrections"] == []


def test_instruments_are_off_alike_only_beyond_what_chance_explains():
    """Student's t of 2 degrees of freedom with 97.5% within is 6.205 (tables of the distribution)."""
    limit = 6.205 / math.sqrt(3)
    for mean_mm, alike in ((limit + 0.01, True), (limit - 0.01, False), (-limit - 0.01, True)):
        assert end([mean_mm - 1, mean_mm, mean_mm + 1]).alike is alike
    assert not end([5.0, 5.0]).alike


def library_of(count, name="Loan banjo", strings="D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010", verdict="stop"):
    """Items of a rack: every third was found with other strings, every fourth was never found, every fifth never read."""
    items = []
    for n in range(1, count + 1):
        found = FoundRow(669.7, 1470.0, 0.8, -10.6, DATE if n % 7 else "", strings, same_strings=bool(n % 3))
        row = Row(
            f"{name} {n}", 1666.75, 669.76, 1470.1, -0.61, 2.2, 2.1, 0.04, 668.9, 1480.6, "banjo", 5, False, 1, 4,
            found if n % 4 or count < 4 else None,
        )  # fmt: skip
        last = LastReading(n, verdict, 10.3, None if n % 2 else -10.2) if n % 5 else None
        files = (f"loan-banjo-{n}-fork.pdf", f"loan-banjo-{n}-fork.svg")
        items.append(Item(f"shelf/loan-banjo-{n}.toml", Status.MADE, row, files, stem=f"loan-banjo-{n}", last=last))
    return items


@pytest.mark.parametrize("paper", [*PAPERS, "130x200", "200x300", "206x300", "500x300"])
@pytest.mark.parametrize("verdict", ["stop", "check first string again", "something else"])
@pytest.mark.parametrize("name", ["Loan banjo", "A banjo whose name is as long as a name can well be, and then more"])
def test_index_with_found_places_has_nothing_over_anything_and_nothing_cut_off_on_any_paper(paper, verdict, name):
    strings = "D4 .010, B3 .012, G3 .014, D3 .022w core .010 nickel-plated steel, G4 .010"
    sheets = rack_index.lay_out(library_of(24, name, strings, verdict), paper_named(paper), "The rack")
    seen = []
    for sheet in sheets:
        texts = [item for item in sheet.drawing if isinstance(item, Text)]
        seen += [text.text for text in texts]
        for text in texts:
            box = bounds(text)
            assert 9.9 <= box.left <= box.right <= sheet.paper.width_mm - 9.9, text.text
            assert 9.9 <= box.top <= box.bottom <= sheet.paper.height_mm - 9.0, text.text
        assert_clear([item for item in sheet.drawing if isinstance(item, Text)])
    assert seen.count("+0.8") == 18 + 1
    assert seen.count("−10.6") == 18 + 1
    assert seen.count("668.9") == 18
    assert seen.count(DATE) == 15
    assert seen.count("+10.3 / −10.2") + seen.count("+10.3 / –") == 20
    assert sum(text.startswith("with D4") for text in seen) == 6
    assert "18 of 24" in seen
    assert words.CORRECTIONS in seen


def test_index_shows_the_columns_of_an_instrument_below_each_other():
    (sheet,) = rack_index.lay_out(library_of(1), PAPERS["a4"], "x")
    texts = [item for item in sheet.drawing if isinstance(item, Text)]
    places = {text.text: text.at for text in reversed(texts)}
    drawn, found, computed = places["669.8"], places["669.7"], places["668.9"]
    assert drawn[0] == found[0] == computed[0]
    assert drawn[1] < found[1] < computed[1]
    assert places["found"][1] == found[1] == places[DATE][1] == places["+0.8"][1]
    assert places["computed"][1] == computed[1]


def test_index_of_a_rack_without_found_places_keeps_its_look():
    items = [replace(item, row=replace(item.row, found=None), last=None) for item in library_of(3)]
    (sheet,) = rack_index.lay_out(items, PAPERS["a4"], "x")
    seen = [item.text for item in sheet.drawing if isinstance(item, Text)]
    assert not {"found", "computed", "correction", "found on", "last reading", words.CORRECTIONS} & set(seen)
    assert not any("ear" in text.split() for text in seen)
    one_line = [item.at[1] for item in sheet.drawing if isinstance(item, Text) and item.text in ("1", "2", "3")]
    assert len({round(below - above, 3) for above, below in pairwise(one_line)}) == 1
