"""The command line: words to `press`, results to the terminal. It computes nothing.

Heavy modules are imported where they are used, so that ``jigs --help`` answers at once.
"""

import gc
import os
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

import click

from jigs import __version__
from jigs import cli_common as completed
from jigs.cli_common import opened, told_in_sentences, warn, write

if TYPE_CHECKING:
    from jigs.printer import Printer
    from jigs.survey_file import Board
    from jigs.workup import Workup

# pydantic looks through every installed package for plug-ins, which takes the longer the more there are; none is used here.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

# Importing makes tens of thousands of objects that stay; to look through them again and again takes a twentieth of a run.
gc.set_threshold(200_000)


ELSEWHERE = {"printer": "jigs.cli_printer", "rack": "jigs.cli_rack", "readings": "jigs.cli_readings"}
"""Commands with a module of their own, which is imported when they are asked for."""


class _Commands(click.Group):
    """The commands of this module, and those of `ELSEWHERE`."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted({*super().list_commands(ctx), *ELSEWHERE})

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command; for one that is not known all are loaded, so that the nearest can be named."""
        if cmd_name not in self.commands:
            for name in [cmd_name] if cmd_name in ELSEWHERE else ELSEWHERE:
                self.add_command(getattr(import_module(ELSEWHERE[name]), name))
        return super().get_command(ctx, cmd_name)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="jigs")
def main() -> None:
    """Print the jig that puts a loose banjo or mandolin bridge in its place.

    Start with `jigs presets banjo > mine.toml`, put your own measurements into mine.toml, then `jigs draw mine.toml`.
    """


@main.command()
@click.option(
    "--out", shell_complete=completed.folders, default="out_examples", show_default=True, help="Folder to write to."
)
@told_in_sentences
def demo(out: str) -> None:
    """Draw the example instruments of a village library that lends them."""
    from jigs.examples import demo_files, demo_workups

    workups = demo_workups()
    write(demo_files(workups), out)
    for workup in workups.values():
        click.echo(f"{workup.instrument.name}:")
        _headline(workup)


@main.command()
@click.argument("name", required=False, shell_complete=completed.presets)
@told_in_sentences
def presets(name: str | None) -> None:
    """List the presets, or print the instrument file of one to start from."""
    from jigs.press import preset_names, preset_text

    if name:
        click.echo(preset_text(name), nl=False)
    else:
        for known in preset_names():
            click.echo(known)


@main.command()
@click.argument("instrument", shell_complete=completed.instruments)
@click.option("--json", "as_json", is_flag=True, help="As JSON, for programs.")
@click.option("--csv", "as_csv", is_flag=True, help="As CSV, for a spreadsheet.")
@click.option(
    "--at",
    "stands_at",
    metavar="PLACE",
    help="Where the bridge's crown stands now, from the nut: say what it reads there. One length, or 'TREBLE / BASS' at the"
    " outer full-length strings.",
)
@told_in_sentences
def numbers(instrument: str, as_json: bool, as_csv: bool, stands_at: str | None) -> None:
    """Print frets, strings and bridge line of INSTRUMENT, a file or a preset's name."""
    from jigs import numbers as figures
    from jigs.asked import read_place
    from jigs.faults import refuse

    if as_json and as_csv:
        raise refuse("numbers", "--json and --csv are both given; choose one")
    workup = opened(instrument)
    place = None if stands_at is None else read_place(stands_at, workup)
    show = figures.as_json if as_json else figures.as_csv if as_csv else figures.as_table
    warn(workup.warnings)
    click.echo(show(workup, place), nl=False)


