"""``jigs settings``: the settings of the user's cutter."""

import click

from jigs.cli.common import guarded


@click.command()
@click.option("--example", is_flag=True, help="Print an example settings file with every default.")
@guarded
def settings(example: bool) -> None:
    """Print the settings of your cutter.

    The path of the settings file goes to standard error.
    """
    from jigs.cutting.settings import SETTINGS_EXAMPLE, settings_text
    from jigs.system.user_folder import settings_path

    click.echo(f"settings file: {settings_path()}", err=True)
    click.echo(SETTINGS_EXAMPLE if example else settings_text(), nl=False)
