"""What was asked for in words, on the command line or on the page: formats, templates' options, a bridge's place."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from jigs.cutting.cutter import LENGTHS, Cutter
from jigs.faults import Fault, InputFaults, old_refuse
from jigs.templates.catalogue import FOR_CUTTERS, IDLE_WITHOUT


class RimSide(StrEnum):
    """The side of a banjo's rim that the head template nests against."""

    NUT = "nut"
    TAIL = "tail"


@dataclass(frozen=True)
class Options:
    """What the user may choose for a drawing. ``datum_fret`` and ``rim_side`` None: the template chooses.

    ``datum_end``: the template for a top registers on the end of the board. ``print_share``: standard deviation of the
    print's scale, as a share, where the printer was measured; the instrument's file says it otherwise.
    """

    datum_fret: int | None = None
    datum_over_fret: bool = False
    datum_end: bool = False
    rim_side: RimSide | None = None
    to_bridge: bool = False
    cutter: Cutter = field(default_factory=Cutter)
    print_share: float | None = None


def idle_options(given: Mapping[str, object], drawn: Iterable[str]) -> tuple[str, ...]:
    """Notes on options that were given and that no chosen template uses."""
    names = set(drawn)
    return tuple(
        f"{option} is for {' and '.join(users)}; nothing that was asked for takes notice of it"
        for option, users in IDLE_WITHOUT.items()
        if given.get(option) not in (None, False) and not names & set(users)
    )


def read_options(given: Mapping[str, str | int | bool | None], drawn: Iterable[str]) -> Options:
    """What the user may choose for a drawing, by the names of the command line's options; what is not there is left to the
    template, and the cutter's lengths to the user's settings, which are read only for templates that go to a cutter.

    Raises `InputFaults` with all faults.
    """
    faults: list[Fault] = []
    side = datum = None
    cutter = Cutter()
    try:
        side = read_side(_text(given.get("rim")))
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        datum = _read_fret(given.get("datum-fret"))
    except InputFaults as wrong:
        faults += wrong.faults
    lengths = {name: _text(given.get(name)) for name in LENGTHS}
    try:
        cutter = _cutter(lengths) if any(lengths.values()) or FOR_CUTTERS & set(drawn) else cutter
    except InputFaults as wrong:
        faults += wrong.faults
    if faults:
        raise InputFaults(faults)
    return Options(
        datum, bool(given.get("datum-over")), bool(given.get("datum-end")), side, bool(given.get("to-bridge")), cutter
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
        raise old_refuse("--datum-fret", f'"{value}" is no fret\'s number; write for instance 15, or leave it out')
    return int(plain)


def read_side(text: str | None) -> RimSide | None:
    """A side of the rim. Raises `InputFaults`."""
    if text is None:
        return None
    try:
        return RimSide(text.strip().lower())
    except ValueError:
        raise old_refuse("--rim", f'"{text}" is no side of the rim; write nut or tail') from None
