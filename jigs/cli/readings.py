"""``jigs readings``: words to `readings_run`, advice to the terminal. It computes nothing."""

import click

from jigs.cli import completion
from jigs.cli.common import guarded, opened, warn


class _Ordered(click.Command):
    """A command to which the order of its options matters; click keeps the values of each option, not their order."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        _, _, order = self.make_parser(ctx).parse_args(args=list(args))
        ctx.meta[_ORDER] = [param.name for param in order]
        return super().parse_args(ctx, args)


_ORDER = "jigs.order"


@click.command(cls=_Ordered)
@click.argument("instrument", shell_complete=completion.instruments)
@click.option("--string", "string", multiple=True, metavar="NUMBER", help="The string that what follows is about.")
@click.option("--harmonic", multiple=True, metavar="CENTS", help="Its octave harmonic, in cents or as '293.9Hz'.")
@click.option("--fretted", multiple=True, metavar="CENTS", help="The note fretted at fret 12, or at --fret.")
@click.option("--fret", multiple=True, metavar="NUMBER", help="Diagnosis: the fret, from the string's own nut.")
@click.option("--open", "open_", multiple=True, metavar="CENTS", help="Diagnosis: the open string, not the harmonic.")
@click.option(
    "--file", "file", shell_complete=completion.files, metavar="FILE", help="Read them from a file, CSV or TOML."
)
@click.option(
    "--at", "stands_at", metavar="PLACE", help="Where the bridge's crown stands now, from the nut, as for numbers."
)
@click.option("--tuner-error", metavar="CENTS", help="Standard deviation of a tone on this tuner; 0.5 if left out.")
@click.option("--diagnose", is_flag=True, help="Say what may be wrong, from readings at several frets.")
@click.option("--json", "as_json", is_flag=True, help="As JSON, for programs.")
@click.option(
    "--log",
    "log",
    shell_complete=completion.files,
    metavar="FILE",
    help="Add what was read and advised to this file.",
)
@click.option("--format", "formats", help="Draw the log: pdf, svg, or both with a comma.")
@click.option("--out", shell_complete=completion.folders, help="Folder to write the picture to; this one if left out.")
@click.option("--paper", help="Paper of the picture, as for draw; a4 if left out.")
@click.pass_context
@guarded
def readings(
    ctx: click.Context,
    instrument: str,
    file: str | None,
    stands_at: str | None,
    tuner_error: str | None,
    diagnose: bool,
    as_json: bool,
    log: str | None,
    formats: str | None,
    out: str | None,
    paper: str | None,
    **_tones: tuple[str, ...],
) -> None:
    """Turn readings into moves: harmonic against fretted note, on INSTRUMENT, a file or a preset's name.

    `jigs readings banjo --string 1 --harmonic 2 --fretted 1 --string 4 --harmonic 2 --fretted -5`. Read both outer strings;
    the tuner's cents as they stand, minus for flat. Repeat a pair to have it averaged.
    """
    from jigs.faults import Place
    from jigs.readings import fault_words, run, words
    from jigs.readings.as_json import as_json as advice_as_json

    if formats is None and (out or paper):
        raise fault_words.picture_without_log().refusal(Place(option="out" if out else "paper"))
    if formats is not None and log is None:
        raise fault_words.format_without_log().refusal(Place(option="format"))
    workup = opened(instrument)
    given = _in_order(ctx)
    picture = None if formats is None else run.picture(formats, paper or "a4", instrument, out or ".")
    if log is not None and picture is not None and not given and file is None:
        for path in run.draw_log(workup, log, picture):
            click.echo(f"wrote {path}")
        return
    advice = run.advice(workup, given, file, stands_at, tuner_error, diagnose)
    wrote = [] if log is None else run.keep(advice, log, picture)
    warn((*workup.notes, *words.notes(advice)))
    for path in wrote:
        click.echo(f"wrote {path}", err=as_json)
    click.echo(advice_as_json(advice) if as_json else words.as_table(advice), nl=False)


def _in_order(ctx: click.Context) -> list[tuple[str, str]]:
    """The options that say what was read, (name, value) in the order in which they were given."""
    values = {name: iter(ctx.params[name]) for name in ("string", "harmonic", "fretted", "fret", "open_")}
    order = [name for name in ctx.meta[_ORDER] if name in values]
    return [(name.rstrip("_"), next(values[name])) for name in order]
