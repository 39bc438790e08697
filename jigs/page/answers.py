"""Requests to answers: a form, checked, to drawings, figures, notes and faults, each fault with its field.

Pure: bytes in, a `Reply` out. No text of a request becomes a path: presets and printers are looked up among those known.
"""

import json
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from typing import Any

from jigs.faults import Fault, InputFaults, Note, Place, Says, on_one_line
from jigs.input.text import decode, parse_toml
from jigs.instrument.file import KIND, REMEDY, parse
from jigs.instrument.instrument import Instrument
from jigs.instrument.opening import preset_text
from jigs.instrument.words import EXAMPLE_LINE
from jigs.page import readings as outer_readings
from jigs.page import words
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.doubts import doubts
from jigs.page.form.fields import CHOICES, DRAW_KEYS, label_of
from jigs.page.form.filled import as_fields, filled_in, string_count
from jigs.page.heard import NO_PLUCKS, HeardPair, Plucks, heard_from, in_sound, next_step, plucks_from
from jigs.page.rounds import Round, round_of, rounds_from
from jigs.press.layout import how_sure_on, lay_out
from jigs.press.order import DEFAULT_TEMPLATE, ordered, read_order
from jigs.press.press import Printed, prepare
from jigs.readings.rounds import Start, start_from
from jigs.system.whole_files import file_stem
from jigs.templates.catalogue import COMPUTED, CUT_FROM_STOCK
from jigs.templates.template import Template
from jigs.workup.sureness import in_short
from jigs.workup.words import HeadlineFigure
from jigs.workup.work_up import without_found, work_up
from jigs.workup.workup import Workup

BYTES_PER_KIB = 1024
LARGEST_BODY_BYTES = 64 * BYTES_PER_KIB
LONGEST_STEM = 60


PARTS = {"base", "fields", "draw", "readings", "start", "rounds", "heard", "plucks"}
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
    heard in this round, and ``plucks``, the last ones, of which no difference is known yet.
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
        text, name = preset_text(preset), ""
    elif set(base) in ({"text"}, {"text", "name"}):
        text, name = base["text"], on_one_line(base.get("name", "")) or "instrument.toml"
    else:
        raise Malformed
    fields, draw, readings = (_texts(data.get(part, {})) for part in ("fields", "draw", "readings"))
    if not set(draw) <= {*CHOICES, *DRAW_KEYS} or not set(readings) <= set(outer_readings.KEYS):
        raise Malformed
    start, rounds = start_from(data.get("start")), rounds_from(data.get("rounds", []))
    heard, plucks = heard_from(data.get("heard", [])), plucks_from(data.get("plucks", {}))
    if rounds is None or heard is None or plucks is None or (start is None and data.get("start") is not None):
        raise Malformed
    return Request(preset, text, name, fields, draw, readings, start, rounds, heard, plucks)


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
    """The answer to a request: ``route`` is one of `ROUTES`, or `LISTEN` with the query, a line's end and the sound."""
    source = ""
    try:
        if route == LISTEN:
            return _listen(body)
        request = read_request(body)
        source = request.source
        return ROUTES[route](request)
    except Malformed:
        return refusal(400, words.not_from_the_page())
    except InputFaults as faults:
        listed = fault_list(faults.faults, source)
        return _json({"faults": listed, "notes": []}, 422 if route in ("pdf", "file", LISTEN) else 200)


def refusal(status: int, says: Says) -> Reply:
    """A reply that only says what is wrong."""
    return _json({"faults": fault_list([says.at(Place())]), "notes": []}, status)


def _open(request: Request) -> Reply:
    fields, strings = request.own_fields()
    return _json({"fields": fields, "strings": strings, "faults": []})


def _file(request: Request) -> Reply:
    return Reply(200, "application/toml; charset=utf-8", request.instrument_text().encode())


def _draw(request: Request) -> Reply:
    workup = made = None
    with suppress(InputFaults):  # they are shown below, together with what is wrong with the rest
        workup = work_up(request.instrument())
    try:
        made = _Making(request, workup)
        files = made.files(("svg",))
    except InputFaults as faults:
        known = {} if workup is None else _figures(workup, made)
        return _json({**known, "faults": fault_list(faults.faults, request.source), "notes": []})
    no_page = made.no_page()
    return _json(
        {
            **_figures(made.workup, made),
            "sheets": [content.decode() for content in files.files.values()],
            "names": list(files.files),
            "size_mm": [_size_mm(content) for content in files.files.values()],
            "pdf": None if no_page else f"{request.stem}-{made.template.name}.pdf",
            "file": f"{request.stem}.toml",
            "notes": note_list(
                [*doubts(request.data(), request.fields, request.preset is not None), *files.notes, *no_page],
                request.source,
            ),
            "faults": [],
        }
    )


