"""The fretboard's edges, as the templates draw and straddle them. Right-handed; y from the nut, x to the treble side."""

from typing import Protocol

import numpy as np

from geometry.arrays import FloatArray
from jigs.drawing.arcs import Point
from jigs.instrument import usual
from jigs.instrument.instrument import Instrument
from jigs.instrument.top_and_rim import board_end_mm

_STEP_BEFORE_MM = 4.0


class Strung(Protocol):
    """What edges are worked out from: every workup has it, and notes in its own can use them."""

    @property
    def instrument(self) -> Instrument:
        """Board and strings."""

    @property
    def from_nut_mm(self) -> FloatArray:
        """From the nut to each fret."""

    def strings_at(self, from_nut_mm: float) -> FloatArray:
        """x of the single strings at a distance from the nut."""


class BoardEdges:
    """The board's edges: where its bass and its treble edge run at a distance from the nut, and where it ends.

    A board with a short string steps out on the bass side shortly before that string's nut, to have an edge beside it.
    """

    def __init__(self, workup: Strung) -> None:
        board, from_nut = workup.instrument.board, workup.from_nut_mm
        self.end = board_end_mm(workup.instrument.head, board)
        self._half_nut = board.nut_width / 2
        starts = [entry.starts_at_fret for entry in workup.instrument.strings if entry.starts_at_fret]
        full = workup.instrument.stringing.full_length
        on_bass_side = bool(starts) and not np.any(full[int(np.argmin(full)) :])
        self.steps_at = float(from_nut[min(starts) - 1]) - _STEP_BEFORE_MM if on_bass_side else None
        beyond = [float(x[full].min() - x.min()) for x in (workup.strings_at(0.0), workup.strings_at(self.end))]
        self._beyond_nut, self._beyond_end = beyond if on_bass_side else (0.0, 0.0)
        self._half_end = self._half_width_at_end(workup)

    def _half_width_at_end(self, workup: Strung) -> float:
        board = workup.instrument.board
        if board.fret_12_width is not None:
            share = workup.instrument.head.from_nut_to_octave_mm / self.end
            at_nut = 2 * self._half_nut + self._beyond_nut
            return (board.fret_12_width - at_nut * (1 - share)) / (2 * share)
        if board.end_width is not None:
            return board.end_width / 2
        strings = float(abs(workup.strings_at(self.end)).max()) + usual.STRING_TO_EDGE_MM
        return max(strings, self._half_nut)

    def treble(self, from_nut_mm: float) -> float:
        """x of the treble edge."""
        return self._half_nut + (self._half_end - self._half_nut) * from_nut_mm / self.end

    def wide_bass(self, from_nut_mm: float) -> float:
        """x of the bass edge where every string runs."""
        at_nut = self._half_nut + self._beyond_nut
        return -(at_nut + (self._half_end - at_nut) * from_nut_mm / self.end)

    def narrow_bass(self, from_nut_mm: float) -> float:
        """x of the bass edge before a short string begins."""
        at_end = self._half_end - self._beyond_end
        return -(self._half_nut + (at_end - self._half_nut) * from_nut_mm / self.end)

    def bass(self, from_nut_mm: float) -> float:
        """x of the bass edge; at the step itself the narrow one."""
        before_step = self.steps_at is not None and from_nut_mm <= self.steps_at
        return self.narrow_bass(from_nut_mm) if before_step else self.wide_bass(from_nut_mm)

    @property
    def widest(self) -> float:
        """How far from the centreline the board reaches anywhere."""
        bends = (0.0, self.end) if self.steps_at is None else (0.0, self.steps_at, self.steps_at + 1e-9, self.end)
        return max(max(self.treble(y), -self.bass(y)) for y in bends)

    def corners(self, cut_end: float) -> tuple[Point, ...]:
        """The outline, from the nut's treble corner round."""
        step = []
        if self.steps_at is not None:
            step = [(self.wide_bass(self.steps_at), self.steps_at), (self.narrow_bass(self.steps_at), self.steps_at)]
        return (
            (self.treble(cut_end), cut_end),
            (self.treble(self.end), self.end),
            (self.wide_bass(self.end), self.end),
            *step,
            (self.bass(cut_end), cut_end),
        )

    def widest_at(self, from_nut_mm: float) -> float:
        """How far from the centreline the board reaches at a distance from the nut."""
        return max(self.treble(from_nut_mm), -self.wide_bass(from_nut_mm))
