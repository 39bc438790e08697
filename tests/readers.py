"""Independent readers of the files that the program writes, in millimetres from the top left corner.

Straight pieces of any file, and the closed lines of a file to cut, with its arcs.
"""

import ctypes
import io
import json
import os
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

MM_PER_POINT = 25.4 / 72
UM = 1e-3


def svg_pieces(content):
    """Every straight piece of an SVG file by id ('' where there is none), read with svgpathtools."""
    from svgpathtools import svg2paths

    paths, attributes = svg2paths(io.StringIO(content.decode()))
    pieces = {}
    for path, attribute in zip(paths, attributes, strict=True):
        for piece in path:
            ends = (piece.start.real, piece.start.imag, piece.end.real, piece.end.imag)
            pieces.setdefault(attribute.get("id", ""), []).append(ends)
    return {name: np.array(found) for name, found in pieces.items()}


def pdf_pieces_by_pdfminer(content, page=0):
    """Every straight piece of a PDF page, read with pdfplumber on pdfminer."""
    import pdfplumber

    with pdfplumber.open(io.BytesIO(content)) as pdf:
        sheet = pdf.pages[page]
        found = []
        for item in (*sheet.lines, *sheet.curves):
            found += [(*start, *end) for start, end in pairwise(item["pts"])]
        for item in sheet.rects:
            found += [(*start, *end) for start, end in pairwise([*item["pts"], item["pts"][0]])]
        return np.array(found) * MM_PER_POINT


def pdf_pieces_by_pdfium(content, page=0):
    """Every straight piece of a PDF page, read with PDFium."""
    import pypdfium2 as pdfium
    from pypdfium2 import raw

    pdf = pdfium.PdfDocument(content)
    sheet = pdf[page]
    height = sheet.get_height()
    found = []
    for item in sheet.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        begin = last = None
        matrix = item.get_matrix()
        for n in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, n)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            across, up = matrix.on_point(x.value, y.value)
            point = (across, height - up)
            if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_MOVETO:
                begin = point
            else:
                found.append((*last, *point))
            if raw.FPDFPathSegment_GetClose(segment) and point != begin:
                found.append((*point, *begin))
            last = point
    pdf.close()
    return np.array(found) * MM_PER_POINT


def farthest_mm(expected, found):
    """How far the worst of the expected pieces is from the nearest one found, either way round."""
    worst = 0.0
    for piece in np.asarray(expected):
        there = np.abs(found - piece).max(axis=1).min()
        back = np.abs(found - piece[[2, 3, 0, 1]]).max(axis=1).min()
        worst = max(worst, min(there, back))
    return worst


@dataclass(frozen=True)
class Edge:
    """A straight or a round piece, in mm as complex numbers, y down; an arc has its centre and the angle it sweeps."""

    start: complex
    end: complex
    centre: complex | None = None
    sweep: float = 0.0

    @property
    def radius(self):
        return abs(self.start - self.centre)

    @property
    def length(self):
        return abs(self.end - self.start) if self.centre is None else self.radius * abs(self.sweep)

    def at(self, share):
        """Points at shares of the way along."""
        share = np.asarray(share)
        if self.centre is None:
            return self.start + (self.end - self.start) * share
        return self.centre + (self.start - self.centre) * np.exp(1j * self.sweep * share)

    def distance_mm(self, points):
        """How far points lie from the piece."""
        ends = np.minimum(abs(points - self.start), abs(points - self.end))
        if self.start == self.end and self.centre is None:
            return ends
        if self.centre is None:
            way = self.end - self.start
            share = ((points - self.start) * np.conj(way)).real / abs(way) ** 2
            beside = abs(points - self.start - way * share)
        else:
            turned = np.angle((points - self.centre) / (self.start - self.centre)) * np.sign(self.sweep)
            share = turned % (2 * np.pi) / abs(self.sweep)
            beside = abs(abs(points - self.centre) - self.radius)
        return np.where((share >= 0) & (share <= 1), np.minimum(beside, ends), ends)


