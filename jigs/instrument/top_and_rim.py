"""The top under the strings and the rim around the head, from the file's measurements."""

import math

import numpy as np

from geometry.rim import RimPlace, rim_from_far_edge, rim_from_near_edge
from geometry.surface import Arch, Surface, SurfaceError, height_mm
from jigs.faults import Wrong
from jigs.instrument import body_words, usual
from jigs.instrument.body import Rim, Top
from jigs.instrument.keys import Head
from jigs.instrument.tables import Action, Board, Bridge

_ROUNDS = 30
_LEAST_TO_BRIDGE_MM = 1.0


def board_end_mm(head: Head, board: Board) -> float:
    """End of the fretboard, from the nut: as measured, or half a step beyond the last fret."""
    from_nut = head.scale_mm - head.to_bridge_mm
    return board.end or float(from_nut[-1] + usual.BOARD_BEYOND_LAST_FRET * (from_nut[-1] - from_nut[-2]))


def surface_under_strings(head: Head, action: Action, board: Board, bridge: Bridge, top: Top) -> Surface | None:
    """The top under the strings; None where the file has no heights. Raises `Wrong` for heights that cannot be."""
    end = board_end_mm(head, board)
    to_bridge = head.scale_mm - end
    if board.over_top is None or to_bridge <= 0:
        return None
    arch = None
    if top.arch_rise is not None and top.arch_span is not None:
        middle = to_bridge
        if top.arch_middle is not None:
            middle = head.from_nut_to_octave_mm + top.arch_middle - end
        arch = Arch(top.arch_rise, top.arch_span, middle, top.arch)
    level = Surface(board.over_top, 0.0, arch)
    if bridge.height is None:
        return level
    over_bridge, fall = action.nut + action.rise_mm, 0.0
    for _ in range(_ROUNDS):  # the feet move with the lean, and the lean with the feet
        down = bridge.height / math.hypot(1.0, fall)
        foot = to_bridge - down * fall
        if foot < _LEAST_TO_BRIDGE_MM:
            raise Wrong(body_words.BRIDGE_UNDER_THE_BOARD)
        fall = (float(height_mm(level, np.array(foot))) + down - over_bridge) / foot
    try:
        return Surface(board.over_top, fall, arch)
    except SurfaceError:
        raise Wrong(body_words.top_too_steep(fall)) from None


def rim_place(head: Head, rim: Rim) -> RimPlace | None:
    """The rim around the head; None where its distance from fret 12 is not in the file."""
    fret_12 = head.from_nut_to_octave_mm
    if rim.fret_12_to_near_edge is not None:
        return rim_from_near_edge(fret_12 + rim.fret_12_to_near_edge, rim.head)
    if rim.fret_12_to_far_edge is not None:
        return rim_from_far_edge(fret_12 + rim.fret_12_to_far_edge, rim.head)
    return None
