"""The formats, and a list of them as a user writes it."""

from collections.abc import Sequence

from jigs.export.words import unknown_format
from jigs.faults import InputFaults, Place

ON_PAPER = ("pdf", "svg")


FORMATS = (*ON_PAPER, "dxf")


def read_formats(text: str, known: Sequence[str] = FORMATS) -> tuple[str, ...]:
    """Formats from a list with commas, each once. Raises `InputFaults` for those that are not ``known``."""
    names = dict.fromkeys(name.strip().lower() for name in text.split(","))
    unknown = [name for name in names if name not in known]
    if unknown:
        raise InputFaults([unknown_format(name, known).at(Place(option="format")) for name in unknown])
    return tuple(names)