@dataclass(frozen=True)
class Loop:
    """A closed line to cut: its pieces in order, its id where the format has one."""

    edges: tuple
    name: str = ""

    def distance_mm(self, points):
        """How far points lie from the line."""
        return np.min([edge.distance_mm(points) for edge in self.edges], axis=0)

    def points(self, chord_mm=0.01):
        """Points along it whose chords leave its arcs by no more than ``chord_mm``²/8 over the radius."""
        found = []
        for edge in self.edges:
            count = 1 if edge.centre is None else max(int(np.ceil(edge.length / chord_mm)), 2)
            found.append(edge.at(np.arange(count) / count))
        return np.concatenate(found)

    @property
    def box(self):
        """Left, top, right, bottom of its pieces' ends."""
        ends = np.array([edge.start for edge in self.edges] + [edge.end for edge in self.edges])
        return ends.real.min(), ends.imag.min(), ends.real.max(), ends.imag.max()

    @property
    def turns_on(self):
        """Whether it runs from x to y, clockwise on the page."""
        points = self.points(1.0)
        return float(np.sum((np.conj(points) * np.roll(points, -1)).imag)) > 0


def svg_layer(content, layer):
    """Every path and line of a layer of an SVG file: (id, pieces, whether it is closed), read with svgpathtools."""
    from svgpathtools import Arc, parse_path

    found = []
    svg = ET.fromstring(content)
    group = next(item for item in svg if item.get("id") == f"layer-{layer}")
    for item in group:
        tag, name = item.tag.rsplit("}")[-1], item.get("id", "")
        if tag == "line":
            ends = [complex(float(item.get(f"x{n}")), float(item.get(f"y{n}"))) for n in (1, 2)]
            found.append((name, (Edge(*ends),), False))
            continue
        assert tag == "path", f"a {tag} is not a line that a cutter can follow"
        pieces = []
        for piece in parse_path(item.get("d")):
            if isinstance(piece, Arc):
                assert piece.radius.real == piece.radius.imag
                pieces.append(Edge(piece.start, piece.end, piece.center, np.radians(piece.delta)))
            else:
                pieces.append(Edge(piece.start, piece.end))
        found.append((name, tuple(pieces), item.get("d").rstrip().endswith("Z")))
    return found


def svg_loops(content):
    """The lines to cut of an SVG file. Each must be closed."""
    layer = svg_layer(content, "cut")
    assert all(closed for _, _, closed in layer)
    return [Loop(edges, name) for name, edges, _ in layer]


def dxf_document(content):
    """A DXF file as ezdxf reads it back."""
    import ezdxf

    return ezdxf.read(io.StringIO(content.decode()))


def dxf_loops(content):
    """The lines to cut of a DXF file, y turned down. Each must be a closed polyline."""
    from ezdxf.math import bulge_to_arc

    loops = []
    for item in dxf_document(content).modelspace().query('*[layer=="CUT"]'):
        assert item.dxftype() == "LWPOLYLINE"
        assert item.closed
        points = item.get_points("xyb")
        edges = []
        for (x1, y1, bulge), (x2, y2, _) in zip(points, [*points[1:], points[0]], strict=True):
            start, end = complex(x1, -y1), complex(x2, -y2)
            if bulge:
                centre, first, last, _ = bulge_to_arc((x1, y1), (x2, y2), bulge)
                sweep = (last - first) % (2 * np.pi)
                edges.append(Edge(start, end, complex(centre.x, -centre.y), -sweep if bulge > 0 else sweep))
            else:
                edges.append(Edge(start, end))
        loops.append(Loop(tuple(edges)))
    return loops


def pdf_loops_by_pdfium(content, width_mm=0.7):
    """The closed lines of a width on a PDF page, read with PDFium; its curves must be arcs within 0.1 µm."""
    import pypdfium2 as pdfium
    from pypdfium2 import raw

    pdf = pdfium.PdfDocument(content)
    sheet = pdf[0]
    height, loops = sheet.get_height(), []
    for item in sheet.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(item, width)
        if abs(width.value * MM_PER_POINT - width_mm) > 0.01:
            continue
        edges, controls, begin, last, closed = [], [], None, None, False
        for n in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, n)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            point = complex(x.value, height - y.value) * MM_PER_POINT
            kind = raw.FPDFPathSegment_GetType(segment)
            closed = closed or bool(raw.FPDFPathSegment_GetClose(segment))
            if kind == raw.FPDF_SEGMENT_MOVETO:
                begin = last = point
            elif kind == raw.FPDF_SEGMENT_LINETO:
                edges.append(Edge(last, point))
                last = point
            else:
                controls.append(point)
                if len(controls) == 3:
                    edges.append(_arc_of(last, *controls))
                    last, controls = point, []
        if closed:
            loops.append(_closed(edges, begin, last))
    pdf.close()
    return loops


