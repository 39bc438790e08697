"""A table in small letters, each column as wide as its widest cell."""

from collections.abc import Sequence
from itertools import accumulate, zip_longest

from jigs.drawing.items import Drawing, Text, drawing
from jigs.drawing.lettering import LINE_STEP, SMALL, width_mm

_ROW_MM = SMALL * LINE_STEP
_GAP_MM = 2.6


def table_of(rows: Sequence[Sequence[str]]) -> Drawing:
    """Rows below each other, a row may be short of cells; the top left corner at the origin."""
    widths = [max(width_mm(cell, SMALL) for cell in column) for column in zip_longest(*rows, fillvalue="")]
    lefts = list(accumulate((width + _GAP_MM for width in widths), initial=0.0))
    return drawing(
        Text((left, SMALL + n * _ROW_MM), cell, SMALL)
        for n, row in enumerate(rows)
        for left, cell in zip(lefts, row, strict=False)
        if cell
    )