@main.command()
@click.argument("instrument", shell_complete=completed.instruments)
@click.argument("template", nargs=-1, shell_complete=completed.template_names)
@click.option("--all", "every", is_flag=True, help="All templates.")
@click.option(
    "--paper", default="a4", show_default=True, help="a4, letter, a3, tabloid, legal, or WxH such as 200x300."
)
@click.option(
    "--format",
    "formats",
    default="pdf,svg",
    show_default=True,
    help="pdf (to print), svg, dxf (for cutters), or several with commas.",
)
@click.option("--out", shell_complete=completed.folders, default=".", show_default=True, help="Folder to write to.")
@click.option(
    "--datum-fret",
    type=int,
    help="Fret to register on. Left out: for the fork the lowest from 12 on that fits, for gauge and top the last.",
)
@click.option(
    "--datum-over", is_flag=True, help="Lay the fork's edge over the middle of that fret, not against its bridge side."
)
@click.option("--datum-end", is_flag=True, help="Top: register on the end of the board, not on a fret.")
@click.option("--rim", "rim_side", metavar="SIDE", help="Head: nest against the rim on this side, nut or tail.")
@click.option("--kerf", metavar="LENGTH", help="Gauge, head, top: width that the cutter takes away.")
@click.option("--clearance", metavar="LENGTH", help="Gauge: of its notch over the fret's crown.")
@click.option("--corner", metavar="LENGTH", help="Gauge, head, top: radius of the corners.")
@click.option("--web", metavar="LENGTH", help="Gauge, head, top: least stock beside a window.")
@click.option("--stock", metavar="LENGTH", help="Gauge: thickness of the stock, 0.3 to 3 mm.")
@click.option("--to-bridge", is_flag=True, help="Fretboard: draw the strings on to the bridge line.")
@click.option("--printer", "printed_by", metavar="NAME", help="Put the errors of this printer right (jigs printer).")
@click.option("--untiled", is_flag=True, help="Fretboard: one long sheet of its own size, not cut for the paper.")
@told_in_sentences
def draw(
    instrument: str,
    template: tuple[str, ...],
    every: bool,
    paper: str,
    formats: str,
    out: str,
    datum_fret: int | None,
    datum_over: bool,
    datum_end: bool,
    rim_side: str | None,
    to_bridge: bool,
    printed_by: str | None,
    untiled: bool,
    **cut: str | None,
) -> None:
    """Draw templates for INSTRUMENT, a file or a preset's name.

    TEMPLATE is one or several of: fork (paper, finds the bridge's place from a fret; what you get without a name), gauge
    (the same to cut from stock), head (from a banjo's rim), top (on an arched top), fretboard (slots, dots and strings),
    spacing (rules for nut and bridge), crown (the top of the bridge), setup-card (one page for setting up by ear or tuner).

    SVG and DXF of gauge, head and top hold the part alone, for a cutter; what your cutter needs can stay in a settings file
    (jigs settings). They are not corrected for a printer; sheets are.
    """
    from jigs.asked import idle_options, read_formats, read_options
    from jigs.paper import paper_named
    from jigs.press import chosen, prepare, stem_for
    from jigs.templates import templates

    wanted = chosen(list(templates()) if every else template or ["fork"])
    sheet, kinds = paper_named(paper), read_formats(formats)
    asked: dict[str, str | int | bool | None] = {
        "datum-fret": datum_fret,
        "datum-over": datum_over,
        "datum-end": datum_end,
    }
    asked |= {"rim": rim_side, "to-bridge": to_bridge, "untiled": untiled, **cut}
    options = read_options(asked, [one.name for one in wanted])
    on = None if printed_by is None else _printer(printed_by)
    workup = opened(instrument)
    printed = prepare(workup, wanted, sheet, kinds, options, stem_for(instrument), untiled, every, on)
    warn((*printed.warnings, *idle_options({f"--{name}": value for name, value in asked.items()}, wanted)))
    write(printed.files, out)
    _headline(workup)


@main.command()
@click.option("--example", is_flag=True, help="Print a settings file to start from, with every default in it.")
@told_in_sentences
def settings(example: bool) -> None:
    """Print your settings for cutters, and on standard error where they are kept."""
    from jigs.cutter_settings import SETTINGS_EXAMPLE, settings_path, settings_text

    click.echo(f"settings file: {settings_path()}", err=True)
    click.echo(SETTINGS_EXAMPLE if example else settings_text(), nl=False)


@main.command()
@click.argument("file", shell_complete=completed.files)
@click.option("--json", "as_json", is_flag=True, help="As JSON, for programs.")
@click.option(
    "--reading-error",
    metavar="LENGTH",
    help="How far off a single reading may be: its standard deviation. Left out: from the file, from readings that are"
    " repeated, or 0.25 mm.",
)
@click.option("--format", "formats", help="Draw a picture as well: pdf, svg, or both with a comma.")
@click.option("--out", shell_complete=completed.folders, help="Folder to write the picture to; this one if left out.")
@click.option("--paper", help="Paper of the picture, as for draw; a4 if left out.")
@told_in_sentences
def survey(
    file: str, as_json: bool, reading_error: str | None, formats: str | None, out: str | None, paper: str | None
) -> None:
    """Survey a fretboard from FILE: scale, nut, rule, and frets that are out of place.

    FILE is CSV, a line for each fret: its number, its distance from the nut, and any further readings of it. TOML does too,
    with frets = [[1, 19.8], [2, "38.5 mm"]].
    """
    from jigs import survey as words
    from jigs.faults import refuse
    from jigs.survey_file import load

    if formats is None and (out or paper):
        raise refuse("survey", "--out and --paper are for the picture; give --format pdf as well, or leave them out")
    board = load(Path(file), reading_error)
    drawn = {} if formats is None else _survey_picture(file, board, formats, paper or "a4")
    warn(words.notes(board))
    if drawn:
        write(drawn, out or ".", err=as_json)
    click.echo(words.as_json(board) if as_json else words.as_table(board), nl=False)


def _survey_picture(file: str, board: "Board", formats: str, paper: str) -> Mapping[str, bytes]:
    from jigs.asked import ON_PAPER, read_formats
    from jigs.paper import paper_named
    from jigs.press import stem_for
    from jigs.survey_picture import files

    return files(board, paper_named(paper), read_formats(formats, ON_PAPER), stem_for(file))


def _printer(name: str) -> "Printer":
    from jigs.printer_files import load

    return load(name)


def _headline(workup: "Workup") -> None:
    from jigs.numbers import headline

    for line in headline(workup):
        click.echo(line)


@main.command()
@click.option("--port", metavar="NUMBER", help="Port to serve it on; one that is free if left out.")
@click.option("--no-browser", is_flag=True, help="Only say the address.")
@told_in_sentences
def page(port: str | None, no_browser: bool) -> None:
    """Fill in, look, print: one page in your browser, for one instrument.

    It is served by this machine for this machine alone, until Ctrl-C.
    """
    from jigs.page.serve import read_port, serve

    serve(read_port(port), not no_browser, click.echo)
