"""``jigs rack``: words to `jigs.rack`, results to the terminal. It computes nothing."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from jigs.cli import completion
from jigs.cli.common import ANYTHING_ELSE, USER_INPUT, guarded, warn
from jigs.cli.draw_options import draw_options, format_option, given_options, out_option, paper_option
from jigs.templates.catalogue import NAMES

if TYPE_CHECKING:
    from jigs.cutting.nesting import Stock
    from jigs.press.order import Order
    from jigs.rack.report import Report


@click.command()
@click.argument("places", metavar="FOLDER-OR-FILES...", nargs=-1, required=True, shell_complete=completion.files)
@out_option("rack")
@click.option("--templates", "names", help="Templates, with commas.  [default: fork; with --sheet, gauge]")
@click.option("--all", "every", is_flag=True, help="Draw all templates that a file has the measurements for.")
@paper_option(help_="Paper of sheets and index, as for draw.")
@format_option(None, "Formats as for draw, with commas.  [default: pdf,svg; with --sheet, dxf,svg]")
@click.option("--name", help="Name of the rack on the index.  [default: the folder's name]")
@click.option("--sheet", metavar="WxH", help="Nest the parts on sheets of stock of this size, as 600x300.")
@click.option("--gap", metavar="LENGTH", help="Stock left between parts and at the edges.  [default: 3 mm]")
@click.option("--jobs", metavar="NUMBER", help="Number of processes at work at once.  [default: one a core]")
@click.option("--force", is_flag=True, help="Write everything again, not only what changed.")
@click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON, for programs.")
@click.option("--printer", metavar="NAME", help="Correct for this printer's errors, as for draw.")
@draw_options
@guarded
def rack(places: tuple[str, ...], out: str, as_json: bool, force: bool, jobs: str | None, **given: Any) -> None:
    """Draw every instrument of a rack.

    The rack is all instrument files in folders, and files by name. Into one folder come their templates, a table
    (rack.csv) and an index to print (rack-index.pdf). Run it again, and it draws only what changed. If one file has a
    fault, it is listed and the others are still drawn. Nothing is ever deleted.

    With --sheet, gauges (and head and top, if you name them) are nested on as few sheets of stock as can be found
    (nest-1.dxf and so on), and nest.csv lists where each part is.
    """
    from jigs.rack.run import Making
    from jigs.system.workers import read_jobs

    name = given.pop("name")
    order, stock = _order(given)
    with _bar() as tell:
        report = _made(places, order, Making(Path(out), read_jobs(jobs), name, stock, force, tell))
    _show(report, as_json)


def _order(given: dict[str, Any]) -> "tuple[Order, Stock | None]":
    """What was ordered, and the stock to nest parts on. Raises `InputFaults`."""
    from jigs.cutting.nesting import stock_named
    from jigs.faults import Place
    from jigs.press.order import OrderWords, read_order
    from jigs.rack import words

    sheet, gap = given["sheet"], given["gap"]
    if gap is not None and sheet is None:
        raise words.gap_without_sheet().refusal(Place(option="gap"))
    stock = None if sheet is None else stock_named(sheet, gap)
    usual = ("fork", "pdf,svg") if stock is None else ("gauge", "dxf,svg")
    names = [one.strip() for one in (given["names"] or usual[0]).split(",")]
    written = OrderWords(
        NAMES if given["every"] else names,
        given["paper"],
        given["formats"] or usual[1],
        given["printer"],
        given_options(given),
        nested=stock is not None,
        leave_out=True,
    )
    return read_order(written), stock


def _made(places: tuple[str, ...], order: "Order", how: Any) -> "Report":
    """The rack, or the end of the command if it was stopped."""
    from jigs.rack import words
    from jigs.rack.run import Interrupted, make
    from jigs.system.workers import WorkerLost

    try:
        return make(places, order, how)
    except Interrupted as stopped:
        click.echo(words.STOPPED.format(done=stopped.done, of=stopped.of), err=True)
        raise SystemExit(ANYTHING_ELSE) from None
    except WorkerLost:
        click.echo(words.OUT_OF_MEMORY, err=True)
        raise SystemExit(ANYTHING_ELSE) from None


def _show(report: "Report", as_json: bool) -> None:
    """Print the outcome; faults end with their status."""
    from jigs.rack.report import as_json as in_json
    from jigs.rack.report import in_lines

    warn(report.notes)
    click.echo(in_json(report) if as_json else "\n".join([*in_lines(report), ""]), nl=False)
    for fault in report.faults:
        click.echo(str(fault), err=True)
    if report.faults:
        raise SystemExit(USER_INPUT)


@contextmanager
def _bar() -> Iterator[Callable[[int, int], None]]:
    """A progress bar on a terminal, and nothing elsewhere."""
    if not sys.stderr.isatty():
        yield lambda _done, _of: None
        return
    with click.progressbar(length=1, label="rack", file=sys.stderr, show_pos=True) as bar:

        def tell(done: int, of: int) -> None:
            bar.length = of
            bar.update(done - bar.pos)

        yield tell
