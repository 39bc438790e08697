"""``jigs survey``: a fretboard that exists."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from jigs.cli import completion
from jigs.cli.common import guarded, warn, write

if TYPE_CHECKING:
    from jigs.survey.file import SurveyedBoard


@click.command()
@click.argument("file", shell_complete=completion.files)
@click.option("--json", "as_json", is_flag=True, help="As JSON, for programs.")
@click.option(
    "--reading-error",
    metavar="LENGTH",
    help="How far off a single reading may be: its standard deviation. Left out: from the file, from readings that are"
    " repeated, or 0.25 mm.",
)
@click.option("--format", "formats", help="Draw a picture as well: pdf, svg, or both with a comma.")
@click.option("--out", shell_complete=completion.folders, help="Folder to write the picture to; this one if left out.")
@click.option("--paper", help="Paper of the picture, as for draw; a4 if left out.")
@guarded
def survey(
    file: str, as_json: bool, reading_error: str | None, formats: str | None, out: str | None, paper: str | None
) -> None:
    """Survey a fretboard from FILE: scale, nut, rule, and frets that are out of place.

    FILE is CSV, a line for each fret: its number, its distance from the nut, and any further readings of it. TOML does too,
    with frets = [[1, 19.8], [2, "38.5 mm"]].
    """
    from jigs.faults import Place
    from jigs.survey import fault_words, words
    from jigs.survey.file import load

    if formats is None and (out or paper):
        raise fault_words.picture_not_asked_for().refusal(Place(option="out" if out else "paper"))
    board = load(Path(file), reading_error)
    drawn = {} if formats is None else _survey_picture(file, board, formats, paper or "a4")
    warn(words.notes(board))
    if drawn:
        write(drawn, out or ".", err=as_json)
    click.echo(words.as_json(board) if as_json else words.as_table(board), nl=False)


def _survey_picture(file: str, board: "SurveyedBoard", formats: str, paper: str) -> Mapping[str, bytes]:
    from jigs.export.formats import ON_PAPER, read_formats
    from jigs.instrument.opening import stem_for
    from jigs.sheets.paper import paper_named
    from jigs.survey.picture import files

    return files(board, paper_named(paper), read_formats(formats, ON_PAPER), stem_for(file))
