"""The instrument file: what its keys are, what they may hold, and every fault of a file at once.

An `Instrument` is what comes out: checked, in millimetres, with the defaults of its kind filled in. It
knows nothing of drawings, and computes no more than it takes to refuse what cannot be strung.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar, get_args

import numpy as np
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from geometry.arrays import FloatArray
from geometry.bridge import Fit
from geometry.compensation import Objective
from geometry.frets import OCTAVE_FRET, equal_steps_mm
from geometry.fretting import rise_mm
from geometry.lengths import MM_PER_INCH, format_inches, format_mm, round_half_up
from geometry.strings import A4_HZ, WRAP_DENSITIES, NoteError, pitch_hz
from jigs import trade
from jigs.faults import Fault, InputFaults, nearest, refuse
from jigs.quantities import MODULUS, UNIT_MASS, Length, shown
from jigs.stringing import Stringing, string_up

LARGEST_FILE_BYTES = 1 << 20
MOST_STRINGS = 24
LONGEST_NAME = 60

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
        raise ValueError(str(error)) from None
    if not 20 <= pitch <= 2500:
        raise ValueError(f'"{value}" is {pitch:.0f} Hz, no string of these instruments; check the octave')
    return value.strip()


class _Section(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, use_enum_values=False)


class Head(_Section):
    """The keys above the first table of the file."""

    name: Annotated[str, BeforeValidator(_plain_name)] = Field(examples=['"Loan banjo 7"'])
    kind: Kind = "other"
    scale: Annotated[float, Length(150, 1500)] | None = None
    nut_to_fret_12: Annotated[float, Length(75, 750)] | None = Field(default=None, validate_default=True)
    frets: int = Field(ge=OCTAVE_FRET, le=36, examples=["22"])
    hand: Hand = "right"
    fret_crown_width: Annotated[float, Length(0.3, 6)] = trade.FRET_CROWN_WIDTH_MM

    @field_validator("nut_to_fret_12")
    @classmethod
    def _one_scale(cls, half: float | None, info: ValidationInfo) -> float | None:
        if "scale" in info.data and (info.data["scale"] is None) == (half is None):
            what = "is missing" if half is None else "and nut_to_fret_12 are both given"
            raise PydanticCustomError(
                "scale", f'{what}; write either scale = "26 1/4 in" or nut_to_fret_12 = "333.4 mm"'
            )
        return half

    @property
    def scale_mm(self) -> float:
        """Scale length: nut to theoretical bridge line."""
        return self.scale if self.scale is not None else 2 * (self.nut_to_fret_12 or 0)

    @property
    def to_bridge_mm(self) -> FloatArray:
        """From each fret to the theoretical bridge line."""
        return equal_steps_mm(self.scale_mm, self.frets)


class Pitch(_Section):
    """The pitch that the instrument is tuned to."""

    a4: float = Field(default=A4_HZ, ge=380, le=500, examples=["440"])


class Action(_Section):
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


class Compensation(_Section):
    """What the bridge is placed for."""

    tune_to: Objective = Field(default=Objective.OCTAVE, strict=False)
    frets: int = Field(default=OCTAVE_FRET, ge=1, le=36, examples=["12"])
    bridge_fit: Fit = Field(default=Fit.OUTER, strict=False)


class StringEntry(_Section):
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

    @field_validator("core")
    @classmethod
    def _thinner_than_the_string(cls, core: float | None, info: ValidationInfo) -> float | None:
        gauge = info.data.get("gauge")
        if core is not None and gauge is not None and core >= gauge:
            raise ValueError(
                f"the core of {_inch(core)} is not thinner than the gauge of {_inch(gauge)};"
                " a core is often a little under half of the gauge"
            )
        return core

    @field_validator("wrap")
    @classmethod
    def _wound_on_something(cls, wrap: Wrap | None, info: ValidationInfo) -> Wrap | None:
        if wrap is not None and "gauge" in info.data and info.data.get("core", 0) is None:
            half = _inch(0.45 * info.data["gauge"])
            raise PydanticCustomError(
                "core", f'is missing for a wound string; measure it, or write "{half}" as a first guess'
            )
        return wrap


class Nut(_Section):
    """Where the strings leave the nut."""

    spacing: Annotated[float, Length(5, 120)]
    pair_gap: Annotated[float, Length(0.5, 10)] = trade.PAIR_GAP_NUT_MM


class Bridge(_Section):
    """The bridge: its strings and its feet."""

    length: Annotated[float, Length(20, 300)]
    spacing: Annotated[float, Length(5, 150)]
    thickness: Annotated[float, Length(1, 60)]
    face: Annotated[float, Length(0, 60)] | None = None
    pair_gap: Annotated[float, Length(0.5, 10)] = trade.PAIR_GAP_BRIDGE_MM

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

    @property
    def face_mm(self) -> float:
        """Crown line to the nut-side face of the feet."""
        return self.thickness / 2 if self.face is None else self.face


class Tail(_Section):
    """String beyond nut and bridge, and how far it slips over them."""

    afterlength: Annotated[float, Length(1, 1000)]
    headlength: Annotated[float, Length(1, 1000)]
    slip: float = Field(default=0.0, ge=0, le=1, examples=["0.0"])


@dataclass(frozen=True)
class Instrument:
    """A checked instrument, in millimetres, defaults filled in. ``source`` is where it was read from."""

    source: str
    head: Head
    pitch: Pitch
    action: Action
    compensation: Compensation
    strings: tuple[StringEntry, ...]
    nut: Nut
    bridge: Bridge
    tail: Tail
    stringing: Stringing

    @property
    def name(self) -> str:
        """What the owner calls it."""
        return self.head.name

    @property
    def warnings(self) -> tuple[str, ...]:
        """What is possible but unlikely: worth a second look, no reason to stop."""
        return tuple(_warnings(self))


_TABLES: dict[str, type[_Section]] = {
    "pitch": Pitch,
    "action": Action,
    "compensation": Compensation,
    "nut": Nut,
    "bridge": Bridge,
    "tail": Tail,
}
_KNOWN_KEYS = [*Head.model_fields, *_TABLES, "strings"]

Part = TypeVar("Part", bound=_Section)


def load(path: Path) -> Instrument:
    """Read and check an instrument file. Raises `InputFaults` with all of its faults."""
    source = str(path)
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise refuse(source, "there is no such file; check its name, or see `jigs presets`") from None
    except IsADirectoryError:
        raise refuse(source, "is a folder; name the instrument file in it") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise refuse(source, f"cannot be read ({reason}); check its name and permissions") from None
    return parse(raw, source)


def parse(raw: bytes, source: str) -> Instrument:
    """Check the bytes of an instrument file. Raises `InputFaults` with all of its faults."""
    if len(raw) > LARGEST_FILE_BYTES:
        raise refuse(source, "is larger than a megabyte; an instrument file is a page of text")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise refuse(source, "is not UTF-8 text; save it as plain text in UTF-8", f"line {line}") from None
    if not text.strip():
        raise refuse(source, "is empty; start from one of `jigs presets`")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        what, _, place = str(error).rpartition(" (at ")
        where = place.split(",")[0] if place.startswith("line") else f"line {text.count(chr(10)) + 1}"
        raise refuse(
            source,
            f"{(what or place)[:1].lower()}{(what or place)[1:]}; look there for a missing quote, bracket or ="
            " (text stands in quotes, a decimal point is a point)",
            where,
        ) from None
    except (RecursionError, ValueError):
        raise refuse(source, "is nested or long beyond reading; start from `jigs presets`") from None
    return from_data(data, source)


def from_data(data: Mapping[str, Any], source: str) -> Instrument:
    """Check an instrument file's data. Raises `InputFaults` with all of its faults."""
    faults: list[Fault] = []
    kind = data.get("kind", "other")
    defaults = trade.KIND_DEFAULTS.get(kind if isinstance(kind, str) else "", trade.KIND_DEFAULTS["other"])

    for key in data:
        if key not in _KNOWN_KEYS:
            faults.append(Fault(source, key, f"unknown key; {nearest(key, _KNOWN_KEYS)}"))
    head_data = {key: data[key] for key in data if key in Head.model_fields}
    head = _part(Head, {"frets": defaults["frets"], **head_data}, "", source, faults)
    parts: dict[str, Any] = {}
    for name, model in _TABLES.items():
        given = data.get(name, {})
        if isinstance(given, Mapping):
            given = {**defaults.get(name, {}), **given}
        parts[name] = _part(model, given, name, source, faults)
    entries = _strings(data.get("strings"), source, faults)

    stringing = None
    if head is not None and entries is not None:
        misplaced = list(_short_string_faults(head, entries, source))
        faults += misplaced
        if not misplaced and all(parts[name] is not None for name in ("action", "pitch", "tail")):
            stringing = _string_up(head, entries, parts["action"], parts["pitch"], parts["tail"])
            faults += _strength_faults(entries, stringing, source)
    faults += _finger_faults(head, parts["action"], source)
    if faults or head is None or entries is None or stringing is None:
        raise InputFaults(faults)
    return Instrument(source, head, strings=entries, stringing=stringing, **parts)


