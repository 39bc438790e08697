"""What the page says of printers and of files to take: labels of its form, what is still missing, what is done."""

from collections.abc import Sequence

from jigs.faults import Says
from jigs.printers.fault_words import WHERE
from jigs.wording import listed

# ---- the form

NAME = ("Your name for the printer", "such as: office laser")
READING_ERROR = ("Reading error", "how far off a reading may be; default 0.1 mm")
REPLACE = "Replace it"
OPTIONAL = "optional"
UNNAMED = "without a name yet"
"""A printer in the lines that show while its name is not typed."""


def of_length(number: int, ends: tuple[str, str], optional: bool) -> tuple[str, str]:
    """The label of a length, with its number in the picture, and its hint.

    >>> of_length(1, ("A", "B"), False), of_length(5, ("A", "C"), True)
    (('(1) A to B', 'across, at the top'), ('(5) A to C', 'diagonal, falling; optional'))
    """
    start, end = ends
    return f"({number}) {start} to {end}", f"{WHERE[ends]}; {OPTIONAL}" if optional else WHERE[ends]


# ---- what is missing

ITS_NAME = "your name for it"


def more_readings(span: str, other: str) -> str:
    """A length that was not read as often as the other of its pair."""
    return f"as many readings of {span} as of {other}"


def missing(what: str) -> Says:
    """Something that has to be filled in before a printer can be kept."""
    remedy = "write any name" if what == ITS_NAME else "read it on the check sheet, and fill it in"
    return Says(f"still missing: {what}", remedy, "printer-part-missing")


def still_missing(parts: Sequence[str]) -> str:
    """All that is missing, as one sentence; empty if nothing is.

    >>> still_missing(["your name for it", "A to B", "D to C"]), still_missing([])
    ('Still missing: your name for it, A to B and D to C.', '')
    """
    return f"Still missing: {listed(parts)}." if parts else ""


# ---- what is done


def kept(name: str) -> str:
    """A printer that was kept and is chosen."""
    return f"{name} is kept and chosen. From now on the PDF is corrected for this printer."


def forgotten(name: str) -> str:
    """A printer that was removed."""
    return f"{name} is removed. The PDF is no longer corrected for it."


# ---- a kept printer


def damaged(name: str) -> str:
    """A kept printer whose file cannot be read, in the list."""
    return f"{name}: its file has a fault"


# ---- templates that cannot be drawn, and files


def template_in_words(name: str, title: str) -> str:
    """A template as its choice names it."""
    return f"{name}: {title}"


def no_cut_file(template: str) -> str:
    """Why a template for paper has no DXF."""
    return f"The {template} is for paper. For a cutter choose the gauge."


def not_drawn(reasons: Sequence[str]) -> str:
    """The text in an archive that says what it lacks."""
    return "\n".join(("These could not be drawn:", *reasons)) + "\n"
