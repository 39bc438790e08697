"""The check sheet: crosses as far apart as the margins allow, rulers, and a line to write each length between crosses on.

Drawn as it is, it tells a printer's errors. Drawn with their correction in, it tells whether that is right.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.lengths import format_inches, format_mm
from geometry.tolerance import HALF_WIDTH_95
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing, paragraph, paragraph_height_mm
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, width_mm, wrapped, writable
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.faults import old_refuse
from jigs.printers.printer import SPANS, Printer, Span, paper_key, rectangle_mm
from jigs.sheets.paper import MARGIN_MM, PAPERS, Paper, Sheet, inset, on_sheet, room_on, size_in_words
from jigs.sheets.title import Title
from jigs.system.whole_files import file_stem
from jigs.wording import round_up

DOCUMENT = "Check sheet for a printer"
DOCUMENT_CORRECTED = "Check of a printer's correction"

ARM_MM = 4.0
"""Of a cross, each way; outside the margin its point keeps clear of where printers may cut it off."""

INSET_MM = 6.0
_LETTER_AT = 2.0
_SIDE_FROM = ARM_MM + 2.0
_ROW = 8.0
_GAP = 3.0
_COLUMN_GAP = 3.5
_BLANK_MM = 24.0
_BELOW_STEPS = 4.0
_LEAST_FIGURE, _MOST_FIGURE = 40.0, 90.0
_INDENT = 5.0

ALL_SPANS = tuple(span for spans in SPANS.values() for span in spans)


@dataclass(frozen=True)
class Expected:
    """What must be read on a corrected sheet: ``mm``, and in 95 of 100 readings no more than ``plus_minus_mm`` off.

    The latter is None where the readings that the correction comes from do not tell.
    """

    span: Span
    mm: float
    plus_minus_mm: float | None


def expected(printer: Printer, paper: Paper) -> tuple[Expected, ...]:
    """What must be read on the check sheet with a printer's correction in."""
    width, height = rectangle_mm(printer.correction.laid_on(paper))
    drawn = np.array([span.drawn_mm(width, height) for span in ALL_SPANS])
    put_right = printer.calibration.printer.correction
    reads_within = printer.reading_error_mm * float(printer.calibration.widened)
    errors = printer.calibration.printed_se_mm(drawn @ put_right.T)
    return tuple(
        Expected(
            span,
            math.hypot(*span.drawn_mm(width, height)),
            HALF_WIDTH_95 * math.hypot(float(error), reads_within)
            if printer.calibration.shear_known or not span.x * span.y
            else None,
        )
        for span, error in zip(ALL_SPANS, errors, strict=True)
    )


def files(paper: Paper, formats: Sequence[str], printer: Printer | None = None) -> dict[str, bytes]:
    """The sheet in every format, in memory, by file name; corrected for a printer if there is one. Raises `InputFaults`."""
    sheet = lay_out(paper, printer)
    stem = f"printer-sheet-{paper_key(paper)}" if printer is None else f"printer-check-{file_stem(printer.name)}"
    title = sheet.title.name if printer is None else f"{sheet.title.name}: {writable(printer.name)[0]}"
    subject = f"Scale 1:1 on {size_in_words(paper)}"
    return page_files([sheet], formats, stem, title, subject)


def lay_out(paper: Paper, printer: Printer | None = None) -> Sheet:
    """The sheet. Raises `InputFaults`, naming the papers that would do."""
    try:
        return _sheet(paper, printer)
    except DoesNotFit as reason:
        enough = " or ".join(size_in_words(other) for other in PAPERS.values())
        what = f"the check sheet does not fit on {size_in_words(paper)}: {reason}; take {enough}"
        raise old_refuse("--paper", what) from None


def _sheet(paper: Paper, printer: Printer | None) -> Sheet:
    laid = paper if printer is None else printer.correction.laid_on(paper)
    width, height = rectangle_mm(laid)
    room = room_on(inset(laid, INSET_MM))
    facts = f"Crosses {format_mm(width)} and {format_mm(height)} apart"
    if printer is None:
        title = Title(DOCUMENT, "Printer:", facts)
        words = _words(room, laid, _steps(paper), tuple((span, _nominal(span, laid)) for span in ALL_SPANS))
    else:
        of, note = writable(f"Printer: {printer.name}")[0], writable(printer.on_the_sheet)[0]
        title = Title(DOCUMENT_CORRECTED, of, facts, note=note)
        rows = tuple((one.span, must_read(one)) for one in expected(printer, paper))
        words = _words(room, laid, _steps_corrected(printer), rows)
    sheet = on_sheet(words, laid, title, INSET_MM, ruler_words="")
    marked = Sheet(laid, drawing(crosses(width, height).shifted(MARGIN_MM, MARGIN_MM), sheet.drawing), title)
    return marked if printer is None else printer.correction.corrected(marked, paper)