def _string_up(head: Head, entries: tuple[StringEntry, ...], action: Action, pitch: Pitch, tail: Tail) -> Stringing:
    return string_up(
        entries,
        to_bridge_mm=head.to_bridge_mm,
        scale_mm=head.scale_mm,
        rise_mm=action.rise_mm,
        a4_hz=pitch.a4,
        outside_mm=tail.afterlength + tail.headlength,
        slip=tail.slip,
    )


def _strings(given: object, source: str, faults: list[Fault]) -> tuple[StringEntry, ...] | None:
    if given is None or given == []:
        faults.append(Fault(source, "strings", "there is none; add a [[strings]] table for each string"))
        return None
    if not isinstance(given, list):
        faults.append(
            Fault(source, "strings", "is no list of tables; write [[strings]], in double brackets, for each string")
        )
        return None
    if len(given) > MOST_STRINGS:
        what = f"there are {len(given)}; {MOST_STRINGS} are the most, a pair counting as one"
        faults.append(Fault(source, "strings", what))
        return None
    entries = [_part(StringEntry, one, f"string {n}", source, faults) for n, one in enumerate(given, 1)]
    checked = tuple(entry for entry in entries if entry is not None)
    return checked if len(checked) == len(given) else None


def _part(model: type[Part], given: object, where: str, source: str, faults: list[Fault]) -> Part | None:
    """Validate one table; its faults go to ``faults``."""
    place = f"[{where}]" if where in _TABLES else where
    if not isinstance(given, Mapping):
        what = f"must be a table; write [{where}] on a line of its own and its keys below"
        faults.append(Fault(source, place, what))
        return None
    try:
        return model.model_validate(dict(given))
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            named = detail["type"] in model.model_fields
            key = detail["type"] if named else str(detail["loc"][0])
            joint = ", " if place.startswith("string") else " "
            spot = f"{place}{joint}{key}" if place else key
            fault = Fault(source, spot, _in_words(model, key, detail))
            if fault not in faults:
                faults.append(fault)
        return None


