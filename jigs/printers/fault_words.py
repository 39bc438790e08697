"""What this room says of printers that cannot be used, and of measurements that contradict each other."""

from collections.abc import Sequence

from geometry.lengths import format_mm
from jigs.faults import Option, Says, Words, nearest

WRITE_NAME = 'write letters, digits, spaces and hyphens, for instance "office laser"'
CORRECT_IT = "correct it"
DELETE_IT = "delete it"
PRINT_AGAIN = 'print the check sheet again at actual size, 100%, with "fit to page" off, and measure that one'


def listed(names: Sequence[str]) -> str:
    """Names in a sentence.

    >>> listed(["A to B"]), listed(["A to B", "A to C", "B to D"])
    ('A to B', 'A to B, A to C and B to D')
    """
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]


def no_name(name: str, wrong: str) -> Says:
    """A name that could lead elsewhere among files, or that is none. ``wrong``: the characters at fault."""
    because = f', because of "{wrong}"' if wrong else ""
    return Says(f'"{name}" is not a name for a printer{because}', WRITE_NAME, "printer-name")


def long_name(name: str, most: int) -> Says:
    """A name that no list has room for."""
    return Says(f'"{name}" is too long for a name', f"keep it to {most} characters", "printer-name-too-long")


def unknown(name: str, known: Sequence[str]) -> Says:
    """A printer that was never measured."""
    remedy = (
        nearest(name, known) if known else "`jigs printer sheet` prints what to measure, then use `jigs printer add`"
    )
    return Says(f'there is no printer "{name}"', remedy, "printer-unknown")


def taken(name: str) -> Says:
    """A name that another printer has."""
    remedy = ("take another name, or give ", Option("replace"), " to forget that one")
    return Says(f'there is a printer "{name}" already', remedy, "printer-name-taken")


def just_removed(name: str) -> Says:
    """A printer that another run has removed."""
    return Says(f'there is no printer "{name}"', "another run has just removed it", "printer-just-removed")


def unwritable(reason: str) -> Says:
    """A file that the system does not let us write."""
    return Says(f"this file cannot be written ({reason})", "check its folder and permissions", "printer-unwritable")


def not_removable(reason: str) -> Says:
    """A file that the system does not let us remove."""
    return Says(f"this file cannot be removed ({reason})", "check its permissions", "printer-not-removable")


def or_measure_again(remedy: Words, stem: str) -> Words:
    """A remedy for one value of a kept printer, with what else would do."""
    parts = (remedy,) if isinstance(remedy, str) else remedy
    again = f', or measure again with `jigs printer add "{stem}" --replace`, or draw without '
    return (*(parts if any(parts) else (CORRECT_IT,)), again, Option("printer"))


def far_from_drawn(mm: float) -> Says:
    """A kept reading that nobody read on this sheet."""
    return Says(f"{mm:g} is far from what is drawn", "write what was read", "printer-reading-far-off")


def missing(option: str, spans: Sequence[str]) -> Says:
    """Distances that have to be measured."""
    what = (Option(option), " is missing")
    remedy = f"measure from {spans[0]} and from {spans[1]} on the sheet of `jigs printer sheet`"
    return Says(what, remedy, "printer-reading-missing")


def too_many(count: int, most: int) -> Says:
    """More readings than anybody takes."""
    return Says(f"there are {count} readings", f"give at most {most}", "printer-too-many-readings")


def not_of_this_paper(paper: str, other: str, key: str) -> Says:
    """Lengths of the check sheet of another paper."""
    remedy = (f"they would do for {other}: then give ", Option("paper", key))
    return Says(f"these lengths are not of {paper}", remedy, "printer-other-paper")


def length_far_off(text: str, drawn_mm: float, perhaps: tuple[str, str] | None) -> Says:
    """A length that is not the one drawn. ``perhaps``: the unit in which it would be, and its sign."""
    what = f'"{text}" is far from the {format_mm(drawn_mm)} that are drawn there'
    if perhaps:
        return Says(what, f'for {perhaps[0]} write "{text.strip()} {perhaps[1]}"', "printer-length-perhaps-unit")
    remedy = ("measure from cross to cross on the check sheet, and name its paper with ", Option("paper"))
    return Says(what, remedy, "printer-length-far-off")


def _or_rougher(measure: str, error_mm: float) -> Words:
    return (f"{measure}, or give ", Option("reading-error"), f" if yours is more than {error_mm:g} mm")


def one_contradicts(reading: str, off_mm: float, error_mm: float) -> Says:
    """One reading that does not go with the others."""
    size = f"{format_mm(abs(off_mm))} {'longer' if off_mm > 0 else 'shorter'}"
    what = f"{reading} is {size} than the other readings make it"
    return Says(what, _or_rougher("measure it again", error_mm), "printer-reading-contradicts")


def some_contradict(readings: Sequence[str], by_mm: float, all_of_them: bool, error_mm: float) -> Says:
    """Readings that do not go together, and none that is plainly the wrong one."""
    rest = "each other" if all_of_them else "the rest"
    what = f"{listed(readings)} contradict {rest}, at best by {format_mm(by_mm)} each"
    return Says(what, _or_rougher("measure them again", error_mm), "printer-readings-contradict")


def looks_like_a_setting(percent: str, large: bool) -> Says:
    """Errors of a size that is a setting's."""
    size = "large" if large else "small"
    setting = 'which is not an error of a printer but a setting, most likely "fit to page"'
    return Says(f"everything comes out {percent} too {size}, across as down, {setting}", PRINT_AGAIN, "printer-setting")


def beyond_a_printer(off: Sequence[str], most: str) -> Says:
    """Errors that no printer has."""
    what = f"it is off {' and '.join(off)}; beyond {most} that is a setting or another paper, not an error of a printer"
    return Says(what, (f"{PRINT_AGAIN}, with the name of its paper as ", Option("paper")), "printer-beyond-errors")
