"""The keys of an instrument file, table by table, and what each may hold.

Values arrive as TOML has them and leave in millimetres, hertz, grams per metre and gigapascals. A check that needs two
keys of one table stands at the later one, so that it is made even when a third is wrong.
"""

from collections.abc import Callable
from typing import Annotated, Any, Literal, get_args

import numpy as np
from pydantic import BeforeValidator, Field, PlainValidator, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from geometry.arrays import FloatArray
from geometry.bridge import BridgeFit
from geometry.compensation import Objective
from geometry.frets import (
    OCTAVE_FRET,
    equal_steps_mm,
    from_cents_mm,
    from_measured_mm,
    ratios_from_cents,
    rule_of_eighteen_mm,
    wanted_ratios,
)
from geometry.fretting import rise_mm
from geometry.lengths import format_mm
from geometry.spacing import Spaced
from geometry.strings import A4_HZ, WRAP_DENSITIES, NoteError, pitch_hz
from jigs.faults import Wrong, nearest
from jigs.input.quantities import MODULUS, UNIT_MASS, Length
from jigs.input.tables import Section
from jigs.input.words import note_unread, shown
from jigs.instrument import usual
from jigs.instrument.body import Rim, Top
from jigs.instrument.tolerance import Tolerance
from jigs.wording import in_inches

LONGEST_NAME = 60
MOST_FRETS = 36
MOST_CENTS = 3600
NAMED_RULES = {"equal": equal_steps_mm, "eighteen": rule_of_eighteen_mm}
LEAST_FRETS_FOR_TWO_CUTS = 3
"""Bridge and nut are two unknowns; one fret more than that keeps them apart."""

Kind = Literal["banjo", "mandolin", "other"]
Hand = Literal["right", "left"]
Material = Literal["steel", "nylon"]
Wrap = Literal["phosphor bronze", "nickel", "80/20 bronze", "stainless", "steel"]
assert set(get_args(Wrap)) == set(WRAP_DENSITIES)


