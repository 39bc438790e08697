"""How a sheet lies on an instrument: over the step from board to top and over its arch, or within a banjo's rim.

Places are distances from the nut, straight, unless they are called laid: those are along the sheet.
"""

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine
from geometry.frets import OCTAVE_FRET
from geometry.lengths import format_mm
from geometry.rim import RimPlace, rim_from_far_edge, rim_from_near_edge
from geometry.surface import Arch, Surface, SurfaceError, height_mm, paper_mm
from jigs import trade
from jigs.body_tables import Rim, Top
from jigs.faults import Fault
from jigs.schema import Action, Board, Bridge, Head

if TYPE_CHECKING:
    from jigs.instrument import Instrument

_SLOPE_OVER_MM = 0.5
_ROUNDS = 30
_LEAST_TO_BRIDGE_MM = 1.0
_LINE_ENDS_MM = np.array([50.0, -50.0])


def board_end_mm(head: Head, board: Board) -> float:
    """End of the fretboard, from the nut: as measured, or half a step beyond the last fret."""
    from_nut = head.scale_mm - head.to_bridge_mm
    return board.end or float(from_nut[-1] + trade.BOARD_BEYOND_LAST_FRET * (from_nut[-1] - from_nut[-2]))


def surface_of(instrument: "Instrument") -> Surface | None:
    """The top under the strings, from the board's end on; None where the file says nothing of its height."""
    return _surface(instrument.head, instrument.action, instrument.board, instrument.bridge, instrument.top)


def lean_of(instrument: "Instrument") -> float:
    """Slope of the top under the bridge against the plane of the frets, down towards the tail; 0 where it is not known."""
    surface = surface_of(instrument)
    if surface is None or instrument.bridge.height is None:
        return 0.0
    at = instrument.head.scale_mm - board_end_mm(instrument.head, instrument.board)
    step = np.array([at - _SLOPE_OVER_MM, at + _SLOPE_OVER_MM])
    before, behind = height_mm(surface, step).tolist()
    return float((before - behind) / (2 * _SLOPE_OVER_MM))


def feet_before_crown_mm(instrument: "Instrument") -> tuple[float, float]:
    """How much nearer the nut than the crown the feet stand: their middle, and their nut side; along the neck.

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
    treble, bass = lay(instrument, line.at(_LINE_ENDS_MM)).tolist()
    return BridgeLine((treble + bass) / 2, (treble - bass) / float(_LINE_ENDS_MM[0] - _LINE_ENDS_MM[1]))


def notches_mm(instrument: "Instrument") -> float | None:
    """The line between the f-holes' notches, from the nut, if it was measured."""
    head, from_fret_12 = instrument.head, instrument.top.notches
    return None if from_fret_12 is None else float(head.scale_mm - head.to_bridge_mm[OCTAVE_FRET - 1]) + from_fret_12


def rim_of(instrument: "Instrument") -> RimPlace | None:
    """Where a banjo's rim lies, if it was measured."""
    return _rim(instrument.head, instrument.rim)


def lay_faults(head: Head | None, parts: Mapping[str, Any], source: str) -> Iterator[Fault]:
    """What is wrong between the measurements of top, rim, bridge and board; parts that are None are at fault themselves."""
    if head is None:
        return
    action, board, bridge, rim, top = (parts[name] for name in ("action", "board", "bridge", "rim", "top"))
    if None not in (action, board, bridge, top):
        yield from _surface_faults(action, board, bridge, top, source)
        yield from _steepness_faults(head, action, board, bridge, top, source)
    place = _rim(head, rim) if rim is not None else None
    if place is None or bridge is None:
        return
    if bridge.length >= place.head_mm:
        what = f"{bridge.length:g} mm is longer than the head is wide, {format_mm(place.head_mm)}; measure both again"
        yield Fault(source, "[bridge] length", what)
    elif not place.near_mm < head.scale_mm < place.far_mm:
        key = "fret_12_to_near_edge" if rim.fret_12_to_near_edge is not None else "fret_12_to_far_edge"
        what = (
            f"with that the head reaches from {format_mm(place.near_mm)} to {format_mm(place.far_mm)} from the nut, and the"
            f" bridge at {format_mm(head.scale_mm)} stands beside it; measure from fret 12 to the inside edge, and the head"
        )
        yield Fault(source, f"[rim] {key}", what)


def _surface_faults(action: Action, board: Board, bridge: Bridge, top: Top, source: str) -> Iterator[Fault]:
    if top.arch_rise is not None and board.over_top is None:
        what = "is missing beside [top] arch_rise; measure down from the fret tops to the top, at the board's end"
        yield Fault(source, "[board] over_top", what)
    over_bridge = action.nut + action.rise_mm
    if bridge.height is not None and bridge.height < over_bridge:
        what = (
            f"{bridge.height:g} mm is less than the {format_mm(over_bridge)} by which the strings pass over the plane of the"
            " frets there; measure from the top or head up to the crown"
        )
        yield Fault(source, "[bridge] height", what)


def _steepness_faults(
    head: Head, action: Action, board: Board, bridge: Bridge, top: Top, source: str
) -> Iterator[Fault]:
    try:
        _surface(head, action, board, bridge, top)
    except SurfaceError as error:
        yield Fault(source, "[bridge] height", f"with [board] over_top, {error}")


def _surface(head: Head, action: Action, board: Board, bridge: Bridge, top: Top) -> Surface | None:
    end = board_end_mm(head, board)
    to_bridge = head.scale_mm - end
    if board.over_top is None or to_bridge <= 0:
        return None
    arch = None
    if top.arch_rise is not None and top.arch_span is not None:
        middle = to_bridge
        if top.arch_middle is not None:
            middle = float(head.scale_mm - head.to_bridge_mm[OCTAVE_FRET - 1]) + top.arch_middle - end
        arch = Arch(top.arch_rise, top.arch_span, middle, top.arch)
    level = Surface(board.over_top, 0.0, arch)
    if bridge.height is None:
        return level
    over_bridge, fall = action.nut + action.rise_mm, 0.0
    for _ in range(_ROUNDS):  # the feet move with the lean, and the lean with the feet
        down = bridge.height / math.hypot(1.0, fall)
        foot = to_bridge - down * fall
        if foot < _LEAST_TO_BRIDGE_MM:
            raise SurfaceError("the bridge would stand under the board; measure height and over_top again")
        fall = (float(height_mm(level, np.array(foot))) + down - over_bridge) / foot
    return Surface(board.over_top, fall, arch)


def _rim(head: Head, rim: Rim) -> RimPlace | None:
    fret_12 = float(head.scale_mm - head.to_bridge_mm[OCTAVE_FRET - 1])
    if rim.fret_12_to_near_edge is not None:
        return rim_from_near_edge(fret_12 + rim.fret_12_to_near_edge, rim.head)
    if rim.fret_12_to_far_edge is not None:
        return rim_from_far_edge(fret_12 + rim.fret_12_to_far_edge, rim.head)
    return None
