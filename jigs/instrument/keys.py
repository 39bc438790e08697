"""The keys of an instrument file above its tables, and those of its strings.

Values arrive as TOML has them and leave in millimetres, hertz, grams per metre and gigapascals. A check that needs two
keys of one table is made at the later one, so that it is made even when a third is wrong.
"""

from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args

import numpy as np
from pydantic import BeforeValidator, ValidationInfo, field_validator
from pydantic_core import CoreSchema, core_schema

from geometry.arrays import FloatArray
from geometry.frets import (
    OCTAVE_FRET,
    equal_steps_mm,
    from_cents_mm,
    from_measured_mm,
    ratios_from_cents,
    rule_of_eighteen_mm,
    wanted_ratios,
)
from geometry.strings import WRAP_DENSITIES, NoteError, pitch_hz
from jigs.faults import Key, Wrong
from jigs.input.quantities import MODULUS, UNIT_MASS, Length
from jigs.input.tables import Section
from jigs.input.words import no_quoted_text, note_unread
from jigs.instrument import usual, words
from jigs.instrument.declare import key

LONGEST_NAME = 60
MOST_FRETS = 36
LOWEST_HZ, HIGHEST_HZ = 20, 2500
NAMED_RULES = {"equal": equal_steps_mm, "eighteen": rule_of_eighteen_mm}

Kind = Literal["banjo", "mandolin", "other"]
Hand = Literal["right", "left"]
Material = Literal["steel", "nylon"]
Wrap = Literal["phosphor bronze", "nickel", "80/20 bronze", "stainless", "steel"]
assert set(get_args(Wrap)) == set(WRAP_DENSITIES)


def _plain_name(value: object) -> str:
    if not isinstance(value, str):
        raise Wrong(no_quoted_text(value, '"Loan banjo 7"'))
    name = " ".join(value.split())
    if not name:
        raise Wrong(words.NAME_EMPTY)
    if len(name) > LONGEST_NAME:
        raise Wrong(words.name_too_long(len(name), LONGEST_NAME))
    if not name.isprintable():
        raise Wrong(words.NAME_UNPRINTABLE)
    return name


def _plain_note(value: object) -> str:
    if not isinstance(value, str):
        raise Wrong(no_quoted_text(value, '"D4" or "F#3"'))
    try:
        pitch = pitch_hz(value)
    except NoteError as error:
        raise Wrong(note_unread(error)) from None
    if not LOWEST_HZ <= pitch <= HIGHEST_HZ:
        raise Wrong(words.note_of_no_string(value, pitch))
    return value.strip()


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


_CENTS = Cents(0, 3600)
_PLACES = Length(1, 1500)
_AS_CENTS = "[100, 200, 300, …]"


