"""The picture of a fork in use: a banjo from above with its fork under the strings, drawn from the instrument's numbers.

The nut is to the left and the treble side up. The fork is the one that is printed, without its words, which would be too
small. It is planned like every drawing: y from the nut, x to the treble side; `_Frame` turns that into the picture.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from geometry.bridge import feet_outline_mm
from geometry.rim import RimPlace
from jigs.demo import fork_in_use_words as words
from jigs.demo.paint import Coat, to_svg, within
from jigs.drawing.arcs import Point, on_circle
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP
from jigs.instrument.usual import DOT_DIAMETER_MM, STRING_TO_EDGE_MM
from jigs.sheets.paper import PAPERS, room_on
from jigs.templates import fork
from jigs.templates.names import printed_name
from jigs.templates.options import Options
from jigs.wording import signed
from jigs.workup.board_edges import BoardEdges
from jigs.workup.on_the_top import rim_of
from jigs.workup.workup import Workup

STEM = "fork-in-use"
INSTRUMENT = "loan-banjo-7.toml"
"""A right-handed banjo whose rim was measured."""

FIRST_FRET = 12
"""The picture begins before the dots of this fret."""

LETTERS_MM, NUMBERS_MM = 6.0, 5.0
"""Large enough to read where the picture is 800 pixels wide."""

_NUMBERED, _LAST_TICK = 10, 14
"""Cents on the scale: with a number in the loupe, and where the leader ends."""

_LOUPE_MM, _LOUPE_TIMES, _LOUPE_SIDES = 44.0, 3.0, 180
_LOUPE_X_MM, _LOUPE_BEFORE_MM = -82.0, 285.0
"""The loupe's radius, how much it enlarges, its corners as a hole, and where it is: beside the neck, before the bridge."""

_MARGIN = 8.0
_ARROW_MM, _ARROW_HEAD_MM = 14.0, 5.0
_CARD_CORNER = 5.0
_QUARTER = math.tan(math.pi / 8)

_WHITE, _EDGE, _INK, _LEADER = "#ffffff", "#d0d7de", "#1f2328", "#57606a"
_HEAD, _METAL, _METAL_EDGE = "#fbf7ea", "#c3c8ce", "#6e7781"
_WOOD, _WOOD_EDGE, _FRET, _PEARL = "#5b4334", "#3d2c21", "#d9dde1", "#efeadb"
_WOOD_UNDER, _METAL_UNDER = "#a3acbb", "#aec0d8"
_PAPER, _PAPER_EDGE, _DOUBT, _ZERO = "#cfe2fb", "#1f5fb0", "#9dbfe8", "#c62828"
_MAPLE, _MAPLE_EDGE, _EBONY = "#e6c38d", "#7d5526", "#4a3526"
_STRING, _HALO = "#24292f", "#f6f8fa"


@dataclass(frozen=True)
class _Frame:
    """Where places of the instrument are in the picture: one of them, x and y, is ``at``, and all is ``times`` as large."""

    place: Point
    at: Point
    times: float = 1.0

    def point(self, place: Point) -> Point:
        """A place in the picture."""
        (x, y), (across, down) = self.place, self.at
        return across + (place[1] - y) * self.times, down - (place[0] - x) * self.times

    def placed(self, *parts: Item | Iterable[Item]) -> Drawing:
        """What was drawn in the instrument's frame, turned: the nut to the left."""
        return drawing(*parts).mapped(self.point)


