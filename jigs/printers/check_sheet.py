"""The check sheet: crosses as far apart as the margins allow, rulers, and a line on which to write each length.

Drawn as it is, it shows a printer's errors. Drawn with their correction in, it shows whether that is right.
"""

import math
from collections.abc import Sequence

from geometry.lengths import format_inches, format_mm
from jigs.drawing.blocks import blocks, heading, step_of
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import MEDIUM, SMALL, width_mm, writable
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.printers import words
from jigs.printers.expected import ALL_SPANS, expected
from jigs.printers.printer import Printer, Span, paper_key, rectangle_mm
from jigs.sheets.fitting import fitted
from jigs.sheets.paper import MARGIN_MM, Paper, Sheet, inset, on_sheet, room_on, size_in_words
from jigs.sheets.title import Title
from jigs.system.whole_files import file_stem

ARM_MM = 4.0
"""Of a cross, each way. It reaches into the margin, but not to where printers may cut it off."""

INSET_MM = 6.0
_LETTER_AT = 2.0
_SIDE_FROM = ARM_MM + 2.0
_ROW = 8.0
_GAP = 3.0
_COLUMN_GAP = 3.5
_BLANK_MM = 22.0
_BELOW_STEPS = 5.0
_BELOW_HEADING, _BETWEEN_STEPS = 4.0, 1.8
_LEAST_FIGURE, _GOOD_FIGURE, _MOST_FIGURE = 40.0, 55.0, 90.0
_INDENT = 5.0


def files(paper: Paper, formats: Sequence[str], printer: Printer | None = None) -> dict[str, bytes]:
    """The sheet in every format, in memory, by file name; corrected for a printer if there is one. Raises `InputFaults`."""
    sheet = lay_out(paper, printer)
    title = sheet.title.name if printer is None else f"{sheet.title.name}: {writable(printer.name)[0]}"
    subject = f"Scale 1:1 on {size_in_words(paper)}"
    return page_files([sheet], formats, sheet.title.stem, title, subject)


def lay_out(paper: Paper, printer: Printer | None = None) -> Sheet:
    """The sheet. Raises `InputFaults`, which names the papers that it fits."""
    return fitted(lambda on: _sheet(on, printer), paper, "the check sheet")


def stem(paper: Paper, printer: Printer | None = None) -> str:
    """What the sheet's files are called."""
    return f"printer-sheet-{paper_key(paper)}" if printer is None else f"printer-check-{file_stem(printer.name)}"


def picture(paper: Paper) -> bytes:
    """The sheet's crosses and distances drawn small, as an SVG file of its own size."""
    from jigs.export.svg import to_svg

    figure = _figure(paper, _GOOD_FIGURE)
    box = figure.bounds()
    width, height = math.ceil(box.width), math.ceil(box.height)
    placed = figure.shifted((width - box.width) / 2 - box.left, (height - box.height) / 2 - box.top)
    own = Paper(f"{width} x {height} mm", float(width), float(height))
    return to_svg(Sheet(own, placed, Title(words.DOCUMENT, "", "", scale="")), words.DOCUMENT, words.PICTURE)


def _sheet(paper: Paper, printer: Printer | None) -> Sheet:
    laid = paper if printer is None else printer.correction.laid_on(paper)
    width, height = rectangle_mm(laid)
    room = room_on(inset(laid, INSET_MM))
    facts = f"Crosses {format_mm(width)} and {format_mm(height)} apart"
    if printer is None:
        title = Title(words.DOCUMENT, "Printer:", facts, stem=stem(paper, printer))
        rows = tuple((span, _nominal(span, laid)) for span in ALL_SPANS)
        filled = _filled(room, laid, words.check_words(paper), "drawn", rows)
    else:
        of, note = writable(f"Printer: {printer.name}")[0], writable(printer.on_the_sheet)[0]
        title = Title(words.DOCUMENT_CORRECTED, of, facts, note=note, stem=stem(paper, printer))
        rows = tuple((one.span, words.must_read(one)) for one in expected(printer, paper))
        filled = _filled(room, laid, words.check_words_corrected(printer), "must read", rows)
    sheet = on_sheet(filled, laid, title, INSET_MM, to_check=False)
    marked = Sheet(laid, drawing(crosses(width, height).shifted(MARGIN_MM, MARGIN_MM), sheet.drawing), title)
    return marked if printer is None else printer.correction.corrected(marked, paper)


def _nominal(span: Span, laid: Paper) -> str:
    mm = math.hypot(*span.drawn_mm(*rectangle_mm(laid)))
    return f"{format_mm(mm)}  ({format_inches(mm)})"


def crosses(width: float, height: float) -> Drawing:
    """Crosses at the corners of a rectangle, its top left corner at the origin, with their letters inside, and its sides."""
    ends = {"A": (0.0, 0.0), "B": (width, 0.0), "C": (width, height), "D": (0.0, height)}
    items: list[Item] = []
    for letter, (x, y) in ends.items():
        runs = (((x - ARM_MM, y), (x + ARM_MM, y)), ((x, y - ARM_MM), (x, y + ARM_MM)))
        items.append(Path(runs, Role.FINE, f"cross-{letter.lower()}"))
        beside = _LETTER_AT if x == 0 else -_LETTER_AT
        base = y + (_LETTER_AT + MEDIUM if y == 0 else -_LETTER_AT)
        items.append(Text((x + beside, base), letter, MEDIUM, Anchor.START if x == 0 else Anchor.END))
    for span in ALL_SPANS[:4]:
        (x1, y1), (x2, y2) = ends[span.start], ends[span.end]
        inward_x, inward_y = span.x * _SIDE_FROM, span.y * _SIDE_FROM
        items.append(Line((x1 + inward_x, y1 + inward_y), (x2 - inward_x, y2 - inward_y), Role.PROVISIONAL))
    return drawing(items)


