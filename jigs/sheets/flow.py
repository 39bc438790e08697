"""The words of a drawing, laid where it leaves room on its sheets, and on a sheet of their own where it does not.

A heading comes first: over the drawing, or left of it. Steps follow in order, from column to column and from sheet to sheet.
Line samples, notes and cautions follow them, or take any room that is left. A drawing is never refused for its words, except
its heading.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import product

from jigs.drawing.blocks import blocks, framed, heading, legend_of, numerals_mm, step_of
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Box, Drawing, strokes
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import NARROW_BESIDE_MM, DoesNotFit, Room
from jigs.sheets import words
from jigs.sheets.free_space import CLEAR_MM, FULL, TIDY, free_boxes

_STEP_COLUMN_MM = 44.0
_TEXT_COLUMN_MM = 34.0
_BETWEEN_STEPS_MM = 2.6
_BETWEEN_MM = 3.4
_CLOSE = 0.6

Block = Callable[[float], Drawing]
"""Words in a width, their top left corner at the origin."""


@dataclass(frozen=True)
class _Part:
    """A block, the least width that it takes, and the gap above it."""

    lay: Block
    least_mm: float
    gap_mm: float
    is_step: bool = False
    tried: dict[float, tuple[Drawing, float]] = field(default_factory=dict, compare=False, repr=False)

    def laid(self, width: float) -> tuple[Drawing, float]:
        """The block in a width, and how high it is; it is tried in many columns, and laid once in each width."""
        if width not in self.tried:
            laid = self.lay(width)
            self.tried[width] = laid, laid.bounds().bottom
        return self.tried[width]


@dataclass
class _Column:
    """A free space of a sheet, filled from the top."""

    sheet: int
    box: Box
    level: float
    has_steps: bool = False

    @property
    def in_use(self) -> bool:
        """Whether it has any block."""
        return self.level > self.box.top

    def top_for(self, part: _Part, closeness: float, others: Sequence["_Column"]) -> float | None:
        """Where the block begins: at the column's level, clear of the ``others`` over and below it. None for no room."""
        if self.box.width < part.least_mm:
            return None
        gap = closeness * part.gap_mm
        over = [one.level + gap for one in others if one.in_use and one.is_over(self)]
        below = [one.box.top - gap for one in others if one.in_use and self.is_over(one)]
        top = self.level + gap if self.in_use else max([self.box.top, *over])
        return top if top + part.laid(self.box.width)[1] <= min([self.box.bottom, *below]) else None

    def is_over(self, other: "_Column") -> bool:
        """Whether it ends where the other begins, on the same sheet, and shares some of its width."""
        shared = min(self.box.right, other.box.right) - max(self.box.left, other.box.left)
        return self.sheet == other.sheet and self.box.bottom <= other.box.top and shared > 0


@dataclass(frozen=True)
class Laid:
    """Sheets with their words: those that hold the drawing, then those with ``words`` alone."""

    drawn: tuple[Drawing, ...]
    words: tuple[Drawing, ...] = ()


def with_words(
    sheets: Sequence[Drawing], said: Instructions, room: Room, for_words: Room, further: Room | None = None
) -> Laid:
    """The drawing's sheets, each laid in ``room``, with its words; what has no room beside it goes on sheets ``for_words``.

    ``further``: the room of all sheets but the first, if it is another. Before any words go to another sheet, they are set
    closer, what is not a step goes to any room left, and steps go on in places of any width. Notes go before cautions do.
    Raises `DoesNotFit` where a drawing leaves no room for its heading.
    """
    headings = [(said.title, said.datum), *said.further]
    headings += headings[:1] * (len(sheets) - len(headings))
    rooms = [room, *[further or room] * (len(sheets) - 1)]
    headed = [_headed(one, *of, room) for one, of, room in zip(sheets, headings, rooms, strict=False)]

    @cache
    def spaces(share: float) -> list[list[Box]]:
        return [free_boxes(sheet.taken, room, share) for sheet, room in zip(headed, rooms, strict=True)]

    everything, notes = list(_parts(said)), list(_notes(said))
    if not everything:
        return Laid(tuple(sheet.drawing for sheet in headed))
    for parts, later in ((everything, []), (list(_parts(replace(said, notes=()))), notes)):
        for share, closeness in product((TIDY, FULL), (1.0, _CLOSE)):
            laid, left = _poured(headed, spaces(share), parts, closeness, anywhere=True)
            if not left:
                return Laid(tuple(laid), tuple(_on_their_own(later, said, for_words)))
    laid, left = _poured(headed, spaces(TIDY), everything)
    return Laid(tuple(laid), tuple(_on_their_own(left, said, for_words)))


