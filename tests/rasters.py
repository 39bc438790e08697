"""The program's files as pictures, by other people's renderers: grey, 150 dots to the inch, without words.

All put the sheet's top left corner on a pixel's corner. A millimetre has the same number of pixels in all.
"""

import ctypes
import io
import math
import subprocess
import xml.etree.ElementTree as ET

import numpy as np

DPI = 150
PER_MM = DPI / 25.4
WHITE = 255
FINER = 2
"""How many of poppler's pixels a pixel has each way."""

HALF_A_GREY_SCALE = 127.5
_SVG = "http://www.w3.org/2000/svg"
_ADDRESS = "http://sheet.invalid/sheet.svg"


def wordless_pdf(content):
    """A copy of a PDF without the text objects of its pages: the operators from BT to ET, ISO 32000-1, 9.4.1."""
    import pikepdf

    with pikepdf.open(io.BytesIO(content)) as pdf:
        for page in pdf.pages:
            kept, within = [], False
            for one in pikepdf.parse_content_stream(page):
                operator = str(one.operator)
                within = within or operator == "BT"
                if not within:
                    kept.append(one)
                within = within and operator != "ET"
            page.Contents = pdf.make_stream(pikepdf.unparse_content_stream(kept))
        copy = io.BytesIO()
        pdf.save(copy)
    return copy.getvalue()


def wordless_svg(content):
    """A copy of an SVG without its text elements, its sheet extended to whole pixels on the right and at the foot."""
    ET.register_namespace("", _SVG)
    root = ET.fromstring(content)
    for parent in list(root.iter()):
        for word in parent.findall(f"{{{_SVG}}}text"):
            parent.remove(word)
    left, top, width, height = (float(number) for number in root.get("viewBox").split())
    across, down = _pixels(width), _pixels(height)
    root.set("viewBox", f"{left} {top} {across / PER_MM!r} {down / PER_MM!r}")
    root.set("width", f"{across}px")
    root.set("height", f"{down}px")
    return ET.tostring(root)


def _pixels(mm):
    """How many pixels a length takes, a part of one counted whole."""
    return math.ceil(mm * PER_MM - 1e-3)


def page_count(content):
    """How many pages a PDF has."""
    import pypdfium2 as pdfium

    with pdfium.PdfDocument(content) as pdf:
        return len(pdf)


def by_pdfium(content, page=0):
    """A page of a PDF."""
    import pypdfium2 as pdfium
    from pypdfium2 import raw

    scale = DPI / 72
    with pdfium.PdfDocument(content) as pdf:
        sheet = pdf[page]
        across, down = (_pixels(points / 72 * 25.4) for points in sheet.get_size())
        bitmap = pdfium.PdfBitmap.new_native(across, down, raw.FPDFBitmap_Gray)
        bitmap.fill_rect((WHITE,) * 4, 0, 0, across, down)
        # Its usual way of drawing a page stretches it over whole pixels.
        matrix, whole = raw.FS_MATRIX(scale, 0, 0, scale, 0, 0), raw.FS_RECTF(0, 0, across, down)
        raw.FPDF_RenderPageBitmapWithMatrix(bitmap, sheet, ctypes.byref(matrix), ctypes.byref(whole), 0)
        return bitmap.to_numpy().reshape(down, -1)[:, :across].copy()


def by_poppler(content, page=0):
    """A page of a PDF. Whatever poppler says about it fails.

    It moves every line onto whole pixels: a chart's lines would lie beside where others draw them. So it draws on a finer
    grid, and each of our pixels is the mean of those in it.
    """
    chosen = ("-f", str(page + 1), "-l", str(page + 1))
    drawn = quiet("pdftoppm", "-gray", "-r", str(DPI * FINER), *chosen, "-", file=content)
    kind, size, most, dots = drawn.split(b"\n", 3)
    assert (kind, most) == (b"P5", b"255")
    across, down = (int(number) for number in size.split())
    fine = np.frombuffer(dots, np.uint8).reshape(down, across)
    fine = np.pad(fine, ((0, -down % FINER), (0, -across % FINER)), constant_values=WHITE)
    blocks = fine.reshape(fine.shape[0] // FINER, FINER, fine.shape[1] // FINER, FINER)
    return (blocks.sum((1, 3), np.uint16) // FINER**2).astype(np.uint8)


def quiet(*command, file):
    """What a program makes of a file. Whatever it complains of fails."""
    ended = subprocess.run(command, input=file, capture_output=True, check=False)
    assert (ended.returncode, ended.stderr) == (0, b""), f"{command[0]}: {ended.returncode} {ended.stderr.decode()}"
    return ended.stdout


def by_resvg(content, dpi=DPI):
    """An SVG, its words in our typeface."""
    import resvg_py

    from jigs.drawing import lettering

    drawn = resvg_py.svg_to_bytes(
        svg_string=content.decode(),
        background="#ffffff",
        skip_system_fonts=True,
        font_files=[str(lettering.FONT_FILE)],
        dpi=float(dpi),
    )
    return _grey(drawn)


PICTURES_TRIED = 3


class Chromium:
    """A browser that opens SVG files as documents. A message on its console fails the test."""

    def __init__(self, browser):
        self._content, self._messages = b"", []
        self._page = browser.new_page(device_scale_factor=1)
        self._page.route("**/*", self._serve)
        self._page.on("console", lambda message: self._messages.append(message.text))
        self._page.on("pageerror", lambda error: self._messages.append(str(error)))

    def _serve(self, route):
        route.fulfill(body=self._content, content_type="image/svg+xml")

    def opened(self, content):
        """Open a file; a PNG of what the browser shows."""
        self._content = content
        self._messages.clear()
        self._page.goto(_ADDRESS)
        shown = self._page.evaluate("[document.documentElement.localName, document.querySelector('parsererror')]")
        assert (shown, self._messages) == (["svg", None], []), f"{shown} {self._messages}"
        return self._photographed()

    def _photographed(self):
        """Try again if the browser takes no picture: it sometimes lacks memory, whatever the file."""
        from playwright.sync_api import Error

        for left in reversed(range(PICTURES_TRIED)):
            try:
                return self._page.screenshot()
            except Error as error:
                if left == 0 or "Unable to capture screenshot" not in str(error):
                    raise
                self._page.reload()
        raise AssertionError

    def picture(self, content):
        """A file whose sheet is whole pixels."""
        root = ET.fromstring(content)
        self._page.set_viewport_size({side: int(root.get(side).removesuffix("px")) for side in ("width", "height")})
        return _grey(self.opened(content))

    def close(self):
        self._page.close()


def _grey(png):
    from PIL import Image

    return np.asarray(Image.open(io.BytesIO(png)).convert("L"))


def differing(one, other):
    """How two pictures differ: in how many pixels by over half a grey scale, and how many of these lie together at most.

    Renderers end lines and letters a little differently, a pixel here and there; a tick that one lacks is six in a row.
    """
    from scipy import ndimage

    assert one.shape == other.shape, f"{one.shape} {other.shape}"
    apart = np.abs(one.astype(np.int16) - other) > HALF_A_GREY_SCALE
    spots, count = ndimage.label(apart, np.ones((3, 3)))
    return int(apart.sum()), int(np.bincount(spots.ravel())[1:].max()) if count else 0
