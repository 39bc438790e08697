"""The strings of an instrument as arrays: length, pitch, mass, tension, stretch, stiffness, load.

The instrument file refuses a string that would break; the workup places the bridge by the same numbers.
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
    def core_mm(self) -> float: ...
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

    ``wires`` is what they are made of; ``length_mm`` X₀ from the string's own nut to the theoretical bridge line;
    ``stretch`` κ, ``slipping_stretch`` κ′, ``stiffness`` B₀; ``strength_ratio`` is None where no table is known.
    """

    wires: physics.Wires
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


def string_up(
    strings: Sequence[StringData],
    to_bridge_mm: FloatArray,
    rise_mm: float,
    a4_hz: float,
    outside_mm: float,
    slip: float,
    usual_wrap: str,
) -> Stringing:
    """Bring the strings to pitch on a scale.

    Parameters: ``strings``; ``to_bridge_mm`` from the nut and from every fret; ``rise_mm`` of the bridge over the nut;
    ``a4_hz``; ``outside_mm``, afterlength and headlength together; ``slip`` from 0 to 1; ``usual_wrap`` of a wound string
    whose wrap is not in the file.
    """

    def column(values: Sequence[float]) -> FloatArray:
        return np.array(values, dtype=float)

    starts = np.array([s.starts_at_fret for s in strings])
    length = to_bridge_mm[starts]

    core = column([s.core_mm for s in strings])
    wires = physics.Wires(
        gauge_mm=column([s.gauge for s in strings]),
        core_mm=core,
        core_density=column([_MATERIALS[s.material][0] for s in strings]),
        wrap_density=column([physics.WRAP_DENSITIES[s.wrap or usual_wrap] for s in strings]),
        modulus_pa=column([_MATERIALS[s.material][1] if s.modulus is None else 1e9 * s.modulus for s in strings]),
        pitch_hz=column([physics.pitch_hz(s.note, a4_hz) for s in strings]),
        mass_is_given=np.array([s.unit_mass is not None for s in strings]),
        unit_mass_kg_per_m=column([(s.unit_mass or 0) / 1000 for s in strings]),
    )
    at_pitch = physics.bring_to_pitch(wires, length, np.array(rise_mm), outside_mm, np.array(slip))
    load = physics.strength_ratio(at_pitch.tension_n, core)
    return Stringing(
        wires=wires,
        starts_at=starts,
        full_length=starts == 0,
        length_mm=length,
        pitch_hz=wires.pitch_hz,
        unit_mass_kg_per_m=at_pitch.unit_mass_kg_per_m,
        tension_n=at_pitch.tension_n,
        stretch=at_pitch.stretch,
        slipping_stretch=at_pitch.slipping_stretch,
        stiffness=at_pitch.stiffness,
        strength_ratio=tuple(
            float(ratio) if s.material == "steel" else None for s, ratio in zip(strings, load, strict=True)
        ),
    )
