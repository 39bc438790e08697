"""Options that several commands share, and those of a drawing, made from the catalogue."""

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

import click

from jigs.cli import completion
from jigs.cli.words import kit_in_help, papers_in_help
from jigs.templates.catalogue import COMPUTED, KIT, KIT_SHEET, OPTIONS, TEMPLATES, DrawOption

Command: TypeAlias = Callable[..., Any]
Decorator: TypeAlias = Callable[[Command], Command]
Given: TypeAlias = str | int | bool | None


class WithTemplates(click.Command):
    """A command whose help lists the templates."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The templates, one a line, and then the options."""
        with formatter.section("Templates"):
            formatter.write_dl([(entry.name, entry.description) for entry in TEMPLATES])
        super().format_options(ctx, formatter)


class _PaperOption(click.Option):
    """Its help lists the papers, which are loaded only when help is printed."""

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        """The option and its help."""
        from jigs.sheets.paper import PAPERS

        own = self.help
        self.help = f"{own} {papers_in_help(PAPERS)}"
        try:
            return super().get_help_record(ctx)
        finally:
            self.help = own


def paper_option(words: str, default: str | None = "a4", shown: str | bool = True) -> Decorator:
    """``--paper``; ``words`` say what the paper is of."""
    return click.option("--paper", cls=_PaperOption, metavar="PAPER", default=default, show_default=shown, help=words)


def format_option(words: str, default: str | None, shown: str | bool = True) -> Decorator:
    """``--format``, into the argument ``formats``; ``words`` say what the formats are of."""
    return click.option("--format", "formats", metavar="FORMATS", default=default, show_default=shown, help=words)


def out_option(words: str, default: str | None, shown: str | bool = True) -> Decorator:
    """``--out``; ``words`` say what is written to the folder."""
    return click.option(
        "--out", metavar="FOLDER", shell_complete=completion.folders, default=default, show_default=shown, help=words
    )


def stock_options(command: Command) -> Command:
    """``--kit``, ``--sheet`` and ``--gap``: parts nested on sheets of stock."""
    gap = click.option(
        "--gap", metavar="LENGTH", show_default="3 mm", help="Stock left between parts and at the edges, in mm."
    )
    sheet = click.option(
        "--sheet",
        metavar="WxH",
        show_default=f"{KIT_SHEET} with --kit",
        help="Size of a sheet of stock in mm, such as 600x300, to lay all parts on.",
    )
    return click.option("--kit", is_flag=True, help=kit_in_help(KIT))(sheet(gap(command)))


def set_option(command: Command) -> Command:
    """``--set``, into the argument ``given_keys``: what `jigs.instrument.set_keys.read_set_keys` reads."""
    return click.option(
        "--set",
        "given_keys",
        multiple=True,
        metavar="KEY=VALUE",
        shell_complete=completion.keys_to_set,
        help='Use this value instead of the file\'s: scale="26 1/4 in", action.fret_12=2.8, strings.4.note=D3. Repeat it for'
        " more keys; `jigs keys` lists them.",
    )(command)


def computed_option(command: Command) -> Command:
    """``--computed``, for a command that draws nothing; `draw_options` has it from the catalogue."""
    option = next(option for option in OPTIONS if option.name == COMPUTED)
    return click.option(f"--{option.name}", is_flag=True, help=f"{option.help[0].upper()}{option.help[1:]}.")(command)


def draw_options(command: Command) -> Command:
    """The options of a drawing, into the arguments that `given_options` takes."""
    for option in reversed(OPTIONS):
        command = _as_option(option)(command)
    by_printer = click.option(
        "--printer", metavar="NAME", help="Correct for the errors of this printer (see jigs printer)."
    )
    return by_printer(command)


def _as_option(option: DrawOption) -> Decorator:
    if option.kind == "flag":
        return click.option(f"--{option.name}", is_flag=True, help=option.full_help)
    shown = option.default or None
    return click.option(f"--{option.name}", metavar=option.metavar, show_default=shown, help=option.full_help)


def given_options(arguments: Mapping[str, Given]) -> dict[str, Given]:
    """What was given for each option, by its name, from click's arguments.

    >>> given_options({"datum_fret": "15", "formats": "pdf"})
    {'datum-fret': '15', 'format': 'pdf'}
    """
    return {"format" if name == "formats" else name.replace("_", "-"): value for name, value in arguments.items()}
