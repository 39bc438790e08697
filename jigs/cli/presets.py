"""``jigs presets``: instrument files to start from."""

import click

from jigs.cli import completion
from jigs.cli.common import guarded


@click.command()
@click.argument("name", required=False, shell_complete=completion.presets)
@guarded
def presets(name: str | None) -> None:
    """List the presets, or print one to start from.

    NAME: the preset whose instrument file is printed.
    """
    from jigs.instrument.opening import preset_names, preset_text

    if name:
        click.echo(preset_text(name), nl=False)
    else:
        for known in preset_names():
            click.echo(known)
