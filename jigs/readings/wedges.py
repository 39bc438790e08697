"""The wedges of a gauge that can be set: what a user reads on them, and what to set them to."""

import re
from dataclasses import dataclass

from geometry.bridge import BridgeLine
from jigs.faults import Place
from jigs.readings import wedges_words as words
from jigs.workup.wedges import SetByWedges, line_at_wedges, set_by_wedges, wedges_at_line, zero_in_words
from jigs.workup.workup import Workup

_TWO = re.compile(r"\s*([+−-]?\d+(?:[.,]\d+)?)\s*/\s*([+−-]?\d+(?:[.,]\d+)?)\s*", re.ASCII)
_NEAR_CENTS = 0.5
"""A reading so far beyond the last mark can still be guessed."""


@dataclass(frozen=True)
class Settings:
    """What to set both wedges to, in cents; ``zero``: the line that they count from.

    ``flat`` and ``sharp``: how far their scales go.
    """

    treble_cents: float
    bass_cents: float
    zero: str
    flat: int
    sharp: int

    @property
    def beyond(self) -> tuple[str, ...]:
        """Ends whose scale does not reach as far."""
        cents = (("treble", self.treble_cents), ("bass", self.bass_cents))
        return tuple(end for end, one in cents if not -self.flat <= one <= self.sharp)


def two_readings(text: str) -> tuple[float, float] | None:
    """Treble and bass in cents out of "+3 / -5.5"; None for anything else.

    >>> two_readings("+3 / −5,5"), two_readings("3")
    ((3.0, -5.5), None)
    """
    found = _TWO.fullmatch(text)
    if found is None:
        return None
    treble, bass = (float(one.replace("−", "-").replace(",", ".")) for one in found.groups())
    return treble, bass


def line_read_on_wedges(text: str, workup: Workup, at: Place) -> BridgeLine:
    """The crown's line with the feet against both wedges, read on their scales. Raises `InputFaults`."""
    cents = two_readings(text)
    if cents is None:
        raise words.no_readings(text).refusal(at)
    wedges = _wedges(workup, at)
    if min(cents) < -wedges.flat - _NEAR_CENTS or max(cents) > wedges.sharp + _NEAR_CENTS:
        raise words.beyond_the_scale(text, wedges.flat, wedges.sharp).refusal(at)
    return line_at_wedges(workup, wedges, cents)


def _wedges(workup: Workup, at: Place) -> SetByWedges:
    wedges = set_by_wedges(workup)
    if wedges is None:
        raise words.without_wedges(workup.instrument.bridge.length, workup.instrument.stands_on).refusal(at)
    return wedges


def settings_for(workup: Workup, places_mm: tuple[float, float]) -> Settings | None:
    """What to set both wedges to for a place of the crown at the outer strings; None for feet too short for wedges."""
    wedges = set_by_wedges(workup)
    if wedges is None:
        return None
    treble, bass = (round(one, 3) + 0.0 for one in wedges_at_line(workup, wedges, workup.line_through(*places_mm)))
    return Settings(treble, bass, zero_in_words(workup), wedges.flat, wedges.sharp)
