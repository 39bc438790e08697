"""``jigs listen``: sounds to `jigs.readings.listen`, what was heard and the advice to the terminal. It computes nothing."""

import time
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import click

from jigs.cli import completion
from jigs.cli.bench_options import outcome_options, place_option, touch_option, wanted_picture
from jigs.cli.common import guarded, opened, say, warn
from jigs.cli.words import DRAWS_HEARD, HEARD_FRETS, recording, seconds_without_recording

if TYPE_CHECKING:
    from jigs.readings.listen import Take


@click.command()
@click.argument("instrument", shell_complete=completion.instruments)
@click.argument("sounds", metavar="[SOUND]...", nargs=-1, shell_complete=completion.files)
@click.option(
    "--string", metavar="NUMBER", help="The only string that is played. Default: each is recognised by its pitch."
)
@click.option(
    "--harmonic",
    "harmonics",
    multiple=True,
    metavar="SOUND",
    shell_complete=completion.files,
    help="A sound with octave harmonics alone, to compare with instead of open strings. In other sounds, a note at the"
    " octave counts as pressed.",
)
@click.option(
    "--seconds",
    metavar="SECONDS",
    show_default="until Enter or Ctrl-C",
    help="How long to record without SOUND, in seconds.",
)
@place_option
@touch_option
@outcome_options(HEARD_FRETS, DRAWS_HEARD)
@guarded
def listen(**given: Any) -> None:
    """Turn the sound of plucked strings into moves of the bridge.

    INSTRUMENT is a file or a preset's name, SOUND a WAV file. Damp all other strings. Pluck the open string, then press at
    the octave, fret 12 on most boards, and pluck again. Do so three times on each outer string, each in a file of its
    own. Open strings and pressed notes may come in any order. Without SOUND this command records from the microphone.
    """
    from jigs.faults import Place
    from jigs.instrument.set_keys import read_set_keys
    from jigs.readings import heard_words, note_words, run, words
    from jigs.readings import listen as listening
    from jigs.readings.as_json import as_json
    from jigs.readings.heard_json import heard_dict

    log, picture = given["log"], wanted_picture(given, needs_log=False)
    if given["sounds"] and given["seconds"] is not None:
        raise seconds_without_recording().refusal(Place(option="seconds"))
    workup = opened(given["instrument"], read_set_keys(given["given_keys"]), given["computed"])
    listened, advice = listening.advice(
        workup, _takes(given), given["string"], (given["stands_at"], log), given["touch_error"], given["diagnose"]
    )
    wrote = run.keep(advice, log, picture, listened) if log is not None else []
    if log is None and picture is not None:
        wrote = run.draw_heard(advice, listened, picture)
    warn((*workup.notes, *note_words.notes(advice)))
    for path in wrote:
        say(f"wrote {path}", given["as_json"])
    if given["as_json"]:
        click.echo(as_json(advice, heard_dict(listened)), nl=False)
    else:
        click.echo(f"{heard_words.as_table(listened, workup)}\n{words.as_table(advice)}", nl=False)


def _takes(given: dict[str, Any]) -> "list[Take]":
    """The sounds to listen to, from files or from the microphone."""
    from jigs.input.microphone import read_seconds, record
    from jigs.readings.listen import takes_of

    seconds = read_seconds(given["seconds"])
    return takes_of(given["sounds"], given["harmonics"], lambda: record(lambda: _wait(seconds)))


def _wait(seconds: float | None) -> None:
    """Say that the microphone is open, and wait for Enter or for the end of what was asked for."""
    click.echo(recording(seconds), err=True)
    if seconds is not None:
        time.sleep(seconds)
        return
    with suppress(EOFError):
        input()
