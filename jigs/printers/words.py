"""What a printer's errors come to, in words and as JSON."""

from collections.abc import Iterable, Iterator
from typing import Any

from geometry.lengths import round_half_up
from jigs.faults import Note, Says
from jigs.printers.printer import SPANS, Printer, paper_key
from jigs.sheets.paper import Paper
from jigs.wording import round_up, signed


def notes(printer: Printer, paper: Paper | None = None) -> Iterator[Note]:
    """What the user should know of a correction: where it is smaller than its own error, and what was not measured.

    ``paper``: what is printed on.
    """
    if paper is not None and paper_key(paper) != printer.paper:
        what = f"printer {printer.name} was measured on {printer.paper}"
        remedy = f"its correction holds for {paper_key(paper)} if that is fed the same way round"
        yield Says(what, remedy, "printer-measured-on-other-paper").note()
    if len(printer.read_mm.get("diagonals", ())) == 1:
        what = f"printer {printer.name}: its one diagonal is read as {SPANS['diagonals'][0].name}"
        yield Says(what, "", "printer-one-diagonal").note()
    yield from _small_corrections(printer)
    if printer.calibration.widened > 1:
        error = printer.reading_error_mm * float(printer.calibration.widened)
        differ = f"its readings differ by more than a reading error of {printer.reading_error_mm:g} mm explains"
        what = f"printer {printer.name}: {differ}"
        yield Says(what, f"they count as good to {round_half_up(error, 2)} mm", "printer-readings-rough").note()


def _small_corrections(printer: Printer) -> Iterator[Note]:
    """Corrections that nobody could measure."""
    names = ("across", "down", "askew")
    for (value, se), name, one, unit in zip(printer.figures, names, (1.0, 1.0, 0.0), ("%", "%", "°"), strict=True):
        if name == "askew" and not printer.calibration.shear_known:
            what = f"printer {printer.name}: no diagonal was measured, so nobody knows whether it prints askew"
            yield Says(what, "", "printer-askew-unknown").note()
            continue
        times = 100 if unit == "%" else 1
        if abs(value - one) < se:
            size, error = signed(times * (one - value), 2), round_up(times * se, 2)
            what = (
                f"printer {printer.name}: its correction {name}, {size}{unit}, is smaller than its own error,"
                f" ± {error}{unit}, and so does nothing that could be measured"
            )
            yield Says(what, "", "printer-correction-small").note()


def uncorrected(cut: Iterable[str], printer: Printer | None) -> Iterator[Note]:
    """A note on files for a cutter, by name."""
    if printer is not None and (names := ", ".join(cut)):
        what = f"{names}: for a cutter, and so not corrected for printer {printer.name}"
        yield Says(what, "", "cut-file-uncorrected").note()


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
        f"across: {signed(100 * (across - 1), 2)}% ± {round_up(100 * across_se, 2)}%",
        f"down:   {signed(100 * (down - 1), 2)}% ± {round_up(100 * down_se, 2)}%",
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
    scales = f"across {signed(100 * (across - 1), 2)}%, down {signed(100 * (down - 1), 2)}%"
    return f"{printer.name}: {scales}, {askew}, measured on {printer.paper}"
