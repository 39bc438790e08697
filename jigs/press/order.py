"""What was ordered, as one value: templates, paper, formats, options, printer.

The command line, the page and the rack make it from plain words with `read_order`; `press.prepare` draws it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from jigs.export.formats import ON_PAPER, read_formats
from jigs.faults import Fault, InputFaults, Note, attempt
from jigs.sheets.paper import PAPERS, Paper, paper_named
from jigs.templates.catalogue import COMPUTED
from jigs.templates.options import Given, Options, idle_options, read_options
from jigs.templates.template import chosen
from jigs.workup.slant_words import SURE
from jigs.workup.work_up import without_found
from jigs.workup.workup import Workup

if TYPE_CHECKING:
    from jigs.printers.printer import Printer

DEFAULT_TEMPLATE, DEFAULT_PAPER = "fork", "a4"


@dataclass(frozen=True)
class Order:
    """What to draw of an instrument, and the printer that it will be printed on.

    ``templates``: their names. ``nested``: parts cut from stock have no cut files of their own. ``leave_out``: pass over
    templates that the instrument has no data for, with a note. ``sure``: draw the bridge line however much it slants.
    ``computed``: draw the computed line, not the one found by ear. ``notes``: what the user should know of the order itself.
    ``kit``: parts are as the catalogue says for a kit.
    """

    templates: tuple[str, ...] = (DEFAULT_TEMPLATE,)
    paper: Paper = PAPERS[DEFAULT_PAPER]
    formats: tuple[str, ...] = ON_PAPER
    options: Options = field(default_factory=Options)
    printer: "Printer | None" = None
    untiled: bool = False
    nested: bool = False
    leave_out: bool = False
    sure: bool = False
    computed: bool = False
    notes: tuple[Note, ...] = ()
    kit: bool = False


def read_order(
    templates: Sequence[str], given: Given, named_in: str = "template", nested: bool = False, leave_out: bool = False
) -> Order:
    """An order from plain words: the templates' names, and what was ``given`` for each option by its name.

    ``named_in``: the option that names the templates. Raises `InputFaults` with the faults of all of them.
    """
    faults: list[Fault] = []
    names = attempt(faults, chosen, templates, named_in)
    paper = attempt(faults, paper_named, _said(given, "paper", DEFAULT_PAPER))
    formats = attempt(faults, read_formats, _said(given, "format", ",".join(ON_PAPER)))
    options = attempt(faults, read_options, given, templates)
    printer = attempt(faults, _printer, given.get("printer"))
    if faults or names is None or paper is None or formats is None or options is None:
        raise InputFaults(faults)
    untiled, sure, computed, kit = (bool(given.get(name)) for name in ("untiled", SURE, COMPUTED, "kit"))
    notes = idle_options(given, names)
    return Order(names, paper, formats, options, printer, untiled, nested, leave_out, sure, computed, notes, kit)


def ordered(workup: Workup, order: Order) -> Workup:
    """The workup that is drawn: with the computed line, if that was ordered."""
    return without_found(workup) if order.computed else workup


def _said(given: Given, option: str, default: str) -> str:
    value = given.get(option)
    return default if value is None else str(value)


def _printer(name: str | int | bool | None) -> "Printer | None":
    """A printer from among those that were measured. Raises `InputFaults`."""
    if name is None:
        return None
    from jigs.printers.kept import load

    return load(str(name))
