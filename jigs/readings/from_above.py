"""A bridge that moves, seen from above: what the pictures of a move share. Nut at the top, y down, towards the tail.

A move is a millimetre or two on a bridge of seventy, so a picture is larger along the neck than across, and says how much.
At that size a bridge's thickness would be seven centimetres of wood, so only the line of its crown is drawn, where the
strings bear. Everything is laid out for a right-handed instrument and mirrored at the end.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.bridge import BridgeLine
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Path, Role, Text, drawing
from jigs.drawing.lettering import LARGE, LARGEST, LINE_STEP, MEDIUM, width_mm
from jigs.readings.advice import ENDS
from jigs.workup.workup import Workup

TIMES = (1, 2, 5, 10, 20, 50, 100)
"""How many times larger a picture may be along the neck than across."""

BEYOND_MM, GAP_MM, RING_MM = 7.0, 3.0, 1.5
_MOST_MOVE, _MOST_SPREAD = 30.0, 70.0
_LEAST_ARROW, _HEAD, _HEAD_HALF, _SHAFT_HALF = 1.6, 3.6, 1.9, 0.7
_END_CAP = 1.6
_BESIDE = 2.0

HEIGHTS = (MEDIUM, LARGE), (LARGE, LARGEST)
"""Of the words and of the figures: the small ones, and those of a wide picture."""


@dataclass(frozen=True)
class Word:
    """A line of words at an end of the bridge."""

    text: str
    large: bool = False


@dataclass(frozen=True)
class BridgeFrame:
    """Where places are in the picture: ``times`` as large along the neck, y = 0 at ``zero_mm`` from the nut.

    ``words_mm`` and ``figures_mm`` are lettering heights, large enough for a telephone that shows the whole width.
    """

    workup: Workup
    times: int
    zero_mm: float
    words_mm: float
    figures_mm: float

    def height_mm(self, word: Word) -> float:
        """Lettering height of a word."""
        return self.figures_mm if word.large else self.words_mm

    def y(self, line: BridgeLine, x: float) -> float:
        """How far down a bridge line lies at x."""
        return self.times * (line.centre_mm + line.slope * x - self.zero_mm)

    def ends(self, line: BridgeLine) -> tuple[Point, Point]:
        """The ends of a bridge on its line, treble first."""
        half = _half_mm(self.workup, line)
        return (half, self.y(line, half)), (-half, self.y(line, -half))

    def string_x(self, end: str) -> float:
        """Where the string at an end is."""
        return float(self.workup.outer_mm[ENDS.index(end)])


def ends_of(workup: Workup) -> tuple[str, ...]:
    """The ends of the bridge: both, or one where a single string is all there is."""
    return ENDS if workup.outer_strings[0] != workup.outer_strings[1] else ENDS[:1]


def _half_mm(workup: Workup, line: BridgeLine) -> float:
    """How far the bridge reaches across, to either side."""
    return workup.instrument.bridge.length / 2 / math.hypot(1.0, line.slope)


def times_for(
    workup: Workup, lines: Sequence[BridgeLine], moves_mm: Sequence[float], choices: Sequence[int] = TIMES
) -> int:
    """How much larger along the neck: as much as the moves and the slants allow; of the choices, which begin with 1."""
    ends = [line.centre_mm + side * line.slope * _half_mm(workup, line) for line in lines for side in (1, -1)]
    most, spread = max(map(abs, moves_mm)), max(ends) - min(ends)
    return max(n for n in choices if n == 1 or (n * most <= _MOST_MOVE and n * spread <= _MOST_SPREAD))


def to_nut(text: str, foot: float, height: float) -> Drawing:
    """Which way the nut is: words beside an arrow that ends at ``foot``."""
    long, head = 1.7 * height, 0.75 * height
    x, tip = -width_mm(text, height) / 2 - _BESIDE - head / 3, foot - long
    wings = ((x - head / 3, tip + head), (x, tip), (x + head / 3, tip + head))
    arrow = Path((((x, foot), (x, tip)), wings), Role.MARK, "to-nut")
    return drawing(arrow, Text((0.0, foot - (long - height) / 2), text, height, Anchor.MIDDLE))


def string_runs(workup: Workup, pole: float, top: float, foot: float) -> Iterator[Item]:
    """The strings, nearly parallel here; the outer ones reach up to the words beside them."""
    for n, entry in enumerate(workup.instrument.strings):
        is_end = n in workup.outer_strings
        start = pole if is_end else top
        places = workup.bridge_places_mm[n].tolist()[: 2 if entry.pair else 1]
        runs = tuple(((x, start), (x, foot)) for x in places)
        yield Path(runs, Role.GUIDE if is_end else Role.FINE, f"string-{n + 1}")


def crown(frame: BridgeFrame, line: BridgeLine, role: Role, name: str) -> Path:
    """The line of a crown, with a stroke across at each end of the bridge."""
    ends = frame.ends(line)
    caps = (((x, y - _END_CAP), (x, y + _END_CAP)) for x, y in ends)
    return Path((ends, *caps), role, name)


def move(frame: BridgeFrame, end: str, before: BridgeLine, after: BridgeLine) -> Iterator[Item]:
    """What an end does: an arrow along its string, or a ring where it stays."""
    x, name = frame.string_x(end), f"move-{end}"
    start, tip = (x, frame.y(before, x)), (x, frame.y(after, x))
    if abs(tip[1] - start[1]) < _LEAST_ARROW:
        yield Circle(tip, RING_MM, Role.MARK, name)
        return
    outline = (_arrow(start, tip),)
    yield Path(outline, Role.BAND, closed=True)
    yield Path(outline, Role.MARK, name, closed=True)


def _arrow(start: Point, tip: Point) -> tuple[Point, ...]:
    """The outline of an arrow along the neck, its tip first."""
    x, back = tip[0], start[1] - tip[1]
    neck = tip[1] + math.copysign(min(_HEAD, 0.6 * abs(back)), back)
    right = ((_HEAD_HALF, neck), (_SHAFT_HALF, neck), (_SHAFT_HALF, start[1]))
    left = tuple((-half, y) for half, y in reversed(right))
    return (tip, *((x + half, y) for half, y in (*right, *left)))


def flag_height_mm(frame: BridgeFrame, words: Sequence[Word]) -> float:
    """Height of the words of an end."""
    return sum(map(frame.height_mm, words)) * LINE_STEP


def flag(frame: BridgeFrame, end: str, words: Sequence[Word], top: float) -> Iterator[Text]:
    """The words of an end, outside its string."""
    places = frame.workup.bridge_places_mm[frame.workup.outer_strings[ENDS.index(end)]]
    treble = end == ENDS[0]
    x = float(places.max()) + _BESIDE if treble else float(places.min()) - _BESIDE
    for line in words:
        height = frame.height_mm(line)
        yield Text((x, top + height), line.text, height, Anchor.START if treble else Anchor.END)
        top += height * LINE_STEP
