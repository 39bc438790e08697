"""The command line: plain words in, results to the terminal. It computes nothing.

Heavy modules are imported where they are used, so that ``jigs --help`` answers at once.
"""

import os
from importlib import import_module
from typing import Any

import click

from jigs import STOPPED, __version__
from jigs.cli.common import ANYTHING_ELSE, EXIT_STATUS, leave_without_output
from jigs.cli.meant import Group
from jigs.system.streams import OutputLost

# pydantic searches every installed package for plug-ins; none is used here, and the search takes time.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

COMMANDS = (
    "compare",
    "demo",
    "draw",
    "guide",
    "keep",
    "keys",
    "listen",
    "new",
    "numbers",
    "page",
    "presets",
    "printer",
    "rack",
    "readings",
    "settings",
    "survey",
)
"""Each is a module in this folder, imported when it is used."""


class _Commands(Group):
    """The commands of `COMMANDS`."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, loaded when it is used."""
        if cmd_name in COMMANDS and cmd_name not in self.commands:
            self.add_command(getattr(import_module(f"jigs.cli.{cmd_name}"), cmd_name))
        return super().get_command(ctx, cmd_name)

    def invoke(self, ctx: click.Context) -> object:
        """Run a command, or say that it was stopped."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            click.echo(f"\n{STOPPED}", err=True)
            raise SystemExit(ANYTHING_ELSE) from None

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Run a command; if its lines cannot be printed, say so."""
        try:
            return super().main(*args, **kwargs)
        except OutputLost as lost:
            leave_without_output(str(lost))


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog=EXIT_STATUS,
)
@click.version_option(__version__, prog_name="jigs")
def main() -> None:
    """Print jigs that place a loose banjo or mandolin bridge.

    Start with `jigs new mine.toml`: it asks for your measurements. Then run `jigs draw mine.toml`, and print the fork. Or
    run `jigs page` to do all of it in your browser.
    """
