"""The formats, and a list of them as a user writes it."""

from collections.abc import Sequence

from jigs.export.words import format_not_here, unknown_format
from jigs.faults import InputFaults, Place

ON_PAPER = ("pdf", "svg")


FORMATS = (*ON_PAPER, "dxf")


def read_formats(text: str, known: Sequence[str] = FORMATS) -> tuple[str, ...]:
    """Formats from a list with commas, each once. Raises `InputFaults` for those that are not ``known``."""
    names = dict.fromkeys(name.strip().lower() for name in text.split(","))
    says = [
        (format_not_here if name in FORMATS else unknown_format)(name, known) for name in names if name not in known
    ]
    if says:
        raise InputFaults([one.at(Place(option="format")) for one in says])
    return tuple(names)
