"""A printer is measured, a sheet is corrected for its errors, and the same printer prints it at its true size.

The printer here is a matrix, or pypdf's transformation of a page. Independent programs read what comes out.
"""

import json
import re
from functools import cache

import numpy as np
import pytest
from printers import add, crosses, matrix, measured, printed, text_places
from readers import farthest_mm, pdf_pieces_by_pdfium, pdf_pieces_by_pdfminer, svg_pieces
from samples import assert_clear, named, preset, run, sheet

from geometry.printing import PrinterMap, calibrate, printed_mm
from geometry.tolerance import Source
from jigs.drawing.items import STYLES, Anchor, Circle, Layer, Line, Path, Role, Text
from jigs.instrument.opening import open_instrument, preset_text
from jigs.press.layout import lay_out
from jigs.printers.correction import PRINTABLE_MM, Correction
from jigs.printers.kept import load
from jigs.printers.printer import Printer
from jigs.sheets.paper import MARGIN_MM, PAPERS
from jigs.templates.options import Options
from jigs.templates.template import templates
from jigs.workup.sureness import how_sure

pytestmark = pytest.mark.slow

UM = 1e-3
KINDS = {
    "large, askew": (1.013, 0.987, 0.5, 0.3),
    "small, leaning left": (0.9855, 0.991, -0.5, -1.0),
    "nearly true": (1.0004, 0.9997, 0.02, 0.0),
}
"""Scales across and down, shear and turn in degrees."""


@pytest.fixture(autouse=True)
def _own_settings(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))


def measure(folder, name, kind, paper="a4"):
    """Print the check sheet on a printer, measure it without an error, and keep that. Returns what the printer does."""
    does = matrix(*KINDS[kind])
    assert run("printer", "sheet", "--paper", paper, "--out", folder)[0] == 0
    status, _, said = add(name, measured((folder / f"printer-sheet-{paper}.svg").read_bytes(), does), "--paper", paper)
    assert status == 0, said
    return does


def about_middle(points, does, paper):
    """Points of a sheet as printed, with its middle where it is."""
    middle = np.array([PAPERS[paper].width_mm, PAPERS[paper].height_mm]) / 2
    return middle + (np.asarray(points).reshape(-1, 2) - middle) @ does.T


def unturned(kind):
    """What a printer does without its turn, to lay over an uncorrected sheet."""
    return matrix(*KINDS[kind][:3])


@cache
def marks(name):
    """Ends of the datum, and the four points of the bridge line, of a real fork, from the middle of its sheet."""
    drawn = sheet(name)
    datum, line = named(drawn.drawing, "datum"), named(drawn.drawing, "bridge-line")
    middle = np.array([drawn.paper.width_mm, drawn.paper.height_mm]) / 2
    return np.array([datum.start, datum.end]) - middle, np.array([point for run in line.runs for point in run]) - middle


def from_datum(datum, points):
    """How far points lie from the line through the datum's ends; axes before the last two are kept."""
    way = datum[..., 1, :] - datum[..., 0, :]
    to = points - datum[..., :1, :]
    return (way[..., None, 0] * to[..., 1] - way[..., None, 1] * to[..., 0]) / np.linalg.norm(way, axis=-1)[..., None]


@pytest.mark.parametrize("name", ["banjo", "mandolin"])
def test_ten_thousand_printers_put_the_marks_at_their_distance_from_the_datum(name):
    draw = np.random.default_rng(6)
    count = 10_000
    across, down = draw.uniform(0.985, 1.015, (2, count))
    printer = PrinterMap(across, down, np.radians(draw.uniform(-0.5, 0.5, count)))
    crosses_mm = np.array([(190.0, 0), (190.0, 0), (0, 277.0), (0, 277.0), (190.0, 277.0), (-190.0, 277.0)])
    read = printed_mm(printer, crosses_mm) + draw.normal(0, 0.1, (count, 6))
    comes_out = printer.matrix @ calibrate(crosses_mm, read, 0.1).printer.correction
    datum, points = marks(name)
    off = from_datum(datum @ np.swapaxes(comes_out, -1, -2), points @ np.swapaxes(comes_out, -1, -2))
    worst = abs(off - from_datum(datum, points)).max(axis=-1)
    assert np.mean(worst < 0.15) >= 0.98
    uncorrected = from_datum(datum @ np.swapaxes(printer.matrix, -1, -2), points @ np.swapaxes(printer.matrix, -1, -2))
    assert np.mean(abs(uncorrected - from_datum(datum, points)).max(axis=-1) < 0.15) < 0.25, (
        "nothing was to be corrected"
    )


