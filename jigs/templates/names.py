"""What an instrument is called on its sheets and parts, where an alphabet cannot write its name."""

from jigs.cutting.engraving import engravable, first_engravable, width_mm
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


def engraved_name_within(workup: Workup, stem: str, height_mm: float, room_mm: float) -> str:
    """The best of these names whose every word finds room on a line, so that none runs off its part."""
    names = engraved_names(workup, stem)
    fitting = (name for name in names if all(width_mm(word, height_mm) <= room_mm for word in name.split(" ")))
    return next(fitting, names[-1])
