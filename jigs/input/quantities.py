"""The quantities of an instrument file that have a unit, as types that check themselves.

Each is a marker for ``typing.Annotated``; pydantic gets its validator from it.
"""

import math
import re
from dataclasses import dataclass
from typing import Any

from pydantic_core import CoreSchema, core_schema

from geometry.lengths import MM_PER_INCH, LengthError, parse_mm
from geometry.strings import GRAMS_PER_POUND, PA_PER_KSI
from jigs.faults import Says, Wrong
from jigs.input import words

_G_PER_M = {"g/m": 1.0, "kg/m": 1000.0, "lb/in": GRAMS_PER_POUND / (float(MM_PER_INCH) / 1000)}
_PA = {"GPa": 1e9, "MPa": 1e6, "ksi": PA_PER_KSI, "Mpsi": 1000 * PA_PER_KSI}
DECIMAL_COMMA = re.compile(r"\d,\d")
"""What a number looks like where the comma is the decimal sign."""

_QUANTITY = re.compile(r"\s*(\d+\.?\d*|\.\d+)\s*(\S+)\s*", re.ASCII)


@dataclass(frozen=True)
class Length:
    """A length from ``low`` to ``high`` mm; a bare number is millimetres.

    ``of``, ``small`` and ``large`` are for a fault's words: what it is, and what it is called beyond its bounds.
    """

    low: float
    high: float
    of: str = ""
    small: str = "short"
    large: str = "long"

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> float:
        """Millimetres for what the file says. Raises `Wrong`."""
        if isinstance(value, str):
            try:
                exact = parse_mm(value)
            except LengthError as error:
                raise Wrong(words.length_unread(error)) from None
            mm = float(exact) if exact < 10**9 else math.inf
        elif isinstance(value, int | float) and not isinstance(value, bool):
            mm = float(value) if abs(value) < 10**9 else math.inf
            if isinstance(value, float) and math.isnan(value):
                raise Wrong(words.nan_length())
        else:
            raise Wrong(words.no_length(value))
        if not self.low <= mm <= self.high:
            raise Wrong(self._fault(value, mm))
        return mm

    def _fault(self, value: object, mm: float) -> Says:
        if mm < 0:
            return words.negative_length(value, self.low, self.high)
        if mm == 0:
            return words.zero_length(value, self.low, self.high)
        if math.isinf(mm):
            return words.endless_length(value, self.low, self.high)
        inches = float(MM_PER_INCH)
        if has_no_unit(value) and self.low <= mm * inches <= self.high:
            return words.perhaps_inches(value, mm, self.small, self.of)
        if has_no_unit(value) and self.high < 25 and self.low <= mm * inches / 1000 <= self.high:
            return words.perhaps_thousandths(value, mm, self.large, self.of)
        return words.short_or_long_length(value, self.small if mm < self.low else self.large, self.low, self.high)


class WireGauge(float):
    """A string's diameter in mm, which knows whether the packet marks it as wound."""

    wound = False


@dataclass(frozen=True)
class Gauge(Length):
    """A string's gauge as packets print it; see `Length`."""

    def read(self, value: object) -> float:
        """Millimetres for what the file says, a `WireGauge`. Raises `Wrong`."""
        marked = isinstance(value, str) and value.rstrip()[-1:] in ("w", "W")
        gauge = WireGauge(super().read(value.rstrip()[:-1] if marked and isinstance(value, str) else value))
        gauge.wound = marked
        return gauge


def is_marked_wound(gauge: object) -> bool:
    """Whether a gauge was written with the w of a wound string."""
    return isinstance(gauge, WireGauge) and gauge.wound


@dataclass(frozen=True)
class Quantity:
    """A number with one of ``units``, from ``low`` to ``high`` in the first of them."""

    units: tuple[str, ...]
    low: float
    high: float
    example: str

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> float:
        """The quantity in the first of its units. Raises `Wrong`."""
        factors = _G_PER_M | _PA
        match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
        if match is None or match[2] not in self.units:
            raise Wrong(words.no_unit(value, self.units, self.example))
        amount = float(match[1]) * factors[match[2]] / factors[self.units[0]]
        if not self.low <= amount <= self.high:
            raise Wrong(words.out_of_range(value, self.low, self.high, self.units[0]))
        return amount


UNIT_MASS = Quantity(tuple(_G_PER_M), 0.01, 100.0, "0.398 g/m")
MODULUS = Quantity(tuple(_PA), 0.1, 1000.0, "203 GPa")


def has_no_unit(value: object) -> bool:
    """Whether it was written without a unit.

    >>> has_no_unit(26.25), has_no_unit("26 1/4"), has_no_unit("26 1/4 in")
    (True, True, False)
    """
    return not isinstance(value, str) or not re.search(r"[^\d\s./-]", value)
