"""``jigs settings``: the user's settings for a cutter."""

from contextlib import suppress

import click

from jigs.cli.common import guarded


@click.command()
@click.option("--example", is_flag=True, help="Print a settings file to start from, with all defaults.")
@guarded
def settings(example: bool) -> None:
    """Print your cutter settings, and where they are kept.

    The file's path goes to standard error.
    """
    from jigs.cutting.settings import cutter_for, settings_text
    from jigs.cutting.words import SETTINGS_EXAMPLE
    from jigs.system.user_folder import NoHome, settings_path

    with suppress(*(NoHome,) if example else ()):
        click.echo(f"settings file: {settings_path()}", err=True)
    if not example:
        cutter_for({})  # raises what is wrong with the file
    click.echo(SETTINGS_EXAMPLE if example else settings_text(), nl=False)
