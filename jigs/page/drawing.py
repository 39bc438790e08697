"""What the form says, drawn: the picture and its figures, and the files to take home."""

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, replace
from typing import Any

from jigs.faults import Fault, InputFaults, Note
from jigs.page import words
from jigs.page.faults_at_fields import fault_list, note_list
from jigs.page.form.doubts import doubts
from jigs.page.form.fields import DRAW_KEYS
from jigs.page.request import Reply, Request, json_reply
from jigs.press.layout import how_sure_on, lay_out
from jigs.press.order import DEFAULT_TEMPLATE, ordered, read_order
from jigs.press.press import Printed, prepare
from jigs.templates.catalogue import CUT_FROM_STOCK
from jigs.templates.template import Template
from jigs.workup.sureness import in_short
from jigs.workup.words import HeadlineFigure
from jigs.workup.work_up import work_up
from jigs.workup.workup import Workup


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
        return json_reply({**known, "faults": fault_list(faults.faults, request.source), "notes": []})
    no_page = made.no_page()
    return json_reply(
        {
            **_figures(made.workup, made),
            "sheets": [content.decode() for content in files.files.values()],
            "names": list(files.files),
            "size_mm": [_size_mm(content) for content in files.files.values()],
            "no_pdf": note_list(no_page)[0]["text"] if no_page else "",
            "pdf": None if no_page else f"{request.stem}-{made.template.name}.pdf",
            "file": f"{request.stem}.toml",
            "notes": note_list(
                [*doubts(request.data(), request.fields, request.preset is not None), *files.notes, *no_page],
                request.source,
            ),
            "faults": [],
        }
    )


def _figures(workup: Workup, made: "Making | None") -> dict[str, Any]:
    """What is known of the instrument, with or without a drawing."""
    from jigs.workup.words import headline_figures, outer_in_words

    sure = in_short(workup) if made is None else made.how_sure()
    figures = headline_figures(workup, feet=True)
    return {
        "name": workup.instrument.name,
        "headline": [asdict(one) for one in (*figures, sure)],
        "glance": words.glance(*(one.figure for one in figures[:3])),
        "outer_strings": outer_in_words(workup),
        "octave_fret": workup.instrument.octave_fret,
    }


def _pdf(request: Request) -> Reply:
    (content,) = Making(request, None).files(("pdf",)).files.values()
    return Reply(200, "application/pdf", content)


class Making:
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

    def how_sure(self) -> HeadlineFigure:
        """How sure the place is, laid out with this template."""
        return how_sure_on(self.workup, self.template, self.order.paper, self.order.options, self.order.printer)


def _size_mm(svg: bytes) -> tuple[float, float]:
    size = re.search(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert size is not None
    return float(size[1]), float(size[2])


FILES = {"pdf", "file"}
"""Routes whose answer is a file."""

ROUTES = {"open": _open, "draw": _draw, "pdf": _pdf, "file": _file}
