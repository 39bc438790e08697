"""Strings across nut and bridge: equal centres, or equal gaps between the strings' edges.

A course is a single string or a pair. Places are x, positive to the treble side, with the middle between the
outer full-length courses at x = 0.
"""

from enum import StrEnum

import numpy as np

from geometry.arrays import BoolArray, FloatArray
from geometry.errors import GeometryError


class Spaced(StrEnum):
    """What is equal from course to course."""

    CENTRES = "centres"
    GAPS = "gaps"


class SpacingError(GeometryError):
    """Strings that do not fit side by side: the tightest neighbours overlap by ``overlap_mm``. Code: strings-overlap."""

    def __init__(self, code: str, overlap_mm: float) -> None:
        super().__init__(code, overlap_mm)
        self.overlap_mm = overlap_mm


def course_places_mm(extent_mm: FloatArray, spacing_mm: float, spaced: Spaced, counted: BoolArray) -> FloatArray:
    """Centre of every course, x, treble first.

    Equal centres: xᵢ = s/2 − i s/(n−1). Equal gaps: the clear space g between the edges of neighbouring courses is
    the same, g = (s − ½e₁ − e₂ − … − ½eₙ)/(n−1).

    Parameters: ``extent_mm``, each course across its outer edges, shape (courses,); ``spacing_mm`` s, centre to centre of
    the outer courses that are ``counted`` (at the nut a short string is not; it carries the pattern on beyond them);
    ``spaced``. Returns mm, shape (courses,). Raises `SpacingError` when neighbours would touch. Limits: places are square to
    the centreline, though a bridge may slant by a few degrees.

    >>> course_places_mm(np.array([1.0, 2.0, 3.0]), 20.0, Spaced.CENTRES, np.full(3, True))
    array([ 10.,   0., -10.])
    >>> course_places_mm(np.array([1.0, 2.0, 3.0]), 20.0, Spaced.GAPS, np.full(3, True))
    array([ 10. ,   0.5, -10. ])
    """
    at = np.flatnonzero(counted)
    first, last = int(at[0]), int(at[-1])
    halves = (extent_mm[:-1] + extent_mm[1:]) / 2
    taken = halves if spaced is Spaced.GAPS else np.zeros_like(halves)
    between = slice(first, last)
    gap = (spacing_mm - taken[between].sum()) / (last - first) if last > first else spacing_mm
    steps = taken + gap
    tightest = float(np.min(steps - halves, initial=np.inf))
    if tightest <= 0:
        raise SpacingError("strings-overlap", abs(tightest))
    places = -np.concatenate(([0.0], np.cumsum(steps)))
    return np.asarray(places - (places[first] + places[last]) / 2)


def string_offsets_mm(is_pair: BoolArray, pair_gap_mm: float) -> FloatArray:
    """Places of a course's strings about its centre, treble string first; 0 twice for one string.

    Parameters: ``is_pair``, shape (courses,); ``pair_gap_mm``, centre to centre within a pair. Returns mm, (courses, 2).

    >>> string_offsets_mm(np.array([True, False]), 2.5)
    array([[ 1.25, -1.25],
           [ 0.  , -0.  ]])
    """
    return np.asarray(np.where(is_pair[:, None], pair_gap_mm / 2, 0.0) * np.array([1.0, -1.0]))
