"""The ``[tolerance]`` table of an instrument file: how well everything else in it is known."""

from typing import TYPE_CHECKING, Annotated

from pydantic import Field, ValidationInfo, field_validator

from jigs.input.quantities import Length
from jigs.input.tables import Section

if TYPE_CHECKING:
    from geometry.tolerance import Spread


class Tolerance(Section):
    """Standard deviations of what was measured, printed and laid; the slip is anywhere from ``slip_from`` to ``slip_to``.

    ``gauge`` is that of every wire's diameter. What is left out is as in `geometry.tolerance.Spread`.
    """

    scale: Annotated[float, Length(0, 10)] | None = None
    action: Annotated[float, Length(0, 3)] | None = None
    nut_height: Annotated[float, Length(0, 2)] | None = None
    gauge: Annotated[float, Length(0, 0.2)] | None = None
    modulus_percent: float | None = Field(default=None, ge=0, le=30, examples=["3.0"])
    datum: Annotated[float, Length(0, 5)] | None = None
    print_percent: float | None = Field(default=None, ge=0, le=5, examples=["0.3"])
    laying: Annotated[float, Length(0, 10)] | None = None
    slip_from: float | None = Field(default=None, ge=0, le=1, examples=["0.0"])
    slip_to: float | None = Field(default=None, ge=0, le=1, examples=["1.0"])

    @field_validator("slip_to")
    @classmethod
    def _a_range(cls, slip_to: float, info: ValidationInfo) -> float:
        slip_from = info.data.get("slip_from") or 0.0
        if slip_to < slip_from:
            raise ValueError(f"{slip_to:g} is less than slip_from, {slip_from:g}; write the smaller one into slip_from")
        return slip_to

    @property
    def spread(self) -> "Spread":
        """The same in the words of geometry, whose defaults fill in what is left out."""
        from geometry.tolerance import Spread

        given = {
            "scale_mm": self.scale,
            "action_mm": self.action,
            "nut_height_mm": self.nut_height,
            "gauge_mm": self.gauge,
            "modulus_share": None if self.modulus_percent is None else self.modulus_percent / 100,
            "datum_mm": self.datum,
            "print_share": None if self.print_percent is None else self.print_percent / 100,
            "laying_mm": self.laying,
            "slip_from": self.slip_from,
            "slip_to": self.slip_to,
        }
        return Spread(**{name: value for name, value in given.items() if value is not None})
