"""How a sheet lies on an instrument: over the step from board to top and over its arch, or within a banjo's rim.

Places are straight distances from the nut. Those called laid are along the sheet.
"""

import math
from typing import TYPE_CHECKING

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine
from geometry.rim import RimPlace
from geometry.surface import Surface, height_mm, paper_mm
from jigs.instrument.top_and_rim import board_end_mm, rim_place, surface_under_strings

if TYPE_CHECKING:
    from jigs.instrument.instrument import Instrument

_SLOPE_OVER_MM = 0.5
_LINE_ENDS_MM = np.array([50.0, -50.0])
_MOST_ROUNDS, _CLOSE_MM = 100, 1e-10


def surface_of(instrument: "Instrument") -> Surface | None:
    """The top under the strings, from the board's end on; None where the file does not give its height."""
    return surface_under_strings(
        instrument.head, instrument.action, instrument.board, instrument.bridge, instrument.top
    )


def lean_of(instrument: "Instrument") -> float:
    """Slope of the top under the bridge against the plane of the frets, down towards the tail; 0 where it is unknown."""
    surface = surface_of(instrument)
    if surface is None or instrument.bridge.height is None:
        return 0.0
    at = instrument.head.scale_mm - board_end_mm(instrument.head, instrument.board)
    step = np.array([at - _SLOPE_OVER_MM, at + _SLOPE_OVER_MM])
    before, behind = height_mm(surface, step).tolist()
    return float((before - behind) / (2 * _SLOPE_OVER_MM))


def feet_before_crown_mm(instrument: "Instrument") -> tuple[float, float]:
    """How much nearer the nut the feet stand than the crown: their middle, and their nut side; along the neck.

    A bridge stands square to its top: H sin(lean), and what the feet reach before that, cos(lean) of it.
    """
    height, slope = instrument.bridge.height or 0.0, lean_of(instrument)
    square = math.hypot(1.0, slope)
    under = height * slope / square
    return under, under + instrument.bridge.face_mm / square


def laid_mm(instrument: "Instrument", from_nut_mm: FloatArray) -> FloatArray:
    """Places along a sheet that lies on the frets, goes taut from the board's end to the top, and follows that."""
    surface, end = surface_of(instrument), board_end_mm(instrument.head, instrument.board)
    if surface is None:
        return from_nut_mm
    beyond = np.maximum(from_nut_mm - end, 0.0)
    return np.asarray(np.where(beyond > 0, end + paper_mm(surface, beyond), from_nut_mm))


def laid_from_end_mm(instrument: "Instrument", from_nut_mm: FloatArray) -> FloatArray:
    """Places along a sheet that butts against the board's end and lies on the top; at that end as on the board."""
    surface, end = surface_of(instrument), board_end_mm(instrument.head, instrument.board)
    if surface is None:
        return from_nut_mm
    return np.asarray(end + paper_mm(surface, np.maximum(from_nut_mm - end, 0.0), from_top=True))


def laid_line(instrument: "Instrument", line: BridgeLine, from_end: bool = False) -> BridgeLine:
    """A straight line across the instrument, as it lies on such a sheet: exact 50 mm either side of the centreline."""
    if surface_of(instrument) is None:
        return line
    lay = laid_from_end_mm if from_end else laid_mm
    return BridgeLine.through(_LINE_ENDS_MM, lay(instrument, line.at(_LINE_ENDS_MM)))


def straight_line(instrument: "Instrument", laid: BridgeLine) -> BridgeLine:
    """The reverse of `laid_line` for a sheet on the frets: the straight line across the instrument that lies there.

    A place is found by going on by what is left: a top is nowhere so steep that a step would not close most of it.
    """
    if surface_of(instrument) is None:
        return laid
    wanted = laid.at(_LINE_ENDS_MM)
    places = wanted
    for _ in range(_MOST_ROUNDS):
        left = wanted - laid_mm(instrument, places)
        places = places + left
        if float(abs(left).max()) < _CLOSE_MM:
            break
    return BridgeLine.through(_LINE_ENDS_MM, places)


def notches_mm(instrument: "Instrument") -> float | None:
    """The line between the f-holes' notches, from the nut, if it was measured."""
    head, from_fret_12 = instrument.head, instrument.top.notches
    return None if from_fret_12 is None else head.from_nut_to_octave_mm + from_fret_12


def rim_of(instrument: "Instrument") -> RimPlace | None:
    """Where a banjo's rim lies, if it was measured."""
    return rim_place(instrument.head, instrument.rim)