def pdf_loops_by_pdfminer(content, width_mm=0.7):
    """The same, read with pdfplumber on pdfminer."""
    import pdfplumber

    loops = []
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        for item in (*pdf.pages[0].curves, *pdf.pages[0].rects):
            if abs(item["linewidth"] * MM_PER_POINT - width_mm) > 0.01 or item["path"][-1][0] != "h":
                continue
            edges, begin, last = [], None, None
            for verb, *points in item["path"]:
                ends = [complex(*point) * MM_PER_POINT for point in points]
                if verb == "m":
                    begin = last = ends[0]
                elif verb == "l":
                    edges.append(Edge(last, ends[0]))
                elif verb == "c":
                    edges.append(_arc_of(last, *ends))
                last = ends[-1] if ends else last
            loops.append(_closed(edges, begin, last))
    return loops


def _closed(edges, begin, last):
    closing = [Edge(last, begin)] if abs(last - begin) > 1e-4 else []
    return Loop(tuple(edge for edge in (*edges, *closing) if edge.length > 1e-4))


def _arc_of(start, one, two, end):
    """A Bézier curve as the arc through its ends and its middle."""
    t = np.linspace(0, 1, 9)
    curve = start * (1 - t) ** 3 + 3 * one * t * (1 - t) ** 2 + 3 * two * t * t * (1 - t) + end * t**3
    a, b = curve[4] - start, end - start
    centre = start + (abs(a) ** 2 * b - abs(b) ** 2 * a) / (2j * (np.conj(a) * b).imag)
    arc = Edge(start, end, centre, float(np.angle((end - centre) / (start - centre))))
    assert abs(abs(curve - centre) - arc.radius).max() < 1e-4
    return arc


# ---- what whole programs make of a DXF: points of its lines to cut, in mm as complex numbers, y down


def dxf_points_by_librecad(content, folder):
    """Ends of the lines to cut on the page that LibreCAD prints, and the page's size."""
    import pdfplumber

    (folder / "part.dxf").write_bytes(content)
    own = os.environ | {"QT_QPA_PLATFORM": "offscreen", "HOME": str(folder), "XDG_CONFIG_HOME": str(folder)}
    subprocess.run(
        ["librecad", "dxf2pdf", "part.dxf"], cwd=folder, env=own, capture_output=True, check=True, timeout=60
    )
    colour = dxf_document(content).layers.get("CUT").rgb
    with pdfplumber.open(folder / "part.pdf") as pdf:
        (sheet,) = pdf.pages
        lines = (*sheet.lines, *sheet.curves, *sheet.rects)
        ends = [
            complex(*end)
            for line in lines
            if tuple(round(255 * share) for share in line["stroking_color"]) == colour
            for end in line["pts"]
        ]
        size = complex(sheet.width, sheet.height)
    return np.array(ends) * MM_PER_POINT, size * MM_PER_POINT


def dxf_points_by_ogr(content, folder):
    """Ends of the lines to cut as OGR (GDAL) reads them, its arcs as chords of a degree."""
    (folder / "part.dxf").write_bytes(content)
    chords = ["--config", "OGR_ARC_STEPSIZE", "1"]
    asked = ["ogr2ogr", *chords, "-f", "GeoJSON", "/vsistdout/", str(folder / "part.dxf"), "-where", "Layer='CUT'"]
    read = json.loads(subprocess.run(asked, capture_output=True, check=True, timeout=60).stdout)
    lines = [feature["geometry"] for feature in read["features"]]
    assert {line["type"] for line in lines} == {"LineString"}
    return np.array([complex(at[0], -at[1]) for line in lines for at in line["coordinates"]])


def dxf_points_by_drawing_add_on(content):
    """Points of the lines to cut in the SVG that ezdxf's drawing add-on makes at 1:1."""
    from ezdxf.addons.drawing import Frontend, RenderContext
    from ezdxf.addons.drawing.layout import Margins, Page, Settings, Units
    from ezdxf.addons.drawing.svg import SVGBackend
    from svgpathtools import parse_path

    document, backend = dxf_document(content), SVGBackend()
    frontend = Frontend(RenderContext(document), backend)
    frontend.draw_layout(document.modelspace(), filter_func=lambda item: item.dxf.layer == "CUT")
    page = Page(0, 0, Units.mm, Margins.all(0))
    svg = ET.fromstring(backend.get_string(page, settings=Settings(scale=1, fit_page=False)))
    mm = float(svg.get("height").removesuffix("mm")) / float(svg.get("viewBox").split()[3])
    paths = [parse_path(item.get("d")) for item in svg.iter("{http://www.w3.org/2000/svg}path")]
    shares = np.linspace(0, 1, 33)
    return np.array([piece.point(share) for path in paths for piece in path for share in shares]) * mm
