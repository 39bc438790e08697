"""``jigs draw``: templates of one instrument."""

import click

from jigs.cli import completion
from jigs.cli.common import (
    EXIT_STATUS,
    SOME_MISSING,
    guarded,
    headline,
    of_this_command,
    opened,
    print_missing,
    warn,
    write,
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
)
from jigs.cli.words import FOLDER, FOR_CUTTERS_TOO, LENGTHS


@click.command(cls=WithTemplates, epilog=f"{LENGTHS}\n\n{EXIT_STATUS}")
@click.argument("instrument", shell_complete=completion.instruments)
@click.argument("template", nargs=-1, shell_complete=completion.template_names)
@click.option("--all", "every", is_flag=True, help="Draw all templates that this instrument has the measurements for.")
@paper_option("Paper:")
@format_option(FOR_CUTTERS_TOO, "pdf,svg")
@out_option(FOLDER, ".")
@set_option
@draw_options
@guarded
def draw(
    instrument: str, template: tuple[str, ...], every: bool, out: str, given_keys: tuple[str, ...], **given: Given
) -> None:
    """Draw templates of an instrument, to print or to cut.

    INSTRUMENT: an instrument file, or the name of a preset.

    TEMPLATE: one or more of the templates listed below. Default: fork. If one cannot be drawn, you see why, and the others
    are still drawn.

    SVG and DXF of gauge, head and top hold the part alone, for a cutter. Their layers are CUT, SCORE, ENGRAVE, DRILL and
    GUIDE. Do not cut GUIDE. What your cutter needs can be kept in a settings file (jigs settings). Sheets are corrected for
    a printer; files for a cutter are not.
    """
    from dataclasses import replace

    from jigs.faults import Fault, InputFaults, attempt
    from jigs.instrument.opening import stem_for
    from jigs.instrument.set_keys import read_set_keys
    from jigs.press.order import DEFAULT_TEMPLATE, read_order
    from jigs.press.press import prepare
    from jigs.templates.catalogue import COMPUTED, NAMES

    faults: list[Fault] = []
    templates = NAMES if every else template or (DEFAULT_TEMPLATE,)
    order = attempt(faults, read_order, templates, given_options(given), "template", False, every)
    set_keys = attempt(faults, read_set_keys, given_keys)
    workup = None if set_keys is None else attempt(faults, opened, instrument, set_keys, bool(given[COMPUTED]))
    if order is None or set_keys is None or workup is None:
        raise InputFaults(faults)
    with set_keys.blamed():
        printed = prepare(workup, order, stem_for(instrument))
    warn((*printed.notes, *order.notes))
    write(printed.files, out)
    headline(workup)
    if printed.missing:
        print_missing(replace(one, why=of_this_command(set_keys.at_option(one.why))) for one in printed.missing)
        raise SystemExit(SOME_MISSING)
