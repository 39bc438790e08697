"""The whole way: an instrument and an order in, files in memory out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from jigs.cutting.cutter import Cutter
from jigs.cutting.engraving import engravable
from jigs.drawing.lettering import writable
from jigs.export.files import cutter_files, page_files
from jigs.faults import Note
from jigs.press.layout import lay_out, title_of
from jigs.press.order import Order
from jigs.press.spelling import lettering_notes, spelt
from jigs.sheets.paper import Sheet, room_on, size_in_words
from jigs.templates import words
from jigs.templates.catalogue import CUT_FROM_STOCK, FOR_CUTTERS
from jigs.templates.template import Lacks, Piece, Template
from jigs.workup.workup import Workup


@dataclass(frozen=True)
class Printed:
    """Files ready to be written, by name, and what the user should know about them."""

    files: Mapping[str, bytes]
    notes: tuple[Note, ...]


def prepare(workup: Workup, order: Order, stem: str) -> Printed:
    """Draw the ordered templates and write them in every format, in memory, as files whose names begin with ``stem``.

    PDF is one file of all sheets, SVG a file for each, DXF the part alone; so is the SVG of a part that is cut from stock.
    Sheets are corrected for the order's printer; what is for a cutter is not, and a note says so. Raises `InputFaults`.
    """
    files: dict[str, bytes] = {}
    notes: list[Note] = []
    lacking = unengraved = ""
    for template in order.templates:
        try:
            made = _made(workup, template, order, stem)
        except Lacks as reason:
            if not order.leave_out:
                raise reason.refusal(workup.instrument.source, template.name) from None
            notes += [] if reason.of_kind else [reason.note(template.name)]
            continue
        files |= made.files
        notes += made.notes
        lacking += made.lacking
        unengraved = made.unengraved or unengraved
    if order.printer is not None:
        from jigs.printers.words import notes as printer_notes

        notes += printer_notes(order.printer, order.paper)
    lettering = lettering_notes(workup.instrument.name, lacking, unengraved)
    return Printed(files, (*workup.notes, *lettering, *dict.fromkeys(notes)))


@dataclass(frozen=True)
class _Made:
    files: Mapping[str, bytes]
    notes: tuple[Note, ...]
    lacking: str = ""
    unengraved: str = ""


def _made(workup: Workup, template: Template, order: Order, stem: str) -> _Made:
    """One template's files. Raises `InputFaults` and `Lacks`."""
    from_stock = template.name in CUT_FROM_STOCK
    on_paper = [name for name in order.formats if name == "pdf" or (name == "svg" and not from_stock)]
    for_cutter = [name for name in order.formats if name not in on_paper]
    only_paper = words.for_paper(for_cutter, template.name)
    if for_cutter and template.name not in FOR_CUTTERS and not on_paper:
        raise Lacks(only_paper, of_kind=True)
    files: dict[str, bytes] = {}
    notes: tuple[Note, ...] = ()
    lacking = ""
    name = f"{stem}-{template.name}"
    if on_paper:
        written = [spelt(sheet) for sheet in lay_out(workup, template, order.paper, order.options, order.printer)]
        lacking = "".join(missing for _, missing in written)
        files |= _on_paper([sheet for sheet, _ in written], on_paper, name, workup.instrument.name)
    if template.name in FOR_CUTTERS:
        options = order.options
        piece = template.part(workup, options) if from_stock else template.draw(workup, room_on(order.paper), options)
        cutter = options.cutter if from_stock else replace(options.cutter, kerf_mm=0.0)
        cut = _for_cutter(workup, piece, for_cutter, name, cutter)
        files |= cut
        notes = piece.notes
        if order.printer is not None:
            from jigs.printers.words import uncorrected

            notes = (*notes, *uncorrected(cut, order.printer))
    elif for_cutter:
        notes = (only_paper.note(),)
    return _Made(files, notes, lacking, engravable(workup.instrument.name)[1] if from_stock else "")


def _on_paper(sheets: Sequence[Sheet], formats: Iterable[str], name: str, of: str) -> dict[str, bytes]:
    title = f"{sheets[0].title.document}: {writable(of)[0]}"
    note = sheets[0].title.note
    subject = (
        f"Scale {sheets[0].title.scale} on {size_in_words(sheets[0].paper)}{f'; {writable(note)[0]}' if note else ''}"
    )
    return page_files(sheets, formats, name, title, subject)


def _for_cutter(workup: Workup, piece: Piece, formats: Iterable[str], name: str, cutter: Cutter) -> dict[str, bytes]:
    from jigs.cutting.cut_sheet import cut_sheet

    sheet = cut_sheet(piece.drawing, title_of(workup, piece), cutter.kerf_mm)
    title = f"{piece.document}: {writable(workup.instrument.name)[0]}"
    return cutter_files(sheet, formats, name, title, cutter.styles)
