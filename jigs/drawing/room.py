"""The room that a drawing has, where a part goes in it, and the refusal of one that is too small."""

from dataclasses import dataclass, replace

from jigs.drawing.items import Box, Drawing, strokes

HEADING_MM = 21.0
"""Height at the top of a sheet for the job as a title in a line of its own, and the datum below it."""

BESIDE_MM = 85.0
NARROW_BESIDE_MM = 58.0
"""Room for the heading left of a part: as much as looks good, and the least that its words need."""

BESIDE_DOWN_MM = 48.0
_CLEAR_MM = 4.0
_RULER_CLEAR_MM = 1.0


@dataclass(frozen=True)
class Room:
    """What a template may fill: ``width`` by ``height`` mm, less a corner at the top right for a ruler.

    The heading goes into it too: in a line over the drawing, or left of it.
    """

    width: float
    height: float
    corner_width: float
    corner_height: float

    @property
    def beside_ruler(self) -> float:
        """Width that is left beside the ruler."""
        return self.width - self.corner_width

    @property
    def without_ruler(self) -> "Room":
        """The same on a sheet that is not at true size, which has no rulers."""
        return replace(self, corner_width=0.0, corner_height=0.0)


class DoesNotFit(Exception):
    """The room is too small; the message says what does not fit."""


def placed(part: Drawing, room: Room, too_large: str, over_ruler: str) -> Drawing:
    """A part in its room, so that its heading fits left of it or over it.

    The part goes as far to the right as the ruler lets it, because its words are left of it. Raises `DoesNotFit` with one
    of the two reasons: it is ``too_large``, or it would lie ``over_ruler``.
    """
    box = part.bounds()
    if box.width > room.width or box.height > room.height:
        raise DoesNotFit(too_large)
    boxes = [stroke for item in part for stroke in strokes(item)]
    ways = ((0.0, BESIDE_MM + _CLEAR_MM), (HEADING_MM, 0.0), (0.0, NARROW_BESIDE_MM + _CLEAR_MM))
    for top, beside in ways:
        down = top - box.top
        across = _rightmost(boxes, box, down, room)
        left = min(stroke.left for stroke in boxes if stroke.top + down < BESIDE_DOWN_MM) + across
        if box.height + top <= room.height and across + box.left >= 0.0 and left >= beside:
            return part.shifted(across, down)
    raise DoesNotFit(too_large if box.height + HEADING_MM > room.height else over_ruler)


def _rightmost(boxes: list[Box], whole: Box, down: float, room: Room) -> float:
    """How far across a part may go: to the room's right edge, and to the ruler as far down as that reaches."""
    beside = [stroke.right for stroke in boxes if stroke.top + down < room.corner_height + _RULER_CLEAR_MM]
    limit = room.width - whole.right
    return min(limit, room.beside_ruler - _RULER_CLEAR_MM - max(beside)) if beside else limit