def _steps(paper: Paper) -> tuple[str, ...]:
    return (
        "1 Print this sheet as you print your templates: same paper, same tray, at actual size, 100\N{NO-BREAK SPACE}%, no"
        ' "fit to page".',
        "2 Let it lie flat for some minutes: heat shrinks paper.",
        "3 Measure with a steel rule, from the middle of one cross to the middle of another, as finely as you can read."
        " Write each length on its line. If your rule is too short for a diagonal, leave both diagonals out.",
        "4 Type this on one line, each length in place of its number in brackets, in millimetres or with its unit, as in"
        ' "7\N{NO-BREAK SPACE}31/64\N{NO-BREAK SPACE}in". NAME is whatever you call this printer:',
        f"> jigs printer add NAME --paper {paper_key(paper)} --across (1) (2) --down (3) (4) --diagonals (5) (6)",
        "5 From then on put --printer NAME behind jigs draw, and its errors are put right.",
    )


def _steps_corrected(printer: Printer) -> tuple[str, ...]:
    return (
        '1 Print this sheet on that printer at actual size, 100\N{NO-BREAK SPACE}%, no "fit to page".',
        "2 Let it lie flat for some minutes: heat shrinks paper.",
        "3 Measure with a steel rule, from the middle of one cross to the middle of another. The table says what you must"
        " read. 95 in 100 readings lie within plus and minus, with a reading error of"
        f" {printer.reading_error_mm:g}\N{NO-BREAK SPACE}mm.",
        "4 If several lengths are off by more, the printer was not at actual size, or has changed: then measure a new check"
        " sheet.",
    )


def _nominal(span: Span, laid: Paper) -> str:
    mm = math.hypot(*span.drawn_mm(*rectangle_mm(laid)))
    return f"{format_mm(mm)}  ({format_inches(mm)})"


def must_read(one: Expected) -> str:
    """A length and what it may be off by; no promise is made that a reading could break unduly."""
    if one.plus_minus_mm is None:
        return f"{format_mm(one.mm)}, if not askew"
    return f"{format_mm(one.mm)} ± {round_up(one.plus_minus_mm, 1)} mm"


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


def _words(room: Room, laid: Paper, steps: Sequence[str], rows: Sequence[tuple[Span, str]]) -> Drawing:
    """Steps, the table, and the figure where there is room; top left corner at the origin. Raises `DoesNotFit`."""
    width = room.width - room.corner_width - _GAP
    told, top = Drawing(), 0.0
    for step in steps:
        typed = step.startswith("> ")
        lines = wrapped(step.removeprefix("> "), SMALL, width - (_INDENT if typed else 0.0))
        told += paragraph(lines, _INDENT if typed else 0.0, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * LINE_STEP
    table = _table(rows).shifted(0.0, top + _BELOW_STEPS)
    if table.bounds().right > width:
        table = table.shifted(0.0, max(room.corner_height + _GAP - table.bounds().top, 0.0))
    if table.bounds().right > room.width:
        raise DoesNotFit("it is too narrow")
    foot = table.bounds().bottom
    if foot > room.height:
        raise DoesNotFit("it is too short")
    height = min(room.height - foot - 2 * _ROW, _MOST_FIGURE)
    if height < _LEAST_FIGURE:
        return told + table
    figure = _figure(laid, height)
    aside = (room.width - figure.bounds().width) / 2
    return drawing(told, table, figure.shifted(aside, foot + _ROW))


def _table(rows: Sequence[tuple[Span, str]]) -> Drawing:
    """A row for each distance: number, crosses, where, how long it is drawn, and a line to write on."""
    cells = [(f"({n})", span.name, span.where, told) for n, (span, told) in enumerate(rows, 1)]
    heads = ("", "from", "where", "drawn" if "±" not in rows[0][1] else "must read")
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
    """The rectangle in small, every distance with its number; its top left corner at the origin."""
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


def as_dict(printer: Printer, paper: Paper) -> Mapping[str, object]:
    """What must be read, for programs."""
    return {
        "name": printer.name,
        "paper": paper_key(paper),
        "readings": [
            {"from": one.span.start, "to": one.span.end, "nominal_mm": one.mm, "plus_minus_mm": one.plus_minus_mm}
            for one in expected(printer, paper)
        ],
    }


def in_lines(printer: Printer, paper: Paper) -> list[str]:
    """What must be read, in words."""
    return [
        f"on {size_in_words(paper)}, printed at actual size by {printer.name}, you must read:",
        *(f"{one.span.name}, {one.span.where}: {must_read(one)}" for one in expected(printer, paper)),
        "± is for one reading, 95 in 100 lie within; if several are off by more, measure a new check sheet",
    ]
