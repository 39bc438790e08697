"""The strings of an instrument as arrays: length, pitch, mass, tension, stretch, stiffness, load.

Between the instrument file, which refuses a string that would break, and the workup, which needs the
same numbers to place the bridge.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from geometry import strings as physics
from geometry.arrays import BoolArray, FloatArray, IntArray


class StringData(Protocol):
    """What the instrument file says of a string."""

    @property
    def note(self) -> str: ...
    @property
    def gauge(self) -> float: ...
    @property
    def core(self) -> float | None: ...
    @property
    def wrap(self) -> str | None: ...
    @property
    def material(self) -> str: ...
    @property
    def unit_mass(self) -> float | None: ...
    @property
    def modulus(self) -> float | None: ...
    @property
    def starts_at_fret(self) -> int: ...


@dataclass(frozen=True)
class Stringing:
    """One value for each string, or each pair. Lengths in mm; the tension is one string's of a pair.

    ``length_mm`` is X₀ from the string's own nut to the theoretical bridge line, ``stretch`` κ,
    ``slipping_stretch`` κ′, ``stiffness`` B₀; ``strength_ratio`` is None where no table of strengths is known.
    """

    starts_at: IntArray
    full_length: BoolArray
    length_mm: FloatArray
    pitch_hz: FloatArray
    unit_mass_kg_per_m: FloatArray
    tension_n: FloatArray
    stretch: FloatArray
    slipping_stretch: FloatArray
    stiffness: FloatArray
    strength_ratio: tuple[float | None, ...]


_MATERIALS = {
    "steel": (physics.STEEL_DENSITY, physics.STEEL_MODULUS_PA),
    "nylon": (physics.NYLON_DENSITY, physics.NYLON_MODULUS_PA),
}
_USUAL_WRAP = "phosphor bronze"


def string_up(
    strings: Sequence[StringData],
    to_bridge_mm: FloatArray,
    scale_mm: float,
    rise_mm: float,
    a4_hz: float,
    outside_mm: float,
    slip: float,
) -> Stringing:
    """Bring the strings to pitch on a scale.

    Parameters: ``strings``; ``to_bridge_mm`` of every fret; ``scale_mm``; ``rise_mm`` of the bridge over the nut;
    ``a4_hz``; ``outside_mm``, afterlength and headlength together; ``slip`` from 0 to 1. The length at pitch is L₀ with
    the bridge on the theoretical line (AB24).
    """

    def column(values: Sequence[float]) -> FloatArray:
        return np.array(values, dtype=float)

    starts = np.array([s.starts_at_fret for s in strings])
    from_nut = np.concatenate(([scale_mm], to_bridge_mm))
    length = from_nut[starts]
    open_mm = np.hypot(length, rise_mm)

    core = column([s.gauge if s.core is None else s.core for s in strings])
    modulus = column([_MATERIALS[s.material][1] if s.modulus is None else 1e9 * s.modulus for s in strings])
    mass = physics.unit_mass_kg_per_m(
        column([s.gauge for s in strings]),
        core,
        column([_MATERIALS[s.material][0] for s in strings]),
        column([physics.WRAP_DENSITIES[s.wrap or _USUAL_WRAP] for s in strings]),
    )
    mass = np.where([s.unit_mass is None for s in strings], mass, column([(s.unit_mass or 0) / 1000 for s in strings]))
    pitch = column([physics.pitch_hz(s.note, a4_hz) for s in strings])
    tension = physics.tension_n(mass, open_mm, pitch)
    stretch = physics.stretch_constant(modulus, core, tension)
    load = physics.strength_ratio(tension, core)
    return Stringing(
        starts_at=starts,
        full_length=starts == 0,
        length_mm=length,
        pitch_hz=pitch,
        unit_mass_kg_per_m=mass,
        tension_n=tension,
        stretch=stretch,
        slipping_stretch=physics.slipping_stretch(stretch, np.array(slip), np.array(outside_mm), open_mm),
        stiffness=physics.bending_stiffness(modulus, core, tension, open_mm),
        strength_ratio=tuple(
            float(ratio) if s.material == "steel" else None for s, ratio in zip(strings, load, strict=True)
        ),
    )