def files(workup: Workup) -> dict[str, bytes]:
    """The picture of a right-handed banjo whose rim was measured, by its file's name."""
    rim, edges = _rim(workup), BoardEdges(workup)
    hoop = rim.near_mm - edges.end
    start, middle = _before(workup, FIRST_FRET), rim.head_mm / 2 + hoop + _MARGIN
    width, height = rim.far_mm + hoop + _MARGIN - start, 2 * middle
    frame = _Frame((0.0, start), (0.0, middle))
    printed, datum_fret = _fork(workup)
    coats = (
        *_card(width, height),
        *_pot(workup, frame, rim, hoop),
        *_neck(workup, frame, edges),
        *_fork_coats(frame, printed),
        *_seen_through(workup, frame, rim, edges, printed, datum_fret),
        *_fork_lines(frame, printed),
        *_bridge(workup, frame),
        *_strings(workup, frame),
        *_loupe(workup, frame, printed),
        *_labels(workup, frame, printed, datum_fret, width, height),
    )
    subject = words.subject(printed_name(workup, ""), datum_fret)
    return {f"{STEM}.svg": to_svg(coats, width, height, words.TITLE, subject)}


def _rim(workup: Workup) -> RimPlace:
    rim = rim_of(workup.instrument)
    assert rim is not None
    assert workup.instrument.head.hand == "right"
    return rim


def _before(workup: Workup, fret: int) -> float:
    """From the nut to the middle of the space before the one that ends at a fret."""
    return float(workup.from_nut_mm[fret - 3] + workup.from_nut_mm[fret - 2]) / 2


def _fork(workup: Workup) -> tuple[Drawing, int]:
    """The fork as it is printed on A4, back in the instrument's frame, and the fret that it lies against."""
    piece = fork.draw(workup, room_on(PAPERS["a4"]), Options())
    assert piece.datum_fret is not None
    of = {item.id: item for item in piece.drawing}
    edge, middle = of["datum"], of["centreline"]
    assert isinstance(edge, Line)
    assert isinstance(middle, Line)
    datum = float(workup.from_nut_mm[piece.datum_fret - 1]) + workup.instrument.head.fret_crown_width / 2
    return piece.drawing.shifted(-middle.start[0], datum - edge.start[1]), piece.datum_fret


def _outline(points: tuple[Point, ...], name: str = "") -> Path:
    return Path((points,), Role.GUIDE, name, closed=True)


def _card(width: float, height: float) -> Iterator[Coat]:
    """What all of it lies on, so that it can be read on a dark page."""
    r, half = _CARD_CORNER, 0.5
    right, foot = width - half, height - half
    sides = (half + r, half), (right - r, half), (right, half + r), (right, foot - r)
    others = (right - r, foot), (half + r, foot), (half, foot - r), (half, half + r)
    card = Path(((*sides, *others),), Role.GUIDE, closed=True, bulges=((0.0, _QUARTER) * 4,))
    yield Coat("card", drawing(card), _WHITE, _EDGE, 2 * half)


def _pot(workup: Workup, frame: _Frame, rim: RimPlace, hoop: float) -> Iterator[Coat]:
    """The head within its tension hoop, which is as wide as there is room for at the board's end, and the tailpiece."""
    centre = (0.0, rim.middle_mm)
    radius = rim.head_mm / 2
    yield Coat(
        "hoop", frame.placed(Circle(centre, radius + hoop, Role.GUIDE, "hoop-outside")), _METAL, _METAL_EDGE, 0.5
    )
    yield Coat("head", frame.placed(Circle(centre, radius, Role.GUIDE, "hoop-inside")), _HEAD, _METAL_EDGE, 0.5)
    front = _string_ends(workup)
    half = float(abs(workup.strings_at(front)).max()) + STRING_TO_EDGE_MM
    narrow = half / 2
    back = rim.middle_mm + math.sqrt((radius + hoop) ** 2 - narrow**2)
    plate = _outline(((half, front), (narrow, back), (-narrow, back), (-half, front)), "tailpiece-outline")
    yield Coat("tailpiece", frame.placed(plate), _METAL, _METAL_EDGE, 0.5)


def _string_ends(workup: Workup) -> float:
    """From the nut to where the strings end at the tailpiece."""
    return workup.line.centre_mm + workup.instrument.tail.afterlength


