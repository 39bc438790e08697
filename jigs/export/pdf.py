"""Sheets to PDF: one page each, true size, the font embedded, the same bytes every time.

A PDF page measures in points from its lower left corner, so this is where y is turned over, once.
"""

import io
import math
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from itertools import chain, groupby
from typing import Any

from geometry.lengths import MM_PER_INCH
from jigs.drawing import lettering
from jigs.drawing.arcs import Point, beziers
from jigs.drawing.items import BLACK, STYLES, Circle, Line, Path, Text, anchor_mm
from jigs.export.layers import by_layer
from jigs.sheets.paper import Sheet

POINTS_PER_MM = 72 / float(MM_PER_INCH)
"""ISO 32000-1: a default user space unit is 1/72 inch."""

PDF_VERSION = (1, 6)
_CREATOR = "bridge-jigs"


def to_pdf(sheets: Sequence[Sheet], title: str, subject: str) -> bytes:
    """All sheets as one PDF file.

    The file asks viewers not to scale when printing and to pick the tray by page size. Streams stay uncompressed, because
    compressors differ between machines and the bytes must not.
    """
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName
    from reportlab.pdfgen.canvas import Canvas

    file = io.BytesIO()
    pdfmetrics.registerFont(lettering.face())
    canvas = Canvas(file, pageCompression=0, invariant=1, pdfVersion=PDF_VERSION, initialFontName=lettering.FONT_NAME)
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setCreator(_CREATOR)
    canvas.setAuthor("")
    # The canvas has a setter for viewer preferences, but it does not know the tray.
    canvas._doc.Catalog.ViewerPreferences = PDFDictionary(
        {"PrintScaling": PDFName("None"), "PickTrayByPDFSize": "true"}
    )
    for sheet in sheets:
        width, height = (side * POINTS_PER_MM for side in (sheet.paper.width_mm, sheet.paper.height_mm))
        canvas.setPageSize((width, height))
        canvas.setLineCap(0)
        canvas.setLineJoin(1)
        in_order = chain.from_iterable(by_layer(sheet.drawing, STYLES).values())
        for words, items in groupby(in_order, key=lambda item: isinstance(item, Text)):
            (_write if words else _draw)(canvas, items, height)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _draw(canvas: Any, items: Iterable[Any], height: float) -> None:
    """Lines, circles and paths; the pen is set only where it changes."""

    def at(point: Point) -> str:
        return f"{_number(point[0] * POINTS_PER_MM)} {_number(height - point[1] * POINTS_PER_MM)}"

    pen = None
    for item in items:
        style = STYLES[item.role]
        if style is not pen:
            canvas.setLineWidth(style.width_mm * POINTS_PER_MM)
            canvas.setDash([dash * POINTS_PER_MM for dash in style.dashes_mm])
            pen = style
        if isinstance(item, Line):
            canvas.addLiteral(f"{at(item.start)} m {at(item.end)} l S")
        elif isinstance(item, Circle):
            (x, y), radius = item.centre, item.radius * POINTS_PER_MM
            canvas.circle(x * POINTS_PER_MM, height - y * POINTS_PER_MM, radius, stroke=1, fill=0)
        elif style.fill:
            canvas.setFillColor(style.fill)
            canvas.addLiteral(f"{_path(item, at)} f*")
            canvas.setFillColor(BLACK)
        else:
            canvas.addLiteral(f"{_path(item, at)} S")


def _path(item: Path, at: Callable[[Point], str]) -> str:
    """ISO 32000-1, 8.5.2: m begins a run, l and c go on with a line and a curve, h closes it."""
    steps = []
    for run, pieces in zip(item.runs, item.pieces(), strict=True):
        steps.append(f"{at(run[0])} m")
        for start, end, bulge in pieces:
            if bulge:
                steps += [f"{' '.join(map(at, curve))} c" for curve in beziers(start, end, bulge)]
            elif not (item.closed and end == run[0]):
                steps.append(f"{at(end)} l")
        if item.closed:
            steps.append("h")
    return " ".join(steps)


@lru_cache(lettering.REMEMBERED)
def _number(value: float) -> str:
    """As the library writes it. Most numbers of a sheet have come before on it."""
    from reportlab.lib.rl_accel import fp_str

    return str(fp_str(value))


def _write(canvas: Any, texts: Iterable[Any], height: float) -> None:
    """Words, as one text object; the size is set only where it changes."""
    written, capitals_mm = canvas.beginText(), 0.0
    for text in texts:
        if text.height_mm != capitals_mm:
            capitals_mm = text.height_mm
            written.setFont(lettering.FONT_NAME, lettering.em_mm(capitals_mm) * POINTS_PER_MM)
        (x, y), before_mm = text.at, anchor_mm(text)
        if text.angle_deg:
            cos, sin = math.cos(math.radians(text.angle_deg)), math.sin(math.radians(text.angle_deg))
            x, y = x - before_mm * cos, y - before_mm * sin
            written.setTextTransform(cos, -sin, sin, cos, x * POINTS_PER_MM, height - y * POINTS_PER_MM)
        else:
            written.setTextOrigin((x - before_mm) * POINTS_PER_MM, height - y * POINTS_PER_MM)
        written.textLine(text.text)
    canvas.drawText(written)
