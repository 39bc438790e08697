"""Heights for a new bridge: the bottoms of its string slots, which give the action of the file at fret 12, and its top edge.

Heights count from the underside of a string in the middle of the board. x is that of a right-handed instrument.
"""

from typing import NamedTuple

import numpy as np

from geometry.arrays import FloatArray
from geometry.profile import FLAT_MM, over_plane_mm
from jigs.workup.workup import Workup


class SingleString(NamedTuple):
    """A string, or each of a pair: its name (1, or 1a and 1b), its entry's number from 0, x on the bridge, and its ``lean``.

    That is how far it runs to the treble side for each mm square to the crown line, towards the tail.
    """

    name: str
    entry: int
    x_mm: float
    lean: float


def is_two_piece(workup: Workup) -> bool:
    """Whether the bridge is a base with a saddle of its own: a mandolin's, and others' unless their saddle is straight.

    Common practice, no source.
    """
    instrument = workup.instrument
    straight = instrument.bridge.steps is not None and not any(instrument.bridge.steps)
    return instrument.straight_edge_is_rare and (instrument.head.kind == "mandolin" or not straight)


def radius_mm(workup: Workup) -> float:
    """Radius of the fret tops across the board; without one in the file they are flat."""
    return workup.instrument.board.radius or FLAT_MM


def slot_bottoms_mm(workup: Workup, across_mm: FloatArray) -> FloatArray:
    """Where the bottom of a slot at x lies: the underside of a string that has the action of the file.

    Between strings it runs from one to the next. A short string bears as one would that began beside it at the nut.
    """
    instrument, action, radius = workup.instrument, workup.instrument.action, radius_mm(workup)
    half = instrument.board.nut_width / 2
    heights = [
        action.nut if one.nut_height is None or one.starts_at_fret else one.nut_height for one in instrument.strings
    ]
    at_nut = between_strings(workup, np.clip(workup.nut_places_mm, -half, half), across_mm)
    nut_height = between_strings(workup, np.repeat(np.array(heights)[:, None], 2, axis=1), across_mm)
    over_plane = over_plane_mm(
        nut_height, action.fret_12, action.relief, radius, at_nut, np.clip(across_mm, -radius, radius)
    )
    return np.asarray(over_plane - (action.nut + action.rise_mm))


def top_edge_mm(workup: Workup, across_mm: FloatArray) -> FloatArray:
    """The top edge: half a string's thickness over the bottom of its slot. Common practice, no source."""
    halves = np.array([one.gauge / 2 for one in workup.instrument.strings])
    deep = between_strings(workup, np.repeat(halves[:, None], 2, axis=1), across_mm)
    return np.asarray(slot_bottoms_mm(workup, across_mm) + deep)


def between_strings(workup: Workup, of_strings: FloatArray, across_mm: FloatArray) -> FloatArray:
    """What every single string has, shape (strings, 2), at x on the bridge: in proportion between two strings."""
    places, first = np.unique(workup.bridge_places_mm.ravel(), return_index=True)
    return np.asarray(np.interp(across_mm, places, of_strings.ravel()[first]))


def single_strings(workup: Workup) -> tuple[SingleString, ...]:
    """Every single string, treble first."""
    singles = []
    for n, entry in enumerate(workup.instrument.strings):
        for side, letter in enumerate("ab" if entry.pair else ("",)):
            at_nut, at_bridge = (float(of[n, side]) for of in (workup.nut_places_mm, workup.bridge_places_mm))
            lean = _lean((at_bridge - at_nut) / workup.scale_mm, workup.line.slope)
            singles.append(SingleString(f"{n + 1}{letter}", n, at_bridge, lean))
    return tuple(singles)


def _lean(spread: float, slope: float) -> float:
    """A string's direction (a, 1) along and square to a crown line of slope s: (a + s)/(1 − a s). Plane geometry.

    >>> round(_lean(0.02, -0.05), 4), _lean(0.0, 0.0)
    (-0.03, 0.0)
    """
    return (spread + slope) / (1 - spread * slope)
