"""A printer's errors in words and as JSON, the notes on its correction, and the words of the check sheet."""

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from geometry.lengths import format_mm, round_half_up
from geometry.tolerance import HALF_WIDTH_95
from jigs.faults import Note, Says
from jigs.printers.expected import Expected, expected
from jigs.printers.printer import SPANS, Printer, paper_key
from jigs.sheets.paper import Paper, size_in_words
from jigs.wording import round_up, signed

AS_DRAWN, IN_TURN = "of the rectangle, as drawn", "in turn"
KEPT_BY = "Written by `jigs printer add`: lengths in mm, as they were read on the check sheet."
NONE_YET = "no printer has been measured yet: start with `jigs printer sheet`"

DOCUMENT = "Check sheet for a printer"
DOCUMENT_CORRECTED = "Check of a printer's correction"
PICTURE = "Where each cross is, and the number of each distance"
TOO_NARROW, TOO_SHORT = "it is too narrow", "it is too short"

_ACTUAL_SIZE = 'at actual size, 100%, no "fit to page"'
_LET_IT_LIE = "Let it lie flat for some minutes: heat shrinks paper."
_LENGTHS = "--across (1) (2) --down (3) (4) --diagonals (5) (6)"
_MEASURE = "Measure with a steel rule, from the middle of one cross to the middle of another"


# ---- notes


def notes(printer: Printer, paper: Paper | None = None) -> Iterator[Note]:
    """What the user should know of a correction: parts smaller than their own error, and what was not measured.

    ``paper``: the one to print on.
    """
    if paper is not None and paper_key(paper) != printer.paper:
        what = f"printer {printer.name} was measured on {printer.paper}"
        remedy = f"its correction also holds for {paper_key(paper)} if you feed that the same way round"
        yield Says(what, remedy, "printer-measured-on-other-paper").note()
    if len(printer.read_mm.get("diagonals", ())) == 1:
        what = f"the one diagonal of printer {printer.name} counts as {SPANS['diagonals'][0].name}"
        yield Says(what, "", "printer-one-diagonal").note()
    yield from _small_corrections(printer)
    if printer.calibration.widened > 1:
        error = printer.reading_error_mm * float(printer.calibration.widened)
        differ = f"differ by more than a reading error of {printer.reading_error_mm:g} mm explains"
        what = f"the readings of printer {printer.name} {differ}"
        yield Says(what, f"they count as good to {round_half_up(error, 2)} mm", "printer-readings-rough").note()


def _small_corrections(printer: Printer) -> Iterator[Note]:
    """Parts of the correction that are smaller than their own error."""
    names = ("across", "down", "askew")
    for (value, se), name, one, unit in zip(printer.figures, names, (1.0, 1.0, 0.0), ("%", "%", "°"), strict=True):
        if name == "askew" and not printer.calibration.shear_known:
            what = f"no diagonal of printer {printer.name} was measured, so it is not known whether it prints askew"
            yield Says(what, "measure both to correct that too", "printer-askew-unknown").note()
            continue
        times = 100 if unit == "%" else 1
        if abs(value - one) < se:
            size = f"{signed(times * (one - value), 2)}{unit}"
            smaller = f"{size}, is smaller than its own error, {_plus_minus(times * se, unit)}"
            what = f"the correction of printer {printer.name} {name}, {smaller}"
            yield Says(what, "it changes nothing that you could measure", "printer-correction-small").note()


def uncorrected(cut: Iterable[str], printer: Printer | None) -> Iterator[Note]:
    """A note on files for a cutter, by name."""
    if printer is not None and (names := ", ".join(cut)):
        what = f"{names}: not corrected for printer {printer.name}"
        yield Says(what, "files for a cutter never are", "cut-file-uncorrected").note()


# ---- errors of a printer


