"""What was read on a check sheet, checked: lengths as people write them, against each other and against what is drawn."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from geometry.lengths import LengthError, format_mm, parse_mm
from geometry.printing import READING_ERROR_MM
from jigs.faults import Fault, InputFaults, Wrong, old_fault
from jigs.input import words
from jigs.input.quantities import Length
from jigs.printers.printer import MOST_OFF, SPANS, Printer, Reading, paper_key, rectangle_mm, usable
from jigs.sheets.paper import PAPERS, Paper

READING_ERROR = Length(0.005, 5)
MOST_READINGS = 100
LONGEST_NAME = 40
FAR_OFF = 0.1
"""A reading that is off by more is of something else, or in another unit."""

CONTRADICTS = 4.0
"""Standard deviations at which a reading contradicts the others: an honest one does so once in 16,000 times."""

_IN_A_NAME = " -_.()+#"


def checked_name(name: str) -> str:
    """A printer's name, tidied. Raises `InputFaults` for what is none, and for what could lead elsewhere among files."""
    plain = " ".join(name.split())
    remedy = 'write letters, digits, spaces and hyphens, for instance "office laser"'
    wrong = "".join(dict.fromkeys(char for char in plain if not (char.isalnum() or char in _IN_A_NAME)))
    if wrong:
        what = f'"{plain}" is no name for a printer, because of "{wrong}"; {remedy}'
    elif not any(char.isalnum() for char in plain):
        what = f'"{plain}" is no name for a printer; {remedy}'
    elif len(plain) > LONGEST_NAME:
        what = f'"{plain}" is too long for a name; {LONGEST_NAME} characters are the most'
    else:
        return plain
    raise InputFaults([old_fault("printer", "name", what)])


def from_words(name: str, paper: Paper, written: Mapping[str, Sequence[str]], reading_error: str | None) -> Printer:
    """A printer from what was written, by the names of `SPANS`. Raises `InputFaults` with all faults."""
    faults: list[Fault] = []
    try:
        name = checked_name(name)
    except InputFaults as wrong:
        faults += wrong.faults
    error = READING_ERROR_MM
    if reading_error is not None:
        try:
            error = READING_ERROR.read(reading_error)
        except ValueError as wrong_length:
            faults.append(old_fault("--reading-error", "", str(wrong_length)))
    width, height = rectangle_mm(paper)
    read: dict[str, tuple[float, ...]] = {}
    for option, spans in SPANS.items():
        texts = written.get(option, ())
        if not texts and option != "diagonals":
            what = f"is missing; measure from {spans[0].name} and from {spans[1].name} on the sheet of `jigs printer sheet`"
            faults.append(old_fault(f"--{option}", "", what))
        if len(texts) > MOST_READINGS:
            faults.append(old_fault(f"--{option}", "", f"has {len(texts)} readings; {MOST_READINGS} are the most"))
            continue
        lengths: list[float] = []
        for n, text in enumerate(texts):
            try:
                lengths.append(_length(text, _drawn_mm(spans[n % 2].drawn_mm(width, height))))
            except ValueError as wrong_length:
                faults.append(old_fault(f"--{option}", spans[n % 2].name, str(wrong_length)))
        read[option] = tuple(lengths)
    if not faults:
        try:
            return judged(Printer(name, paper_key(paper), width, height, error, read), "printer")
        except InputFaults as wrong:
            faults += wrong.faults
    other = _other_paper(paper, written)
    if other:
        what = (
            f"these lengths are not of {paper.name}; they would do for {PAPERS[other].name}: then give --paper {other}"
        )
        faults = [old_fault("--paper", "", what)]
    raise InputFaults(faults)


def _drawn_mm(sides: tuple[float, float]) -> float:
    return float((sides[0] ** 2 + sides[1] ** 2) ** 0.5)


def _length(text: str, drawn_mm: float) -> float:
    """Millimetres. Raises ValueError, in words."""
    try:
        exact = parse_mm(text)
    except LengthError as error:
        raise Wrong(words.length_unread(error)) from None
    mm = float(exact) if abs(exact) < 10**9 else 1e9
    if _near(mm, drawn_mm):
        return mm
    bare = not any(char.isalpha() or char in "\"'″”′’" for char in text)
    quoted = f'"{text}" is far from the {format_mm(drawn_mm)} that are drawn there'
    for factor, unit, word in ((25.4, "in", "inches"), (10.0, "cm", "centimetres")):
        if bare and _near(mm * factor, drawn_mm):
            raise ValueError(f'{quoted}; if {word} are meant, write "{text.strip()} {unit}"')
    raise ValueError(f"{quoted}; measure from cross to cross on the check sheet, and name its paper with --paper")


def _near(mm: float, drawn_mm: float) -> bool:
    return abs(mm / drawn_mm - 1) <= FAR_OFF


def _other_paper(paper: Paper, written: Mapping[str, Sequence[str]]) -> str:
    """The key of a paper whose check sheet was measured, where it was not that of this one."""
    if _fits(paper, written) or not all(written.get(option) for option in ("across", "down")):
        return ""
    return next((key for key, other in PAPERS.items() if _fits(other, written)), "")


def _fits(paper: Paper, written: Mapping[str, Sequence[str]]) -> bool:
    for option, spans in SPANS.items():
        for n, text in enumerate(written.get(option, ())):
            drawn = _drawn_mm(spans[n % 2].drawn_mm(*rectangle_mm(paper)))
            try:
                if abs(parse_mm(text) / Fraction(drawn) - 1) > MOST_OFF:
                    return False
            except LengthError:
                return False
    return True


def judged(printer: Printer, source: str) -> Printer:
    """The printer, if its readings agree and its errors are a printer's. Raises `InputFaults`."""
    fault = _contradiction(printer, source)
    if fault is not None:
        raise InputFaults([fault])
    return usable(printer, source)


def _contradiction(printer: Printer, source: str) -> Fault | None:
    """What contradicts the rest far beyond the reading error; several readings where they cannot be told apart."""
    found = printer.calibration
    sizes = [abs(float(size)) for size in found.misfit]
    worst = max(sizes)
    if worst < CONTRADICTS:
        return None
    suspects = [n for n, size in enumerate(sizes) if size > worst - 1]
    named = [printer.readings[n] for n in suspects]
    where = _listed(list(dict.fromkeys(one.option for one in named)))
    error = printer.reading_error_mm
    remedy = f"or give --reading-error if yours is more than {error:g} mm"
    if len(suspects) == 1:
        (n,) = suspects
        checked = (float(found.residual_mm[n]) / (error * float(found.misfit[n]))) ** 2
        off = float(found.residual_mm[n]) / checked
        what = f"is {format_mm(abs(off))} {'longer' if off > 0 else 'shorter'} than the other readings make it"
        return old_fault(source, where, f"{_quoted(named[0])} {what}; measure it again, {remedy}")
    by = max(abs(float(found.residual_mm[n])) for n in suspects)
    rest = "each other" if len(suspects) == len(sizes) else "the rest"
    what = f"{_listed([_quoted(one) for one in named])} contradict {rest}, at best by {format_mm(by)} each"
    return old_fault(source, where, f"{what}; measure them again, {remedy}")


def _quoted(one: Reading) -> str:
    return f"{one.span.name} ({format_mm(one.mm)})"


def _listed(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
