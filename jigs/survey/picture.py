"""The picture of a survey: a row for each fret, and how far it lies from where the rule wants it, drawn enlarged.

The nut is at the top, as on every drawing here; to the left is towards the nut, to the right towards the bridge. What a
reading error explains lies between the dashed lines.
"""

import math
from collections.abc import Sequence

from geometry.lengths import format_mm
from jigs.drawing.items import (
    Anchor,
    Circle,
    Drawing,
    Item,
    Line,
    Path,
    Role,
    Text,
    drawing,
    paragraph,
    paragraph_height_mm,
)
from jigs.drawing.lettering import LINE_STEP, SMALL, wrapped, writable
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.faults import Place
from jigs.sheets.fitting import fitted
from jigs.sheets.paper import Paper, Sheet, on_sheet, room_on, size_in_words
from jigs.sheets.title import Title
from jigs.survey import fault_words
from jigs.survey.file import SurveyedBoard
from jigs.survey.words import findings, named_in_short
from jigs.wording import signed

SCALES = (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Enlargements and reductions after ISO 5455, largest first."""

DOCUMENT = "Fretboard survey"

_STEPS_MM = tuple(step * 10.0**power for power in (-2, -1, 0, 1, 2, 3) for step in (1, 2, 5))
_LEAST_STEP = 9.5
_TICK = 2.0
_GAP = 1.2
_NUMBER_WIDTH, _NUMBER_AT = 14.0, 10.0
_FIGURES = (17.0, 15.0)
_REMARK = "out of place"
_REMARK_WIDTH = 21.0
_LEAST_HALF = 26.0
_LEAST_ROW, _MOST_ROW = 3.6, 8.0
_DOT = 0.9
_SAMPLE = 11.0


def files(board: SurveyedBoard, paper: Paper, formats: Sequence[str], stem: str) -> dict[str, bytes]:
    """The picture in every format, in memory, by file name. Raises `InputFaults`."""
    sheet = lay_out(board, paper)
    title, subject = f"{DOCUMENT}: {sheet.title.name}", f"Residuals on {size_in_words(paper)}"
    return page_files([sheet], formats, f"{stem}-survey", title, subject)


def lay_out(board: SurveyedBoard, paper: Paper) -> Sheet:
    """The picture on a sheet. Raises `InputFaults`, naming the papers that would do."""
    if board.found.best.residual_mm is None:
        raise fault_words.too_few_to_draw().refusal(Place(board.source, option="format"))
    filled = fitted(lambda on: draw(board, room_on(on)), paper, "the picture")
    scale = board.found.best.scale
    facts = f"Scale length {format_mm(scale.mm, 2)} ± {format_mm(scale.se_mm, 2)}"
    drawn = scale_in_words(enlargement(board, _half(room_on(paper))))
    return on_sheet(filled, paper, Title(writable(board.name)[0], DOCUMENT, facts, scale=drawn))


def draw(board: SurveyedBoard, room: Room) -> Drawing:
    """The picture in its room. Raises `DoesNotFit`. Needs residuals."""
    width = room.width - room.corner_width - 2.0
    words = _words([*findings(board)[:-1], f"out of place: {named_in_short(board)}"], width)
    half = _half(room)
    legend = _legend(board, width, enlargement(board, half))
    top = words.bounds().bottom + 3 * SMALL
    below = legend.bounds().bottom + 2 * SMALL
    plot_top = top + 3 * SMALL + _TICK
    last = int(board.found.frets[-1])
    row = min(_MOST_ROW, (room.height - below - SMALL - 2 * _GAP - _TICK - plot_top) / (last + 1))
    if row < _LEAST_ROW:
        raise DoesNotFit(f"it is too short for {last} rows")
    if half < _LEAST_HALF:
        raise DoesNotFit("it is too narrow")
    middle = _NUMBER_WIDTH + _DOT + half
    plot = _plot(board, middle, half, plot_top, row)
    foot = plot_top + row * (last + 1) + _TICK + _GAP + SMALL + 2 * SMALL
    return drawing(words, plot, legend.shifted(0.0, foot))


def _half(room: Room) -> float:
    """How far the plot reaches to either side."""
    return (room.width - room.corner_width - 2.0 - _NUMBER_WIDTH - sum(_FIGURES) - _REMARK_WIDTH) / 2 - _DOT


def _words(texts: Sequence[str], width: float) -> Drawing:
    found, top = Drawing(), 0.0
    for text in texts:
        lines = wrapped(_kept_together(text), SMALL, width)
        found += paragraph(lines, 0.0, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 0.6)
    return found


def _kept_together(text: str) -> str:
    """A text as it is lettered: a true minus, and no line that breaks between a number and its unit.

    >>> _kept_together("nut: -0.47 mm ± 0.03 mm: too short").split(" ")
    ['nut:', '−0.47\\xa0mm\\xa0±\\xa00.03\\xa0mm:', 'too', 'short']
    """
    text = text.replace(" -", " −")
    return text.replace(" mm", "\N{NO-BREAK SPACE}mm").replace(" ± ", "\N{NO-BREAK SPACE}±\N{NO-BREAK SPACE}")


def enlargement(board: SurveyedBoard, half: float) -> float:
    """The largest scale of ISO 5455 at which every residual and every limit lies within ``half`` mm of the middle."""
    found = board.found
    lengths = [abs(float(mm)) for mm in found.best.residual_mm] if found.best.residual_mm is not None else []
    lengths.append(found.reading_error_mm)
    if found.naming is not None:
        lengths += [abs(float(mm)) for mm in (*found.naming.low_mm, *found.naming.high_mm)]
    return next((scale for scale in SCALES if max(lengths) * scale <= half), SCALES[-1])


def scale_in_words(scale: float) -> str:
    """A drawing scale as ISO 5455 writes it.

    >>> scale_in_words(20.0), scale_in_words(0.5)
    ('20:1', '1:2')
    """
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def _plot(board: SurveyedBoard, middle: float, half: float, top: float, row: float) -> Drawing:
    found = board.found
    off, cents, naming = found.best.residual_mm, found.residual_cents, found.naming
    if off is None or cents is None:
        return Drawing()
    scale = enlargement(board, half)
    last = int(found.frets[-1])
    foot = top + row * (last + 1)
    error = found.reading_error_mm * scale
    items: list[Item] = [
        Line((middle, top), (middle, foot), Role.GUIDE, "rule"),
        Line((middle - error, top), (middle - error, foot), Role.FINE, "reading-error-low"),
        Line((middle + error, top), (middle + error, foot), Role.FINE, "reading-error-high"),
        *_axis(middle, half, scale, top, foot),
        Text((middle - half, top - _TICK - 2.2 * SMALL), "to the nut", SMALL),
        Text((middle + half, top - _TICK - 2.2 * SMALL), "to the bridge", SMALL, Anchor.END),
        Text((_NUMBER_AT, top - _TICK - _GAP), "fret", SMALL, Anchor.END),
    ]
    columns = [middle + half + _DOT + sum(_FIGURES[: n + 1]) for n in range(len(_FIGURES))]
    for right, head in zip(columns, ("off, mm", "cents"), strict=True):
        items.append(Text((right, top - _TICK - _GAP), head, SMALL, Anchor.END))
    places = {int(fret): n for n, fret in enumerate(found.frets)}
    if naming is not None:
        items += _band(
            [(top + row * fret, middle + scale * naming.low_mm[n]) for fret, n in places.items()], row, "limit-low"
        )
        items += _band(
            [(top + row * fret, middle + scale * naming.high_mm[n]) for fret, n in places.items()], row, "limit-high"
        )
    for fret in range(1, last + 1):
        y = top + row * fret
        base = y + SMALL / 2
        items.append(Text((_NUMBER_AT, base), str(fret), SMALL, Anchor.END))
        if fret not in places:
            continue
        n = places[fret]
        x = middle + scale * float(off[n])
        inner = x - math.copysign(_DOT, x - middle)
        if abs(x - middle) > _DOT:
            items.append(Line((middle, y), (inner, y), Role.MARK, f"bar-{fret}"))
        items.append(Circle((x, y), _DOT, Role.MARK, f"fret-{fret}"))
        for right, value in zip(columns, (signed(float(off[n]), 2), signed(float(cents[n]), 1)), strict=True):
            items.append(Text((right, base), value, SMALL, Anchor.END))
        if naming is not None and naming.out_of_place[n]:
            items.append(Text((columns[-1] + 2.0, base), _REMARK, SMALL))
    return drawing(items)


def _axis(middle: float, half: float, scale: float, top: float, foot: float) -> list[Item]:
    step = next(step for step in _STEPS_MM if step * scale >= _LEAST_STEP)
    reach = int(half / (step * scale))
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    items: list[Item] = []
    for level, out in ((top, -1.0), (foot, 1.0)):
        items.append(Line((middle - half, level), (middle + half, level), Role.GUIDE))
        for n in range(-reach, reach + 1):
            x = middle + n * step * scale
            items.append(Line((x, level), (x, level + out * _TICK), Role.FINE))
            base = level - _TICK - _GAP if out < 0 else level + _TICK + _GAP + SMALL
            items.append(Text((x, base), signed(n * step, decimals), SMALL, Anchor.MIDDLE))
    return items


def _band(points: Sequence[tuple[float, float]], row: float, name: str) -> list[Item]:
    """One dashed line down the rows, stepping from limit to limit, broken where a fret was not measured."""
    runs: list[list[tuple[float, float]]] = []
    for n, (y, x) in enumerate(points):
        if not n or y - points[n - 1][0] > 1.5 * row:
            runs.append([])
        runs[-1] += [(x, y - row / 2), (x, y + row / 2)]
    return [Path(tuple(map(tuple, runs)), Role.PROVISIONAL, name)]


def _legend(board: SurveyedBoard, width: float, scale: float) -> Drawing:
    """A sample of each line, and what it means; its top at y = 0."""
    found = board.found
    rows = [
        (Role.MARK, f"fret, measured against where the rule wants it; across, in mm, drawn {scale_in_words(scale)}"),
        (Role.FINE, f"reading error of one reading, ± {format_mm(found.reading_error_mm, 2)}, {board.error_from}"),
    ]
    if found.naming is not None:
        rows.append((Role.PROVISIONAL, "a fret beyond these is out of place: the reading error does not explain it"))
    legend, top = Drawing(), 0.0
    for role, text in rows:
        lines = wrapped(text, SMALL, width - _SAMPLE - 2.0)
        level = top + SMALL / 2
        mark = role is Role.MARK
        legend += drawing(
            Line((0.0, level), (_SAMPLE - (2 * _DOT if mark else 0.0), level), role),
            [Circle((_SAMPLE - _DOT, level), _DOT, role)] if mark else [],
            paragraph(lines, _SAMPLE + 2.0, top, SMALL),
        )
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 1)
    return legend
