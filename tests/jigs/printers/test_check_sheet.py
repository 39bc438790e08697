"""The check sheet: as large as the paper allows, clear to read, and the command on it works."""

import io

import numpy as np
import pytest
from printers import crosses
from readers import svg_pieces
from samples import assert_clear, faults_are_sentences, named, run, words_of

from jigs.drawing.items import Role, Text
from jigs.drawing.lettering import LARGEST, MEDIUM
from jigs.export.svg import to_svg
from jigs.faults import InputFaults
from jigs.printers.check_sheet import lay_out
from jigs.printers.correction import PRINTABLE_MM
from jigs.printers.kept import load
from jigs.printers.printer import Printer
from jigs.sheets.paper import MARGIN_MM, PAPERS, Paper, paper_named
from jigs.sheets.rulers import RULER_MM
from jigs.sheets.words import RULER

SIZES = [*sorted(PAPERS), "200x300", "180x250", "300x220"]


@pytest.fixture(autouse=True)
def _own_settings(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))


def laser(*more, name="laser"):
    read = {"across": (192.6, 192.5), "down": (273.4, 273.3), "diagonals": (336.4, 332.2)}
    return Printer(name, "a4", 190.0, 277.0, 0.1, {key: (*mm, *more) for key, mm in read.items()})


@pytest.mark.parametrize("printer", [None, laser()], ids=["as drawn", "corrected"])
@pytest.mark.parametrize("size", SIZES)
def test_words_keep_clear_and_crosses_are_at_the_margins(size, printer):
    paper = paper_named(size)
    drawn = lay_out(paper, printer)
    assert_clear(drawn.drawing)
    assert drawn.paper == paper
    box = drawn.drawing.bounds()
    least = PRINTABLE_MM - 1e-6 if printer is None else MARGIN_MM - 4 - 3.5
    assert min(box.left, box.top, paper.width_mm - box.right, paper.height_mm - box.bottom) >= least
    at = crosses(to_svg(drawn, "t", "s"))
    if printer is None:
        width, height = paper.width_mm, paper.height_mm
        expected = [(10, 10), (width - 10, 10), (width - 10, height - 10), (10, height - 10)]
        assert np.array([at[letter] for letter in "abcd"]) == pytest.approx(np.array(expected), abs=1e-6)
    for letter in "abcd":
        cross = named(drawn.drawing, f"cross-{letter}")
        assert cross.role is Role.FINE
        x, y = at[letter]
        assert min(x, y, paper.width_mm - x, paper.height_mm - y) >= PRINTABLE_MM


@pytest.mark.parametrize("size", SIZES)
def test_every_length_has_its_nominal_value_and_a_line_to_write_on(size):
    paper = paper_named(size)
    drawn = lay_out(paper)
    words = words_of(drawn.drawing)
    width, height = paper.width_mm - 20, paper.height_mm - 20
    for length, pairs in (
        (width, "A to B, D to C"),
        (height, "A to D, B to C"),
        (np.hypot(width, height), "A to C, B to D"),
    ):
        assert words.count(f"{length:.1f} mm") >= 2
        assert all(pair in words for pair in pairs.split(", "))
    for n in range(1, 7):
        blank = named(drawn.drawing, f"blank-{n}")
        number = next(item for item in drawn.drawing if isinstance(item, Text) and item.text == f"({n})")
        assert blank.end[0] - blank.start[0] >= 20
        assert abs(blank.start[1] - number.at[1]) < 2


def test_rulers_of_the_sheet_are_those_of_every_sheet():
    """But nothing says that they must be right: that is what the sheet is for."""
    laid = lay_out(PAPERS["letter"])
    assert not any(sentence in words_of(laid.drawing) for sentence in RULER)
    pieces = svg_pieces(to_svg(laid, "t", "s"))
    for name in ("ruler-across", "ruler-down"):
        x1, y1, x2, y2 = pieces[name][0]
        assert np.hypot(x2 - x1, y2 - y1) == pytest.approx(RULER_MM, abs=1e-6)


