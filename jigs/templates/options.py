"""The options of a drawing, as the command line and the page write them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from jigs.cutting.cutter import Cutter
from jigs.faults import Fault, InputFaults, Note, Place, attempt
from jigs.templates import words
from jigs.templates.catalogue import FOR_CUTTERS, IDLE_WITHOUT, LENGTHS, RimSide

Given: TypeAlias = Mapping[str, str | int | bool | None]
"""What the user gave for each option, by its name without hyphens; None, or no entry, where nothing was given."""


@dataclass(frozen=True)
class Options:
    """What the user may choose for a drawing. ``datum_fret`` and ``rim_side`` None: the template chooses.

    ``datum_end``: the template for a top lies against the end of the board. ``print_share``: standard deviation of the
    print's scale, as a share, where the printer was measured; else the instrument's file says it. ``stem``: how the
    instrument's files begin, which its sheets name. ``wedges``: the gauge can be set by wedges.
    """

    datum_fret: int | None = None
    datum_over_fret: bool = False
    datum_end: bool = False
    rim_side: RimSide | None = None
    to_bridge: bool = False
    cutter: Cutter = field(default_factory=Cutter)
    print_share: float | None = None
    stem: str = ""
    wedges: bool = False


def idle_options(given: Given, drawn: Iterable[str]) -> tuple[Note, ...]:
    """Notes on options that were given and that no chosen template uses."""
    names = set(drawn)
    return tuple(
        words.idle(users).note(Place(option=option))
        for option, users in IDLE_WITHOUT.items()
        if given.get(option) not in (None, False) and not names & set(users)
    )


def read_options(given: Given, drawn: Iterable[str]) -> Options:
    """The options of a drawing.

    An option that was not given is left to the template, a cutter's length to the user's settings. The settings are read
    only for templates that go to a cutter. Raises `InputFaults` with all faults.
    """
    faults: list[Fault] = []
    side = attempt(faults, read_side, _text(given.get("rim")))
    datum = attempt(faults, _read_fret, given.get("datum-fret"))
    lengths = {name: _text(given.get(name)) for name in LENGTHS}
    cut = any(text is not None for text in lengths.values()) or FOR_CUTTERS & set(drawn)
    cutter = attempt(faults, _cutter, lengths) if cut else Cutter()
    if faults or cutter is None:
        raise InputFaults(faults)
    over, end, to_bridge, wedges = (
        bool(given.get(name)) for name in ("datum-over", "datum-end", "to-bridge", "wedges")
    )
    return Options(datum, over, end, side, to_bridge, cutter, wedges=wedges)


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
        raise words.no_side(text, tuple(RimSide)).refusal(Place(option="rim")) from None
