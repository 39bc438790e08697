"""What the rack says: of files that it cannot draw, of folders that it cannot write, and of what became of all of it."""

import datetime
from collections.abc import Iterator, Sequence

from geometry.lengths import round_half_up
from jigs.faults import Fault, Note, Option, Says, either, on_one_line, spoken
from jigs.input.words import shown
from jigs.rack.corrections import FEWEST, End, KindCorrections
from jigs.rack.rows import LastReading, Row
from jigs.readings.words import VERDICTS, sharp_or_flat
from jigs.wording import in_columns, listed, signed, some_of
from jigs.workup.found_words import day_in_words

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


def long_name(count: int, most: int) -> Says:
    """A name of the rack that no index has room for."""
    remedy = (f"write up to {most}, or remove ", Option("name"), " for the folder's name")
    return Says(f"this name has {count} characters", remedy, "rack-name-long")


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


def went_wrong(kind: str, text: str) -> Says:
    """An error of this program, which an instrument's file brought to light."""
    what = f"{kind}: {text}" if text else kind
    return Says(
        f"jigs cannot draw this, through an error of its own ({what})",
        "please report it with this file; the other files do not need it",
        "file-error",
    )


def worker_ended() -> Says:
    """A worker process that ended by itself while it drew one file."""
    return Says(
        "the process that drew this ended by itself, probably out of memory",
        "the other files are complete; close other programs and run it again",
        "file-ended-worker",
    )


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


def log_unusable(log: str, fault: Fault) -> Says:
    """A log that cannot be read, so that the last reading of its instrument is not known."""
    what = ": ".join(part for part in (fault.place.where, spoken(fault.what)) if part)
    remedy = "correct it by hand, or rename it if it is not a log of readings"
    return Says(f"its last reading is unknown: {log}: {what}", remedy, "rack-log-unusable")


def log_of_another(log: str, instrument: str, in_log: str) -> Says:
    """A log beside an instrument's file, with steps of other instruments only."""
    what = f"its last reading is unknown: {log} has no step of {shown(instrument)}, but of {shown(in_log)}"
    return Says(what, "rename the log, or name the instrument as its log does", "rack-log-of-another")


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


def counts(made: int, unchanged: int, nothing: int, faulty: int, incomplete: int, folder: str) -> str:
    """What became of how many files, and where they are.

    >>> counts(7, 0, 0, 0, 0, "rack"), counts(1, 2, 3, 1, 0, "rack")
    ('7 drawn, 0 unchanged, in rack', '1 drawn, 2 unchanged, 3 with nothing to draw, 1 faulty, in rack')
    """
    return f"{outcome(made, unchanged, nothing, faulty, incomplete)}, in {folder}"


def outcome(made: int, unchanged: int, nothing: int, faulty: int, incomplete: int) -> str:
    """What became of how many files; ``incomplete`` ones are drawn or unchanged too.

    >>> outcome(1, 2, 0, 0, 1)
    '1 drawn, 2 unchanged, 1 of them incomplete'
    """
    perhaps = ((incomplete, "of them incomplete"), (nothing, "with nothing to draw"), (faulty, "faulty"))
    parts = [f"{made} drawn", f"{unchanged} unchanged", *(f"{count} {what}" for count, what in perhaps if count)]
    return ", ".join(parts)


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


# ---- places found by ear, last readings, and what they say of each kind


def kind_in_words(kind: str, string_count: int, in_courses: bool) -> str:
    """A kind of instrument, so that a tenor banjo is not one with five strings.

    >>> kind_in_words("banjo", 5, False), kind_in_words("mandolin", 4, True), kind_in_words("other", 1, False)
    ('banjo, 5 strings', 'mandolin, 4 courses', 'other, 1 string')
    """
    return f"{kind}, {string_count} {'course' if in_courses else 'string'}{'s' * (string_count != 1)}"


def instrument_lines(row: Row, last: LastReading | None) -> Iterator[str]:
    """What is known of an instrument beyond its drawing: a line for its name, then its places and its last reading."""
    yield f"{on_one_line(row.name)}:"
    found = row.found
    if found is None:
        yield f"  bridge line, treble / bass: {_both(row.treble_mm, row.bass_mm)} mm, computed"
    else:
        corrections = f"{signed(found.correction_treble_mm, 1)} / {signed(found.correction_bass_mm, 1)}"
        computed = f"{_both(row.computed_treble_mm, row.computed_bass_mm)} mm"
        yield (
            f"  bridge line, treble / bass: {_both(row.treble_mm, row.bass_mm)} mm;"
            f" computed {computed}, correction {corrections} mm"
        )
        day = f" on {day_in_words(datetime.date.fromisoformat(found.date))}" if found.date else ""
        others = "" if found.same_strings else ", other strings than today's"
        yield f"  found at {_both(found.treble_mm, found.bass_mm)} mm{day} with {found.strings}{others}"
    if last is not None:
        ends = (("treble", last.treble_cents), ("bass", last.bass_cents))
        cents = [f"{end} {sharp_or_flat(cents)}" for end, cents in ends if cents is not None]
        yield f"  last reading: {'; '.join([step_in_words(last), *cents])}"


