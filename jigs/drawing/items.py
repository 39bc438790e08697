"""One drawing, many destinations: lines, paths and words in millimetres, each with a role and perhaps an id.

A template says what a line *is* (an edge to cut, a mark, a centreline). The styles say how that looks and on
which layer it lies. The exporters write it in their format. A drawing knows no instrument and no paper.
The frame is the page's: x to the right, y down.
"""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain, pairwise
from typing import TypeAlias

from jigs.drawing.arcs import Point, extremes, flattened
from jigs.drawing.lettering import DESCENT_PER_CAPITAL, LINE_STEP, width_mm

Segment: TypeAlias = tuple[Point, Point, float]
"""Start, end and bulge of a straight or round piece of a path."""

_CLIPPED_ARCS_MM = 0.0005


class Role(StrEnum):
    """What an item is."""

    CUT = "cut"
    MARK = "mark"
    TICK = "tick"
    GUIDE = "guide"
    FINE = "fine"
    PROVISIONAL = "provisional"
    CENTRE = "centre"
    TEXT = "text"
    ENGRAVED = "engraved"
    DRILL = "drill"
    BAND = "band"


class Layer(StrEnum):
    """Where an item lies in a file, from the bottom up."""

    GUIDE = "guide"
    SCORE = "score"
    CUT = "cut"
    ENGRAVE = "engrave"
    DRILL = "drill"
    TEXT = "text"


PAPER_LAYERS = frozenset((Layer.GUIDE, Layer.SCORE, Layer.CUT, Layer.TEXT))
"""The layers that every sheet has. It has others only where something lies on them."""

CUT_LAYERS = tuple(layer for layer in Layer if layer is not Layer.TEXT)
"""The layers that every cut file has. It has no other: words are strokes there."""

BLACK = "#000000"


@dataclass(frozen=True)
class Style:
    """Line width and dashes in mm, the layer, and colours as red, green and blue in hexadecimal; a fill has no line."""

    layer: Layer
    width_mm: float
    dashes_mm: tuple[float, ...] = ()
    colour: str = BLACK
    fill: str = ""


WIDE, MEDIUM, NARROW, FINE = 0.7, 0.35, 0.25, 0.18
"""Line widths of ISO 128-2, mm."""

STYLES = {
    Role.CUT: Style(Layer.CUT, WIDE),
    Role.MARK: Style(Layer.SCORE, MEDIUM),
    Role.TICK: Style(Layer.SCORE, FINE),
    Role.GUIDE: Style(Layer.GUIDE, NARROW),
    Role.FINE: Style(Layer.GUIDE, FINE),
    Role.PROVISIONAL: Style(Layer.GUIDE, NARROW, (3.0, 0.75)),
    Role.CENTRE: Style(Layer.GUIDE, FINE, (4.3, 0.6, 0.4, 0.6)),
    Role.TEXT: Style(Layer.TEXT, 0.0),
    Role.ENGRAVED: Style(Layer.ENGRAVE, NARROW),
    Role.DRILL: Style(Layer.DRILL, NARROW),
    Role.BAND: Style(Layer.GUIDE, 0.0, fill="#cccccc"),
}
"""After ISO 128-2: wide for edges, narrow for marks, dashes of 12 and 3 widths, chains of 24 and 3 with a dot between. The
dot is longer than the standard's half width, which a home printer loses."""


class Anchor(StrEnum):
    """Which point of a text its place is."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    role: Role
    id: str = ""


@dataclass(frozen=True)
class Path:
    """One or more runs of lines and arcs, drawn as one item; ``closed`` joins each run's ends.

    ``bulges`` has, for each point of each run, the bulge of the piece that leaves it (arcs.py); empty if all is straight.
    """

    runs: tuple[tuple[Point, ...], ...]
    role: Role
    id: str = ""
    closed: bool = False
    bulges: tuple[tuple[float, ...], ...] = ()

    def pieces(self) -> Iterator[list[Segment]]:
        """Each run as pieces: start, end and bulge."""
        for n, run in enumerate(self.runs):
            bulges = self.bulges[n] if self.bulges else (0.0,) * len(run)
            ends = (*run[1:], run[0]) if self.closed else run[1:]
            yield list(zip(run, ends, bulges, strict=False))

    def flattened(self, within_mm: float) -> "Path":
        """The path with its arcs as chords that leave them by no more than ``within_mm``."""
        if not self.bulges:
            return self
        runs = []
        for run, pieces in zip(self.runs, self.pieces(), strict=True):
            points = [run[0], *chain.from_iterable(flattened(*piece, within_mm) for piece in pieces)]
            runs.append(tuple(points[:-1] if self.closed else points))
        return replace(self, runs=tuple(runs), bulges=())


@dataclass(frozen=True)
class Circle:
    """A circle."""

    centre: Point
    radius: float
    role: Role
    id: str = ""


@dataclass(frozen=True)
class Text:
    """A line of text: ``at`` is on its base line, ``height_mm`` a capital's, ``angle_deg`` clockwise."""

    at: Point
    text: str
    height_mm: float
    anchor: Anchor = Anchor.START
    angle_deg: float = 0.0
    id: str = ""
    role: Role = Role.TEXT


