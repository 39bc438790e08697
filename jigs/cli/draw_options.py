"""The options of a drawing, for every command that draws, as the catalogue declares them."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from jigs.cli import completion
from jigs.templates.catalogue import NAMES, OPTIONS, OptionEntry

Command = TypeVar("Command", bound=Callable[..., Any])

PAPER_HELP = "Paper: a4, letter, a3, tabloid, legal, or WxH such as 200x300."
"""Checked against the papers by a test: they are not loaded for help."""


def draw_options(command: Command) -> Command:
    """Add the options of the catalogue; they come as keyword arguments, by their names with underscores."""
    for entry in reversed(OPTIONS):
        command = click.option(f"--{entry.name}", _variable(entry), **_kind(entry), help=_help(entry))(command)
    return command


def paper_option(default: str | None = "a4", help_: str = PAPER_HELP) -> Callable[[Command], Command]:
    """``--paper``; without a default the help says what counts."""
    return click.option("--paper", default=default, show_default=default is not None, help=help_)


def format_option(default: str | None, help_: str) -> Callable[[Command], Command]:
    """``--format``."""
    return click.option("--format", "formats", default=default, show_default=default is not None, help=help_)


def out_option(default: str | None, help_: str = "Folder to write to.") -> Callable[[Command], Command]:
    """``--out``."""
    return click.option(
        "--out", default=default, show_default=default is not None, shell_complete=completion.folders, help=help_
    )


def given_options(arguments: dict[str, Any]) -> dict[str, Any]:
    """The catalogue's options among a command's arguments, by their own names; they are removed from ``arguments``."""
    return {entry.name: arguments.pop(_variable(entry)) for entry in OPTIONS}


def _variable(entry: OptionEntry) -> str:
    return f"draw_{entry.name.replace('-', '_')}"


def _kind(entry: OptionEntry) -> dict[str, Any]:
    match entry.kind:
        case "flag":
            return {"is_flag": True}
        case "fret":
            return {"type": int, "metavar": "FRET"}
        case "side":
            return {"metavar": "SIDE"}
        case _:
            return {"metavar": "LENGTH"}


def _help(entry: OptionEntry) -> str:
    users = ", ".join(name for name in NAMES if name in entry.users)
    default = f"  [default: {entry.default}]" if entry.default else ""
    return f"{users.capitalize()}: {entry.description}.{default}"