@pytest.mark.parametrize("kind", KINDS)
def test_distance_from_datum_to_mark_is_right_within_a_micrometre_through_the_files(tmp_path, kind):
    does = measure(tmp_path, "mine", kind)
    status, _, said = run("draw", "banjo", "--printer", "mine", "--out", tmp_path / "x")
    assert status == 0, said
    pieces = svg_pieces((tmp_path / "x" / "banjo-fork.svg").read_bytes())
    datum, points = (pieces[mark].reshape(-1, 2) @ does.T for mark in ("datum", "bridge-line"))
    true_datum, true_points = marks("banjo")
    assert sorted(from_datum(datum, points)) == pytest.approx(sorted(from_datum(true_datum, true_points)), abs=UM)
    ruler = pieces["ruler-down"].reshape(-1, 2) @ does.T
    assert np.linalg.norm(ruler[1] - ruler[0]) == pytest.approx(100, abs=UM)


def as_sure(folder, name):
    """A preset's file with the print error of a printer, so that both sheets say the same about it."""
    path = folder / "same.toml"
    path.write_text(f"{preset_text('banjo')}\n[tolerance]\nprint_percent = {100 * load(name).print_share!r}\n")
    return path


@pytest.mark.parametrize("kind", list(KINDS)[:2])
@pytest.mark.parametrize("template", ["fork", "spacing"])
def test_corrected_pages_come_out_as_the_uncorrected_ones_are_drawn(tmp_path, kind, template):
    measure(tmp_path, "mine", kind)
    path = as_sure(tmp_path, "mine")
    for out, more in (("plain", ()), ("corrected", ("--printer", "mine"))):
        status, _, said = run("draw", path, template, "--out", tmp_path / out, *more)
        assert status == 0, said
    plain, corrected = ((tmp_path / out / f"same-{template}.pdf").read_bytes() for out in ("plain", "corrected"))
    laid = lay_out(press_workup(path), templates()[template], PAPERS["a4"], Options(stem="same"))[0]
    comes_out = printed(corrected, unturned(kind))
    for read in (pdf_pieces_by_pdfminer, pdf_pieces_by_pdfium):
        found, expected = read(comes_out), read(plain)
        # Centring marks are cut off at the margin, or gone; the rest of them lies on the marks of the plain sheet.
        inner = [piece for piece in expected if not in_margin(piece)]
        assert len(inner) == len(expected) - 4
        assert len([piece for piece in found if not in_margin(piece)]) == len(inner)
        assert farthest_mm(inner, found) < 2 * UM, read
    texts = [item for item in laid.drawing if isinstance(item, Text) and STYLES[item.role].layer is Layer.TEXT]
    note = load("mine").on_the_sheet
    added = [item.text for item in corrected_texts(path, template)]
    assert [text for text in added if text != note] == [item.text for item in texts]
    places = {False: text_places(plain, [item.text for item in texts]), True: text_places(comes_out, added)}
    at_note = added.index(note)
    kept = [place for n, place in enumerate(places[True]) if n != at_note]
    share = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}
    for item, before, after in zip(texts, places[False], kept, strict=True):
        ends = [start + share[item.anchor] * (end - start) for start, end, _ in (before, after)]
        assert ends[0] == pytest.approx(ends[1], abs=2 * UM), item.text


