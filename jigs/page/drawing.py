"""What the form says, drawn: the picture and its figures, and the files to take home."""

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, replace
from typing import Any

from jigs.faults import Fault, InputFaults, Note
from jigs.instrument.filled import replaced
from jigs.instrument.saddle import saddle
from jigs.page import printing_words, words
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form import worth
from jigs.page.form.doubts import doubts, from_a_preset
from jigs.page.form.fields import DRAW_KEYS, name_of
from jigs.page.lacking import lacking
from jigs.page.request import Reply, Request, json_reply
from jigs.press.layout import SheetInUse, in_use, lay_out
from jigs.press.order import DEFAULT_TEMPLATE, Order, ordered, read_order
from jigs.press.press import Printed, prepare
from jigs.templates.catalogue import CUT_FROM_STOCK, FOR_CUTTERS
from jigs.templates.template import Template
from jigs.workup.sureness import in_short, least_sure_end
from jigs.workup.work_up import work_up
from jigs.workup.workup import Workup

MEASURE = "measure"
"""The template of the measuring aids."""

MEASURED = "measured"
"""What is asked for besides: keys of fields that were typed and perhaps say what the preset says, with spaces between."""


def _open(request: Request) -> Reply:
    fields, strings = request.own_fields()
    return json_reply({"fields": fields, "strings": strings, "faults": []})


def _file(request: Request) -> Reply:
    return Reply(200, "application/toml; charset=utf-8", request.instrument_text().encode())


def _draw(request: Request) -> Reply:
    workup = made = None
    with suppress(InputFaults):  # they are shown below, together with what is wrong with the rest
        workup = work_up(request.instrument())
    try:
        made = Making(request, workup)
        files = made.files(("svg",))
    except InputFaults as faults:
        known = {} if workup is None else _figures(workup, made)
        with suppress(InputFaults):  # a text that cannot be read has no fields
            known |= _of_the_form(request)
        lacks = None if made is None else lacking(made.template.name, faults.faults, request.source)
        listed = fault_list(faults.faults, request.source)
        return json_reply({**known, "lacks": lacks, "faults": listed, "notes": []})
    no_page = made.no_page()
    return json_reply(
        {
            **_figures(made.workup, made),
            **_of_the_form(request),
            "sheets": [content.decode() for content in files.files.values()],
            "names": list(files.files),
            "size_mm": [_size_mm(content) for content in files.files.values()],
            "no_pdf": note_list(no_page)[0]["text"] if no_page else "",
            "lacks": None,
            "pdf": None if no_page else f"{request.stem}-{made.template.name}.pdf",
            **_cut_file(request.stem, made.template.name),
            "file": request.own_file,
            "notes": note_list(
                [*doubts(request.data(), _own(request), request.preset is not None), *files.notes, *no_page],
                request.source,
            ),
            "faults": [],
        }
    )


def _figures(workup: Workup, made: "Making | None") -> dict[str, Any]:
    """What is known of the instrument, with or without a drawing."""
    from jigs.workup.words import headline_figures, outer_in_words

    used = SheetInUse() if made is None else made.in_use()
    laid = used.datum_fret, used.datum_over_fret, used.print_share
    sure, least = in_short(workup, *laid, used.laid_with), least_sure_end(workup, *laid)
    figures = headline_figures(workup, feet=True)
    return {
        "name": workup.instrument.name,
        "headline": [asdict(one) for one in (*figures, sure)],
        "glance": words.glance(*(one.figure for one in figures[:3])),
        "outer_strings": outer_in_words(workup),
        "octave_fret": workup.instrument.octave_fret,
        "worth": worth.as_shown(least),
    }


def _of_the_form(request: Request) -> dict[str, Any]:
    """What the form shows at its fields: what is the preset's, and what does not count. Raises `InputFaults`."""
    unused = replaced(request.data(), request.fields)
    return {
        "from_preset": [
            {"name": name, "field": field}
            for name, field in from_a_preset(_own(request), request.preset is not None).items()
        ],
        "unused": {key: words.counts_instead(name_of(by)) for key, by in unused.items()},
        "saddle": saddle(request.data(), request.fields, request.preset is not None),
        "aids": f"{request.stem}-{MEASURE}.pdf",
        "archive": f"{request.stem}-templates.zip",
        "kit": f"{request.stem}-kit.zip",
    }


def _own(request: Request) -> dict[str, str]:
    """The fields that are the user's own: those that were filled in, and those that turned out as the preset has them."""
    return {**dict.fromkeys(request.asked.get(MEASURED, "").split(), ""), **request.fields}


def _cut_file(stem: str, template: str) -> dict[str, str | None]:
    """The name of a template's DXF, or why it has none."""
    if template in FOR_CUTTERS:
        return {"dxf": f"{stem}-{template}.dxf", "no_dxf": ""}
    return {"dxf": None, "no_dxf": printing_words.no_cut_file(template)}


def _pdf(request: Request) -> Reply:
    (content,) = Making(request, None).files(("pdf",)).files.values()
    return Reply(200, "application/pdf", content)


def order_of(request: Request, templates: Sequence[str], **more: str) -> Order:
    """An order of these templates with the page's paper, printer and options. Raises `InputFaults`."""
    keys = ("paper", "printer", *DRAW_KEYS)
    given = {key: request.draw[key] for key in keys if request.draw.get(key, "").strip()}
    return read_order(templates, {**given, **more})


class Making:
    """A drawing from a request, with all faults of instrument and order at once. Raises `InputFaults`."""

    def __init__(self, request: Request, workup: Workup | None) -> None:
        faults: list[Fault] = []
        self.request = request
        try:
            self.workup = work_up(request.instrument()) if workup is None else workup
        except InputFaults as wrong:
            faults += wrong.faults
        try:
            self.order = order_of(request, (request.draw.get("template") or DEFAULT_TEMPLATE,))
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
        """The files of the template in these formats. Raises `InputFaults`."""
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

    def in_use(self) -> SheetInUse:
        """How this template places the bridge, or a fork instead of it."""
        return in_use(self.workup, self.template, self.order.paper, self.order.options, self.order.printer)


def _size_mm(svg: bytes) -> tuple[float, float]:
    size = re.search(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert size is not None
    return float(size[1]), float(size[2])


FILES = {"pdf", "file"}
"""Routes whose answer is a file."""

ROUTES = {"open": _open, "draw": _draw, "pdf": _pdf, "file": _file}
