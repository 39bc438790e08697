"""What a worker does for a rack: the files of one instrument, or one sheet of nested parts.

Everything that goes in and comes out can be sent from process to process. Files are written here, whole or not at all; a
file that is already as it should be is not written again.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from jigs.cutting.nesting import Placed, Stock, nest_sheet
from jigs.drawing.items import Drawing
from jigs.export.files import cut_files
from jigs.faults import Fault, InputFaults, Note, Place
from jigs.instrument.set_keys import NONE_SET, SetKeys
from jigs.press.order import Order, ordered
from jigs.press.press import prepare, refuse_steep_slant
from jigs.press.words import left_out
from jigs.rack import words
from jigs.rack.files import Source, instrument_of, read
from jigs.rack.rows import Row, row_of
from jigs.rack.state import PREFIX, digest
from jigs.system.whole_files import write_all
from jigs.templates.catalogue import CUT_FROM_STOCK
from jigs.templates.template import Lacks, Template
from jigs.workup.work_up import work_up
from jigs.workup.workup import Workup

FOR_SHEETS = ("dxf", "svg")
"""Formats of a sheet of nested parts."""


@dataclass(frozen=True)
class Task:
    """An instrument to draw. ``force``: write also the files that are as they should be.

    ``set_keys`` count instead of the file's own, here and in a `SheetTask`.
    """

    source: Source
    order: Order
    folder: Path
    force: bool = False
    set_keys: SetKeys = NONE_SET


@dataclass(frozen=True)
class Outcome:
    """What became of a task: files with their hashes, the summary's row, boxes of the parts to nest, by template.

    ``content`` is the hash of what was read. Without a row it has faults, or the file is not an instrument's.
    """

    source: Source
    files: Mapping[str, str]
    content: str = ""
    row: Row | None = None
    boxes: Mapping[str, tuple[float, float]] | None = None
    notes: tuple[Note, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class SheetTask:
    """A sheet of a nest to draw: every part's place, and by its name what it is made from: file, hash of that, template."""

    number: int
    sheets: int
    stock: Stock
    places: tuple[Placed, ...]
    made_from: Mapping[str, tuple[Source, str, str]]
    order: Order
    folder: Path
    force: bool = False
    set_keys: SetKeys = NONE_SET


@dataclass(frozen=True)
class SheetOutcome:
    """What became of a sheet: its files with their hashes, or what was wrong."""

    task: SheetTask
    files: Mapping[str, str]
    faults: tuple[Fault, ...] = ()


def draw_instrument(task: Task) -> Outcome:
    """Draw and write the files of one instrument. Raises nothing: what is wrong with it is in the outcome."""
    source = task.source
    try:
        raw = read(source)
        with task.set_keys.blamed():
            instrument = instrument_of(raw, source, task.set_keys, task.order.computed)
            if instrument is None:
                return Outcome(source, {})
            workup = ordered(work_up(instrument), task.order)
            files, notes, boxes = _drawn(workup, task)
        return Outcome(
            source, put(files, task.folder, task.force), digest(raw), row_of(workup, task.order.printer), boxes, notes
        )
    except InputFaults as refused:
        faults = tuple(fault if fault.place.source else fault.at(source=str(source.path)) for fault in refused.faults)
        return Outcome(source, {}, faults=faults)


def _drawn(workup: Workup, task: Task) -> tuple[Mapping[str, bytes], tuple[Note, ...], dict[str, tuple[float, float]]]:
    """Files, notes, and the boxes of parts to nest. Raises `InputFaults`."""
    order, stem = task.order, task.source.stem
    refuse_steep_slant(workup, order)
    apart = [name for name in order.templates if order.nested and name in CUT_FROM_STOCK]
    alone = tuple(name for name in order.templates if name not in apart)
    pages = tuple(name for name in apart if "pdf" in order.formats)
    files: dict[str, bytes] = {}
    notes: list[Note] = []
    for templates, formats in ((alone, order.formats), (pages, ("pdf",))):
        printed = prepare(workup, replace(order, templates=templates, formats=formats), stem)
        files |= printed.files
        notes += printed.notes
    boxes: dict[str, tuple[float, float]] = {}
    for name in apart:
        try:
            piece = Template(name).part(workup, order.options)
        except Lacks as lacks:
            notes += [] if lacks.of_kind else [left_out(name, lacks.says).note()]
            continue
        box = piece.drawing.bounds()
        boxes[name] = (box.width, box.height)
        notes += piece.notes
    if not files and not boxes:
        notes.append(words.nothing_for_it().note())
    return files, tuple(dict.fromkeys(notes)), boxes


def put(files: Mapping[str, bytes], folder: Path, force: bool = False) -> dict[str, str]:
    """Write the files that are missing or changed; the hashes of all. Raises `InputFaults`."""
    changed = {name: content for name, content in files.items() if force or not _is_there(folder / name, content)}
    if changed:
        write_all(changed, folder, PREFIX)
    return {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}


def _is_there(path: Path, content: bytes) -> bool:
    try:
        return path.stat().st_size == len(content) and path.read_bytes() == content
    except OSError:
        return False


def draw_sheet(task: SheetTask) -> SheetOutcome:
    """Draw and write one sheet of a nest. Raises nothing: what is wrong is in the outcome."""
    try:
        return SheetOutcome(task, put(_sheet_files(task), task.folder, task.force))
    except InputFaults as refused:
        return SheetOutcome(task, {}, refused.faults)


def _sheet_files(task: SheetTask) -> dict[str, bytes]:
    options, keys = task.order.options, task.set_keys
    parts = {name: _part(*made_from, task.order, keys) for name, made_from in task.made_from.items()}
    sheet = nest_sheet(parts, task.places, task.stock, task.number, task.sheets, options.cutter.kerf_mm)
    formats = [kind for kind in FOR_SHEETS if kind in task.order.formats]
    return cut_files(sheet, formats, f"nest-{task.number}", sheet.title.document, options.cutter.styles)


def _part(source: Source, content: str, template: str, order: Order, set_keys: SetKeys) -> Drawing:
    raw = read(source)
    instrument = instrument_of(raw, source, set_keys, order.computed)
    if digest(raw) != content or instrument is None:
        raise words.changed_meanwhile().refusal(Place(str(source.path)))
    return Template(template).part(ordered(work_up(instrument), order), order.options).drawing
