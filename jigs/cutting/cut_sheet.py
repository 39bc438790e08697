"""A part as a file for a cutter: alone on a sheet of its own size, with the rectangle to measure after import."""

import math

from jigs.cutting.engraving import all_engraved
from jigs.cutting.reference import reference
from jigs.cutting.words import kerf_in_words
from jigs.drawing.items import Drawing, Role, Text
from jigs.sheets.paper import Paper, Sheet
from jigs.sheets.title import Title

MARGIN_MM = 10.0


def cut_sheet(part: Drawing, title: Title, kerf_mm: float) -> Sheet:
    """The part at its true size, the reference rectangle to its right. Words that are printed on paper are guides here."""
    stroked = all_engraved(part, Role.GUIDE) if any(isinstance(item, Text) for item in part) else part
    box = stroked.bounds()
    beside = reference((title.name, title.document, kerf_in_words(kerf_mm)))
    frame = beside.bounds()
    width = math.ceil(box.width + frame.width + 3 * MARGIN_MM)
    height = math.ceil(max(box.height, frame.height) + 2 * MARGIN_MM)
    placed = stroked.shifted(MARGIN_MM - box.left, MARGIN_MM - box.top)
    whole = placed + beside.shifted(box.width + 2 * MARGIN_MM, MARGIN_MM)
    return Sheet(Paper(f"{width} x {height} mm", float(width), float(height)), whole, title)
