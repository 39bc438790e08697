"""A reader of printed pages: what a person would find wrong on each page of a PDF, read back with pdfplumber.

Letters are as large as FreeType finds them in the typeface, whatever our own measure of them says. All is in millimetres
from the top left corner.
"""

import io
from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely
from readers import MM_PER_POINT
from shapely.geometry import LineString, Polygon

from jigs.drawing.lettering import FONT_FILE

CAPITAL_PER_EM = 1493 / 2048
EDGE_MM = 5.0
LEAST_LETTER_MM, HEADING_MM = 2.5, 7.0
TOLERANCE = 0.01
_UNITS = 2048
_TITLE_BLOCK_FROM_EDGE_MM = 10.0
_POINTS_OF_A_CURVE = 12
_GRAZED_MM2 = 0.005


@dataclass(frozen=True)
class Word:
    """Letters without a space between them: the box that their ink takes, and the height of a capital."""

    text: str
    box: Polygon
    capital_mm: float


@dataclass(frozen=True)
class Stroke:
    """A line as it is drawn, and half its width."""

    line: LineString
    half_mm: float


@dataclass(frozen=True)
class PageRead:
    """What is on a page. ``block``: the title block's rectangle, if one was found."""

    width_mm: float
    height_mm: float
    texts: tuple[str, ...]
    words: tuple[Word, ...]
    strokes: tuple[Stroke, ...]
    fills: tuple[Polygon, ...]
    block: Polygon | None

    @property
    def headings(self):
        """Words as large as a heading's."""
        return [word.text for word in self.words if abs(word.capital_mm - HEADING_MM) <= HEADING_MM * TOLERANCE]


def pages_of(content):
    """Every page of a PDF."""
    import pdfplumber

    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return [_page(sheet) for sheet in pdf.pages]


def faults_of(content):
    """What is wrong on the pages of a PDF, as (page from 1, what)."""
    return [(n, wrong) for n, page in enumerate(pages_of(content), 1) for wrong in wrong_on(page)]


def wrong_on(page):
    """What is wrong on a page, a sentence each."""
    return [*_over_words(page), *_crossed(page), *_at_the_edge(page), *_small(page), *_headless(page), *_clipped(page)]


def _over_words(page):
    boxes = [word.box for word in page.words]
    for one, other in _pairs(boxes, boxes, "intersects"):
        if one < other and boxes[one].intersection(boxes[other]).area > _GRAZED_MM2:
            yield f"{page.words[one].text!r} over {page.words[other].text!r}"
    for word, _ in _pairs(boxes, page.fills, "intersects"):
        yield f"{page.words[word].text!r} on grey"


def _crossed(page):
    boxes, lines = [word.box for word in page.words], [stroke.line for stroke in page.strokes]
    widest = max((stroke.half_mm for stroke in page.strokes), default=0.0)
    found = {}
    for word, stroke in _pairs(boxes, lines, "dwithin", widest):
        if boxes[word].distance(lines[stroke]) < page.strokes[stroke].half_mm:
            found.setdefault(word, lines[stroke])
    for word, line in found.items():
        (left, top), (right, foot) = line.coords[0], line.coords[-1]
        yield f"{page.words[word].text!r} crossed by a line, {left:.1f} {top:.1f} to {right:.1f} {foot:.1f}"


def _at_the_edge(page):
    inner = shapely.box(EDGE_MM, EDGE_MM, page.width_mm - EDGE_MM, page.height_mm - EDGE_MM)
    for word in page.words:
        if not inner.contains(word.box):
            yield f"{word.text!r} at the paper's edge"
    for stroke in page.strokes:
        if not inner.buffer(-stroke.half_mm).covers(stroke.line):
            yield "a line at the paper's edge, " + " ".join(f"{side:.1f}" for side in stroke.line.bounds)


def _small(page):
    for word in page.words:
        if word.capital_mm < LEAST_LETTER_MM * (1 - TOLERANCE):
            yield f"{word.text!r} only {word.capital_mm:.2f} mm high"


def _headless(page):
    if not page.headings:
        yield "no heading"


def _clipped(page):
    """Words that were cut short, which only a title block may do."""
    for word in page.words:
        if "…" in word.text and not (page.block and page.block.contains(word.box)):
            yield f"{word.text!r} is cut short"
        if "\N{REPLACEMENT CHARACTER}" in word.text:
            yield f"{word.text!r} is not written"


