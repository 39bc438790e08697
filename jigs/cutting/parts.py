"""Parts that are cut from stock: an outline with windows in it, its corners rounded, and the cutter's kerf allowed for.

Knows millimetres and paths, no instrument and no file format. A part is drawn as it must be after cutting; `compensated`
gives the lines that the middle of the beam, blade or bit follows to leave it so.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from jigs.drawing.arcs import Arc, Point, arc_of, bulge_between
from jigs.drawing.items import Drawing, Path, Role, Segment, drawing

if TYPE_CHECKING:
    from shapely import Polygon

CHORDS_WITHIN_MM = 5e-5
"""How far the chords that stand for an arc while it is offset leave it."""

_ON_CIRCLE_MM = 1e-3
_CRUMB_MM = 0.005
_LEAST_RADIUS_MM = 0.002
_MITRE_LIMIT = 20.0
_LEAST_TURN = 1e-9
_SAME_MM = 1e-7


class CutError(ValueError):
    """A part that cannot be cut as it is.

    Codes: lines-cross, window-over-edge, web-too-small, kerf-too-wide. ``lines``: ids of the paths at fault. ``mm``: the
    stock that would be left, or the kerf. ``web_mm``: the least stock to leave.
    """

    def __init__(self, code: str, lines: Sequence[str] = (), mm: float = 0.0, web_mm: float = 0.0) -> None:
        super().__init__(code, tuple(lines), mm, web_mm)
        self.code = code
        self.lines = tuple(lines)
        self.mm = mm
        self.web_mm = web_mm


@dataclass(frozen=True)
class Corner:
    """A corner of an outline: rounded with ``radius``; the piece that leaves it has a ``bulge`` (arcs.py)."""

    at: Point
    radius: float = 0.0
    bulge: float = 0.0


@dataclass(frozen=True)
class CutPart:
    """A part as it must be after cutting: closed paths of one run each."""

    outline: Path
    windows: tuple[Path, ...] = ()

    def mirrored(self) -> "CutPart":
        """Left for right, about x = 0."""
        outline, *windows = (
            item for item in Drawing((self.outline, *self.windows)).mirrored() if isinstance(item, Path)
        )
        return CutPart(outline, tuple(windows))


def closed_path(corners: Sequence[Corner], name: str) -> Path:
    """The closed path through corners, each rounded as far as half of the shorter edge beside it allows."""
    points: list[Point] = []
    bulges: list[float] = []
    for n, corner in enumerate(corners):
        before, after = corners[n - 1], corners[(n + 1) % len(corners)]
        rounded = None if corner.bulge or before.bulge else _fillet(before.at, corner, after.at)
        if rounded is None:
            points.append((float(corner.at[0]), float(corner.at[1])))
            bulges.append(corner.bulge)
        else:
            start, end, bulge = rounded
            points += [start, end]
            bulges += [bulge, 0.0]
    real = [n for n, at in enumerate(points) if bulges[n] or math.dist(at, points[(n + 1) % len(points)]) > _SAME_MM]
    run, kept = tuple(points[n] for n in real), tuple(bulges[n] for n in real)
    return Path((run,), Role.CUT, name, closed=True, bulges=(kept,))


def round_hole(centre: Point, radius: float, name: str) -> Path:
    """A round window, in quarters."""
    (x, y), quarter = centre, math.tan(math.pi / 8)
    run = ((x - radius, y), (x, y - radius), (x + radius, y), (x, y + radius))
    return Path((run,), Role.CUT, name, closed=True, bulges=((quarter,) * 4,))


def _fillet(before: Point, corner: Corner, after: Point) -> Segment | None:
    """The arc that rounds a corner between straight edges: t = r tan(turn/2) along each, bulge tan(turn/4)."""
    to_it = (corner.at[0] - before[0], corner.at[1] - before[1])
    from_it = (after[0] - corner.at[0], after[1] - corner.at[1])
    lengths = math.hypot(*to_it), math.hypot(*from_it)
    turn = math.atan2(to_it[0] * from_it[1] - to_it[1] * from_it[0], to_it[0] * from_it[0] + to_it[1] * from_it[1])
    along = min(corner.radius * math.tan(abs(turn) / 2), *(length / 2 for length in lengths))
    if along < _LEAST_TURN:
        return None
    start = tuple(c - d * along / lengths[0] for c, d in zip(corner.at, to_it, strict=True))
    end = tuple(c + d * along / lengths[1] for c, d in zip(corner.at, from_it, strict=True))
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1])), math.tan(turn / 4)


def check(part: CutPart, web_mm: float) -> None:
    """Refuse a part whose lines cross, whose windows reach out of it, or that leaves too little stock anywhere.

    Raises `CutError`. ``web_mm`` is the least stock between two windows, and between a window and the edge.
    """
    outline, *windows = (_polygon(path) for path in (part.outline, *part.windows))
    for path, shape in zip((part.outline, *part.windows), (outline, *windows), strict=True):
        if not shape.is_valid:
            raise CutError("lines-cross", (path.id,))
    for path, window in zip(part.windows, windows, strict=True):
        if not outline.contains(window):
            raise CutError("window-over-edge", (path.id,))
        _least_web(outline.exterior.distance(window), (path.id,), web_mm)
    for (path, window), (other_path, other) in combinations(zip(part.windows, windows, strict=True), 2):
        _least_web(window.distance(other), (path.id, other_path.id), web_mm)


def _least_web(stock_mm: float, lines: tuple[str, ...], web_mm: float) -> None:
    if stock_mm < web_mm - CHORDS_WITHIN_MM:
        raise CutError("web-too-small", lines, stock_mm, web_mm)


def compensated(part: CutPart, kerf_mm: float) -> Drawing:
    """The lines to follow: outlines grown and windows shrunk by half the kerf, arcs kept as arcs.

    Outlines run from x to y (clockwise on the page), windows the other way. Corners stay sharp where the part's are.
    Raises `CutError` when a window is too narrow for the kerf.
    """
    windows = tuple(_wound(path, onward=True) for path in part.windows)
    outline = _wound(part.outline, onward=True)
    if kerf_mm:
        outline, windows = _offset(outline, windows, kerf_mm / 2)
    return drawing(outline, (_wound(path, onward=False) for path in windows))


def _offset(outline: Path, windows: tuple[Path, ...], by_mm: float) -> tuple[Path, tuple[Path, ...]]:
    from shapely import Polygon

    part = Polygon(_points(outline), [_points(path) for path in windows])
    grown = part.buffer(by_mm, join_style="mitre", mitre_limit=_MITRE_LIMIT)
    rings = [] if not isinstance(grown, Polygon) else [Polygon(ring) for ring in grown.interiors]
    if len(rings) != len(windows):
        raise CutError("kerf-too-wide", mm=2 * by_mm)
    mine = [next(ring for ring in rings if _polygon(path).contains(ring)) for path in windows]
    return (
        _with_arcs(outline, grown.exterior.coords, by_mm),
        tuple(_with_arcs(path, ring.exterior.coords, -by_mm) for path, ring in zip(windows, mine, strict=True)),
    )


def _with_arcs(original: Path, ring: Iterable[Sequence[float]], by_mm: float) -> Path:
    """An offset ring whose chords are arcs again where the original has them: same centre, radius changed by the offset."""
    points = [(float(x), float(y)) for x, y, *_ in ring][:-1]
    if _area(points) < 0:
        points.reverse()
    arcs = [_offset_arc(*piece, by_mm) for pieces in original.pieces() for piece in pieces if piece[2]]
    arcs = [arc for arc in arcs if arc.radius > _LEAST_RADIUS_MM]
    edges = [_arc_under(start, end, arcs) for start, end in zip(points, [*points[1:], points[0]], strict=True)]
    turn = next((n for n, edge in enumerate(edges) if edge is None or edge is not edges[n - 1]), 0)
    points, edges = points[turn:] + points[:turn], edges[turn:] + edges[:turn]
    corners: list[Point] = []
    under: list[Arc | None] = []
    for point, edge in zip(points, edges, strict=True):
        if edge is None or not under or edge is not under[-1]:
            corners.append(point)
            under.append(edge)
    corners, under = _without_crumbs(corners, under)
    bulges = [
        0.0 if arc is None else bulge_between(start, end, arc.centre, arc.sweep > 0)
        for start, end, arc in zip(corners, [*corners[1:], corners[0]], under, strict=True)
    ]
    return Path((tuple(corners),), original.role, original.id, closed=True, bulges=(tuple(bulges),))


def _without_crumbs(corners: list[Point], under: list[Arc | None]) -> tuple[list[Point], list[Arc | None]]:
    """The ring without the tiny straight pieces that are left where a corner's radius vanishes: each cluster one point."""
    ends = [*corners[1:], corners[0]]
    crumbs = [
        arc is None and math.dist(start, end) < _CRUMB_MM for start, end, arc in zip(corners, ends, under, strict=True)
    ]
    if not any(crumbs) or all(crumbs):
        return corners, under
    first = next(n for n in range(len(crumbs)) if not crumbs[n - 1])
    order = [*range(first, len(corners)), *range(first)]
    points: list[Point] = []
    leaving: list[Arc | None] = []
    cluster: list[Point] = []
    for n in order:
        cluster.append(corners[n])
        if not crumbs[n]:
            points.append((sum(x for x, _ in cluster) / len(cluster), sum(y for _, y in cluster) / len(cluster)))
            leaving.append(under[n])
            cluster = []
    return points, leaving


