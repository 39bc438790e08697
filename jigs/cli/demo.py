"""``jigs demo``: the example instruments."""

import click

from jigs.cli import completion
from jigs.cli.common import guarded, headline, write


@click.command()
@click.option(
    "--out", shell_complete=completion.folders, default="out_examples", show_default=True, help="Folder to write to."
)
@guarded
def demo(out: str) -> None:
    """Draw the example instruments of a village library that lends them."""
    from jigs.demo.examples import demo_files, demo_workups

    workups = demo_workups()
    write(demo_files(workups), out)
    for workup in workups.values():
        click.echo(f"{workup.instrument.name}:")
        headline(workup)
