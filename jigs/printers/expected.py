"""What a printer's check sheet must read once its errors are corrected."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geometry.tolerance import HALF_WIDTH_95
from jigs.printers.printer import SPANS, Printer, Span, paper_key, rectangle_mm
from jigs.sheets.paper import Paper

ALL_SPANS = tuple(span for spans in SPANS.values() for span in spans)


@dataclass(frozen=True)
class Expected:
    """A length on a corrected sheet: ``mm``, and 95 of 100 readings are off by at most ``plus_minus_mm``.

    ``plus_minus_mm`` is None where the readings behind the correction do not show it.
    """

    span: Span
    mm: float
    plus_minus_mm: float | None


def expected(printer: Printer, paper: Paper) -> tuple[Expected, ...]:
    """What the check sheet must read with a printer's correction in."""
    width, height = rectangle_mm(printer.correction.laid_on(paper))
    drawn = np.array([span.drawn_mm(width, height) for span in ALL_SPANS])
    correction = printer.calibration.printer.correction
    reads_within = printer.reading_error_mm * float(printer.calibration.widened)
    errors = printer.calibration.printed_se_mm(drawn @ correction.T)
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


def as_dict(printer: Printer, paper: Paper) -> Mapping[str, object]:
    """What the check sheet must read, for programs."""
    return {
        "name": printer.name,
        "paper": paper_key(paper),
        "readings": [
            {"from": one.span.start, "to": one.span.end, "nominal_mm": one.mm, "plus_minus_mm": one.plus_minus_mm}
            for one in expected(printer, paper)
        ],
    }
