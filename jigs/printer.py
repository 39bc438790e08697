"""A printer's own errors and sheets drawn against them: what was read on its check sheet, how sure that is, the correction.

The correction is a transform of a finished sheet about the middle of the paper: what the printer then does to the drawing
brings it to its true size. Only what is printed is corrected; a file for a cutter never meets the printer.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from geometry.lengths import round_half_up
from geometry.printing import Calibration, calibrate
from geometry.tolerance import HALF_WIDTH_95
from jigs.drawing import Circle, Drawing, Item, Line, Path
from jigs.faults import refuse
from jigs.paper import MARGIN_MM, PAPERS, Paper, Sheet

MOST_OFF = 0.03
"""No printer is off by more, in scale or in shear; a setting is. Common practice, no source."""

SETTING_OFF, SETTING_ALIKE = 0.015, 0.003
"""Scales off by more than the first that agree within the second look like a setting. Common practice, no source."""

PRINTABLE_MM = 6.0
"""Nothing is drawn nearer to the paper's edge; see `jigs.paper.MARGIN_MM`."""

ROUND_WITHIN_MM = 0.0005
"""How far the chords may leave an arc or a circle: a scale that is not the same both ways makes them something else."""

_LEAST_LEFT_MM = 1.0
_DECIMALS = 9
"""Of the correction: a nanometre over any paper, and the same on every machine."""


@dataclass(frozen=True)
class Span:
    """A distance on the check sheet, from one cross to another: ``x`` and ``y`` in widths and heights of its rectangle."""

    start: str
    end: str
    where: str
    x: int
    y: int

    def drawn_mm(self, width_mm: float, height_mm: float) -> tuple[float, float]:
        """Across and down, as drawn."""
        return self.x * width_mm, self.y * height_mm

    @property
    def name(self) -> str:
        """Both crosses."""
        return f"{self.start} to {self.end}"


SPANS: Mapping[str, tuple[Span, Span]] = {
    "across": (Span("A", "B", "across, at the top", 1, 0), Span("D", "C", "across, at the foot", 1, 0)),
    "down": (Span("A", "D", "down, on the left", 0, 1), Span("B", "C", "down, on the right", 0, 1)),
    "diagonals": (Span("A", "C", "diagonal, falling", 1, 1), Span("B", "D", "diagonal, rising", -1, 1)),
}
"""What is measured, by the name of the option that takes it; crosses by their letters, clockwise from the top left one.
Further readings of an option are of the same two distances in turn."""


def rectangle_mm(paper: Paper) -> tuple[float, float]:
    """Width and height of the check sheet's rectangle: the largest that the margins allow."""
    return paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM


def paper_key(paper: Paper) -> str:
    """A paper as ``--paper`` takes it.

    >>> paper_key(PAPERS["a3"]), paper_key(Paper("", 200.0, 300.0))
    ('a3', '200x300')
    """
    known = (key for key, one in PAPERS.items() if one == paper)
    return next(known, f"{paper.width_mm:.10g}x{paper.height_mm:.10g}")


@dataclass(frozen=True)
class Reading:
    """One length that was read on a check sheet, and the option that it came by."""

    option: str
    span: Span
    mm: float


@dataclass(frozen=True)
class Printer:
    """A printer: its name, and what was read on its check sheet, whose rectangle is drawn ``width_mm`` by ``height_mm``.

    ``paper`` is as ``--paper`` takes it; ``read_mm`` has the readings by the names of `SPANS`.
    """

    name: str
    paper: str
    width_mm: float
    height_mm: float
    reading_error_mm: float
    read_mm: Mapping[str, tuple[float, ...]]

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """All readings, each with its distance."""
        return tuple(
            Reading(option, SPANS[option][n % 2], mm)
            for option in SPANS
            for n, mm in enumerate(self.read_mm.get(option, ()))
        )

    @cached_property
    def calibration(self) -> Calibration:
        """What the readings make of it."""
        drawn = [one.span.drawn_mm(self.width_mm, self.height_mm) for one in self.readings]
        return calibrate(np.array(drawn), np.array([one.mm for one in self.readings]), self.reading_error_mm)

    @property
    def figures(self) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        """Scale across, scale down and shear in degrees, each with its standard error."""
        found = self.calibration.printer
        across, down, shear = (float(se) for se in self.calibration.standard_errors)
        return (
            (float(found.scale_across), across),
            (float(found.scale_down), down),
            (math.degrees(float(found.shear_rad)), math.degrees(shear)),
        )

    @property
    def print_share(self) -> float:
        """Standard error of what is printed down the sheet, as a share, once it is corrected."""
        return float(self.calibration.down_share_se)

    @property
    def correction(self) -> "Correction":
        """What puts its errors right."""
        (across, lean), (_, down) = self.calibration.printer.correction.round(_DECIMALS).tolist()
        return Correction(across, lean + 0.0, down)

    @property
    def on_the_sheet(self) -> str:
        """What a corrected sheet says: how sure a hundred millimetres are, 95 times in 100, and for which printer."""
        worst = HALF_WIDTH_95 * max(se for _, se in self.figures[:2])
        return f"± {round_up(100 * worst, 2)} mm in 100 mm: corrected for printer {self.name}"


