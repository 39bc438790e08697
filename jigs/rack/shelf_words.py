"""What a shelf says: of files that cannot be opened, saved or copied, and of names for new ones."""

from jigs.faults import Says
from jigs.input.words import shown


def folder_unreadable(reason: str) -> Says:
    """A shelf that the system does not let us read."""
    return Says(
        f"the folder of your instruments cannot be read ({reason})",
        "check that it is a folder and that you may open it",
        "shelf-folder-unreadable",
    )


def folder_unwritable(reason: str) -> Says:
    """A shelf that the system does not let us write."""
    return Says(
        f"the folder of your instruments cannot be written ({reason})",
        "nothing has changed; check its permissions and the disk",
        "shelf-folder-unwritable",
    )


def not_there(file: str) -> Says:
    """A name that no file of the shelf has."""
    return Says(f"{shown(file)} is not on the shelf", "list the shelf again, and choose a file", "shelf-file-unknown")


def file_unreadable(reason: str) -> Says:
    """A file of the shelf that the system does not let us read."""
    return Says(f"this file cannot be read ({reason})", "check its permissions", "shelf-file-unreadable")


def too_large(kib: int) -> Says:
    """A file of the shelf that is larger than any instrument's."""
    return Says(f"this file is more than {kib} KiB", "an instrument file is a page of text", "shelf-file-too-large")


def another_file() -> Says:
    """A file with the ending of an instrument's that is a survey's or the like."""
    return Says(
        "there is no scale and there are no strings in it",
        "it is not an instrument file, and is not drawn",
        "shelf-not-an-instrument",
    )


def no_file_name(typed: str, better: str) -> Says:
    """Something else where a file's name is meant."""
    remedy = f"write letters and digits with hyphens between, at most 60, such as {better}"
    return Says(f"{shown(typed)} cannot be the name of an instrument's file", remedy, "shelf-file-name")


def nothing_to_draw() -> Says:
    """A shelf without an instrument."""
    return Says("there is no instrument on the shelf to draw", "save an instrument first", "shelf-empty")


def drawn_elsewhere(folder: str) -> Says:
    """A link where the folder of the drawings should be."""
    return Says(
        f"{shown(folder)} on the shelf is not a folder of its own",
        "rename it, so that the drawings get a folder on the shelf",
        "shelf-drawn-is-link",
    )


def not_drawn() -> Says:
    """Drawings that are asked for and were not made yet."""
    return Says("the shelf is not drawn yet", "draw all first", "shelf-not-drawn")


def too_many_drawings(mib: int) -> Says:
    """Drawings too large for one archive."""
    return Says(
        f"the drawings are more than {mib} MiB together",
        "copy them from the shelf's folder",
        "shelf-archive-too-large",
    )


def log_elsewhere(log: str) -> Says:
    """A link or the like where the log of an instrument should be."""
    return Says(f"{shown(log)} on the shelf is not a regular file", "rename it", "shelf-log-is-link")