def _both(treble_mm: float, bass_mm: float) -> str:
    return f"{round_half_up(treble_mm, 1)} / {round_half_up(bass_mm, 1)}"


def step_in_words(last: LastReading) -> str:
    """A step of a log, and its verdict.

    >>> step_in_words(LastReading(3, "stop", 0.1, 0.2)), step_in_words(LastReading(1, "", None, None))
    ('step 3: stop', 'step 1')
    """
    verdict = next((words for verdict, words in VERDICTS.items() if verdict.value == last.verdict), "")
    return ": ".join(part for part in (f"step {last.step}", verdict) if part)


NOT_KNOWN = "–"
CORRECTIONS = "Corrections of each kind"
CORRECTIONS_EXPLAINED = (
    "Found minus computed in mm at the outer strings, plus is towards the tail: mean, and standard deviation (sd)."
)
CORRECTION_HEADS = ("kind", "found", "treble", "sd", "bass", "sd")


def correction_cells(kind: KindCorrections) -> tuple[str, ...]:
    """A line of the table of corrections, a cell for each of its heads."""
    name = kind_in_words(kind.kind, kind.string_count, kind.in_courses)
    return (name, f"{kind.found} of {kind.instruments}", *_end_cells(kind.treble), *_end_cells(kind.bass))


def _end_cells(end: End) -> tuple[str, str]:
    return signed(end.mean_mm, 1), NOT_KNOWN if end.sd_mm is None else round_half_up(end.sd_mm, 1)


def corrections_mean(kinds: Sequence[KindCorrections]) -> str:
    """What the corrections of a rack mean, in a sentence."""
    alike = [kind_in_words(kind.kind, kind.string_count, kind.in_courses) for kind in kinds if kind.alike]
    if alike:
        return f"Check how the scale is measured: chance does not explain the corrections of {listed(alike)}."
    if all(kind.found < FEWEST for kind in kinds):
        return f"With {FEWEST} or more found places of a kind, you see here whether all of the kind are off alike."
    return "No kind is off alike: set each instrument by its own correction."


def corrections_lines(kinds: Sequence[KindCorrections]) -> list[str]:
    """The table of corrections and what it means; nothing while no place is found."""
    if not kinds:
        return []
    table = in_columns([CORRECTION_HEADS, *map(correction_cells, kinds)], "<>")
    return [f"{CORRECTIONS}:", CORRECTIONS_EXPLAINED, *(f"  {line}" for line in table), corrections_mean(kinds)]


# ---- the index

TITLE = "Rack: where each bridge goes"
DOCUMENT = "Index of the rack"
UNNAMED = "Instruments"
BRIDGE_LINE = "bridge line from the nut"
NOT_DRAWN = "Not drawn:"
MISSING = "Missing:"
EXPLAINED = (
    "Lengths in mm. Bridge line: where the crown belongs at the outer full-length strings. ±: 95 in 100 lie within, laid out"
    " with a printed fork against the fret at the octave. Slant: with the end that is farther from the nut."
)

FOUND, COMPUTED, CORRECTION, FOUND_ON = "found", "computed", "correction", "found on"
LAST_READING, IN_CENTS = "last reading", "in cents"
FOUND_EXPLAINED = (
    "Found: where the bridge played in tune by ear. Correction: found minus computed, plus is towards the tail; the bridge"
    " line includes it. Last reading: the last step of the log, and how far the outer strings were off,"
    " treble\N{NO-BREAK SPACE}/\N{NO-BREAK SPACE}bass."
)


FOUND_WITH_TODAYS = "with today's strings"


def found_with(strings: str) -> str:
    """The strings that a place was found with, if they are not today's."""
    return f"with {strings}"


def cents_in_short(last: LastReading) -> str:
    """How far the outer strings were off, treble / bass; empty if neither was read.

    >>> cents_in_short(LastReading(3, "stop", 0.31, -0.2)), cents_in_short(LastReading(3, "move", None, 4.0))
    ('+0.3 / −0.2', '– / +4.0')
    """
    cents = (last.treble_cents, last.bass_cents)
    if cents == (None, None):
        return ""
    return " / ".join(NOT_KNOWN if one is None else signed(one, 1) for one in cents)


def index_facts(drawn: int, incomplete: int, not_drawn: int) -> str:
    """How many instruments the index lists, how many of them lack a drawing, and how many files were not drawn.

    >>> index_facts(1, 0, 0), index_facts(7, 1, 2)
    ('1 instrument', '7 instruments, 1 incomplete, 2 files not drawn')
    """
    facts = [f"{drawn} instrument{'s' * (drawn != 1)}"]
    facts += [f"{incomplete} incomplete"] * bool(incomplete)
    facts += [f"{not_drawn} file{'s' * (not_drawn != 1)} not drawn"] * bool(not_drawn)
    return ", ".join(facts)
