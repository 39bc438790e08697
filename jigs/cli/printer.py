"""``jigs printer``: the check sheet, the lengths read on it, and the printers that are kept. It computes nothing."""

import json
import re
from itertools import chain

import click

from jigs.cli.common import guarded, json_option, say, warn, write
from jigs.cli.draw_options import format_option, out_option, paper_option
from jigs.cli.meant import Group
from jigs.cli.words import FOLDER, TO_PRINT

_SEVERAL = ("--across", "--down", "--diagonals")
_OF_ONE_VALUE = ("--paper", "--reading-error")
_BARE = re.compile(r"\d+")
_FRACTION = re.compile(r"\d+[/⁄]\d+.*")
_UNIT = re.compile(r"(mm|cm|m|in\.?|inch(es)?|ft\.?|feet|foot|millimet(er|re)s?|[\"″”′’']+)", re.IGNORECASE)
_LENGTH = re.compile(r"[−-]?[\d.¼-¾⅐-⅞].*")


def _spread(args: list[str]) -> list[str]:
    """Arguments in which an option takes several lengths, rewritten so that each length follows its option by itself.

    A unit, or a fraction after a whole number, belongs to the length before it, quoted or not. Once the printer has its
    name, any other word is taken for a length too, and is refused as one. An option without a length is dropped.

    >>> _spread(["laser", "--across", "179.4", "179.5", "--down", "10", "29/32", "in"])
    ['laser', '--across', '179.4', '--across', '179.5', '--down', '10 29/32 in']
    >>> _spread(["--across", "--down", "276.9", "laser", "--diagonals", "335.4", "x"])
    ['--down', '276.9', 'laser', '--diagonals', '335.4', '--diagonals', 'x']
    """
    spread: list[str] = []
    option, before, lengths, named = "", "", 0, False
    parted = (arg.split("=", 1) if arg.split("=")[0] in _SEVERAL else [arg] for arg in args)
    for arg in chain.from_iterable(parted):
        is_option = arg.startswith("-") and not _LENGTH.fullmatch(arg)
        if arg in _SEVERAL:
            option, lengths = arg, 0
        elif lengths and (_UNIT.fullmatch(arg) or (_FRACTION.fullmatch(arg) and _BARE.fullmatch(spread[-1]))):
            spread[-1] += f" {arg}"
        elif option and not is_option and (named or not lengths or _LENGTH.fullmatch(arg)):
            spread += [option, arg]
            lengths += 1
        else:
            option, lengths = "", 0
            named = named or not (is_option or before in _OF_ONE_VALUE)
            spread.append(arg)
        before = arg
    return spread


class _SeveralLengths(click.Command):
    """A command whose options take as many lengths as there are."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        return super().parse_args(ctx, _spread(args))


class _OfPrinters(Group):
    """The commands for printers."""

    within = "printer"


@click.group(cls=_OfPrinters)
def printer() -> None:
    """Measure a printer's errors, to correct drawings for them.

    Start with the check sheet: it says what to measure and what to type. From then on, draw with --printer.
    """


@printer.command()
@paper_option("Paper:")
@format_option(TO_PRINT, "pdf,svg")
@out_option(FOLDER, ".")
@guarded
def sheet(paper: str, formats: str, out: str) -> None:
    """Draw the check sheet, to print and measure."""
    from jigs.export.formats import ON_PAPER, read_formats
    from jigs.printers.check_sheet import files
    from jigs.sheets.paper import paper_named

    write(files(paper_named(paper), read_formats(formats, ON_PAPER)), out)


@printer.command(cls=_SeveralLengths)
@click.argument("name")
@paper_option("Paper of the check sheet:")
@click.option(
    "--across", multiple=True, metavar="LENGTH…", help="Measured A–B and D–C, in mm. Repeat the pair for more readings."
)
@click.option("--down", multiple=True, metavar="LENGTH…", help="Measured A–D and B–C, in mm.")
@click.option("--diagonals", multiple=True, metavar="LENGTH…", help="Measured A–C and B–D, in mm. Optional.")
@click.option(
    "--reading-error",
    metavar="LENGTH",
    show_default="0.1 mm",
    help="How far off one reading may be, in mm: its standard deviation.",
)
@click.option("--replace", is_flag=True, help="Replace the printer that already has this name.")
@guarded
def add(
    name: str,
    paper: str,
    across: tuple[str, ...],
    down: tuple[str, ...],
    diagonals: tuple[str, ...],
    reading_error: str | None,
    replace: bool,
) -> None:
    """Keep the lengths read on a printer's check sheet as NAME.

    A length is in millimetres or has a unit: 189.4, "7 31/64 in".
    """
    from jigs.printers.kept import save
    from jigs.printers.measured import from_words
    from jigs.printers.words import in_lines, notes
    from jigs.sheets.paper import paper_named

    written = {"across": across, "down": down, "diagonals": diagonals}
    added = from_words(name, paper_named(paper), written, reading_error)
    path = save(added, replace)
    warn(tuple(notes(added)))
    for line in in_lines(added):
        click.echo(line)
    say(f"kept in {path}")


@printer.command("list")
@json_option
@guarded
def list_(as_json: bool) -> None:
    """List the printers that you have measured."""
    from jigs.faults import InputFaults
    from jigs.printers.kept import load_all
    from jigs.printers.words import NONE_YET, as_dict, in_one_line

    printers, faults = load_all()
    if as_json:
        click.echo(json.dumps([as_dict(one) for one in printers], indent=2, ensure_ascii=False))
    else:
        for one in printers:
            click.echo(in_one_line(one))
        if not printers and not faults:
            click.echo(NONE_YET, err=True)
    if faults:
        raise InputFaults(faults)


@printer.command()
@click.argument("name")
@json_option
@guarded
def show(name: str, as_json: bool) -> None:
    """Print the errors of the printer NAME."""
    from jigs.printers.kept import load
    from jigs.printers.measured import AS_NAME
    from jigs.printers.words import as_dict, in_lines, notes

    kept = load(name, AS_NAME)
    warn(tuple(notes(kept)))
    if as_json:
        click.echo(json.dumps(as_dict(kept), indent=2, ensure_ascii=False))
    else:
        for line in in_lines(kept):
            click.echo(line)


@printer.command()
@click.argument("name")
@guarded
def remove(name: str) -> None:
    """Forget the printer NAME."""
    from jigs.printers.kept import remove as forget

    say(f"removed {forget(name)}")


@printer.command()
@click.argument("name")
@paper_option("Paper:", None, "that of the measured check sheet")
@format_option(TO_PRINT, "pdf,svg")
@out_option(FOLDER, ".")
@json_option
@guarded
def check(name: str, paper: str | None, formats: str, out: str, as_json: bool) -> None:
    """Draw the check sheet corrected for the printer NAME.

    It also prints what you must read on that sheet.
    """
    from jigs.export.formats import ON_PAPER, read_formats
    from jigs.printers import check_sheet, expected
    from jigs.printers.kept import load
    from jigs.printers.measured import AS_NAME
    from jigs.printers.words import check_lines, notes
    from jigs.sheets.paper import paper_named

    kinds = read_formats(formats, ON_PAPER)
    kept = load(name, AS_NAME)
    on = paper_named(paper or kept.paper)
    drawn = check_sheet.files(on, kinds, kept)
    warn(tuple(notes(kept)))
    write(drawn, out, err=as_json)
    if as_json:
        click.echo(json.dumps(expected.as_dict(kept, on), indent=2, ensure_ascii=False))
    else:
        for line in check_lines(kept, on):
            click.echo(line)
