"""The picture of a survey: a row for each fret, and how far it lies from its place by the rule, drawn enlarged.

The nut is at the top, as on every drawing here. Left is towards the nut, right towards the bridge. Frets whose distance the
reading error explains lie between the dashed lines.
"""

import math
from collections.abc import Sequence

from geometry.lengths import format_mm
from jigs.drawing.blocks import SAMPLE_MM, blocks, heading, legend_of
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL, first_writable, writable
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.faults import Place
from jigs.sheets.fitting import fitted
from jigs.sheets.paper import Paper, Sheet, list_room, on_sheet, size_in_words
from jigs.sheets.title import Title
from jigs.survey import fault_words, words
from jigs.survey.file import SurveyedBoard
from jigs.wording import signed, unbroken

SCALES = (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Enlargements and reductions after ISO 5455, largest first."""

DOCUMENT = "Fretboard survey"

_STEPS_MM = tuple(step * 10.0**power for power in (-2, -1, 0, 1, 2, 3) for step in (1, 2, 5))
_LEAST_STEP = 9.5
_TICK = 2.0
_GAP = 1.2
_NUMBER_WIDTH, _NUMBER_AT = 14.0, 10.0
_FIGURES = (17.0, 15.0)
_REMARK_WIDTH = 23.0
_LEAST_HALF = 26.0
_LEAST_ROW, _MOST_ROW = 3.6, 8.0
_DOT = 0.9
_BELOW_HEADING = 5.0
_AXIS = _TICK + _GAP + SMALL
_OWN_WIDTH, _OWN_MARGIN, _OWN_ROW = 124.0, 4.0, 5.0


def files(board: SurveyedBoard, paper: Paper, formats: Sequence[str], stem: str) -> dict[str, bytes]:
    """The picture in every format, in memory, by file name. Raises `InputFaults`."""
    sheet = lay_out(board, paper, stem)
    title, subject = f"{DOCUMENT}: {sheet.title.name}", f"Residuals on {size_in_words(paper)}"
    return page_files([sheet], formats, f"{stem}-survey", title, subject)


def lay_out(board: SurveyedBoard, paper: Paper, stem: str = "") -> Sheet:
    """The picture on a sheet; ``stem`` names the board's file. Raises `InputFaults`, which names the papers that it fits."""
    if board.survey.best.residual_mm is None:
        raise fault_words.too_few_to_draw().refusal(Place(board.source, option="format"))
    filled = fitted(lambda on: draw(board, list_room(on)), paper, "the picture")
    scale = board.survey.best.scale
    facts = f"Scale length {format_mm(scale.mm, 2)} {words.plus_minus(scale)}"
    drawn = words.across_only(scale_in_words(enlargement(board, _half(list_room(paper)))))
    name = first_writable(board.name, stem, writable(board.name)[0])
    return on_sheet(filled, paper, Title(name, DOCUMENT, facts, scale=drawn, stem=stem))


def as_svg(board: SurveyedBoard) -> bytes:
    """The picture for a screen, as an SVG file of its own size. Needs residuals."""
    from jigs.export.svg import to_svg

    sheet = on_own_sheet(board)
    return to_svg(sheet, f"{DOCUMENT}: {words.picture_title(board)}", sheet.title.facts)


def on_own_sheet(board: SurveyedBoard) -> Sheet:
    """The picture on a sheet as narrow as it can be, without the findings. Needs residuals."""
    verdict = heading(words.picture_title(board), words.picture_datum(board), _OWN_WIDTH)
    half = _half(Room(_OWN_WIDTH, 0.0, 0.0, 0.0))
    legend = _legend(board, _OWN_WIDTH, enlargement(board, half))
    drawn = _one_below_the_other(board, half, (verdict, legend), _OWN_ROW)
    box = drawn.bounds()
    width, height = math.ceil(_OWN_WIDTH + 2 * _OWN_MARGIN), math.ceil(box.height + 2 * _OWN_MARGIN)
    name = first_writable(board.name, writable(board.name)[0])
    title = Title(name, DOCUMENT, words.picture_datum(board), scale="")
    paper = Paper(f"{width} x {height} mm", float(width), float(height))
    return Sheet(paper, drawn.shifted(_OWN_MARGIN, _OWN_MARGIN - box.top), title)


def draw(board: SurveyedBoard, room: Room) -> Drawing:
    """The picture in its room: the verdict, the frets, details below. Raises `DoesNotFit`. Needs residuals."""
    half = _half(room)
    if half < _LEAST_HALF:
        raise DoesNotFit(words.TOO_NARROW)
    verdict = heading(words.picture_title(board), words.picture_datum(board), room.width)
    details = _details(board, room.width, enlargement(board, half))
    last = int(board.survey.frets[-1])
    rest = _plot_top(verdict) + _AXIS + 2 * SMALL + details.bounds().bottom
    row = min(_MOST_ROW, (room.height - rest) / (last + 1))
    if row < _LEAST_ROW:
        raise DoesNotFit(words.too_short_for(last))
    return _one_below_the_other(board, half, (verdict, details), row)


def _one_below_the_other(board: SurveyedBoard, half: float, around: tuple[Drawing, Drawing], row: float) -> Drawing:
    """The verdict, the frets with ``row`` mm for each, details below. ``around``: the verdict and the details."""
    verdict, details = around
    top = _plot_top(verdict)
    plot = _plot(board, _NUMBER_WIDTH + _DOT + half, half, top, row)
    foot = top + row * (int(board.survey.frets[-1]) + 1) + _AXIS
    return drawing(verdict, plot, details.shifted(0.0, foot + 2 * SMALL))


def _plot_top(verdict: Drawing) -> float:
    return verdict.bounds().bottom + _BELOW_HEADING + 3 * SMALL + _TICK


def _half(room: Room) -> float:
    """How far the plot reaches to either side."""
    return (room.width - _NUMBER_WIDTH - sum(_FIGURES) - _REMARK_WIDTH) / 2 - _DOT


def _details(board: SurveyedBoard, width: float, scale: float) -> Drawing:
    """What the lines mean, and the findings; top left corner at the origin."""
    legend = _legend(board, width, scale)
    findings = [unbroken(text, " mm", " ± ") for text in words.findings_in_short(board)]
    return legend + blocks(findings, 0.0, legend.bounds().bottom + SMALL, width)


def enlargement(board: SurveyedBoard, half: float) -> float:
    """The largest scale of ISO 5455 at which every residual and every limit lies within ``half`` mm of the middle."""
    off, naming = board.survey.best.residual_mm, board.survey.naming
    lengths = [abs(float(mm)) for mm in off] if off is not None else []
    lengths.append(board.survey.reading_error_mm)
    if naming is not None:
        lengths += [abs(float(mm)) for mm in (*naming.low_mm, *naming.high_mm)]
    return next((scale for scale in SCALES if max(lengths) * scale <= half), SCALES[-1])


def scale_in_words(scale: float) -> str:
    """A drawing scale as ISO 5455 writes it.

    >>> scale_in_words(20.0), scale_in_words(0.5)
    ('20:1', '1:2')
    """
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def _plot(board: SurveyedBoard, middle: float, half: float, top: float, row: float) -> Drawing:
    """Axes and limits, and a row of ``row`` mm for each fret; the rule's line goes down the ``middle``."""
    survey = board.survey
    off, cents, naming = survey.best.residual_mm, survey.residual_cents, survey.naming
    if off is None or cents is None:
        return Drawing()
    scale = enlargement(board, half)
    columns = [middle + half + _DOT + sum(_FIGURES[: n + 1]) for n in range(len(_FIGURES))]
    last = int(survey.frets[-1])
    foot = top + row * (last + 1)
    error = survey.reading_error_mm * scale
    items: list[Item] = [
        Line((middle, top), (middle, foot), Role.GUIDE, "rule"),
        Line((middle - error, top), (middle - error, foot), Role.FINE, "reading-error-low"),
        Line((middle + error, top), (middle + error, foot), Role.FINE, "reading-error-high"),
        *_axis(middle, half, scale, top, foot),
        *_heads(middle, half, columns, top - _TICK),
    ]
    places = {int(fret): n for n, fret in enumerate(survey.frets)}
    if naming is not None:
        for limits, name in ((naming.low_mm, "limit-low"), (naming.high_mm, "limit-high")):
            items += _band([(top + row * fret, middle + scale * limits[n]) for fret, n in places.items()], row, name)
    for fret in range(1, last + 1):
        y = top + row * fret
        base = y + SMALL / 2
        items.append(Text((_NUMBER_AT, base), str(fret), SMALL, Anchor.END))
        if fret not in places:
            continue
        n = places[fret]
        items += _fret(fret, middle, middle + scale * float(off[n]), y)
        for right, value in zip(columns, (signed(float(off[n]), 2), signed(float(cents[n]), 1)), strict=True):
            items.append(Text((right, base), value, SMALL, Anchor.END))
        if naming is not None and naming.out_of_place[n]:
            items.append(Text((columns[-1] + 2.0, base), words.OUT_OF_PLACE, SMALL))
    return drawing(items)


def _heads(middle: float, half: float, columns: Sequence[float], foot: float) -> list[Item]:
    """What is above the plot and its columns."""
    items: list[Item] = [
        Text((middle - half, foot - 2.2 * SMALL), "to the nut", SMALL),
        Text((middle + half, foot - 2.2 * SMALL), "to the bridge", SMALL, Anchor.END),
        Text((_NUMBER_AT, foot - _GAP), "fret", SMALL, Anchor.END),
    ]
    for right, head in zip(columns, ("off, mm", "cents"), strict=True):
        items.append(Text((right, foot - _GAP), head, SMALL, Anchor.END))
    return items


def _fret(fret: int, middle: float, x: float, y: float) -> list[Item]:
    """A fret's dot, and a bar to it from the line where the rule puts it."""
    dot = Circle((x, y), _DOT, Role.MARK, f"fret-{fret}")
    if abs(x - middle) <= _DOT:
        return [dot]
    inner = x - math.copysign(_DOT, x - middle)
    return [Line((middle, y), (inner, y), Role.MARK, f"bar-{fret}"), dot]


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
    rows = [
        (Role.MARK, words.fret_of_the_picture(scale_in_words(scale))),
        (Role.FINE, words.error_of_the_picture(board)),
    ]
    if board.survey.naming is not None:
        rows.append((Role.PROVISIONAL, words.BEYOND_LIMITS))
    return legend_of(rows, 0.0, 0.0, width, _sample)


def _sample(role: Role, left: float, level: float) -> Drawing:
    """A line of the picture; of a fret, its bar and its dot."""
    right = left + SAMPLE_MM
    if role is not Role.MARK:
        return drawing(Line((left, level), (right, level), role))
    return drawing(Line((left, level), (right - 2 * _DOT, level), role), Circle((right - _DOT, level), _DOT, role))
