"""The log keeps every line when several runs write at once, leaves other files alone, and draws its steps."""

import json
import os
import subprocess
import sys
import threading
import time
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path as FilePath

import pytest
from readers import farthest_mm, pdf_pieces_by_pdfium, svg_pieces
from samples import assert_clear, named, pieces, preset, run

from geometry.readings import NORMAL_QUANTILE, STOP_QUANTILE
from jigs.drawing.items import Circle, Text, bounds
from jigs.drawing.lettering import LARGE, LARGEST
from jigs.faults import InputFaults
from jigs.readings import log as readings_log
from jigs.readings import log_picture as readings_picture
from jigs.readings.log import Step, next_number, open_log, read
from jigs.sheets.paper import PAPERS, Paper
from jigs.system import locks

pytestmark = pytest.mark.slow

PAIR = ("--string", 1, "--harmonic", 0, "--fretted", 3, "--string", 4, "--harmonic", 0, "--fretted", -7)
UM = 1e-3


def logged(path, *arguments, instrument="banjo"):
    status, printed, said = run("readings", instrument, *PAIR, "--log", path, *arguments)
    assert status == 0, said
    return printed


def lines_of(path):
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def line(step, instrument="Five-string banjo"):
    return readings_log.as_line(
        {"log": readings_log.FORMAT, "step": step, "instrument": instrument, "strings": [], "verdict": None}
    )


def test_log_keeps_what_was_read_and_what_was_advised(tmp_path):
    path = tmp_path / "banjo.log"
    printed = logged(path)
    assert f"wrote {path}" in printed
    advice = json.loads(logged(path, "--json"))
    first, second = lines_of(path)
    assert (first["step"], second["step"]) == (1, 2)
    assert {key: second[key] for key in first if key != "step"} == {key: first[key] for key in first if key != "step"}
    assert first["verdict"] == advice["verdict"]
    assert first["moves"][1]["move_mm"] == pytest.approx(advice["moves"][1]["move_mm"], abs=1e-4)
    assert [one["reading_cents"] for one in first["strings"]] == [3, -7]


def test_what_else_was_read_is_kept_under_its_keys(tmp_path):
    """A fret of a diagnosis, and a string that was not read at its octave."""
    path = tmp_path / "x"
    given = (
        *("--string", "1", "--harmonic", "0", "--fretted", "2"),
        *("--fret", "5", "--open", "0", "--fretted", "-3"),
    )
    given += ("--string", "4", "--harmonic", "0", "--fretted", "1", "--diagnose")
    assert run("readings", "banjo", *given, "--log", path)[0] == 0
    (line,) = lines_of(path)
    assert line["other_readings"] == [{"string": 1, "fret": 5, "against": "open", "cents": -3.0}]


def test_log_keeps_the_kinds_of_the_advice_and_none_of_its_sentences(tmp_path):
    path = tmp_path / "x"
    lines = json.loads(logged(path, "--json"))["lines"]
    (only,) = lines_of(path)
    assert only["kinds"] == [
        "counted",
        "reading",
        "read-three",
        "set-both",
        "move",
        "shift",
        "line",
        "rest",
        "verdict-move",
    ]
    assert only["reason"] is None
    assert read(path)[0].kinds == tuple(only["kinds"])
    content = path.read_text(encoding="utf-8")
    assert not [line["text"] for line in lines if line["text"] and line["text"] in content]


OLD_LINE = (
    b'{"log": "bridge-jigs readings 1", "step": 1, "instrument": "Five-string banjo", "strings": [{"string": 1,'
    b' "reading_cents": 3.5, "plus_minus_cents": 1.3859, "repeats": 1, "aim_cents": 0.0, "rest_cents": 0.0},'
    b' {"string": 4, "reading_cents": -6.5, "plus_minus_cents": 1.3859, "repeats": 1, "aim_cents": 0.0, "rest_cents": 0.0}],'
    b' "moves": [], "relative": true, "before": {"treble_mm": 0.0, "bass_mm": 0.0, "slant_deg": 0.0},'
    b' "after": {"treble_mm": 1.3, "bass_mm": -2.5, "slant_deg": -4.8}, "verdict": "check first string again"}\n'
)


