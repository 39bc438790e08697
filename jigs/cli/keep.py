"""``jigs keep``: options to `jigs.readings.keep`, what was kept to the terminal. It computes nothing."""

from typing import Any

import click

from jigs.cli import completion
from jigs.cli.common import guarded, say, warn


@click.command()
@click.argument("instrument", metavar="FILE", shell_complete=completion.instruments)
@click.option(
    "--at",
    metavar="PLACE",
    help="The crown line, from the nut, in mm: 'TREBLE / BASS' at the outer full-length strings.",
)
@click.option(
    "--feet-from-fret",
    nargs=2,
    metavar="FRET PLACE",
    help="The nut side of the feet, from the bridge side of a fret, in mm: 12 'TREBLE / BASS'. Hold the caliper along the"
    " strings.",
)
@click.option(
    "--ticks",
    metavar="CENTS",
    help="The ticks of your fork or gauge at both ends, in cents: '+3 / -5.5'; minus is towards the nut.",
)
@click.option(
    "--wedges",
    metavar="CENTS",
    help="What both wedges of your gauge read, treble and bass, in cents: '+3 / -5.5'.",
)
@click.option(
    "--log", shell_complete=completion.files, metavar="FILE", help="Where the last round of this log left the bridge."
)
@click.option(
    "--plus-minus",
    metavar="LENGTH",
    show_default="0.6 mm; more for a place on paper",
    help="How sure the place is (95%), in mm.",
)
@click.option("--date", metavar="DATE", show_default="today", help="When it was found, such as 2026-11-25.")
@click.option(
    "--strings",
    metavar="STRINGS",
    show_default="those of the file",
    help="The strings that it was found with, as on their packets: 'D4 .010, B3 .012, …'.",
)
@click.option("--printer", metavar="NAME", help="The printer of that fork, if you measured it (see jigs printer).")
@click.option("--sure", is_flag=True, help="Keep a place that is far from the computed one.")
@guarded
def keep(instrument: str, printer: str | None, **given: Any) -> None:
    """Keep where the bridge played in tune.

    FILE: your instrument file. Its [found] table is written; nothing else in it changes. From then on, every template is
    drawn for that place. When you change the strings in the file, the place moves as the computed line does.
    """
    import datetime

    from jigs.readings import keep_words
    from jigs.readings.keep import keep as keep_place
    from jigs.readings.kept_place import Given

    share = None
    if printer is not None:
        from jigs.printers.kept import load

        share = load(printer).print_share
    kept = keep_place(instrument, Given(print_share=share, **given), datetime.date.today())
    warn(kept.workup.notes)
    for line in keep_words.kept_in_words(kept.workup, kept.before, kept.on_paper, instrument, kept.zero):
        say(line)
