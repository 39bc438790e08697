"""The tables ``[rim]`` and ``[top]`` of an instrument file: what a sheet lies on beyond the fretboard."""

from typing import Annotated

from pydantic import ValidationInfo, field_validator

from geometry.surface import ArchShape
from jigs.faults import Key, Wrong
from jigs.input.quantities import Length
from jigs.input.tables import Section
from jigs.instrument import body_words, usual, words
from jigs.instrument.declare import key


class Rim(Section, title="Banjo head"):
    """A banjo's head and where it lies: one measurement along the middle, from fret 12 to an inside edge of the rim."""

    head: Annotated[float, Length(100, 500, usual=(200, 400))] = key(
        "Width of the head",
        "between the inside edges of its tension hoop",
        default=usual.HEAD_DIAMETER_MM,
        example='"11 in"',
    )
    fret_12_to_near_edge: Annotated[float, Length(1, 500)] | None = key(
        "Fret 12 to the tension hoop's near edge", "inside, along the middle", default=None, example="157.0"
    )
    fret_12_to_far_edge: Annotated[float, Length(100, 1000, usual=(250, 600))] | None = key(
        "Fret 12 to the tension hoop's far edge", "instead of the near one", default=None, example="436.4"
    )

    @field_validator("fret_12_to_far_edge")
    @classmethod
    def _one_edge(cls, far: float | None, info: ValidationInfo) -> float | None:
        if far is not None and info.data.get("fret_12_to_near_edge") is not None:
            near_and_far = Key("rim", "fret_12_to_near_edge"), Key("rim", "fret_12_to_far_edge")
            raise Wrong(words.both_given(*near_and_far, measured=True))
        return far


class Top(Section, title="Arched top"):
    """An arched top: its arch along the strings, and where the notches of the f-holes are.

    ``arch_middle`` and ``notches`` count from fret 12, straight. Without ``arch_middle`` the arch is highest at the bridge.
    """

    arch_rise: Annotated[float, Length(0.1, 100)] | None = key(
        "Rise of the arch", "along the strings, over its span", default=None, example="12.0"
    )
    arch_span: Annotated[float, Length(50, 1000)] | None = key(
        "Span of the arch", "along the strings", default=None, validate_default=True, example="280.0"
    )
    arch_middle: Annotated[float, Length(20, 800)] | None = key(
        "Fret 12 to its highest point", empty="at the bridge", default=None, example="176.2"
    )
    arch: ArchShape = key("Curve", default=ArchShape.CIRCULAR, strict=False, example='"parabolic"')
    notches: Annotated[float, Length(50, 800)] | None = key(
        "Fret 12 to the f-hole notches", "to the line between them", default=None, example="178.2"
    )

    @field_validator("arch_span")
    @classmethod
    def _both_or_none(cls, span: float | None, info: ValidationInfo) -> float | None:
        rise = info.data.get("arch_rise")
        if "arch_rise" in info.data and (span is None) != (rise is None):
            missing, given = ("arch_span", "arch_rise") if span is None else ("arch_rise", "arch_span")
            raise Wrong(body_words.arch_half_given(Key("top", missing), Key("top", given)), key=missing)
        if span is not None and rise is not None and rise > span / 2:
            raise Wrong(body_words.arch_too_high(rise, span))
        return span
