"""The parts of one instrument to cut, nested on sheets of stock: a kit. Also what of a template lies on such a sheet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from jigs.cutting.apart import apart
from jigs.cutting.cut_sheet import MARGIN_MM
from jigs.cutting.labels import is_named, named
from jigs.cutting.nesting import DOCUMENT, Nest, PartBox, Stock, nest_sheet, nested, why_too_large
from jigs.drawing.blocks import blocks, heading
from jigs.drawing.items import Drawing
from jigs.drawing.room import HEADING_MM
from jigs.export.files import cut_files, page_files
from jigs.faults import Fault, InputFaults, Note, Place, attempt
from jigs.press import words
from jigs.press.missing import Missing, by_reason
from jigs.press.order import Order, ordered
from jigs.press.press import Printed, refuse_steep_slant
from jigs.press.spelling import name_notes
from jigs.sheets.paper import Sheet
from jigs.sheets.words import scale_in_words
from jigs.templates.catalogue import CUT_FROM_STOCK, KIT_FLAGS, NAMES
from jigs.templates.names import engraved_names, printed_name
from jigs.templates.template import Lacks, Template
from jigs.workup.words import checks_in_words
from jigs.workup.workup import Workup

TO_CUT = tuple(name for name in NAMES if name in CUT_FROM_STOCK)
"""The templates that a kit can have parts of, in the order of every list."""

_SUFFIX = "kit"


@dataclass(frozen=True)
class Parts:
    """Parts by their names, notes on them, and what of the template is missing."""

    drawings: Mapping[str, Drawing] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()
    missing: tuple[Missing, ...] = ()

    def named(self, stem: str) -> dict[str, Drawing]:
        """The parts by the names that they have on a sheet: their instrument's file comes first."""
        return {f"{stem}-{name}": drawn for name, drawn in self.drawings.items()}


def parts_of(workup: Workup, template: str, order: Order, stem: str) -> Parts:
    """A template's parts to nest.

    In a kit the template has the option that the catalogue gives it there, if it can, and each part its instrument's name.

    Raises `InputFaults` and `Lacks`.
    """
    refuse_steep_slant(workup, template, order)
    drawn, options = Template(template), replace(order.options, stem=stem)
    flag = KIT_FLAGS.get(template, "") if order.kit else ""
    faults: list[Fault] = []
    piece = None
    if flag:
        flags: dict[str, Any] = {flag: True}
        piece = attempt(faults, drawn.part, workup, replace(options, **flags))
    if piece is None:
        piece = drawn.part(workup, options)
    drawings, notes = apart(piece.drawing), piece.notes
    if order.kit:
        drawings = _all_named(drawings, workup, stem)
        nameless = [name for name, part in drawings.items() if not is_named(part)]
        notes += (words.nameless(nameless).note(),) if nameless else ()
    return Parts(drawings, notes, tuple(Missing((flag,), fault) for fault in faults))


def _all_named(drawings: Mapping[str, Drawing], workup: Workup, stem: str) -> dict[str, Drawing]:
    """Parts that say which instrument they are for, if they have room for it."""
    names = [name for name in engraved_names(workup, stem) if name != workup.instrument.head.kind]
    return {name: part if is_named(part) else named(part, names) for name, part in drawings.items()}


