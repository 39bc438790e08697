"""Keys that hold a list, or a count of turns, as types that check themselves: markers for ``typing.Annotated``."""

from dataclasses import dataclass
from typing import Any

from pydantic_core import CoreSchema, core_schema

from geometry.lengths import MM_PER_INCH, LengthError, parse_mm
from jigs.faults import Says, Wrong
from jigs.input.quantities import Length, has_no_unit, is_fraction
from jigs.input.words import fraction_without_unit, length_unread
from jigs.instrument import words

LEAST_FRETS, MOST_FRETS = 7, 36
LEAST_TURNS, MOST_TURNS = 5, 120


@dataclass(frozen=True)
class Cents:
    """An interval over the open string, above ``low`` and up to ``high`` cents."""

    low: float
    high: float

    def read(self, value: object) -> float:
        """Cents for what the file says. Raises `Wrong`."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not self.low < value <= self.high:
            raise Wrong(words.no_interval(value, self.high))
        return float(value)


@dataclass(frozen=True)
class ForEachFret:
    """A list with a value for each fret, each larger than the one before; or one of ``named``. A marker like `Length`."""

    one: Length | Cents
    example: str
    named: tuple[str, ...] = ()

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> str | tuple[float, ...]:
        """What the file says, checked. Raises `Wrong`, naming the fret."""
        if self.named and isinstance(value, str):
            if value not in self.named:
                raise Wrong(words.unknown_rule(value, self.named))
            return value
        if not isinstance(value, list):
            raise Wrong(words.no_list_of_frets(value, self.example))
        numbers: list[float] = []
        for n, each in enumerate(value, 1):
            try:
                numbers.append(self.one.read(each))
            except Wrong as error:
                raise Wrong(words.at_fret(n, error.says)) from None
            if n > 1 and numbers[-1] <= numbers[-2]:
                raise Wrong(words.not_beyond(n, each, value[n - 2]))
        return tuple(numbers)


@dataclass(frozen=True)
class Turns:
    """How many turns of wrap lie in 10 mm of string. A marker like `Length`."""

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> float:
        """The count. Raises `Wrong`."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not LEAST_TURNS <= value <= MOST_TURNS:
            raise Wrong(words.no_turns(value, LEAST_TURNS, MOST_TURNS))
        return float(value)


@dataclass(frozen=True)
class ForEachString:
    """A list with a length for each string, from ``low`` to ``high`` mm. A marker like `Length`.

    On a saddle they have a sign; from 0 up they are those of a nut, towards the bridge.
    """

    low: float
    high: float
    example: str

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> tuple[float, ...]:
        """Millimetres for what the file says. Raises `Wrong`, naming the string."""
        if not isinstance(value, list):
            raise Wrong(words.no_list_of_strings(value, self.example))
        return tuple(self._one(n, each) for n, each in enumerate(value, 1))

    def _one(self, string: int, value: object) -> float:
        try:
            mm = float(parse_mm(value)) if isinstance(value, str) else value
        except LengthError as error:
            raise Wrong(words.at_string(string, length_unread(error, self.low, self.high))) from None
        if isinstance(mm, bool) or not isinstance(mm, int | float) or not self.low <= mm <= self.high:
            raise Wrong(words.at_string(string, self._out_of_bounds(value, mm)))
        inches = float(MM_PER_INCH) * mm
        if is_fraction(value) and has_no_unit(value) and self.low <= inches <= self.high:
            raise Wrong(words.at_string(string, fraction_without_unit(value, mm)))
        return float(mm)

    def _out_of_bounds(self, value: object, mm: object) -> Says:
        if self.low >= 0 and isinstance(mm, int | float) and mm < 0:
            return words.nut_step_behind(value, self.high)
        return words.no_step(value, self.low, self.high)
