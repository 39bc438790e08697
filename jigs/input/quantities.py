"""The quantities of an instrument file that have a unit, as types that check themselves.

Each is a marker for ``typing.Annotated``; pydantic asks it for a validator. Their messages say what is
wrong and, after a semicolon, what would be right.
"""

import math
import re
from dataclasses import dataclass
from typing import Any

from pydantic_core import CoreSchema, core_schema

from geometry.lengths import MM_PER_INCH, UNIT_WORDS, format_inches, parse_mm, round_half_up
from geometry.strings import GRAMS_PER_POUND, PA_PER_KSI

_G_PER_M = {"g/m": 1.0, "kg/m": 1000.0, "lb/in": GRAMS_PER_POUND / (float(MM_PER_INCH) / 1000)}
_PA = {"GPa": 1e9, "MPa": 1e6, "ksi": PA_PER_KSI, "Mpsi": 1000 * PA_PER_KSI}
_QUANTITY = re.compile(r"\s*(\d+\.?\d*|\.\d+)\s*(\S+)\s*", re.ASCII)


@dataclass(frozen=True)
class Length:
    """A length from ``low`` to ``high`` mm; a bare number is millimetres."""

    low: float
    high: float

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> float:
        """Millimetres for what the file says. Raises ValueError in the user's words."""
        if isinstance(value, str):
            exact = parse_mm(value)
            mm = float(exact) if exact < 10**9 else math.inf
        elif isinstance(value, int | float) and not isinstance(value, bool):
            mm = float(value) if abs(value) < 10**9 else math.inf
            if isinstance(value, float) and math.isnan(value):
                raise ValueError(f"nan is not a length; write a number of millimetres, or {UNIT_WORDS}")
        else:
            raise ValueError(f'{shown(value)} is not a length; write for instance 333.4 or "26 1/4 in"')
        if not self.low <= mm <= self.high:
            raise ValueError(f"{shown(value)} is {self._fault(value, mm)}")
        return mm

    def _fault(self, value: object, mm: float) -> str:
        allowed = f"write a length from {_mm(self.low)} to {_mm(self.high)} mm"
        if mm < 0:
            return f"negative; {allowed}"
        if mm == 0:
            return f"zero; {allowed}"
        if math.isinf(mm):
            return f"beyond any instrument; {allowed}"
        inches = float(MM_PER_INCH)
        if _has_no_unit(value) and self.low <= mm * inches <= self.high:
            return f'too short in millimetres; if inches are meant, write "{str(value).strip()} in"'
        if _has_no_unit(value) and self.high < 25 and self.low <= mm * inches / 1000 <= self.high:
            return f'too long in millimetres; if thousandths of an inch are meant, write "{mm / 1000:.3f} in"'
        size = "too short" if mm < self.low else "too long"
        return f"{size}; {allowed} ({format_inches(self.low)} to {format_inches(self.high)})"


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
        """The quantity in the first of its units. Raises ValueError in the user's words."""
        factors = _G_PER_M | _PA
        match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
        if match is None or match[2] not in self.units:
            raise ValueError(
                f'{shown(value)} has no unit that is known here; write {", ".join(self.units)}: "{self.example}"'
            )
        amount = float(match[1]) * factors[match[2]] / factors[self.units[0]]
        if not self.low <= amount <= self.high:
            unit = self.units[0]
            raise ValueError(f"{shown(value)} is out of range; write {self.low:g} to {self.high:g} {unit}")
        return amount


UNIT_MASS = Quantity(tuple(_G_PER_M), 0.01, 100.0, "0.398 g/m")
MODULUS = Quantity(tuple(_PA), 0.1, 1000.0, "203 GPa")


def _has_no_unit(value: object) -> bool:
    return not isinstance(value, str) or not re.search(r"[^\d\s./-]", value)


def _mm(mm: float) -> str:
    return round_half_up(mm, 2).rstrip("0").rstrip(".")


def shown(value: object) -> str:
    """What the user wrote, short enough to quote."""
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    text = text.lower() if isinstance(value, bool) else text
    return text if len(text) <= 42 else f"{text[:40]}…"