class Head(Section, title="Instrument"):
    """The keys above the first table of the file."""

    name: Annotated[str, BeforeValidator(_plain_name)] = key(
        "Name", "printed on every sheet", within=f"up to {LONGEST_NAME} characters", example='"Loan banjo 7"'
    )
    kind: Kind = key("Kind", default="other", example='"banjo"')
    scale: Annotated[float, Length(150, 1500)] | None = key(
        "Scale length", "26 1/4 in, or 666.8", default=None, example='"26 1/4 in"'
    )
    nut_to_fret_12: Annotated[float, Length(75, 750)] | None = key(
        "Nut to fret 12",
        "half of the scale length; fill in one of the two",
        default=None,
        validate_default=True,
        example='"333.4 mm"',
    )
    frets: int = key("Frets", "how many there are", ge=OCTAVE_FRET, le=MOST_FRETS, example="22")
    fret_rule: Annotated[str | tuple[float, ...], ForEachFret(_CENTS, _AS_CENTS, tuple(NAMED_RULES))] = key(
        "Fret rule", "equal, eighteen, or cents with commas: 100, 200, …", default="equal", example='"eighteen"'
    )
    frets_measured: Annotated[tuple[float, ...], ForEachFret(_PLACES, "[33.7, 65.5, 95.5, …]")] | None = key(
        "Measured frets",
        "from the nut, a distance for each fret: 33.7, 65.5, …",
        empty="by the fret rule",
        default=None,
        example="[37.4, 72.8, 106.1, 137.6, 167.2, 195.3, 221.7, 246.7, 270.3, 292.5, 313.6, 333.4]",
    )
    wanted_cents: Annotated[tuple[float, ...], ForEachFret(_CENTS, _AS_CENTS)] | None = key(
        "Wanted notes, in cents",
        "a pitch for each fret: 100, 200, …",
        empty="equal steps of 100 cents",
        default=None,
        example="[112, 204, 316, 386, 498, 590, 702, 814, 884, 1018, 1088, 1200]",
    )
    hand: Hand = key("Hand", default="right", example='"left"')
    fret_crown_width: Annotated[float, Length(0.3, 6)] = key(
        "Width of the fret wire",
        "across its bead, down at the board",
        default=usual.FRET_CROWN_WIDTH_MM,
        example="2.0",
    )

    @field_validator("nut_to_fret_12")
    @classmethod
    def _one_scale(cls, half: float | None, info: ValidationInfo) -> float | None:
        if "scale" in info.data and (info.data["scale"] is None) == (half is None):
            both = words.both_given(Key("", "scale"), Key("", "nut_to_fret_12"))
            raise Wrong(words.SCALE_MISSING if half is None else both, key="scale")
        return half

    @field_validator("fret_rule", "frets_measured", "wanted_cents")
    @classmethod
    def _one_for_each_fret(cls, given: Any, info: ValidationInfo) -> Any:
        frets = info.data.get("frets")
        if isinstance(given, tuple) and frets is not None and len(given) != frets:
            raise Wrong(words.other_count(len(given), frets))
        return given

    @field_validator("frets_measured")
    @classmethod
    def _before_the_bridge(cls, measured: Any, info: ValidationInfo) -> Any:
        if measured is None:
            return measured
        if info.data.get("fret_rule", "equal") != "equal":
            raise Wrong(words.both_given(Key("", "fret_rule"), Key("", "frets_measured")))
        scale = info.data.get("scale") or 2 * (info.data.get("nut_to_fret_12") or 0)
        behind = [n for n, place in enumerate(measured, 1) if scale and place >= scale]
        if behind:
            raise Wrong(words.behind_the_bridge(behind[0]))
        return measured

    @property
    def scale_mm(self) -> float:
        """Scale length: nut to theoretical bridge line. From nut_to_fret_12 by the rule that the frets follow."""
        if self.scale is not None:
            return self.scale
        left = self._by_rule(1.0)[OCTAVE_FRET - 1] if self.frets_measured is None else 0.5
        return float((self.nut_to_fret_12 or 0) / (1 - left))

    @property
    def to_bridge_mm(self) -> FloatArray:
        """From each fret, as it is, to the theoretical bridge line."""
        if self.frets_measured is not None:
            return from_measured_mm(self.scale_mm, np.array(self.frets_measured))
        return self._by_rule(self.scale_mm)

    def _by_rule(self, scale_mm: float) -> FloatArray:
        if isinstance(self.fret_rule, tuple):
            return from_cents_mm(scale_mm, np.array(self.fret_rule))
        return NAMED_RULES[self.fret_rule](scale_mm, self.frets)

    @property
    def wanted(self) -> FloatArray:
        """Pitch that each fret is meant to sound, over the open string."""
        return (
            wanted_ratios(self.frets) if self.wanted_cents is None else ratios_from_cents(np.array(self.wanted_cents))
        )


class StringEntry(Section, title="Strings"):
    """One string, or one pair of equal strings."""

    note: Annotated[str, BeforeValidator(_plain_note)] = key(
        "Note", "letter and octave: D4, F#3", within=f"{LOWEST_HZ} to {HIGHEST_HZ} Hz", example='"D4"'
    )
    gauge: Annotated[float, Length(0.1, 4, "a string", "thin", "thick")] = key(
        "Gauge", "as on the packet: 0.010 in", example='"0.010 in"'
    )
    core: Annotated[float, Length(0.05, 3, "a core", "thin", "thick")] | None = key(
        "Core", "only of a wound string", default=None, example='"0.011 in"'
    )
    wrap: Wrap | None = key(
        "Wrap",
        "phosphor bronze is the default over a core",
        empty="plain (not wound)",
        default=None,
        example='"nickel"',
    )
    pair: bool = key("Pair", "two equal strings", default=False, example="true")
    starts_at_fret: int = key("Starts at fret", "a banjo's fifth: 5", ge=0, le=24, default=0, example="5")
    nut_height: Annotated[float, Length(0, 5)] | None = key(
        "Height at its nut", "if it differs from the others", empty="as at the nut", default=None, example="0.6"
    )
    material: Material = key("Material", default="steel", example='"nylon"')
    unit_mass: Annotated[float, UNIT_MASS] | None = key(
        "Mass", "of a metre: 0.398 g/m", empty="from the gauge", default=None, example='"0.398 g/m"'
    )
    modulus: Annotated[float, MODULUS] | None = key(
        "Modulus", "stiffness of its material: 203 GPa", empty="as its material", default=None, example='"203 GPa"'
    )
    peg: Annotated[float, Length(3, 80)] = key(
        "Own nut to its peg", "of a short string", default=usual.SHORT_STRING_PEG_MM, example='"3/4 in"'
    )

    @field_validator("core")
    @classmethod
    def _thinner_than_the_string(cls, core: float | None, info: ValidationInfo) -> float | None:
        gauge = info.data.get("gauge")
        if core is not None and gauge is not None and core >= gauge:
            raise Wrong(words.core_too_thick(core, gauge))
        return core

    @field_validator("wrap")
    @classmethod
    def _wound_on_something(cls, wrap: Wrap | None, info: ValidationInfo) -> Wrap | None:
        if wrap is not None and "gauge" in info.data and info.data.get("core", 0) is None:
            raise Wrong(words.core_missing(0.45 * info.data["gauge"]), key="core")
        return wrap
