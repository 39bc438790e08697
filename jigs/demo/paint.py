"""A picture in colours for a screen, as SVG: coats of paint one over another, each with one fill and one line.

A sheet groups its items by what a cutter does with them. Here the order counts, because it shows what lies over what.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Text
from jigs.drawing.lettering import FONT_NAME, em_mm

NONE = "none"
_CHORDS_MM = 0.02


@dataclass(frozen=True)
class Coat:
    """Items of one look: colours as red, green and blue in hexadecimal, the line's width in mm. Roles do not count."""

    name: str
    drawing: Drawing
    fill: str = NONE
    line: str = NONE
    width_mm: float = 0.0


def within(drawn: Drawing, hole: tuple[Point, ...]) -> Drawing:
    """What one sees of lines and paths through a convex hole, whose corners run from x towards y."""
    kept: list[Item] = []
    for item in drawn:
        assert isinstance(item, Line | Path)
        runs = ((item.start, item.end),) if isinstance(item, Line) else item.runs
        cut = tuple(each for each in (_cut(run, hole) for run in runs) if each)
        kept += [Path(cut, item.role, closed=True)] if cut else []
    return Drawing(tuple(kept))


def _cut(run: tuple[Point, ...], hole: tuple[Point, ...]) -> tuple[Point, ...]:
    """A closed run within a convex hole, side by side of it (Sutherland and Hodgman); a line is a run there and back."""
    for (x, y), (u, v) in zip(hole, (*hole[1:], hole[0]), strict=True):
        inside = [(u - x) * (q - y) - (v - y) * (p - x) for p, q in run]
        cut: list[Point] = []
        for n, (p, q) in enumerate(run):
            (r, s), was, now = run[n - 1], inside[n - 1], inside[n]
            if (was < 0) != (now < 0):
                share = was / (was - now)
                cut.append((r + (p - r) * share, s + (q - s) * share))
            if now >= 0:
                cut.append((p, q))
        run = tuple(cut)
    return run


def to_svg(coats: Iterable[Coat], width_mm: float, height_mm: float, title: str, subject: str) -> bytes:
    """The coats as one SVG file, the first one lowest; a user unit is a millimetre of the picture."""
    import svgwrite

    width, height = _number(width_mm), _number(height_mm)
    svg = svgwrite.Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    svg.set_desc(title=title, desc=subject)
    for coat in coats:
        group = svg.g(id=coat.name, fill=coat.fill, stroke=coat.line)
        if coat.line != NONE:
            group.update({"stroke-width": _number(coat.width_mm), "stroke-linejoin": "round"})
        for item in coat.drawing:
            group.add(_element(svg, item))
        svg.add(group)
    return str('<?xml version="1.0" encoding="utf-8"?>\n' + svg.tostring() + "\n").encode()


def _element(svg: Any, item: Item) -> Any:
    named = {"id": item.id} if item.id else {}
    if isinstance(item, Text):
        family = {"font_family": f"{FONT_NAME}, sans-serif", "font_size": _number(em_mm(item.height_mm))}
        anchored = {} if item.anchor is Anchor.START else {"text_anchor": item.anchor.value}
        return svg.text(item.text, insert=_point(item.at), **family, **anchored, **named)
    if isinstance(item, Line):
        return svg.line(_point(item.start), _point(item.end), **named)
    if isinstance(item, Circle):
        return svg.circle(_point(item.centre), _number(item.radius), **named)
    flat = item.flattened(_CHORDS_MM)
    return svg.path(d=" ".join(_run(run, flat.closed) for run in flat.runs), **named)


def _run(points: tuple[Point, ...], closed: bool) -> str:
    return f"M {' L '.join(' '.join(_point(each)) for each in points)}{' Z' if closed else ''}"


def _number(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _point(point: Point) -> tuple[str, str]:
    return _number(point[0]), _number(point[1])
