"""``jigs compare``: two sets of strings to `jigs.workup.compare`, the moves to the terminal. It computes nothing."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from jigs.cli import completion
from jigs.cli.common import guarded, json_option, opened, warn, write
from jigs.cli.draw_options import computed_option, format_option, out_option, paper_option, set_option
from jigs.cli.words import PICTURE_FOLDER, PICTURE_PAPER, TO_PRINT

if TYPE_CHECKING:
    from jigs.faults import Fault
    from jigs.workup.compare import Comparison
    from jigs.workup.workup import Workup


@click.command()
@click.argument("old", shell_complete=completion.instruments)
@click.argument("new", required=False, shell_complete=completion.instruments)
@click.option(
    "--strings",
    metavar="STRINGS",
    help="The new strings, as on their packets, instead of NEW: 'D4 .010, B3 .012, …', or the gauges alone.",
)
@json_option
@format_option(f"Also draw a picture. {TO_PRINT}", None, False)
@out_option(PICTURE_FOLDER, None, ".")
@paper_option(PICTURE_PAPER, None, "a4")
@computed_option
@set_option
@guarded
def compare(old: str, new: str | None, strings: str | None, **given: Any) -> None:
    """Say how far the bridge moves for other strings.

    OLD is an instrument file or a preset's name. NEW is a file of the same instrument with the new strings; --strings gives
    them without a file. A key of --set counts for both.
    """
    from jigs.faults import InputFaults, Place
    from jigs.workup import compare_words
    from jigs.workup.compare import compare as compare_strings
    from jigs.workup.compare_tables import as_json as json_text
    from jigs.workup.compare_tables import as_table, notes

    formats, as_json = given["formats"], given["as_json"]
    idle = [] if formats is not None else [option for option in ("out", "paper") if given[option] is not None]
    faults = [compare_words.no_picture().at(Place(option=option)) for option in idle]
    if (new is None) == (strings is None):
        says = compare_words.nothing_to_compare() if new is None else compare_words.both_ways()
        faults.append(says.at(Place(old) if new is None else Place(option="strings")))
    if faults:
        raise InputFaults(faults)
    compared = compare_strings(*_both(old, new, strings, given["given_keys"], given["computed"]))
    drawn = {} if formats is None else _picture(compared, formats, given["paper"] or "a4", old)
    warn(list(notes(compared)))
    if drawn:
        write(drawn, given["out"] or ".", err=as_json)
    click.echo(json_text(compared) if as_json else as_table(compared), nl=False)


def _picture(compared: "Comparison", formats: str, paper: str, old: str) -> Mapping[str, bytes]:
    from jigs.export.formats import ON_PAPER, read_formats
    from jigs.instrument.opening import stem_for
    from jigs.press.compare_picture import files
    from jigs.sheets.paper import paper_named

    return files(compared, paper_named(paper), read_formats(formats, ON_PAPER), stem_for(old))


def _both(
    old: str, new: str | None, strings: str | None, given_keys: Sequence[str], computed: bool
) -> "tuple[Workup, ...]":
    """The instrument with the old strings, and with the new ones, once more for another make of strings given as text.

    Raises `InputFaults` with the faults of both.
    """
    from jigs.faults import InputFaults, Place, attempt
    from jigs.instrument.set_keys import read_set_keys
    from jigs.workup.compare import with_strings

    keys, faults = read_set_keys(given_keys), list["Fault"]()
    before, after = attempt(faults, opened, old, keys, computed), list["Workup"]()
    if new is not None:
        second = attempt(faults, opened, new, keys, computed)
        after = [] if second is None else [second]
    elif before is not None:
        after = list(attempt(faults, with_strings, before, strings, Place(option="strings")) or ())
    if before is None or not after:
        raise InputFaults(list(dict.fromkeys(faults)))
    return before, *after