def test_log_of_an_earlier_version_without_kinds_still_loads_grows_and_draws(tmp_path):
    path = tmp_path / "x"
    path.write_bytes(OLD_LINE)
    (old,) = read(path)
    assert (old.verdict, old.kinds) == ("check first string again", ())
    assert [(string, cents) for string, cents, _ in old.rests] == [(1, 3.5), (4, -6.5)]
    logged(path, "--format", "svg", "--out", tmp_path)
    assert path.read_bytes().startswith(OLD_LINE)
    assert [step.step for step in read(path)] == [1, 2]
    picture = (tmp_path / "banjo-readings.svg").read_text(encoding="utf-8")
    assert "string-4-step-1" in picture
    assert "string-4-step-2" in picture
    assert "check first string again" in picture


def test_verdict_of_a_later_version_is_drawn_as_it_is(tmp_path):
    path = tmp_path / "x"
    path.write_bytes(OLD_LINE.replace(b"check first string again", b"ask a friend"))
    assert run("readings", "banjo", "--log", path, "--format", "svg", "--out", tmp_path)[0] == 0
    assert "ask a friend" in (tmp_path / "banjo-readings.svg").read_text(encoding="utf-8")


def test_log_that_cannot_be_read_says_so(tmp_path, monkeypatch):
    def refused(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(readings_log.os, "open", refused)
    status, _, said = run("readings", "banjo", *PAIR, "--log", tmp_path / "x")
    assert status == 2
    assert "this file cannot be read (Permission denied); name another with --log" in said


def test_same_readings_make_the_same_log(tmp_path):
    for name in ("a", "b"):
        logged(tmp_path / name)
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()


def test_diagnosis_goes_into_the_log(tmp_path):
    frets = [word for fret in (1, 3, 5, 7) for word in ("--fret", fret, "--fretted", 8 - fret)]
    assert run("readings", "banjo", "--diagnose", "--string", 4, "--open", 0, *frets, "--log", tmp_path / "x")[0] == 0
    (only,) = lines_of(tmp_path / "x")
    assert [one["fret"] for one in only["other_readings"]] == [1, 3, 5, 7]
    assert only["diagnosis"][0]["string"] == 4
    assert only["verdict"] is None
    assert len(read(tmp_path / "x")) == 1


def test_instruments_that_share_a_log_count_their_own_steps(tmp_path):
    path = tmp_path / "shop.log"
    for instrument in ("banjo", "mandolin", "banjo"):
        logged(path, instrument=instrument)
    assert [(one["instrument"], one["step"]) for one in lines_of(path)] == [
        ("Five-string banjo", 1),
        ("Mandolin", 1),
        ("Five-string banjo", 2),
    ]


@pytest.mark.skipif(not locks.HAS_LOCKS, reason="this system has no such locks")
def test_a_line_that_another_run_is_writing_is_waited_for(tmp_path):
    """Half of it is not a step: one of many runs at once called the log damaged."""
    path = tmp_path / "banjo.log"
    path.write_bytes(line(1))
    half = len(line(2)) // 2
    handle, _ = locks.open_locked(path)

    def write():
        os.write(handle, line(2)[:half])
        begun.set()
        time.sleep(0.3)
        os.write(handle, line(2)[half:])
        os.close(handle)

    begun = threading.Event()
    writer = threading.Thread(target=write)
    writer.start()
    begun.wait()
    assert len(read(path)) == 2
    writer.join()


def test_twenty_runs_at_once_lose_nothing(tmp_path):
    """Real processes, the whole command each."""
    path = tmp_path / "banjo.log"
    path.write_bytes(line(1))
    words = [sys.executable, "-m", "jigs", "readings", "banjo", *map(str, PAIR[:-1])]
    started = [
        subprocess.Popen([*words, str(-n), "--log", str(path)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        for n in range(20)
    ]
    assert [one.wait(120) for one in started] == [0] * 20
    found = lines_of(path)
    assert path.read_bytes().startswith(line(1))
    assert [one["step"] for one in found] == list(range(1, 22))
    assert sorted(one["strings"][1]["reading_cents"] for one in found[1:]) == [-n for n in reversed(range(20))]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_many_lines_of_many_processes_keep_their_order_and_their_bytes(tmp_path):
    """Twenty processes with ten lines each, as fast as they can, beginning with no file at all."""
    path = tmp_path / "banjo.log"
    children = []
    for n in range(20):
        child = os.fork()
        if not child:
            status = 1
            try:
                for _ in range(10):
                    with open_log(path) as log:
                        log.append(line(next_number(log.steps, f"banjo {n}"), f"banjo {n}"))
                status = 0
            finally:
                os._exit(status)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children] == [0] * 20
    steps = read(path)
    for n in range(20):
        assert [step.step for step in steps if step.instrument == f"banjo {n}"] == list(range(1, 11))


def test_line_that_lacks_its_end_is_not_run_into(tmp_path):
    path = tmp_path / "x"
    path.write_bytes(line(1).rstrip(b"\n"))
    logged(path)
    assert path.read_bytes().startswith(line(1))
    assert [one["step"] for one in lines_of(path)] == [1, 2]


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"dear diary\n", "line 1: this is not a line of a log"),
        (b"string, harmonic, fretted\n1, 0, 0\n", "line 1"),
        (b'{"a": 1}\n', "line 1: this is not a line of a log"),
        (b"[1, 2]\n", "line 1"),
        (b"\x00\xff\xfe" * 40, "line 1"),
        (b"[" * 100_000, "line 1"),
        (line(1) + b'{"log": "bridge-jigs read', "line 2: this line is damaged"),
        (line(1) + line(2)[:50] + line(3), "line 2: this line is damaged"),
        (line(1).replace(b'"step": 1', b'"step": "one"'), "line 1"),
        (line(1).replace(b'"strings": []', b'"strings": [{"string": 1, "reading_cents": NaN}]'), "line 1"),
        (line(1).replace(b'"strings": []', b'"strings": [3]'), "line 1"),
        (line(1).replace(b'"strings": []', b'"strings": [], "moves": [{"move_mm": 1e400}]'), "line 1"),
        (
            line(1) + line(2).replace(b'"strings": []', b'"strings": [], "after": -Infinity'),
            "line 2: this line is damaged",
        ),
    ],
)
def test_file_that_is_not_a_log_is_refused_and_left_as_it_is(tmp_path, content, expected):
    path = tmp_path / "x"
    path.write_bytes(content)
    status, printed, said = run("readings", "banjo", *PAIR, "--log", path, "--format", "svg", "--out", tmp_path / "out")
    assert (status, printed) == (2, "")
    assert expected in said
    assert "; name another file with --log" in said
    assert path.read_bytes() == content
    assert not (tmp_path / "out").exists()