def _filled(room: Room, laid: Paper, said: words.CheckWords, head: str, rows: Sequence[tuple[Span, str]]) -> Drawing:
    """The job, steps, the table, and the figure if there is room; top left corner at the origin. Raises `DoesNotFit`.

    ``head`` is what the table says above its lengths. Steps are in smaller letters where the paper is too short for large
    ones.
    """
    for large in (True, False):
        upper = _words(said, room, large)
        table = _table(head, rows).shifted(0.0, upper.bounds().bottom + _BELOW_STEPS)
        if table.bounds().right > room.width - room.corner_width - _GAP:
            table = table.shifted(0.0, max(room.corner_height + _GAP - table.bounds().top, 0.0))
        if table.bounds().right > room.width:
            raise DoesNotFit(words.TOO_NARROW)
        foot = table.bounds().bottom
        if foot <= room.height:
            break
    else:
        raise DoesNotFit(words.TOO_SHORT)
    return drawing(upper, table, _beside_or_below(laid, table, room))


def _beside_or_below(laid: Paper, table: Drawing, room: Room) -> Drawing:
    """The figure beside the table, below it, or not at all where neither has room."""
    box = table.bounds()
    top = max(box.top, room.corner_height + _GAP)
    for height in (_GOOD_FIGURE, _LEAST_FIGURE):
        beside = _figure(laid, height)
        left = room.width - beside.bounds().right
        if left >= box.right + _ROW and top + height <= room.height:
            return beside.shifted(left, top)
    height = min(room.height - box.bottom - 2 * _ROW, _MOST_FIGURE)
    if height < _LEAST_FIGURE:
        return Drawing()
    below = _figure(laid, height)
    return below.shifted((room.width - below.bounds().width) / 2, box.bottom + _ROW)


def _words(said: words.CheckWords, room: Room, large: bool) -> Drawing:
    """The job and the steps beside the ruler."""
    width = room.width - room.corner_width - _GAP
    words_laid = heading(said.title, "", width)
    top = words_laid.bounds().bottom + _BELOW_HEADING
    for n, text in enumerate(said.steps, 1):
        step = (
            step_of(n, len(said.steps), text, 0.0, top, width) if large else blocks((f"{n} {text}",), 0.0, top, width)
        )
        words_laid += step
        top = step.bounds().bottom + _BETWEEN_STEPS
        if n == said.typed_after:
            typed = blocks((said.typed,), _INDENT, top, width - _INDENT)
            words_laid += typed
            top = typed.bounds().bottom + _BETWEEN_STEPS
    return words_laid + blocks(said.notes, 0.0, top, width)


def _table(head: str, rows: Sequence[tuple[Span, str]]) -> Drawing:
    """A row for each distance: number, crosses, where, its length, and a line to write on."""
    cells = [(f"({n})", span.name, span.where, length) for n, (span, length) in enumerate(rows, 1)]
    heads = ("", "from", "where", head)
    columns = [max(width_mm(text, SMALL) for text in column) for column in zip(heads, *cells, strict=True)]
    lefts = [sum(columns[:n]) + n * _COLUMN_GAP for n in range(len(columns))]
    end = sum(columns) + len(columns) * _COLUMN_GAP
    items: list[Item] = []
    for n, row in enumerate((heads, *cells)):
        base = SMALL + n * _ROW
        items += [Text((left, base), text, SMALL) for left, text in zip(lefts, row, strict=True) if text]
        if n:
            items.append(Line((end, base + 0.8), (end + _BLANK_MM, base + 0.8), Role.GUIDE, f"blank-{n}"))
    items.append(Text((end, SMALL), "measured", SMALL))
    return drawing(items)


def _figure(laid: Paper, high: float) -> Drawing:
    """The rectangle drawn small, every distance with its number; its top left corner at the origin."""
    width, height = rectangle_mm(laid)
    scale = (high - 2 * SMALL - 3.0) / height
    w, h, top = width * scale, height * scale, SMALL + 1.2
    left = width_mm("D", SMALL) + 1.2
    corners = {"A": (left, top), "B": (left + w, top), "C": (left + w, top + h), "D": (left, top + h)}
    items: list[Item] = []
    for letter, (x, y) in corners.items():
        anchor = Anchor.END if x == left else Anchor.START
        aside = -1.0 if x == left else 1.0
        items.append(Text((x + aside, y - 0.2 if y == top else y + SMALL + 0.2), letter, SMALL, anchor))
    for n, span in enumerate(ALL_SPANS, 1):
        start, end = corners[span.start], corners[span.end]
        share = 0.3 if span.x * span.y else 0.5
        items += _numbered(start, end, share, f"({n})")
    return drawing(items)


def _numbered(start: tuple[float, float], end: tuple[float, float], share: float, number: str) -> list[Item]:
    """A line with a gap for its number."""
    across, down = end[0] - start[0], end[1] - start[1]
    length = math.hypot(across, down)
    x, y = start[0] + share * across, start[1] + share * down
    half_width, half_height = width_mm(number, SMALL) / 2 + 0.8, SMALL / 2 + 1.0
    reach = min(
        half_width * length / abs(across) if across else math.inf,
        half_height * length / abs(down) if down else math.inf,
    )
    ways = (share - reach / length, share + reach / length)
    at = [(start[0] + way * across, start[1] + way * down) for way in ways]
    return [
        Path(((start, at[0]), (at[1], end)), Role.FINE),
        Text((x, y + SMALL / 2), number, SMALL, Anchor.MIDDLE),
    ]
