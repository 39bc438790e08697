"""The tables ``[rim]`` and ``[top]`` of an instrument file: what a sheet lies on beyond the fretboard."""

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from geometry.surface import ArchShape
from jigs.input.quantities import Length
from jigs.input.tables import Section
from jigs.instrument import usual


class Rim(Section):
    """A banjo's head and where it lies: one measurement along the middle, from fret 12 to an inside edge of the rim."""

    head: Annotated[float, Length(100, 500)] = usual.HEAD_DIAMETER_MM
    fret_12_to_near_edge: Annotated[float, Length(1, 500)] | None = None
    fret_12_to_far_edge: Annotated[float, Length(100, 1000)] | None = None

    @field_validator("fret_12_to_far_edge")
    @classmethod
    def _one_edge(cls, far: float | None, info: ValidationInfo) -> float | None:
        if far is not None and info.data.get("fret_12_to_near_edge") is not None:
            raise ValueError("and fret_12_to_near_edge are both given; keep the one that was measured better")
        return far


class Top(Section):
    """An arched top: its arch along the strings, and where the notches of the f-holes are.

    ``arch_middle`` and ``notches`` count from fret 12, straight; the arch's highest point is at the bridge if left out.
    """

    arch: ArchShape = Field(default=ArchShape.CIRCULAR, strict=False)
    arch_rise: Annotated[float, Length(0.1, 100)] | None = None
    arch_span: Annotated[float, Length(50, 1000)] | None = Field(default=None, validate_default=True)
    arch_middle: Annotated[float, Length(20, 800)] | None = None
    notches: Annotated[float, Length(50, 800)] | None = None

    @field_validator("arch_span")
    @classmethod
    def _both_or_none(cls, span: float | None, info: ValidationInfo) -> float | None:
        rise = info.data.get("arch_rise")
        if "arch_rise" in info.data and (span is None) != (rise is None):
            missing, given = ("arch_span", "arch_rise") if span is None else ("arch_rise", "arch_span")
            raise PydanticCustomError(missing, f"is missing beside {given}; an arch is its rise over its span")
        if span is not None and rise is not None and rise > span / 2:
            raise ValueError(
                f"an arch {rise:g} mm high is higher than half its span of {span:g} mm; measure both again"
            )
        return span
