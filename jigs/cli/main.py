"""The command line: plain words in, results to the terminal. It computes nothing.

Heavy modules are imported where they are used, so that ``jigs --help`` answers at once.
"""

import os
from importlib import import_module

import click

from jigs import __version__
from jigs.cli import words
from jigs.cli.common import EXIT_STATUS

# pydantic searches every installed package for plug-ins; none is used here, and the search takes time.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

COMMANDS = (
    "compare",
    "demo",
    "draw",
    "keep",
    "keys",
    "listen",
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


class _Commands(click.Group):
    """The commands of `COMMANDS`."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command; for an unknown one all are loaded, so that click can suggest the nearest."""
        for name in [cmd_name] if cmd_name in COMMANDS else COMMANDS:
            if name not in self.commands:
                self.add_command(getattr(import_module(f"jigs.cli.{name}"), name))
        return super().get_command(ctx, cmd_name)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command; a file alone, or "print", most likely means to draw."""
        if args and args[0] not in COMMANDS and (args[0] == "print" or args[0].endswith(".toml")):
            ctx.fail(words.perhaps_draw(args))
        return super().resolve_command(ctx, args)


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog=EXIT_STATUS,
)
@click.version_option(__version__, prog_name="jigs")
def main() -> None:
    """Print jigs that place a loose banjo or mandolin bridge.

    Start with `jigs presets banjo > mine.toml`. Put your own measurements into mine.toml. Then run `jigs draw mine.toml`.
    """
