"""What this room says of folders without instruments, of files that get in each other's way, and of what cannot be made."""

from collections.abc import Sequence

from jigs.faults import Option, Says
from jigs.wording import listed

OTHER_OUT = ("name another folder with ", Option("out"))


def no_instrument_file() -> Says:
    """A folder without an instrument."""
    what = "there is no instrument file in it (*.toml)"
    return Says(what, "name another folder, or the files themselves", "rack-folder-empty")


def unreadable(reason: str) -> Says:
    """A folder that the system does not let us read."""
    return Says(f"it cannot be read ({reason})", "check its name and permissions", "rack-unreadable")


def same_names(stem: str, other: str) -> Says:
    """Two instruments whose files would have the same names."""
    what = f"its files would be called {stem}-…, as those of {other}"
    return Says(what, "rename one of the two", "rack-same-names")


def nothing_cut(templates: Sequence[str]) -> Says:
    """Sheets of stock for templates of paper."""
    remedy = ("add gauge, head or top to ", Option("templates"))
    return Says(f"no part of {listed(templates)} is cut from stock", remedy, "rack-nothing-cut")


def sheets_for_cutters(formats: Sequence[str]) -> Says:
    """Sheets of stock in a format for paper."""
    remedy = (f"add {' or '.join(formats)} to ", Option("format"))
    return Says("sheets of parts are for a cutter", remedy, "rack-sheets-for-cutters")


def no_dxf(templates: Sequence[str]) -> Says:
    """DXF alone of templates for paper."""
    remedy = ("add pdf or svg, or gauge to ", Option("templates"))
    return Says(f"there is no dxf of {listed(templates)}", remedy, "rack-no-dxf")


def made_from_another(stem: str, folder: str, other: str) -> Says:
    """A folder that holds the files of another instrument of this name."""
    what = f"its files {stem}-… in {folder} were made from {other}"
    return Says(what, (*OTHER_OUT, ", or give ", Option("force")), "rack-made-from-another")


def gap_without_sheet() -> Says:
    """A gap between parts that are not nested."""
    what = (Option("gap"), " is for parts on sheets of stock")
    return Says(what, ("give ", Option("sheet"), " too, or remove it"), "rack-gap-without-sheet")


def being_made() -> Says:
    """A folder that another run is writing."""
    return Says("another rack is being made in this folder", ("wait for it, or ", *OTHER_OUT), "rack-busy")


def unwritable(reason: str) -> Says:
    """A folder or file that the system does not let us write."""
    return Says(f"it cannot be written ({reason})", OTHER_OUT, "rack-unwritable")


def changed_meanwhile() -> Says:
    """A file that was edited during the run."""
    return Says("this file was changed while the rack was being made", "run it again", "rack-file-changed")


def nothing_for_it() -> Says:
    """An instrument for which no chosen template is."""
    what = "none of the chosen templates is for this instrument"
    return Says(what, ("choose others with ", Option("templates")), "rack-nothing-for-it")


STOPPED = "stopped: {done} of {of} files are done, and whole; give the same command again, and it goes on from there"
OUT_OF_MEMORY = "rack: a worker ended, perhaps out of memory; finished files are whole. Run it again with --jobs 1"
