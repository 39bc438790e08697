"""One template of one instrument on as many sheets as it takes."""

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from jigs.drawing.instructions import Instructions
from jigs.drawing.room import DoesNotFit
from jigs.faults import InputFaults, Words
from jigs.press import words
from jigs.sheets.fitting import fits, fitted
from jigs.sheets.laying import long_on_sheets, on_sheets
from jigs.sheets.paper import Paper, Sheet, own_size_for, room_on
from jigs.sheets.title import Title
from jigs.templates.names import printed_name
from jigs.templates.options import Options
from jigs.templates.template import Lacks, Piece, Template, templates
from jigs.workup.sureness import in_short
from jigs.workup.table_words import with_fork
from jigs.workup.words import HeadlineFigure, checks_in_words, nut_in_words
from jigs.workup.workup import Workup

if TYPE_CHECKING:
    from jigs.printers.printer import Printer


def lay_out(
    workup: Workup,
    template: Template,
    paper: Paper,
    options: Options,
    untiled: bool = False,
    printer: "Printer | None" = None,
) -> list[Sheet]:
    """One template on as many sheets as it takes, corrected for a printer if there is one.

    Raises `InputFaults`, which names the papers that it fits on.
    """

    def lay(on: Paper) -> list[Sheet]:
        return _sheets(workup, template, on, options, untiled, printer)

    def probe(on: Paper, chosen: Options = options, in_one: bool = False) -> list[Sheet]:
        return _sheets(workup, template, on, chosen, in_one, printer, bare=True)

    def also() -> Words:
        free = replace(options, datum_fret=None)
        other_fret = options.datum_fret is not None and fits(partial(probe, chosen=free), paper)
        return words.or_otherwise(other_fret, not untiled and fits(partial(probe, in_one=True), paper))

    return fitted(lay, paper, f"the {template.name}", workup.instrument.source, also, probe)


def _sheets(
    workup: Workup,
    template: Template,
    paper: Paper,
    options: Options,
    untiled: bool,
    printer: "Printer | None",
    bare: bool = False,
) -> list[Sheet]:
    """``bare``: without the words that may go to another sheet. Raises `DoesNotFit`."""
    laid, piece = _drawn_for(workup, template, paper, options, printer)
    piece = replace(piece, said=piece.said.headings if bare else _with_checks(piece.said, workup))
    title = title_of(printed_name(workup, options.stem), piece, options)
    title = title if printer is None else replace(title, note=printer.on_the_sheet)
    if piece.long and untiled:
        own = own_size_for(piece.drawing, *piece.more)
        uncut = own if printer is None else printer.correction.paper_for(own)
        paper_of_its_own = replace(own, name=uncut.name)
        sheets = long_on_sheets(
            piece.drawing, piece.said, paper_of_its_own, title, for_words=laid, others=((), piece.more)
        )
    elif piece.long:
        counts_from = piece.counts_from or nut_in_words(workup.instrument)
        sheets = long_on_sheets(piece.drawing, piece.said, laid, title, counts_from, others=((), piece.more))
    elif piece.joined is not None:
        before, counts_from = (piece.drawing, *piece.more), nut_in_words(workup.instrument)
        sheets = long_on_sheets(piece.joined, piece.said, laid, title, counts_from, others=(before, ()))
    else:
        sheets = on_sheets((piece.drawing, *piece.more), piece.said, laid, title, further_scale=piece.more_scale)
    if printer is None:
        return sheets
    return [printer.correction.corrected(sheet, paper if sheet.paper is laid else uncut) for sheet in sheets]


def _with_checks(said: Instructions, workup: Workup) -> Instructions:
    """What the sheet says, after what is to be checked before it is used."""
    return replace(said, check=checks_in_words(workup.checks))


def _drawn_for(
    workup: Workup, template: Template, paper: Paper, options: Options, printer: "Printer | None"
) -> tuple[Paper, Piece]:
    """The paper as this printer prints on it, and the piece drawn in its room. Raises `DoesNotFit`."""
    laid = paper
    if printer is not None:
        laid = printer.correction.laid_on(paper)
        options = replace(options, print_share=printer.print_share)
    return laid, template.draw(workup, room_on(laid), options)


@dataclass(frozen=True)
class SheetInUse:
    """How a sheet places the bridge: the fret that it registers on, whether over its middle, and the error of its print.

    ``laid_with``: what it is, in words; a fork if empty.
    """

    datum_fret: int | None = None
    datum_over_fret: bool = False
    print_share: float | None = None
    laid_with: str = ""


_LIKE_A_FORK = ("fork", "setup-card")
"""The fork, and what goes with it."""


def in_use(workup: Workup, template: Template, paper: Paper, options: Options, printer: "Printer | None") -> SheetInUse:
    """How this sheet places the bridge; for a template that does not place one from a fret, how a fork does."""
    share = None if printer is None else printer.print_share
    try:
        fret = template.datum_fret(workup, options)
    except (Lacks, InputFaults):
        fret = None
    if fret is not None:
        return SheetInUse(fret, False, share, words.printed_part(template.name, fret))
    chosen = options if template.name in _LIKE_A_FORK else Options()
    try:
        datum = _drawn_for(workup, templates()["fork"], paper, chosen, printer)[1].datum_fret
    except (DoesNotFit, Lacks):
        datum = None
    fork = with_fork(datum or workup.instrument.octave_fret)
    laid_with = fork if template.name in _LIKE_A_FORK else words.fork_instead(fork, template.name)
    return SheetInUse(datum, chosen.datum_over_fret and datum is not None, share, laid_with)


def how_sure_on(
    workup: Workup, template: Template, paper: Paper, options: Options, printer: "Printer | None"
) -> HeadlineFigure:
    """How sure the bridge line is with this sheet, or with a fork."""
    used = in_use(workup, template, paper, options, printer)
    return in_short(workup, used.datum_fret, used.datum_over_fret, used.print_share, used.laid_with)


def title_of(name: str, piece: Piece, options: Options) -> Title:
    """The title block of a piece; ``name``: the instrument's, as its sheets or parts have it."""
    return Title(name, piece.document, piece.facts, scale=piece.scale, stem=options.stem)
