"""A printer's own errors: what was read on its check sheet, how sure that is, and the correction.

The correction transforms a finished sheet about the middle of the paper, so that the printer's errors bring the drawing to
its true size. Only printed sheets are corrected; files for a cutter are not.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry.lengths import round_half_up
from geometry.printing import Calibration, calibrate
from geometry.tolerance import HALF_WIDTH_95
from jigs.faults import Place
from jigs.printers import fault_words as words
from jigs.printers.correction import Correction
from jigs.sheets.paper import MARGIN_MM, PAPERS, Paper
from jigs.wording import round_up

MOST_OFF = 0.03
"""An error beyond this, in scale or in shear, is a setting, not the printer. Common practice, no source."""

SETTING_OFF, SETTING_ALIKE = 0.015, 0.003
"""Scales off by more than the first that agree within the second look like a setting. Common practice, no source."""


_DECIMALS = 9
"""Of the correction: a nanometre over any paper, and the same on every machine."""


@dataclass(frozen=True)
class Span:
    """A distance on the check sheet, from cross to cross: ``x`` widths and ``y`` heights of its rectangle."""

    start: str
    end: str
    x: int
    y: int

    def drawn_mm(self, width_mm: float, height_mm: float) -> tuple[float, float]:
        """Across and down, as drawn."""
        return self.x * width_mm, self.y * height_mm

    @property
    def name(self) -> str:
        """Both crosses."""
        return f"{self.start} to {self.end}"

    @property
    def where(self) -> str:
        """Where on the sheet it is."""
        return words.WHERE[self.start, self.end]


SPANS: Mapping[str, tuple[Span, Span]] = {
    "across": (Span("A", "B", 1, 0), Span("D", "C", 1, 0)),
    "down": (Span("A", "D", 0, 1), Span("B", "C", 0, 1)),
    "diagonals": (Span("A", "C", 1, 1), Span("B", "D", -1, 1)),
}
"""The distances to measure, by the option that takes them. Crosses have letters, clockwise from the top left one. Further
readings of an option are of its two distances in turn."""


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
class MeasuredSpan:
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
    def readings(self) -> tuple[MeasuredSpan, ...]:
        """All readings, each with its distance."""
        return tuple(
            MeasuredSpan(option, SPANS[option][n % 2], mm)
            for option in SPANS
            for n, mm in enumerate(self.read_mm.get(option, ()))
        )

    @cached_property
    def calibration(self) -> Calibration:
        """The printer's errors by these readings."""
        drawn = [one.span.drawn_mm(self.width_mm, self.height_mm) for one in self.readings]
        return calibrate(np.array(drawn), np.array([one.mm for one in self.readings]), self.reading_error_mm)

    @property
    def figures(self) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        """Scale across, scale down and shear in degrees, each with its standard error."""
        errors = self.calibration.printer
        across, down, shear = (float(se) for se in self.calibration.standard_errors)
        return (
            (float(errors.scale_across), across),
            (float(errors.scale_down), down),
            (math.degrees(float(errors.shear_rad)), math.degrees(shear)),
        )

    @property
    def print_share(self) -> float:
        """Standard error of what is printed down the sheet, as a share, once it is corrected."""
        return float(self.calibration.down_share_se)

    @property
    def correction(self) -> "Correction":
        """What corrects its errors."""
        (across, lean), (_, down) = self.calibration.printer.correction.round(_DECIMALS).tolist()
        return Correction(across, lean + 0.0, down)

    @property
    def on_the_sheet(self) -> str:
        """What a corrected sheet says: how sure a hundred millimetres are, 95 times in 100, and for which printer."""
        worst = HALF_WIDTH_95 * max(se for _, se in self.figures[:2])
        return words.corrected_for(self.name, round_up(100 * worst, 2))


def usable(printer: Printer, source: str) -> Printer:
    """The printer, if its errors are a printer's. Raises `InputFaults` if they look like a setting or another paper."""
    (across, _), (down, _), (shear, _) = printer.figures
    off = (across - 1, down - 1)
    if min(abs(part) for part in off) > SETTING_OFF and abs(across - down) <= SETTING_ALIKE:
        raise words.looks_like_a_setting(percent(abs(sum(off)) / 2), large=off[0] > 0).refusal(
            place_of("across", source)
        )
    leans = math.sin(math.radians(shear))
    parts = (("across", "across", off[0]), ("down", "down", off[1]), ("diagonals", "askew", leans))
    wrong = [(option, f"{word} by {percent(abs(part))}") for option, word, part in parts if abs(part) > MOST_OFF]
    if wrong:
        says = words.beyond_a_printer([off_by for _, off_by in wrong], f"{100 * MOST_OFF:g}%")
        raise says.refusal(place_of(wrong[0][0], source))
    return printer


def place_of(option: str, source: str) -> Place:
    """The place of the lengths of one option: in a printer's file, or typed where there is no ``source``."""
    return Place(source, key=option) if source else Place(option=option)


def percent(share: float) -> str:
    """A share in percent.

    >>> percent(0.0123)
    '1.23%'
    """
    return f"{round_half_up(100 * share, 2)}%"