def test_no_log_is_made_where_the_path_is_something_else(tmp_path):
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    for name, words in (
        ("folder", "is a folder"),
        ("pipe", "is not a file"),
        ("none/x", "no such folder"),
        ("a\0b", ""),
    ):
        status, printed, said = run("readings", "banjo", *PAIR, "--log", f"{tmp_path}/{name}")
        assert (status, printed) == (2, ""), said
        assert words in said
        assert "; " in said


def test_log_that_is_full_says_so(tmp_path, monkeypatch):
    monkeypatch.setattr(readings_log, "LARGEST_LOG_BYTES", 10)
    (tmp_path / "x").write_bytes(line(1))
    status, _, said = run("readings", "banjo", *PAIR, "--log", tmp_path / "x")
    assert status == 2
    assert "is full; begin a new one" in said


def test_disk_without_room_leaves_the_log_as_it_was(tmp_path, monkeypatch):
    path = tmp_path / "x"
    path.write_bytes(line(1))
    write = os.write
    monkeypatch.setattr(readings_log.os, "write", lambda handle, content: write(handle, content[:20]))
    status, _, said = run("readings", "banjo", *PAIR, "--log", path)
    assert status == 2
    assert "cannot be written" in said
    assert path.read_bytes() == line(1)


def test_log_that_an_editor_replaced_while_a_run_waited_is_opened_anew(tmp_path, monkeypatch):
    """The lock was on the old file; the line belongs into the new one."""
    path = tmp_path / "x"
    path.write_bytes(line(1))
    flock, replaced = locks.fcntl.flock, []

    def replacing(handle, how):
        flock(handle, how)
        if not replaced:
            replaced.append(True)
            (tmp_path / "new").write_bytes(line(1) + line(2))
            os.replace(tmp_path / "new", path)

    monkeypatch.setattr(locks.fcntl, "flock", replacing)
    with open_log(path) as log:
        log.append(line(next_number(log.steps, "Five-string banjo")))
    assert [one["step"] for one in lines_of(path)] == [1, 2, 3]


