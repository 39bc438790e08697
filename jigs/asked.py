"""What was asked for in words, on the command line or on the page: formats, templates' options, a bridge's place."""

import re
from collections.abc import Iterable, Mapping, Sequence

from geometry.lengths import LengthError, format_inches, parse_mm
from jigs.cutter import LENGTHS, Cutter
from jigs.faults import Fault, InputFaults, nearest, refuse
from jigs.templates import FOR_CUTTERS, Options, RimSide, Template
from jigs.workup import Workup

ON_PAPER = ("pdf", "svg")
FORMATS = (*ON_PAPER, "dxf")

_TWO_PLACES = re.compile(r"\s*(\d{2,}\.?\d+)\s*/\s*(\d{2,}\.?\d+)\s*", re.ASCII)


def read_formats(text: str, known: Sequence[str] = FORMATS) -> list[str]:
    """Formats from a list with commas. Raises `InputFaults` for one that is not ``known``."""
    names = [name.strip().lower() for name in text.split(",")]
    for name in names:
        if name not in known:
            raise refuse("--format", f'there is no format "{name}" here; {nearest(name, known)}')
    return names


IDLE_WITHOUT = {
    "--datum-fret": ("fork", "gauge", "top"),
    "--datum-over": ("fork",),
    "--datum-end": ("top",),
    "--rim": ("head",),
    "--kerf": ("gauge", "head", "top"),
    "--corner": ("gauge", "head", "top"),
    "--web": ("gauge", "head", "top"),
    "--clearance": ("gauge",),
    "--stock": ("gauge",),
    "--to-bridge": ("fretboard",),
    "--untiled": ("fretboard",),
}
"""Options that only some templates take notice of."""


def idle_options(given: Mapping[str, object], drawn: Sequence[Template]) -> tuple[str, ...]:
    """Notes on options that were given and that no chosen template takes notice of."""
    names = {template.name for template in drawn}
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
    from jigs.cutter_settings import cutter_for

    return cutter_for(lengths)


def _text(value: str | int | bool | None) -> str | None:
    return value if isinstance(value, str) else None


def _read_fret(value: str | int | bool | None) -> int | None:
    if not isinstance(value, str):
        return value
    plain = value.strip()
    if not (plain.isascii() and plain.isdecimal() and len(plain) <= 3):
        raise refuse("--datum-fret", f'"{value}" is no fret\'s number; write for instance 15, or leave it out')
    return int(plain)


def read_side(text: str | None) -> RimSide | None:
    """A side of the rim. Raises `InputFaults`."""
    if text is None:
        return None
    try:
        return RimSide(text.strip().lower())
    except ValueError:
        raise refuse("--rim", f'"{text}" is no side of the rim; write nut or tail') from None


def read_place(text: str, workup: Workup) -> tuple[float, float]:
    """Where the bridge stands: one length, or treble and bass with a slash between, spaced unless both are plain numbers.

    Raises `InputFaults`.
    """
    plain = _TWO_PLACES.fullmatch(text)
    sides = plain.groups() if plain else text.split(" / ")
    try:
        places = [float(parse_mm(side)) for side in sides]
    except LengthError as error:
        raise refuse("--at", f'{error}; two places are written "668.9 / 671.2"') from None
    low, high = 0.9 * workup.scale_mm, 1.1 * workup.scale_mm
    if len(places) > 2 or not all(low <= place <= high for place in places):
        what = (
            f'"{text}" is no place for this bridge; give the distance of its crown from the nut, {low:.0f} to {high:.0f} mm,'
            f" or in inches with the unit, {format_inches(low, 8)} to {format_inches(high, 8)}"
        )
        raise refuse("--at", what)
    return places[0], places[-1]
