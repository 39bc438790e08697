"""Sheets to PDF: one page each, true size, the font embedded, the same bytes every time.

A PDF page measures in points from its lower left corner, so this is where y is turned over, once.
"""

import io
from collections.abc import Sequence
from itertools import chain
from typing import Any

from geometry.lengths import MM_PER_INCH
from jigs.drawing import lettering
from jigs.drawing.arcs import Point, beziers
from jigs.drawing.items import BLACK, STYLES, Anchor, Item, Layer, Line, Path, Text
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
        for layer in Layer:
            for item in sheet.drawing:
                if STYLES[item.role].layer is layer:
                    _draw(canvas, item, height)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _draw(canvas: Any, item: Item, height: float) -> None:
    def at(point: Point) -> Point:
        return point[0] * POINTS_PER_MM, height - point[1] * POINTS_PER_MM

    if isinstance(item, Text):
        _write(canvas, item, *at(item.at))
        return
    style = STYLES[item.role]
    canvas.setLineWidth(style.width_mm * POINTS_PER_MM)
    canvas.setDash([dash * POINTS_PER_MM for dash in style.dashes_mm])
    if isinstance(item, Line):
        canvas.line(*at(item.start), *at(item.end))
    elif isinstance(item, Path):
        path = canvas.beginPath()
        for run, pieces in zip(item.runs, item.pieces(), strict=True):
            path.moveTo(*at(run[0]))
            for start, end, bulge in pieces:
                if bulge:
                    for curve in beziers(start, end, bulge):
                        path.curveTo(*chain.from_iterable(map(at, curve)))
                elif not (item.closed and end == run[0]):
                    path.lineTo(*at(end))
            if item.closed:
                path.close()
        if style.fill:
            canvas.setFillColor(style.fill)
            canvas.drawPath(path, stroke=0, fill=1)
            canvas.setFillColor(BLACK)
        else:
            canvas.drawPath(path, stroke=1, fill=0)
    else:
        canvas.circle(*at(item.centre), item.radius * POINTS_PER_MM, stroke=1, fill=0)


def _write(canvas: Any, text: Text, x: float, y: float) -> None:
    size = lettering.em_mm(text.height_mm) * POINTS_PER_MM
    canvas.setFont(lettering.FONT_NAME, size)
    draw = {
        Anchor.START: canvas.drawString,
        Anchor.MIDDLE: canvas.drawCentredString,
        Anchor.END: canvas.drawRightString,
    }[text.anchor]
    if not text.angle_deg:
        draw(x, y, text.text)
        return
    canvas.saveState()
    canvas.translate(x, y)
    canvas.rotate(-text.angle_deg)
    draw(0, 0, text.text)
    canvas.restoreState()
