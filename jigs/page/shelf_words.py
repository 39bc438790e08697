"""What the shelf says on the page, besides the sentences of the rack."""

from collections.abc import Sequence

from jigs.faults import Says, on_one_line
from jigs.instrument.found import Found
from jigs.rack.rows import LastReading
from jigs.rack.shelf import MOST_LISTED, Why
from jigs.rack.words import step_in_words
from jigs.readings.words import sharp_or_flat
from jigs.wording import listed, some_of
from jigs.workup.found_words import day_in_words

FILE_NAME = ("File name", "letters and digits with hyphens between")
TEMPLATES = ("Template", "of every instrument that is measured for it")
"""A field's label and hint, each."""

ALL_TEMPLATES = "all templates"


def no_shelf() -> Says:
    """A page without a folder for instruments."""
    return Says(
        "this page has no shelf, because the folder for your instruments cannot be used",
        "download the instrument file instead, and open it again with “Open an instrument file”",
        "shelf-none",
    )


# ---- what is on it


def place_kept(found: Found) -> str:
    """That an instrument's place is kept."""
    return "place kept" if found.date is None else f"place kept on {day_in_words(found.date)}"


def last_reading(last: LastReading) -> str:
    """The last step of an instrument's log.

    >>> last_reading(LastReading(3, "stop", 0.31, None))
    'last reading, step 3: stop; treble 0.3 cents sharp'
    """
    ends = (("treble", last.treble_cents), ("bass", last.bass_cents))
    cents = [f"{end} {sharp_or_flat(cents)}" for end, cents in ends if cents is not None]
    return f"last reading, {'; '.join([step_in_words(last), *cents])}"


def fault_in_short(where: str, sentence: str, more: int) -> str:
    """The first fault of a file, and how many more there are.

    >>> fault_in_short("Scale length", "too short", 2)
    'Scale length: too short (and 2 more)'
    """
    first = ": ".join(part for part in (where, sentence) if part)
    return f"{first} (and {more} more)" if more else first


def more_files(count: int) -> str:
    """Files that are on the shelf and not in the list."""
    return f"The first {MOST_LISTED} files are listed; {count} more are on the shelf." if count else ""


# ---- saving

_CONFLICTS = {
    Why.TAKEN: "The shelf has another file with the name {file} already.",
    Why.CHANGED: "{file} has changed on the shelf since you opened it: in another window, or in another program.",
    Why.GONE: "{file} is no longer on the shelf: it was deleted or renamed.",
}


def conflict(why: Why, file: str) -> str:
    """Why a file was not saved."""
    return f"{_CONFLICTS[why].format(file=on_one_line(file))} Nothing was saved yet."


def log_unusable(log: str, why: str) -> Says:
    """A log beside an instrument that takes no step, and why."""
    return Says(
        f"this round is not in {on_one_line(log)} on the shelf: {why}",
        "correct or rename that file; the page still has the round",
        "shelf-log-unusable",
    )


# ---- drawing


def drawing_already() -> Says:
    """A shelf that is being drawn in another window, or by the command line."""
    return Says("the shelf is being drawn already, in another window or program", "wait until it is done", "shelf-busy")


def others_drawings(stem: str) -> Says:
    """Drawings in the shelf's folder that were made from another file."""
    return Says(
        f"the drawings {stem}-… on the shelf were made from another file",
        "rename this file or the other one",
        "shelf-drawings-of-another",
    )


def stopped_drawing(done: int, of: int) -> Says:
    """Drawing that was stopped with the page."""
    return Says(f"{done} of {of} files are drawn and complete", "draw all again to go on", "shelf-drawing-stopped")


def drawn_folder_unwritable() -> Says:
    """A folder of drawings that the system does not let us write."""
    return Says(
        "the folder of the drawings cannot be written",
        "check the permissions of the shelf's folder and the disk",
        "shelf-drawn-unwritable",
    )


def missing(names: Sequence[str]) -> str:
    """What could not be made of an instrument."""
    return f"without {listed(names)}: open the instrument, and choose that template to see why"


def nothing_for(files: Sequence[str]) -> str:
    """Instruments that the templates cannot be drawn for."""
    return f"Nothing to draw for {some_of(files)}. Open an instrument, and choose the template to see why."


def left_over(names: Sequence[str]) -> str:
    """Drawings of earlier runs that this one did not draw."""
    return f"Older drawings are still in the folder: {some_of(names)}. They are not in the download."
