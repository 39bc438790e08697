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
from jigs.faults import Fault, InputFaults, Note, Place, attempt
from jigs.instrument.set_keys import NONE_SET, SetKeys
from jigs.press.kit import parts_of
from jigs.press.missing import Missing, by_reason
from jigs.press.order import Order, ordered
from jigs.press.press import Printed, prepare_what_fits
from jigs.press.spelling import name_notes
from jigs.press.words import left_out
from jigs.rack import words
from jigs.rack.files import Source, instrument_of, read
from jigs.rack.rows import Row, row_of
from jigs.rack.state import PREFIX, digest
from jigs.system.whole_files import write_all
from jigs.templates.catalogue import CUT_FROM_STOCK
from jigs.templates.template import Lacks
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
    """What became of a task: files with their hashes, the summary's row, and the boxes of the parts to nest.

    A box has the part's template, its width and its height, by the part's name.

    ``content`` is the hash of what was read. ``missing``: what could not be made beside the rest. Without a row it has
    faults, or the file is not an instrument's.
    """

    source: Source
    files: Mapping[str, str]
    content: str = ""
    row: Row | None = None
    boxes: Mapping[str, tuple[str, float, float]] | None = None
    notes: tuple[Note, ...] = ()
    missing: tuple[Missing, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class SheetTask:
    """A sheet of a nest to draw: every part's place, and by its name what it is made from.

    That is a file, the hash of what was read from it, and the part's template.
    """

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
            printed, boxes = _drawn(workup, task)
        files, row = put(printed.files, task.folder, task.force), row_of(workup, task.order.printer)
        missing = tuple(replace(one, why=task.set_keys.at_option(one.why)) for one in printed.missing)
        return Outcome(source, files, digest(raw), row, boxes, printed.notes, missing)
    except Exception as error:
        return Outcome(source, {}, faults=faults_of(error, source))


def faults_of(error: Exception, source: Source) -> tuple[Fault, ...]:
    """What went wrong with a file, whatever it is: its faults, or an error of this program, such as lack of memory."""
    if isinstance(error, InputFaults):
        return tuple(fault if fault.place.source else fault.at(source=str(source.path)) for fault in error.faults)
    return (words.went_wrong(type(error).__name__, str(error)).at(Place(str(source.path))),)


def ended_worker(task: Task) -> Outcome:
    """What became of a task whose process ended by itself."""
    return Outcome(task.source, {}, faults=(words.worker_ended().at(Place(str(task.source.path))),))


def ended_sheet(task: SheetTask) -> SheetOutcome:
    """What became of a sheet whose process ended by itself."""
    return SheetOutcome(task, {}, (words.worker_ended().at(Place(f"nest-{task.number}")),))


def _drawn(workup: Workup, task: Task) -> tuple[Printed, dict[str, tuple[str, float, float]]]:
    """Files, and the boxes of parts to nest. Raises `InputFaults` if nothing can be made."""
    order, stem = task.order, task.source.stem
    apart = tuple(name for name in order.templates if order.nested and name in CUT_FROM_STOCK)
    alone = tuple(name for name in order.templates if name not in apart)
    drawn = prepare_what_fits(workup, replace(order, templates=alone), stem)
    pages = apart if "pdf" in order.formats else ()
    paged = prepare_what_fits(workup, replace(order, templates=pages, formats=("pdf",)), stem)
    files, notes = {**drawn.files, **paged.files}, [*drawn.notes, *paged.notes]
    boxes: dict[str, tuple[str, float, float]] = {}
    missing: list[Missing] = []
    for name in apart:
        faults: list[Fault] = []
        try:
            parts = attempt(faults, parts_of, workup, name, order, stem)
        except Lacks as lacks:
            notes += [] if lacks.of_kind else [left_out(name, lacks.says).note()]
            continue
        missing += [Missing((name,), fault) for fault in faults]
        if parts is not None:
            for part, drawing in parts.named(stem).items():
                box = drawing.bounds()
                boxes[part] = (name, box.width, box.height)
            notes += parts.notes
            missing += parts.missing
    notes += name_notes(workup, stem, engraves=True) if boxes else ()
    nested = {name for name, _, _ in boxes.values()}
    without_page = (
        Missing(tuple(f"{name}.pdf" if name in nested else name for name in one.names), one.why)
        for one in paged.missing
    )
    all_missing = by_reason((*drawn.missing, *without_page, *missing))
    if not files and not boxes:
        if all_missing:
            raise InputFaults([one.why for one in all_missing])
        notes.append(words.nothing_for_it().note())
    return Printed(files, tuple(dict.fromkeys(notes)), all_missing), boxes


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
    except Exception as error:
        says = words.went_wrong(type(error).__name__, str(error))
        return SheetOutcome(task, {}, (says.at(Place(f"nest-{task.number}")),))


def _sheet_files(task: SheetTask) -> dict[str, bytes]:
    options = task.order.options
    sources = dict.fromkeys(task.made_from.values())
    parts: dict[str, Drawing] = {}
    for made_from in sources:
        parts |= _parts(*made_from, task.order, task.set_keys)
    sheet = nest_sheet(parts, task.places, task.stock, task.number, task.sheets, options.cutter.kerf_mm)
    formats = [kind for kind in FOR_SHEETS if kind in task.order.formats]
    return cut_files(sheet, formats, f"nest-{task.number}", sheet.title.document, options.cutter.styles)


def _parts(source: Source, content: str, template: str, order: Order, set_keys: SetKeys) -> dict[str, Drawing]:
    raw = read(source)
    instrument = instrument_of(raw, source, set_keys, order.computed)
    if digest(raw) != content or instrument is None:
        raise words.changed_meanwhile().refusal(Place(str(source.path)))
    return parts_of(ordered(work_up(instrument), order), template, order, source.stem).named(source.stem)
