"""What the rack says: of files that it cannot draw, of folders that it cannot write, and of what became of all of it."""

from collections.abc import Sequence

from jigs.faults import Note, Option, Says, either
from jigs.input.words import shown
from jigs.wording import some_of

# ---- orders


def nothing_from_stock(templates: Sequence[str], parts: Sequence[str]) -> Says:
    """Sheets of stock without a part to lay on them."""
    verb = "are" if len(templates) > 1 else "is"
    return Says(
        f"{' and '.join(templates)} {verb} not cut from stock",
        (f"add {either(parts)} to ", Option("templates")),
        "sheet-without-parts",
    )


def no_cutters_format(formats: Sequence[str], for_sheets: Sequence[str]) -> Says:
    """Sheets of stock in no format that a cutter reads."""
    return Says(
        f"a cutter does not read {' or '.join(formats)}",
        (f"add {either(for_sheets)} to ", Option("format")),
        "sheet-without-format",
    )


def only_cut_files(templates: Sequence[str]) -> Says:
    """Nothing but DXF of templates that have none."""
    return Says(
        f"there is no dxf of {' or '.join(templates)}",
        ("add pdf or svg, or add gauge to ", Option("templates")),
        "rack-only-cut-files",
    )


def no_name(name: str) -> Says:
    """A name of the rack that the index cannot show."""
    remedy = ("write one, or remove ", Option("name"), " for the folder's name")
    return Says(f"{shown(name)} is not a name that can be printed", remedy, "rack-name")


# ---- files and folders


def no_instruments() -> Says:
    """A folder without an instrument file."""
    return Says(
        "this folder has no instrument file in it (*.toml)", "name another folder, or the files", "folder-without-files"
    )


def named_alike(stem: str, other: str) -> Says:
    """Two files whose drawings would have the same names."""
    return Says(
        f"its drawings would be called {stem}-…, as those of {other}", "rename one of the two", "files-named-alike"
    )


def anothers_files(stem: str, folder: str, other: str) -> Says:
    """Drawings that are there already, made from another file."""
    return Says(
        f"the files {stem}-… in {folder} were made from {other}",
        ("choose another folder with ", Option("out"), ", or overwrite them with ", Option("force")),
        "files-of-another",
    )


def folder_in_use() -> Says:
    """A folder that another run is writing to."""
    return Says(
        "another rack is being drawn in this folder",
        ("wait for it, or choose another folder with ", Option("out")),
        "folder-in-use",
    )


def changed_meanwhile() -> Says:
    """An instrument file that was edited while the rack was drawn."""
    return Says("this file changed while the rack was being drawn", "run it again", "file-changed")


# ---- notes


def nothing_for_it() -> Says:
    """An instrument that none of the templates is for."""
    return Says(
        "none of the chosen templates is for this instrument",
        ("choose others with ", Option("templates")),
        "template-for-none",
    )


def of_several(sources: Sequence[str], note: Note) -> Says:
    """A note that several instruments share."""
    return Says(f"{some_of(sources)}: {note}", "", note.code)


def passed_over(sources: Sequence[str]) -> Says:
    """Files in a folder that are not instruments."""
    return Says(
        f"{some_of(sources)}: there is no scale and there are no strings in it, so it is not an instrument file",
        "skipped",
        "file-passed-over",
    )


def left_over(folder: str, names: Sequence[str]) -> Says:
    """Drawings of instruments that are gone."""
    return Says(
        f"{folder}: from an earlier run, and no longer part of this rack: {some_of(names)}",
        "delete what you no longer need; jigs deletes nothing",
        "files-left-over",
    )


# ---- endings


def interrupted(done: int, of: int) -> Says:
    """A run that was stopped."""
    return Says(
        f"{done} of {of} files are drawn and complete", "run the same command again to go on", "rack-interrupted"
    )


def worker_lost() -> Says:
    """A worker process that ended by itself, most likely because the system ran out of memory."""
    return Says(
        "a worker process ended by itself, probably out of memory",
        ("the finished files are complete; run again with ", Option("jobs", "1")),
        "worker-lost",
    )


def counts(made: int, unchanged: int, nothing: int, faulty: int, folder: str) -> str:
    """What became of how many files.

    >>> counts(7, 0, 0, 0, "rack"), counts(1, 2, 3, 1, "rack")
    ('7 drawn, 0 unchanged, in rack', '1 drawn, 2 unchanged, 3 with nothing to draw, 1 faulty, in rack')
    """
    perhaps = ((nothing, "with nothing to draw"), (faulty, "faulty"))
    parts = [f"{made} drawn", f"{unchanged} unchanged", *(f"{count} {what}" for count, what in perhaps if count)]
    return f"{', '.join(parts)}, in {folder}"


def parts_on_sheets(parts: int, sheets: int) -> str:
    """How many parts lie on how many sheets.

    >>> parts_on_sheets(1, 1), parts_on_sheets(5, 2)
    ('1 part on 1 sheet: nest-1', '5 parts on 2 sheets: nest-1 to nest-2')
    """
    names = f"s: nest-1 to nest-{sheets}" if sheets > 1 else ": nest-1"
    return f"{parts} part{'s' * (parts > 1)} on {sheets} sheet{names}"


def index(names: Sequence[str]) -> str:
    """The files about the whole rack."""
    return f"index: {', '.join(names)}"


# ---- the index

DOCUMENT = "Index of the rack"
UNNAMED = "Instruments"
BRIDGE_LINE = "bridge line from the nut"
NOT_DRAWN = "Not drawn:"
EXPLAINED = (
    "Lengths in mm. Bridge line: where the crown belongs at the outer full-length strings. ±: 95 in 100 lie within, laid out"
    " with a printed fork against the fret at the octave. Slant: with the end that is farther from the nut."
)


def index_facts(drawn: int, missing: int) -> str:
    """How many instruments the index lists, and how many files were not drawn.

    >>> index_facts(1, 0), index_facts(7, 2)
    ('1 instrument', '7 instruments, 2 files not drawn')
    """
    facts = f"{drawn} instrument{'s' * (drawn != 1)}"
    return facts + (f", {missing} file{'s' * (missing != 1)} not drawn" if missing else "")
