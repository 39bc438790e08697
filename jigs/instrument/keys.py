"""The keys of an instrument file above its tables, and those of its strings.

Values arrive as TOML has them and leave in millimetres, hertz, grams per metre and gigapascals. A check that needs two
keys of one table is made at the later one, so that it is made even when a third is wrong.
"""

import math
from typing import Annotated, Any, Literal, get_args

import numpy as np
from pydantic import BeforeValidator, ValidationInfo, field_validator

from geometry.arrays import FloatArray
from geometry.frets import (
    CENTS_PER_STEP,
    equal_steps_mm,
    from_cents_mm,
    from_measured_mm,
    has_octave,
    octave_columns,
    ratios_from_cents,
    rule_of_eighteen_mm,
    wanted_ratios,
)
from geometry.strings import WRAP_DENSITIES, NoteError, pitch_hz
from jigs.faults import Key, Wrong
from jigs.input.gauges import Gauge, is_marked_wound
from jigs.input.quantities import MODULUS, UNIT_MASS, Length
from jigs.input.tables import Section
from jigs.input.words import no_quoted_text, note_unread
from jigs.instrument import usual, words
from jigs.instrument.declare import key
from jigs.instrument.lists import LEAST_FRETS, LEAST_TURNS, MOST_FRETS, MOST_TURNS, Cents, ForEachFret, Turns

LONGEST_NAME = 60
LOWEST_HZ, HIGHEST_HZ = 20, 2500
SCALES_OF_ANY_KIND_MM = (300, 800)
NAMED_RULES = {"equal": equal_steps_mm, "eighteen": rule_of_eighteen_mm}

Kind = Literal["banjo", "mandolin", "other"]
Hand = Literal["right", "left"]
Material = Literal["steel", "nylon"]
Wrap = Literal["phosphor bronze", "nickel-plated steel", "nickel", "80/20 bronze", "stainless", "steel"]
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
        raise Wrong(no_quoted_text(value, '"D4"'))
    try:
        pitch = pitch_hz(value)
    except NoteError as error:
        raise Wrong(note_unread(error)) from None
    if not LOWEST_HZ <= pitch <= HIGHEST_HZ:
        raise Wrong(words.note_of_no_string(value, pitch))
    return value.strip()


_CENTS = Cents(0, 3600)
_PLACES = Length(1, 1500, listed=True)
_AS_CENTS = "[100, 200, 300, …]"


class Head(Section, title="Instrument"):
    """The keys above the first table of the file."""

    name: Annotated[str, BeforeValidator(_plain_name)] = key(
        "Name", "printed on every sheet", within=f"up to {LONGEST_NAME} characters", example='"Loan banjo 7"'
    )
    kind: Kind = key("Kind", "of a guitar or dulcimer: other", default="other", example='"banjo"')
    scale: Annotated[float, Length(150, 1500, usual=SCALES_OF_ANY_KIND_MM)] | None = key(
        "Scale length",
        "twice nut to fret 12, not nut to bridge: 26 1/4 in, or 666.8",
        default=None,
        example='"26 1/4 in"',
    )
    nut_to_fret_12: Annotated[float, Length(75, 750, usual=(150, 400))] | None = key(
        "Nut to fret 12",
        "instead of the scale length; on other boards to the fret at the octave",
        default=None,
        validate_default=True,
        example='"333.4 mm"',
    )
    frets: int = key("Frets", "how many there are", ge=LEAST_FRETS, le=MOST_FRETS, example="22")
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
        example="1.8",
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
        return (self.nut_to_fret_12 or 0) / self.octave_share if self.scale is None else self.scale

    @property
    def octave_share(self) -> float:
        """Nut to the octave's fret as a share of the scale, by the rule that the frets follow; else a half."""
        octave = self.octave_fret
        return 1 - float(self._by_rule(1.0)[octave - 1]) if octave and self.frets_measured is None else 0.5

    @property
    def octave_fret(self) -> int | None:
        """The fret that is meant to sound the octave of the open string: 12 if the frets make equal steps."""
        every = np.full((1, len(self.wanted)), True)
        if not has_octave(self.wanted[None], every)[0]:
            return None
        return int(octave_columns(self.wanted[None], every)[0]) + 1

    @property
    def from_nut_to_octave_mm(self) -> float:
        """From the nut to the fret at the octave, where heights are measured; half the scale on a board without one."""
        fret = self.octave_fret
        return self.scale_mm / 2 if fret is None else float(self.scale_mm - self.to_bridge_mm[fret - 1])

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
        """Pitch that each fret is meant to sound, over the open string; for a list of cents, the nearest equal steps."""
        if self.wanted_cents is not None:
            return ratios_from_cents(np.array(self.wanted_cents))
        if isinstance(self.fret_rule, tuple):
            steps = np.round(np.array(self.fret_rule) / CENTS_PER_STEP)
            if np.all(np.diff(steps, prepend=0.0) > 0):
                return ratios_from_cents(CENTS_PER_STEP * steps)
        return wanted_ratios(self.frets)


