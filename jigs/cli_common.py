"""What all commands share: faults told in sentences, notes, files written."""

import io
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

if TYPE_CHECKING:
    from jigs.workup import Workup

USER_INPUT = 2
ANYTHING_ELSE = 1


def told_in_sentences(command: Callable[..., None]) -> Callable[..., None]:
    """Print faults of the user's input, a line each, and leave with status 2; other trouble is a sentence and status 1."""

    @wraps(command)
    def guarded(*args: Any, **kwargs: Any) -> None:
        from jigs.faults import InputFaults

        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")
        try:
            command(*args, **kwargs)
            sys.stdout.flush()
        except InputFaults as faults:
            for fault in faults.faults:
                click.echo(str(fault), err=True)
            raise SystemExit(USER_INPUT) from None
        except BrokenPipeError:
            raise
        except OSError as error:
            click.echo(
                f"standard output: cannot be written ({error.strerror}); nothing is lost but these lines", err=True
            )
            sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - Python flushes it once more at exit
            raise SystemExit(ANYTHING_ELSE) from None

    return guarded


def opened(instrument: str) -> "Workup":
    """All numbers of an instrument, from a file or a preset's name. Raises `InputFaults`."""
    from jigs.press import open_instrument
    from jigs.workup import work_up

    return work_up(open_instrument(instrument))


def warn(warnings: Sequence[str]) -> None:
    """Print what the user should know, a line each, on standard error."""
    for warning in warnings:
        click.echo(f"note: {warning}", err=True)


def write(files: Mapping[str, bytes], out: str, err: bool = False) -> None:
    """Write files and say so. Raises `InputFaults`."""
    from jigs.press import write_all

    for path in write_all(files, Path(out)):
        click.echo(f"wrote {path}", err=err)


def files(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """A shell's own completion of file names."""
    return [CompletionItem(begun, type="file")]


def folders(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """A shell's own completion of folders."""
    return [CompletionItem(begun, type="dir")]


def presets(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Presets that begin like this."""
    from jigs.press import preset_names

    return [CompletionItem(name) for name in preset_names() if name.startswith(begun)]


def instruments(ctx: click.Context, param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Instrument files, or presets that begin like this."""
    return [*files(ctx, param, begun), *presets(ctx, param, begun)]


def template_names(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Templates that begin like this."""
    from jigs.templates import NAMES

    return [CompletionItem(name) for name in NAMES if name.startswith(begun)]