def _in_words(model: type[_Section], key: str, detail: Any) -> str:
    """A validation error as a sentence: what is wrong; what would be right."""
    kind, wrong = detail["type"], detail["input"]
    written = shown(wrong)
    field = model.model_fields.get(key)
    example = str(field.examples[0]) if field is not None and field.examples else "a value"
    limits = detail.get("ctx", {})
    match kind:
        case "value_error":
            return str(detail["ctx"]["error"])
        case "extra_forbidden":
            return f"unknown key; {nearest(key, model.model_fields)}"
        case "missing":
            return f"is missing; write for instance {key} = {example}"
        case "literal_error" | "enum":
            words = [str(word) for word in _choices(model, key)]
            return f"{written} is not known; {nearest(wrong if isinstance(wrong, str) else '', words)}"
        case "greater_than_equal":
            return f"{written} is too small; {limits['ge']:g} is the least"
        case "less_than_equal":
            return f"{written} is too large; {limits['le']:g} is the most"
        case "bool_type":
            return f"{written} is neither true nor false; write true or false, without quotes"
        case "int_type" | "int_from_float":
            return f"{written} is not a whole number; write for instance {example}"
        case "float_type" | "finite_number":
            return f"{written} is not a number; write for instance {example}"
        case _:
            return str(detail["msg"])


