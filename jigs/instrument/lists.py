"""Keys that hold a list, or a count of turns, as types that check themselves: markers for ``typing.Annotated``."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic_core import CoreSchema, core_schema

from geometry.lengths import MM_PER_INCH, LengthError, parse_mm
from jigs.faults import Says, Wrong
from jigs.input.quantities import Length, has_no_unit, is_fraction
from jigs.input.text import as_a_list
from jigs.input.words import fraction_without_unit, length_unread
from jigs.instrument import words

LEAST_FRETS, MOST_FRETS = 7, 36
LEAST_TURNS, MOST_TURNS = 5, 120
_STEPS_OF = r"^_\[{table}\](?:(?!^_\[).)*?^_steps_=_\[([^\]]*)\]".replace("_", r"[ \t]*")
"""The list of a table's steps, as it is written. Spaces within a line only: with line ends, empty lines take for ever."""


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


def with_points(halves: Sequence[float]) -> str:
    """A list that decimal commas cut in two, with points; empty if it cannot be one. A minus before a nought counts.

    >>> with_points((-1.0, 2.0, 1.0, 2.0, -0.0, 6.0, 1.0, 0.0)), with_points((1.0, 2.5)), with_points((1.0, -2.0))
    ('[-1.2, 1.2, -0.6, 1.0]', '', '')
    """
    whole, tenths = halves[::2], halves[1::2]
    if not all(one.is_integer() for one in whole) or not all(one in range(10) for one in tenths):
        return ""
    return f"[{', '.join(f'{one:.0f}.{tenth:.0f}' for one, tenth in zip(whole, tenths, strict=True))}]"


def with_minus_noughts(data: Mapping[str, Any], text: str) -> Mapping[str, Any]:
    """A file's data, with the minus of each -0 among steps, which TOML reads as 0: a decimal comma may follow in the text.

    >>> text = "[nut]\\nsteps = [0]\\n[bridge]\\nsteps = [-0,6, 0,2]"
    >>> with_minus_noughts({"nut": {"steps": [0]}, "bridge": {"steps": [0, 6, 0, 2]}}, text)
    {'nut': {'steps': [0]}, 'bridge': {'steps': [-0.0, 6, 0, 2]}}
    """
    found = dict(data)
    for table in ("bridge", "nut") if "-0" in text else ():
        written = re.search(_STEPS_OF.format(table=table), text, re.MULTILINE | re.DOTALL)
        steps = data[table].get("steps") if written and isinstance(data.get(table), Mapping) else None
        numbers = [one.strip() for one in written[1].split(",")] if written else []
        if isinstance(steps, list) and len(steps) == len(numbers):
            signed = [-0.0 if text == "-0" else step for step, text in zip(steps, numbers, strict=True)]
            found[table] = {**data[table], "steps": signed}
    return found


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
            raise Wrong(words.no_list_of_strings(value, self.example, as_a_list(str(value))))
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