def _plain_name(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError('the name must be text in quotes; write for instance "Loan banjo 7"')
    name = " ".join(value.split())
    if not name:
        raise ValueError('the name is empty; write for instance "Loan banjo 7"')
    if len(name) > LONGEST_NAME:
        raise ValueError(f"the name has {len(name)} characters; keep it to {LONGEST_NAME}")
    if not name.isprintable():
        raise ValueError("the name holds a character that cannot be printed; leave it out")
    return name


def _plain_note(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError('a note must be text in quotes; write for instance "D4" or "F#3"')
    try:
        pitch = pitch_hz(value)
    except NoteError as error:
        raise Wrong(note_unread(error)) from None
    if not 20 <= pitch <= 2500:
        raise ValueError(f'"{value}" is {pitch:.0f} Hz, no string of these instruments; check the octave')
    return value.strip()


def _numbers(value: object, read: Callable[[object], float], key: str) -> tuple[float, ...]:
    """A list whose values rise, each read by ``read``. Raises ValueError naming the one at fault."""
    if not isinstance(value, list):
        raise ValueError(f"{shown(value)} is not a list; write for instance {key} = [33.7, 65.5, 95.5]")
    numbers: list[float] = []
    for n, one in enumerate(value, 1):
        try:
            numbers.append(read(one))
        except ValueError as error:
            raise ValueError(f"fret {n}: {error}") from None
        if n > 1 and numbers[-1] <= numbers[-2]:
            before = shown(value[n - 2])
            raise ValueError(f"fret {n}: {shown(one)} does not lie beyond fret {n - 1}'s {before}; check both")
    return tuple(numbers)


def _cents(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= MOST_CENTS:
        raise ValueError(f"{shown(value)} is no interval; write cents over the open string, above 0 to {MOST_CENTS}")
    return float(value)


def _fret_rule(value: object) -> str | tuple[float, ...]:
    if isinstance(value, str):
        if value not in NAMED_RULES:
            raise ValueError(
                f'"{value}" is not known; {nearest(value, NAMED_RULES)} A list of cents, one for each fret, does as well'
            )
        return value
    return _numbers(value, _cents, "fret_rule")


def _measured(value: object) -> tuple[float, ...]:
    return _numbers(value, Length(1, 1500).read, "frets_measured")


def _wanted(value: object) -> tuple[float, ...]:
    return _numbers(value, _cents, "wanted_cents")


class Head(Section):
    """The keys above the first table of the file."""

    name: Annotated[str, BeforeValidator(_plain_name)] = Field(examples=['"Loan banjo 7"'])
    kind: Kind = "other"
    scale: Annotated[float, Length(150, 1500)] | None = None
    nut_to_fret_12: Annotated[float, Length(75, 750)] | None = Field(default=None, validate_default=True)
    frets: int = Field(ge=OCTAVE_FRET, le=MOST_FRETS, examples=["22"])
    fret_rule: Annotated[str | tuple[float, ...], PlainValidator(_fret_rule)] = "equal"
    frets_measured: Annotated[tuple[float, ...], PlainValidator(_measured)] | None = None
    wanted_cents: Annotated[tuple[float, ...], PlainValidator(_wanted)] | None = None
    hand: Hand = "right"
    fret_crown_width: Annotated[float, Length(0.3, 6)] = usual.FRET_CROWN_WIDTH_MM

    @field_validator("nut_to_fret_12")
    @classmethod
    def _one_scale(cls, half: float | None, info: ValidationInfo) -> float | None:
        if "scale" in info.data and (info.data["scale"] is None) == (half is None):
            what = "is missing" if half is None else "and nut_to_fret_12 are both given"
            raise PydanticCustomError(
                "scale", f'{what}; write either scale = "26 1/4 in" or nut_to_fret_12 = "333.4 mm"'
            )
        return half

    @field_validator("fret_rule", "frets_measured", "wanted_cents")
    @classmethod
    def _one_for_each_fret(cls, given: Any, info: ValidationInfo) -> Any:
        frets = info.data.get("frets")
        if isinstance(given, tuple) and frets is not None and len(given) != frets:
            raise ValueError(f"{len(given)} frets are listed, but frets = {frets}; make the two agree")
        return given

    @field_validator("frets_measured")
    @classmethod
    def _before_the_bridge(cls, measured: Any, info: ValidationInfo) -> Any:
        if measured is None:
            return measured
        if info.data.get("fret_rule", "equal") != "equal":
            raise ValueError("and fret_rule are both given; keep the one that says where the frets are")
        scale = info.data.get("scale") or 2 * (info.data.get("nut_to_fret_12") or 0)
        behind = [n for n, place in enumerate(measured, 1) if scale and place >= scale]
        if behind:
            raise ValueError(f"fret {behind[0]} lies behind the bridge; check it, and the scale")
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


class Pitch(Section):
    """The pitch that the instrument is tuned to."""

    a4: float = Field(default=A4_HZ, ge=380, le=500, examples=["440"])


class Action(Section):
    """String heights over the fret tops, in mm, and where the finger presses."""

    nut: Annotated[float, Length(0, 5)]
    relief: Annotated[float, Length(0, 3)] = 0.0
    fret_12: Annotated[float, Length(0.2, 15)]
    finger: Annotated[float, Length(0, 20)] = 0.0

    @field_validator("fret_12")
    @classmethod
    def _rises(cls, fret_12: float, info: ValidationInfo) -> float:
        least = info.data.get("nut", 0) + info.data.get("relief", 0)
        if fret_12 < least:
            raise ValueError(
                f"{fret_12:g} mm is lower than the nut allows: nut height and relief already make"
                f" {format_mm(least, 2)}; measure all three again, from the fret tops"
            )
        return fret_12

    @property
    def rise_mm(self) -> float:
        """Height of the bridge over the nut, both over the plane of the fret tops."""
        return float(rise_mm(np.array(self.nut), np.array(self.fret_12), np.array(self.relief)))


class Compensation(Section):
    """What the bridge is placed for."""

    tune_to: Objective = Field(default=Objective.OCTAVE, strict=False)
    frets: int = Field(default=OCTAVE_FRET, ge=1, le=36, examples=["12"])
    bridge_fit: BridgeFit = Field(default=BridgeFit.OUTER, strict=False)

    @field_validator("frets")
    @classmethod
    def _enough_for_two_cuts(cls, frets: int, info: ValidationInfo) -> int:
        two_cuts = info.data.get("tune_to") is Objective.NUT_AND_SADDLE
        if two_cuts and frets < LEAST_FRETS_FOR_TWO_CUTS:
            raise ValueError(
                f"{frets} are too few to place nut and bridge by; write {LEAST_FRETS_FOR_TWO_CUTS} or more"
            )
        return frets


class StringEntry(Section):
    """One string, or one pair of equal strings."""

    note: Annotated[str, BeforeValidator(_plain_note)] = Field(examples=['"D4"'])
    gauge: Annotated[float, Length(0.1, 4)] = Field(examples=['"0.010 in"'])
    core: Annotated[float, Length(0.05, 3)] | None = None
    wrap: Wrap | None = None
    material: Material = "steel"
    unit_mass: Annotated[float, UNIT_MASS] | None = None
    modulus: Annotated[float, MODULUS] | None = None
    pair: bool = False
    starts_at_fret: int = Field(default=0, ge=0, le=24, examples=["5"])
    nut_height: Annotated[float, Length(0, 5)] | None = None
    peg: Annotated[float, Length(3, 80)] = usual.SHORT_STRING_PEG_MM

    @field_validator("core")
    @classmethod
    def _thinner_than_the_string(cls, core: float | None, info: ValidationInfo) -> float | None:
        gauge = info.data.get("gauge")
        if core is not None and gauge is not None and core >= gauge:
            raise ValueError(
                f"the core of {in_inches(core)} is not thinner than the gauge of {in_inches(gauge)};"
                " a core is often a little under half of the gauge"
            )
        return core

    @field_validator("wrap")
    @classmethod
    def _wound_on_something(cls, wrap: Wrap | None, info: ValidationInfo) -> Wrap | None:
        if wrap is not None and "gauge" in info.data and info.data.get("core", 0) is None:
            half = in_inches(0.45 * info.data["gauge"])
            raise PydanticCustomError(
                "core", f'is missing for a wound string; measure it, or write "{half}" as a first guess'
            )
        return wrap


class Nut(Section):
    """Where the strings leave the nut: ``spacing``, or ``edge`` from the board's edge to the outside of the outer string."""

    edge: Annotated[float, Length(0.5, 20)] | None = None
    spacing: Annotated[float, Length(5, 120)] | None = None
    spaced: Spaced = Field(default=Spaced.CENTRES, strict=False)
    pair_gap: Annotated[float, Length(0.5, 10)] = usual.PAIR_GAP_NUT_MM

    @field_validator("spacing")
    @classmethod
    def _one_or_the_other(cls, spacing: float | None, info: ValidationInfo) -> float | None:
        if spacing is not None and info.data.get("edge") is not None:
            raise ValueError("and edge are both given; keep the one that is to count")
        return spacing


class Board(Section):
    """The fretboard: its outline, what is marked on it, and how high it stands over the top or head at its end.

    ``end`` is its length from the nut; ``over_top`` is measured at the end, down from the plane of the fret tops.
    """

    nut_width: Annotated[float, Length(10, 150)]
    end_width: Annotated[float, Length(10, 200)] | None = None
    fret_12_width: Annotated[float, Length(10, 200)] | None = None
    end: Annotated[float, Length(50, 1500)] | None = None
    over_top: Annotated[float, Length(0, 60)] | None = None
    slot: Annotated[float, Length(0.2, 3)] | None = None
    dots: list[int] | None = Field(default=None, examples=["[5, 7, 10, 12, 15, 17]"])
    joint_fret: int | None = Field(default=None, ge=1, le=MOST_FRETS, examples=["14"])

    @field_validator("fret_12_width")
    @classmethod
    def _one_taper(cls, width: float | None, info: ValidationInfo) -> float | None:
        if width is not None and info.data.get("end_width") is not None:
            raise ValueError("and end_width are both given; keep the one that was measured")
        return width


class Bridge(Section):
    """The bridge: its strings, its crown and its feet. ``height`` is the crown's over the top or head."""

    length: Annotated[float, Length(20, 300)]
    height: Annotated[float, Length(3, 90)] | None = None
    spacing: Annotated[float, Length(5, 150)]
    thickness: Annotated[float, Length(1, 60)]
    face: Annotated[float, Length(0, 60)] | None = None
    feet: int = Field(default=1, ge=1, le=6, examples=["3"])
    foot: Annotated[float, Length(2, 150)] | None = Field(default=None, validate_default=True)
    crown: Annotated[float, Length(0.5, 40)]
    spaced: Spaced = Field(default=Spaced.CENTRES, strict=False)
    pair_gap: Annotated[float, Length(0.5, 10)] = usual.PAIR_GAP_BRIDGE_MM

    @field_validator("spacing")
    @classmethod
    def _strings_on_the_bridge(cls, spacing: float, info: ValidationInfo) -> float:
        length = info.data.get("length", spacing)
        if spacing > length:
            raise ValueError(
                f"{spacing:g} mm between the outer strings is more than the bridge's length of"
                f" {length:g} mm; measure both across the instrument"
            )
        return spacing

    @field_validator("face")
    @classmethod
    def _face_on_the_feet(cls, face: float | None, info: ValidationInfo) -> float | None:
        thickness = info.data.get("thickness")
        if face is not None and thickness is not None and face > thickness:
            raise ValueError(
                f"{face:g} mm from crown line to the feet's nut side is more than their thickness of"
                f" {thickness:g} mm; it is about half of it"
            )
        return face

    @field_validator("foot")
    @classmethod
    def _feet_within_the_length(cls, foot: float | None, info: ValidationInfo) -> float | None:
        feet, length = info.data.get("feet"), info.data.get("length")
        if feet is not None and foot is None and feet > 1:
            raise PydanticCustomError("foot", f"is missing for {feet} feet; write how wide each is, along the bridge")
        if foot is not None and feet is not None and length is not None and foot * feet > length:
            raise ValueError(
                f"{feet} feet of {foot:g} mm are wider than a bridge {length:g} mm long; write the width of one foot"
            )
        return foot

    @property
    def face_mm(self) -> float:
        """Crown line to the nut-side face of the feet."""
        return self.thickness / 2 if self.face is None else self.face


class Tail(Section):
    """String beyond nut and bridge, and how far it slips over them."""

    afterlength: Annotated[float, Length(1, 1000)]
    headlength: Annotated[float, Length(1, 1000)]
    slip: float = Field(default=0.0, ge=0, le=1, examples=["0.0"])


TABLES: dict[str, type[Section]] = {
    "pitch": Pitch,
    "action": Action,
    "compensation": Compensation,
    "nut": Nut,
    "board": Board,
    "bridge": Bridge,
    "tail": Tail,
    "rim": Rim,
    "top": Top,
    "tolerance": Tolerance,
}
"""The tables that a file has once; ``[[strings]]`` it has for each string."""
