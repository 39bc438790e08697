"""Where the bridge stands: its places as the user writes them, and the line through them."""

import re
from dataclasses import dataclass

from geometry.lengths import LengthError, comma_meanings
from jigs.faults import Place, Says, Wrong
from jigs.input.quantities import Length
from jigs.workup import fault_words as words
from jigs.workup.workup import Workup

_TWO_PLACES = re.compile(r"\s*(\d{2,}[.,]?\d+)\s*/\s*(\d{2,}[.,]?\d+)\s*", re.ASCII)


@dataclass(frozen=True)
class _FromNut(Length):
    """A place of the bridge: the distance of its crown from the nut. A bare number is inches where only they fit."""

    def unread(self, error: LengthError) -> Says:
        return words.place_unread(error, self.low, self.high)

    def fault(self, value: object, mm: float, bare: bool) -> Says:
        units = self.other_units(value, mm) if bare else []
        return words.no_place_for_a_bridge(str(value).strip(), self.low, self.high, units)


def read_place(text: str, workup: Workup) -> tuple[float, float]:
    """Where the bridge stands: one length, or treble and bass with a slash between.

    Two lengths with a unit need spaces around the slash, because inches have one too.

    Raises `InputFaults`.
    """
    bounds = 0.9 * workup.scale_mm, 1.1 * workup.scale_mm
    return read_places(text, _FromNut(*bounds, usual=bounds), Place(option="at"))


def read_places(text: str, length: Length, at: Place) -> tuple[float, float]:
    """One length for both ends, or two with a slash between. Raises `InputFaults` at ``at``."""
    plain = _TWO_PLACES.fullmatch(text)
    sides = plain.groups() if plain else text.split(" / ")
    try:
        places = [_read_side(side, length) for side in sides]
    except Wrong as wrong:
        many = any(side.count("/") > 1 for side in sides)
        raise (words.too_many_places(text, length.low, length.high) if many else wrong.says).refusal(at) from None
    if len(places) > 2:
        raise words.too_many_places(text, length.low, length.high).refusal(at)
    return places[0], places[-1]


def _read_side(side: str, place: Length) -> float:
    """One place, in mm. Raises `Wrong`, also for a comma that may stand between two places."""
    if len(comma_meanings(side)) > 1:
        halves = [half.strip() for half in side.split(",")]
        if all(half.isdecimal() and place.low <= int(half) <= place.high for half in halves):
            raise Wrong(words.comma_between_places(*halves))
    return place.read(side)
