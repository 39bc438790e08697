"""Requests to answers: what a form sent, checked, into drawings, figures, notes and faults, each fault with its field.

Pure: bytes in, a `Reply` out. Nothing that a request says becomes a path; a preset or a printer is looked up among those
that there are.
"""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jigs import printer_files
from jigs.asked import read_options
from jigs.faults import Fault, InputFaults, nearest, on_one_line, refuse
from jigs.instrument import KIND, REMEDY, Instrument, parse
from jigs.page import outer
from jigs.page.fields import BEGINS_WITH, DRAW_KEYS, kind_of
from jigs.page.filled import STRINGS, as_fields, filled_in, string_count
from jigs.press import chosen, file_stem, how_sure_on, lay_out, prepare, preset_text
from jigs.printer import Printer
from jigs.templates import CUT_FROM_STOCK, NAMES
from jigs.textfile import decode, parse_toml
from jigs.workup import work_up

BYTES_PER_KIB = 1024
LARGEST_BODY_BYTES = 64 * BYTES_PER_KIB
LONGEST_STEM = 60

_TABLE_KEY = re.compile(r"\[(\w+)\](?: (\w+))?")
_REMEDY_KEY = re.compile(r"under \[(\w+)\] as (\w+)")
_STRING_KEY = re.compile(r"string (\d+)(?:, (\w+))?")


class Malformed(Exception):
    """The request is none that the page would send."""


@dataclass(frozen=True)
class Reply:
    """An answer as it goes over the wire."""

    status: int
    kind: str
    body: bytes


@dataclass(frozen=True)
class Request:
    """What a form sent: the text that it started from, and what was filled in since."""

    preset: str | None
    text: str
    name: str
    fields: Mapping[str, str]
    draw: Mapping[str, str]
    readings: Mapping[str, str]

    @property
    def source(self) -> str:
        """Where the faults are, as the command line would call it."""
        return f"preset {self.preset}" if self.preset else self.name

    @property
    def stem(self) -> str:
        """How the names of its files begin."""
        typed = self.fields.get("name", "").strip()
        own = self.name.removesuffix(".toml") if self.preset is None else typed or self.preset
        return file_stem(own)[:LONGEST_STEM].rstrip("-")

    def instrument_text(self) -> str:
        """The instrument file. Raises `InputFaults`."""
        if not self.fields:
            return self.text
        return filled_in(self.text, self._data(), self.fields, self.source)

    def _data(self) -> dict[str, Any]:
        text = decode(self.text.encode(), self.source, KIND, REMEDY)
        return parse_toml(text, self.source, 'scale = "26 1/4 in"', REMEDY)

    def own_fields(self) -> tuple[dict[str, str], int]:
        """What the text it started from says, field by field, and how many strings. Raises `InputFaults`."""
        data = self._data()
        return as_fields(data), string_count(data)

    def instrument(self) -> Instrument:
        """The checked instrument. Raises `InputFaults`."""
        return parse(self.instrument_text().encode(), self.source)


def read_request(body: bytes) -> Request:
    """A request, its shape checked. Raises `Malformed`, and `InputFaults` for a preset that there is not."""
    try:
        data = json.loads(body)
    except (ValueError, RecursionError):
        raise Malformed from None
    if not isinstance(data, dict) or not set(data) <= {"base", "fields", "draw", "readings"}:
        raise Malformed
    base = _texts(data.get("base"))
    preset = base.get("preset")
    if set(base) == {"preset"} and preset is not None:
        text, name = preset_text(preset), ""
    elif set(base) in ({"text"}, {"text", "name"}):
        text, name = base["text"], on_one_line(base.get("name", "")) or "instrument.toml"
    else:
        raise Malformed
    fields, draw, readings = (_texts(data.get(part, {})) for part in ("fields", "draw", "readings"))
    if not set(draw) <= {"template", "paper", "printer", *DRAW_KEYS} or not set(readings) <= set(outer.KEYS):
        raise Malformed
    return Request(preset, text, name, fields, draw, readings)


def _texts(given: object) -> dict[str, str]:
    """A table of texts that can be written in UTF-8. Raises `Malformed`."""
    if not isinstance(given, dict) or not all(isinstance(value, str) for value in given.values()):
        raise Malformed
    try:
        "".join((*given, *given.values())).encode()
    except UnicodeEncodeError:
        raise Malformed from None
    return given


def answer(route: str, body: bytes) -> Reply:
    """The answer to a request: ``route`` is one of `ROUTES`."""
    try:
        request = read_request(body)
        return ROUTES[route](request)
    except Malformed:
        return refusal(400, "this is nothing that the page sends; load it again")
    except InputFaults as faults:
        return _json({"faults": _fault_list(faults.faults), "notes": []}, 422 if route in ("pdf", "file") else 200)


def refusal(status: int, what: str) -> Reply:
    """A reply that only says what is wrong."""
    return _json({"faults": _fault_list([Fault("", "", what)]), "notes": []}, status)


def _open(request: Request) -> Reply:
    fields, strings = request.own_fields()
    return _json({"fields": fields, "strings": strings, "faults": []})


def _file(request: Request) -> Reply:
    return Reply(200, "application/toml; charset=utf-8", request.instrument_text().encode())


def _draw(request: Request) -> Reply:
    from jigs.numbers import headline_figures, outer_in_words

    made = _Making(request)
    files = made.files(("svg",))
    workup = made.workup
    return _json(
        {
            "name": workup.instrument.name,
            "sheets": [content.decode() for content in files.files.values()],
            "names": list(files.files),
            "size_mm": [_size_mm(content) for content in files.files.values()],
            "pdf": f"{request.stem}-{made.template.name}.pdf",
            "file": f"{request.stem}.toml",
            "headline": [*headline_figures(workup), ("how sure", *made.how_sure())],
            "outer": outer_in_words(workup),
            "notes": [*files.warnings, *made.no_page()],
            "faults": [],
        }
    )


