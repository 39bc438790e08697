"""Words laid out around a part on its page: steps, samples of its lines, cautions."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain, count

from geometry.lengths import round_half_up
from jigs.drawing.blocks import Legend, blocks, legend_of
from jigs.drawing.items import Drawing, drawing
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import DoesNotFit, Room
from jigs.templates import words as says
from jigs.workup.cents_scale import carried_share
from jigs.workup.words import comparing_in_words
from jigs.workup.workup import Workup

LEAST_WIDTH_MM = 35.0
_BESIDE_STEM_MM = 6.0
_BELOW_PART_MM = 5.0
_COLUMN_GAP_MM = 6.0

CAUTIONS = (
    "Strings are under tension: keep your eyes away. Slacken before you prise.",
    "Never take off all strings at once: the bridge falls.",
    "Cut away from yourself and from the instrument.",
    "Follow workshop and local rules. Old or valuable instrument: ask a qualified repairer.",
)
"""What people in this trade expect to read; common practice, no source."""

CUTTER_CAUTIONS = (
    *CAUTIONS[:2],
    "Knife: cut away from yourself and the instrument."
    " Laser: only with extraction, by the machine's own rules; never vinyl or PVC.",
    CAUTIONS[3],
)


@dataclass(frozen=True)
class FreeSpace:
    """What a part leaves free: both sides of its stem from ``top`` down to ``shoulder``, and everything below ``end``.

    The stem's middle is at x = ``middle``.
    """

    middle: float
    stem_half: float
    top: float
    shoulder: float
    end: float


Steps = Sequence[Sequence[str]]
"""Steps in the order of the hands; those of a group may share a paragraph where there is little room."""


def numbered(steps: Steps, together: bool = False) -> tuple[str, ...]:
    """A paragraph for each step with its number, or with ``together`` a paragraph for each group.

    >>> numbered([["Cut.", "Measure."], ["Tune."]])
    ('1 Cut.', '2 Measure.', '3 Tune.')
    >>> numbered([["Cut.", "Measure."], ["Tune."]], together=True)
    ('1\xa0Cut. 2\xa0Measure.', '3\xa0Tune.')
    """
    number, space = count(1), "\N{NO-BREAK SPACE}" if together else " "
    groups = [[f"{next(number)}{space}{step}" for step in group] for group in steps]
    return tuple(" ".join(group) for group in groups) if together else tuple(chain.from_iterable(groups))


def reading_step(workup: Workup) -> str:
    """The step of tuning and of comparing by ear or tuner."""
    instrument = workup.instrument
    if instrument.head.octave_fret is None:
        return f"Tune. On each outer string, {comparing_in_words(workup)}, three times."
    fret = f"fret\N{NO-BREAK SPACE}{instrument.octave_fret}"
    return f"Tune. On each outer string, compare octave harmonic and note at {fret}, three times."


def one_end_alone(workup: Workup) -> tuple[str, ...]:
    """What moving one end does to the other string, if there is one."""
    share = carried_share(workup)
    if not share:
        return ()
    return (f"One end alone shifts the other string by up to {round_half_up(100 * share, 0)}% as much: check both.",)


def first_that_fits(ways: Iterable[Callable[[], Drawing]]) -> Drawing:
    """The first way of laying out words that has room. Raises `DoesNotFit`, the reason of the last way, if there is one."""
    reason = DoesNotFit()
    for way in ways:
        try:
            return way()
        except DoesNotFit as no_room:
            reason = no_room
    raise reason


def words_beside(
    free: FreeSpace,
    room: Room,
    steps: Sequence[str],
    legend: Legend,
    cautions: Sequence[str],
    part: str,
    both_sides: bool = False,
) -> Drawing:
    """Steps left of the stem, line samples and cautions right of it; what does not fit there below the part.

    ``part`` names the part in the reason. With ``both_sides`` the steps go on below the cautions, or the
    cautions below the part. Raises `DoesNotFit`.
    """
    right = free.middle + free.stem_half + _BESIDE_STEM_MM
    widths = (free.middle - free.stem_half - _BESIDE_STEM_MM, room.width - room.corner_width - 2.0 - right)
    if min(widths) < LEAST_WIDTH_MM:
        raise DoesNotFit(says.NO_ROOM_BESIDE_STEM)
    samples = legend_of(legend, right, free.top, widths[1])
    under_samples, below_part = samples.bounds().bottom + 2.0 * SMALL, free.end + 2.0 * SMALL
    left, rest = _as_many_as_fit(steps, 0.0, free.top, widths[0], free.shoulder)
    warned, more = _as_many_as_fit(cautions, right, under_samples, widths[1], free.shoulder)
    goes_on = Drawing()
    if both_sides and not more:
        goes_on, rest = _as_many_as_fit(rest, right, warned.bounds().bottom + 2.0 * SMALL, widths[1], free.shoulder)
    below = blocks((*rest, *more), 0.0, below_part, room.width)
    crowded = not (left.items and warned.items) or (more and not both_sides)
    if crowded or _foot(below) > room.height:
        raise DoesNotFit(says.no_room_beside(part))
    return drawing(left, samples, warned, goes_on, below)


def _as_many_as_fit(
    texts: Sequence[str], left: float, top: float, width: float, foot: float
) -> tuple[Drawing, Sequence[str]]:
    """The first texts down to a foot, and those that have no room there."""
    count = len(texts)
    while count and _foot(blocks(texts[:count], left, top, width)) > foot:
        count -= 1
    return blocks(texts[:count], left, top, width), texts[count:]


def _foot(words: Drawing) -> float:
    return words.bounds().bottom if words.items else 0.0


def words_around(free: FreeSpace, room: Room, steps: Steps, rest: Sequence[str], legend: Legend, part: str) -> Drawing:
    """Steps, then the ``rest``, line samples and a cutter's cautions: below a part, or beside it. Raises `DoesNotFit`."""
    spread, close = ((*numbered(steps, together), *rest) for together in (False, True))
    return first_that_fits(
        way
        for texts in (spread, close)
        for way in (
            partial(words_below, free.end, room, texts, legend, CUTTER_CAUTIONS),
            partial(words_beside, free, room, texts, legend, CUTTER_CAUTIONS, part),
            partial(words_beside, free, room, texts, legend, CUTTER_CAUTIONS, part, both_sides=True),
        )
    )


def words_below(end: float, room: Room, steps: Sequence[str], legend: Legend, cautions: Sequence[str]) -> Drawing:
    """Steps in one column below a part; line samples and cautions in the other, with the last steps if that is shorter.

    Raises `DoesNotFit`.
    """
    column = (room.width - _COLUMN_GAP_MM) / 2
    top = end + _BELOW_PART_MM
    right = column + _COLUMN_GAP_MM
    samples = legend_of(legend, right, top, column)
    warned = samples + blocks(cautions, right, samples.bounds().bottom + 2.0 * SMALL, column)
    laid = []
    for first in range(len(steps), 0, -1):
        rest = blocks(steps[first:], right, warned.bounds().bottom + 2.0 * SMALL, column)
        laid.append(blocks(steps[:first], 0.0, top, column) + warned + rest)
    shortest = min(laid, key=lambda words: words.bounds().bottom)
    if shortest.bounds().bottom > room.height:
        raise DoesNotFit(says.long_with_words(shortest.bounds().bottom))
    return shortest