@pytest.mark.parametrize("size", ["a4", "letter", "200x300"])
def test_command_on_the_sheet_works_as_it_is_typed(size):
    paper = paper_named(size)
    words = words_of(lay_out(paper).drawing)
    line = "jigs printer add" + words.split("jigs printer add")[1].split(" 6 From")[0]
    assert "5 Type the command below" in words
    width, height = paper.width_mm - 20, paper.height_mm - 20
    values = (width, width, height, height, np.hypot(width, height), np.hypot(width, height))
    for n, mm in enumerate(values, 1):
        assert f"({n})" in line
        line = line.replace(f"({n})", f"{1.002 * mm:.1f}")
    status, _, said = run(*line.replace("NAME", "mine").split()[1:])
    assert status == 0, said
    assert load("mine").figures[0][0] == pytest.approx(1.002, abs=5e-4)


def test_sheet_says_to_print_at_actual_size_and_to_measure_with_a_steel_rule():
    words = words_of(lay_out(PAPERS["a4"]).drawing)
    for said in ('at actual size, 100%, no "fit to page"', "steel rule", "from the middle of one cross"):
        assert said in words


@pytest.mark.parametrize("size", ["a4", "letter", "a3", "legal", "tabloid"])
def test_job_and_steps_are_read_from_afar_and_a_figure_shows_the_crosses(size):
    for printer, job in (
        (None, "Printer check: measure this sheet"),
        (laser(), "Printer check: is its correction right?"),
    ):
        texts = [item for item in lay_out(paper_named(size), printer).drawing if isinstance(item, Text)]
        assert " ".join(item.text for item in texts if item.height_mm == LARGEST) == job
        first = next(item for item in texts if item.text.startswith("Print this sheet"))
        assert first.height_mm == MEDIUM
        assert any(item.text.startswith("printer-") for item in texts), "the title block names the file"
        numbers = [item.text for item in texts if item.text == "(5)"]
        assert len(numbers) == 2, "in the table and in the figure"


def test_corrected_sheet_says_what_must_be_read_and_for_which_printer():
    words = words_of(lay_out(PAPERS["a4"], laser()).drawing)
    assert words.count("190.0 mm ± 0.3 mm") == 2
    assert words.count("335.9 mm ± 0.3 mm") == 2
    assert "corrected for printer laser" in words
    unsure = Printer("laser", "a4", 190.0, 277.0, 0.1, {"across": (190.3,), "down": (277.4,)})
    assert "335.9 mm, if not askew" in words_of(lay_out(PAPERS["a4"], unsure).drawing)


def test_long_name_of_a_printer_does_not_hide_its_error():
    words = words_of(lay_out(PAPERS["a4"], laser(name="n" * 40)).drawing)
    assert "mm in 100 mm: corrected for printer nnn" in words


def test_files_are_a_page_of_the_papers_size(tmp_path):
    import pdfplumber

    status, shown, _ = run("printer", "sheet", "--paper", "letter", "--out", tmp_path)
    assert status == 0
    assert sorted(path.name for path in tmp_path.glob("printer-*")) == [
        "printer-sheet-letter.pdf",
        "printer-sheet-letter.svg",
    ]
    with pdfplumber.open(io.BytesIO((tmp_path / "printer-sheet-letter.pdf").read_bytes())) as pdf:
        assert len(pdf.pages) == 1
        assert [float(side) for side in pdf.pages[0].mediabox[2:]] == [612, 792]
    again = tmp_path / "again"
    run("printer", "sheet", "--paper", "letter", "--out", again)
    for path in again.iterdir():
        assert path.read_bytes() == (tmp_path / path.name).read_bytes()
    assert "wrote" in shown


def test_too_small_paper_and_unknown_format_are_refused(tmp_path):
    with pytest.raises(InputFaults, match=r"does not fit on .* too narrow; choose A4"):
        lay_out(Paper("small", 130.0, 200.0))
    for more in (("--paper", "130x200"), ("--format", "dxf"), ("--paper", "a5")):
        status, _, said = run("printer", "sheet", *more, "--out", tmp_path / "out")
        faults_are_sentences(status, said, tmp_path / "out")