@pytest.mark.parametrize("arguments", [("--paper", "130x200"), ("--out", "taken")])
def test_picture_that_cannot_be_drawn_leaves_the_log_alone(tmp_path, monkeypatch, arguments):
    monkeypatch.chdir(tmp_path)
    if "--paper" in arguments:
        monkeypatch.setattr(readings_picture, "_LEAST_PLOT", 100.0)
    (tmp_path / "taken").write_text("a file")
    status, _, said = run("readings", "banjo", *PAIR, "--log", "x", "--format", "pdf", *arguments)
    assert status == 2
    assert "; " in said
    assert [each.name for each in tmp_path.iterdir()] == ["taken"]


def test_picture_is_drawn_with_the_step_just_read(tmp_path):
    logged(tmp_path / "x", "--format", "svg,pdf", "--out", tmp_path)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["banjo-readings.pdf", "banjo-readings.svg", "x"]
    first = (tmp_path / "banjo-readings.svg").read_bytes()
    logged(tmp_path / "x", "--format", "svg", "--out", tmp_path)
    second = (tmp_path / "banjo-readings.svg").read_bytes()
    assert b"string-4-step-1" in first
    assert b"string-4-step-2" not in first
    assert b"string-4-step-2" in second
    assert run("readings", "banjo", "--log", tmp_path / "x", "--format", "svg", "--out", tmp_path / "again")[0] == 0
    assert (tmp_path / "again" / "banjo-readings.svg").read_bytes() == second


def test_log_without_readings_of_this_instrument_has_no_picture(tmp_path):
    (tmp_path / "x").write_bytes(line(1))
    for name in ("x", "none"):
        status, _, said = run("readings", "banjo", "--log", tmp_path / name, "--format", "svg", "--out", tmp_path)
        assert status == 2
        assert "there are no readings of Five-string banjo" in said
    assert [each.name for each in tmp_path.iterdir()] == ["x"]


def steps(*rests, name="Five-string banjo", sure=1.4):
    return [
        Step(n, name, tuple((string, rest, sure) for string, rest in each), "check first string again")
        for n, each in enumerate(rests, 1)
    ]


FIVE = [[(n, 5.0 * n / step * (-1) ** step) for n in range(1, 6)] for step in range(1, 41)]
PICTURED = {
    "one step": steps([(4, -7.0)]),
    "usual": steps([(1, 7.0), (4, -18.0)], [(1, -1.5), (4, -5.5)], [(1, 1.4), (4, -0.1)], [(1, 0.4), (4, 0.4)]),
    "one string after the other": steps([(1, 3.0)], [(4, 2.0)], [(1, 0.5)], [(4, 0.1)]),
    "forty steps, five strings": steps(*FIVE),
    "in tune": steps([(1, 0.0), (4, 0.0)], [(1, 0.0), (4, 0.0)]),
    "far off": steps([(1, 99.0), (4, -99.0)], [(1, 0.0), (4, 0.0)]),
    "fine tuner": steps([(1, 0.02), (4, -0.01)], sure=0.03),
    "wild": steps([(1, 900.0)], [(1, -900.0)], sure=300.0),
    "thousand steps": steps(*([[(1, n % 7 - 3.0)] for n in range(1000)])),
    "more strings than there are": steps([(n, float(n)) for n in range(1, 25)]),
}


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "legal"])
@pytest.mark.parametrize("name", PICTURED)
def test_words_of_the_picture_do_not_overlap_and_nothing_is_cut_off(name, paper):
    sheet = readings_picture.lay_out(PICTURED[name], preset("banjo"), PAPERS[paper])
    curves = [item for item in sheet.drawing if item.id.startswith("string-")]
    assert_clear([item for item in sheet.drawing if item not in curves])
    plot = bounds(named(sheet.drawing, "plot"))
    for item in curves:
        at = bounds(item)
        assert plot.left <= at.left <= at.right <= plot.right
        assert plot.top <= at.top <= at.bottom <= plot.bottom
    assert not any(plot.overlaps(bounds(item)) for item in sheet.drawing if isinstance(item, Text))
    box = sheet.drawing.bounds()
    assert min(box.left, box.top) >= 5
    assert box.right <= sheet.paper.width_mm - 5
    assert box.bottom <= sheet.paper.height_mm - 5