def _neck(workup: Workup, frame: _Frame, edges: BoardEdges) -> Iterator[Coat]:
    start, end, from_nut = frame.place[1], edges.end, workup.from_nut_mm.tolist()
    corners = (
        (edges.treble(start), start),
        (edges.treble(end), end),
        (edges.wide_bass(end), end),
        (edges.wide_bass(start), start),
    )
    yield Coat("board", frame.placed(_outline(corners)), _WOOD, _WOOD_EDGE, 0.5)
    dots: list[Item] = []
    for fret in (each for each in workup.instrument.dots if from_nut[each - 2] > start):
        y = (from_nut[fret - 2] + from_nut[fret - 1]) / 2
        apart = workup.instrument.board.nut_width / 4 if fret == workup.instrument.octave_fret else 0.0
        dots += [Circle((x, y), DOT_DIAMETER_MM / 2, Role.GUIDE) for x in sorted({-apart, apart})]
    yield Coat("dots", frame.placed(*dots), _PEARL)
    frets = (
        Line((edges.wide_bass(y), y), (edges.treble(y), y), Role.GUIDE, f"fret-{n}")
        for n, y in enumerate(from_nut, 1)
        if y > start
    )
    yield Coat("frets", frame.placed(*frets), line=_FRET, width_mm=workup.instrument.head.fret_crown_width)


def _fork_coats(frame: _Frame, printed: Drawing) -> Iterator[Coat]:
    """The fork in paper."""
    yield Coat("fork", frame.placed(_shape(printed)), _PAPER)


def _seen_through(
    workup: Workup, frame: _Frame, rim: RimPlace, edges: BoardEdges, printed: Drawing, datum_fret: int
) -> Iterator[Coat]:
    """What is under the stem, through the paper: the hoop, the board and its frets."""
    from_nut = workup.from_nut_mm.tolist()
    top = from_nut[datum_fret - 1] + workup.instrument.head.fret_crown_width / 2
    board = [(edges.treble(top), top), (edges.treble(edges.end), edges.end)]
    board += [(edges.wide_bass(edges.end), edges.end), (edges.wide_bass(top), top)]
    stem = _shape(printed).runs[0][0][0]
    across = np.linspace(stem, -stem, 9).tolist()
    radius = rim.head_mm / 2
    rings = [
        [(x, rim.middle_mm - math.sqrt(r**2 - x**2)) for x in across]
        for r in (radius + rim.near_mm - edges.end, radius)
    ]
    hoop = _outline((*rings[0], *reversed(rings[1])))
    yield Coat("hoop-through", frame.placed(hoop), _METAL_UNDER)
    yield Coat("board-through", frame.placed(_outline(tuple(board))), _WOOD_UNDER)
    frets = (Line((edges.wide_bass(y), y), (edges.treble(y), y), Role.GUIDE) for y in from_nut[datum_fret:])
    yield Coat("frets-through", frame.placed(frets), line=_PAPER, width_mm=workup.instrument.head.fret_crown_width)


def _fork_lines(frame: _Frame, printed: Drawing, wide: float = 1.0) -> Iterator[Coat]:
    """The fork's edge and its lines, ``wide`` times as wide."""

    def of(role: Role) -> Drawing:
        return frame.placed(item for item in printed if item.role is role)

    yield Coat("fork-doubt", of(Role.BAND), _DOUBT)
    yield Coat("fork-scale", of(Role.TICK), line=_PAPER_EDGE, width_mm=0.3 * wide)
    edge = frame.placed(replace(_shape(printed), id=""))
    yield Coat("fork-edge", edge, line=_PAPER_EDGE, width_mm=0.8 * wide)
    yield Coat("fork-line", of(Role.MARK), line=_ZERO, width_mm=1.2 * wide)


def _shape(printed: Drawing) -> Path:
    """The fork's outline, its top edge included, which the fork draws by itself."""
    outline = _named(printed, "fork-outline")
    assert isinstance(outline, Path)
    return replace(outline, closed=True)


def _named(drawn: Drawing, name: str) -> Item:
    return next(item for item in drawn if item.id == name)


