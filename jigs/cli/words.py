"""What the command line itself says: options that several commands have or that do not go together, and how a run ended."""

from collections.abc import Iterable, Sequence

from jigs.faults import Option, Says, on_one_line
from jigs.wording import listed


def both_given(other: str) -> Says:
    """Two options of which only one counts."""
    return Says(("this and ", Option(other), " are both given"), "choose one", "options-both-given")


def perhaps_draw(typed: Sequence[str]) -> str:
    """A file or "print" where a command is meant.

    >>> perhaps_draw(["mine.toml", "fork"])
    '"mine.toml" is not a command; to draw an instrument, run `jigs draw mine.toml`'
    >>> perhaps_draw(["print"])
    '"print" is not a command; to draw an instrument, run `jigs draw mine.toml`'
    """
    file = next((word for word in typed if word.endswith(".toml")), "mine.toml")
    name, file = on_one_line(typed[0]), on_one_line(file)
    return f'"{name}" is not a command; to draw an instrument, run `jigs draw {file}`'


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
