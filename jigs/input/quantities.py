"""The quantities of an instrument file that have a unit, as types that check themselves.

Each is a marker for ``typing.Annotated``; pydantic gets its validator from it.
"""

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pydantic_core import CoreSchema, core_schema

from geometry.lengths import MM_PER_INCH, LengthError, comma_meanings, parse_mm
from geometry.strings import GRAMS_PER_POUND, PA_PER_KSI
from jigs.faults import Says, Wrong
from jigs.input import words

_G_PER_M = {"g/m": 1.0, "kg/m": 1000.0, "lb/in": GRAMS_PER_POUND / (float(MM_PER_INCH) / 1000)}
_PA = {"GPa": 1e9, "MPa": 1e6, "ksi": PA_PER_KSI, "Mpsi": 1000 * PA_PER_KSI}
_QUANTITY = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*([^\s\d.]\S*)\s*", re.ASCII)
"""There is one way to read a text: with several, the time for a long one grows with the cube of its length."""

_INCH = float(MM_PER_INCH)
ENDLESS = 10**9
"""A length in mm that nothing has. Beyond it, sums of squares and Python's own integers make trouble."""

_MARKS = "'\"″”′’"
"""Feet and inches."""


@dataclass(frozen=True)
class Length:
    """A length from ``low`` to ``high`` mm. A bare number is millimetres, or inches if it can be nothing else.

    Out of bounds as millimetres, a fraction is inches if they are within them. A decimal can be centimetres too. So it is
    inches only if they are, and the centimetres are not, what most such things measure: ``usual``, in mm. Such ranges are
    common practice, no source.
    ``of``, ``small`` and ``large`` are for a fault's words: what it is, and what it is called beyond its bounds.
    ``listed``: one of many, which have to be in one unit, so that a bare number is never inches.
    """

    low: float
    high: float
    of: str = ""
    small: str = "short"
    large: str = "long"
    usual: tuple[float, float] | None = None
    listed: bool = False

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> float:
        """Millimetres for what the file says. Raises `Wrong`.

        >>> scale = Length(150, 1500, usual=(300, 800))
        >>> scale.read("26¼"), scale.read("26,25"), scale.read(26.25), scale.read("666,75"), scale.read(650)
        (666.75, 666.75, 666.75, 666.75, 650.0)
        """
        if isinstance(value, str):
            return self._read_text(value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise Wrong(words.no_length(value, self.low, self.high))
        if isinstance(value, float) and math.isnan(value):
            raise Wrong(words.nan_length())
        return self._checked(value, float(value) if abs(value) < ENDLESS else math.inf, bare=True)

    def _read_text(self, text: str) -> float:
        try:
            exact = parse_mm(without_comma(text, self._read_text))
        except LengthError as error:
            raise Wrong(self.unread(error)) from None
        bare = has_no_unit(text)
        mm = float(exact) if exact < ENDLESS else math.inf
        if bare and is_fraction(text) and self._holds(mm) and self._holds(mm * _INCH):
            raise Wrong(words.fraction_without_unit(text, mm))
        return self._checked(text, mm, bare)

    def _holds(self, mm: float) -> bool:
        return self.low <= mm <= self.high

    def _is_usual(self, mm: float) -> bool:
        return self.usual is not None and self.usual[0] <= mm <= self.usual[1]

    def _checked(self, value: object, mm: float, bare: bool) -> float:
        """The length in mm, read as inches if it can be nothing else. ``bare``: whether it has no unit."""
        if self._holds(mm):
            return mm
        if bare and not self.listed and self._must_be_inches(value, mm):
            return float(Fraction(repr(mm)) * MM_PER_INCH)
        raise Wrong(self.fault(value, mm, bare))

    def _must_be_inches(self, value: object, mm: float) -> bool:
        """Whether a number out of bounds as millimetres can only be inches."""
        if is_fraction(value):
            return self._holds(mm * _INCH)
        return self._is_usual(mm * _INCH) and not (mm >= 1 and self._is_usual(mm * 10))

    def other_units(self, value: object, mm: float) -> list[str]:
        """The units in which a number beyond its bounds as millimetres can be meant."""
        units = ["in"] if self._holds(mm * _INCH) else []
        units += ["cm"] if mm >= 1 and not is_fraction(value) and self._holds(mm * 10) else []
        short = self.high < _INCH and mm > self.high
        return units or (["thou"] if short and self._holds(mm * _INCH / 1000) else [])

    def unread(self, error: LengthError) -> Says:
        """What is wrong with a text that cannot be read."""
        return words.length_unread(error, self.low, self.high)

    def fault(self, value: object, mm: float, bare: bool) -> Says:
        """What is wrong with a length beyond the bounds. ``bare``: whether it has no unit."""
        if mm < 0:
            return words.negative_length(value, self.low, self.high)
        if mm == 0:
            return words.zero_length(value, self.low, self.high)
        if math.isinf(mm):
            return words.endless_length(value, self.low, self.high)
        size = self.small if mm < self.low else self.large
        units = self.other_units(value, mm) if bare else []
        if units:
            return words.perhaps_other_unit(value, mm, size, self.of, units)
        return self.out_of_bounds(value, size)

    def out_of_bounds(self, value: object, size: str) -> Says:
        """What is wrong with a length that is too ``size``, in any unit."""
        return words.short_or_long_length(value, size, self.low, self.high)


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
        plain = without_comma(value, self.read) if isinstance(value, str) else ""
        factors = _G_PER_M | _PA
        match = _QUANTITY.fullmatch(plain)
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

    >>> has_no_unit(26.25), has_no_unit("26¼"), has_no_unit("2,9"), has_no_unit("26 1/4 in"), has_no_unit("26 1/4″")
    (True, True, True, False, False)
    """
    return not isinstance(value, str) or not any(char.isalpha() or char in _MARKS for char in value)


def is_fraction(value: object) -> bool:
    """Whether it was written as a fraction, or with one: nobody divides millimetres or centimetres.

    >>> is_fraction("26 1/4"), is_fraction("26¼"), is_fraction("26.25"), is_fraction(26.25)
    (True, True, False, False)
    """
    if not isinstance(value, str):
        return False
    return any(char in "/⁄" or "fraction" in unicodedata.decomposition(char) for char in value)


def without_comma(text: str, reads: Callable[[str], object]) -> str:
    """The text with a point for a decimal comma. ``reads`` raises `Wrong` for a text that cannot be read.

    Raises `Wrong` if the comma can mark thousands: if the text can be read without it.
    """
    meanings = comma_meanings(text)
    fitting = [one for one in meanings if _succeeds(reads, one)] if len(meanings) > 1 else []
    if fitting and fitting != [meanings[0]]:
        raise Wrong(words.comma_for_thousands(text, fitting))
    return meanings[0] if meanings else text


def _succeeds(read: Callable[[str], object], text: str) -> bool:
    try:
        read(text)
    except Wrong:
        return False
    return True
