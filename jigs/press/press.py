"""The whole way: an instrument, templates, paper and formats in, whole files on disk out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from jigs.cutting.cutter import Cutter
from jigs.cutting.engraving import engravable
from jigs.drawing.lettering import writable
from jigs.export.files import page_files
from jigs.faults import old_refuse
from jigs.press.layout import lay_out, title_of
from jigs.press.spelling import lettering_warnings, spelt
from jigs.sheets.paper import Paper, Sheet, room_on, size_in_words
from jigs.templates.catalogue import CUT_FROM_STOCK, FOR_CUTTERS
from jigs.templates.options import Options
from jigs.templates.template import Lacks, Piece, Template
from jigs.workup.workup import Workup

if TYPE_CHECKING:
    from jigs.printers.printer import Printer


@dataclass(frozen=True)
class Printed:
    """Files ready to be written, by name, and what the user should know about them."""

    files: Mapping[str, bytes]
    warnings: tuple[str, ...]


def prepare(
    workup: Workup,
    drawn: Sequence[Template],
    paper: Paper,
    formats: Sequence[str],
    options: Options,
    stem: str,
    untiled: bool = False,
    leave_out: bool = False,
    printer: "Printer | None" = None,
) -> Printed:
    """Draw templates and write them in every format, in memory, as files whose names begin with ``stem``.

    PDF is one file of all sheets, SVG a file for each, DXF the part alone; so is the SVG of a part that is cut from stock.
    Sheets are corrected for the ``printer``; what is for a cutter is not, and a note says so.
    ``leave_out``: pass over templates that the instrument has no data for, and say so. Raises `InputFaults`.
    """
    files: dict[str, bytes] = {}
    notes: list[str] = []
    lacking = unengraved = ""
    for template in drawn:
        try:
            made = _made(workup, template, paper, dict.fromkeys(formats), options, stem, untiled, printer)
        except Lacks as reason:
            if not leave_out:
                raise old_refuse(workup.instrument.source, str(reason), template.name) from None
            if not reason.of_kind:
                notes.append(f"the {template.name} is left out: {reason}")
            continue
        files |= made.files
        notes += made.notes
        lacking += made.lacking
        unengraved = made.unengraved or unengraved
    name = workup.instrument.name
    if printer is not None:
        from jigs.printers.words import notes as printer_notes

        notes += printer_notes(printer, paper)
    return Printed(files, (*workup.warnings, *lettering_warnings(name, lacking, unengraved), *dict.fromkeys(notes)))


@dataclass(frozen=True)
class _Made:
    files: Mapping[str, bytes]
    notes: tuple[str, ...]
    lacking: str = ""
    unengraved: str = ""


def _made(
    workup: Workup,
    template: Template,
    paper: Paper,
    formats: Iterable[str],
    options: Options,
    stem: str,
    untiled: bool,
    printer: "Printer | None",
) -> _Made:
    """One template's files. Raises `InputFaults` and `Lacks`."""
    from_stock = template.name in CUT_FROM_STOCK
    on_paper = [name for name in formats if name == "pdf" or (name == "svg" and not from_stock)]
    for_cutter = [name for name in formats if name not in on_paper]
    what = f"there is no {' or '.join(for_cutter)} of the {template.name}, which is for paper"
    if for_cutter and template.name not in FOR_CUTTERS and not on_paper:
        raise Lacks(f"{what}; the gauge is the part for a cutter", of_kind=True)
    files: dict[str, bytes] = {}
    notes: tuple[str, ...] = ()
    lacking = ""
    name = f"{stem}-{template.name}"
    if on_paper:
        written = [spelt(sheet) for sheet in lay_out(workup, template, paper, options, untiled, printer)]
        lacking = "".join(missing for _, missing in written)
        files |= _on_paper([sheet for sheet, _ in written], on_paper, name, workup.instrument.name)
    if template.name in FOR_CUTTERS:
        piece = template.part(workup, options) if from_stock else template.draw(workup, room_on(paper), options)
        cut = _for_cutter(workup, piece, for_cutter, name, options.cutter, from_stock)
        files |= cut
        notes = piece.notes
        if printer is not None:
            from jigs.printers.words import uncorrected

            notes = (*notes, *uncorrected(cut, printer))
    elif for_cutter:
        notes = (what,)
    return _Made(files, notes, lacking, engravable(workup.instrument.name)[1] if from_stock else "")


def _on_paper(sheets: Sequence[Sheet], formats: Iterable[str], name: str, of: str) -> dict[str, bytes]:
    title = f"{sheets[0].title.document}: {writable(of)[0]}"
    note = sheets[0].title.note
    subject = (
        f"Scale {sheets[0].title.scale} on {size_in_words(sheets[0].paper)}{f'; {writable(note)[0]}' if note else ''}"
    )
    return page_files(sheets, formats, name, title, subject)


def _for_cutter(
    workup: Workup, piece: Piece, formats: Iterable[str], name: str, cutter: Cutter, from_stock: bool
) -> dict[str, bytes]:
    from jigs.cutting.cut_sheet import cut_sheet

    sheet = cut_sheet(piece.drawing, title_of(workup, piece), cutter.kerf_mm if from_stock else 0.0)
    files: dict[str, bytes] = {}
    for kind in formats:
        if kind == "dxf":
            from jigs.export.dxf import to_dxf

            files[f"{name}.dxf"] = to_dxf(sheet.drawing, sheet.paper.height_mm, cutter.styles)
        else:
            from jigs.export.svg import to_svg

            title = f"{piece.document}: {writable(workup.instrument.name)[0]}"
            files[f"{name}.svg"] = to_svg(sheet, title, f"Scale 1:1, {sheet.paper.name}", cutter.styles)
    return files
