"""What was ordered: templates, paper, formats, options, printer."""

from dataclasses import dataclass

from jigs.printers.printer import Printer
from jigs.sheets.paper import Paper
from jigs.templates.options import Options


@dataclass(frozen=True)
class Order:
    """What is to be drawn of every instrument, and by which printer it will be printed.

    ``nested``: parts cut from stock have no cut files of their own.
    """

    templates: tuple[str, ...]
    paper: Paper
    formats: tuple[str, ...]
    options: Options
    untiled: bool = False
    nested: bool = False
    printer: Printer | None = None
