"""Paper: sizes, margins, and a drawing placed on a sheet between its rulers and its title block.

Nothing else knows paper. A template gets the `Room` it has; what it draws there is laid on the sheet at
its true size.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from geometry.lengths import MM_PER_INCH, LengthError, format_mm, parse_mm
from jigs.drawing.arcs import Point
from jigs.drawing.items import Drawing, Line, Role, Text, drawing
from jigs.drawing.lettering import SMALL, shortened
from jigs.drawing.room import HEADING_MM, Room
from jigs.faults import Place
from jigs.sheets import rulers, words
from jigs.sheets.title import HEIGHT_MM as TITLE_HEIGHT_MM
from jigs.sheets.title import Title, title_block

_INCH = float(MM_PER_INCH)

MARGIN_MM = 10.0
"""Home printers leave 4 to 6 mm blank, some leave more at the foot (common practice, no source)."""

CENTRING_MARK_MM = 4.0
"""How long a centring mark is, from the margin inwards; ISO 5457 has them, the length is our own."""

TRUE_SIZE = "1:1"
"""The scale of a sheet that has rulers, after ISO 5455: nothing on another is to be measured."""

_GAP = 4.0
_NOTE_GAP = 1.2
_LEAST_TITLE_WIDTH = 76.0
_MOST_TITLE_WIDTH = 90.0
_SMALLEST_MM, _SMALLEST_HEIGHT_MM, _LARGEST_MM = 130.0, 200.0, 5000.0
_INCHES_BELOW_MM = 50.0


@dataclass(frozen=True)
class Paper:
    """A sheet of paper, upright. ``name`` is what the title block says."""

    name: str
    width_mm: float
    height_mm: float


_A4_LONG_A3_SHORT_MM = 297.0

PAPERS = {
    "a4": Paper("A4", 210.0, _A4_LONG_A3_SHORT_MM),
    "letter": Paper("Letter", 8.5 * _INCH, 11 * _INCH),
    "legal": Paper("Legal", 8.5 * _INCH, 14 * _INCH),
    "a3": Paper("A3", _A4_LONG_A3_SHORT_MM, 420.0),
    "tabloid": Paper("Tabloid", 11 * _INCH, 17 * _INCH),
}
"""A sizes: ISO 216. Letter and tabloid: ANSI/ASME Y14.1 sizes A and B. Legal: common practice, no source."""


@dataclass(frozen=True)
class Sheet:
    """A drawing on paper, in mm from the top left corner of the sheet."""

    paper: Paper
    drawing: Drawing
    title: Title


def paper_named(text: str) -> Paper:
    """Paper by its name, or a custom size as WxH: ``"a4"``, ``"200x300"``, ``"8 in x 13 in"``.

    >>> paper_named("a4").height_mm, paper_named("200x300").name
    (297.0, '200 x 300 mm')
    """
    word, place = text.strip().lower(), Place(option="paper")
    if word in PAPERS:
        return PAPERS[word]
    sides = word.replace("×", "x").split("x")
    if len(sides) != 2:
        raise words.unknown_paper(text, list(PAPERS)).refusal(place)
    try:
        width, height = (float(parse_mm(side)) for side in sides)
    except LengthError:
        raise words.size_unread(text).refusal(place) from None
    if max(width, height) < _SMALLEST_MM or min(width, height) < _INCHES_BELOW_MM:
        bare = not any(char.isalpha() for char in "".join(sides))
        raise words.perhaps_inches(text, [f"{side.strip()}in" for side in sides] if bare else []).refusal(place)
    if not (_SMALLEST_MM <= width <= _LARGEST_MM and _SMALLEST_HEIGHT_MM <= height <= _LARGEST_MM):
        raise words.out_of_range(text, (_SMALLEST_MM, _SMALLEST_HEIGHT_MM), _LARGEST_MM).refusal(place)
    return Paper(f"{width:g} x {height:g} mm", width, height)


def _title_beside_ruler(paper: Paper) -> float:
    """Width that is left for a title block beside the ruler across."""
    return paper.width_mm - 2 * MARGIN_MM - rulers.LENGTH_MM - 2 * rulers.SIDE_MM - _GAP


def _foot_mm(paper: Paper) -> float:
    """Height that ruler and title block take at the foot of the sheet."""
    if _title_beside_ruler(paper) >= _LEAST_TITLE_WIDTH:
        return max(TITLE_HEIGHT_MM, rulers.HEIGHT_MM)
    return TITLE_HEIGHT_MM + _GAP + rulers.HEIGHT_MM


def room_on(paper: Paper) -> Room:
    """What a sheet leaves between margins, rulers and title block."""
    return Room(
        width=paper.width_mm - 2 * MARGIN_MM,
        height=paper.height_mm - 2 * MARGIN_MM - _foot_mm(paper) - _GAP,
        corner_width=rulers.HEIGHT_MM + 1.0,
        corner_height=rulers.SIDE_MM + rulers.REACH_MM,
    )


def own_size_for(*drawn: Drawing) -> Paper:
    """A sheet of its own size on which each drawing, however long, lies uncut below its heading."""
    boxes = [one.bounds() for one in drawn]
    width = max(box.width for box in boxes) + rulers.HEIGHT_MM + 2 * _GAP + 2 * MARGIN_MM
    widest_foot = 2 * MARGIN_MM + rulers.LENGTH_MM + 2 * rulers.SIDE_MM + _GAP + _LEAST_TITLE_WIDTH
    probe = Paper("", max(width, widest_foot), _LARGEST_MM)
    height = HEADING_MM + max(box.height for box in boxes) + 2 * MARGIN_MM + _foot_mm(probe) + _GAP
    ruler_height = room_on(probe).corner_height + 2 * MARGIN_MM + _foot_mm(probe) + _GAP
    width_mm, height_mm = math.ceil(probe.width_mm), math.ceil(max(height, ruler_height))
    return Paper(f"{width_mm} x {height_mm} mm", float(width_mm), float(height_mm))


def on_sheet(filled: Drawing, paper: Paper, title: Title, inset_mm: float = 0.0, to_check: bool = True) -> Sheet:
    """Lay what was drawn in its room on a sheet, with title block, centring marks, and rulers if it is at true size.

    ``inset_mm``: how far all except the centring marks keep from the margins; the room is then that of `inset` paper.
    ``to_check``: whether the rulers say what they must measure, which a printer's own check sheet cannot promise.
    """
    inner = inset(paper, inset_mm)
    laid = drawing(filled.shifted(MARGIN_MM, MARGIN_MM), _furniture(inner, title, to_check))
    laid = laid.shifted(inset_mm, inset_mm) if inset_mm else laid
    return Sheet(paper, drawing(laid, _centring_marks(paper)), title)


def inset(paper: Paper, by_mm: float) -> Paper:
    """What is left of a paper inside a frame."""
    return replace(paper, width_mm=paper.width_mm - 2 * by_mm, height_mm=paper.height_mm - 2 * by_mm)


def _furniture(paper: Paper, title: Title, to_check: bool) -> Drawing:
    """Title block, and rulers if it is at true size; under the ruler across, the title's note on the print."""
    right, foot = paper.width_mm - MARGIN_MM, paper.height_mm - MARGIN_MM
    if title.scale != TRUE_SIZE:
        width = min(right - MARGIN_MM, _MOST_TITLE_WIDTH)
        return title_block(replace(title, paper=paper.name), width).shifted(right - width, foot - TITLE_HEIGHT_MM)
    beside = _title_beside_ruler(paper)
    title_width = min(beside if beside >= _LEAST_TITLE_WIDTH else right - MARGIN_MM, _MOST_TITLE_WIDTH)
    across = _across(paper)
    under = across[0], across[1] + rulers.BELOW_MM + _NOTE_GAP + SMALL
    room = (right - title_width if beside >= _LEAST_TITLE_WIDTH else right) - _GAP - across[0]
    return drawing(
        _rulers(paper, to_check),
        title_block(replace(title, paper=paper.name), title_width).shifted(right - title_width, foot - TITLE_HEIGHT_MM),
        [Text(under, shortened(title.note, SMALL, room), SMALL)] if title.note else [],
    )


