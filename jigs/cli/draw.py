"""``jigs draw``: templates of one instrument."""

from typing import TYPE_CHECKING

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
    stock_options,
)
from jigs.cli.words import FOLDER, FOR_CUTTERS_TOO, LENGTHS, only_in_a_kit

if TYPE_CHECKING:
    from jigs.cutting.nesting import Stock
    from jigs.faults import Fault
    from jigs.press.order import Order
    from jigs.press.press import Printed
    from jigs.workup.workup import Workup

_FORMATS, _OF_A_KIT = "pdf,svg", "pdf,svg,dxf"
"""Formats, if none are given."""


@click.command(cls=WithTemplates, epilog=f"{LENGTHS}\n\n{EXIT_STATUS}")
@click.argument("instrument", shell_complete=completion.instruments)
@click.argument("template", nargs=-1, shell_complete=completion.template_names)
@click.option("--all", "every", is_flag=True, help="Draw all templates that this instrument has the measurements for.")
@paper_option("Paper:")
@format_option(FOR_CUTTERS_TOO, None, f"{_FORMATS}; with --kit {_OF_A_KIT}")
@out_option(FOLDER, ".")
@stock_options
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

    SVG and DXF of a part to cut hold the part alone, for a cutter. Their layers are CUT, SCORE, ENGRAVE, DRILL and GUIDE.
    Do not cut GUIDE. What your cutter needs can be kept in a settings file (jigs settings). Sheets are corrected for
    a printer; files for a cutter are not.

    With --kit, the parts of the instrument are nested on a sheet of stock: one file for all of them.
    """
    from dataclasses import replace

    from jigs.faults import Fault, InputFaults, attempt
    from jigs.instrument.opening import stem_for
    from jigs.instrument.set_keys import read_set_keys
    from jigs.templates.catalogue import COMPUTED

    faults: list[Fault] = []
    order = attempt(faults, _order, template, every, given)
    stock = _stock(faults, given)
    set_keys = attempt(faults, read_set_keys, given_keys)
    workup = None if set_keys is None else attempt(faults, opened, instrument, set_keys, bool(given[COMPUTED]))
    if faults or order is None or set_keys is None or workup is None:
        raise InputFaults(faults)
    with set_keys.blamed():
        stem = stem_for(instrument)
        printed = _printed(workup, order, stock, stem)
    warn((*printed.notes, *order.notes))
    write(printed.files, out)
    headline(workup)
    if printed.missing:
        print_missing(replace(one, why=of_this_command(set_keys.at_option(one.why))) for one in printed.missing)
        raise SystemExit(SOME_MISSING)


def _printed(workup: "Workup", order: "Order", stock: "Stock | None", stem: str) -> "Printed":
    """The files of an order, or of its kit if there is ``stock``. Raises `InputFaults`."""
    if stock is None:
        from jigs.press.press import prepare

        return prepare(workup, order, stem)
    from jigs.press.kit import prepare_kit  # late: nesting takes a while to load

    return prepare_kit(workup, order, stock, stem)


def _order(template: tuple[str, ...], every: bool, given: dict[str, Given]) -> "Order":
    """What to draw, from the words of the command line. Raises `InputFaults`."""
    from jigs.press.order import DEFAULT_TEMPLATE, read_order
    from jigs.templates.catalogue import CUT_FROM_STOCK, KIT, NAMES

    kit = bool(given["kit"])
    all_names = [name for name in NAMES if name in CUT_FROM_STOCK or not kit]
    templates = all_names if every else template or (KIT if kit else (DEFAULT_TEMPLATE,))
    words = given_options(given)
    if words["format"] is None:
        words["format"] = _OF_A_KIT if kit else _FORMATS
    return read_order(templates, words, "template", False, every or (kit and not template))


def _stock(faults: "list[Fault]", given: dict[str, Given]) -> "Stock | None":
    """The stock for a kit; None without one, or with faults."""
    from jigs.faults import Place, attempt
    from jigs.templates.catalogue import KIT_SHEET

    asked = {name: str(given[name]) for name in ("sheet", "gap") if given[name] is not None}
    if not given["kit"]:
        faults += (only_in_a_kit().at(Place(option=name)) for name in asked)
        return None
    from jigs.cutting.nesting import stock_named

    return attempt(faults, stock_named, asked.get("sheet", KIT_SHEET), asked.get("gap"))
