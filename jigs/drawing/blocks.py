"""Paragraphs below each other, and legends of lines."""

from collections.abc import Callable, Sequence

from jigs.drawing.items import Drawing, Item, Line, Path, Role, Text, drawing, paragraph, paragraph_height_mm
from jigs.drawing.lettering import LINE_STEP, SMALL, wrapped

SAMPLE_MM = 11.0
_SAMPLE_GAP = 2.0


_BLOCK_GAP = SMALL * (LINE_STEP - 0.35)


Legend = Sequence[tuple[Role, str]]


def blocks(texts: Sequence[str], left: float, top: float, width: float) -> Drawing:
    """Paragraphs below each other."""
    laid = Drawing()
    for text in texts:
        lines = wrapped(text, SMALL, width)
        laid += paragraph(lines, left, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + _BLOCK_GAP
    return laid


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
        lines = wrapped(text, SMALL, width - SAMPLE_MM - _SAMPLE_GAP)
        level = top + SMALL / 2
        legend += drawing(
            sample(role, left, level),
            paragraph(lines, left + SAMPLE_MM + _SAMPLE_GAP, top, SMALL),
        )
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 1)
    return legend


def legend_in_a_row(lines_meant: Legend, base: float, gap: float) -> Drawing:
    """The same on one base line, from the left edge on, ``gap`` apart."""
    legend, left = Drawing(), 0.0
    for role, text in lines_meant:
        sample = _sample(role, left, base - SMALL / 2)
        legend += drawing(sample, Text((left + SAMPLE_MM + _SAMPLE_GAP, base), text, SMALL))
        left = legend.bounds().right + gap
    return legend
