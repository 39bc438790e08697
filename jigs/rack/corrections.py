"""What the places that were found by ear say of a whole rack: each kind's corrections, their mean and how they differ."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from statistics import fmean, stdev

from geometry.robust import student_t
from jigs.rack.rows import Row

FEWEST = 3
"""Instruments of a kind from which a common error can be seen."""

_LEAST_MM = 0.1
"""A mean correction below this is none: nobody sets a bridge finer."""

_CONFIDENCE = 0.975
"""For either end, so that it is 95 in 100 for both."""


@dataclass(frozen=True)
class End:
    """Corrections at one end: mean and standard deviation in mm (None of a single one), and whether they agree.

    ``alike``: the mean is farther from zero than chance explains, so that something is off for all of them.
    """

    mean_mm: float
    sd_mm: float | None
    alike: bool


@dataclass(frozen=True)
class KindCorrections:
    """The corrections of a kind, with the count of strings or courses: found for how many of how many instruments."""

    kind: str
    string_count: int
    in_courses: bool
    instruments: int
    found: int
    treble: End
    bass: End

    @property
    def alike(self) -> bool:
        """Whether they agree at one end at least."""
        return self.treble.alike or self.bass.alike


def by_kind(rows: Iterable[Row]) -> tuple[KindCorrections, ...]:
    """The kinds of which some instrument has a found place, in the order of their names.

    Files of one instrument, by its name, count once: the last that has a place.
    """
    rows = {row.name: row for row in sorted(rows, key=lambda row: row.found is not None)}.values()
    kinds = ((kind, list(group)) for kind, group in groupby(sorted(rows, key=_kind), key=_kind))
    return tuple(_of_kind(*kind, group) for kind, group in kinds if any(row.found for row in group))


def _kind(row: Row) -> tuple[str, int, bool]:
    return row.kind, row.string_count, row.in_courses


def _of_kind(kind: str, string_count: int, in_courses: bool, rows: Sequence[Row]) -> KindCorrections:
    found = [row.found for row in rows if row.found is not None]
    treble, bass = (end([one.correction_treble_mm for one in found]), end([one.correction_bass_mm for one in found]))
    return KindCorrections(kind, string_count, in_courses, len(rows), len(found), treble, bass)


def end(corrections_mm: Sequence[float]) -> End:
    """Mean x̄, standard deviation s over n − 1, and whether |x̄| > t s/√n with Student's t of n − 1.

    >>> end([0.8, 1.0, 0.9]).alike, end([0.8, -1.0, 0.9]).alike, end([0.8]).sd_mm
    (True, False, None)
    """
    count, mean = len(corrections_mm), fmean(corrections_mm)
    if count < 2:
        return End(mean, None, alike=False)
    sd = stdev(corrections_mm)
    if count < FEWEST:
        return End(mean, sd, alike=False)
    chance = student_t(count - 1, _CONFIDENCE) * sd / math.sqrt(count)
    return End(mean, sd, alike=abs(mean) > max(chance, _LEAST_MM))
