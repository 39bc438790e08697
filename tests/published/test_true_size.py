"""The files are true to size, read back with programs that are not ours.

Geometry of PDF (ISO 32000-1: a default unit is 1/72 inch) by pdfminer and by PDFium; of SVG (user units from
width, height and viewBox, SVG 1.1 chapter 7) by svgpathtools; one page as pixels by PDFium.
"""

import io
import re

import numpy as np
import pytest
from readers import farthest_mm, pdf_pieces_by_pdfium, pdf_pieces_by_pdfminer, svg_pieces
from samples import PRESETS, named, pieces, sheet

from jigs.export.pdf import to_pdf
from jigs.export.svg import to_svg

UM = 1e-3
MM_PER_INCH = 25.4


@pytest.mark.parametrize(("name", "hand"), [(name, "right") for name in PRESETS] + [("tenor-banjo", "left")])
def test_every_mark_is_where_the_numbers_say_within_a_micrometre(name, hand):
    drawn = sheet(name, hand)
    expected = np.array(pieces(drawn.drawing))
    pdf, svg = to_pdf([drawn], "t", "s"), to_svg(drawn, "t", "s")
    read = {
        "pdfminer": pdf_pieces_by_pdfminer(pdf),
        "pdfium": pdf_pieces_by_pdfium(pdf),
        "svgpathtools": np.concatenate(list(svg_pieces(svg).values())),
    }
    for reader, found in read.items():
        assert len(found) == len(expected), reader
        assert farthest_mm(expected, found) < UM, reader
    assert farthest_mm(read["pdfminer"], read["svgpathtools"]) < UM


def test_marks_that_a_program_may_look_for_have_their_ids():
    drawn = sheet("mandolin")
    found = svg_pieces(to_svg(drawn, "t", "s"))
    for name in ("datum", "bridge-line", "bridge-theoretical", "bridge-window", "ruler-across", "ruler-down",
                 "cents-treble-5", "cents-bass--5", "string-1", "string-4"):  # fmt: skip
        assert farthest_mm(pieces([named(drawn.drawing, name)]), found[name]) < UM


@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [
        ("a4", 210, 297),
        ("a3", 297, 420),
        ("letter", 215.9, 279.4),
        ("legal", 215.9, 355.6),
        ("tabloid", 279.4, 431.8),
    ],
)
def test_page_has_the_size_of_the_paper(paper, width, height):
    """ISO 216 for A sizes, ANSI/ASME Y14.1 for letter and tabloid; legal is common practice, no source."""
    import pdfplumber

    drawn = sheet("mandolin", paper=paper)
    with pdfplumber.open(io.BytesIO(to_pdf([drawn], "t", "s"))) as pdf:
        page = pdf.pages[0]
        assert page.width / 72 * MM_PER_INCH == pytest.approx(width, abs=UM)
        assert page.height / 72 * MM_PER_INCH == pytest.approx(height, abs=UM)
    svg = to_svg(drawn, "t", "s").decode()
    size = re.search(r'width="([\d.]+)mm"', svg), re.search(r'height="([\d.]+)mm"', svg)
    assert [float(found[1]) for found in size] == pytest.approx([width, height])
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert [float(box[1]), float(box[2])] == pytest.approx([width, height])


@pytest.mark.parametrize("name", ["ruler-across", "ruler-down"])
def test_rulers_measure_a_hundred_millimetres_in_both_formats(name):
    drawn = sheet("banjo", paper="letter")
    x1, y1, x2, y2 = svg_pieces(to_svg(drawn, "t", "s"))[name][0]
    assert np.hypot(x2 - x1, y2 - y1) == pytest.approx(100, abs=UM)
    inches = svg_pieces(to_svg(drawn, "t", "s"))[f"{name}-inches"][0]
    assert np.hypot(inches[2] - inches[0], inches[3] - inches[1]) == pytest.approx(4 * MM_PER_INCH, abs=UM)


def test_hundred_millimetres_are_a_hundred_millimetres_of_pixels():
    """At 600 dpi, 100 mm are 100/25.4 · 600 = 2362.2 pixels: from the ruler's first tick to its last."""
    import pypdfium2 as pdfium

    drawn = sheet("mandolin")
    pdf = pdfium.PdfDocument(to_pdf([drawn], "t", "s"))
    picture = pdf[0].render(scale=600 / 72, grayscale=True).to_numpy()
    picture = picture.reshape(picture.shape[:2])
    pdf.close()
    dots = 600 / MM_PER_INCH
    line = named(drawn.drawing, "ruler-across")
    # Only the ticks of tens reach 3.2 mm above the base line.
    row = round((line.start[1] - 3.2) * dots)
    left, right = round((line.start[0] - 1.5) * dots), round((line.end[0] + 1.5) * dots)
    dark = np.flatnonzero(picture[row, left:right] < 128)
    ticks = [group.mean() for group in np.split(dark, np.flatnonzero(np.diff(dark) > 2) + 1)]
    assert len(ticks) == 11
    assert ticks[-1] - ticks[0] == pytest.approx(100 * dots, abs=1)
    assert np.diff(ticks) == pytest.approx(np.full(10, 10 * dots), abs=1.5)