def as_dict(printer: Printer) -> dict[str, Any]:
    """The errors under their stable keys; the standard error of a shear that was not measured is null."""
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
    """The errors in words."""
    (across, across_se), (down, down_se), (shear, shear_se) = printer.figures
    lines = [
        f"printer {printer.name}, measured on {printer.paper} ({len(printer.readings)} readings)",
        f"across: {signed(100 * (across - 1), 2)}% {_plus_minus(100 * across_se, '%')}",
        f"down:   {signed(100 * (down - 1), 2)}% {_plus_minus(100 * down_se, '%')}",
    ]
    if not printer.calibration.shear_known:
        return [*lines, "askew:  not measured"]
    to = (
        ""
        if round_half_up(shear, 2).strip("-") == "0.00"
        else f", to the {'right' if shear > 0 else 'left'} going down"
    )
    return [*lines, f"askew:  {round_half_up(abs(shear), 2)}° {_plus_minus(shear_se, '°')}{to}"]


def _plus_minus(se: float, unit: str) -> str:
    """An error as half the width of its 95% interval, rounded up.

    >>> _plus_minus(0.02, "%")
    '± 0.04% (95%)'
    """
    return f"± {round_up(HALF_WIDTH_95 * se, 2)}{unit} (95%)"


def in_one_line(printer: Printer) -> str:
    """The errors, for a list."""
    (across, _), (down, _), (shear, _) = printer.figures
    askew = f"askew {signed(shear, 2)}°" if printer.calibration.shear_known else "askew not measured"
    scales = f"across {signed(100 * (across - 1), 2)}%, down {signed(100 * (down - 1), 2)}%"
    return f"{printer.name}: {scales}, {askew}, measured on {printer.paper}"


# ---- the check sheet


class CheckWords(NamedTuple):
    """What a check sheet says beside its table: the job, the steps, a line to be ``typed`` in after one of them, and notes.

    ``typed_after``: how many steps come before that line; none without one.
    """

    title: str
    steps: tuple[str, ...]
    typed: str = ""
    typed_after: int = 0
    notes: tuple[str, ...] = ()


def check_words(paper: Paper) -> CheckWords:
    """What to do with the check sheet."""
    return CheckWords(
        title="Printer check: measure this sheet",
        steps=(
            f"Print this sheet as you print your templates, {_ACTUAL_SIZE}.",
            _LET_IT_LIE,
            f"{_MEASURE}.",
            "Write each length on its line. Skip both diagonals if your rule is too short.",
            "Type the command below, with your lengths instead of the numbers in brackets.",
            "From then on, add --printer NAME to jigs draw. It corrects this printer's errors.",
        ),
        typed=f"jigs printer add NAME --paper {paper_key(paper)} {_LENGTHS}",
        typed_after=5,
        notes=(
            "Read as finely as you can, in millimetres or with a unit as in"
            " 7\N{NO-BREAK SPACE}31/64\N{NO-BREAK SPACE}in. NAME is your name for this printer. Same paper, same tray.",
        ),
    )


def check_words_corrected(printer: Printer) -> CheckWords:
    """What to do with the check sheet that has a correction in."""
    return CheckWords(
        title="Printer check: is its correction right?",
        steps=(
            f"Print this sheet on that printer {_ACTUAL_SIZE}.",
            _LET_IT_LIE,
            f"{_MEASURE}.",
            "Compare with the table.",
            "If several lengths are off by more, check that you printed at actual size.",
            "If you did, the printer has changed: measure a new check sheet.",
        ),
        notes=(
            "±: 95 of 100 readings lie within it, at a reading error of"
            f" {printer.reading_error_mm:g}\N{NO-BREAK SPACE}mm.",
        ),
    )


def must_read(one: Expected) -> str:
    """A length and its error, rounded up, so that the sheet promises no more than it can keep."""
    if one.plus_minus_mm is None:
        return f"{format_mm(one.mm)}, if not askew"
    return f"{format_mm(one.mm)} ± {round_up(one.plus_minus_mm, 1)} mm"


def check_lines(printer: Printer, paper: Paper) -> list[str]:
    """What the check sheet must read, line by line."""
    return [
        f"on {size_in_words(paper)}, printed on {printer.name} at actual size, you must read:",
        *(f"{one.span.name}, {one.span.where}: {must_read(one)}" for one in expected(printer, paper)),
        "±: 95 of 100 readings lie within it; if several are off by more, measure a new check sheet",
    ]
