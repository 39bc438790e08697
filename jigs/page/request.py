"""A request of the page: its shape checked, and what it fills in. A reply: bytes and their kind.

Pure, except for what a route does with ``shelf``. No text of a request becomes a path: presets, printers and files of the
shelf are looked up among those known.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from jigs.faults import InputFaults, Place, Says, on_one_line
from jigs.input.text import decode, parse_toml
from jigs.instrument.file import KIND, REMEDY, parse
from jigs.instrument.filled import as_fields, string_count
from jigs.instrument.instrument import Instrument
from jigs.instrument.opening import preset_text
from jigs.instrument.words import EXAMPLE_LINE
from jigs.page import readings as outer_readings
from jigs.page.faults_at_fields import fault_list
from jigs.page.form.fields import CHOICES, DRAW_KEYS
from jigs.page.form.filled import filled_in
from jigs.page.heard import NO_PLUCKS, HeardPair, Plucks, heard_from, plucks_from
from jigs.page.rounds import Round, rounds_from
from jigs.readings.rounds import Start, start_from
from jigs.system.names import own_name
from jigs.system.whole_files import file_stem

BYTES_PER_KIB = 1024
LARGEST_BODY_BYTES = 64 * BYTES_PER_KIB
LONGEST_STEM = 60

PARTS = {"base", "fields", "draw", "readings", "start", "rounds", "heard", "plucks", "asked"}
"""What a request may have, except one with a sound."""


class Malformed(Exception):
    """A request that the page does not send."""


@dataclass(frozen=True)
class Reply:
    """An answer as it goes over the wire."""

    status: int
    kind: str
    body: bytes


@dataclass(frozen=True)
class Request:
    """What a form sent: the text that it started from, and what was filled in since.

    ``start``: where the last round left the bridge, if that is known. ``rounds``: those that are done. ``heard``: what was
    heard in this round, and ``plucks``, the last ones, of which no difference is known yet. ``asked``: what a route takes
    besides, in words. ``shelf``: the folder of the user's instruments, if there is one.
    """

    preset: str | None
    text: str
    name: str
    fields: Mapping[str, str]
    draw: Mapping[str, str]
    readings: Mapping[str, str]
    start: Start | None = None
    rounds: tuple[Round, ...] = ()
    heard: tuple[HeardPair, ...] = ()
    plucks: Plucks = NO_PLUCKS
    asked: Mapping[str, str] = field(default_factory=dict)
    shelf: Path | None = None

    @property
    def source(self) -> str:
        """Where its faults are, as the command line says it."""
        return f"preset {self.preset}" if self.preset else self.name

    @property
    def stem(self) -> str:
        """The first part of its files' names."""
        typed = self.fields.get("name", "").strip()
        own = self.name.removesuffix(".toml") if self.preset is None else typed or self.preset
        return file_stem(own)[:LONGEST_STEM].rstrip("-")

    @property
    def own_file(self) -> str:
        """The name of its instrument file, where that has no name yet."""
        return f"{own_name(self.stem)}.toml"

    def instrument_text(self) -> str:
        """The instrument file. Raises `InputFaults`."""
        if not self.fields:
            return self.text
        return filled_in(self.text, self.data(), self.fields, self.source)

    def data(self) -> dict[str, Any]:
        """The data of the text that it started from. Raises `InputFaults`."""
        text = decode(self.text.encode(), self.source, KIND, REMEDY)
        return parse_toml(text, self.source, EXAMPLE_LINE, REMEDY)

    def own_fields(self) -> tuple[dict[str, str], int]:
        """The fields of the text that it started from, and how many strings. Raises `InputFaults`."""
        data = self.data()
        return as_fields(data), string_count(data)

    def instrument(self) -> Instrument:
        """The checked instrument. Raises `InputFaults`."""
        return parse(self.instrument_text().encode(), self.source)


def read_request(body: bytes) -> Request:
    """A request, its shape checked. Raises `Malformed`, and `InputFaults` for an unknown preset."""
    try:
        data = json.loads(body)
    except (ValueError, RecursionError):
        raise Malformed from None
    if not isinstance(data, dict) or not set(data) <= PARTS:
        raise Malformed
    base = _texts(data.get("base"))
    preset = base.get("preset")
    if set(base) == {"preset"} and preset is not None:
        text, name = _preset_text(preset), ""
    elif set(base) in ({"text"}, {"text", "name"}, {"text", "name", "stamp"}):
        text, name = base["text"], on_one_line(base.get("name", "")) or "instrument.toml"
    else:
        raise Malformed
    fields, draw, readings = (_texts(data.get(part, {})) for part in ("fields", "draw", "readings"))
    if not set(draw) <= {*CHOICES, *DRAW_KEYS} or not all(map(outer_readings.is_key, readings)):
        raise Malformed
    start, rounds = start_from(data.get("start")), rounds_from(data.get("rounds", []))
    heard, plucks = heard_from(data.get("heard", [])), plucks_from(data.get("plucks", {}))
    if rounds is None or heard is None or plucks is None or (start is None and data.get("start") is not None):
        raise Malformed
    asked = _texts(data.get("asked", {}))
    return Request(preset, text, name, fields, draw, readings, start, rounds, heard, plucks, asked)


def _preset_text(preset: str) -> str:
    """A preset's instrument file. Raises `InputFaults` for an unknown one, which no field of the page says."""
    try:
        return preset_text(preset)
    except InputFaults as wrong:
        raise InputFaults([replace(fault, place=Place()) for fault in wrong.faults]) from None


def _texts(given: object) -> dict[str, str]:
    """A table of texts that can be written in UTF-8. Raises `Malformed`."""
    if not isinstance(given, dict) or not all(isinstance(value, str) for value in given.values()):
        raise Malformed
    try:
        "".join((*given, *given.values())).encode()
    except UnicodeEncodeError:
        raise Malformed from None
    return given


def refusal(status: int, says: Says) -> Reply:
    """A reply that only says what is wrong."""
    return json_reply({"faults": fault_list([says.at(Place())]), "notes": []}, status)


def json_reply(data: Mapping[str, Any], status: int = 200) -> Reply:
    """JSON without a character of markup, so that no reader can take it for a page."""
    text = json.dumps(data, allow_nan=False).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return Reply(status, "application/json", text.encode())
