"""Lengths read on a check sheet, as people write them, checked against each other and against what is drawn."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from geometry.lengths import MM_PER_INCH, LengthError, format_mm, parse_mm
from geometry.printing import READING_ERROR_MM
from jigs.faults import Fault, InputFaults, Place, Wrong
from jigs.input.quantities import Length, has_no_unit
from jigs.input.words import length_unread
from jigs.printers import fault_words as words
from jigs.printers.printer import MOST_OFF, SPANS, MeasuredSpan, Printer, paper_key, place_of, rectangle_mm, usable
from jigs.sheets.paper import PAPERS, Paper

READING_ERROR = Length(0.005, 5)
MOST_READINGS = 100
LONGEST_NAME = 40
FAR_OFF = 0.1
"""A reading that is off by more is of something else, or in another unit."""

CONTRADICTS = 4.0
"""Standard deviations at which a reading contradicts the others: an honest one does so once in 16,000 times."""

AS_NAME = Place(option="printer-name")
"""A printer's name as an argument of a command, or in the printer's file."""

_IN_A_NAME = " -_.()+#"


def checked_name(name: str, place: Place = AS_NAME) -> str:
    """A printer's name, tidied. Raises `InputFaults` if it is none, or could lead to another folder."""
    plain = " ".join(name.split())
    wrong = "".join(dict.fromkeys(char for char in plain if not (char.isalnum() or char in _IN_A_NAME)))
    if wrong or not any(char.isalnum() for char in plain):
        raise words.no_name(plain, wrong).refusal(place)
    if len(plain) > LONGEST_NAME:
        raise words.long_name(plain, LONGEST_NAME).refusal(place)
    return plain


def from_words(name: str, paper: Paper, written: Mapping[str, Sequence[str]], reading_error: str | None) -> Printer:
    """A printer from lengths as they were typed, by the names of `SPANS`. Raises `InputFaults` with all faults."""
    faults: list[Fault] = []
    try:
        name = checked_name(name)
    except InputFaults as wrong:
        faults += wrong.faults
    error = READING_ERROR_MM
    if reading_error is not None:
        try:
            error = READING_ERROR.read(reading_error)
        except Wrong as wrong_length:
            faults.append(wrong_length.says.at(Place(option="reading-error")))
    width, height = rectangle_mm(paper)
    read = {option: _lengths(option, written.get(option, ()), (width, height), faults) for option in SPANS}
    if not faults:
        try:
            return judged(Printer(name, paper_key(paper), width, height, error, read), "")
        except InputFaults as wrong:
            faults += wrong.faults
    other = _other_paper(paper, written)
    if other:
        says = words.not_of_this_paper(paper.name, PAPERS[other].name, other)
        faults = [says.at(Place(option="paper"))]
    raise InputFaults(faults)


def _lengths(
    option: str, texts: Sequence[str], rectangle: tuple[float, float], faults: list[Fault]
) -> tuple[float, ...]:
    """The lengths of one option, in mm; their faults go to ``faults``."""
    spans, place = SPANS[option], Place(option=option)
    if not texts and option != "diagonals":
        faults.append(words.missing(option, [span.name for span in spans]).at(place))
    if len(texts) > MOST_READINGS:
        faults.append(words.too_many(len(texts), MOST_READINGS).at(place))
        return ()
    lengths: list[float] = []
    for n, text in enumerate(texts):
        span = spans[n % 2]
        try:
            lengths.append(_length(text, _drawn_mm(span.drawn_mm(*rectangle))))
        except Wrong as wrong:
            faults.append(wrong.says.at(replace(place, key=span.name)))
    return tuple(lengths)


def _drawn_mm(sides: tuple[float, float]) -> float:
    return float((sides[0] ** 2 + sides[1] ** 2) ** 0.5)


def _length(text: str, drawn_mm: float) -> float:
    """Millimetres; inches without their unit can be nothing else where they are near what is drawn. Raises `Wrong`."""
    try:
        exact = parse_mm(text)
    except LengthError as error:
        low, high = math.ceil((1 - FAR_OFF) * drawn_mm), math.floor((1 + FAR_OFF) * drawn_mm)
        raise Wrong(length_unread(error, low, high)) from None
    mm = float(exact) if abs(exact) < 10**9 else 1e9
    if _near(mm, drawn_mm):
        return mm
    inches = float(MM_PER_INCH)
    if has_no_unit(text) and _near(mm * inches, drawn_mm):
        return mm * inches
    raise Wrong(words.length_far_off(text, drawn_mm, perhaps_cm=has_no_unit(text) and _near(mm * 10, drawn_mm)))


def _near(mm: float, drawn_mm: float) -> bool:
    return abs(mm / drawn_mm - 1) <= FAR_OFF


def _other_paper(paper: Paper, written: Mapping[str, Sequence[str]]) -> str:
    """The key of the paper whose check sheet was measured, if it was not this one's."""
    if _fits(paper, written) or not all(written.get(option) for option in ("across", "down")):
        return ""
    return next((key for key, other in PAPERS.items() if _fits(other, written)), "")


def _fits(paper: Paper, written: Mapping[str, Sequence[str]]) -> bool:
    for option, spans in SPANS.items():
        for n, text in enumerate(written.get(option, ())):
            drawn = _drawn_mm(spans[n % 2].drawn_mm(*rectangle_mm(paper)))
            try:
                if abs(_length(text, drawn) / drawn - 1) > MOST_OFF:
                    return False
            except Wrong:
                return False
    return True


def judged(printer: Printer, source: str) -> Printer:
    """The printer, if its readings agree and its errors are a printer's. Raises `InputFaults`."""
    fault = _contradiction(printer, source)
    if fault is not None:
        raise InputFaults([fault])
    return usable(printer, source)


def _contradiction(printer: Printer, source: str) -> Fault | None:
    """Readings that contradict the rest far beyond the reading error: several, if none is plainly the wrong one."""
    calibration, error = printer.calibration, printer.reading_error_mm
    sizes = [abs(float(size)) for size in calibration.misfit]
    worst = max(sizes)
    if worst < CONTRADICTS:
        return None
    suspects = [n for n, size in enumerate(sizes) if size > worst - 1]
    named = [printer.readings[n] for n in suspects]
    place = place_of(named[0].option, source)
    if len(suspects) == 1:
        (n,) = suspects
        checked = (float(calibration.residual_mm[n]) / (error * float(calibration.misfit[n]))) ** 2
        off = float(calibration.residual_mm[n]) / checked
        return words.one_contradicts(_quoted(named[0]), off, error).at(place)
    by = max(abs(float(calibration.residual_mm[n])) for n in suspects)
    all_of_them = len(suspects) == len(sizes)
    return words.some_contradict([_quoted(one) for one in named], by, all_of_them, error).at(place)


def _quoted(one: MeasuredSpan) -> str:
    return f"{one.span.name} ({format_mm(one.mm)})"
