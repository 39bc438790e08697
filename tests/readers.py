"""Independent readers of the files that the program writes: straight pieces in millimetres from the top left corner."""

import ctypes
import io
from itertools import pairwise

import numpy as np

MM_PER_POINT = 25.4 / 72


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
        for n in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, n)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            point = (x.value, height - y.value)
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
