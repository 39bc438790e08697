"""The title block: what the sheet is, of which instrument, at which scale, with room for a date.

Its fields follow ISO 7200 (title, document type, sheet number, date of issue, scale after ISO 5455).
"""

from dataclasses import dataclass

from jigs.drawing.items import Drawing, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import MEDIUM, SMALL, shortened, width_mm

_PAD = 1.5
_ROW = 4.7
_HEAD = 1.0
_TEXT_ROWS = 3
_CELL_ROWS = 2
HEIGHT_MM = _HEAD + _ROW * (_TEXT_ROWS + _CELL_ROWS)


@dataclass(frozen=True)
class Title:
    """What a title block says. ``facts`` is a line of figures, ``scale`` as ISO 5455 writes it.

    ``note`` is about the print; it goes under the ruler across.
    """

    name: str
    document: str
    facts: str
    paper: str = ""
    sheet: int = 1
    sheets: int = 1
    scale: str = "1:1"
    note: str = ""


def title_block(title: Title, width: float) -> Drawing:
    """A block of ``width`` by `HEIGHT_MM`, its top left corner at the origin."""
    room = width - 2 * _PAD
    size = MEDIUM if width_mm(title.name, MEDIUM) <= room else SMALL
    words = ((title.name, size), (title.document, SMALL), (title.facts, SMALL))
    first, second = HEIGHT_MM - _CELL_ROWS * _ROW, HEIGHT_MM - _ROW
    upper = ((f"Scale {title.scale}", 0.0), (title.paper, 0.28), (f"Sheet {title.sheet} of {title.sheets}", 0.65))
    lower = (("Date", 0.0), ("Measured by", 0.42))
    frame = ((0.0, 0.0), (width, 0.0), (width, HEIGHT_MM), (0.0, HEIGHT_MM))
    return drawing(
        Path((frame,), Role.GUIDE, "title-block", closed=True),
        (Line((0.0, y), (width, y), Role.GUIDE) for y in (first, second)),
        (
            Text((_PAD, _HEAD + (n + 1) * _ROW - 1.1), shortened(text, size, room), size)
            for n, (text, size) in enumerate(words)
        ),
        _cells(upper, first, width),
        _cells(lower, second, width),
    )


def _cells(cells: tuple[tuple[str, float], ...], top: float, width: float) -> Drawing:
    """A row of words, each starting at its share of the width, with a line between one and the next."""
    ends = [*(share for _, share in cells[1:]), 1.0]
    return drawing(
        (Line((share * width, top), (share * width, top + _ROW), Role.GUIDE) for _, share in cells[1:]),
        (
            Text((share * width + 1.0, top + _ROW - 1.1), shortened(text, SMALL, (end - share) * width - 1.5), SMALL)
            for (text, share), end in zip(cells, ends, strict=True)
        ),
    )
