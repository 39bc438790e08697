"""``jigs rack``: words to `rack`, results to the terminal. It computes nothing."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from jigs.cli import completion
from jigs.cli.common import ANYTHING_ELSE, USER_INPUT, guarded, warn


@click.command()
@click.argument("places", metavar="FOLDER-OR-FILES...", nargs=-1, required=True, shell_complete=completion.files)
@click.option("--out", shell_complete=completion.folders, default="rack", show_default=True, help="Folder to write to.")
@click.option("--templates", "names", help="Templates, with commas. Left out: fork; with --sheet, gauge.")
@click.option("--all", "every", is_flag=True, help="All templates that an instrument's file has the measurements for.")
@click.option("--paper", default="a4", show_default=True, help="As for draw; the index is on it too.")
@click.option("--format", "formats", help="As for draw, with commas. Left out: pdf,svg; with --sheet, dxf,svg.")
@click.option("--name", help="What the index calls the rack; the folder's name if left out.")
@click.option("--sheet", metavar="WxH", help="Lay the parts that are cut from stock on sheets of it, as 600x300.")
@click.option("--gap", metavar="LENGTH", help="Stock left between parts, and at the edges; 3 mm if left out.")
@click.option("--jobs", metavar="NUMBER", help="Processes at work at once; as many as there are cores if left out.")
@click.option("--force", is_flag=True, help="Write everything again, not only what changed.")
@click.option("--json", "as_json", is_flag=True, help="Say what became of it as JSON, for programs.")
@click.option("--printer", "printed_by", metavar="NAME", help="As for draw.")
@click.option("--datum-fret", type=int, help="As for draw.")
@click.option("--datum-over", is_flag=True, help="As for draw.")
@click.option("--datum-end", is_flag=True, help="As for draw.")
@click.option("--rim", "rim_side", metavar="SIDE", help="As for draw.")
@click.option("--kerf", metavar="LENGTH", help="As for draw.")
@click.option("--clearance", metavar="LENGTH", help="As for draw.")
@click.option("--corner", metavar="LENGTH", help="As for draw.")
@click.option("--web", metavar="LENGTH", help="As for draw.")
@click.option("--stock", metavar="LENGTH", help="As for draw: thickness of the stock.")
@click.option("--to-bridge", is_flag=True, help="As for draw.")
@click.option("--untiled", is_flag=True, help="As for draw.")
@guarded
def rack(
    places: tuple[str, ...],
    out: str,
    names: str | None,
    every: bool,
    paper: str,
    formats: str | None,
    name: str | None,
    sheet: str | None,
    gap: str | None,
    jobs: str | None,
    force: bool,
    as_json: bool,
    printed_by: str | None,
    datum_fret: int | None,
    datum_over: bool,
    datum_end: bool,
    rim_side: str | None,
    to_bridge: bool,
    untiled: bool,
    **cut: str | None,
) -> None:
    """Draw every instrument of a rack: all instrument files in folders, and files by name.

    Into one folder come their templates, a table (rack.csv) and an index to print (rack-index.pdf). Run it again, and it
    makes only what changed. A faulty file is told, and the others come out all the same. Nothing is ever deleted.

    With --sheet, gauges (and head and top, if you name them) lie close together on as few sheets of stock as can be found
    (nest-1.dxf and so on), and nest.csv says what lies where.
    """
    from jigs.cutting.nesting import stock_named
    from jigs.export.formats import read_formats
    from jigs.faults import old_refuse
    from jigs.press.order import Order
    from jigs.printers.kept import load
    from jigs.rack.report import as_json as report_as_json
    from jigs.rack.report import in_lines
    from jigs.rack.run import Interrupted, make
    from jigs.sheets.paper import paper_named
    from jigs.system.workers import WorkerLost, read_jobs
    from jigs.templates.catalogue import NAMES
    from jigs.templates.options import read_options
    from jigs.templates.template import chosen

    if gap is not None and sheet is None:
        raise old_refuse("--gap", "is for parts on sheets of stock; give --sheet as well, or leave it out")
    stock = None if sheet is None else stock_named(sheet, gap)
    usual = ("fork", "pdf,svg") if stock is None else ("gauge", "dxf,svg")
    names = usual[0] if names is None else names
    wanted = chosen(NAMES if every else [one.strip() for one in names.split(",")], "--templates")
    asked: dict[str, str | int | bool | None] = {
        "datum-fret": datum_fret,
        "datum-over": datum_over,
        "datum-end": datum_end,
    }
    asked |= {"rim": rim_side, "to-bridge": to_bridge, **cut}
    options = read_options(asked, [template.name for template in wanted])
    templates, kinds = (
        tuple(template.name for template in wanted),
        tuple(read_formats(usual[1] if formats is None else formats)),
    )
    on = None if printed_by is None else load(printed_by)
    order = Order(templates, paper_named(paper), kinds, options, untiled, stock is not None, on)
    processes = read_jobs(jobs)
    try:
        with _bar() as tell:
            report = make(places, order, Path(out), processes, name, stock, force, tell)
    except Interrupted as stopped:
        done = f"{stopped.done} of {stopped.of} files are done, and whole"
        click.echo(f"stopped: {done}; give the same command again, and it goes on from there", err=True)
        raise SystemExit(ANYTHING_ELSE) from None
    except WorkerLost:
        what = (
            "a process was taken away, perhaps for want of memory; what is written is whole: run it again with --jobs 1"
        )
        click.echo(f"rack: {what}", err=True)
        raise SystemExit(ANYTHING_ELSE) from None
    warn(report.notes)
    click.echo(report_as_json(report) if as_json else "\n".join([*in_lines(report), ""]), nl=False)
    for fault in report.faults:
        click.echo(str(fault), err=True)
    if report.faults:
        raise SystemExit(USER_INPUT)


@contextmanager
def _bar() -> Iterator[Callable[[int, int], None]]:
    """A progress bar where somebody looks on, and nothing elsewhere."""
    if not sys.stderr.isatty():
        yield lambda _done, _of: None
        return
    with click.progressbar(length=1, label="rack", file=sys.stderr, show_pos=True) as bar:

        def tell(done: int, of: int) -> None:
            bar.length = of
            bar.update(done - bar.pos)

        yield tell
