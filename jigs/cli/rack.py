"""``jigs rack``: words to `rack`, results to the terminal. It computes nothing."""

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from jigs.cli import completion
from jigs.cli.common import (
    ANYTHING_ELSE,
    EXIT_STATUS,
    SOME_MISSING,
    USER_INPUT,
    guarded,
    json_option,
    print_faults,
    print_missing,
    say,
    warn,
)
from jigs.cli.draw_options import (
    Given,
    WithTemplates,
    draw_options,
    format_option,
    given_options,
    out_option,
    paper_option,
    set_option,
    stock_options,
)
from jigs.cli.words import FOLDER, FOR_CUTTERS_TOO, LENGTHS

if TYPE_CHECKING:
    from jigs.faults import Fault, Says
    from jigs.rack.run import RackOrder


_BY_DEFAULT, _WITH_SHEET = ("fork", "pdf,svg"), ("gauge", "dxf,svg")
"""Template and formats, if none are given."""


@click.command(cls=WithTemplates, epilog=f"{LENGTHS}\n\n{EXIT_STATUS}")
@click.argument("places", metavar="FOLDER-OR-FILE...", nargs=-1, required=True, shell_complete=completion.files)
@out_option(FOLDER, "rack")
@click.option(
    "--templates",
    metavar="TEMPLATES",
    show_default=f"{_BY_DEFAULT[0]}; with --sheet {_WITH_SHEET[0]}; with --kit the kit's",
    help="Templates, with commas.",
)
@click.option("--all", "every", is_flag=True, help="Draw all templates that each instrument has the measurements for.")
@paper_option("Paper of the templates and the index:")
@format_option(FOR_CUTTERS_TOO, None, f"{_BY_DEFAULT[1]}; with --sheet {_WITH_SHEET[1]}")
@click.option("--name", show_default="the folder's name", help="What the index calls the rack.")
@stock_options
@click.option(
    "--jobs", metavar="NUMBER", show_default="one for each core", help="Number of processes that draw at the same time."
)
@click.option("--force", is_flag=True, help="Draw and write everything again, not only what changed.")
@json_option
@set_option
@draw_options
@guarded
def rack(
    places: tuple[str, ...],
    out: str,
    every: bool,
    force: bool,
    as_json: bool,
    given_keys: tuple[str, ...],
    **given: Given,
) -> None:
    """Draw all instruments of a rack, and an index of them.

    The instruments are all instrument files in the folders, and files that you name.

    Into one folder go the templates, a table (rack.csv) and an index to print (rack-index.pdf). Run it again, and it draws
    only what changed. If a file has a mistake, or a template cannot be drawn, you see why, and the rest is still drawn. No
    file is ever deleted.

    Bridges go where they played in tune, if the file has a [found] table. Table and index show that place, the instrument's
    correction and its last reading. For loan-7.toml, the last reading is the last step of the log loan-7.jsonl beside it.

    With --sheet, the gauges are nested on sheets of stock (nest-1.dxf and so on), and head and top too if you name them.
    nest.csv lists where each part lies. With --kit, so are the parts of each instrument's kit.
    """
    from jigs.faults import InputFaults
    from jigs.rack import words
    from jigs.rack.report import as_json as report_as_json
    from jigs.rack.report import in_lines
    from jigs.rack.run import Interrupted, make
    from jigs.system.workers import WorkerLost, read_jobs

    order = _read(places, out, every, force, given_options(given), given_keys)
    jobs = read_jobs(_text(given["jobs"]))
    try:
        with _bar() as progress:
            report = make(order, jobs, progress)
    except InputFaults as refused:
        _leave(refused.faults, USER_INPUT)
    except Interrupted as stopped:
        _end(words.interrupted(stopped.done, stopped.of))
    except WorkerLost:
        _end(words.worker_lost())
    warn((*order.order.notes, *report.notes))
    if as_json:
        click.echo(report_as_json(report), nl=False)
    else:
        say("\n".join(in_lines(report)))
    print_missing(report.missing)
    if report.faults or report.missing:
        _leave(report.faults, SOME_MISSING)


def _read(
    places: tuple[str, ...],
    out: str,
    every: bool,
    force: bool,
    given: dict[str, Given],
    given_keys: tuple[str, ...],
) -> "RackOrder":
    """What to make, from the words of the command line. Raises `InputFaults` with all faults."""
    from jigs.cli import words
    from jigs.cutting.nesting import stock_named
    from jigs.faults import Fault, InputFaults, Place, attempt
    from jigs.instrument.set_keys import read_set_keys
    from jigs.press.order import read_order
    from jigs.rack.run import RackOrder
    from jigs.templates.catalogue import KIT, KIT_SHEET, NAMES

    faults: list[Fault] = []
    sheet, gap, named = _text(given["sheet"]), _text(given["gap"]), _text(given["templates"])
    if sheet is None and given["kit"]:
        sheet = KIT_SHEET
    default_template, default_formats = _BY_DEFAULT if sheet is None else _WITH_SHEET
    if given["kit"]:
        default_template = ",".join(KIT)
    if gap is not None and sheet is None:
        faults.append(words.gap_without_sheet().at(Place(option="gap")))
    stock = None if sheet is None else attempt(faults, stock_named, sheet, gap)
    templates = NAMES if every else [one.strip() for one in (default_template if named is None else named).split(",")]
    given = given if given["format"] is not None else {**given, "format": default_formats}
    order = attempt(faults, read_order, templates, given, "templates", sheet is not None, True)
    set_keys = attempt(faults, read_set_keys, given_keys)
    if faults or order is None or set_keys is None:
        raise InputFaults(faults)
    return RackOrder(places, order, Path(out), _text(given["name"]), stock, force, set_keys)


def _text(value: Given) -> str | None:
    return value if isinstance(value, str) else None


def _end(says: "Says") -> NoReturn:
    """Leave a run that could not be finished."""
    from jigs.faults import Place

    _leave([says.at(Place("rack"))], ANYTHING_ELSE)


def _leave(faults: "Iterable[Fault]", status: int) -> NoReturn:
    """Leave with faults. Those in an option keep their file: it says which instrument the option does not suit."""
    print_faults(faults)
    raise SystemExit(status) from None


@contextmanager
def _bar() -> Iterator[Callable[[int, int], None]]:
    """A progress bar on a terminal, nothing elsewhere."""
    if not sys.stderr.isatty():
        yield lambda _done, _of: None
        return
    with click.progressbar(length=1, label="rack", file=sys.stderr, show_pos=True) as bar:

        def progress(done: int, of: int) -> None:
            bar.length = of
            bar.update(done - bar.pos)

        yield progress