def _bridge(workup: Workup, frame: _Frame) -> Iterator[Coat]:
    """The bridge on its line: the feet, and the crown over them."""
    bridge = workup.instrument.bridge
    reach = min(float(abs(workup.bridge_places_mm).max()) + STRING_TO_EDGE_MM, bridge.length / 2)
    feet = feet_outline_mm(workup.face_line, bridge.length, bridge.thickness).tolist()
    crown = feet_outline_mm(workup.line.shifted(bridge.crown / 2), 2 * reach, bridge.crown).tolist()
    yield Coat("bridge", frame.placed(_outline(tuple(feet), "feet")), _MAPLE, _MAPLE_EDGE, 0.5)
    yield Coat("bridge-crown", frame.placed(_outline(tuple(crown), "crown")), _EBONY)


def _strings(workup: Workup, frame: _Frame) -> Iterator[Coat]:
    """Each string in a light line, so that one sees it pass over what is below. All are drawn thicker than they are."""
    foot = _string_ends(workup)
    for n, entry in enumerate(workup.instrument.strings):
        runs = workup.string_runs(n, frame.place[1], foot)
        wide = 0.6 + entry.gauge
        name = f"string-{n + 1}"
        yield Coat(f"{name}-light", frame.placed(Path(runs, Role.GUIDE)), line=_HALO, width_mm=wide + 0.9)
        yield Coat(f"{name}-wire", frame.placed(Path(runs, Role.GUIDE, name)), line=_STRING, width_mm=wide)


def _near(frame: _Frame, printed: Drawing) -> _Frame:
    """The loupe's frame: in its middle that of the line on the bass leg."""
    (x, y), (u, v) = _legs(printed)[1]
    middle = (x + u) / 2, (y + v) / 2
    return _Frame(middle, frame.point((_LOUPE_X_MM, middle[1] - _LOUPE_BEFORE_MM)), _LOUPE_TIMES)


def _loupe(workup: Workup, frame: _Frame, printed: Drawing) -> Iterator[Coat]:
    """The bass leg beside the end of the feet, enlarged in a circle, with numbers on its scale."""
    near = _near(frame, printed)
    small, large, radius = frame.point(near.place), near.at, _LOUPE_MM / _LOUPE_TIMES
    way = drawing(Circle(small, radius, Role.GUIDE), _between(small, radius, large, _LOUPE_MM))
    yield Coat("loupe-way", way, line=_LEADER, width_mm=0.6)
    yield Coat("loupe", drawing(Circle(large, _LOUPE_MM, Role.GUIDE)), _HEAD)
    hole = tuple(on_circle(large, _LOUPE_MM, 2 * math.pi * n / _LOUPE_SIDES) for n in range(_LOUPE_SIDES))
    for coat in (*_fork_coats(near, printed), *_fork_lines(near, printed, 1.6), *_bridge(workup, near)):
        yield replace(coat, name=f"loupe-{coat.name}", drawing=within(coat.drawing, hole))
    numbers = ((0, _legs(printed)[1][0]), *((cents, _tick_end(printed, cents)) for cents in (-_NUMBERED, _NUMBERED)))
    at = ((cents, near.point(place)) for cents, place in numbers)
    below = 1.5 * NUMBERS_MM
    texts = (
        Text((x, y + below), signed(cents, 0) if cents else "0", NUMBERS_MM, Anchor.MIDDLE) for cents, (x, y) in at
    )
    yield Coat("loupe-numbers", drawing(texts), _INK)
    yield Coat("loupe-ring", drawing(Circle(large, _LOUPE_MM, Role.GUIDE)), line=_LEADER, width_mm=1.0)


def _tick_end(printed: Drawing, cents: int) -> Point:
    """The outer end of a line of the scale on the bass leg."""
    tick = _named(printed, f"cents-bass-{cents}")
    assert isinstance(tick, Line)
    return tick.end


def _legs(printed: Drawing) -> tuple[tuple[Point, Point], tuple[Point, Point]]:
    """The ends of the line that the feet meet, on the treble leg and on the bass leg, the outer one first."""
    line = _named(printed, "bridge-line")
    assert isinstance(line, Path)
    treble, bass = (sorted(run, key=lambda place: -abs(place[0])) for run in line.runs)
    return (treble[0], treble[1]), (bass[0], bass[1])


