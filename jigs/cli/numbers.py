"""``jigs numbers``: every number of an instrument."""

import click

from jigs.cli import completion
from jigs.cli.common import guarded, json_option, opened, warn
from jigs.cli.draw_options import computed_option, set_option


@click.command()
@click.argument("instrument", shell_complete=completion.instruments)
@json_option
@click.option("--csv", "as_csv", is_flag=True, help="Print CSV, for a spreadsheet.")
@click.option(
    "--at",
    "stands_at",
    metavar="PLACE",
    help="Where the bridge's crown is now, from the nut, in mm: adds what each note reads there. One length, or"
    " 'TREBLE / BASS' at the outer full-length strings.",
)
@computed_option
@set_option
@guarded
def numbers(
    instrument: str, as_json: bool, as_csv: bool, stands_at: str | None, computed: bool, given_keys: tuple[str, ...]
) -> None:
    """Print frets, strings and bridge line of an instrument.

    INSTRUMENT: an instrument file, or the name of a preset.
    """
    from jigs.cli import words
    from jigs.faults import Place
    from jigs.instrument.set_keys import read_set_keys
    from jigs.workup import tables as figures
    from jigs.workup.standing import read_place

    if as_json and as_csv:
        raise words.both_given("json").refusal(Place(option="csv"))
    workup = opened(instrument, read_set_keys(given_keys), computed)
    place = None if stands_at is None else read_place(stands_at, workup)
    show = figures.as_json if as_json else figures.as_csv if as_csv else figures.as_table
    warn(workup.notes)
    click.echo(show(workup, place), nl=False)
