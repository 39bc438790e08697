"""A whole rack: every instrument of some folders drawn and summed up, parts nested on stock; only what changed is redrawn.

Each thing that is made has a key, a hash of all that goes into it: the file's bytes, the order, the keys that are set, this
program. A thing is made if its key is not the one that the folder remembers (`state.py`), or if one of its files is missing
or altered. The log beside an instrument's file is read every time: it is for the table and the index, and for no drawing.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field, replace
from os.path import abspath, relpath
from pathlib import Path
from typing import TypeAlias

from jigs.cutting.nesting import Nest, PartBox, Placed, Stock, nested, why_too_large
from jigs.faults import Fault, InputFaults, Place, Says, printable
from jigs.instrument.set_keys import NONE_SET, SetKeys
from jigs.press.missing import Missing
from jigs.press.order import Order
from jigs.rack import state, words
from jigs.rack.files import Gathered, Source, gather, read
from jigs.rack.last_reading import last_reading
from jigs.rack.report import Item, Report, Status, as_csv, nest_as_csv
from jigs.rack.rows import row_from
from jigs.rack.state import Record
from jigs.rack.work import (
    FOR_SHEETS,
    Outcome,
    SheetTask,
    Task,
    draw_instrument,
    draw_sheet,
    ended_sheet,
    ended_worker,
    faults_of,
    put,
)
from jigs.system.whole_files import refuse_others
from jigs.system.workers import Brake, Stopped, brake, each
from jigs.templates.catalogue import CUT_FROM_STOCK, FOR_CUTTERS, NAMES
from jigs.wording import some_of

_SHEETS_WORTH_A_PROCESS = 4
_PLAN = "nest"
LONGEST_NAME = 200
"""Of a rack, in characters: the index has two lines for it."""

Progress: TypeAlias = Callable[[int, int], None]
"""Called with how many things of how many are done."""


class Interrupted(Exception):
    """The user stopped the run. All files that exist are complete, and the same command goes on from here."""

    def __init__(self, done: int, of: int) -> None:
        super().__init__(f"{done} of {of}")
        self.done, self.of = done, of


@dataclass(frozen=True)
class RackOrder:
    """What to make of a rack: an order for each instrument of some places, into a folder.

    ``name``: what the index calls it, else as the places are called. ``stock``: sheets to nest parts on. ``force``: write
    everything again. ``set_keys`` count for every instrument instead of its own.
    """

    places: tuple[str, ...]
    order: Order
    folder: Path
    name: str | None = None
    stock: Stock | None = None
    force: bool = False
    set_keys: SetKeys = NONE_SET

    def check(self) -> None:
        """Raises `InputFaults` for orders that lead to nothing, and for a name that cannot be printed."""
        if self.name is not None and not (self.name.strip() and self.name.isprintable()):
            raise words.no_name(self.name).refusal(Place(option="name"))
        if self.name is not None and len(self.name) > LONGEST_NAME:
            raise words.long_name(len(self.name), LONGEST_NAME).refusal(Place(option="name"))
        templates, formats = self.order.templates, self.order.formats
        if self.stock is not None and not CUT_FROM_STOCK & set(templates):
            parts = [name for name in NAMES if name in CUT_FROM_STOCK]
            raise words.nothing_from_stock(templates, parts).refusal(Place(option="sheet"))
        if self.stock is not None and not set(FOR_SHEETS) & set(formats):
            raise words.no_cutters_format(formats, FOR_SHEETS).refusal(Place(option="sheet"))
        if set(formats) == {"dxf"} and not FOR_CUTTERS & set(templates):
            raise words.only_cut_files(templates).refusal(Place(option="format"))


@dataclass
class _Run:
    """What a run knows as it goes."""

    order: Order
    set_keys: SetKeys
    folder: Path
    force: bool
    jobs: int
    progress: Progress
    brake: Brake
    records: state.Records
    faults: list[Fault]
    order_key: str
    items: dict[Source, Item] = field(default_factory=dict)
    contents: dict[Source, str] = field(default_factory=dict)
    made: dict[str, Record] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)

    def is_current(self, what: str, key: str) -> bool:
        """Whether a thing exists already, as it should be."""
        record = self.records.get(what)
        return not self.force and record is not None and record.key == key and state.intact(record.files, self.folder)

    def keep(self, what: str, record: Record) -> None:
        """Remember what was made, and also the files that it had before and no longer has."""
        before = self.records.get(what)
        if before is not None:
            older = {*before.older, *before.files} - set(record.files)
            record = replace(record, older=tuple(sorted(name for name in older if (self.folder / name).exists())))
        self.made[what] = record
        if record != before:
            self.records.add(what, record)


def make(rack: RackOrder, jobs: int, progress: Progress = lambda _done, _of: None) -> Report:
    """Make a rack's files, in as many processes as ``jobs``.

    Raises `InputFaults` when nothing can be drawn at all, `Interrupted`, and `workers.WorkerLost`.
    """
    rack.check()
    gathered = gather(rack.places)
    if not gathered.sources:
        raise InputFaults(gathered.faults)
    folder = rack.folder
    with brake() as held, state.only_rack(folder), state.open_state(folder) as records:
        key = state.digest(state.program(), repr(rack.order), repr(rack.set_keys))
        run = _Run(
            rack.order, rack.set_keys, folder, rack.force, jobs, progress, held, records, list(gathered.faults), key
        )
        try:
            refuse_others(dict.fromkeys(_of_the_whole(rack), b""), folder)
            _instruments(run, gathered)
            if not any(item.row for item in run.items.values()):
                raise InputFaults(_faults(run) or [words.no_instruments().at(Place(", ".join(rack.places)))])
            nest = _nest(run, rack.stock) if rack.stock is not None else None
            summary = _summary(run, gathered.sources, rack.name or _called(rack.places), nest)
        except Stopped:
            done = sum(item.row is not None for item in run.items.values())
            raise Interrupted(done, len(gathered.sources)) from None
        items = tuple(run.items[source] for source in gathered.sources)
        return Report(folder, items, _faults(run), nest, summary, _left_over(run))


def _of_the_whole(rack: RackOrder) -> tuple[str, ...]:
    """Files about all of the rack: it is not worth drawing if they cannot be written."""
    from jigs.rack.index import NAME

    index = [f"{NAME}.{kind}" for kind in ("pdf", "svg") if kind in ("pdf", *rack.order.formats)]
    return ("rack.csv", *index, *(["nest.csv"] if rack.stock is not None else []))


def _faults(run: _Run) -> tuple[Fault, ...]:
    of_items = (fault for item in run.items.values() for fault in item.faults)
    return tuple(dict.fromkeys((*run.faults, *of_items)))


def _called(places: Sequence[str]) -> str:
    """What the rack is called by default: as its folders are."""
    folders = [Path(place).resolve().name for place in places if Path(place).is_dir()]
    return some_of([printable(name) for name in folders if name]) or words.UNNAMED


def _left_over(run: _Run) -> tuple[str, ...]:
    """Files that still exist from earlier runs, of instruments that are gone or in formats that are no longer ordered.

    The last drawing of what could not be drawn this time is not among them.
    """
    now = {name for record in run.made.values() for name in record.files}
    past = [record for what, record in run.records.items() if what not in run.failed]
    before = {name for record in past for name in (*record.older, *record.files)}
    return tuple(sorted(name for name in before - now if (run.folder / name).exists()))


def _instruments(run: _Run, gathered: Gathered) -> None:
    """Draw what changed, and keep the rest as it is."""
    tasks, sources = [], gathered.sources
    for source in sources:
        run.brake.check()
        if source in gathered.clashes:
            _fail(run, source, (gathered.clashes[source],))
            continue
        with _its_own(run, source):
            content = state.digest(read(source))
            key = state.digest(run.order_key, content)
            _refuse_anothers(run, source, key)
            record = run.records.get(_instrument(source))
            if record is not None and run.is_current(_instrument(source), key):
                _take(run, source, record, Status.UNCHANGED)
                run.contents[source] = content
            else:
                tasks.append(Task(source, run.order, run.folder, run.force, run.set_keys))
    before = len(sources) - len(tasks)
    run.progress(before, len(sources))
    for done, outcome in enumerate(each(draw_instrument, tasks, run.jobs, run.brake, lost=ended_worker), before + 1):
        with _its_own(run, outcome.source):
            _drawn(run, outcome)
        run.progress(done, len(sources))


@contextmanager
def _its_own(run: _Run, source: Source) -> Iterator[None]:
    """Whatever goes wrong with a file is that file's fault, and stops no other."""
    try:
        yield
    except (Stopped, state.Unwritable):
        raise
    except Exception as error:
        _fail(run, source, faults_of(error, source))


