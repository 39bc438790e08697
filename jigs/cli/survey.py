"""``jigs survey``: the command line of the survey of a fretboard."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from jigs.cli import completion
from jigs.cli.common import guarded, json_option, warn, write
from jigs.cli.draw_options import format_option, out_option, paper_option
from jigs.cli.words import PICTURE_FOLDER, PICTURE_PAPER, TO_PRINT

if TYPE_CHECKING:
    from jigs.survey.file import SurveyedBoard


@click.command()
@click.argument("file", shell_complete=completion.files)
@json_option
@click.option(
    "--reading-error",
    metavar="LENGTH",
    show_default="from the file, from repeated readings, or 0.25 mm",
    help="How far off one reading may be, in mm: its standard deviation.",
)
@format_option(f"Also draw a picture. {TO_PRINT}", None, False)
@out_option(PICTURE_FOLDER, None, ".")
@paper_option(PICTURE_PAPER, None, "a4")
@guarded
def survey(
    file: str, as_json: bool, reading_error: str | None, formats: str | None, out: str | None, paper: str | None
) -> None:
    """Find the scale, the rule and misplaced frets of a board.

    FILE is a CSV file with a line for each fret: its number, its distance from the nut, and any further readings. TOML also
    works: frets = [[1, 19.8], [2, "38.5 mm"]].
    """
    from jigs.faults import InputFaults, Place
    from jigs.survey import fault_words, tables, words
    from jigs.survey.file import load

    idle = (
        [] if formats is not None else [name for name, given in (("out", out), ("paper", paper)) if given is not None]
    )
    if idle:
        raise InputFaults([fault_words.no_picture().at(Place(option=option)) for option in idle])
    board = load(Path(file), reading_error)
    drawn = {} if formats is None else _survey_picture(file, board, formats, paper or "a4")
    warn(words.notes(board))
    if drawn:
        write(drawn, out or ".", err=as_json)
    click.echo(tables.as_json(board) if as_json else tables.as_table(board), nl=False)


def _survey_picture(file: str, board: "SurveyedBoard", formats: str, paper: str) -> Mapping[str, bytes]:
    from jigs.export.formats import ON_PAPER, read_formats
    from jigs.instrument.opening import stem_for
    from jigs.sheets.paper import paper_named
    from jigs.survey.picture import files

    return files(board, paper_named(paper), read_formats(formats, ON_PAPER), stem_for(file))
