"""The ``[tolerance]`` table of an instrument file: how well everything else in it is measured."""

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import ValidationInfo, field_validator

from geometry.aids import COUNTED_CORE_SHARE
from jigs.faults import Wrong
from jigs.input.quantities import Length
from jigs.input.tables import Section
from jigs.instrument import body_words, usual
from jigs.instrument.declare import key

if TYPE_CHECKING:
    from geometry.tolerance import Spread

_PERCENT = 100.0

_OF_SPREAD = {
    "scale": ("scale_mm", 1.0),
    "action": ("action_mm", 1.0),
    "nut_height": ("nut_height_mm", 1.0),
    "gauge": ("gauge_mm", 1.0),
    "modulus_percent": ("modulus_share", _PERCENT),
    "datum": ("datum_mm", 1.0),
    "print_percent": ("print_share", _PERCENT),
    "laying": ("laying_mm", 1.0),
    "slip_from": ("slip_from", 1.0),
    "slip_to": ("slip_to", 1.0),
}
"""For each key the field of `geometry.tolerance.Spread`, and how many of the key's unit make one of the field's."""


class Tolerance(Section, title="Measuring accuracy"):
    """Standard deviations of what was measured, printed and laid; the slip is anywhere from ``slip_from`` to ``slip_to``.

    ``gauge`` is that of every wire's diameter. The default of each key is that of `geometry.tolerance.Spread`, or where
    scale, heights and turns were ``measured_with`` the aids of the template measure, that of `geometry.by_aids.BY_AIDS`.
    """

    measured_with: Literal["rule", "aids"] = key(
        "Scale, heights and wrap turns measured with",
        "aids: those of the template measure; they make the ± smaller",
        default="rule",
        example='"aids"',
    )
    scale: Annotated[float, Length(0, 10)] | None = key(
        "Error of the scale length",
        f"{body_words.DEVIATION}; twice that of nut to fret 12",
        empty="0.25 mm; with aids 0.23 mm",
        default=None,
        example="0.25",
    )
    action: Annotated[float, Length(0, 3)] | None = key(
        "Error of the action", body_words.DEVIATION, empty="0.15 mm; with aids 0.08 mm", default=None, example="0.15"
    )
    nut_height: Annotated[float, Length(0, 2)] | None = key(
        "Error of the height at the nut",
        body_words.DEVIATION,
        empty="0.1 mm; with aids 0.08 mm",
        default=None,
        example="0.1",
    )
    gauge: Annotated[float, Length(0, 0.2)] | None = key(
        "Error of the string gauges",
        body_words.DEVIATION,
        empty="as the wire standard permits",
        default=None,
        example="0.005",
    )
    modulus_percent: float | None = key(
        "Error of the wire's stiffness, in %", body_words.DEVIATION, unit="%", ge=0, le=30, default=None, example="3.0"
    )
    datum: Annotated[float, Length(0, 5)] | None = key(
        "Error of the jig against the fret", body_words.DEVIATION, default=None, example="0.1"
    )
    print_percent: float | None = key(
        "Error of the print's size, in %", body_words.DEVIATION, unit="%", ge=0, le=5, default=None, example="0.3"
    )
    laying: Annotated[float, Length(0, 10)] | None = key(
        "Error of laying the paper", f"{body_words.DEVIATION}, along the neck", default=None, example="0.25"
    )
    slip_from: float | None = key("Least slip", "0: the strings stick", ge=0, le=1, default=None, example="0.0")
    slip_to: float | None = key("Greatest slip", "1: they slip freely", ge=0, le=1, default=None, example="1.0")

    @field_validator("slip_to")
    @classmethod
    def _a_range(cls, slip_to: float, info: ValidationInfo) -> float:
        slip_from = info.data.get("slip_from") or 0.0
        if slip_to < slip_from:
            raise Wrong(body_words.slip_turned_round(slip_to, slip_from))
        return slip_to

    def slip_of(self, given: float | None) -> float:
        """The slip to compute with: as given, or the middle of its range."""
        return (self.spread.slip_from + self.spread.slip_to) / 2 if given is None else given

    @property
    def spread(self) -> "Spread":
        """The same in the words of geometry, whose defaults fill in what is empty."""
        from geometry.by_aids import BY_AIDS
        from geometry.tolerance import Spread

        default = BY_AIDS if self.measured_with == "aids" else Spread()
        given = {field: (getattr(self, key), of) for key, (field, of) in _OF_SPREAD.items()}
        return replace(default, **{field: value / of for field, (value, of) in given.items() if value is not None})

    @property
    def turns_error_share(self) -> float:
        """Standard deviation of a core from counted turns, as a share of the gauge."""
        return COUNTED_CORE_SHARE if self.measured_with == "aids" else usual.TURNS_ERROR_SHARE


def default_doubt(name: str) -> float | None:
    """What counts for a measurement of this table when it is empty, in its key's unit; None where it is computed."""
    from geometry.tolerance import Spread

    field, of = _OF_SPREAD[name]
    value: float | None = getattr(Spread(), field)
    return None if value is None else value * of