def press_workup(path):
    from jigs.workup.work_up import work_up

    return work_up(open_instrument(str(path)))


def corrected_texts(path, template):
    options = Options(stem="same")
    first = lay_out(press_workup(path), templates()[template], PAPERS["a4"], options, printer=load("mine"))[0]
    return [item for item in first.drawing if isinstance(item, Text)]


def in_margin(piece):
    """Whether a piece of an A4 sheet lies beside the margin."""
    x, y = (piece[0] + piece[2]) / 2, (piece[1] + piece[3]) / 2
    return not (MARGIN_MM - 1 < x < 210 - MARGIN_MM + 1 and MARGIN_MM - 1 < y < 297 - MARGIN_MM + 1)


def test_words_stay_upright_and_keep_their_size(tmp_path):
    measure(tmp_path, "mine", "large, askew")
    workup = preset("banjo")
    plain, corrected = (
        list(lay_out(workup, templates()["fork"], PAPERS["a4"], Options(), printer=one)[0].drawing)
        for one in (None, load("mine"))
    )
    words = [
        {(item.angle_deg, item.height_mm) for item in drawn if isinstance(item, Text)} for drawn in (plain, corrected)
    ]
    assert words[0] == words[1]
    assert {angle for angle, _ in words[0]} == {0.0, 90.0}


def test_circles_and_arcs_come_out_round_within_a_micrometre(tmp_path):
    does = measure(tmp_path, "mine", "large, askew")
    paper = PAPERS["a4"]
    middle = np.array([paper.width_mm, paper.height_mm]) / 2
    from jigs.drawing.items import drawing
    from jigs.sheets.paper import Sheet
    from jigs.sheets.title import Title

    round_ones = drawing(
        Circle((60.0, 80.0), 40.0, Role.MARK, "dot"),
        Path((((100.0, 200.0), (160.0, 200.0)),), Role.CUT, "rim", bulges=((0.7, 0.0),)),
    )
    came = load("mine").correction.corrected(Sheet(paper, round_ones, Title("", "", "")), paper).drawing
    assert [item.id for item in came] == ["dot", "rim"]
    chord, bulge = 60.0, 0.7
    arc = (130.0, 200.0 + chord * (1 - bulge**2) / (4 * bulge)), chord * (1 + bulge**2) / (4 * bulge)
    for item, (centre, radius) in zip(came, (((60.0, 80.0), 40.0), arc), strict=True):
        points = np.array(item.runs[0])
        ends = np.concatenate([points, points[:1]]) if item.closed else points
        chords = np.concatenate([ends, (ends[1:] + ends[:-1]) / 2])
        on_paper = (chords - middle) @ does.T
        # The turn of the sheet is taken out again, so that the centre is where it was.
        turn = np.radians(KINDS["large, askew"][3])
        back = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        true = on_paper @ back.T + middle
        assert abs(np.hypot(*(true - centre).T) - radius).max() < UM


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "tabloid"])
@pytest.mark.parametrize("scales", [(0.9855, 0.988, 0.5), (0.972, 0.977, 0.9), (1.025, 1.01, -1.0)], ids=str)
def test_everything_stays_printable_and_words_keep_clear(paper, scales):
    printer = exact_printer(*scales)
    correction = printer.correction
    for name, template in (("mandolin", "fork"), ("tenor-banjo", "fretboard"), ("banjo", "spacing")):
        for laid in lay_out(preset(name), templates()[template], PAPERS[paper], Options(), printer=printer):
            assert laid.paper == PAPERS[paper]
            box = laid.drawing.bounds()
            assert min(box.left, box.top) >= PRINTABLE_MM - 1e-6
            assert box.right <= laid.paper.width_mm - PRINTABLE_MM + 1e-6
            assert box.bottom <= laid.paper.height_mm - PRINTABLE_MM + 1e-6
            if template == "fork":
                assert_clear(laid.drawing)
    if max(abs(1 - part) for part in scales[:2]) < 0.015:
        assert correction.laid_on(PAPERS[paper]) == PAPERS[paper], "the sheet was laid out anew"