def prepare_kit(workup: Workup, order: Order, stock: Stock, stem: str) -> Printed:
    """An order's parts on sheets of stock, in memory: a DXF and an SVG for each sheet, and a PDF of all, at true size.

    A part that no sheet holds is missing, and the rest is made. Raises `InputFaults` if nothing of it can be made.
    """
    for_paper = [name for name in order.templates if name not in CUT_FROM_STOCK]
    if for_paper:
        raise words.not_in_a_kit(for_paper, TO_CUT).refusal(Place(option="template"))
    parts = _all_parts(ordered(workup, order), order, stem)
    drawings = parts.named(stem)
    boxes = [PartBox(name, box.width, box.height) for name, box in ((n, d.bounds()) for n, d in drawings.items())]
    nest = nested(boxes, stock, order.options.cutter.kerf_mm)
    too_large = tuple(
        Missing((part.name.removeprefix(f"{stem}-"),), why_too_large(part, stock).at(Place(option="sheet")))
        for part in nest.too_large
    )
    missing = by_reason((*parts.missing, *too_large))
    if not nest.placed:
        raise InputFaults([one.why for one in missing])
    sheets = _sheets(drawings, nest, stock, order)
    title = f"{DOCUMENT}: {printed_name(workup, stem)}"
    files = _files(sheets, order, f"{stem}-{_SUFFIX}", title, checks_in_words(workup.checks))
    notes = (*workup.notes, *name_notes(workup, stem, engraves=True), *dict.fromkeys(parts.notes))
    if order.printer is not None:
        from jigs.printers.words import uncorrected

        notes = (*notes, *uncorrected(files, order.printer))
    return Printed(files, notes, missing)


def _all_parts(workup: Workup, order: Order, stem: str) -> Parts:
    """The parts of every template, and what of them is missing."""
    drawings: dict[str, Drawing] = {}
    notes: list[Note] = []
    missing: list[Missing] = []
    for template in order.templates:
        try:
            parts = parts_of(workup, template, order, stem)
        except Lacks as lacks:
            if not order.leave_out:
                missing += (Missing((template,), fault) for fault in lacks.refusal(workup.instrument.source).faults)
            elif not lacks.of_kind:
                notes.append(words.left_out(template, lacks.says).note())
        except InputFaults as wrong:
            missing += (Missing((template,), fault) for fault in wrong.faults)
        else:
            drawings |= parts.drawings
            notes += parts.notes
            missing += parts.missing
    return Parts(drawings, tuple(notes), tuple(missing))


def _sheets(drawings: Mapping[str, Drawing], nest: Nest, stock: Stock, order: Order) -> list[Sheet]:
    kerf_mm, sheets = order.options.cutter.kerf_mm, []
    for number in range(1, nest.sheets + 1):
        places = [place for place in nest.placed if place.sheet == number]
        sheets.append(nest_sheet(drawings, places, stock, number, nest.sheets, kerf_mm))
    return sheets


def _headed(sheet: Sheet, check: str) -> Sheet:
    """A sheet to look at, with its heading below, so that everything is where it is in the files for a cutter.

    ``check``: what to check of the instrument's file before anything is cut.
    """
    paper, said = sheet.paper, heading(words.KIT_TITLE, words.kit_datum(sheet.title.facts), sheet.paper.width_mm)
    longer = paper.height_mm + HEADING_MM
    if check:
        said += blocks((check,), 0.0, HEADING_MM, paper.width_mm - 2 * MARGIN_MM)
        longer = paper.height_mm + said.bounds().bottom + MARGIN_MM
    named = replace(paper, name=f"{paper.width_mm:g} x {longer:g} mm", height_mm=longer)
    return replace(sheet, paper=named, drawing=sheet.drawing + said.shifted(MARGIN_MM, paper.height_mm))


def _files(sheets: Sequence[Sheet], order: Order, name: str, title: str, check: str) -> dict[str, bytes]:
    """The sheets in every format; each has its number in its file's name if there are several. PDF is one file of all."""
    files: dict[str, bytes] = {}
    for kind in dict.fromkeys(order.formats):
        if kind == "pdf":
            files |= page_files(
                [_headed(sheet, check) for sheet in sheets],
                (kind,),
                name,
                title,
                words.subject(scale_in_words(sheets[0].title.scale), sheets[0].paper.name, ""),
            )
            continue
        for sheet in sheets:
            numbered = f"{name}-{sheet.title.sheet}" if len(sheets) > 1 else name
            files |= cut_files(sheet, (kind,), numbered, title, order.options.cutter.styles)
    return files
