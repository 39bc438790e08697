"""``jigs readings``: options to `jigs.readings.run`, advice to the terminal. It computes nothing."""

from typing import Any

import click

from jigs.cli import completion
from jigs.cli.bench_options import outcome_options, place_option, touch_option, wanted_picture
from jigs.cli.common import guarded, opened, say, warn
from jigs.cli.words import DRAWS_LOG, FROM_FRETS

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
@click.option(
    "--fretted", multiple=True, metavar="CENTS", help="The note fretted at the octave, or at --fret, in cents."
)
@click.option("--fret", multiple=True, metavar="NUMBER", help="Diagnosis: the fret, counted from the string's own nut.")
@click.option(
    "--open",
    "open_",
    multiple=True,
    metavar="CENTS",
    help="Diagnosis: the open string instead of the harmonic, in cents.",
)
@click.option(
    "--file", shell_complete=completion.files, metavar="FILE", help="Take the readings from a CSV or TOML file."
)
@place_option
@click.option(
    "--tuner-error",
    metavar="CENTS",
    show_default="0.5",
    help="How far one tuner reading may be off, in cents: its standard deviation.",
)
@touch_option
@outcome_options(FROM_FRETS, DRAWS_LOG)
@click.pass_context
@guarded
def readings(ctx: click.Context, **given: Any) -> None:
    """Turn tuner readings into moves of the bridge.

    INSTRUMENT is a file or a preset's name. Read both outer strings: first the octave harmonic, then the note fretted there,
    at fret 12 on most boards. Type the cents that the tuner shows, with a minus for flat. Read each note three times, and
    give all three pairs.
    """
    from jigs.instrument.set_keys import read_set_keys
    from jigs.readings import note_words, run, words
    from jigs.readings.as_json import as_json

    log, picture = given["log"], wanted_picture(given, needs_log=True)
    workup = opened(given["instrument"], read_set_keys(given["given_keys"]), given["computed"])
    tones = _in_order(ctx)
    if log is not None and picture is not None and not tones and given["file"] is None:
        for path in run.draw_log(workup, log, picture):
            say(f"wrote {path}")
        return
    errors = given["tuner_error"], given["touch_error"]
    advice = run.advice(workup, tones, given["file"], given["stands_at"], errors, given["diagnose"], log)
    wrote = [] if log is None else run.keep(advice, log, picture)
    warn((*workup.notes, *note_words.notes(advice)))
    for path in wrote:
        say(f"wrote {path}", given["as_json"])
    click.echo(as_json(advice) if given["as_json"] else words.as_table(advice), nl=False)


def _in_order(ctx: click.Context) -> list[tuple[str, str]]:
    """The readings as (option's name, value), in the order of the command line."""
    values = {name: iter(ctx.params[name]) for name in _TONES}
    order = [name for name in ctx.meta[_ORDER] if name in values]
    return [(name.rstrip("_"), next(values[name])) for name in order]
