"""What a rack knows of one instrument, as plain values: its numbers, its found place, its last reading.

The folder's state keeps a `Row` as JSON. A `LastReading` is never kept there, because a log grows while the
instrument's file stays the same.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jigs.instrument.packets import written
from jigs.printers.printer import Printer
from jigs.workup.sureness import bridge_fields, how_sure
from jigs.workup.workup import FoundPlace, Workup


@dataclass(frozen=True)
class FoundRow:
    """Where the bridge played in tune, and found less computed for the strings of then; ``date`` is empty if not given.

    ``strings``: those of then, as an instrument file has them; ``same_strings``: whether they are today's.
    """

    treble_mm: float
    bass_mm: float
    correction_treble_mm: float
    correction_bass_mm: float
    date: str
    strings: str
    same_strings: bool


@dataclass(frozen=True)
class Row:
    """An instrument in the summary. Places: distance of the crown from the nut; how sure they are, for the usual fork.

    ``treble_mm`` and ``bass_mm`` are what is drawn: computed, or computed and corrected if a place was found.
    ``treble_string`` and ``bass_string``: numbers of the outer full-length strings. ``in_courses``: some string is a pair.
    """

    name: str
    scale_mm: float
    treble_mm: float
    bass_mm: float
    slant_deg: float
    plus_minus_mm: float
    treble_plus_minus_mm: float
    bass_plus_minus_mm: float
    computed_treble_mm: float
    computed_bass_mm: float
    kind: str
    string_count: int
    in_courses: bool
    treble_string: int
    bass_string: int
    found: FoundRow | None = None


@dataclass(frozen=True)
class LastReading:
    """The last step of an instrument's log, and how far each outer string was off its aim; None if it was not read."""

    step: int
    verdict: str
    treble_cents: float | None
    bass_cents: float | None


def row_of(workup: Workup, printer: Printer | None) -> Row:
    """An instrument's row. ``printer``: of the usual fork, if it is known."""
    treble, bass = workup.outer_places_mm
    computed_treble, computed_bass = workup.computed_line.at(workup.outer_mm).tolist()
    share = None if printer is None else printer.print_share
    sure = bridge_fields(workup, how_sure(workup, print_share=share))
    instrument = workup.instrument
    return Row(
        name=instrument.name,
        scale_mm=workup.scale_mm,
        treble_mm=float(treble),
        bass_mm=float(bass),
        slant_deg=float(workup.line.slant_deg),
        plus_minus_mm=float(sure["plus_minus_mm"]),
        treble_plus_minus_mm=float(sure["treble_plus_minus_mm"]),
        bass_plus_minus_mm=float(sure["bass_plus_minus_mm"]),
        computed_treble_mm=computed_treble,
        computed_bass_mm=computed_bass,
        kind=instrument.head.kind,
        string_count=len(instrument.strings),
        in_courses=any(string.pair for string in instrument.strings),
        treble_string=workup.outer_strings[0] + 1,
        bass_string=workup.outer_strings[1] + 1,
        found=None if workup.found is None else _found(workup.found),
    )


def _found(found: FoundPlace) -> FoundRow:
    of_then = found.then.instrument
    day, strings = of_then.found.date, written(of_then.strings)
    return FoundRow(
        *found.places_mm, *found.correction_mm, "" if day is None else day.isoformat(), strings, found.same_strings
    )


def row_from(data: Mapping[str, Any]) -> Row:
    """A row out of the folder's state."""
    found = data["found"]
    return Row(**{**data, "found": None if found is None else FoundRow(**found)})