def _instrument(source: Source) -> str:
    return state.of_instrument(source.stem)


def _from_folder(run: _Run, source: Source) -> str:
    """A file's path from the rack's folder: both may be moved together."""
    return _relative(source.path, run.folder)


def _relative(path: Path, folder: Path) -> str:
    """A path from a folder; the whole path where none leads there, as from one drive to another."""
    try:
        return relpath(path, folder)
    except ValueError:
        return abspath(path)


def _refuse_anothers(run: _Run, source: Source, key: str) -> None:
    """Raises `InputFaults` where files of this name were made from another instrument's file, which still exists."""
    record = run.records.get(_instrument(source))
    if record is None or record.key == key or run.force:
        return
    made_from = str(record.more.get("source", ""))
    if made_from != _from_folder(run, source) and (run.folder / made_from).is_file():
        says = words.anothers_files(source.stem, str(run.folder), _relative(run.folder / made_from, Path()))
        raise says.refusal(Place(str(source.path)))


def _fail(run: _Run, source: Source, faults: tuple[Fault, ...]) -> None:
    """Remember that nothing could be made of a file. What was made of it before stays its own."""
    run.items[source] = Item(str(source.path), Status.FAULTY, faults=faults)
    run.failed.add(_instrument(source))


def _drawn(run: _Run, outcome: Outcome) -> None:
    """Remember what became of an instrument's file."""
    source = outcome.source
    if outcome.faults:
        _fail(run, source, outcome.faults)
        return
    if outcome.row is None:
        run.items[source] = Item(str(source.path), Status.PASSED_OVER)
        return
    notes = [[str(note), note.code] for note in outcome.notes]
    missing = [one.as_data() for one in outcome.missing]
    more = {"row": asdict(outcome.row), "boxes": dict(outcome.boxes or {}), "notes": notes, "missing": missing}
    run.contents[source] = outcome.content
    key = state.digest(run.order_key, outcome.content)
    _take(run, source, Record(key, outcome.files, more=more), Status.MADE)


