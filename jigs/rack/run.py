"""A whole rack: every instrument of some folders drawn and summed up, parts nested on stock; made again where it changed.

What is made carries a key, a hash of all that goes into it: the file's bytes, what was ordered, this program. A thing is
made if its key is not the one that the folder remembers (`rack_state.py`), or if a file of it is missing or altered.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from os.path import abspath, relpath
from pathlib import Path

from jigs.cutting.nesting import Nest, PartBox, Placed, Stock, nested, why_too_large
from jigs.faults import Fault, InputFaults, Place, old_fault, old_refuse
from jigs.press.order import Order
from jigs.rack import state
from jigs.rack.files import Gathered, Source, gather, read
from jigs.rack.report import Item, Report, Row, Status, as_csv, nest_as_csv
from jigs.rack.state import Record
from jigs.rack.work import FOR_SHEETS, Outcome, SheetTask, Task, draw_instrument, draw_sheet, put
from jigs.system.workers import Brake, Stopped, brake, each
from jigs.templates.catalogue import CUT_FROM_STOCK, FOR_CUTTERS

_SHEETS_WORTH_A_PROCESS = 4
_PLAN, _INDEX = "nest", "index"


class Interrupted(Exception):
    """Somebody asked to stop. Everything that is there is whole, and the same command goes on from here."""

    def __init__(self, done: int, of: int) -> None:
        super().__init__(f"{done} of {of}")
        self.done, self.of = done, of


@dataclass
class _Run:
    """What a run knows as it goes."""

    order: Order
    folder: Path
    jobs: int
    force: bool
    brake: Brake
    records: state.Records
    faults: list[Fault]
    order_key: str
    items: dict[Source, Item] = field(default_factory=dict)
    contents: dict[Source, str] = field(default_factory=dict)
    made: dict[str, Record] = field(default_factory=dict)

    def stands(self, what: str, key: str) -> bool:
        """Whether a thing is there already, as it should be."""
        record = self.records.get(what)
        return not self.force and record is not None and record.key == key and state.intact(record.files, self.folder)

    def keep(self, what: str, record: Record) -> None:
        """Remember what was made; files that it had and has no longer are remembered as well."""
        before = self.records.get(what)
        if before is not None:
            older = {*before.older, *before.files} - set(record.files)
            record = replace(record, older=tuple(sorted(name for name in older if (self.folder / name).exists())))
        self.made[what] = record
        if record != before:
            self.records.add(what, record)


def check(order: Order, stock: Stock | None) -> None:
    """Refuse what leads to nothing. Raises `InputFaults`."""
    spoken = " and ".join(order.templates)
    if stock is not None and not CUT_FROM_STOCK & set(order.templates):
        raise old_refuse("--sheet", f"no part of {spoken} is cut from stock; add gauge, head or top to --templates")
    if stock is not None and not set(FOR_SHEETS) & set(order.formats):
        raise old_refuse("--sheet", f"sheets of parts are for a cutter; add {' or '.join(FOR_SHEETS)} to --format")
    if set(order.formats) == {"dxf"} and not FOR_CUTTERS & set(order.templates):
        raise old_refuse("--format", f"there is no dxf of {spoken}; add pdf or svg, or gauge to --templates")


def make(
    places: Sequence[str],
    order: Order,
    folder: Path,
    jobs: int,
    name: str | None = None,
    stock: Stock | None = None,
    force: bool = False,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> Report:
    """Make a rack's files in a folder, in as many processes as ``jobs``. ``tell`` hears how many of how many are done.

    Raises `InputFaults` when nothing comes out at all, `Interrupted`, and `workers.WorkerLost`.
    """
    check(order, stock)
    found = gather(places)
    if not found.sources:
        raise InputFaults(found.faults)
    with brake() as held, state.only_rack(folder), state.open_state(folder) as records:
        key = state.digest(state.program(), repr(order))
        run = _Run(order, folder, jobs, force, held, records, list(found.faults), key)
        try:
            _instruments(run, found, tell)
            if not any(item.row for item in run.items.values()):
                raise InputFaults(_faults(run) or [_nothing(places)])
            nest = _nest(run, stock, tell) if stock is not None else None
            summary = _summary(run, found.sources, name or _called(places), nest)
        except Stopped:
            done = sum(item.row is not None for item in run.items.values())
            raise Interrupted(done, len(found.sources)) from None
        items = tuple(run.items[source] for source in found.sources)
        return Report(folder, items, _faults(run), nest, summary, _left_over(run))


def _nothing(places: Sequence[str]) -> Fault:
    return old_fault(
        ", ".join(places), "", "has no instrument file in it; name another folder, or the files themselves"
    )


def _faults(run: _Run) -> tuple[Fault, ...]:
    of_items = (fault for item in run.items.values() for fault in item.faults)
    return tuple(dict.fromkeys((*run.faults, *of_items)))


def _called(places: Sequence[str]) -> str:
    """What the rack is called if nobody says: as its folders are."""
    folders = [Path(place).resolve().name for place in places if Path(place).is_dir()]
    return ", ".join(filter(None, folders)) or "Instruments"


def _left_over(run: _Run) -> tuple[str, ...]:
    """Files that are there still from earlier runs, of instruments that are gone or in formats not asked for."""
    now = {name for record in run.made.values() for name in record.files}
    before = {name for record in run.records.values() for name in (*record.older, *record.files)}
    return tuple(sorted(name for name in before - now if (run.folder / name).exists()))


def _instruments(run: _Run, found: Gathered, tell: Callable[[int, int], None]) -> None:
    """Draw what changed, and take the rest as it is."""
    tasks, sources = [], found.sources
    for source in sources:
        run.brake.check()
        if source in found.clashes:
            run.items[source] = Item(str(source.path), Status.FAULTY, faults=(found.clashes[source],))
            continue
        try:
            content = state.digest(read(source))
            key = state.digest(run.order_key, content)
            _refuse_anothers(run, source, key)
        except InputFaults as refused:
            run.items[source] = Item(str(source.path), Status.FAULTY, faults=refused.faults)
            continue
        record = run.records.get(_instrument(source))
        if record is not None and run.stands(_instrument(source), key):
            run.contents[source] = content
            _take(run, source, record, Status.UNCHANGED)
        else:
            tasks.append(Task(source, run.order, run.folder, run.force))
    before = len(sources) - len(tasks)
    tell(before, len(sources))
    for done, outcome in enumerate(each(draw_instrument, tasks, run.jobs, run.brake), before + 1):
        _drawn(run, outcome)
        tell(done, len(sources))


def _instrument(source: Source) -> str:
    return f"instrument {source.stem}"


def _whence(run: _Run, source: Source) -> str:
    """Where a file is, from the rack's folder: both may be moved together."""
    try:
        return relpath(source.path, run.folder)
    except ValueError:  # on another drive
        return abspath(source.path)


