"""Whether every program can open a file: PDF, SVG and DXF checked against their standards."""

import io
import re
import xml.etree.ElementTree as ET

from rasters import quiet

_EDITOR = "{http://www.inkscape.org/namespaces/inkscape}"
_SVG = "{http://www.w3.org/2000/svg}"

_NUMBER = r"-?(?:\d+\.\d+|\d+)"
_LENGTH = rf"{_NUMBER}mm"
_COLOUR = r"none|black|#[0-9a-f]{6}"
_NAME = r"[A-Za-z_][A-Za-z0-9_.-]*"
_PAIR = rf"{_NUMBER} {_NUMBER}"
_PATH = rf"M {_PAIR}(?: (?:[ML] {_PAIR}|A {_PAIR} 0 [01] [01] {_PAIR}|Z))*"

_ANYTHING = {"id": _NAME}
_PAINTED = {
    "fill": _COLOUR,
    "stroke": _COLOUR,
    "stroke-width": _NUMBER,
    "stroke-linejoin": "miter|round|bevel",
    "stroke-dasharray": rf"{_NUMBER}(?: {_NUMBER})*",
}
_LETTERED = {"font-family": r"[\w ,-]+", "font-size": _NUMBER, "text-anchor": "start|middle|end"}
_PLACED = {"transform": rf"rotate\({_NUMBER} {_PAIR}\)"}
_LAYER = {f"{_EDITOR}groupmode": "layer", f"{_EDITOR}label": r"\w+"}
ELEMENTS = {
    "svg": _ANYTHING
    | {"version": r"1\.1", "baseProfile": "full", "viewBox": rf"{_PAIR} {_PAIR}", "width": _LENGTH, "height": _LENGTH},
    "title": _ANYTHING,
    "desc": _ANYTHING,
    "defs": _ANYTHING,
    "g": _ANYTHING | _PAINTED | _LETTERED | _PLACED | _LAYER,
    "path": _ANYTHING | _PAINTED | _PLACED | {"d": _PATH},
    "line": _ANYTHING | _PAINTED | _PLACED | dict.fromkeys(("x1", "y1", "x2", "y2"), _NUMBER),
    "circle": _ANYTHING | _PAINTED | _PLACED | dict.fromkeys(("cx", "cy", "r"), _NUMBER),
    "text": _ANYTHING | _PAINTED | _LETTERED | _PLACED | dict.fromkeys(("x", "y"), _NUMBER),
}
"""The elements that our SVGs use, the attributes of each, and how to write them.

W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 16 August 2011: appendices L (elements), M (attributes) and N
(properties), 8.3 (path data) and 7.6 (transform), from memory. The table holds the part of each that we use. All of it is
also in SVG 2, except version and baseProfile, which renderers of SVG 2 ignore. The two attributes in the editor's
namespace make a group a layer. They are not in the standard, which allows foreign namespaces (23.1).
"""

_NEEDED = {
    "svg": {"version", "viewBox", "width", "height"},
    "path": {"d"},
    "line": {"x1", "y1", "x2", "y2"},
    "circle": {"cx", "cy", "r"},
    "text": {"x", "y", "font-size"},
}


def assert_svg_is_valid(content):
    """Well-formed, elements and attributes as the standard has them, no id twice, one user unit is a millimetre."""
    root = ET.fromstring(content)
    assert root.tag == f"{_SVG}svg"
    ids = [element.get("id") for element in root.iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids)), sorted({name for name in ids if ids.count(name) > 1})
    for element in root.iter():
        name = element.tag.removeprefix(_SVG)
        assert name in ELEMENTS, f"an element {name}"
        known = ELEMENTS[name]
        for key, value in element.attrib.items():
            assert key in known, f"a {name} with {key}"
            assert re.fullmatch(known[key], value), f"a {name} with {key}={value!r}"
        missing = _NEEDED.get(name, set()) - set(element.attrib)
        assert not missing, f"a {name} without {missing}"
        inside = [child.tag.removeprefix(_SVG) for child in element]
        assert not inside or name in ("svg", "g"), f"a {name} with {inside} in it"
    _, _, width, height = root.get("viewBox").split()
    assert (root.get("width"), root.get("height")) == (f"{width}mm", f"{height}mm"), root.attrib


def assert_pdf_is_valid(content, path):
    """qpdf finds no fault, and every page opens in PDFium. ``path``: where to write the file for qpdf."""
    import pikepdf
    import pypdfium2 as pdfium

    path.write_bytes(content)
    job = pikepdf.Job(["pikepdf", "--check", str(path)])
    job.run()
    assert (job.exit_code, job.has_warnings) == (0, False), "qpdf finds a fault in it; its messages are in the log"
    with pikepdf.open(io.BytesIO(content), attempt_recovery=False, suppress_warnings=False) as pdf:
        messages = [str(each) for each in (*pdf.check_pdf_syntax(), *pdf.get_warnings())]
        assert messages == [], messages
        count = len(pdf.pages)
    with pdfium.PdfDocument(content) as pdf:
        assert len(pdf) == count
        for page in pdf:
            page.render(scale=0.2)


def assert_poppler_opens(content):
    """Poppler prints no message while it lists a PDF's facts and draws its pages."""
    assert b"Pages:" in quiet("pdfinfo", "-", file=content)
    assert quiet("pdftoppm", "-r", "20", "-", file=content)


def assert_dxf_is_valid(content):
    """The audit finds nothing to correct."""
    from readers import dxf_document

    audit = dxf_document(content).audit()
    messages = [error.message for error in (*audit.errors, *audit.fixes)]
    assert messages == [], messages
