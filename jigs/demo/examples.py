"""The examples of `jigs demo`: the instruments of an invented village library, a board to survey, a bridge set by ear."""

from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from pathlib import Path
from typing import TypeAlias

from jigs.demo import fork_in_use, gallery
from jigs.export.formats import FORMATS, ON_PAPER
from jigs.instrument.file import parse
from jigs.instrument.opening import stem_for
from jigs.press.order import Order
from jigs.press.press import prepare
from jigs.sheets.paper import PAPERS
from jigs.templates.catalogue import CUT_FROM_STOCK, KIT, KIT_SHEET, NAMES
from jigs.templates.options import Options
from jigs.workup.on_the_top import rim_of, surface_of
from jigs.workup.work_up import work_up
from jigs.workup.workup import Workup

Make: TypeAlias = Callable[[], Mapping[str, bytes]]
"""Makes some of the examples, by file name."""

DEMO = Path(__file__).parent
READINGS = DEMO / "readings"

BENCH_MANDOLIN = "loan-mandolin-4.toml"
"""The instrument that everything was cut for: a gauge that wedges set, measuring aids, a new bridge, marks that stay."""

ON_EVERY = tuple(name for name in NAMES if name == "gauge" or name not in KIT)
"""What is drawn of every other instrument."""

LATER = {
    "loan-banjo-7-kept.toml": ("gauge", "head", "setup-card"),
    "loan-banjo-7-new-strings.toml": ("gauge", "setup-card"),
}
"""Later states of an instrument that is there already, and what is drawn anew for each: at the place found by ear."""


def demo_workups() -> dict[str, Workup]:
    """The example instruments, by the names of their files."""
    return {path.name: work_up(parse(path.read_bytes(), path.name)) for path in sorted(DEMO.glob("*.toml"))}


def demo_files(workups: Mapping[str, Workup]) -> dict[str, bytes]:
    """All examples, by file name, with a page that lists them."""
    files: dict[str, bytes] = {}
    listed: dict[str, dict[str, list[str]]] = {}
    for owner, makers in _makers(workups).items():
        listed[owner] = {}
        for stem, make in makers.items():
            made = make()
            files |= made
            listed[owner][stem] = [name for name in made if _begins(name, stem)]
    return files | {gallery.FILE: gallery.page(listed, workups)}


def example(name: str) -> bytes:
    """One example by its file's name, made without the others. Raises `KeyError` for a name that no example has."""
    makers = {stem: make for owned in _makers(_workups()).values() for stem, make in owned.items()}
    stems = [stem for stem in makers if _begins(name, stem)]
    return makers[max(stems, key=len, default=name)]()[name]


def _begins(name: str, stem: str) -> bool:
    """Whether a file's name is this, or begins with it and goes on with a page or an ending."""
    return name.startswith(stem) and name[len(stem) : len(stem) + 1] in ("", "-", ".")


@cache
def _workups() -> Mapping[str, Workup]:
    return demo_workups()


def _makers(workups: Mapping[str, Workup]) -> dict[str, dict[str, Make]]:
    """What makes the examples, by how their files' names begin, and those by instrument; "" for what belongs to none."""
    before, after = LATER
    makers = {name: _of_an_instrument(name, workup) for name, workup in workups.items()}
    makers[before][f"{stem_for(before)}-compare"] = partial(
        _compared, workups[before], workups[after], stem_for(before)
    )
    return makers | {
        "": {
            fork_in_use.STEM: partial(fork_in_use.files, workups[fork_in_use.INSTRUMENT]),
            **{stem_for(path.name): partial(_board, path) for path in sorted(DEMO.glob("*.csv"))},
            "printer-sheet": _printer_sheet,
        }
    }


