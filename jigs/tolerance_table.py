"""The ``[tolerance]`` table of an instrument file: how well everything else in it is known."""

from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from geometry.tolerance import Spread
from jigs.quantities import Length
from jigs.section import Section


class Tolerance(Section):
    """Standard deviations of what was measured, printed and laid; the slip is anywhere from ``slip_from`` to ``slip_to``.

    ``gauge`` is that of every wire's diameter; left out, the wire's own standard says it.
    """

    scale: Annotated[float, Length(0, 10)] = Spread.scale_mm
    action: Annotated[float, Length(0, 3)] = Spread.action_mm
    nut_height: Annotated[float, Length(0, 2)] = Spread.nut_height_mm
    gauge: Annotated[float, Length(0, 0.2)] | None = Spread.gauge_mm
    modulus_percent: float = Field(default=100 * Spread.modulus_share, ge=0, le=30, examples=["3.0"])
    datum: Annotated[float, Length(0, 5)] = Spread.datum_mm
    print_percent: float = Field(default=100 * Spread.print_share, ge=0, le=5, examples=["0.3"])
    laying: Annotated[float, Length(0, 10)] = Spread.laying_mm
    slip_from: float = Field(default=Spread.slip_from, ge=0, le=1, examples=["0.0"])
    slip_to: float = Field(default=Spread.slip_to, ge=0, le=1, examples=["1.0"])

    @field_validator("slip_to")
    @classmethod
    def _a_range(cls, slip_to: float, info: ValidationInfo) -> float:
        slip_from = info.data.get("slip_from", 0.0)
        if slip_to < slip_from:
            raise ValueError(f"{slip_to:g} is less than slip_from, {slip_from:g}; write the smaller one into slip_from")
        return slip_to

    @property
    def spread(self) -> Spread:
        """The same in the words of geometry."""
        return Spread(
            scale_mm=self.scale,
            action_mm=self.action,
            nut_height_mm=self.nut_height,
            gauge_mm=self.gauge,
            modulus_share=self.modulus_percent / 100,
            slip_from=self.slip_from,
            slip_to=self.slip_to,
            datum_mm=self.datum,
            print_share=self.print_percent / 100,
            laying_mm=self.laying,
        )