def _take(run: _Run, source: Source, record: Record, status: Status) -> None:
    if not record.files and not record.more["boxes"]:
        status = Status.NOTHING
    record = replace(record, more={**record.more, "source": _from_folder(run, source)})
    run.keep(_instrument(source), record)
    row, notes = row_from(record.more["row"]), tuple(Says(text, "", code).note() for text, code in record.more["notes"])
    missing = tuple(Missing.from_data(data, str(source.path)) for data in record.more["missing"])
    last, of_log = last_reading(source.path, row.name, (row.treble_string, row.bass_string))
    run.items[source] = Item(
        str(source.path),
        status,
        row,
        tuple(sorted(record.files)),
        notes + of_log,
        missing=missing,
        stem=source.stem,
        last=last,
    )


def _nest(run: _Run, stock: Stock) -> Nest:
    """Pack all parts on stock, and draw the sheets that changed."""
    made_from: dict[str, tuple[Source, str, str]] = {}
    parts: list[PartBox] = []
    for source, item in run.items.items():
        record = run.made.get(_instrument(source)) if item.row is not None else None
        for name, (template, width_mm, height_mm) in record.more["boxes"].items() if record else ():
            part = PartBox(name, width_mm, height_mm)
            parts.append(part)
            made_from[part.name] = (source, run.contents[source], template)
    nest = _plan(run, sorted(parts, key=lambda part: part.name), stock)
    for part in nest.too_large:
        source = made_from[part.name][0]
        run.faults.append(why_too_large(part, stock).at(Place(str(source.path), option="sheet")))
    _sheets(run, nest, made_from, stock)
    lies: dict[Source, list[Placed]] = {}
    for place in nest.placed:
        lies.setdefault(made_from[place.name][0], []).append(place)
    for source, places in lies.items():
        run.items[source] = replace(run.items[source], lies=tuple(places))
    return nest


