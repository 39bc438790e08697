"""The user's own settings for a cutter: one TOML file in the user's configuration folder, every line of it optional."""

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, ValidationInfo

from jigs.cutting import words
from jigs.cutting.cutter import HAIRLINE_MM, THICKEST_STOCK_MM, THINNEST_STOCK_MM, Cutter, Pen
from jigs.drawing.items import BLACK, Layer
from jigs.faults import InputFaults, Place, Wrong
from jigs.input.quantities import Length
from jigs.input.tables import Section, read_section
from jigs.input.text import decode, parse_toml, read_bytes
from jigs.system.user_folder import settings_path

SETTINGS_EXAMPLE = """\
# How your cutter works and how its program wants its lines. Every line is optional; these are the defaults.

[cutter]
kerf      = 0.0                 # width that the beam, blade or bit takes away
clearance = 0.1                 # of the gauge's notch over the fret's crown
corner    = 1.0                 # radius of corners, inside and out; working edges stay sharp
web       = 3.0                 # least stock beside a window
stock     = 0.5                 # thickness of the stock, 0.3 to 3

[cutter.cut]                    # and likewise [cutter.score], [cutter.text], [cutter.guide]
width  = 0.1
colour = "#000000"
"""

_KIND = "settings file"

LENGTH_OF = {
    "kerf": Length(0, 6),
    "clearance": Length(0, 2),
    "corner": Length(0, 10),
    "web": Length(0.5, 30),
    "stock": Length(THINNEST_STOCK_MM, THICKEST_STOCK_MM),
}
"""The lengths of a cutter, by the names of their options, each with its bounds."""


def _colour(value: object) -> str:
    plain = value.strip().lower() if isinstance(value, str) else ""
    if len(plain) != 7 or plain[0] != "#" or any(digit not in "0123456789abcdef" for digit in plain[1:]):
        raise Wrong(words.no_colour(value))
    return plain


def _layer(value: object, info: ValidationInfo) -> object:
    if not isinstance(value, dict):
        raise Wrong(words.no_layer(str(info.field_name)))
    return value


class PenKeys(Section):
    """How one layer's lines look."""

    width: Annotated[float, Length(0.001, 2)] = HAIRLINE_MM
    colour: Annotated[str, BeforeValidator(_colour)] = BLACK


LayerTable = Annotated[dict[str, Any], BeforeValidator(_layer)]


class CutterKeys(Section):
    """The table ``[cutter]`` of the settings file, less its layers."""

    kerf: Annotated[float, LENGTH_OF["kerf"]] = 0.0
    clearance: Annotated[float, LENGTH_OF["clearance"]] = 0.1
    corner: Annotated[float, LENGTH_OF["corner"]] = 1.0
    web: Annotated[float, LENGTH_OF["web"]] = 3.0
    stock: Annotated[float, LENGTH_OF["stock"]] = 0.5
    cut: LayerTable = Field(default_factory=dict)
    score: LayerTable = Field(default_factory=dict)
    text: LayerTable = Field(default_factory=dict)
    guide: LayerTable = Field(default_factory=dict)


def cutter_for(options: Mapping[str, str | None]) -> Cutter:
    """The user's cutter, with what was given for this once, by the names of `LENGTH_OF`. Raises `InputFaults`."""
    keys, pens = _settings()
    values = {name: float(getattr(keys, name)) for name in LENGTH_OF}
    faults = []
    for name, text in options.items():
        if text is None:
            continue
        try:
            values[name] = LENGTH_OF[name].read(text)
        except Wrong as error:
            faults.append(error.says.at(Place(option=name)))
    if faults:
        raise InputFaults(faults)
    return Cutter(pens=pens, **{f"{name}_mm": value for name, value in values.items()})


def _settings() -> tuple[CutterKeys, dict[Layer, Pen]]:
    """The settings file, or the defaults where there is none. Raises `InputFaults` with all of its faults."""
    path = settings_path()
    if not path.exists():
        return CutterKeys(), {}
    source, remedy = str(path), "delete it, or start from `jigs settings --example`"
    raw = read_bytes(path, _KIND, remedy)
    if not raw.strip():
        return CutterKeys(), {}
    data = parse_toml(decode(raw, source, _KIND, remedy), source, 'kerf = "0.2 mm"', remedy)
    faults = [words.unknown_settings_table().at(Place(source, key)) for key in data if key != "cutter"]
    keys = read_section(CutterKeys, data.get("cutter", {}), {}, Place(source, "cutter"), faults)
    pens: dict[Layer, Pen] = {}
    for layer in Layer:
        given = getattr(keys, layer.value, {})
        pen = read_section(PenKeys, given, {}, Place(source, f"cutter.{layer.value}"), faults)
        if given and pen is not None:
            pens[layer] = Pen(pen.width, pen.colour)
    if faults or keys is None:
        raise InputFaults(faults or [words.settings_broken(remedy).at(Place(source, "cutter"))])
    return keys, pens


def settings_text() -> str:
    """The settings file as it is. Raises `InputFaults` where there is none."""
    path = settings_path()
    if not path.exists():
        raise words.no_settings().refusal(Place(str(path)))
    return decode(read_bytes(path, _KIND, "check it"), str(path), _KIND, "delete it")
