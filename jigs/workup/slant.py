"""A bridge line that slants more than bridges do, and what in the file most likely makes it.

It imports nothing else of the room, so that the workup can import it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from typing import TypeAlias

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import straight_line
from jigs.faults import Place
from jigs.instrument import usual
from jigs.instrument.instrument import Instrument

_LARGE_STEP_MM, _LARGE_NUT_STEP_MM = 2.0, 1.0
"""Larger steps of a saddle or a nut than are usual. Common practice, no source."""

_CLOSE = 0.5
"""A share of the usual spacing of strings that is unusual."""

_SlantOf: TypeAlias = Callable[[FloatArray], float]


class SlantCause(Enum):
    """What makes a slant steep."""

    PLAIN_STRING = auto()
    STEPS = auto()
    NUT_STEPS = auto()
    ONE_STRING = auto()
    SPACING = auto()
    FOUND = auto()
    UNKNOWN = auto()


_KEYS = {
    SlantCause.PLAIN_STRING: ("strings", "gauge"),
    SlantCause.STEPS: ("bridge", "steps"),
    SlantCause.NUT_STEPS: ("nut", "steps"),
    SlantCause.ONE_STRING: ("strings", "gauge"),
    SlantCause.SPACING: ("bridge", "spacing"),
    SlantCause.FOUND: ("found", ""),
    SlantCause.UNKNOWN: ("", ""),
}
"""Table and key of each cause."""


@dataclass(frozen=True)
class SteepSlant:
    """A slant, positive with the bass end farther from the nut, and its likeliest cause.

    ``string``: the index of the string at fault, if it is one.
    """

    slant_deg: float
    cause: SlantCause
    string: int | None = None

    def place(self, source: str) -> Place:
        """Where in the instrument file the cause is."""
        table, key = _KEYS[self.cause]
        return Place(source, table, key, None if self.string is None else self.string + 1)


def steep_slant(
    instrument: Instrument, slant_deg: float, setback_mm: FloatArray, across_mm: FloatArray, cents_per_mm: FloatArray
) -> SteepSlant | None:
    """The slant and its likeliest cause, or None if bridges slant as much.

    A cause is likely if the line would slant less than `usual.STEEP_SLANT_DEG` without it. The causes are unusually large
    steps, one string that is not set back as its neighbours are, and strings nearer each other than is usual. A thick plain
    string at the end that is farther from the nut comes first, because the w of its gauge is soon forgotten.

    Parameters: ``slant_deg`` of the line; ``setback_mm``, ``across_mm`` and ``cents_per_mm`` of each string, as in the
    workup.
    """
    if abs(slant_deg) <= usual.STEEP_SLANT_DEG:
        return None
    scale, full_length, fit = (
        instrument.head.scale_mm,
        instrument.stringing.full_length,
        instrument.compensation.bridge_fit,
    )
    full = np.flatnonzero(full_length)

    def slant_of(bears_mm: FloatArray) -> float:
        return abs(straight_line(scale, across_mm, bears_mm, cents_per_mm, full_length, fit).slant_deg)

    far = int(full[-1] if slant_deg > 0 else full[0])
    if instrument.strings[far].is_thick_and_plain:
        return SteepSlant(slant_deg, SlantCause.PLAIN_STRING, far)
    steps, nut_steps = instrument.steps_mm, instrument.nut_setback_mm
    if abs(steps).max() > _LARGE_STEP_MM and slant_of(setback_mm) <= usual.STEEP_SLANT_DEG:
        return SteepSlant(slant_deg, SlantCause.STEPS)
    without = slant_of(setback_mm - nut_steps - steps)
    if abs(nut_steps).max() > _LARGE_NUT_STEP_MM and without <= usual.STEEP_SLANT_DEG:
        return SteepSlant(slant_deg, SlantCause.NUT_STEPS)
    alone = _string_alone(full.tolist(), setback_mm, steps, slant_of)
    if alone is not None:
        return SteepSlant(slant_deg, SlantCause.ONE_STRING, alone)
    spread = instrument.bridge.spacing / usual.KIND_DEFAULTS[instrument.head.kind]["bridge"]["spacing"]
    if spread <= _CLOSE and _with_spread(slant_deg, spread) <= usual.STEEP_SLANT_DEG:
        return SteepSlant(slant_deg, SlantCause.SPACING)
    return SteepSlant(slant_deg, SlantCause.UNKNOWN)


def steep_as_found(slant_deg: float) -> SteepSlant | None:
    """The slant of a place that was found by ear, or None if bridges slant as much."""
    return SteepSlant(slant_deg, SlantCause.FOUND) if abs(slant_deg) > usual.STEEP_SLANT_DEG else None


def _string_alone(full: Sequence[int], setback_mm: FloatArray, steps_mm: FloatArray, slant_of: _SlantOf) -> int | None:
    """The full-length string that alone makes the slant: with its neighbours' setback it would not be steep."""
    slants: dict[int, float] = {}
    for at, string in enumerate(full):
        beside = [full[n] for n in (at - 1, at + 1) if 0 <= n < len(full)]
        as_beside = setback_mm.copy()
        as_beside[string] = setback_mm[beside].mean()
        slants[string] = slant_of(as_beside - steps_mm)
    alone = min(slants, key=lambda string: (slants[string], -abs(setback_mm[string])))
    return alone if slants[alone] <= usual.STEEP_SLANT_DEG else None


def _with_spread(slant_deg: float, spread: float) -> float:
    """The slant of the same setbacks with the strings farther apart: tan α · spread."""
    return abs(float(np.degrees(np.arctan(np.tan(np.radians(slant_deg)) * spread))))