def round_up(value: float, decimals: int) -> str:
    """Decimal text that promises no more than it can keep.

    >>> round_up(0.041, 2), round_up(0.3, 1)
    ('0.05', '0.3')
    """
    return round_half_up(math.ceil(value * 10**decimals - 1e-6) / 10**decimals, decimals)


@dataclass(frozen=True)
class Correction:
    """The transform x → ``across`` x + ``lean`` y, y → ``down`` y about the middle of the paper."""

    across: float
    lean: float
    down: float

    def corrected(self, sheet: Sheet, paper: Paper) -> Sheet:
        """A finished sheet, drawn so that it comes out true, on a paper that may be larger than the one it was laid out on.

        Arcs and circles become chords. Of a text only its place moves: it stays upright and readable.
        """
        from_x, from_y = sheet.paper.width_mm / 2, sheet.paper.height_mm / 2
        to_x, to_y = paper.width_mm / 2, paper.height_mm / 2

        def move(point: tuple[float, float]) -> tuple[float, float]:
            x, y = point[0] - from_x, point[1] - from_y
            return to_x + self.across * x + self.lean * y, to_y + self.down * y

        moved = Drawing(tuple(_in_chords(item) for item in sheet.drawing)).mapped(move)
        kept = (_printable(item, paper) for item in moved)
        return replace(sheet, paper=paper, drawing=Drawing(tuple(item for item in kept if item is not None)))

    def laid_on(self, paper: Paper) -> Paper:
        """The paper to lay a sheet out on: this one, or a smaller one where what is corrected would not be printable."""
        across, down = (side - 2 * PRINTABLE_MM for side in (paper.width_mm, paper.height_mm))
        height = min(paper.height_mm - 2 * MARGIN_MM, down / self.down)
        width = (across - abs(self.lean) * height) / self.across
        return replace(
            paper,
            width_mm=min(paper.width_mm, width + 2 * MARGIN_MM),
            height_mm=min(paper.height_mm, down / self.down + 2 * MARGIN_MM),
        )

    def paper_for(self, paper: Paper) -> Paper:
        """The paper that a sheet of its own size needs: this one, or a larger one for the same reason."""
        width, height = paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM
        across = max(paper.width_mm, self.across * width + abs(self.lean) * height + 2 * PRINTABLE_MM)
        down = max(paper.height_mm, self.down * height + 2 * PRINTABLE_MM)
        if (across, down) == (paper.width_mm, paper.height_mm):
            return paper
        return Paper(f"{math.ceil(across)} x {math.ceil(down)} mm", float(math.ceil(across)), float(math.ceil(down)))


def _in_chords(item: Item) -> Item:
    """An item without anything round in it."""
    if isinstance(item, Circle):
        (x, y), radius = item.centre, item.radius
        ends = ((x - radius, y), (x + radius, y))
        item = Path((ends,), item.role, item.id, closed=True, bulges=((1.0, 1.0),))
    return item.flattened(ROUND_WITHIN_MM) if isinstance(item, Path) else item


def _printable(item: Item, paper: Paper) -> Item | None:
    """A line less what lies outside the printable part; of a sheet, only its centring marks reach there."""
    if not isinstance(item, Line):
        return item
    (x1, y1), (x2, y2) = item.start, item.end
    entry, leave = 0.0, 1.0
    for begin, end, side in ((x1, x2, paper.width_mm), (y1, y2, paper.height_mm)):
        for gap, step in ((begin - PRINTABLE_MM, end - begin), (side - PRINTABLE_MM - begin, begin - end)):
            # The line is inside where gap + share · step is not negative.
            if gap < 0 and gap + step < 0:
                return None
            entry = max(entry, -gap / step) if gap < 0 else entry
            leave = min(leave, -gap / step) if gap + step < 0 else leave
    if (leave - entry) * math.hypot(x2 - x1, y2 - y1) < _LEAST_LEFT_MM:
        return None
    start = (x1 + entry * (x2 - x1), y1 + entry * (y2 - y1)) if entry > 0 else item.start
    end_ = (x1 + leave * (x2 - x1), y1 + leave * (y2 - y1)) if leave < 1 else item.end
    return replace(item, start=start, end=end_)


def usable(printer: Printer, source: str) -> Printer:
    """The printer, if its errors are a printer's. Raises `InputFaults` for what looks like a setting or another paper."""
    (across, _), (down, _), (shear, _) = printer.figures
    off = (across - 1, down - 1)
    again = 'print the check sheet again at actual size, 100 %, with "fit to page" off, and measure that one'
    if min(abs(part) for part in off) > SETTING_OFF and abs(across - down) <= SETTING_ALIKE:
        size = "large" if off[0] > 0 else "small"
        raise refuse(
            source,
            f"everything comes out {_percent(abs(sum(off)) / 2)} too {size}, across as down, which is no error of a printer"
            f' but a setting, most likely "fit to page"; {again}',
            printer.name,
        )
    leans = math.sin(math.radians(shear))
    wrong = [
        f"{word} by {_percent(abs(part))}"
        for word, part in (("across", off[0]), ("down", off[1]), ("askew", leans))
        if abs(part) > MOST_OFF
    ]
    if wrong:
        raise refuse(
            source,
            f"is off {' and '.join(wrong)}, and beyond {100 * MOST_OFF:g} % that is no error of a printer, but a setting or"
            f" another paper; {again}, with the name of its paper as --paper",
            printer.name,
        )
    return printer


