"""``jigs keys``: what an instrument file may hold."""

import click

from jigs.cli import completion
from jigs.cli.common import guarded, json_option


@click.command()
@click.argument("table", required=False, shell_complete=completion.tables)
@json_option
@guarded
def keys(table: str | None, as_json: bool) -> None:
    """List the keys of an instrument file.

    TABLE: one of its tables, such as bridge or strings; "instrument" is the top of the file. Default: all.
    """
    from jigs.instrument import reference

    tables = reference.chosen_tables(table)
    click.echo(reference.as_json(tables) if as_json else reference.as_table(tables), nl=False)
