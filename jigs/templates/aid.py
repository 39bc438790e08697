"""A measuring aid: its parts at true size, a picture of it in use, and its words, laid out as a panel of a sheet.

Parts are drawn with what is on them and cut out by `stock.cut_out`; only the places of strings are mirrored.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from jigs.cutting.cutter import Cutter
from jigs.drawing.blocks import blocks, steps_of
from jigs.drawing.items import Drawing, paragraph
from jigs.drawing.lettering import LARGE, wrapped

LETTER_MM = 2.0
"""Height of what is engraved on an aid."""

_MOST_ROUND_MM = 3.0
_GAP_MM = 5.0
_HEAD_GAP_MM = 3.0
_COLUMN_MM = 8.0
_BESIDE_SHARE = 0.45


@dataclass(frozen=True)
class AidWords:
    """``job``: what it measures, for a sheet's title; ``title`` of its panel; ``steps``; ``about``: keys, and how sure."""

    job: str
    title: str
    steps: tuple[str, ...]
    about: tuple[str, ...]


@dataclass(frozen=True)
class Aid:
    """Parts to cut, as they are drawn on the page; ``picture`` of it in use; ``table`` for what is read with it."""

    said: AidWords
    parts: tuple[Drawing, ...]
    picture: Drawing
    table: Drawing = field(default_factory=Drawing)


def corner_mm(cutter: Cutter) -> float:
    """The radius of an aid's corners: no larger than leaves the part under all that is engraved on it."""
    return min(cutter.corner_mm, _MOST_ROUND_MM)


def below_each_other(parts: Sequence[Drawing], gap_mm: float = _GAP_MM) -> Drawing:
    """Drawings in a column, the top left corner at the origin."""
    laid, top = Drawing(), 0.0
    for part in parts:
        if part.items:
            box = part.bounds()
            laid += part.shifted(-box.left, top - box.top)
            top += box.height + gap_mm
    return laid


def panel(aid: Aid, width: float) -> Drawing:
    """An aid with its words and its picture: beside a narrow part, below a wide one; the top left corner at the origin."""
    head = paragraph(wrapped(aid.said.title, LARGE, width), 0.0, 0.0, LARGE)
    top = head.bounds().bottom + _HEAD_GAP_MM
    parts = below_each_other(aid.parts)
    if parts.items and parts.bounds().width <= _BESIDE_SHARE * width:
        beside = min(_columns(aid, parts, width), key=lambda laid: laid.bounds().bottom)
        return below_each_other((head, beside, aid.table), top - head.bounds().bottom)
    if parts.items:
        head += parts.shifted(0.0, top)
        top = head.bounds().bottom + _GAP_MM
    picture = below_each_other((aid.picture,))
    left = width - picture.bounds().width
    return head + picture.shifted(left, top) + _words(aid, left - _COLUMN_MM).shifted(0.0, top)


def _columns(aid: Aid, parts: Drawing, width: float) -> Iterator[Drawing]:
    """Parts and words beside each other, the picture below either."""
    for column, below in ((below_each_other((parts, aid.picture)), Drawing()), (parts, aid.picture)):
        left = column.bounds().width + _COLUMN_MM
        yield column + below_each_other((_words(aid, width - left), below)).shifted(left, 0.0)


def _words(aid: Aid, width: float) -> Drawing:
    """Steps, and below them keys and sureness."""
    steps, about = steps_of(aid.said.steps, 0.0, 0.0, width), blocks(aid.said.about, 0.0, 0.0, width)
    return below_each_other((steps, about), _GAP_MM - 1.0)
