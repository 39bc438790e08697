"""The formats, and a list of them as a user writes it."""

from collections.abc import Sequence

from jigs.export import words
from jigs.faults import Place

ON_PAPER = ("pdf", "svg")


FORMATS = (*ON_PAPER, "dxf")


def read_formats(text: str, known: Sequence[str] = FORMATS) -> list[str]:
    """Formats from a list with commas. Raises `InputFaults` for one that is not ``known``."""
    names = [name.strip().lower() for name in text.split(",")]
    for name in names:
        if name not in known:
            raise words.unknown_format(name, known).refusal(Place(option="format"))
    return names