@pytest.mark.parametrize(
    ("kinds", "verdict", "title"),
    [
        (("reading", "verdict-stop"), "stop", "Stop. Leave the bridge here"),
        (("reading", "verdict-read-again"), "stop", "Read again, three times each"),
        (("reading", "set-both", "verdict-move"), "move", "Move, retune, read again"),
        ((), "something else", "Something else is wrong"),
        ((), "a word of tomorrow", "A word of tomorrow"),
    ],
)
def test_verdict_of_the_last_step_is_read_from_afar(kinds, verdict, title):
    *before, last = PICTURED["usual"]
    drawn = readings_picture.lay_out(
        [*before, replace(last, kinds=kinds, verdict=verdict)], preset("banjo"), PAPERS["a4"]
    )
    texts = [item for item in drawn.drawing if isinstance(item, Text)]
    assert [item.text for item in texts if item.height_mm == LARGEST] == [title]
    second = " ".join(item.text for item in texts if item.height_mm == LARGE).replace("\N{NO-BREAK SPACE}", " ")
    assert "Round 4: string 1 D4 0.4 cents sharp; string 4 D3 0.4 cents sharp." in second


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("name", ["one step", "usual", "forty steps, five strings"])
def test_plot_of_the_log_fills_the_page(name, paper):
    sheet = readings_picture.lay_out(PICTURED[name], preset("banjo"), PAPERS[paper])
    plot = bounds(named(sheet.drawing, "plot"))
    assert plot.right == pytest.approx(sheet.paper.width_mm - 10)
    lowest = max(bounds(i).bottom for i in sheet.drawing if isinstance(i, Text) and i.text.startswith("check first"))
    block = bounds(named(sheet.drawing, "title-block"))
    assert block.top - lowest < 15
    assert plot.height > 0.35 * sheet.paper.height_mm


def test_log_names_its_file_where_the_typeface_cannot_write_the_instruments_name():
    workup = preset("banjo")
    nameless = replace(
        workup, instrument=replace(workup.instrument, head=workup.instrument.head.model_copy(update={"name": "琴"}))
    )
    found = [replace(step, instrument="琴") for step in PICTURED["usual"]]
    texts = [item.text for item in readings_picture.lay_out(found, nameless, PAPERS["a4"], "loan-3").drawing
             if isinstance(item, Text)]  # fmt: skip
    assert texts.count("loan-3") == 2


def axis_of(sheet):
    """Height on the sheet for cents, from the numbers on the axis."""
    frame = named(sheet, "plot").runs[0]
    left = frame[0][0]
    ticks = [item for item in sheet if isinstance(item, Text) and item.anchor == "end" and item.at[0] == left - 3.2]
    found = {float(t.text.replace("−", "-")): t.at[1] - t.height_mm / 2 for t in ticks if t.text != "round"}
    (low, high) = min(found), max(found)
    return lambda cents: found[low] + (found[high] - found[low]) * (cents - low) / (high - low)


@pytest.mark.parametrize("name", ["usual", "one string after the other", "forty steps, five strings", "far off"])
def test_every_reading_is_drawn_where_the_axis_says(name):
    sheet = readings_picture.lay_out(PICTURED[name], preset("banjo"), PAPERS["a4"]).drawing
    height = axis_of(sheet)
    across = []
    for step in PICTURED[name]:
        for order, (string, rest, _) in enumerate(step.rests):
            mark = named(sheet, f"string-{string}-step-{step.step}")
            if isinstance(mark, Circle):
                assert mark.centre[1] == pytest.approx(height(rest), abs=0.01)
                across.append(mark.centre[0]) if not order else None
    assert across == sorted(across)
    assert named(sheet, "in-tune").start[1] == pytest.approx(height(0.0), abs=0.01)
    shown = 1.4 * STOP_QUANTILE / NORMAL_QUANTILE
    for _, start, _, end in pieces([named(sheet, "tuner-sharp")]):
        assert (start, end) == pytest.approx((height(shown), height(shown)), abs=0.01)


