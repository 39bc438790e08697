"""What an instrument is called on its sheets and parts, where an alphabet cannot write its name."""

from jigs.cutting.engraving import engravable, first_engravable
from jigs.drawing.lettering import first_writable
from jigs.workup.workup import Workup


def printed_name(workup: Workup, stem: str) -> str:
    """The instrument's name; if the typeface cannot write it, its file's (``stem``), or its kind."""
    return first_writable(workup.instrument.name, stem, workup.instrument.head.kind)


def engraved_name(workup: Workup, stem: str) -> str:
    """The same for parts, whose letters are single strokes."""
    return first_engravable(workup.instrument.name, stem, workup.instrument.head.kind)


def engraved_names(workup: Workup, stem: str) -> tuple[str, ...]:
    """All names that single strokes can write, the best first: for a part that has no room for the first."""
    names = (engraved_name(workup, stem), stem, workup.instrument.head.kind)
    return tuple(dict.fromkeys(name for name in names if name and not engravable(name)[1]))