def _percent(share: float) -> str:
    return f"{round_half_up(100 * share, 2)} %"


def notes(printer: Printer, paper: Paper | None = None) -> Iterator[str]:
    """What the user should know of a correction: where it is smaller than its own error, and what was not measured.

    ``paper``: what is printed on.
    """
    if paper is not None and paper_key(paper) != printer.paper:
        yield (
            f"printer {printer.name} was measured on {printer.paper}: its correction holds for {paper_key(paper)} if that is"
            " fed the same way round"
        )
    if len(printer.read_mm.get("diagonals", ())) == 1:
        yield f"printer {printer.name}: its one diagonal is taken to be {SPANS['diagonals'][0].name}"
    names = ("across", "down", "askew")
    for (value, se), name, one, unit in zip(printer.figures, names, (1.0, 1.0, 0.0), ("%", "%", "°"), strict=True):
        if name == "askew" and not printer.calibration.shear_known:
            yield f"printer {printer.name}: no diagonal was measured, so it is not known whether it prints askew"
            continue
        times = 100 if unit == "%" else 1
        if abs(value - one) < se:
            yield (
                f"printer {printer.name}: its correction {name}, {signed(times * (one - value), 2)} {unit}, is smaller than"
                f" its own error, ± {round_up(times * se, 2)} {unit}, and so does nothing that could be measured"
            )
    if printer.calibration.widened > 1:
        error = printer.reading_error_mm * float(printer.calibration.widened)
        yield (
            f"printer {printer.name}: its readings differ by more than a reading error of {printer.reading_error_mm:g} mm"
            f" explains; they are taken to be good to {round_half_up(error, 2)} mm"
        )


def uncorrected(cut: Iterable[str], printer: Printer | None) -> Iterator[str]:
    """A note on files for a cutter, by name."""
    if printer is not None and (names := ", ".join(cut)):
        yield f"{names}: for a cutter, and so not corrected for printer {printer.name}"


def signed(value: float, decimals: int) -> str:
    """A number with its sign, none for zero.

    >>> signed(0.204, 2), signed(-1.5, 1), signed(-0.001, 2)
    ('+0.20', '−1.5', '0.00')
    """
    text = round_half_up(value, decimals)
    return text.replace("-", "−") if text.startswith("-") or not float(text) else f"+{text}"


def as_dict(printer: Printer) -> dict[str, Any]:
    """The figures under their stable keys; the standard error of a shear that was not measured is null."""
    (across, across_se), (down, down_se), (shear, shear_se) = printer.figures
    known = printer.calibration.shear_known
    return {
        "name": printer.name,
        "paper": printer.paper,
        "scale_across": across,
        "scale_across_se": across_se,
        "scale_down": down,
        "scale_down_se": down_se,
        "shear_deg": shear,
        "shear_deg_se": shear_se if known else None,
        "reading_error_mm": printer.reading_error_mm,
        "readings": [
            {"from": one.span.start, "to": one.span.end, "measured_mm": one.mm, "residual_mm": float(off)}
            for one, off in zip(printer.readings, printer.calibration.residual_mm, strict=True)
        ],
    }


def in_lines(printer: Printer) -> list[str]:
    """The figures in words."""
    (across, across_se), (down, down_se), (shear, shear_se) = printer.figures
    lines = [
        f"printer {printer.name}, measured on {printer.paper} ({len(printer.readings)} readings), each ± its standard error",
        f"across: {signed(100 * (across - 1), 2)} % ± {round_up(100 * across_se, 2)} %",
        f"down:   {signed(100 * (down - 1), 2)} % ± {round_up(100 * down_se, 2)} %",
    ]
    if not printer.calibration.shear_known:
        return [*lines, "askew:  not measured"]
    to = (
        ""
        if round_half_up(shear, 2).strip("-") == "0.00"
        else f", to the {'right' if shear > 0 else 'left'} going down"
    )
    return [*lines, f"askew:  {round_half_up(abs(shear), 2)}° ± {round_up(shear_se, 2)}°{to}"]


def in_one_line(printer: Printer) -> str:
    """The figures, for a list."""
    (across, _), (down, _), (shear, _) = printer.figures
    askew = f"askew {signed(shear, 2)}°" if printer.calibration.shear_known else "askew not measured"
    scales = f"across {signed(100 * (across - 1), 2)} %, down {signed(100 * (down - 1), 2)} %"
    return f"{printer.name}: {scales}, {askew}, measured on {printer.paper}"