class StringEntry(Section, title="Strings"):
    """One string, or one pair of equal strings."""

    note: Annotated[str, BeforeValidator(_plain_note)] = key(
        "Note", "letter and octave: D4, F#3", within=f"{LOWEST_HZ} to {HIGHEST_HZ} Hz", example='"D4"'
    )
    gauge: Annotated[float, Gauge(0.1, 4, "a string", "thin", "thick")] = key(
        "Gauge", "as on the packet: .010, 10, #10; .024w for a wound one", example='".024w"'
    )
    wound: bool | None = key(
        "Wound", "round wire on a core", empty="as gauge, core, turns or wrap say", default=None, example="true"
    )
    core: Annotated[float, Gauge(0.05, 3, "a core", "thin", "thick", may_be_wound=False)] | None = key(
        "Core",
        "of a wound string, measured",
        empty=f"{usual.CORE_SHARE:g} of the gauge",
        default=None,
        example='".011"',
    )
    turns: Annotated[float, Turns()] | None = key(
        "Wrap turns in 10 mm",
        "counted under a lens, instead of the core",
        within=f"{LEAST_TURNS} to {MOST_TURNS}",
        default=None,
        example="40",
    )
    wrap: Wrap | None = key(
        "Wrap",
        "of a wound string",
        empty=f"{usual.USUAL_WRAPS['banjo']} on a banjo, else {usual.USUAL_WRAPS['other']}",
        default=None,
        example='"nickel-plated steel"',
    )
    pair: bool = key(
        "Pair", "a course of two; of an octave pair, describe the lower string", default=False, example="true"
    )
    starts_at_fret: int = key(
        "Starts at fret", "of a short string; a banjo's fifth: 5", ge=0, le=24, default=0, example="5"
    )
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
    peg: Annotated[float, Length(3, 80, usual=(12, 40))] = key(
        "Own nut to its peg", "of a short string", default=usual.SHORT_STRING_PEG_MM, example='"3/4 in"'
    )

    @field_validator("wound")
    @classmethod
    def _as_the_packet_says(cls, wound: bool | None, info: ValidationInfo) -> bool | None:
        if wound is False and is_marked_wound(info.data.get("gauge")):
            raise Wrong(words.wound_and_plain(Key("strings", "gauge")))
        return wound

    @field_validator("core", "turns", "wrap")
    @classmethod
    def _only_of_a_wound_string(cls, given: Any, info: ValidationInfo) -> Any:
        if given is not None and info.data.get("wound") is False:
            raise Wrong(words.wound_and_plain(Key("strings", "wound")))
        return given

    @field_validator("core")
    @classmethod
    def _thinner_than_the_string(cls, core: float | None, info: ValidationInfo) -> float | None:
        gauge = info.data.get("gauge")
        if core is not None and gauge is not None and core >= gauge:
            raise Wrong(words.core_too_thick(core, gauge))
        return core

    @field_validator("turns")
    @classmethod
    def _leave_a_core(cls, turns: float | None, info: ValidationInfo) -> float | None:
        gauge = info.data.get("gauge")
        if turns is None or gauge is None:
            return turns
        if info.data.get("core") is not None:
            raise Wrong(words.both_given(Key("strings", "core"), Key("strings", "turns"), measured=True))
        core = usual.core_from_turns_mm(gauge, turns)
        if not usual.LEAST_CORE_SHARE * gauge <= core <= usual.MOST_CORE_SHARE * gauge:
            fewest, most = (
                usual.turns_for_core(gauge, share * gauge) for share in (usual.CORE_FROM_SHARE, usual.CORE_TO_SHARE)
            )
            counts = math.ceil(fewest), math.floor(most)
            raise Wrong(words.turns_leave_no_core(turns, core, gauge, counts))
        return turns

    @field_validator("material")
    @classmethod
    def _packets_wind_steel(cls, material: Material, info: ValidationInfo) -> Material:
        given = info.data
        if material != "nylon" or given.get("core") is not None:
            return material
        if is_marked_wound(given.get("gauge")):
            raise Wrong(words.nylon_wound("the w"), key="gauge")
        said = next((name for name in ("wound", "turns", "wrap") if given.get(name)), None)
        if said is not None:
            raise Wrong(words.nylon_wound("it"), key=said)
        return material

    def called(self, number: int) -> str:
        """What its player calls it: ``string 1``, ``pair 4``. ``number`` counts from 1."""
        return f"{'pair' if self.pair else 'string'} {number}"

    @property
    def is_wound(self) -> bool:
        """Whether anything in the file says that it is wound."""
        given = (self.core, self.turns, self.wrap)
        return bool(self.wound) or is_marked_wound(self.gauge) or any(one is not None for one in given)

    @property
    def is_thick_and_plain(self) -> bool:
        """Whether it is as thick as wound ones are, and nothing says that it is wound."""
        return self.material == "steel" and not self.is_wound and self.gauge >= usual.WOUND_FROM_MM

    @property
    def core_mm(self) -> float:
        """Across the core: as measured, as counted, or as is usual; across all of a plain string."""
        if not self.is_wound:
            return float(self.gauge)
        if self.turns is not None:
            return usual.core_from_turns_mm(self.gauge, self.turns)
        return usual.CORE_SHARE * self.gauge if self.core is None else self.core

    def core_error_mm(self, turns_share: float = usual.TURNS_ERROR_SHARE) -> float:
        """Standard deviation of the core, beside that of its wire: zero if it was measured.

        ``turns_share``: that of a core from counted turns, as a share of the gauge.
        """
        if not self.is_wound or self.core is not None:
            return 0.0
        return self.gauge * (usual.CORE_ERROR_SHARE if self.turns is None else turns_share)