def _refuse_anothers(run: _Run, source: Source, key: str) -> None:
    """Raises `InputFaults` where files of this name were made from another instrument's file, which is there still."""
    record = run.records.get(_instrument(source))
    if record is None or record.key == key or run.force:
        return
    whence = str(record.more.get("source", ""))
    if whence != _whence(run, source) and (run.folder / whence).is_file():
        other = relpath(run.folder / whence)
        what = f"its files {source.stem}-… in {run.folder} were made from {other}; give another --out, or --force"
        raise old_refuse(str(source.path), what)


def _drawn(run: _Run, outcome: Outcome) -> None:
    """Remember what became of an instrument's file."""
    source = outcome.source
    if outcome.row is None:
        status = Status.FAULTY if outcome.faults else Status.PASSED_OVER
        run.items[source] = Item(str(source.path), status, faults=outcome.faults)
        return
    more = {"row": asdict(outcome.row), "boxes": dict(outcome.boxes or {}), "notes": list(outcome.notes)}
    run.contents[source] = outcome.content
    key = state.digest(run.order_key, outcome.content)
    _take(run, source, Record(key, outcome.files, more=more), Status.MADE)


def _take(run: _Run, source: Source, record: Record, status: Status) -> None:
    record = replace(record, more={**record.more, "source": _whence(run, source)})
    run.keep(_instrument(source), record)
    row, notes = Row(**record.more["row"]), tuple(record.more["notes"])
    run.items[source] = Item(str(source.path), status, row, tuple(sorted(record.files)), notes, stem=source.stem)