Item: TypeAlias = Line | Path | Circle | Text


@dataclass(frozen=True)
class Box:
    """A rectangle along the axes."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    def overlaps(self, other: "Box", gap: float = 0.0) -> bool:
        """Whether the two come nearer than ``gap``."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )


@dataclass(frozen=True)
class Drawing:
    """Items in the order in which they are drawn."""

    items: tuple[Item, ...] = ()

    def __add__(self, other: "Drawing") -> "Drawing":
        return Drawing(self.items + other.items)

    def __iter__(self) -> Iterator[Item]:
        return iter(self.items)

    def mapped(self, move: Callable[[Point], Point], mirrored: bool = False, turn_deg: float = 0.0) -> "Drawing":
        """The drawing with every point moved. Text is never mirrored: only its place and anchor are."""
        return Drawing(tuple(_mapped(item, move, mirrored, turn_deg) for item in self.items))

    def clipped(self, top: float, bottom: float) -> "Drawing":
        """What lies between two heights: lines are cut there, words and circles are kept whole or dropped."""
        kept = (_clipped(item, top, bottom) for item in self.items)
        return Drawing(tuple(item for item in kept if item is not None))

    def shifted(self, across: float, down: float) -> "Drawing":
        """The drawing, moved."""
        return Drawing(tuple(_shifted(item, across, down) for item in self.items))

    def mirrored(self) -> "Drawing":
        """Left for right, about x = 0."""
        return self.mapped(lambda p: (-p[0], p[1]), mirrored=True)

    def turned(self) -> "Drawing":
        """A quarter turn clockwise about the origin: what ran across runs down."""
        return self.mapped(lambda p: (-p[1], p[0]), turn_deg=90.0)

    def bounds(self) -> Box:
        """The smallest box round everything, without line widths. Raises ValueError when there is nothing."""
        boxes = [bounds(item) for item in self.items]
        if not boxes:
            raise ValueError("an empty drawing has no bounds")
        return Box(
            min(b.left for b in boxes),
            min(b.top for b in boxes),
            max(b.right for b in boxes),
            max(b.bottom for b in boxes),
        )


def drawing(*parts: Item | Iterable[Item]) -> Drawing:
    """One drawing of items and of drawings."""
    return Drawing(tuple(chain.from_iterable((p,) if isinstance(p, Line | Path | Circle | Text) else p for p in parts)))


_BEFORE_ANCHOR = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}


def anchor_mm(text: Text) -> float:
    """How much of a text's width lies before its place."""
    before = _BEFORE_ANCHOR[text.anchor]
    return before and before * width_mm(text.text, text.height_mm)


def bounds(item: Item) -> Box:
    """The smallest box round an item, without its line width."""
    if isinstance(item, Text) and not item.angle_deg:
        (x, y), width, before = item.at, width_mm(item.text, item.height_mm), anchor_mm(item)
        return Box(x - before, y - item.height_mm, x + (width - before), y + item.height_mm * DESCENT_PER_CAPITAL)
    return _box(_corners(item))


