"""What the command line itself says: options that several commands have or that do not go together, and how a run ended."""

from collections.abc import Iterable, Sequence

from jigs.faults import Option, Says, on_one_line
from jigs.wording import listed


def both_given(other: str) -> Says:
    """Two options of which only one counts."""
    return Says(("this and ", Option(other), " are both given"), "choose one", "options-both-given")


_SET = "D4 .011, B3 .013, G3 .016, D3 .024w, G4 .011"

EXAMPLES = {
    "compare": f'jigs compare mine.toml --strings "{_SET}"',
    "draw": "jigs draw banjo",
    "guide": "jigs guide player",
    "keep": 'jigs keep mine.toml --feet-from-fret 12 "328.1 / 328.6"',
    "keys": "jigs keys bridge",
    "listen": "jigs listen banjo treble.wav bass.wav",
    "new": "jigs new mine.toml",
    "numbers": "jigs numbers banjo",
    "page": "jigs page",
    "presets": "jigs presets banjo",
    "printer": "jigs printer sheet",
    "printer add": "jigs printer add laser --across 189.4 189.5 --down 276.9 276.8 --diagonals 335.4 335.2",
    "printer check": "jigs printer check laser",
    "printer remove": "jigs printer remove laser",
    "printer show": "jigs printer show laser",
    "rack": "jigs rack shelf",
    "readings": "jigs readings banjo --string 1 --harmonic 2 --fretted 1 --string 4 --harmonic 2 --fretted -5",
    "settings": "jigs settings --example",
    "survey": "jigs survey board.csv",
}
"""What to type, for each command that takes something: at the end of its help, and if it is typed without its argument."""


def example(command: str) -> str:
    """At the end of a command's help, on a line of its own, so that people can copy it."""
    return f"\b\nExample:\n  {command}"


def argument_missing(name: str, example: str) -> str:
    """A command without its argument.

    >>> argument_missing("INSTRUMENT", "jigs draw banjo")
    'INSTRUMENT is missing; for example, type `jigs draw banjo`'
    """
    return f"{name} is missing; for example, type `{example}`"


def no_command(word: str, meant: str, program: str) -> str:
    """A word that is not a command. ``meant``: what to type instead, if that can be guessed.

    >>> no_command("darw", "jigs draw banjo", "jigs")
    '"darw" is not a command; did you mean `jigs draw banjo`?'
    >>> no_command("zzz", "", "jigs")
    '"zzz" is not a command; type `jigs --help` for a list'
    """
    remedy = f"did you mean `{meant}`?" if meant else f"type `{program} --help` for a list"
    return f'"{on_one_line(word)}" is not a command; {remedy}'


def gap_without_sheet() -> Says:
    """A gap between parts, and no stock to lay them on."""
    return Says("this is for parts on sheets of stock", ("add ", Option("sheet")), "gap-without-sheet")


def only_in_a_kit() -> Says:
    """Stock, or a gap on it, for drawings that are not laid on any."""
    return Says("this is for parts on sheets of stock", ("add ", Option("kit")), "stock-without-kit")


def seconds_without_recording() -> Says:
    """A length of a recording where a file is listened to."""
    return Says("this is for a recording, and SOUND is given", "remove one of the two", "seconds-without-recording")


def recording(seconds: float | None) -> str:
    """What to do while the microphone is open.

    >>> recording(20.0)
    'Recording for 20 s: damp the other strings, pluck the open string, press at the octave and pluck.'
    """
    how_long = "Recording until you press Enter" if seconds is None else f"Recording for {seconds:g} s"
    return f"{how_long}: damp the other strings, pluck the open string, press at the octave and pluck."


def output_unwritable(reason: str) -> Says:
    """Standard output that cannot be written."""
    return Says(
        f"standard output cannot be written ({reason})",
        "only the lines printed here are lost; files are complete",
        "output-unwritable",
    )


def folder_gone() -> Says:
    """The folder that the user is in, and that somebody has removed."""
    return Says("this folder is gone, and you are still in it", "go to another folder and try again", "folder-gone")


def refused_by_system(reason: str) -> Says:
    """Anything else that the system refuses. ``reason``: the system's."""
    return Says(f"the system refuses this ({reason})", "check permissions and disk, then try again", "system-refuses")


FOR_CUTTERS_TOO = "Formats, with commas: pdf to print, svg, dxf for cutters."
TO_PRINT = "Formats, with commas: pdf, svg."
FOLDER = "Folder to write to."
FROM_FRETS = "Say what may be wrong, from readings at several frets."
HEARD_FRETS = (
    "Say what may be wrong, from notes at several frets of a string. Frets are compared with the open string, which is less"
    " exact. Record each string in a file of its own."
)
DRAWS_LOG, DRAWS_HEARD = "Draw the log.", "Draw what was heard, and the log."
PICTURE_FOLDER = "Folder to write the picture to."
PICTURE_PAPER = "Paper of the picture:"
LENGTHS = 'A LENGTH is in mm, or has its unit: 0.2, "0.2 mm", "1/64 in".'


def papers_in_help(names: Iterable[str]) -> str:
    """What ``--paper`` takes.

    >>> papers_in_help(["a4", "a3"])
    'a4, a3, or WxH in mm such as 200x300.'
    """
    return f"{', '.join(names)}, or WxH in mm such as 200x300."


def kit_in_help(templates: Sequence[str]) -> str:
    """What ``--kit`` does.

    >>> kit_in_help(["gauge", "blank"])
    'Nest the parts of an instrument on sheets of stock. Default: those of gauge and blank.'
    """
    return f"Nest the parts of an instrument on sheets of stock. Default: those of {listed(templates)}."


def exit_statuses(anything_else: int, user_input: int, some_missing: int) -> str:
    """What the exit statuses mean, for the end of a help; click keeps its lines as they are."""
    return f"""\b
Exit status:
  0  all done
  {anything_else}  any other trouble
  {user_input}  nothing written, because of a fault in what you wrote
  {some_missing}  some could not be made, the rest is written"""