def test_strings_differ_by_their_marks_not_by_colour():
    sheet = readings_picture.lay_out(PICTURED["forty steps, five strings"], preset("banjo"), PAPERS["a4"]).drawing
    marks = [named(sheet, f"string-{string}-step-1") for string in range(1, 6)]
    shapes = {
        "circle" if isinstance(mark, Circle) else tuple(
            (round(x - mark.runs[0][0][0], 3), round(y - mark.runs[0][0][1], 3)) for x, y in mark.runs[0]
        )
        for mark in marks
    }  # fmt: skip
    assert len(shapes) == 5


def test_table_shows_the_last_steps_and_how_many_there_are():
    words = [
        item.text
        for item in readings_picture.lay_out(PICTURED["thousand steps"], preset("banjo"), PAPERS["a4"]).drawing
        if isinstance(item, Text)
    ]
    assert any("of 1000)" in text for text in words)
    assert "1000" in words
    assert any(text.endswith("; last 58 of 1000 steps") for text in words)
    assert "Round 1000: check first string again" in words


def test_files_of_the_picture_hold_what_was_drawn():
    workup = preset("banjo")
    drawn = readings_picture.lay_out(PICTURED["usual"], workup, PAPERS["a4"]).drawing
    made = readings_picture.files(PICTURED["usual"], workup, PAPERS["a4"], ["pdf", "svg"], "x")
    curve = pieces([named(drawn, "string-4")])
    assert farthest_mm(curve, svg_pieces(made["x-readings.svg"])["string-4"]) < UM
    lines = [piece for piece in pieces(drawn) if piece[:2] != piece[2:]]
    assert farthest_mm(lines, pdf_pieces_by_pdfium(made["x-readings.pdf"])) < 2 * UM
    assert made == readings_picture.files(PICTURED["usual"], workup, PAPERS["a4"], ["pdf", "svg"], "x")


def test_too_small_paper_is_refused_with_the_papers_that_are_large_enough():
    with pytest.raises(InputFaults, match=r"too short; choose A4"):
        readings_picture.lay_out(PICTURED["more strings than there are"], preset("banjo"), Paper("own", 210, 200))
    with pytest.raises(InputFaults, match=r"too narrow; choose A4"):
        readings_picture.lay_out(PICTURED["usual"], preset("banjo"), Paper("own", 90, 297))


def test_reading_a_log_leaves_no_trace(tmp_path):
    assert read(FilePath(tmp_path / "none")) == ()
    assert not list(tmp_path.iterdir())


PHONE_PX, LEAST_LETTER_PX = 320, 12
"""A telephone 360 px wide, less the page's own margins; letters in it that people can read."""


def steps_of(name, count, strings=(1, 4)):
    rests = [tuple((string, 4.0 * (-1) ** n / n, 1.5) for string in strings) for n in range(1, count + 1)]
    return [Step(n, name, one, "move") for n, one in enumerate(rests, 1)]


@pytest.mark.parametrize("count", [1, 3, 40])
def test_plot_for_the_page_has_letters_that_a_telephone_shows_and_nothing_over_its_edge(count):
    workup = preset("banjo")
    seen = readings_picture.as_svg(steps_of(workup.instrument.name, count), workup)
    texts = [item for item in ET.fromstring(seen).iter() if item.tag.endswith("}text")]
    _, _, width, _ = map(float, ET.fromstring(seen).get("viewBox").split())
    assert min(float(one.get("font-size")) for one in texts) * PHONE_PX / width >= LEAST_LETTER_PX
    plot = readings_picture._plot(steps_of(workup.instrument.name, count), workup)
    assert plot.bounds().left >= -1e-9
    assert plot.bounds().right <= width - 2 * readings_picture._MARGIN + 1e-9
    assert_clear(plot)


def test_plot_for_the_page_marks_every_string_at_every_step():
    workup = preset("banjo")
    seen = svg_pieces(readings_picture.as_svg(steps_of(workup.instrument.name, 3, (1, 2, 4)), workup))
    assert {f"string-{string}-step-{step}" for string in (1, 2, 4) for step in (1, 2, 3)} <= set(seen)
