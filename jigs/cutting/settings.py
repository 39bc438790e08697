"""The user's own settings for a cutter: one TOML file in the user's configuration folder. Every line is optional."""

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, ValidationInfo

from jigs.cutting import words
from jigs.cutting.cutter import COLOURS, HAIRLINE_MM, THICKEST_STOCK_MM, THINNEST_STOCK_MM, Cutter, Pen
from jigs.drawing.items import CUT_LAYERS, Layer
from jigs.faults import Fault, InputFaults, Place, Wrong
from jigs.input.quantities import Length
from jigs.input.tables import Section, read_section, unknown_keys
from jigs.input.text import decode, parse_toml, read_if_there
from jigs.system.user_folder import NoHome, settings_path

_KIND = "settings file"

LENGTH_OF = {
    "kerf": Length(0, 6, large="wide"),
    "clearance": Length(0, 2, large="wide"),
    "corner": Length(0, 10, large="large"),
    "web": Length(0.5, 30, small="narrow", large="wide"),
    "stock": Length(THINNEST_STOCK_MM, THICKEST_STOCK_MM, small="thin", large="thick"),
}
"""The lengths of a cutter, by the names of their options, each with its bounds."""


def _colour(value: object) -> str:
    plain = value.strip().lower() if isinstance(value, str) else ""
    if len(plain) != 7 or plain[0] != "#" or any(digit not in "0123456789abcdef" for digit in plain[1:]):
        raise Wrong(words.no_colour(value))
    return plain


def _layer(value: object, info: ValidationInfo) -> object:
    if not isinstance(value, dict):
        raise Wrong(words.no_layer(value, str(info.field_name)))
    return value


def _renamed(_: object) -> None:
    raise Wrong(words.text_is_engrave())


class PenKeys(Section):
    """How one layer's lines look. Without a colour they have the layer's own."""

    width: Annotated[float, Length(0.001, 2, small="narrow", large="wide")] = HAIRLINE_MM
    colour: Annotated[str, BeforeValidator(_colour)] = ""


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
    engrave: LayerTable = Field(default_factory=dict)
    drill: LayerTable = Field(default_factory=dict)
    text: Annotated[None, BeforeValidator(_renamed)] = None
    guide: LayerTable = Field(default_factory=dict)


def cutter_for(options: Mapping[str, str | None]) -> Cutter:
    """The cutter; ``options``, by the names of `LENGTHS`, replace its lengths for one drawing. Raises `InputFaults`."""
    keys, pens = _settings()
    values = {name: float(getattr(keys, name)) for name in LENGTH_OF}
    faults: list[Fault] = []
    for name, text in options.items():
        if text is None:
            continue
        try:
            values[name] = LENGTH_OF[name].read(text)
        except Wrong as wrong:
            faults.append(wrong.says.at(Place(option=name)))
    if faults:
        raise InputFaults(faults)
    return Cutter(pens=pens, **{f"{name}_mm": value for name, value in values.items()})


def _settings() -> tuple[CutterKeys, dict[Layer, Pen]]:
    """The settings file, or the defaults where there is none. Raises `InputFaults` with all of its faults."""
    try:
        path = settings_path()
    except NoHome:
        return CutterKeys(), {}
    source, remedy = str(path), words.START_AGAIN
    raw = read_if_there(path, _KIND, remedy)
    if raw is None or not raw.strip():
        return CutterKeys(), {}
    data = parse_toml(decode(raw, source, _KIND, remedy), source, 'kerf = "0.2 mm"', remedy)
    faults = unknown_keys((key for key in data if key != "cutter"), lambda _: words.unknown_table(), Place(source))
    keys = read_section(CutterKeys, data.get("cutter", {}), {}, Place(source, "cutter"), faults)
    pens: dict[Layer, Pen] = {}
    for layer in CUT_LAYERS:
        given = getattr(keys, layer.value, {})
        pen = read_section(PenKeys, given, {}, Place(source, f"cutter.{layer.value}"), faults)
        if given and pen is not None:
            pens[layer] = Pen(pen.width, pen.colour or COLOURS[layer])
    if faults or keys is None:
        raise InputFaults(faults or [words.settings_unreadable(remedy).at(Place(source, "cutter"))])
    return keys, pens


def settings_text() -> str:
    """The settings file as it is. Raises `InputFaults` where there is none."""
    path = settings_path()
    raw = read_if_there(path, _KIND, "check it")
    if raw is None:
        raise words.no_settings().refusal(Place(str(path)))
    return decode(raw, str(path), _KIND, "delete it")
