"""A sheet to SVG: one user unit is one millimetre, so that no importer has to guess dots per inch."""

import sys
from collections.abc import Callable, Collection, Mapping
from functools import cache, lru_cache
from importlib import import_module
from types import ModuleType
from typing import Any

from jigs.drawing import lettering
from jigs.drawing.arcs import Point, arc_of
from jigs.drawing.items import (
    BLACK,
    PAPER_LAYERS,
    STYLES,
    Circle,
    Item,
    Layer,
    Line,
    Path,
    Role,
    Segment,
    Style,
    Text,
)
from jigs.export.layers import by_layer
from jigs.sheets.paper import Sheet

DECIMALS = 6
"""A nanometre; enough, and the same on every machine."""


def to_svg(
    sheet: Sheet,
    title: str,
    subject: str,
    styles: Mapping[Role, Style] = STYLES,
    layers: Collection[Layer] = PAPER_LAYERS,
) -> bytes:
    """The sheet as one SVG file: a group for each of ``layers`` and for each other that is used, ids on what a program may
    want to find.
    """
    svgwrite = _svgwrite()
    from svgwrite.extensions import Inkscape

    width, height = sheet.paper.width_mm, sheet.paper.height_mm
    svg = svgwrite.Drawing(
        size=(f"{_number(width)}mm", f"{_number(height)}mm"),
        viewBox=f"0 0 {_number(width)} {_number(height)}",
        debug=False,
    )
    svg.set_desc(title=title, desc=subject)
    layered = Inkscape(svg)
    for layer, items in by_layer(sheet.drawing, styles, layers).items():
        group = layered.layer(label=layer.value, id=f"layer-{layer.value}")
        if layer is Layer.TEXT:
            group.update({"font-family": f"{lettering.FONT_NAME}, sans-serif", "fill": "black"})
        else:
            group.update({"fill": "none", "stroke": "black", "stroke-linejoin": "round"})
        for item in items:
            group.add(_element(svg, item, styles[item.role]))
        svg.add(group)
    return str('<?xml version="1.0" encoding="utf-8"?>\n' + svg.tostring() + "\n").encode()


_GRAMMAR = "svgwrite.data.svgparser"


class _Later(ModuleType):
    """Stands in for a module of functions while others import it. The first call of one loads the module."""

    def __getattr__(self, name: str) -> Callable[..., Any]:
        def asked(*given: Any) -> Any:
            return getattr(import_module(self.__name__), name)(*given)

        return asked


@cache
def _svgwrite() -> Any:
    """The library, without its grammar of attributes: compiling that takes a tenth of a run, and only ``debug`` needs it."""
    if _GRAMMAR in sys.modules:
        return import_module("svgwrite")
    sys.modules[_GRAMMAR] = _Later(_GRAMMAR)
    try:
        return import_module("svgwrite")
    finally:
        sys.modules.pop(_GRAMMAR, None)


def _element(svg: Any, item: Item, style: Style) -> Any:
    named = {"id": item.id} if item.id else {}
    if isinstance(item, Text):
        size = _number(lettering.em_mm(item.height_mm))
        turned = {"transform": f"rotate({_number(item.angle_deg)} {_pair(item.at)})"} if item.angle_deg else {}
        anchored = {"text_anchor": item.anchor.value} if item.anchor.value != "start" else {}
        return svg.text(item.text, insert=_point(item.at), font_size=size, **anchored, **turned, **named)
    pen: dict[str, Any] = {"stroke_width": style.width_mm, **named}
    if style.colour != BLACK:
        pen["stroke"] = style.colour
    if style.fill:
        pen = {"fill": style.fill, "stroke": "none", **named}
    if style.dashes_mm:
        pen["stroke_dasharray"] = " ".join(_number(dash) for dash in style.dashes_mm)
    if isinstance(item, Line):
        return svg.line(_point(item.start), _point(item.end), **pen)
    if isinstance(item, Circle):
        return svg.circle(_point(item.centre), _number(item.radius), **pen)
    return svg.path(d=" ".join(_run(item, n, pieces) for n, pieces in enumerate(item.pieces())), **pen)


def _run(path: Path, n: int, pieces: list[Segment]) -> str:
    closes_straight = path.closed and not (path.bulges and path.bulges[n][-1])
    drawn = pieces[:-1] if closes_straight else pieces
    steps = "".join(_step(*piece) for piece in drawn)
    return f"M {_pair(path.runs[n][0])}{steps}{' Z' if path.closed else ''}"


def _step(start: Point, end: Point, bulge: float) -> str:
    if not bulge:
        return f" L {_pair(end)}"
    radius = _number(arc_of(start, end, bulge).radius)
    return f" A {radius} {radius} 0 {int(abs(bulge) > 1)} {int(bulge > 0)} {_pair(end)}"


@lru_cache(lettering.REMEMBERED)
def _number(value: float) -> str:
    """Four of five numbers of a sheet have come before on it."""
    return f"{value:z.{DECIMALS}f}".rstrip("0").rstrip(".")


def _pair(point: Point) -> str:
    return f"{_number(point[0])} {_number(point[1])}"


def _point(point: Point) -> tuple[str, str]:
    return _number(point[0]), _number(point[1])