def exact_printer(across, down, shear_deg, name="mine"):
    """A printer measured on A4 without an error."""
    does = matrix(across, down, shear_deg)
    corners = {"a": (0, 0), "b": (190, 0), "c": (190, 277), "d": (0, 277)}
    pairs = {"across": ("ab", "dc"), "down": ("ad", "bc"), "diagonals": ("ac", "bd")}
    read = {
        option: tuple(float(np.linalg.norm(does @ np.subtract(corners[e], corners[s]))) for s, e in ends)
        for option, ends in pairs.items()
    }
    return Printer(name, "a4", 190.0, 277.0, 0.1, read)


def test_long_sheet_of_its_own_size_grows_where_the_correction_needs_it():
    printer = exact_printer(0.972, 0.977, 0.5)
    for one in (None, printer):
        (laid,) = lay_out(preset("banjo"), templates()["fretboard"], PAPERS["a4"], Options(), True, one)
        box = laid.drawing.bounds()
        assert box.bottom <= laid.paper.height_mm - PRINTABLE_MM + 1e-6
        assert any(isinstance(item, Text) and item.text == laid.paper.name for item in laid.drawing)


def test_sheet_says_which_printer_it_is_for_and_how_sure_that_is(tmp_path):
    import pdfplumber

    measure(tmp_path, "Office laser", "large, askew")
    run("draw", "banjo", "--printer", "office laser", "--out", tmp_path)
    with pdfplumber.open(tmp_path / "banjo-fork.pdf") as pdf:
        words = pdf.pages[0].extract_text()
        assert "corrected for printer Office laser" in pdf.metadata["Subject"]
    said = re.search(r"± ([\d.]+) mm in 100 mm: corrected for printer Office laser", words)
    across, down = (se for _, se in load("office laser").figures[:2])
    assert float(said[1]) == pytest.approx(196 * max(across, down), abs=0.01)
    assert float(said[1]) >= 196 * max(across, down)


def test_band_of_the_fork_is_as_wide_as_the_printers_own_error_makes_it():
    printer, workup = exact_printer(1.004, 0.997, 0.1), preset("banjo")
    laid = lay_out(workup, templates()["fork"], PAPERS["a4"], Options(), printer=printer)[0]
    run_ = named(laid.drawing, "band-treble").runs[0]
    fret = int(laid.title.document.split("fret ")[1].split(",")[0])
    share = float(printer.calibration.down_share_se)
    sure, unsure = how_sure(workup, fret, print_share=share), how_sure(workup, fret)
    middle = named(laid.drawing, "centreline").end
    comes_out = about_middle([*run_, middle], matrix(1.004, 0.997, 0.1), "a4")
    half = (comes_out[3, 1] - comes_out[0, 1]) / 2
    x = comes_out[0, 0] - comes_out[-1, 0]
    assert half == pytest.approx(float(sure.band_mm(np.array([x]))[0]), abs=0.01)
    assert half < 0.9 * float(unsure.band_mm(np.array([x]))[0])
    assert (
        dict(sure.of_line(0.0).contributions)[Source.PRINT] < dict(unsure.of_line(0.0).contributions)[Source.PRINT] / 5
    )


def test_files_for_a_cutter_stay_as_they_are_and_a_note_says_so(tmp_path):
    measure(tmp_path, "mine", "large, askew")
    said = {}
    for out, more in (("plain", ()), ("corrected", ("--printer", "mine"))):
        arguments = ("draw", "banjo", "gauge", "fretboard", "--paper", "a3", "--format", "pdf,svg,dxf")
        status, _, said[out] = run(*arguments, "--out", tmp_path / out, *more)
        assert status == 0
    same = {path.name for path in (tmp_path / "plain").iterdir()
            if path.read_bytes() == (tmp_path / "corrected" / path.name).read_bytes()}  # fmt: skip
    assert same == {"banjo-gauge.svg", "banjo-gauge.dxf", "banjo-fretboard.dxf"}
    for name in same:
        assert re.search(rf"note: .*{name}.*not corrected for printer mine", said["corrected"])
    assert "not corrected" not in said["plain"]


