"""Rounds at the bench: the answer of one is the start of the next.

Where the bridge stands before a round is what the user says, or where the last round left it, if that was known. If not, no
place is made up: moves are then counted from where the bridge is.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jigs.faults import Place
from jigs.readings import fault_words
from jigs.readings.wedges import line_read_on_wedges
from jigs.workup.standing import read_place
from jigs.workup.workup import FoundPlace, Workup

ON_THE_LINE = "line"
"""What people write for a bridge that stands where the sheet put it."""

AT_WEDGES = "wedges"
"""What people write before the readings of the wedges that the bridge stands against."""

_MOST_ROUNDS, _FARTHEST_MM = 10**9, 2000.0

_DECIMALS = 4
"""Of a millimetre, as the log keeps them, so that both faces go on from the same place."""


@dataclass(frozen=True)
class Start:
    """Where the crown stands when a round is read, from the nut at the outer strings.

    ``by_sheet``: whether it was a printed sheet that put it there in the first round, and not a measurement. ``round``: how
    many rounds led to it. ``kept``: whether it is the place that the instrument file keeps. ``by_wedges``: whether it was
    read on the wedges of a gauge.
    """

    treble_mm: float
    bass_mm: float
    by_sheet: bool = False
    round: int = 0
    kept: bool = False
    by_wedges: bool = False

    @property
    def places_mm(self) -> tuple[float, float]:
        """Treble and bass."""
        return self.treble_mm, self.bass_mm

    def as_dict(self) -> dict[str, Any]:
        """The same for a log or a page, under its stable keys."""
        places = {"treble_mm": self.treble_mm, "bass_mm": self.bass_mm}
        wedges = {"by_wedges": True} if self.by_wedges else {}
        return {**places, "by_sheet": self.by_sheet, **wedges, "round": self.round}


def first_start(text: str, workup: Workup) -> Start:
    """Where the bridge stands, as the user says it: a place, `ON_THE_LINE`, or `AT_WEDGES` with their readings.

    Raises `InputFaults`.
    """
    if text.strip().lower() == ON_THE_LINE:
        treble, bass = workup.outer_places_mm
        return Start(round(treble, _DECIMALS), round(bass, _DECIMALS), by_sheet=True)
    before, wedges, readings = text.strip().partition(AT_WEDGES)
    if wedges and not before:
        line = line_read_on_wedges(readings, workup, Place(option="at"))
        treble, bass = line.at(workup.outer_mm).round(_DECIMALS).tolist()
        return Start(treble, bass, by_sheet=True, by_wedges=True)
    if text.strip().isalpha():
        raise fault_words.no_start(text.strip(), ON_THE_LINE, AT_WEDGES).refusal(Place(option="at"))
    return Start(*read_place(text, workup))


def kept_start(found: FoundPlace) -> Start:
    """Where the bridge stood when its place was kept."""
    treble, bass = (round(mm, _DECIMALS) for mm in found.places_mm)
    return Start(treble, bass, kept=True)


def next_start(start: Start | None, places_mm: tuple[float, float]) -> Start | None:
    """Where the bridge stands after a round that left it at these places; None if nobody knew where it began."""
    if start is None:
        return None
    treble, bass = (round(mm, _DECIMALS) for mm in places_mm)
    return Start(treble, bass, start.by_sheet, start.round + 1, by_wedges=start.by_wedges)


def start_from(data: object) -> Start | None:
    """A start out of a log's line or a page's request; None for anything else."""
    if not isinstance(data, Mapping):
        return None
    places = [data.get("treble_mm"), data.get("bass_mm")]
    numbers = [float(one) for one in places if isinstance(one, int | float) and 0 < one < _FARTHEST_MM]
    rounds = data.get("round", 0)
    if len(numbers) < len(places) or not isinstance(rounds, int) or not 0 <= rounds < _MOST_ROUNDS:
        return None
    by_sheet, by_wedges = data.get("by_sheet") is True, data.get("by_wedges") is True
    return Start(numbers[0], numbers[1], by_sheet, rounds, by_wedges=by_wedges)
