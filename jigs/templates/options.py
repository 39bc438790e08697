"""What a user may choose for a drawing, read by the names of the catalogue."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from jigs.cutting.cutter import Cutter
from jigs.faults import Fault, InputFaults, Note, Place
from jigs.templates import words
from jigs.templates.catalogue import FOR_CUTTERS, LENGTHS, OPTIONS

Given = Mapping[str, str | int | bool | None]
"""Options by their names, as a command line or a form has them; what is absent, None or False was not given."""


class RimSide(StrEnum):
    """The side of a banjo's rim that the head template lies against."""

    NUT = "nut"
    TAIL = "tail"


@dataclass(frozen=True)
class Options:
    """What the user may choose for a drawing. ``datum_fret`` and ``rim_side`` None: the template chooses.

    ``datum_end``: the template for a top counts from the end of the board. ``untiled``: a long drawing is one sheet of its
    own size. ``print_share``: standard deviation of the print's scale, as a share, where the printer was measured; the
    instrument's file has it otherwise.
    """

    datum_fret: int | None = None
    datum_over_fret: bool = False
    datum_end: bool = False
    rim_side: RimSide | None = None
    to_bridge: bool = False
    untiled: bool = False
    cutter: Cutter = field(default_factory=Cutter)
    print_share: float | None = None


def idle_options(given: Given, templates: Iterable[str]) -> tuple[Note, ...]:
    """Notes on options that were given and that no ordered template uses."""
    names = set(templates)
    return tuple(
        words.idle_option(option.name, option.users).note()
        for option in OPTIONS
        if given.get(option.name) not in (None, False, "") and not names & set(option.users)
    )


def read_options(given: Given, templates: Iterable[str]) -> Options:
    """The options of a drawing. What is not given is left to the template, and the cutter's lengths to the user's settings,
    which are read only for templates that go to a cutter.

    Raises `InputFaults` with all faults.
    """
    faults: list[Fault] = []
    side, fret, cutter = None, None, Cutter()
    lengths = {name: _text(given.get(name)) for name in LENGTHS}
    try:
        side = read_side(_text(given.get("rim")))
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        fret = _read_fret(given.get("datum-fret"))
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        cutter = _cutter(lengths) if any(lengths.values()) or FOR_CUTTERS & set(templates) else cutter
    except InputFaults as wrong:
        faults += wrong.faults
    if faults:
        raise InputFaults(faults)
    flags = {name: bool(given.get(name)) for name in ("datum-over", "datum-end", "to-bridge", "untiled")}
    return Options(
        datum_fret=fret,
        datum_over_fret=flags["datum-over"],
        datum_end=flags["datum-end"],
        rim_side=side,
        to_bridge=flags["to-bridge"],
        untiled=flags["untiled"],
        cutter=cutter,
    )


def _cutter(lengths: Mapping[str, str | None]) -> Cutter:
    from jigs.cutting.settings import cutter_for

    return cutter_for(lengths)


def _text(value: str | int | bool | None) -> str | None:
    return value if isinstance(value, str) else None


def _read_fret(value: str | int | bool | None) -> int | None:
    if not isinstance(value, str):
        return value
    plain = value.strip()
    if not (plain.isascii() and plain.isdecimal() and len(plain) <= 3):
        raise words.no_fret_number(value).refusal(Place(option="datum-fret"))
    return int(plain)


def read_side(text: str | None) -> RimSide | None:
    """A side of the rim. Raises `InputFaults`."""
    if text is None:
        return None
    try:
        return RimSide(text.strip().lower())
    except ValueError:
        raise words.no_side(text).refusal(Place(option="rim")) from None