def test_same_printer_and_instrument_make_the_same_bytes_and_ids_stay(tmp_path):
    measure(tmp_path, "mine", "large, askew")
    for out in ("one", "two"):
        run("draw", "mandolin", "--printer", "mine", "--out", tmp_path / out)
    run("draw", "mandolin", "--out", tmp_path / "plain")
    for suffix in ("pdf", "svg"):
        one, two = ((tmp_path / out / f"mandolin-fork.{suffix}").read_bytes() for out in ("one", "two"))
        assert one == two
    ids = [
        sorted(re.findall(r' id="([^"]+)"', (tmp_path / out / "mandolin-fork.svg").read_text()))
        for out in ("one", "plain")
    ]
    assert ids[0] == ids[1]


@pytest.mark.parametrize("kind", KINDS)
def test_check_sheet_with_the_correction_in_reads_what_it_says(tmp_path, kind):
    does = measure(tmp_path, "mine", kind)
    status, shown, said = run("printer", "check", "mine", "--out", tmp_path, "--json")
    assert status == 0, said
    promised = {(one["from"] + one["to"]).lower(): one for one in json.loads(shown)["readings"]}
    at = crosses((tmp_path / "printer-check-mine.svg").read_bytes())
    for pair, one in promised.items():
        length = np.linalg.norm(does @ (at[pair[1]] - at[pair[0]]))
        assert length == pytest.approx(one["nominal_mm"], abs=UM)
        assert 0.196 < one["plus_minus_mm"] < 0.28
    assert {pair: round(one["nominal_mm"], 1) for pair, one in promised.items()} == {
        "ab": 190.0, "dc": 190.0, "ad": 277.0, "bc": 277.0, "ac": 335.9, "bd": 335.9,
    }  # fmt: skip
    status, shown, _ = run("printer", "check", "mine", "--out", tmp_path)
    assert "A to D, down, on the left: 277.0 mm ± 0.3 mm" in shown


def test_check_reads_within_its_error_for_95_in_100_people():
    """Each measures a check sheet, makes a profile of it, prints the check, and reads one length of that."""
    from jigs.printers.expected import expected

    draw = np.random.default_rng(9)
    true = exact_printer(1.006, 0.994, 0.3)
    said = [one.plus_minus_mm for one in expected(true, PAPERS["a4"])]
    vectors = np.array([(190.0, 0), (190.0, 0), (0, 277.0), (0, 277.0), (190.0, 277.0), (-190.0, 277.0)])
    read = printed_mm(true.calibration.printer, vectors) + draw.normal(0, 0.1, (20_000, 6))
    correction = calibrate(vectors, read, 0.1).printer.correction
    comes_out = true.calibration.printer.matrix @ correction @ vectors.T
    off = np.linalg.norm(comes_out, axis=-2) - np.linalg.norm(vectors, axis=-1) + draw.normal(0, 0.1, (20_000, 6))
    assert np.mean(abs(off) <= said, axis=0) == pytest.approx(np.full(6, 0.95), abs=0.006)


def test_true_printer_changes_nothing():
    printer = exact_printer(1.0, 1.0, 0.0)
    assert printer.correction == Correction(1.0, 0.0, 1.0)
    laid = (
        lay_out(preset("mandolin"), templates()["spacing"], PAPERS["a4"], Options(), printer=one)
        for one in (None, printer)
    )
    lines = [[(i.start, i.end) for one in sheets for i in one.drawing if isinstance(i, Line)] for sheets in laid]
    assert np.array(lines[0]) == pytest.approx(np.array(lines[1]), abs=1e-9)