def _between(start: Point, from_edge: float, end: Point, to_edge: float) -> Line:
    """The line between two circles, on the line through their middles."""
    length = math.dist(start, end)

    def at(share: float) -> Point:
        return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share

    return Line(at(from_edge / length), at(1 - to_edge / length), Role.GUIDE)


def _labels(
    workup: Workup, frame: _Frame, printed: Drawing, datum_fret: int, width: float, height: float
) -> Iterator[Coat]:
    """Words with the lines that lead from them, and which way nut and tail are."""
    labels = tuple(_notes(workup, frame, printed, datum_fret))
    leaders = tuple(Line(label.start, label.end, Role.GUIDE) for label in labels)
    level = height - _MARGIN - LETTERS_MM / 2
    to_nut, to_tail = _arrow((_MARGIN, level), -1), _arrow((width - _MARGIN, level), 1)
    beside, foot = _MARGIN + _ARROW_MM + LETTERS_MM / 2, height - _MARGIN
    ways = (
        Text((beside, foot), words.TO_NUT, LETTERS_MM),
        Text((width - beside, foot), words.TO_TAIL, LETTERS_MM, Anchor.END),
    )
    yield Coat("leaders", drawing(leaders, (to_nut[0], to_tail[0])), line=_LEADER, width_mm=0.6)
    dots = (Circle(line.end, 1.1, Role.GUIDE) for line in leaders)
    yield Coat("leader-ends", drawing(dots, (to_nut[1], to_tail[1])), _LEADER)
    yield Coat("words", drawing(*(label.texts() for label in labels), ways), _INK)


def _arrow(tip: Point, way: int) -> tuple[Line, Path]:
    """An arrow to the left or to the right: its shaft, and its head."""
    (x, y), half = tip, _ARROW_HEAD_MM / 2
    back = x - way * _ARROW_HEAD_MM
    return Line((x - way * _ARROW_MM, y), (back, y), Role.GUIDE), _outline((tip, (back, y + half), (back, y - half)))


@dataclass(frozen=True)
class _Label:
    """Words below each other and a line from ``start`` to the ``end`` at what they name.

    The words are over the line's start, centred ``aside`` of it, or to the right of it.
    """

    lines: tuple[str, ...]
    start: Point
    end: Point
    aside: float = 0.0
    to_the_right: bool = False

    def texts(self) -> Iterator[Text]:
        """The words, line by line."""
        x, y = self.start
        step = LETTERS_MM * LINE_STEP
        foot = y + LETTERS_MM / 2 if self.to_the_right else y - LETTERS_MM / 2 - step * (len(self.lines) - 1)
        across = x + LETTERS_MM / 2 if self.to_the_right else x + self.aside
        anchor = Anchor.START if self.to_the_right else Anchor.MIDDLE
        for n, line in enumerate(self.lines):
            yield Text((across, foot + n * step), line, LETTERS_MM, anchor)


def _notes(workup: Workup, frame: _Frame, printed: Drawing, datum_fret: int) -> Iterator[_Label]:
    """What is named, from the nut on."""
    fret, face = float(workup.from_nut_mm[datum_fret - 1]), workup.face_line.centre_mm
    x, y = frame.point((BoardEdges(workup).treble(fret), fret))
    yield _Label(words.edge(datum_fret), (x, y - 48.0), (x, y), aside=-30.0)
    x, y = frame.point((_shape(printed).runs[0][0][0] - 3.0, face - 97.0))
    yield _Label((words.FORK,), (x, y - 37.0), (x, y))
    x, y = frame.point(_legs(printed)[0][1])
    yield _Label(words.FEET, (x + 18.0, y - 45.0), (x, y))
    x, y = _near(frame, printed).point(_tick_end(printed, _LAST_TICK))
    yield _Label((words.SCALE,), (x + 20.0, y + 6.0), (x, y), to_the_right=True)
