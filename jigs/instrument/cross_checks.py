"""Checks between the tables of an instrument file."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from geometry.frets import OCTAVE_FRET
from geometry.lengths import format_mm
from geometry.surface import SurfaceError
from jigs.faults import Fault, Place, old_fault
from jigs.instrument import words
from jigs.instrument.body import Top
from jigs.instrument.keys import Action, Board, Bridge, Compensation, Head, StringEntry
from jigs.instrument.top_and_rim import rim_place, surface_under_strings


def head_faults(
    head: Head,
    compensation: Compensation | None,
    action: Action | None,
    board: Board | None,
    entries: Sequence[StringEntry | None],
    source: str,
) -> Iterator[Fault]:
    """Faults between the frets and what hangs on them."""
    if compensation is not None and compensation.frets > head.frets:
        what = f"{compensation.frets} are more than there are; {head.frets} is the most"
        yield old_fault(source, "[compensation] frets", what)
    if board is not None:
        yield from _board_faults(head, board, source)
    if entries and all(entry is not None and entry.starts_at_fret for entry in entries):
        what = "all strings start at a fret; at least one must start at the nut: leave the key out there"
        yield old_fault(source, "strings, starts_at_fret", what)
    from_nut = [head.scale_mm, *head.to_bridge_mm.tolist()]
    for n, entry in enumerate(entries, 1):
        starts_at = entry.starts_at_fret if entry is not None else 0
        octave = starts_at + OCTAVE_FRET
        if octave > head.frets:
            beyond = "lies beyond" if starts_at > head.frets else "has its octave beyond"
            yield old_fault(
                source,
                f"string {n}, starts_at_fret",
                f"fret {starts_at} {beyond} the {head.frets} frets; its octave is fret {octave},"
                f" so {head.frets - OCTAVE_FRET} is the last fret to start at",
            )
        elif entry is not None and starts_at and entry.peg >= from_nut[0] - from_nut[starts_at]:
            what = f"{entry.peg:g} mm before fret {starts_at} is beyond the nut; measure from the string's own nut"
            yield old_fault(source, f"string {n}, peg", what)
        elif action is not None and action.finger >= from_nut[starts_at] - from_nut[starts_at + 1]:
            what = f"{action.finger:g} mm behind the fret is beyond string {n}'s nut at its first; 0 to 10 mm is usual"
            yield old_fault(source, "[action] finger", what)
            return


def _board_faults(head: Head, board: Board, source: str) -> Iterator[Fault]:
    """Faults between the frets and the board that bears them."""
    last = head.scale_mm - float(head.to_bridge_mm[-1])
    if board.end is not None and not last < board.end:
        what = f"{board.end:g} mm from the nut is before the last fret at {format_mm(last)}; measure to the end of the board"
        yield old_fault(source, "[board] end", what)
    if board.end is not None and board.end > head.scale_mm:
        what = f"{board.end:g} mm from the nut is beyond the bridge at {format_mm(head.scale_mm)}; measure again"
        yield old_fault(source, "[board] end", what)
    narrowest = float(np.min(-np.diff(head.to_bridge_mm, prepend=head.scale_mm)))
    if board.slot is not None and board.slot >= narrowest / 2:
        what = (
            f"{board.slot:g} mm is wider than half the step from fret to fret ({narrowest:.2f} mm); 0.5 to 0.6 is usual"
        )
        yield old_fault(source, "[board] slot", what)
    for key, fret in (*(("dots", dot) for dot in dict.fromkeys(board.dots or ())), ("joint_fret", board.joint_fret)):
        if fret is not None and not 1 <= fret <= head.frets:
            yield old_fault(source, f"[board] {key}", f"there is no fret {fret}; choose from 1 to {head.frets}")


def lay_faults(head: Head | None, parts: Mapping[str, Any], source: str) -> Iterator[Fault]:
    """What is wrong between the measurements of top, rim, bridge and board; parts that are None are at fault themselves."""
    if head is None:
        return
    action, board, bridge, rim, top = (parts[name] for name in ("action", "board", "bridge", "rim", "top"))
    if None not in (action, board, bridge, top):
        yield from _surface_faults(action, board, bridge, top, source)
        yield from _steepness_faults(head, action, board, bridge, top, source)
    place = rim_place(head, rim) if rim is not None else None
    if place is None or bridge is None:
        return
    if bridge.length >= place.head_mm:
        what = f"{bridge.length:g} mm is longer than the head is wide, {format_mm(place.head_mm)}; measure both again"
        yield old_fault(source, "[bridge] length", what)
    elif not place.near_mm < head.scale_mm < place.far_mm:
        key = "fret_12_to_near_edge" if rim.fret_12_to_near_edge is not None else "fret_12_to_far_edge"
        what = (
            f"with that the head reaches from {format_mm(place.near_mm)} to {format_mm(place.far_mm)} from the nut, and the"
            f" bridge at {format_mm(head.scale_mm)} stands beside it; measure from fret 12 to the inside edge, and the head"
        )
        yield old_fault(source, f"[rim] {key}", what)


def _surface_faults(action: Action, board: Board, bridge: Bridge, top: Top, source: str) -> Iterator[Fault]:
    if top.arch_rise is not None and board.over_top is None:
        what = "is missing beside [top] arch_rise; measure down from the fret tops to the top, at the board's end"
        yield old_fault(source, "[board] over_top", what)
    over_bridge = action.nut + action.rise_mm
    if bridge.height is not None and bridge.height < over_bridge:
        what = (
            f"{bridge.height:g} mm is less than the {format_mm(over_bridge)} by which the strings pass over the plane of the"
            " frets there; measure from the top or head up to the crown"
        )
        yield old_fault(source, "[bridge] height", what)


def _steepness_faults(
    head: Head, action: Action, board: Board, bridge: Bridge, top: Top, source: str
) -> Iterator[Fault]:
    try:
        surface_under_strings(head, action, board, bridge, top)
    except SurfaceError as error:
        yield words.surface_impossible(error).at(Place(source, "bridge", "height"))
