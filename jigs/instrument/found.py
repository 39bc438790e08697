"""The ``[found]`` table of an instrument file: where the bridge played in tune, and with which strings.

The place is given in one of three ways: the crown line from the nut, the nut side of the feet from the bridge side of a
fret, or ticks of the fork or of a set gauge.
"""

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pydantic_core import CoreSchema, core_schema

from jigs.faults import Wrong
from jigs.input.quantities import Length
from jigs.input.tables import Section
from jigs.instrument import found_words as words
from jigs.instrument.declare import key
from jigs.instrument.lists import MOST_FRETS

if TYPE_CHECKING:
    from jigs.instrument.packets import StringSet
else:
    StringSet = Any  # what packets print is read only where a file names strings

USUAL_PLUS_MINUS_MM = 0.6
"""Half width of the 95% interval of a place that was found by ear, at either end. Common practice, no source."""

WAYS = (("treble", "bass"), ("feet_treble", "feet_bass"), ("ticks_treble", "ticks_bass"))
"""The three ways to give a place, each with a key for either end."""

LEAST_A4_HZ, MOST_A4_HZ = 380, 500
FIRST_YEAR, LAST_YEAR = 1900, 2199
_FARTHEST_TICK = 60


@dataclass(frozen=True)
class Day:
    """A date, from TOML or as text. A marker like `Length`."""

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(read_day)


def read_day(value: object) -> datetime.date:
    """A date for what somebody wrote. Raises `Wrong`.

    >>> read_day("2026-11-25") == read_day(datetime.date(2026, 11, 25))
    True
    """
    day = value
    if isinstance(value, str):
        try:
            day = datetime.date.fromisoformat(value.strip())
        except ValueError:
            raise Wrong(words.no_day(value)) from None
    if not isinstance(day, datetime.date) or isinstance(day, datetime.datetime):
        raise Wrong(words.no_day(value))
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Wrong(words.day_out_of_range(str(day), FIRST_YEAR, LAST_YEAR))
    return day


@dataclass(frozen=True)
class ReadsStrings:
    """A key that holds a set of strings as text. A marker like `Length`."""

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(_read_strings)


def _read_strings(value: object) -> StringSet:
    from jigs.instrument.packets import read_strings

    return read_strings(value)


_FROM_NUT, _FROM_FRET = Length(100, 1700, usual=(300, 900)), Length(5, 1500, usual=(100, 700))


class Found(Section, title="Place found by ear"):
    """Where the bridge played in tune, at the outer full-length strings."""

    treble: Annotated[float, _FROM_NUT] | None = key(
        "Crown line at the treble string", "from the nut, with the bridge in tune", default=None, example="669.7"
    )
    bass: Annotated[float, _FROM_NUT] | None = key(
        "Crown line at the bass string", "from the nut", default=None, example="670.0"
    )
    fret: int | None = key(
        "Measured from fret", "from its bridge side", ge=1, le=MOST_FRETS, default=None, example="12"
    )
    feet_treble: Annotated[float, _FROM_FRET] | None = key(
        "Nut side of feet or base at the treble string",
        "from that fret, with a caliper held along the strings; instead of the crown line",
        default=None,
        example="328.1",
    )
    feet_bass: Annotated[float, _FROM_FRET] | None = key(
        "Nut side of feet or base at the bass string", "from that fret", default=None, example="328.6"
    )
    ticks_treble: float | None = key(
        "Ticks at the treble end",
        "of the fork or gauge drawn with the computed line, in cents; minus is towards the nut",
        unit="cents",
        ge=-_FARTHEST_TICK,
        le=_FARTHEST_TICK,
        default=None,
        example="-3.0",
    )
    ticks_bass: float | None = key(
        "Ticks at the bass end",
        "of the same sheet",
        unit="cents",
        ge=-_FARTHEST_TICK,
        le=_FARTHEST_TICK,
        default=None,
        example="5.5",
    )
    plus_minus: Annotated[float, Length(0, 10)] = key(
        "How sure that place is", "plus or minus, 95%", default=USUAL_PLUS_MINUS_MM, example="0.6"
    )
    date: Annotated[datetime.date, Day()] | None = key(
        "Found on", "year, month and day", within="a date", default=None, example="2026-11-25"
    )
    strings: Annotated[StringSet, ReadsStrings()] | None = key(
        "Found with these strings",
        "as on their packets, from string 1 on",
        within="note and gauge of each",
        empty="those of this file",
        default=None,
        example='"D4 .010, B3 .012, G3 .014, D3 .022w, G4 .010"',
    )
    a4: float | None = key(
        "A4 at that time, in Hz", unit="Hz", ge=LEAST_A4_HZ, le=MOST_A4_HZ, empty="as now", default=None, example="440"
    )
    same_make: bool | None = key(
        "Today's strings are of the same make",
        "counts if they are others",
        empty="unknown, taken as another make",
        default=None,
        example="true",
    )

    @property
    def way(self) -> tuple[str, str] | None:
        """The keys of the place, None without one."""
        return next(iter(self.ways), None)

    @property
    def ways(self) -> list[tuple[str, str]]:
        """The keys of every way in which a place is given, wholly or in part."""
        return [way for way in WAYS if any(getattr(self, key) is not None for key in way)]

    @property
    def is_given(self) -> bool:
        """Whether a place was found."""
        return self.way is not None
