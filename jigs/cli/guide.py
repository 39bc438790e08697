"""``jigs guide``: the guides, a page of text at a time."""

import click

from jigs.cli import completion
from jigs.cli.common import guarded


@click.command()
@click.argument("name", required=False, shell_complete=completion.guides)
@guarded
def guide(name: str | None) -> None:
    """Show a guide, or list them all.

    NAME: the guide to show, such as player.
    """
    from jigs.guide.guides import guide as read
    from jigs.guide.guides import guides

    if name is None:
        from jigs.wording import in_columns

        for line in in_columns([(one.name, one.title) for one in guides()], "<<"):
            click.echo(line)
        return
    import shutil
    import sys

    from jigs.cli.on_terminal import laid_out

    text = read(name).text
    click.echo_via_pager(laid_out(text, sys.stdout.isatty(), shutil.get_terminal_size().columns))