def _across(paper: Paper) -> Point:
    """Where the ruler across has its zero."""
    return MARGIN_MM + rulers.SIDE_MM, paper.height_mm - MARGIN_MM - _foot_mm(paper) + rulers.ABOVE_MM


@lru_cache(16)
def _rulers(paper: Paper, to_check: bool) -> Drawing:
    """Both rulers in their places: the same on every sheet of a paper."""
    down = paper.width_mm - MARGIN_MM - rulers.ABOVE_MM, MARGIN_MM + rulers.SIDE_MM
    return rulers.ruler_across(to_check).shifted(*_across(paper)) + rulers.ruler_down(to_check).shifted(*down)


def room_for(paper: Paper, scale: str) -> Room:
    """What a sheet leaves for a drawing: one that is not at true size needs no rulers."""
    return room_on(paper) if scale == TRUE_SIZE else list_room(paper)


def list_room(paper: Paper) -> Room:
    """What a sheet of words leaves. It needs no rulers, because nothing on it is measured."""
    return Room(paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM - TITLE_HEIGHT_MM - _GAP, 0.0, 0.0)


def _centring_marks(paper: Paper) -> Drawing:
    """Short lines at the middle of each side, after ISO 5457."""
    w, h = paper.width_mm, paper.height_mm
    near, far = MARGIN_MM - CENTRING_MARK_MM, MARGIN_MM - 1.5
    return drawing(
        Line((w / 2, near), (w / 2, far), Role.GUIDE),
        Line((w / 2, h - near), (w / 2, h - far), Role.GUIDE),
        Line((near, h / 2), (far, h / 2), Role.GUIDE),
        Line((w - near, h / 2), (w - far, h / 2), Role.GUIDE),
    )


def size_in_words(paper: Paper) -> str:
    """Name and size.

    >>> size_in_words(PAPERS["a4"])
    'A4 (210.0 mm x 297.0 mm)'
    """
    return f"{paper.name} ({format_mm(paper.width_mm)} x {format_mm(paper.height_mm)})"
