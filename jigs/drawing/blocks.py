"""Paragraphs below each other, and legends of lines."""

from collections.abc import Sequence

from jigs.drawing.items import Drawing, Item, Line, Path, Role, drawing, paragraph, paragraph_height_mm
from jigs.drawing.lettering import LINE_STEP, SMALL, wrapped

_SAMPLE_MM = 11.0


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


def legend_of(lines_meant: Legend, left: float, top: float, width: float) -> Drawing:
    """A sample of each line, and what it means."""
    legend = Drawing()
    for role, text in lines_meant:
        lines = wrapped(text, SMALL, width - _SAMPLE_MM - 2.0)
        level = top + SMALL / 2
        legend += drawing(
            _sample(role, left, level),
            paragraph(lines, left + _SAMPLE_MM + 2.0, top, SMALL),
        )
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 1)
    return legend


def _sample(role: Role, left: float, level: float) -> Item:
    right = left + _SAMPLE_MM
    if role is not Role.BAND:
        return Line((left, level), (right, level), role)
    top, foot = level - SMALL / 2, level + SMALL / 2
    return Path((((left, top), (right, top), (right, foot), (left, foot)),), role, closed=True)
