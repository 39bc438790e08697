"""``jigs draw``: templates of one instrument."""

from typing import Any

import click

from jigs.cli import completion
from jigs.cli.common import guarded, headline, opened, warn, write
from jigs.cli.draw_options import draw_options, format_option, given_options, out_option, paper_option
from jigs.templates.catalogue import NAMES, TEMPLATES

_LIST = "\n".join(f"    {entry.name:<11} {entry.description}" for entry in TEMPLATES)


@click.command(
    help="Draw templates for an instrument.\n\nINSTRUMENT: a file or a preset's name.\n\n\b\n"
    f"TEMPLATE: one or more of the following. Default: fork.\n{_LIST}\n\n"
    "SVG and DXF of gauge, head and top hold the part alone, for a cutter. Your cutter's lengths can be kept in a settings"
    " file (jigs settings). Cut files are not corrected for a printer; sheets are."
)
@click.argument("instrument", shell_complete=completion.instruments)
@click.argument("template", nargs=-1, shell_complete=completion.template_names)
@click.option("--all", "every", is_flag=True, help="Draw all templates.")
@paper_option()
@format_option("pdf,svg", "pdf (to print), svg, dxf (for cutters), or several with commas.")
@out_option(".")
@click.option("--printer", metavar="NAME", help="Correct for this printer's errors (see jigs printer).")
@draw_options
@guarded
def draw(instrument: str, template: tuple[str, ...], every: bool, out: str, **given: Any) -> None:
    """Draw templates for an instrument."""
    from jigs.instrument.opening import stem_for
    from jigs.press.order import OrderWords, read_order
    from jigs.press.press import prepare
    from jigs.templates.options import idle_options

    options = given_options(given)
    names = NAMES if every else template or NAMES[:1]
    order = read_order(OrderWords(names, given=options, leave_out=every, **given))
    workup = opened(instrument)
    printed = prepare(workup, order, stem_for(instrument))
    warn((*printed.notes, *idle_options(options, order.names)))
    write(printed.files, out)
    headline(workup)
