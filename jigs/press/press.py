"""The whole way: an instrument and an order in, the files to write out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from jigs.cutting.engraving import engravable
from jigs.drawing.lettering import writable
from jigs.export.files import cut_files, page_files
from jigs.faults import Note
from jigs.press import words
from jigs.press.layout import lay_out, title_of
from jigs.press.order import Order, ordered
from jigs.press.spelling import lettering_notes, spelt
from jigs.sheets.paper import Sheet, room_on, size_in_words
from jigs.templates.catalogue import CUT_FROM_STOCK, FOR_CUTTERS, IDLE_WITHOUT
from jigs.templates.template import Lacks, Piece, Template
from jigs.workup.slant_words import SURE, slant_refused
from jigs.workup.workup import Workup

BOARD = "fretboard"
"""It draws the bridge line only if it goes as far as that."""


@dataclass(frozen=True)
class Printed:
    """Files ready to be written, by name, and what the user should know about them."""

    files: Mapping[str, bytes]
    notes: tuple[Note, ...]


def prepare(workup: Workup, order: Order, stem: str) -> Printed:
    """Draw an order and write it in every format, in memory, as files whose names begin with ``stem``.

    PDF is one file of all sheets, SVG a file for each, DXF the part alone; so is the SVG of a part that is cut from stock.
    Sheets are corrected for the order's printer; files for a cutter are not, and a note says so. Raises `InputFaults`.
    """
    workup = ordered(workup, order)
    refuse_steep_slant(workup, order)
    files: dict[str, bytes] = {}
    notes: list[Note] = []
    lacking = unengraved = ""
    for template in map(Template, order.templates):
        try:
            made = _made(workup, template, order, f"{stem}-{template.name}")
        except Lacks as lacks:
            if not order.leave_out:
                raise lacks.refusal(workup.instrument.source) from None
            if not lacks.of_kind:
                notes.append(words.left_out(template.name, lacks.says).note())
            continue
        files |= made.files
        notes += made.notes
        lacking += made.lacking
        unengraved = made.unengraved or unengraved
    if order.printer is not None:
        from jigs.printers.words import notes as printer_notes

        notes += printer_notes(order.printer, order.paper)
    of_name = lettering_notes(workup.instrument.name, lacking, unengraved)
    return Printed(files, (*workup.notes, *of_name, *dict.fromkeys(notes)))


def refuse_steep_slant(workup: Workup, order: Order) -> None:
    """Raises `InputFaults` for a bridge line that slants more than bridges do, if the order draws it and is not sure."""
    drawn = set(order.templates) - (set() if order.options.to_bridge else {BOARD})
    steep = workup.steep_slant
    if steep is not None and not order.sure and drawn & set(IDLE_WITHOUT[SURE]):
        source = workup.instrument.source
        raise slant_refused(steep, workup.instrument).refusal(steep.place(source))


@dataclass(frozen=True)
class _Made:
    """One template's files and notes, and the characters that were ``lacking`` in print and could not be engraved."""

    files: Mapping[str, bytes]
    notes: tuple[Note, ...]
    lacking: str = ""
    unengraved: str = ""


def _made(workup: Workup, template: Template, order: Order, name: str) -> _Made:
    """One template's files, each called ``name`` and more. Raises `InputFaults` and `Lacks`."""
    from_stock = template.name in CUT_FROM_STOCK
    formats = dict.fromkeys(order.formats)
    on_paper = [kind for kind in formats if kind == "pdf" or (kind == "svg" and not from_stock)]
    for_cutter = [kind for kind in formats if kind not in on_paper]
    for_paper_only = template.name not in FOR_CUTTERS
    if for_paper_only and for_cutter and not on_paper:
        raise Lacks(words.no_cut_file(template.name, for_cutter), of_kind=True)
    files: dict[str, bytes] = {}
    notes: tuple[Note, ...] = ()
    lacking = ""
    if on_paper:
        sheets = lay_out(workup, template, order.paper, order.options, order.untiled, order.printer)
        written = [spelt(sheet) for sheet in sheets]
        lacking = "".join(missing for _, missing in written)
        files |= _on_paper([sheet for sheet, _ in written], on_paper, name, workup.instrument.name)
    if for_paper_only and for_cutter:
        notes = (words.no_cut_file(template.name, for_cutter).note(),)
    elif not for_paper_only:
        cut, notes = _for_cutter(workup, template, order, for_cutter, name)
        files |= cut
    return _Made(files, notes, lacking, engravable(workup.instrument.name)[1] if from_stock else "")


def _on_paper(sheets: Sequence[Sheet], formats: Iterable[str], name: str, of: str) -> dict[str, bytes]:
    title = f"{sheets[0].title.document}: {writable(of)[0]}"
    note = sheets[0].title.note
    subject = (
        f"Scale {sheets[0].title.scale} on {size_in_words(sheets[0].paper)}{f'; {writable(note)[0]}' if note else ''}"
    )
    return page_files(sheets, formats, name, title, subject)


def _for_cutter(
    workup: Workup, template: Template, order: Order, formats: Sequence[str], name: str
) -> tuple[dict[str, bytes], tuple[Note, ...]]:
    """One template's files for a cutter, and the notes on the part. Raises `InputFaults` and `Lacks`."""
    cutter, from_stock = order.options.cutter, template.name in CUT_FROM_STOCK
    piece: Piece = (
        template.part(workup, order.options)
        if from_stock
        else template.draw(workup, room_on(order.paper), order.options)
    )
    notes = piece.notes
    if not formats:
        return {}, notes
    from jigs.cutting.cut_sheet import cut_sheet

    sheet = cut_sheet(piece.drawing, title_of(workup, piece), cutter.kerf_mm if from_stock else 0.0)
    title = f"{piece.document}: {writable(workup.instrument.name)[0]}"
    files = cut_files(sheet, formats, name, title, cutter.styles)
    if order.printer is None:
        return files, notes
    from jigs.printers.words import uncorrected

    return files, (*notes, *uncorrected(files, order.printer))
