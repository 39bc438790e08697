"""A sheet to SVG: one user unit is one millimetre, so that no importer has to guess dots per inch."""

from typing import Any

from jigs import lettering
from jigs.drawing import STYLES, Circle, Item, Layer, Line, Path, Point, Text
from jigs.paper import Sheet

DECIMALS = 6
"""A nanometre; enough, and the same on every machine."""


def to_svg(sheet: Sheet, title: str, subject: str) -> bytes:
    """The sheet as one SVG file: layers as groups, ids on what a program may want to find."""
    import svgwrite
    from svgwrite.extensions import Inkscape

    width, height = sheet.paper.width_mm, sheet.paper.height_mm
    svg = svgwrite.Drawing(
        size=(f"{_number(width)}mm", f"{_number(height)}mm"),
        viewBox=f"0 0 {_number(width)} {_number(height)}",
        debug=False,
    )
    svg.set_desc(title=title, desc=subject)
    layered = Inkscape(svg)
    for layer in Layer:
        group = layered.layer(label=layer.value, id=f"layer-{layer.value}")
        if layer is Layer.TEXT:
            group.update({"font-family": f"{lettering.FONT_NAME}, sans-serif", "fill": "black"})
        else:
            group.update({"fill": "none", "stroke": "black", "stroke-linejoin": "round"})
        for item in sheet.drawing:
            if STYLES[item.role].layer is layer:
                group.add(_element(svg, item))
        svg.add(group)
    return str('<?xml version="1.0" encoding="utf-8"?>\n' + svg.tostring() + "\n").encode()


def _element(svg: Any, item: Item) -> Any:
    named = {"id": item.id} if item.id else {}
    if isinstance(item, Text):
        size = _number(lettering.em_mm(item.height_mm))
        turned = {"transform": f"rotate({_number(item.angle_deg)} {_pair(item.at)})"} if item.angle_deg else {}
        anchored = {"text_anchor": item.anchor.value} if item.anchor.value != "start" else {}
        return svg.text(item.text, insert=_point(item.at), font_size=size, **anchored, **turned, **named)
    style = STYLES[item.role]
    pen: dict[str, Any] = {"stroke_width": style.width_mm, **named}
    if style.dashes_mm:
        pen["stroke_dasharray"] = " ".join(_number(dash) for dash in style.dashes_mm)
    if isinstance(item, Line):
        return svg.line(_point(item.start), _point(item.end), **pen)
    if isinstance(item, Circle):
        return svg.circle(_point(item.centre), _number(item.radius), **pen)
    return svg.path(d=" ".join(_run(run, item) for run in item.runs), **pen)


def _run(run: tuple[Point, ...], path: Path) -> str:
    return f"M {' L '.join(_pair(point) for point in run)}{' Z' if path.closed else ''}"


def _number(value: float) -> str:
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _pair(point: Point) -> str:
    return f"{_number(point[0])} {_number(point[1])}"


def _point(point: Point) -> tuple[str, str]:
    return _number(point[0]), _number(point[1])
