"""Words laid out: a heading, steps with hanging numerals, paragraphs, legends of lines, a frame of cautions.

Lettering heights after ISO 3098: a heading 7 and 5 mm, steps 3.5 mm, the rest 2.5 mm.
"""

from collections.abc import Callable, Sequence

from jigs.drawing.items import Drawing, Item, Line, Path, Role, Text, drawing, paragraph, paragraph_height_mm
from jigs.drawing.lettering import LARGE, LARGEST, LINE_STEP, MEDIUM, SMALL, width_mm, wrapped

SAMPLE_MM = 11.0
_SAMPLE_GAP = 2.0
_DATUM_GAP = 3.6
_STEP_GAP = 3.2
_NUMERAL_GAP = 2.0
_FRAME_PAD = 2.5

_HEADING_STEP = 1.45
"""Distance from line to line of a heading over its height: closer than text, so that it reads as one."""

_STEP_LINES = 1.5
"""The same of a step."""

_BLOCK_GAP = SMALL * (LINE_STEP - 0.35)


Legend = Sequence[tuple[Role, str]]


def heading(title: str, datum: str, width: float) -> Drawing:
    """The job in 7 mm letters, the datum in 5 mm below it; the top left corner at the origin."""
    lines = _balanced(title, LARGEST, width)
    laid = _lines(lines, 0.0, 0.0, LARGEST, _HEADING_STEP)
    if datum:
        top = LARGEST * (1 + (len(lines) - 1) * _HEADING_STEP) + _DATUM_GAP
        laid += _lines(_balanced(datum, LARGE, width), 0.0, top, LARGE, _HEADING_STEP)
    return laid


def _balanced(text: str, height_mm: float, width: float) -> list[str]:
    """As few lines as the width allows, about as long as each other."""
    lines = wrapped(text, height_mm, width)
    while width > height_mm:
        width -= height_mm / 2
        narrower = wrapped(text, height_mm, width)
        if len(narrower) > len(lines) or any(width_mm(line, height_mm) > width for line in narrower):
            return lines
        lines = narrower
    return lines


def _lines(lines: Sequence[str], left: float, top: float, height_mm: float, step: float) -> Drawing:
    return Drawing(
        tuple(Text((left, top + height_mm * (1 + n * step)), line, height_mm) for n, line in enumerate(lines))
    )


def numerals_mm(count: int) -> float:
    """How far the steps of a list of so many are from its left edge."""
    return width_mm(str(count), MEDIUM) + _NUMERAL_GAP


def step_of(number: int, count: int, text: str, left: float, top: float, width: float) -> Drawing:
    """A step of ``count``, in 3.5 mm letters, its numeral hanging at the left."""
    aside = numerals_mm(count)
    lines = wrapped(text, MEDIUM, width - aside)
    return drawing(
        Text((left, top + MEDIUM), str(number), MEDIUM), _lines(lines, left + aside, top, MEDIUM, _STEP_LINES)
    )


def steps_of(steps: Sequence[str], left: float, top: float, width: float) -> Drawing:
    """All steps below each other."""
    laid = Drawing()
    for number, text in enumerate(steps, 1):
        laid += step_of(number, len(steps), text, left, top, width)
        top += step_height_mm(text, len(steps), width) + _STEP_GAP
    return laid


def step_height_mm(text: str, count: int, width: float) -> float:
    """From the capitals of a step's first line down to its last base line."""
    return MEDIUM * (1 + (len(wrapped(text, MEDIUM, width - numerals_mm(count))) - 1) * _STEP_LINES)


def blocks(texts: Sequence[str], left: float, top: float, width: float) -> Drawing:
    """Paragraphs below each other."""
    laid = Drawing()
    for text in texts:
        lines = wrapped(text, SMALL, width)
        laid += paragraph(lines, left, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + _BLOCK_GAP
    return laid


def framed(texts: Sequence[str], left: float, top: float, width: float, named: str = "cautions") -> Drawing:
    """Sentences in one frame, below each other."""
    lines = [line for text in texts for line in wrapped(text, SMALL, width - 2 * _FRAME_PAD)]
    right, foot = left + width, top + 2 * _FRAME_PAD + paragraph_height_mm(len(lines), SMALL)
    frame = ((left, top), (right, top), (right, foot), (left, foot))
    return drawing(
        Path((frame,), Role.GUIDE, named, closed=True), paragraph(lines, left + _FRAME_PAD, top + _FRAME_PAD, SMALL)
    )


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
