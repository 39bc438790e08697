"""Words laid out round a part on its page: steps, samples of its lines, cautions."""

from collections.abc import Sequence
from dataclasses import dataclass

from jigs.drawing.blocks import Legend, blocks, legend_of
from jigs.drawing.items import Drawing, drawing
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import DoesNotFit, Room

LEAST_WIDTH_MM = 35.0
_BESIDE_STEM_MM = 6.0
_BELOW_PART_MM = 5.0
_COLUMN_GAP_MM = 6.0

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
    samples = legend_of(legend, right, free.top, widths[1])
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
    samples = legend_of(legend, right, top, column)
    warned = samples + blocks(cautions, right, samples.bounds().bottom + 2.0 * SMALL, column)
    laid = []
    for count in range(len(steps), 0, -1):
        rest = blocks(steps[count:], right, warned.bounds().bottom + 2.0 * SMALL, column)
        laid.append(blocks(steps[:count], 0.0, top, column) + warned + rest)
    shortest = min(laid, key=lambda words: words.bounds().bottom)
    if shortest.bounds().bottom > room.height:
        raise DoesNotFit(f"with its words it is {shortest.bounds().bottom:.0f} mm long")
    return shortest
