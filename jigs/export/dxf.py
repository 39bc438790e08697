"""A drawing to DXF: millimetres declared, a layer for each of ours, arcs as arcs, the same bytes every time.

R2010 (AC1024), as its published reference describes it. DXF measures y upwards, so this is where y is turned over, once.
"""

import io
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from jigs.drawing.arcs import Point
from jigs.drawing.items import CUT_LAYERS, STYLES, Circle, Item, Layer, Line, Path, Role, Style, Text
from jigs.sheets.paper import Sheet
from jigs.system.user_folder import some_home

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

VERSION = "R2010"
_MILLIMETRES = 4
_METRIC = 1
_TRUE_SCALE = 1.0
_BLACK_OR_WHITE = 7
_AROUND_SHARE = 1.1
_POINTS_PER_MM = 72 / 25.4
_PAGES_TRIED = 6
"""Pages a millimetre apart: the best of so many is within a tenth of a point of whole points."""

_WIDTHS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211)
"""Line widths that DXF knows, in hundredths of a millimetre."""


def to_dxf(sheet: Sheet, styles: Mapping[Role, Style] = STYLES) -> bytes:
    """The sheet as one DXF file, its lower left corner at the origin.

    Words must be strokes by now (engraving.py): raises ValueError for a text.
    """
    with some_home():  # where the library looks for settings as it is imported; it ends if there is none
        from ezdxf._options import options
        from ezdxf.filemanagement import new

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = new(VERSION, units=_MILLIMETRES)
        document.header["$MEASUREMENT"] = _METRIC
        # The library's 0 is legal, but a program that prints from the file may take it for the scale.
        document.header["$PSVPSCALE"] = _TRUE_SCALE
        _add_layers(document, styles)
        space = document.modelspace()
        for item in sheet.drawing:
            _add(space, item, sheet.paper.height_mm, _line_type(document, styles[item.role]), styles)
        _show_all(document, sheet)
        # Left to the library, classes come in the order of a set, which changes from run to run.
        for name in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(name)
        text = io.StringIO()
        document.write(text)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return text.getvalue().encode()


def layer_name(layer: Layer) -> str:
    """What a layer is called in the file."""
    return layer.value.upper()


def _add_layers(document: "Document", styles: Mapping[Role, Style]) -> None:
    for layer in CUT_LAYERS:
        style = next(style for style in styles.values() if style.layer is layer and style.width_mm)
        added = document.layers.add(layer_name(layer), lineweight=_nearest_width(style.width_mm))
        red, green, blue = (int(style.colour[n : n + 2], 16) for n in (1, 3, 5))
        if (red, green, blue) != (0, 0, 0):
            added.color = _nearest_indexed((red, green, blue))
            added.rgb = (red, green, blue)
        if layer is Layer.GUIDE:
            added.dxf.plot = 0


def _show_all(document: "Document", sheet: Sheet) -> None:
    """Extents and first view are those of the drawing, and the page holds the sheet: all of it is opened and printed."""
    box, width, height = sheet.drawing.bounds(), sheet.paper.width_mm, sheet.paper.height_mm
    low, high = height - box.bottom, height - box.top
    document.paperspace().reset_limits((0.0, 0.0), (_page_mm(width), _page_mm(height)))
    document.modelspace().reset_extents((box.left, low, 0.0), (box.right, high, 0.0))
    view = document.set_modelspace_vport(1.0, ((box.left + box.right) / 2, (low + high) / 2))
    view.dxf.height = _AROUND_SHARE * max(box.height, box.width / view.dxf.aspect_ratio)


def _page_mm(sheet_mm: float) -> float:
    """A side of the page to print on: whole millimetres that hold the sheet's side and are nearly whole points.

    A program may round its page to points and still take it for whole millimetres. Its lines are then wrong by what it
    rounded, up to 0.18 mm over the page.

    >>> _page_mm(220.0), _page_mm(235.5)
    (224.0, 236.0)
    """
    least = math.ceil(sheet_mm)

    def off(mm: int) -> float:
        points = mm * _POINTS_PER_MM
        return abs(points - round(points))

    return float(min(range(least, least + _PAGES_TRIED), key=off))


def _nearest_indexed(colour: tuple[int, int, int]) -> int:
    """The indexed colour nearest to red, green and blue, for programs that know no others."""
    from ezdxf.colors import aci2rgb

    def off(index: int) -> int:
        return sum((one - other) ** 2 for one, other in zip(aci2rgb(index), colour, strict=True))

    return min((index for index in range(1, 256) if index != _BLACK_OR_WHITE), key=off)


def _nearest_width(width_mm: float) -> int:
    return min(_WIDTHS, key=lambda known: abs(known - 100 * width_mm))


def _line_type(document: "Document", style: Style) -> str:
    if not style.dashes_mm:
        return "ByLayer"
    name = "-".join(("DASHES", *(f"{dash:g}" for dash in style.dashes_mm)))
    if name not in document.linetypes:
        signed = [dash if n % 2 == 0 else -dash for n, dash in enumerate(style.dashes_mm)]
        document.linetypes.add(name, [sum(style.dashes_mm), *signed])
    return name


def _add(space: "Modelspace", item: Item, height_mm: float, line_type: str, styles: Mapping[Role, Style]) -> None:
    def at(point: Point) -> Point:
        return point[0], height_mm - point[1]

    look: dict[str, Any] = {"layer": layer_name(styles[item.role].layer), "linetype": line_type}
    if isinstance(item, Text):
        raise ValueError(f"{item.text!r} is still a text")
    if isinstance(item, Line):
        space.add_line(at(item.start), at(item.end), dxfattribs=look)
    elif isinstance(item, Circle):
        space.add_circle(at(item.centre), item.radius, dxfattribs=look)
    elif isinstance(item, Path):
        for n, run in enumerate(item.runs):
            bulges = item.bulges[n] if item.bulges else (0.0,) * len(run)
            points = [(*at(point), -bulge) for point, bulge in zip(run, bulges, strict=True)]
            space.add_lwpolyline(points, format="xyb", close=item.closed, dxfattribs=look)