def _figures(workup: Workup, made: "_Making | None") -> dict[str, Any]:
    """What is known of the instrument, with or without a drawing."""
    from jigs.workup.words import headline_figures, outer_in_words

    sure = in_short(workup) if made is None else made.how_sure()
    return {
        "name": workup.instrument.name,
        "headline": [asdict(one) for one in (*headline_figures(workup, feet=True), sure)],
        "outer_strings": outer_in_words(workup),
        "octave_fret": workup.instrument.octave_fret,
    }


def _pdf(request: Request) -> Reply:
    (content,) = _Making(request, None).files(("pdf",)).files.values()
    return Reply(200, "application/pdf", content)


class _Making:
    """A drawing from a request, with all faults of instrument and order at once. Raises `InputFaults`."""

    def __init__(self, request: Request, workup: Workup | None) -> None:
        faults: list[Fault] = []
        draw, self.request = request.draw, request
        try:
            self.workup = work_up(request.instrument()) if workup is None else workup
        except InputFaults as wrong:
            faults += wrong.faults
        try:
            keys = ("paper", "printer", *DRAW_KEYS)
            given = {key: draw[key] for key in keys if draw.get(key, "").strip()}
            self.order = read_order((draw.get("template") or DEFAULT_TEMPLATE,), given)
        except InputFaults as wrong:
            faults += wrong.faults
        if faults:
            raise InputFaults(faults)
        self.workup = ordered(self.workup, self.order)

    @property
    def template(self) -> Template:
        """The one template that is drawn."""
        return Template(self.order.templates[0])

    def files(self, formats: Sequence[str]) -> Printed:
        return prepare(self.workup, replace(self.order, formats=tuple(formats)), self.request.stem)

    def no_page(self) -> list[Note]:
        """Why a part whose SVG is the part alone has no page on this paper, if it has none."""
        if self.template.name not in CUT_FROM_STOCK:
            return []
        try:
            lay_out(
                self.workup, self.template, self.order.paper, self.order.options, self.order.untiled, self.order.printer
            )
        except InputFaults as wrong:
            return [words.no_pdf(fault).note(fault.place) for fault in wrong.faults]
        return []

    def how_sure(self) -> HeadlineFigure:
        return how_sure_on(self.workup, self.template, self.order.paper, self.order.options, self.order.printer)


def _size_mm(svg: bytes) -> tuple[float, float]:
    size = re.search(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert size is not None
    return float(size[1]), float(size[2])


def _readings(request: Request) -> Reply:
    from jigs.readings import moves_picture
    from jigs.readings.note_words import notes
    from jigs.readings.words import advice_lines

    workup = work_up(request.instrument())
    if request.draw.get(COMPUTED, "").strip():
        workup = without_found(workup)
    given = {key: text.strip() for key, text in request.readings.items() if text.strip()}
    try:
        advice = outer_readings.advice_on_outer(workup, given, request.start, request.heard)
    except InputFaults as wrong:
        listed = fault_list(wrong.faults, request.source, workup.instrument.octave_fret)
        return _json({"faults": listed, "notes": []})
    after, done = advice.next, round_of(advice)
    return _json(
        {
            "lines": [asdict(line) for line in advice_lines(advice, label_of)],
            "verdict": None if advice.verdict is None else advice.verdict.value,
            "next": None if after is None else after.as_dict(),
            "round": None if done is None else done.as_dict(),
            "picture": moves_picture.as_svg(advice).decode(),
            "notes": note_list(notes(advice), request.source),
            "faults": [],
        }
    )


def _rounds(request: Request) -> Reply:
    listed = (words.round_lines(number, one) for number, one in enumerate(request.rounds, 1))
    return _json({"rounds": [[asdict(line) for line in lines] for lines in listed], "faults": []})


def _heard(request: Request) -> Reply:
    return _json(next_step(work_up(request.instrument()), request.heard, request.plucks))


def _listen(body: bytes) -> Reply:
    query, _, sound = body.partition(b"\n")
    said = in_sound(query.decode("latin-1"), sound)
    if said is None:
        raise Malformed
    return _json(said)


ROUTES = {
    "open": _open,
    "draw": _draw,
    "pdf": _pdf,
    "file": _file,
    "readings": _readings,
    "rounds": _rounds,
    "heard": _heard,
}
LISTEN = "listen"
"""The route that takes a sound."""


def _json(data: Mapping[str, Any], status: int = 200) -> Reply:
    """JSON without a character of markup, so that no reader can take it for a page."""
    text = json.dumps(data, allow_nan=False).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return Reply(status, "application/json", text.encode())