def _offset_arc(start: Point, end: Point, bulge: float, by_mm: float) -> Arc:
    arc = arc_of(start, end, bulge)
    return Arc(arc.centre, arc.radius + by_mm * math.copysign(1.0, bulge), arc.start, arc.sweep)


def _arc_under(start: Point, end: Point, arcs: Sequence[Arc]) -> Arc | None:
    """The arc that an edge is a chord of."""
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    for arc in arcs:
        off = (math.dist(point, arc.centre) - arc.radius for point in (start, middle, end))
        if arc.radius > 0 and max(map(abs, off)) < _ON_CIRCLE_MM:
            angle = math.atan2(middle[1] - arc.centre[1], middle[0] - arc.centre[0])
            way = math.copysign(1.0, arc.sweep)
            reach = _ON_CIRCLE_MM / arc.radius
            along = (way * (angle - arc.start) + reach) % (2 * math.pi) - reach
            if along < abs(arc.sweep) + reach:
                return arc
    return None


def _points(path: Path) -> tuple[Point, ...]:
    return path.flattened(CHORDS_WITHIN_MM).runs[0]


def _polygon(path: Path) -> "Polygon":
    from shapely import Polygon

    return Polygon(_points(path))


def _wound(path: Path, onward: bool) -> Path:
    """The path the one way round or the other."""
    if (_area(_points(path)) > 0) == onward:
        return path
    run = path.runs[0]
    bulges = path.bulges[0] if path.bulges else (0.0,) * len(run)
    back = tuple(-bulge for bulge in reversed(bulges))
    return Path((tuple(reversed(run)),), path.role, path.id, closed=True, bulges=((*back[1:], back[0]),))


def _area(points: Sequence[Point]) -> float:
    """Twice the area, positive where the points run from x to y."""
    pairs = zip(points, (*points[1:], points[0]), strict=True)
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)
