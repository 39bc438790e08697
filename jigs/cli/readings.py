"""``jigs readings``: options to `jigs.readings.run`, advice to the terminal. It computes nothing."""

from typing import Any

import click

from jigs.cli import completion
from jigs.cli.common import guarded, json_option, opened, warn
from jigs.cli.draw_options import computed_option, format_option, out_option, paper_option, set_option
from jigs.cli.words import PICTURE_FOLDER, PICTURE_PAPER, TO_PRINT

_ORDER = "jigs.order"
_TONES = ("string", "harmonic", "fretted", "fret", "open_")


class _Ordered(click.Command):
    """A command that knows the order of its options; click itself keeps only each option's values."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        _, _, order = self.make_parser(ctx).parse_args(args=list(args))
        ctx.meta[_ORDER] = [param.name for param in order]
        return super().parse_args(ctx, args)


@click.command(cls=_Ordered)
@click.argument("instrument", shell_complete=completion.instruments)
@click.option(
    "--string", multiple=True, metavar="NUMBER", help="String number; the readings after it are of this string."
)
@click.option("--harmonic", multiple=True, metavar="CENTS", help="Its octave harmonic, in cents or as '293.9Hz'.")
@click.option("--fretted", multiple=True, metavar="CENTS", help="The note fretted at the octave, or at --fret.")
@click.option("--fret", multiple=True, metavar="NUMBER", help="Diagnosis: the fret, counted from the string's own nut.")
@click.option(
    "--open", "open_", multiple=True, metavar="CENTS", help="Diagnosis: the open string instead of the harmonic."
)
@click.option(
    "--file", shell_complete=completion.files, metavar="FILE", help="Take the readings from a CSV or TOML file."
)
@click.option(
    "--at",
    "stands_at",
    metavar="PLACE",
    help="Where the bridge's crown is now, from the nut, as for numbers; 'line' if a sheet put it there; or what the wedges"
    " of a gauge read: 'wedges +3 / -5.5'. Default: where the log's last round left it.",
)
@click.option(
    "--tuner-error",
    metavar="CENTS",
    show_default="0.5",
    help="How far one tuner reading may be off: its standard deviation.",
)
@click.option(
    "--touch-error",
    metavar="CENTS",
    show_default="0.7",
    help="How far the finger repeats itself: the standard deviation of a fretted note.",
)
@click.option("--diagnose", is_flag=True, help="Say what may be wrong, from readings at several frets.")
@json_option
@click.option(
    "--log", shell_complete=completion.files, metavar="FILE", help="Add the readings and the advice to this file."
)
@format_option(f"Draw the log. {TO_PRINT}", None, False)
@out_option(PICTURE_FOLDER, None, ".")
@paper_option(PICTURE_PAPER, None, "a4")
@computed_option
@set_option
@click.pass_context
@guarded
def readings(ctx: click.Context, **given: Any) -> None:
    """Turn tuner readings into moves of the bridge.

    INSTRUMENT is a file or a preset's name. Read both outer strings: first the octave harmonic, then the note fretted there,
    at fret 12 on most boards. Type the cents that the tuner shows, with a minus for flat. Read each note three times, and
    give all three pairs.

    Example: `jigs readings banjo --string 1 --harmonic 2 --fretted 1 --string 4 --harmonic 2 --fretted -5`.
    """
    from jigs.faults import InputFaults, Place
    from jigs.instrument.set_keys import read_set_keys
    from jigs.readings import fault_words, note_words, run, words
    from jigs.readings.as_json import as_json

    log, formats = given["log"], given["formats"]
    idle = [] if formats is not None else [option for option in ("out", "paper") if given[option] is not None]
    if idle:
        raise InputFaults([fault_words.no_picture(log is not None).at(Place(option=option)) for option in idle])
    if formats is not None and log is None:
        raise fault_words.format_without_log().refusal(Place(option="format"))
    workup = opened(given["instrument"], read_set_keys(given["given_keys"]), given["computed"])
    tones = _in_order(ctx)
    picture = None
    if formats is not None:
        picture = run.picture(formats, given["paper"] or "a4", given["instrument"], given["out"] or ".")
    if log is not None and picture is not None and not tones and given["file"] is None:
        for path in run.draw_log(workup, log, picture):
            click.echo(f"wrote {path}")
        return
    errors = given["tuner_error"], given["touch_error"]
    advice = run.advice(workup, tones, given["file"], given["stands_at"], errors, given["diagnose"], log)
    wrote = [] if log is None else run.keep(advice, log, picture)
    warn((*workup.notes, *note_words.notes(advice)))
    for path in wrote:
        click.echo(f"wrote {path}", err=given["as_json"])
    click.echo(as_json(advice) if given["as_json"] else words.as_table(advice), nl=False)


def _in_order(ctx: click.Context) -> list[tuple[str, str]]:
    """The readings as (option's name, value), in the order of the command line."""
    values = {name: iter(ctx.params[name]) for name in _TONES}
    order = [name for name in ctx.meta[_ORDER] if name in values]
    return [(name.rstrip("_"), next(values[name])) for name in order]
