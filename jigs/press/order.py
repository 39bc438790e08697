"""What was ordered: templates, paper, formats, options with the cutter, printer. One value, read from words in one place.

The command line, the page and the rack all make it here and hand it to `jigs.press.press`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from jigs.export.formats import FORMATS, read_formats
from jigs.faults import Fault, InputFaults
from jigs.printers.printer import Printer
from jigs.sheets.paper import PAPERS, Paper, paper_named
from jigs.templates.options import Given, Options, read_options
from jigs.templates.template import Template, chosen

USUAL_TEMPLATE, USUAL_PAPER, USUAL_FORMATS = "fork", "a4", "pdf,svg"


@dataclass(frozen=True)
class Order:
    """What is to be drawn, on which paper, in which formats, and by which printer it will be printed.

    ``nested``: parts cut from stock have no cut files of their own. ``leave_out``: pass over templates that an instrument
    has no measurements for, with a note, instead of refusing the order.
    """

    templates: tuple[Template, ...]
    paper: Paper = PAPERS[USUAL_PAPER]
    formats: tuple[str, ...] = ("pdf", "svg")
    options: Options = field(default_factory=Options)
    printer: Printer | None = None
    nested: bool = False
    leave_out: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """The templates' names."""
        return tuple(template.name for template in self.templates)


@dataclass(frozen=True)
class OrderWords:
    """An order as it was written. ``templates`` and ``formats`` are lists with commas, or one name for each."""

    templates: Sequence[str] = (USUAL_TEMPLATE,)
    paper: str = USUAL_PAPER
    formats: str = USUAL_FORMATS
    printer: str | None = None
    given: Given = field(default_factory=dict)
    nested: bool = False
    leave_out: bool = False


def read_order(written: OrderWords, known_formats: Sequence[str] = FORMATS) -> Order:
    """The order. Raises `InputFaults` with all faults."""
    faults: list[Fault] = []
    templates: list[Template] = []
    paper, formats, options, printer = PAPERS[USUAL_PAPER], list[str](), Options(), None
    try:
        templates = chosen(written.templates)
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        paper = paper_named(written.paper)
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        formats = read_formats(written.formats, known_formats)
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        printer = _printer(written.printer)
    except InputFaults as wrong:
        faults += wrong.faults
    try:
        options = read_options(written.given, [template.name for template in templates])
    except InputFaults as wrong:
        faults += wrong.faults
    if faults:
        raise InputFaults(faults)
    return Order(
        tuple(templates), paper, tuple(dict.fromkeys(formats)), options, printer, written.nested, written.leave_out
    )


def _printer(name: str | None) -> Printer | None:
    if name is None:
        return None
    from jigs.printers.kept import load

    return load(name)