def _choices(model: type[_Section], key: str) -> tuple[Any, ...]:
    annotation: Any = model.model_fields[key].annotation
    if isinstance(annotation, type):
        return tuple(annotation)  # type: ignore[arg-type]  # an enumeration lists its members
    words: list[Any] = []
    for choice in get_args(annotation):
        words += get_args(choice) or ([] if choice is type(None) else [choice])
    return tuple(words)


def _short_string_faults(head: Head, entries: tuple[StringEntry, ...], source: str) -> Iterator[Fault]:
    if all(entry.starts_at_fret for entry in entries):
        what = "all strings start at a fret; at least one must start at the nut: leave the key out there"
        yield Fault(source, "strings, starts_at_fret", what)
    for n, entry in enumerate(entries, 1):
        if not entry.starts_at_fret:
            continue
        octave = entry.starts_at_fret + OCTAVE_FRET
        if octave > head.frets:
            where = f"string {n}, starts_at_fret"
            beyond = "lies beyond" if entry.starts_at_fret > head.frets else "has its octave beyond"
            yield Fault(
                source,
                where,
                f"fret {entry.starts_at_fret} {beyond} the {head.frets} frets; its octave is fret {octave},"
                f" so {head.frets - OCTAVE_FRET} is the last fret to start at",
            )


def _strength_faults(entries: tuple[StringEntry, ...], stringing: Stringing, source: str) -> Iterator[Fault]:
    for n, (entry, ratio) in enumerate(zip(entries, stringing.strength_ratio, strict=True), 1):
        if ratio is not None and ratio > 1:
            load = round_half_up(100 * ratio, 0)
            yield Fault(
                source,
                f"string {n}, gauge",
                f"{_inch(entry.gauge)} at {entry.note} would break: {load} % of what its wire bears;"
                " check note, octave, gauge, core and scale",
            )


def _finger_faults(head: Head | None, action: Action | None, source: str) -> Iterator[Fault]:
    if head is None or action is None:
        return
    if action.finger >= head.scale_mm - head.to_bridge_mm[0]:
        what = f"{action.finger:g} mm behind the fret is beyond the nut at fret 1; 0 to 10 mm is usual"
        yield Fault(source, "[action] finger", what)


def _warnings(instrument: Instrument) -> Iterator[str]:
    head = instrument.head
    usual = trade.USUAL_SCALES_MM.get(head.kind)
    if usual and not usual[0] <= head.scale_mm <= usual[1]:
        yield (
            f"scale: {format_mm(head.scale_mm)} is unusual for a {head.kind}"
            f" ({format_inches(usual[0])} to {format_inches(usual[1])} are common); measure nut to fret 12 again"
        )
    ratios = instrument.stringing.strength_ratio
    for n, (entry, ratio) in enumerate(zip(instrument.strings, ratios, strict=True), 1):
        if ratio is not None and ratio > trade.WARN_AT_STRENGTH_RATIO:
            load = round_half_up(100 * ratio, 0)
            yield (
                f"string {n}: {entry.note} of {_inch(entry.gauge)} carries {load} % of what its wire bears;"
                " keep eyes away while tuning, or take a thinner string"
            )


def _inch(mm: float) -> str:
    """A gauge as string packets print it."""
    return f"{mm / float(MM_PER_INCH):.3f} in"