def _of_an_instrument(name: str, workup: Workup) -> dict[str, Make]:
    """What makes an instrument's file and its drawings.

    Parts to cut come with those that were measured for them: with a rim, or the board's height over the top.
    """
    stem, at_the_bench = stem_for(name), name == BENCH_MANDOLIN
    measured = surface_of(workup.instrument) is not None or rim_of(workup.instrument) is not None
    makers: dict[str, Make] = {name: partial(_file, name)}
    for template in NAMES if at_the_bench else LATER.get(name, ON_EVERY):
        from_stock = template in CUT_FROM_STOCK
        if from_stock and not (measured or at_the_bench):
            continue
        order = Order(
            (template,),
            formats=FORMATS if from_stock else ON_PAPER,
            options=Options(wedges=at_the_bench),
            leave_out=True,
        )
        makers[f"{stem}-{template}"] = partial(_drawn, workup, order, stem)
    if at_the_bench:
        makers |= {f"{stem}-{part}-page": partial(_pages, stem, workup, part) for part in KIT}
        makers[f"{stem}-kit"] = partial(_kit, stem, workup)
    if rounds := sorted(READINGS.glob(f"{stem}-[0-9].csv")):
        read = partial(_readings, stem, workup, rounds)
        makers |= {f"{stem}-readings": read, f"{stem}.jsonl": read}
    return makers


def _file(name: str) -> dict[str, bytes]:
    return {name: (DEMO / name).read_bytes()}


def _drawn(workup: Workup, order: Order, stem: str) -> dict[str, bytes]:
    printed = prepare(workup, order, stem)
    assert not printed.missing, printed.missing
    return dict(printed.files)


def _pages(stem: str, workup: Workup, part: str) -> dict[str, bytes]:
    """The printed pages of a part as pictures, which show it in use: its other SVG is the part alone."""
    from jigs.export.files import page_files
    from jigs.press.layout import lay_out
    from jigs.templates.template import Template

    sheets = lay_out(workup, Template(part), PAPERS["a4"], Options(wedges=True, stem=stem))
    title = sheets[0].title
    return page_files(sheets, ("svg",), f"{stem}-{part}-page", f"{title.document}: {title.name}", title.facts)


def _kit(stem: str, workup: Workup) -> dict[str, bytes]:
    """All parts of an instrument on sheets of stock."""
    from jigs.cutting.nesting import stock_named
    from jigs.press.kit import prepare_kit

    printed = prepare_kit(workup, Order(KIT, formats=FORMATS, leave_out=True, kit=True), stock_named(KIT_SHEET), stem)
    assert not printed.missing, printed.missing
    return dict(printed.files)


def _readings(stem: str, workup: Workup, rounds: Sequence[Path]) -> dict[str, bytes]:
    """What was read in setting the bridge, round by round, the log of it, and the log's picture."""
    from geometry.readings import USUAL_ERRORS
    from jigs.readings import file as readings_file
    from jigs.readings import log_picture as readings_picture
    from jigs.readings.advice import advise
    from jigs.readings.checked import checked
    from jigs.readings.log import as_line, record, step_of
    from jigs.readings.rounds import ON_THE_LINE, first_start

    files: dict[str, bytes] = {}
    steps, log, start = [], b"", first_start(ON_THE_LINE, workup)
    for step, path in enumerate(rounds, 1):
        name = f"{stem}-readings-{step}.csv"
        files[name] = path.read_bytes()
        rows = readings_file.parse(files[name], name)
        advice = advise(workup, checked(rows, workup), start, USUAL_ERRORS, diagnose=False)
        start = advice.next or start
        log += as_line(record(advice, step))
        steps.append(step_of(advice, step))
    files[f"{stem}.jsonl"] = log
    return files | readings_picture.files(steps, workup, PAPERS["a4"], ON_PAPER, stem)


def _compared(kept: Workup, new_strings: Workup, stem: str) -> dict[str, bytes]:
    from jigs.press import compare_picture
    from jigs.workup.compare import compare

    return dict(compare_picture.files(compare(kept, new_strings), PAPERS["a4"], ON_PAPER, stem))


def _board(path: Path) -> dict[str, bytes]:
    """An example board and its survey."""
    from jigs.survey import file as survey_file
    from jigs.survey import picture as survey_picture

    content = path.read_bytes()
    board = survey_file.parse(content, path.name)
    return {path.name: content, **survey_picture.files(board, PAPERS["a4"], ON_PAPER, stem_for(path.name))}


def _printer_sheet() -> dict[str, bytes]:
    from jigs.printers import check_sheet

    return dict(check_sheet.files(PAPERS["a4"], ON_PAPER))
