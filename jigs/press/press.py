"""The whole way: an instrument and an order in, the files to write out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from jigs.drawing.lettering import writable
from jigs.export.files import cut_files, page_files
from jigs.faults import Fault, InputFaults, Note, attempt
from jigs.press import words
from jigs.press.layout import lay_out, title_of
from jigs.press.missing import Missing, by_reason
from jigs.press.order import Order, ordered
from jigs.press.spelling import name_notes, spelt
from jigs.sheets.paper import Sheet, size_in_words
from jigs.sheets.words import scale_in_words
from jigs.templates.catalogue import CUT_FROM_STOCK, FOR_CUTTERS, IDLE_WITHOUT
from jigs.templates.names import engraved_name, printed_name
from jigs.templates.template import Lacks, Template
from jigs.workup.slant_words import SURE, slant_refused
from jigs.workup.workup import Workup

BOARD = "fretboard"
"""It draws the bridge line only if it goes as far as that."""


@dataclass(frozen=True)
class Printed:
    """Files ready to be written, by name, what could not be made, and what the user should know about them."""

    files: Mapping[str, bytes]
    notes: tuple[Note, ...]
    missing: tuple[Missing, ...] = ()


def prepare(workup: Workup, order: Order, stem: str) -> Printed:
    """Draw an order and write it in every format, in memory, as files whose names begin with ``stem``.

    PDF is one file of all sheets, SVG a file for each, DXF the part alone; so is the SVG of a part that is cut from stock.
    Sheets are corrected for the order's printer; files for a cutter are not, and a note says so. What cannot be made does
    not stop the rest. Raises `InputFaults` if nothing of it can be made.
    """
    printed = prepare_what_fits(workup, order, stem)
    if printed.missing and not printed.files:
        raise InputFaults([one.why for one in printed.missing])
    return printed


def prepare_what_fits(workup: Workup, order: Order, stem: str) -> Printed:
    """As `prepare`, but raises nothing for templates: if nothing of the order can be made, all of it is missing."""
    workup = ordered(workup, order)
    order = replace(order, options=replace(order.options, stem=stem))
    files: dict[str, bytes] = {}
    notes: list[Note] = []
    missing: list[Missing] = []
    for template in map(Template, order.templates):
        made = _made(workup, template, order, f"{stem}-{template.name}")
        files |= made.files
        notes += made.notes
        missing += made.missing
    if order.printer is not None:
        from jigs.printers.words import notes as printer_notes

        notes += printer_notes(order.printer, order.paper)
    of_name = name_notes(workup, stem, bool(CUT_FROM_STOCK & set(order.templates)))
    return Printed(files, (*workup.notes, *of_name, *dict.fromkeys(notes)), by_reason(missing))


def refuse_steep_slant(workup: Workup, template: str, order: Order) -> None:
    """Raises `InputFaults` for a line that slants more than bridges do, if the template draws it and the order is unsure."""
    draws_it = template in IDLE_WITHOUT[SURE] and (template != BOARD or order.options.to_bridge)
    steep = workup.steep_slant
    if steep is not None and not order.sure and draws_it:
        source = workup.instrument.source
        raise slant_refused(steep, workup.instrument).refusal(steep.place(source))


@dataclass(frozen=True)
class _Made:
    """One template's files and notes, and what of it is missing."""

    files: Mapping[str, bytes]
    notes: tuple[Note, ...] = ()
    missing: tuple[Missing, ...] = ()


def _made(workup: Workup, template: Template, order: Order, name: str) -> _Made:
    """One template's files, each called ``name`` and more, and what of it is missing."""
    try:
        refuse_steep_slant(workup, template.name, order)
        return _in_formats(workup, template, order, name)
    except Lacks as lacks:
        if not order.leave_out:
            return _Made({}, missing=_missing([template.name], lacks.refusal(workup.instrument.source).faults))
        return _Made({}, () if lacks.of_kind else (words.left_out(template.name, lacks.says).note(),))
    except InputFaults as wrong:
        return _Made({}, missing=_missing([template.name], wrong.faults))


def _missing(names: Iterable[str], faults: Iterable[Fault]) -> tuple[Missing, ...]:
    return tuple(Missing(tuple(names), fault) for fault in faults)


def _in_formats(workup: Workup, template: Template, order: Order, name: str) -> _Made:
    """A template's pages, and its files for a cutter; either can be missing.

    Raises `InputFaults` if nothing of it can be made, and `Lacks`.
    """
    from_stock = template.name in CUT_FROM_STOCK
    formats = dict.fromkeys(order.formats)
    on_paper = [kind for kind in formats if kind == "pdf" or (kind == "svg" and not from_stock)]
    for_cutter = [kind for kind in formats if kind not in on_paper]
    for_paper_only = template.name not in FOR_CUTTERS
    if for_paper_only and for_cutter and not on_paper:
        raise Lacks(words.no_cut_file(template.name, for_cutter), of_kind=True)
    files: dict[str, bytes] = {}
    notes: tuple[Note, ...] = ()
    of_pages: list[Fault] = []
    of_cut_files: list[Fault] = []
    if on_paper:
        sheets = attempt(of_pages, lay_out, workup, template, order.paper, order.options, order.untiled, order.printer)
        if sheets:
            files |= _on_paper([spelt(sheet) for sheet in sheets], on_paper, name)
    if for_paper_only and for_cutter:
        notes = (words.no_cut_file(template.name, for_cutter).note(),)
    elif not for_paper_only:
        cut, notes = attempt(of_cut_files, _for_cutter, workup, template, order, for_cutter, name) or ({}, ())
        files |= cut
    if not files and (of_pages or of_cut_files):
        raise InputFaults([*of_pages, *of_cut_files])
    missing = (
        *_missing([f"{template.name}.{kind}" for kind in on_paper], of_pages),
        *_missing([f"{template.name}.{kind}" for kind in for_cutter], of_cut_files),
    )
    return _Made(files, notes, missing)


def _on_paper(sheets: Sequence[Sheet], formats: Iterable[str], name: str) -> dict[str, bytes]:
    of, paper = sheets[0].title, sheets[0].paper
    subject = words.subject(scale_in_words(of.scale), size_in_words(paper), writable(of.note)[0])
    return page_files(sheets, formats, name, f"{of.document}: {of.name}", subject)


def _for_cutter(
    workup: Workup, template: Template, order: Order, formats: Sequence[str], name: str
) -> tuple[dict[str, bytes], tuple[Note, ...]]:
    """One template's files for a cutter, whatever the paper, and the notes on the part. Raises `InputFaults` and `Lacks`."""
    cutter, from_stock = order.options.cutter, template.name in CUT_FROM_STOCK
    piece = template.part(workup, order.options)
    notes = piece.notes
    if not formats:
        return {}, notes
    from jigs.cutting.cut_sheet import cut_sheet

    title_block = title_of(engraved_name(workup, order.options.stem), piece, order.options)
    sheet = cut_sheet(piece.drawing, title_block, cutter.kerf_mm if from_stock else 0.0)
    title = f"{piece.document}: {printed_name(workup, order.options.stem)}"
    files = cut_files(sheet, formats, name, title, cutter.styles)
    if order.printer is None:
        return files, notes
    from jigs.printers.words import uncorrected

    return files, (*notes, *uncorrected(files, order.printer))
