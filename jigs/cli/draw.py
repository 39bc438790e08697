"""``jigs draw``: templates of one instrument."""

from typing import TYPE_CHECKING

import click

from jigs.cli import completion
from jigs.cli.common import guarded, headline, opened, warn, write

if TYPE_CHECKING:
    from jigs.printers.printer import Printer


@click.command()
@click.argument("instrument", shell_complete=completion.instruments)
@click.argument("template", nargs=-1, shell_complete=completion.template_names)
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
@click.option("--out", shell_complete=completion.folders, default=".", show_default=True, help="Folder to write to.")
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
@guarded
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
    from jigs.export.formats import read_formats
    from jigs.instrument.opening import stem_for
    from jigs.press.press import prepare
    from jigs.sheets.paper import paper_named
    from jigs.templates.options import idle_options, read_options
    from jigs.templates.template import chosen, templates

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
    warn(
        (
            *printed.warnings,
            *idle_options({f"--{name}": value for name, value in asked.items()}, [one.name for one in wanted]),
        )
    )
    write(printed.files, out)
    headline(workup)


def _printer(name: str) -> "Printer":
    from jigs.printers.kept import load

    return load(name)
