"""The examples of `jigs demo`: the instruments of an invented village library, a board to survey, a bridge set by ear."""

from collections.abc import Mapping
from pathlib import Path

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
    """All examples, by file name."""
    files: dict[str, bytes] = {}
    for name, workup in workups.items():
        files |= _instrument(name, workup)
        files |= _readings(stem_for(name), workup)
    from jigs.press import compare_picture
    from jigs.printers import check_sheet as printer_sheet
    from jigs.workup.compare import compare

    kept, new_strings = LATER
    compared = compare(workups[kept], workups[new_strings])
    files |= compare_picture.files(compared, PAPERS["a4"], ON_PAPER, stem_for(kept))
    return files | _boards() | printer_sheet.files(PAPERS["a4"], ON_PAPER)


def _instrument(name: str, workup: Workup) -> dict[str, bytes]:
    """An instrument's file and its templates.

    Parts to cut come with those that were measured for them: with a rim, or the board's height over the top.
    """
    files = {name: (DEMO / name).read_bytes()}
    at_the_bench = name == BENCH_MANDOLIN
    measured = surface_of(workup.instrument) is not None or rim_of(workup.instrument) is not None
    wanted = NAMES if at_the_bench else LATER.get(name, ON_EVERY)
    for from_stock, formats in ((False, ON_PAPER), (True, FORMATS if measured or at_the_bench else ())):
        drawn = tuple(template for template in wanted if (template in CUT_FROM_STOCK) is from_stock)
        order = Order(drawn, formats=formats, options=Options(wedges=at_the_bench), leave_out=True)
        printed = prepare(workup, order, stem_for(name))
        assert not printed.missing, printed.missing
        files |= printed.files
    return files | (_kit(stem_for(name), workup) | _pages(stem_for(name), workup) if at_the_bench else {})


def _pages(stem: str, workup: Workup) -> dict[str, bytes]:
    """The printed pages of the parts as pictures, which show each in use: their other SVG are the parts alone."""
    from jigs.export.files import page_files
    from jigs.press.layout import lay_out
    from jigs.templates.template import Template

    files: dict[str, bytes] = {}
    for name in KIT:
        sheets = lay_out(workup, Template(name), PAPERS["a4"], Options(wedges=True, stem=stem))
        title = sheets[0].title
        files |= page_files(sheets, ("svg",), f"{stem}-{name}-page", f"{title.document}: {title.name}", title.facts)
    return files


def _kit(stem: str, workup: Workup) -> dict[str, bytes]:
    """All parts of an instrument on sheets of stock."""
    from jigs.cutting.nesting import stock_named
    from jigs.press.kit import prepare_kit

    printed = prepare_kit(workup, Order(KIT, formats=FORMATS, leave_out=True, kit=True), stock_named(KIT_SHEET), stem)
    assert not printed.missing, printed.missing
    return dict(printed.files)


def _readings(stem: str, workup: Workup) -> dict[str, bytes]:
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
    for step, path in enumerate(sorted(READINGS.glob(f"{stem}-[0-9].csv")), 1):
        name = f"{stem}-readings-{step}.csv"
        files[name] = path.read_bytes()
        rows = readings_file.parse(files[name], name)
        advice = advise(workup, checked(rows, workup), start, USUAL_ERRORS, diagnose=False)
        start = advice.next or start
        log += as_line(record(advice, step))
        steps.append(step_of(advice, step))
    if steps:
        files[f"{stem}.jsonl"] = log
        files |= readings_picture.files(steps, workup, PAPERS["a4"], ON_PAPER, stem)
    return files


def _boards() -> dict[str, bytes]:
    """The example boards and their surveys."""
    from jigs.survey import file as survey_file
    from jigs.survey import picture as survey_picture

    files: dict[str, bytes] = {}
    for path in sorted(DEMO.glob("*.csv")):
        board = survey_file.parse(path.read_bytes(), path.name)
        files[path.name] = path.read_bytes()
        files |= survey_picture.files(board, PAPERS["a4"], ON_PAPER, stem_for(path.name))
    return files