def _nest(run: _Run, stock: Stock, tell: Callable[[int, int], None]) -> Nest:
    """Pack all parts on stock, and draw the sheets that changed."""
    made_from: dict[str, tuple[Source, str, str]] = {}
    parts: list[PartBox] = []
    for source, item in run.items.items():
        record = run.made.get(_instrument(source)) if item.row is not None else None
        for template, (width_mm, height_mm) in record.more["boxes"].items() if record else ():
            part = PartBox(f"{source.stem}-{template}", width_mm, height_mm)
            parts.append(part)
            made_from[part.name] = (source, run.contents[source], template)
    nest = _plan(run, sorted(parts, key=lambda part: part.name), stock)
    for part in nest.too_large:
        source = made_from[part.name][0]
        run.faults.append(why_too_large(part, stock).at(Place(str(source.path), option="sheet")))
    _sheets(run, nest, made_from, stock, tell)
    lies: dict[Source, list[Placed]] = {}
    for place in nest.placed:
        lies.setdefault(made_from[place.name][0], []).append(place)
    for source, places in lies.items():
        run.items[source] = replace(run.items[source], lies=tuple(places))
    return nest


def _plan(run: _Run, parts: Sequence[PartBox], stock: Stock) -> Nest:
    """Where everything lies, from the last run if it is the same again."""
    run.brake.check()
    kerf_mm = run.order.options.cutter.kerf_mm
    key = state.digest(state.program(), repr((stock, kerf_mm, parts)))
    if run.stands(_PLAN, key):
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


def _sheets(
    run: _Run,
    nest: Nest,
    made_from: Mapping[str, tuple[Source, str, str]],
    stock: Stock,
    tell: Callable[[int, int], None],
) -> None:
    """Draw the sheets of a nest that changed."""
    tasks: list[SheetTask] = []
    keys: dict[int, str] = {}
    for number in range(1, nest.sheets + 1):
        places = tuple(place for place in nest.placed if place.sheet == number)
        mine = {place.name: made_from[place.name] for place in places}
        contents = (content for _, content, _ in mine.values())
        keys[number] = state.digest(run.order_key, repr((nest.sheets, stock, places)), *contents)
        if run.stands(_sheet(number), keys[number]):
            run.keep(_sheet(number), run.records[_sheet(number)])
        else:
            tasks.append(SheetTask(number, nest.sheets, stock, places, mine, run.order, run.folder, run.force))
    before = len(run.items)
    for done, outcome in enumerate(each(draw_sheet, tasks, run.jobs, run.brake, _SHEETS_WORTH_A_PROCESS), before + 1):
        tell(done, before + len(tasks))
        number = outcome.task.number
        run.faults += outcome.faults
        if not outcome.faults:
            run.keep(_sheet(number), Record(keys[number], outcome.files))


def _sheet(number: int) -> str:
    return f"sheet {number}"


def _summary(run: _Run, sources: Sequence[Source], name: str, nest: Nest | None) -> tuple[str, ...]:
    """The table and the index, made anew where they changed; the names of all files about the whole."""
    from jigs.rack import index as rack_index

    run.brake.check()
    items = [run.items[source] for source in sources if run.items[source].status is not Status.PASSED_OVER]
    kinds = ("pdf", "svg") if "svg" in run.order.formats else ("pdf",)
    told = [(item.source, item.row, item.files, item.faults, item.lies) for item in items]
    key = state.digest(state.program(), repr((name, run.order.paper, kinds, told)))
    if run.stands(_INDEX, key):
        record = run.records[_INDEX]
    else:
        files = {"rack.csv": as_csv(items)} | rack_index.files(items, run.order.paper, kinds, name)
        record = Record(key, put(files, run.folder, run.force))
    run.keep(_INDEX, record)
    return (*record.files, *(["nest.csv"] if nest is not None and nest.placed else []))