def _box(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def strokes(item: Item) -> Iterator[Box]:
    """A box for each piece of an item, or for a text: what takes room on the page."""
    if isinstance(item, Path):
        for start, end, bulge in chain.from_iterable(item.pieces()):
            yield _box(extremes(start, end, bulge) if bulge else (start, end))
    else:
        yield bounds(item)


def _corners(item: Item) -> list[Point]:
    if isinstance(item, Line):
        return [item.start, item.end]
    if isinstance(item, Path) and item.bulges:
        return [point for piece in chain.from_iterable(item.pieces()) for point in extremes(*piece)]
    if isinstance(item, Path):
        return [point for run in item.runs for point in run]
    if isinstance(item, Circle):
        (x, y), r = item.centre, item.radius
        return [(x - r, y - r), (x + r, y + r)]
    width = width_mm(item.text, item.height_mm)
    left = -anchor_mm(item)
    cos, sin = math.cos(math.radians(item.angle_deg)), math.sin(math.radians(item.angle_deg))
    corners = [(x, y) for x in (left, left + width) for y in (-item.height_mm, item.height_mm * DESCENT_PER_CAPITAL)]
    return [(item.at[0] + x * cos - y * sin, item.at[1] + x * sin + y * cos) for x, y in corners]


def _clipped(item: Item, top: float, bottom: float) -> Item | None:
    box = bounds(item)
    if top <= box.top and box.bottom <= bottom:
        return item
    if isinstance(item, Line):
        piece = _clipped_piece(item.start, item.end, top, bottom)
        return replace(item, start=piece[0], end=piece[1]) if piece else None
    if isinstance(item, Path):
        item = item.flattened(_CLIPPED_ARCS_MM)
        pieces = (_clipped_run(run, item.closed, top, bottom) for run in item.runs)
        runs = tuple(chain.from_iterable(pieces))
        return replace(item, runs=runs, closed=False) if runs else None
    return None


def _clipped_run(run: tuple[Point, ...], closed: bool, top: float, bottom: float) -> list[tuple[Point, ...]]:
    """What is left of a run, joined up again where nothing was cut away."""
    kept: list[list[Point]] = []
    for start, end in pairwise((*run, run[0]) if closed else run):
        piece = _clipped_piece(start, end, top, bottom)
        if piece and kept and kept[-1][-1] == piece[0]:
            kept[-1].append(piece[1])
        elif piece:
            kept.append(list(piece))
    return [tuple(points) for points in kept]


def _clipped_piece(start: Point, end: Point, top: float, bottom: float) -> tuple[Point, Point] | None:
    low, high = sorted((start[1], end[1]))
    if high < top or low > bottom or (low == high and not top <= low <= bottom):
        return None

    def at(level: float) -> Point:
        share = (level - start[1]) / (end[1] - start[1])
        return start[0] + (end[0] - start[0]) * share, level

    def held(point: Point) -> Point:
        level = min(max(point[1], top), bottom)
        return point if level == point[1] else at(level)

    piece = held(start), held(end)
    return piece if piece[0] != piece[1] else None


_OTHER_SIDE = {Anchor.START: Anchor.END, Anchor.END: Anchor.START, Anchor.MIDDLE: Anchor.MIDDLE}


def _mapped(item: Item, move: Callable[[Point], Point], mirrored: bool, turn_deg: float) -> Item:
    if isinstance(item, Line):
        return Line(move(item.start), move(item.end), item.role, item.id)
    if isinstance(item, Path):
        bulges = tuple(tuple(-b for b in run) for run in item.bulges) if mirrored else item.bulges
        runs = tuple(tuple(map(move, run)) for run in item.runs)
        return Path(runs, item.role, item.id, item.closed, bulges)
    if isinstance(item, Circle):
        return Circle(move(item.centre), item.radius, item.role, item.id)
    anchor = _OTHER_SIDE[item.anchor] if mirrored else item.anchor
    turned = item.angle_deg + turn_deg
    return Text(move(item.at), item.text, item.height_mm, anchor, turned, item.id, item.role)


def _shifted(item: Item, across: float, down: float) -> Item:
    """As `_mapped`: every block of words and every part is shifted several times on its way to a sheet."""
    if isinstance(item, Text):
        x, y = item.at
        return Text((x + across, y + down), item.text, item.height_mm, item.anchor, item.angle_deg, item.id, item.role)
    if isinstance(item, Path):
        runs = tuple([tuple([(x + across, y + down) for x, y in run]) for run in item.runs])
        return Path(runs, item.role, item.id, item.closed, item.bulges)
    return _mapped(item, lambda p: (p[0] + across, p[1] + down), mirrored=False, turn_deg=0.0)


def paragraph(
    lines: Iterable[str], left: float, top: float, height_mm: float, anchor: Anchor = Anchor.START
) -> Drawing:
    """Lines of text below each other; ``top`` is where the first line's capitals end."""
    step = height_mm * LINE_STEP
    return Drawing(
        tuple(Text((left, top + height_mm + n * step), line, height_mm, anchor) for n, line in enumerate(lines))
    )


def paragraph_height_mm(lines: int, height_mm: float) -> float:
    """From the first line's capitals down to the last base line.

    >>> round(paragraph_height_mm(2, 2.5), 2)
    6.75
    """
    return height_mm * (1 + (lines - 1) * LINE_STEP) if lines else 0.0


def with_single_ids(laid: Drawing) -> Drawing:
    """The drawing in which only the first item with an id keeps it."""
    seen: set[str] = set()
    items: list[Item] = []
    for item in laid:
        items.append(replace(item, id="") if item.id in seen else item)
        seen.add(item.id)
    return Drawing(tuple(items))
