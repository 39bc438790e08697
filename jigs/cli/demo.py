"""``jigs demo``: the sample instruments."""

import click

from jigs.cli.common import guarded, headline, write
from jigs.cli.draw_options import out_option
from jigs.cli.words import FOLDER


@click.command()
@out_option(FOLDER, "out_examples")
@guarded
def demo(out: str) -> None:
    """Draw the sample instruments."""
    from jigs.demo.examples import demo_files, demo_workups

    workups = demo_workups()
    write(demo_files(workups), out)
    for workup in workups.values():
        click.echo(f"{workup.instrument.name}:")
        headline(workup)