@dataclass(frozen=True)
class _Sheet:
    """What is on a sheet by now, and the boxes that no further words may touch."""

    drawing: Drawing
    taken: tuple[Box, ...]


def _headed(drawn: Drawing, title: str, datum: str, room: Room) -> _Sheet:
    """The drawing and its heading, in one line over it or broken beside it."""
    boxes = tuple(box for item in drawn for box in strokes(item))
    if title == "":
        return _Sheet(drawn, boxes)
    width = room.beside_ruler
    while width >= NARROW_BESIDE_MM - CLEAR_MM:
        laid = heading(title, datum, width)
        box = laid.bounds()
        free = min((one.left - CLEAR_MM for one in boxes if one.top < box.bottom + CLEAR_MM / 2), default=room.width)
        if box.right <= free:
            return _Sheet(laid + drawn, (*boxes, replace(box, right=min(free, room.beside_ruler))))
        width = min(free, width - 1.0)
    raise DoesNotFit(words.NO_ROOM_FOR_HEADING)


def _parts(said: Instructions) -> Iterator[_Part]:
    """Everything below the heading, in its order."""
    count = len(said.steps)
    if said.check:
        yield _Part(_paragraph(said.check), _TEXT_COLUMN_MM, _BETWEEN_MM)
    for number, text in enumerate(said.steps, 1):
        least = _STEP_COLUMN_MM + numerals_mm(count)
        yield _Part(_step(number, count, text), least, _BETWEEN_STEPS_MM, is_step=True)
    if said.legend:
        yield _Part(lambda width: legend_of(said.legend, 0.0, 0.0, width), _TEXT_COLUMN_MM, _BETWEEN_MM)
    yield from _notes(said)
    if said.cautions:
        yield _Part(lambda width: framed(said.cautions, 0.0, 0.0, width), _TEXT_COLUMN_MM, _BETWEEN_MM)


def _notes(said: Instructions) -> Iterator[_Part]:
    for text in said.notes:
        yield _Part(_paragraph(text), _TEXT_COLUMN_MM, _BETWEEN_MM - SMALL / 2)


def _step(number: int, count: int, text: str) -> Block:
    return lambda width: step_of(number, count, text, 0.0, 0.0, width)


def _paragraph(text: str) -> Block:
    return lambda width: blocks((text,), 0.0, 0.0, width)


def _poured(
    sheets: Sequence[_Sheet],
    spaces: Sequence[Sequence[Box]],
    parts: Sequence[_Part],
    closeness: float = 1.0,
    anywhere: bool = False,
) -> tuple[list[Drawing], list[_Part]]:
    """The sheets with the blocks that have room in their free ``spaces``, and the others; ``closeness``: share of each gap.

    A block goes to the column of the last one or to a later one, so the order of reading holds. ``anywhere``: what is not a
    step and has no room there may also go to an earlier one that has no steps.
    """
    columns = [_Column(n, box, box.top) for n, boxes in enumerate(spaces) for box in boxes]
    places: list[tuple[_Part, _Column, float]] = []
    first, left = 0, list(parts)
    while left:
        part = left[0]
        earlier = [n for n in range(first) if anywhere and not (part.is_step or columns[n].has_steps)]
        for n in (*range(first, len(columns)), *earlier):
            column = columns[n]
            top = column.top_for(part, closeness, columns)
            if top is not None:
                places.append((part, column, top))
                column.level = top + part.laid(column.box.width)[1]
                column.has_steps = column.has_steps or part.is_step
                first = max(first, n)
                break
        else:
            break
        del left[0]
    filled = [sheet.drawing for sheet in sheets]
    for part, column, top in places:
        filled[column.sheet] += part.laid(column.box.width)[0].shifted(column.box.left, top)
    return filled, left


def _on_their_own(parts: Sequence[_Part], said: Instructions, room: Room) -> list[Drawing]:
    """Blocks on as many sheets as they take, each with the heading. Raises `DoesNotFit` for a block longer than a sheet."""
    sheets: list[Drawing] = []
    headed = _headed(Drawing(), said.title, words.CONTINUED, room)
    left = list(parts)
    while left:
        more, rest = _poured([headed], [free_boxes(headed.taken, room)], left)
        if len(rest) == len(left):
            raise DoesNotFit(words.NO_ROOM_FOR_WORDS)
        sheets, left = [*sheets, *more], rest
    return sheets
