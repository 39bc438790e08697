"""What this room says of unknown printers, of lengths that cannot be right, of where to measure them, and at the foot of a
corrected sheet."""

from collections.abc import Sequence

from geometry.lengths import format_mm
from jigs.faults import Command, Option, Says, Words, nearest
from jigs.input.words import typed
from jigs.wording import listed

WRITE_NAME = 'write letters, digits, spaces and hyphens, for instance "office laser"'
CORRECT_IT = "correct it"
DELETE_IT = "delete it"
PRINT_AGAIN = 'print the check sheet again at actual size, 100%, with "fit to page" off, and measure that one'

WHERE = {
    ("A", "B"): "across, at the top",
    ("D", "C"): "across, at the foot",
    ("A", "D"): "down, on the left",
    ("B", "C"): "down, on the right",
    ("A", "C"): "diagonal, falling",
    ("B", "D"): "diagonal, rising",
}
"""Where each distance of the check sheet is, by its crosses."""


def no_name(name: str, wrong: str) -> Says:
    """A name that could lead to another folder, or that is empty. ``wrong``: the characters at fault."""
    because = f', because of "{wrong}"' if wrong else ""
    return Says(f'"{name}" is not a name for a printer{because}', WRITE_NAME, "printer-name")


def long_name(name: str, most: int) -> Says:
    """A name that is too long for a list."""
    return Says(f'"{name}" is too long for a name', f"keep it to {most} characters", "printer-name-too-long")


def unknown(name: str, stem: str, known: Sequence[str]) -> Says:
    """A printer that was never measured. ``stem``: its name as a file's."""
    measure: Words = ("measure it first, beginning with ", Command("printer sheet"))
    remedy = nearest(stem, known) if known else measure
    return Says(f'there is no printer "{name}"', remedy, "printer-unknown")


def taken(name: str) -> Says:
    """A name that another printer has."""
    remedy = ("choose another name, or replace that printer with ", Option("replace"))
    return Says(f'there is a printer "{name}" already', remedy, "printer-name-taken")


def just_removed(name: str) -> Says:
    """A printer that another run has removed."""
    remedy = "another run has just removed it; nothing is left to do"
    return Says(f'there is no printer "{name}"', remedy, "printer-just-removed")


def unwritable(reason: str) -> Says:
    """A file that the system does not let us write."""
    return Says(f"this file cannot be written ({reason})", "check its folder and permissions", "printer-unwritable")


def unreadable(reason: str) -> Says:
    """The folder of the printers, which the system does not let us read."""
    return Says(f"this folder cannot be read ({reason})", "check its permissions", "printers-unreadable")


def not_removable(reason: str) -> Says:
    """A file that the system does not let us remove."""
    return Says(f"this file cannot be removed ({reason})", "check its permissions", "printer-not-removable")


def or_measure_again(remedy: Words, stem: str) -> Words:
    """A remedy for one value of a kept printer, with two others for the whole file."""
    parts = (remedy,) if isinstance(remedy, str) else remedy
    return (
        *parts,
        ", or measure again with ",
        Command(f'printer add "{stem}" --replace'),
        ", or draw without ",
        Option("printer"),
    )


def far_from_drawn(mm: float) -> Says:
    """A kept length that is not of this sheet."""
    return Says(f"{mm:g} mm is far from what is drawn", "write the length that you read", "printer-reading-far-off")


def missing(option: str, spans: Sequence[str]) -> Says:
    """Lengths that have to be measured."""
    remedy = (f"measure {spans[0]} and {spans[1]} on the sheet of ", Command("printer sheet"))
    return Says(f"no length {option} is given", remedy, "printer-reading-missing")


def too_many(count: int, most: int) -> Says:
    """More readings than help."""
    return Says(f"there are {count} readings", f"keep {most} or fewer", "printer-too-many-readings")


def not_of_this_paper(paper: str, other: str, key: str) -> Says:
    """Lengths of the check sheet of another paper."""
    remedy = (f"they fit {other}: give ", Option("paper", key))
    return Says(f"these lengths are not those of {paper}", remedy, "printer-other-paper")


def length_far_off(text: str, drawn_mm: float, perhaps_cm: bool) -> Says:
    """A length that is not the one drawn. ``perhaps_cm``: whether it is, in centimetres."""
    what = f'"{text}" is far from the {format_mm(drawn_mm)} drawn there'
    if perhaps_cm:
        remedy: Words = ("for centimetres write ", typed(f"{text.strip()} cm"))
        return Says(what, remedy, "printer-length-perhaps-unit")
    remedy = ("measure from cross to cross, and name the sheet's paper with ", Option("paper"))
    return Says(what, remedy, "printer-length-far-off")


def _or_rougher(measure: str, error_mm: float) -> Words:
    return (f"{measure}, or give your ", Option("reading-error"), f" if it is more than {error_mm:g} mm")


def one_contradicts(reading: str, off_mm: float, error_mm: float) -> Says:
    """One reading that does not fit the others."""
    size = f"{format_mm(abs(off_mm))} {'longer' if off_mm > 0 else 'shorter'}"
    what = f"{reading} is {size} than the other readings make it"
    return Says(what, _or_rougher("measure it again", error_mm), "printer-reading-contradicts")


def some_contradict(readings: Sequence[str], by_mm: float, all_of_them: bool, error_mm: float) -> Says:
    """Readings that do not fit together, none of which is plainly the wrong one."""
    rest = "each other" if all_of_them else "the rest"
    what = f"{listed(readings)} contradict {rest}, at best by {format_mm(by_mm)} each"
    return Says(what, _or_rougher("measure them again", error_mm), "printer-readings-contradict")


def looks_like_a_setting(percent: str, large: bool) -> Says:
    """Errors as large as a setting makes them, and alike both ways."""
    size = "large" if large else "small"
    what = f"everything comes out {percent} too {size}, across and down alike"
    setting = 'that is a setting, most likely "fit to page", not an error of the printer'
    return Says(f"{what}: {setting}", PRINT_AGAIN, "printer-setting")


def beyond_a_printer(off: Sequence[str], most: str) -> Says:
    """Errors larger than a printer's."""
    what = f"the sheet is off {' and '.join(off)}: beyond {most} that is a setting or another paper, not the printer"
    return Says(what, (f"{PRINT_AGAIN}, with its paper as ", Option("paper")), "printer-beyond-errors")


def corrected_for(printer: str, mm_in_100: str) -> str:
    """What a corrected sheet says of its print; the error holds 95 times in 100."""
    return f"± {mm_in_100} mm in 100 mm: corrected for printer {printer}"
