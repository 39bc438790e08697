"""How far the outer strings keep from the board's edges, and a note where they come too near."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from jigs.faults import Note, Place
from jigs.instrument import usual
from jigs.workup import fault_words
from jigs.workup.board_edges import BoardEdges, Strung


@dataclass(frozen=True)
class EdgeClearance:
    """The outside of an outer string to the board's edge beside it; minus where it runs off.

    ``fret``: where, 0 for the nut. ``string``: its index. ``side``: treble or bass.
    """

    fret: int
    string: int
    side: str
    mm: float


def edge_clearances(workup: Strung) -> tuple[EdgeClearance, ...]:
    """Bass and treble side at the nut, where a short string begins, and at the last fret; strings and edges run straight."""
    edges, starts = BoardEdges(workup), workup.instrument.stringing.starts_at
    frets = sorted({*np.asarray(starts).tolist(), len(workup.from_nut_mm)} | {0})
    return tuple(one for fret in frets for one in _at(workup, edges, fret))


def _at(workup: Strung, edges: BoardEdges, fret: int) -> Iterator[EdgeClearance]:
    instrument = workup.instrument
    from_nut = float(workup.from_nut_mm[fret - 1]) if fret else 0.0
    sounding = np.flatnonzero(np.asarray(instrument.stringing.starts_at) <= fret)
    halves = np.array([entry.gauge / 2 for entry in instrument.strings])[sounding]
    places = workup.strings_at(from_nut)[sounding]
    outsides = (
        ("bass", places.min(axis=1) - halves - edges.bass(from_nut)),
        ("treble", edges.treble(from_nut) - places.max(axis=1) - halves),
    )
    for side, clear in outsides:
        nearest = int(np.argmin(clear))
        yield EdgeClearance(fret, int(sounding[nearest]), side, float(clear[nearest]))


def edge_notes(workup: Strung) -> Iterator[Note]:
    """The string that comes nearest to an edge, if it comes unusually near."""
    nearest = min(edge_clearances(workup), key=lambda one: one.mm)
    if nearest.mm >= usual.NEAR_EDGE_MM:
        return
    board, string = workup.instrument.board, workup.instrument.string_in_words(nearest.string)
    at_end = "end_width" if board.end_width is not None else "fret_12_width"
    key = at_end if nearest.fret and getattr(board, at_end) is not None else "nut_width"
    off = fault_words.string_off_board if nearest.mm < 0 else fault_words.string_near_edge
    yield off(string, nearest.side, nearest.fret, abs(nearest.mm)).note(Place(table="board", key=key))