def _pairs(ours, theirs, predicate, distance=None):
    """Places of those of ours that meet one of theirs, and its place."""
    if not ours or not theirs:
        return []
    tree = shapely.STRtree(list(theirs))
    return [(int(a), int(b)) for a, b in zip(*tree.query(list(ours), predicate, distance), strict=True)]


def _page(sheet):
    height = float(sheet.height)
    texts = [text for text in _texts(sheet.chars) if "".join(char["text"] for char in text).strip()]
    items = [*sheet.lines, *sheet.curves, *sheet.rects]
    strokes = tuple(stroke for item in items if item["stroke"] for stroke in _strokes(item))
    fills = tuple(Polygon(run) for item in items if item["fill"] for run in _runs(item) if len(run) > 2)
    right, foot = float(sheet.width) * MM_PER_POINT, height * MM_PER_POINT
    blocks = [
        Polygon(run)
        for item in items
        if item["stroke"]
        for run in _runs(item)
        if len(run) == 5
        and max(abs(run.max(axis=0) - (right - _TITLE_BLOCK_FROM_EDGE_MM, foot - _TITLE_BLOCK_FROM_EDGE_MM))) < 0.1
    ]
    return PageRead(
        right,
        foot,
        tuple("".join(char["text"] for char in text) for text in texts),
        tuple(word for text in texts for word in _words(text, height)),
        strokes,
        fills,
        blocks[0] if blocks else None,
    )


def _texts(chars):
    """Characters that follow each other along one base line."""
    texts, pen = [], None
    for char in chars:
        a, b, _, _, x, y = char["matrix"]
        here = np.array((x, y, a, b))
        if pen is None or abs(here - pen).max() > 0.01:
            texts.append([])
        texts[-1].append(char)
        pen = np.array((x + char["adv"] * a, y + char["adv"] * b, a, b))
    return texts


def _words(text, height):
    word = []
    for char in [*text, None]:
        if char is None or char["text"].isspace():
            if word:
                yield _word(word, height)
            word = []
        else:
            word.append(char)


def _word(chars, height):
    a, b, _, _, x, y = chars[0]["matrix"]
    length = sum(char["adv"] for char in chars)
    em = _em_points(chars[0])
    letters = "".join(char["text"] for char in chars)
    inks = [_ink(letter) for letter in letters]
    top, foot = max(ink[0] for ink in inks) * em, min(ink[1] for ink in inks) * em
    corners = [
        (x + along * a - up * b, y + along * b + up * a)
        for along, up in ((0, foot), (length, foot), (length, top), (0, top))
    ]
    box = Polygon([(across * MM_PER_POINT, (height - up) * MM_PER_POINT) for across, up in corners])
    return Word(letters, box, em * CAPITAL_PER_EM * MM_PER_POINT)


def _em_points(char):
    """The font's size: pdfplumber has it only of upright letters, so it is worked out from the letter's box."""
    a, b = char["matrix"][:2]
    if abs(a) > abs(b):
        return (char["height"] - char["adv"] * abs(b)) / abs(a)
    return (char["width"] - char["adv"] * abs(a)) / abs(b)


@cache
def _ink(letter):
    """How far a letter reaches over its base line and below it, in ems, up positive."""
    from PIL import ImageFont

    _, top, _, foot = ImageFont.truetype(str(FONT_FILE), _UNITS).getbbox(letter, anchor="ls")
    return -top / _UNITS, -foot / _UNITS


def _strokes(item):
    half = float(item["linewidth"]) / 2 * MM_PER_POINT
    return [Stroke(LineString(run), half) for run in _runs(item) if len(run) > 1]


def _runs(item):
    """The runs of a path, in mm, with its curves as chords."""
    runs, begin = [], None
    for verb, *points in item["path"]:
        ends = [np.array(point, dtype=float) * MM_PER_POINT for point in points]
        if verb == "m":
            runs.append([ends[0]])
            begin = ends[0]
        elif verb == "h":
            runs[-1].append(begin)
        elif verb == "l":
            runs[-1].append(ends[0])
        else:
            runs[-1] += _curve(runs[-1][-1], *ends)
    return [np.array(run) for run in runs]


def _curve(start, *controls):
    one, two, end = controls
    shares = np.linspace(0, 1, _POINTS_OF_A_CURVE)[1:, None]
    rest = 1 - shares
    return list(start * rest**3 + 3 * one * shares * rest**2 + 3 * two * shares**2 * rest + end * shares**3)
