"""Words laid out round a part on its page: steps, samples of its lines, cautions."""

from collections.abc import Sequence
from dataclasses import dataclass

from jigs.drawing import Drawing, Item, Line, Path, Role, Room, drawing, paragraph, paragraph_height_mm
from jigs.lettering import LINE_STEP, SMALL, wrapped
from jigs.templates import DoesNotFit

LEAST_WIDTH_MM = 35.0
_BESIDE_STEM_MM = 6.0
_BELOW_PART_MM = 5.0
_COLUMN_GAP_MM = 6.0
_SAMPLE_MM = 11.0
_BLOCK_GAP = SMALL * (LINE_STEP - 0.35)

CAUTIONS = (
    "Strings are under tension: keep your eyes away, slacken before prising anything.",
    "Never take off all strings at once: the bridge would fall.",
    "Cut towards nothing you value.",
    "Workshop rules and local codes come first. A valuable or old instrument: ask a qualified repairer.",
)
"""What people in this trade expect to read; common practice, no source."""

CUTTER_CAUTIONS = (
    *CAUTIONS[:2],
    "Knives: cut towards nothing you value. Lasers: only with extraction, by the machine's own rules; never vinyl or PVC.",
    CAUTIONS[3],
)

Legend = Sequence[tuple[Role, str]]


@dataclass(frozen=True)
class Free:
    """What a part leaves: both sides of its stem from ``top`` down to ``shoulder``, and everything below ``end``.

    The stem's middle is at x = ``middle``.
    """

    middle: float
    stem_half: float
    top: float
    shoulder: float
    end: float


def words_beside(
    free: Free, room: Room, steps: Sequence[str], legend: Legend, cautions: Sequence[str], whence: str
) -> Drawing:
    """Steps left of the stem, what does not fit there below the part; line samples and cautions right of it.

    ``whence`` names the part in the reason. Raises `DoesNotFit`.
    """
    right = free.middle + free.stem_half + _BESIDE_STEM_MM
    widths = (free.middle - free.stem_half - _BESIDE_STEM_MM, room.width - room.corner_width - 2.0 - right)
    if min(widths) < LEAST_WIDTH_MM:
        raise DoesNotFit("there is no room for the steps beside the stem")
    samples = _legend(legend, right, free.top, widths[1])
    warned = blocks(cautions, right, samples.bounds().bottom + 2.0 * SMALL, widths[1])
    beside = len(steps)
    while blocks(steps[:beside], 0.0, free.top, widths[0]).bounds().bottom > free.shoulder and beside > 1:
        beside -= 1
    left = blocks(steps[:beside], 0.0, free.top, widths[0])
    below = blocks(steps[beside:], 0.0, free.end + 2.0 * SMALL, room.width)
    fits_beside = max(part.bounds().bottom for part in (left, warned)) <= free.shoulder
    if not fits_beside or (below.items and below.bounds().bottom > room.height):
        raise DoesNotFit(f"{whence} there is no room for the steps beside it")
    return drawing(left, samples, warned, below)


def words_below(end: float, room: Room, steps: Sequence[str], legend: Legend, cautions: Sequence[str]) -> Drawing:
    """Steps in one column below a part; line samples and cautions in the other, and the last steps where that is shorter.

    Raises `DoesNotFit`.
    """
    column = (room.width - _COLUMN_GAP_MM) / 2
    top = end + _BELOW_PART_MM
    right = column + _COLUMN_GAP_MM
    samples = _legend(legend, right, top, column)
    warned = samples + blocks(cautions, right, samples.bounds().bottom + 2.0 * SMALL, column)
    laid = []
    for count in range(len(steps), 0, -1):
        rest = blocks(steps[count:], right, warned.bounds().bottom + 2.0 * SMALL, column)
        laid.append(blocks(steps[:count], 0.0, top, column) + warned + rest)
    shortest = min(laid, key=lambda words: words.bounds().bottom)
    if shortest.bounds().bottom > room.height:
        raise DoesNotFit(f"with its words it is {shortest.bounds().bottom:.0f} mm long")
    return shortest


def blocks(texts: Sequence[str], left: float, top: float, width: float) -> Drawing:
    """Paragraphs below each other."""
    blocks = Drawing()
    for text in texts:
        lines = wrapped(text, SMALL, width)
        blocks += paragraph(lines, left, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + _BLOCK_GAP
    return blocks


def _legend(lines_meant: Legend, left: float, top: float, width: float) -> Drawing:
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
