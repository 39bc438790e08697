"""Options that `jigs readings` and `jigs listen` share: where the bridge is, the touch, the log and its picture."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeAlias

import click

from jigs.cli import completion
from jigs.cli.common import json_option
from jigs.cli.draw_options import computed_option, format_option, out_option, paper_option, set_option
from jigs.cli.words import PICTURE_FOLDER, PICTURE_PAPER, TO_PRINT

if TYPE_CHECKING:
    from jigs.readings.run import Picture

_Command: TypeAlias = Callable[..., Any]
_Decorator: TypeAlias = Callable[[_Command], _Command]


def place_option(command: _Command) -> _Command:
    """``--at``, into the argument ``stands_at``."""
    return click.option(
        "--at",
        "stands_at",
        metavar="PLACE",
        help="Where the bridge's crown is now, from the nut, in mm: one length, or 'TREBLE / BASS'. 'line': where a sheet"
        " put it. 'wedges +3 / -5.5': what the gauge's wedges read. Default: where the log's last round left it.",
    )(command)


def touch_option(command: _Command) -> _Command:
    """``--touch-error``."""
    return click.option(
        "--touch-error",
        metavar="CENTS",
        show_default="0.7",
        help="How far the finger repeats itself, in cents: the standard deviation of a fretted note.",
    )(command)


def outcome_options(diagnosis: str, picture: str) -> _Decorator:
    """``--diagnose``, ``--json``, ``--log``, a picture's options and ``--set``; ``picture`` says what is drawn."""
    options = (
        click.option("--diagnose", is_flag=True, help=diagnosis),
        json_option,
        click.option(
            "--log",
            shell_complete=completion.files,
            metavar="FILE",
            help="Add the readings and the advice to this file.",
        ),
        format_option(f"{picture} {TO_PRINT}", None, False),
        out_option(PICTURE_FOLDER, None, "."),
        paper_option(PICTURE_PAPER, None, "a4"),
        computed_option,
        set_option,
    )

    def decorate(command: _Command) -> _Command:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


def wanted_picture(given: Mapping[str, Any], needs_log: bool) -> "Picture | None":
    """The picture to draw, None if no format is given. Raises `InputFaults` for options of a picture that is not wanted."""
    from jigs.faults import InputFaults, Place
    from jigs.readings import fault_words, run

    log, formats = given["log"], given["formats"]
    if formats is None:
        idle = [option for option in ("out", "paper") if given[option] is not None]
        if idle:
            says = fault_words.no_picture(log is not None or not needs_log)
            raise InputFaults([says.at(Place(option=option)) for option in idle])
        return None
    if needs_log and log is None:
        raise fault_words.format_without_log().refusal(Place(option="format"))
    return run.picture(formats, given["paper"] or "a4", given["instrument"], given["out"] or ".")
