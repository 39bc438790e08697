"""What all commands share: faults and notes printed, files written."""

import io
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from jigs.cli import words
from jigs.cli.plain_signs import PLAINLY

if TYPE_CHECKING:
    from jigs.faults import Fault
    from jigs.instrument.set_keys import SetKeys
    from jigs.press.missing import Missing
    from jigs.workup.workup import Workup

ANYTHING_ELSE, USER_INPUT, SOME_MISSING = 1, 2, 3
"""Exit statuses besides 0."""

EXIT_STATUS = words.exit_statuses(ANYTHING_ELSE, USER_INPUT, SOME_MISSING)


def json_option(command: Callable[..., None]) -> Callable[..., None]:
    """``--json``, into the argument ``as_json``."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON, for programs.")(command)


def guarded(command: Callable[..., None]) -> Callable[..., None]:
    """Print faults of the user's input, a line each, and exit with status 2; other trouble is a sentence and status 1."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> None:
        from jigs.faults import InputFaults

        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors=PLAINLY)
        try:
            command(*args, **kwargs)
            sys.stdout.flush()
        except InputFaults as wrong:
            print_faults(of_this_command(fault) for fault in wrong.faults)
            raise SystemExit(USER_INPUT) from None
        except BrokenPipeError:
            raise
        except OSError as error:
            print_faults([_trouble(error)])
            raise SystemExit(ANYTHING_ELSE) from None

    return run


def _trouble(error: OSError) -> "Fault":
    """What the system refused, where nobody expected it to."""
    from jigs.faults import Place

    try:
        os.getcwd()
    except OSError:
        return words.folder_gone().at(Place(os.environ.get("PWD", "")))
    name = error.filename if isinstance(error.filename, str) else ""
    return words.refused_by_system(error.strerror or str(error)).at(Place(name))


def leave_without_output(reason: str) -> NoReturn:
    """Say that lines could not be printed, if that can be said, and leave."""
    from jigs.faults import Place
    from jigs.system.streams import OutputLost, silence

    with suppress(OutputLost, OSError):
        print_faults([words.output_unwritable(reason).at(Place())])
    silence()
    raise SystemExit(ANYTHING_ELSE) from None


def of_this_command(fault: "Fault") -> "Fault":
    """The fault without the file that was being drawn, if the fault is in an option: the file does not hold it."""
    return fault.at(source="") if fault.place.option else fault


def opened(instrument: str, set_keys: "SetKeys", computed: bool = False) -> "Workup":
    """All numbers of an instrument, from a file or a preset's name, with some keys set. Raises `InputFaults`.

    ``computed``: with the computed line, although a place was found by ear.
    """
    from jigs.instrument.opening import open_instrument
    from jigs.workup.work_up import work_up

    with set_keys.blamed():
        return work_up(open_instrument(instrument, set_keys, computed))


def say(text: str, err: bool = False) -> None:
    """Print lines of text in which there may be a file's name, whatever characters that has."""
    from jigs.faults import printable

    click.echo("\n".join(map(printable, text.split("\n"))), err=err)


def print_faults(faults: "Iterable[Fault]") -> None:
    """Print what is wrong, a line each, on standard error; keys and options by their names in the file and here."""
    for fault in faults:
        click.echo(str(fault), err=True)


def print_missing(missing: "Iterable[Missing]") -> None:
    """Print what could not be made, a line for each reason, on standard error."""
    for one in missing:
        click.echo(f"missing: {', '.join(one.names)}: {one.why}", err=True)


def warn(notes: Sequence[object]) -> None:
    """Print what the user should know, a line each, on standard error."""
    for note in notes:
        click.echo(f"note: {note}", err=True)


def write(files: Mapping[str, bytes], out: str, err: bool = False) -> None:
    """Write files and say so. Raises `InputFaults`."""
    from jigs.system.whole_files import write_all

    for path in write_all(files, Path(out)):
        say(f"wrote {path}", err)


def headline(workup: "Workup") -> None:
    """Print the three numbers that matter most."""
    from jigs.workup.words import headline as lines

    for line in lines(workup):
        click.echo(line)
