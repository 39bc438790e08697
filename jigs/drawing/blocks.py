"""Paragraphs below each other, and legends of lines."""

from collections.abc import Callable, Sequence

from jigs.drawing.items import Drawing, Item, Line, Path, Role, drawing, paragraph, paragraph_height_mm
from jigs.drawing.lettering import LINE_STEP, SMALL, wrapped

SAMPLE_MM = 11.0


_BLOCK_GAP = SMALL * (LINE_STEP - 0.35)


Legend = Sequence[tuple[Role, str]]


def blocks(texts: Sequence[str], left: float, top: float, width: float) -> Drawing:
    """Paragraphs below each other."""
    blocks = Drawing()
    for text in texts:
        lines = wrapped(text, SMALL, width)
        blocks += paragraph(lines, left, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + _BLOCK_GAP
    return blocks


def _sample(role: Role, left: float, level: float) -> Item:
    right = left + SAMPLE_MM
    if role is not Role.BAND:
        return Line((left, level), (right, level), role)
    top, foot = level - SMALL / 2, level + SMALL / 2
    return Path((((left, top), (right, top), (right, foot), (left, foot)),), role, closed=True)


def legend_of(
    lines_meant: Legend,
    left: float,
    top: float,
    width: float,
    sample: Callable[[Role, float, float], Drawing | Item] = _sample,
) -> Drawing:
    """A sample of each line, and what it means. ``sample`` draws one `SAMPLE_MM` long from its left end; default: a line."""
    legend = Drawing()
    for role, text in lines_meant:
        lines = wrapped(text, SMALL, width - SAMPLE_MM - 2.0)
        level = top + SMALL / 2
        legend += drawing(
            sample(role, left, level),
            paragraph(lines, left + SAMPLE_MM + 2.0, top, SMALL),
        )
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 1)
    return legend