def _pdf(request: Request) -> Reply:
    (content,) = _Making(request).files(("pdf",)).files.values()
    return Reply(200, "application/pdf", content)


class _Making:
    """A drawing from what was asked, all faults of instrument and options told at once. Raises `InputFaults`."""

    def __init__(self, request: Request) -> None:
        from jigs.paper import paper_named

        faults: list[Fault] = []
        draw, self.request = request.draw, request
        try:
            self.workup = work_up(request.instrument())
        except InputFaults as wrong:
            faults += wrong.faults
        try:
            (self.template,) = chosen([draw.get("template") or NAMES[0]], "template")
        except InputFaults as wrong:
            faults += wrong.faults
        try:
            self.paper = paper_named(draw.get("paper") or "a4")
        except InputFaults as wrong:
            faults += wrong.faults
        try:
            self.printer = _printer(draw.get("printer", ""))
        except InputFaults as wrong:
            faults += wrong.faults
        asked = {key: draw[key] for key in DRAW_KEYS if draw.get(key, "").strip()}
        try:
            self.options = read_options(asked, [draw.get("template") or NAMES[0]])
        except InputFaults as wrong:
            faults += wrong.faults
        self.untiled = "untiled" in asked
        if faults:
            raise InputFaults(faults)

    def files(self, formats: Sequence[str]) -> Any:
        return prepare(
            self.workup,
            [self.template],
            self.paper,
            formats,
            self.options,
            self.request.stem,
            self.untiled,
            printer=self.printer,
        )

    def no_page(self) -> list[str]:
        """Why a part whose SVG is the part alone has no page on this paper, if it has none."""
        if self.template.name not in CUT_FROM_STOCK:
            return []
        try:
            lay_out(self.workup, self.template, self.paper, self.options, self.untiled, self.printer)
        except InputFaults as wrong:
            return [f"there is no PDF of it: {fault.what}" for fault in wrong.faults]
        return []

    def how_sure(self) -> tuple[str, str]:
        return how_sure_on(self.workup, self.template, self.paper, self.options, self.printer)


def _printer(name: str) -> Printer | None:
    """A printer from among those that were measured. Raises `InputFaults`."""
    wanted = name.strip()
    if not wanted:
        return None
    known = printer_files.known()
    if wanted not in known:
        raise refuse("--printer", f'there is no printer "{wanted}"; {nearest(wanted, ["none", *known])}')
    return printer_files.load(known[known.index(wanted)])


def _size_mm(svg: bytes) -> tuple[float, float]:
    found = re.search(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert found is not None
    return float(found[1]), float(found[2])


def _readings(request: Request) -> Reply:
    from jigs import moves_picture
    from jigs import readings as words

    workup = work_up(request.instrument())
    given = {key: text.strip() for key, text in request.readings.items() if text.strip()}
    advice = outer.advice_on_outer(workup, given)
    return _json(
        {
            "lines": words.as_table(advice).splitlines(),
            "verdict": None if advice.verdict is None else advice.verdict.value,
            "picture": moves_picture.as_svg(advice).decode(),
            "notes": words.notes(advice),
            "faults": [],
        }
    )


ROUTES = {"open": _open, "draw": _draw, "pdf": _pdf, "file": _file, "readings": _readings}


def _fault_list(faults: Sequence[Fault]) -> list[dict[str, str]]:
    return [
        {"field": field_of(fault), "where": on_one_line(fault.where), "what": on_one_line(fault.what)}
        for fault in faults
    ]


def field_of(fault: Fault) -> str:
    """The field to blame for a fault, empty for none.

    >>> field_of(Fault("mine.toml", "[action] nut", "")), field_of(Fault("", "string 4, gauge", ""))
    ('action.nut', 'strings.4.gauge')
    >>> field_of(Fault("mine.toml", "head", "measure, and write it under [rim] as fret_12_to_near_edge"))
    'rim.fret_12_to_near_edge'
    >>> field_of(Fault("--kerf", "", "")), field_of(Fault("mine.toml", "--paper", "")), field_of(Fault("", "line 3", ""))
    ('draw.kerf', 'draw.paper', '')
    """
    for text in (fault.where, fault.source):
        if text.startswith("--") and text[2:] in ("paper", "printer", *DRAW_KEYS):
            return f"draw.{text[2:]}"
    if fault.source == "template" or fault.where in NAMES:
        remedy = _REMEDY_KEY.search(fault.what)
        key = ".".join(remedy.groups()) if remedy else ""
        return key if kind_of(key) is not None else "draw.template"
    if fault.where.startswith(outer.PREFIX):
        return fault.where
    where = fault.where
    in_table, of_string = _TABLE_KEY.match(where), _STRING_KEY.match(where)
    if in_table:
        key = f"{in_table[1]}.{in_table[2]}"
        return key if kind_of(key) is not None else BEGINS_WITH.get(in_table[1], "")
    if of_string:
        key = f"{STRINGS}.{of_string[1]}.{of_string[2]}"
        return key if kind_of(key) is not None else f"{STRINGS}.{of_string[1]}.note"
    if where.startswith(STRINGS):
        return STRINGS
    return where if kind_of(where) is not None else ""


def _json(data: Mapping[str, Any], status: int = 200) -> Reply:
    """JSON in which nothing can be taken for markup, whatever a reader takes it for."""
    text = json.dumps(data, allow_nan=False).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return Reply(status, "application/json", text.encode())
