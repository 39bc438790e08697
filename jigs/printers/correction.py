"""Drawings corrected for a printer's errors."""

import math
from dataclasses import dataclass, replace

from jigs.drawing.items import Circle, Drawing, Item, Line, Path
from jigs.sheets.paper import MARGIN_MM, Paper, Sheet

PRINTABLE_MM = 6.0
"""Nothing is drawn nearer to the paper's edge; see `jigs.sheets.paper.MARGIN_MM`."""


ROUND_WITHIN_MM = 0.0005
"""How far chords may leave an arc or a circle. A scale that differs across and down makes those ellipses."""


_LEAST_LEFT_MM = 1.0


@dataclass(frozen=True)
class Correction:
    """The transform x → ``across`` x + ``lean`` y, y → ``down`` y about the middle of the paper."""

    across: float
    lean: float
    down: float

    def corrected(self, sheet: Sheet, paper: Paper) -> Sheet:
        """A finished sheet, drawn so that it comes out true. ``paper`` may be larger than the one it was laid out on.

        Arcs and circles become chords. A text changes only its place: it stays upright and readable.
        """
        from_x, from_y = sheet.paper.width_mm / 2, sheet.paper.height_mm / 2
        to_x, to_y = paper.width_mm / 2, paper.height_mm / 2

        def move(point: tuple[float, float]) -> tuple[float, float]:
            x, y = point[0] - from_x, point[1] - from_y
            return to_x + self.across * x + self.lean * y, to_y + self.down * y

        moved = Drawing(tuple(_in_chords(item) for item in sheet.drawing)).mapped(move)
        kept = (_printable(item, paper) for item in moved)
        return replace(sheet, paper=paper, drawing=Drawing(tuple(item for item in kept if item is not None)))

    def laid_on(self, paper: Paper) -> Paper:
        """The paper to lay a sheet out on: this one, or a smaller one if the corrected sheet would not be printable."""
        across, down = (side - 2 * PRINTABLE_MM for side in (paper.width_mm, paper.height_mm))
        height = min(paper.height_mm - 2 * MARGIN_MM, down / self.down)
        width = (across - abs(self.lean) * height) / self.across
        return replace(
            paper,
            width_mm=min(paper.width_mm, width + 2 * MARGIN_MM),
            height_mm=min(paper.height_mm, down / self.down + 2 * MARGIN_MM),
        )

    def paper_for(self, paper: Paper) -> Paper:
        """The paper that a sheet of its own size needs: this one, or a larger one for the same reason."""
        width, height = paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM
        across = max(paper.width_mm, self.across * width + abs(self.lean) * height + 2 * PRINTABLE_MM)
        down = max(paper.height_mm, self.down * height + 2 * PRINTABLE_MM)
        if (across, down) == (paper.width_mm, paper.height_mm):
            return paper
        return Paper(f"{math.ceil(across)} x {math.ceil(down)} mm", float(math.ceil(across)), float(math.ceil(down)))


def _in_chords(item: Item) -> Item:
    """An item with chords instead of arcs."""
    if isinstance(item, Circle):
        (x, y), radius = item.centre, item.radius
        ends = ((x - radius, y), (x + radius, y))
        item = Path((ends,), item.role, item.id, closed=True, bulges=((1.0, 1.0),))
    return item.flattened(ROUND_WITHIN_MM) if isinstance(item, Path) else item


def _printable(item: Item, paper: Paper) -> Item | None:
    """A line without its part outside the printable area; of a sheet, only the centring marks reach there."""
    if not isinstance(item, Line):
        return item
    (x1, y1), (x2, y2) = item.start, item.end
    entry, leave = 0.0, 1.0
    for begin, end, side in ((x1, x2, paper.width_mm), (y1, y2, paper.height_mm)):
        for gap, step in ((begin - PRINTABLE_MM, end - begin), (side - PRINTABLE_MM - begin, begin - end)):
            # The line is inside where gap + share · step is not negative.
            if gap < 0 and gap + step < 0:
                return None
            entry = max(entry, -gap / step) if gap < 0 else entry
            leave = min(leave, -gap / step) if gap + step < 0 else leave
    if (leave - entry) * math.hypot(x2 - x1, y2 - y1) < _LEAST_LEFT_MM:
        return None
    start = (x1 + entry * (x2 - x1), y1 + entry * (y2 - y1)) if entry > 0 else item.start
    end_ = (x1 + leave * (x2 - x1), y1 + leave * (y2 - y1)) if leave < 1 else item.end
    return replace(item, start=start, end=end_)