def _plan(run: _Run, parts: Sequence[PartBox], stock: Stock) -> Nest:
    """Where everything lies; taken from the last run if nothing changed."""
    run.brake.check()
    kerf_mm = run.order.options.cutter.kerf_mm
    key = state.digest(state.program(), repr((stock, kerf_mm, parts)))
    if run.is_current(_PLAN, key):
        record = run.records[_PLAN]
        placed, too_large = record.more["placed"], record.more["too_large"]
        nest = Nest(tuple(Placed(**one) for one in placed), tuple(PartBox(**one) for one in too_large))
    else:
        nest = nested(parts, stock, kerf_mm)
        more = {what: [asdict(one) for one in getattr(nest, what)] for what in ("placed", "too_large")}
        files = {"nest.csv": nest_as_csv(nest)} if nest.placed else {}
        record = Record(key, put(files, run.folder, run.force), more=more)
    run.keep(_PLAN, record)
    return nest


def _sheets(run: _Run, nest: Nest, made_from: Mapping[str, tuple[Source, str, str]], stock: Stock) -> None:
    """Draw the sheets of a nest that changed."""
    tasks: list[SheetTask] = []
    keys: dict[int, str] = {}
    for number in range(1, nest.sheets + 1):
        places = tuple(place for place in nest.placed if place.sheet == number)
        mine = {place.name: made_from[place.name] for place in places}
        contents = (content for _, content, _ in mine.values())
        keys[number] = state.digest(run.order_key, repr((nest.sheets, stock, places)), *contents)
        if run.is_current(_sheet(number), keys[number]):
            run.keep(_sheet(number), run.records[_sheet(number)])
        else:
            sheet = SheetTask(number, nest.sheets, stock, places, mine, run.order, run.folder, run.force, run.set_keys)
            tasks.append(sheet)
    before = len(run.items)
    drawn = each(draw_sheet, tasks, run.jobs, run.brake, _SHEETS_WORTH_A_PROCESS, ended_sheet)
    for done, outcome in enumerate(drawn, before + 1):
        run.progress(done, before + len(tasks))
        number = outcome.task.number
        run.faults += outcome.faults
        if outcome.faults:
            run.failed.add(_sheet(number))
        else:
            run.keep(_sheet(number), Record(keys[number], outcome.files))


def _sheet(number: int) -> str:
    return f"sheet {number}"


def _summary(run: _Run, sources: Sequence[Source], name: str, nest: Nest | None) -> tuple[str, ...]:
    """The table and the index, redrawn if they changed; the names of all files about the whole rack."""
    from jigs.rack import index as rack_index

    run.brake.check()
    items = [run.items[source] for source in sources if run.items[source].status is not Status.PASSED_OVER]
    kinds = ("pdf", "svg") if "svg" in run.order.formats else ("pdf",)
    shown = [(item.source, item.row, item.files, item.faults, item.missing, item.lies, item.last) for item in items]
    key = state.digest(state.program(), repr((name, run.order.paper, kinds, shown)))
    if run.is_current(state.INDEX, key):
        record = run.records[state.INDEX]
    else:
        files = {"rack.csv": as_csv(items)} | rack_index.files(items, run.order.paper, kinds, name)
        record = Record(key, put(files, run.folder, run.force))
    run.keep(state.INDEX, record)
    return (*record.files, *(["nest.csv"] if nest is not None and nest.placed else []))
