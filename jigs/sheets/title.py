"""The title block: whose the sheet is, what it is, at which scale, from which file, with room for a date.

Its fields follow ISO 7200 (title, document type, sheet number, date of issue, scale after ISO 5455).
"""

from dataclasses import dataclass

from jigs import __version__
from jigs.drawing.items import Drawing, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LARGE, MEDIUM, SMALL, first_writable, kept_ends, shortened, width_mm, wrapped
from jigs.sheets import words

_PAD = 1.5
_ROW = 4.3
_BASE = 1.1
_CELL_GAP = 0.4
_NAME_MM = 8.0
_NAME_LINES, _NAME_STEP = 2, 3.6
_TEXT_ROWS = 2
_CELL_ROWS = 3
_FRAME = Role.MARK
HEIGHT_MM = _NAME_MM + _ROW * (_TEXT_ROWS + _CELL_ROWS)
"""Of every title block: as high for a short name as for a long one."""

PROGRAM = f"bridge-jigs {__version__}"


@dataclass(frozen=True)
class Title:
    """What a title block says.

    ``facts`` is a line of figures, ``scale`` as ISO 5455 writes it, empty where nothing is to scale. ``stem``: how the
    instrument's file is called, without its ending. ``note`` is about the print; it goes under the ruler across. ``part``:
    how the sheet's own file ends, if a drawing has several.
    """

    name: str
    document: str
    facts: str
    paper: str = ""
    sheet: int = 1
    sheets: int = 1
    scale: str = "1:1"
    note: str = ""
    stem: str = ""
    part: str = ""


def title_block(title: Title, width: float) -> Drawing:
    """A block of ``width`` by `HEIGHT_MM`, its top left corner at the origin."""
    room = width - 2 * _PAD
    rows = [HEIGHT_MM - n * _ROW for n in range(_CELL_ROWS, 0, -1)]
    cells = (
        (
            (words.scale_in_words(title.scale), 0.0),
            (title.paper, 0.36),
            (words.sheet_in_words(title.sheet, title.sheets), 0.64),
        ),
        ((first_writable(title.stem, ""), 0.0),),
        ((words.DATE, 0.0), (PROGRAM, 0.36), (words.UNIT, 0.84)),
    )
    frame = ((0.0, 0.0), (width, 0.0), (width, HEIGHT_MM), (0.0, HEIGHT_MM))
    return drawing(
        Path((frame,), _FRAME, "title-block", closed=True),
        (Line((0.0, y), (width, y), Role.GUIDE) for y in rows),
        _name(title.name, room),
        (
            Text((_PAD, _NAME_MM + (n + 1) * _ROW - _BASE), shortened(text, SMALL, room), SMALL)
            for n, text in enumerate((title.document, title.facts))
        ),
        *(_cells(row, top, width) for row, top in zip(cells, rows, strict=True)),
    )


def _name(name: str, room: float) -> Drawing:
    """The name as large as one line holds it, or on two lines; its end always stays, because it may be a number."""
    for height in (LARGE, MEDIUM):
        if width_mm(name, height) <= room:
            return drawing(Text((_PAD, (_NAME_MM + height) / 2), name, height))
    lines = wrapped(name, SMALL, room)
    if len(lines) > _NAME_LINES or any(width_mm(line, SMALL) > room for line in lines):
        lines = kept_ends(name, SMALL, room, _NAME_LINES)
    first = (_NAME_MM - (len(lines) - 1) * _NAME_STEP + SMALL) / 2
    return Drawing(tuple(Text((_PAD, first + n * _NAME_STEP), line, SMALL) for n, line in enumerate(lines)))


def _cells(cells: tuple[tuple[str, float], ...], top: float, width: float) -> Drawing:
    """A row of words, each starting at its share of the width, or where the words before it leave it room."""
    starts = _starts(cells, width)
    rooms = [end - start - _PAD - _CELL_GAP for start, end in zip(starts, [*starts[1:], width], strict=True)]
    return drawing(
        (Line((start, top), (start, top + _ROW), Role.GUIDE) for start in starts[1:]),
        (
            Text((start + _PAD, top + _ROW - _BASE), kept_ends(text, SMALL, room, 1)[0], SMALL)
            for (text, _), start, room in zip(cells, starts, rooms, strict=True)
            if text
        ),
    )


def _starts(cells: tuple[tuple[str, float], ...], width: float) -> list[float]:
    """Where the cells of a row start: at their shares, or if one's words are wider there, as far apart as all words need."""
    needs = [width_mm(text, SMALL) + _PAD + _CELL_GAP for text, _ in cells]
    starts = [share * width for _, share in cells]
    wide = any(need > end - start for need, start, end in zip(needs, starts, [*starts[1:], width], strict=True))
    spare = (width - sum(needs)) / len(needs)
    return [sum(needs[:n]) + n * spare for n in range(len(needs))] if wide and spare > 0 else starts
