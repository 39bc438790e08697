"""What this room says of readings that cannot be used: on the command line, in a file, in the log."""

from collections.abc import Sequence

from geometry.readings import ReadingError
from jigs.faults import Key, Option, Says, Words, close_to, did_you_mean, nearest
from jigs.input.words import quoted, shown, typed

CSV_EXAMPLE = "4, +2, -5"
TOML_EXAMPLE = "string = 4, harmonic = +2, fretted = -5"
WRITE_LINES = f"write a line for each comparison: string, harmonic, fretted, as in {CSV_EXAMPLE}"
MEND_LOG = ("name another file with ", Option("log"), ", or correct this one by hand")


# ---- a tone


def no_tone(value: object) -> Says:
    """Something that is neither cents nor hertz."""
    remedy = ("write cents such as -5, or hertz as in ", typed("293.9 Hz"))
    return Says(f"{shown(value)} is not a reading", remedy, "tone-unread")


def no_pitch(value: object, low_hz: float, high_hz: float) -> Says:
    """Hertz that no string sounds."""
    return Says(f"{shown(value)} is not a string's pitch", f"write {low_hz:g} to {high_hz:g} Hz", "tone-no-pitch")


def too_many_cents(value: object, most: float, perhaps_hz: str) -> Says:
    """Cents that are another note, or hertz without their unit."""
    remedy: Words = ("for hertz write ", typed(f"{perhaps_hz} Hz")) if perhaps_hz else "read the tuner again"
    return Says(f"{shown(value)} is more than the {most:g} cents from one note to the next", remedy, "tone-far-off")


def no_tuner_error(text: str, low: float, high: float) -> Says:
    """An error that no tuner has."""
    remedy = f"write cents from {low:g} to {high:g}, such as 0.5 for a good tuner"
    return Says(f"{shown(text)} is not a tuner's error", remedy, "tuner-error-out-of-range")


def no_touch_error(text: str, low: float, high: float) -> Says:
    """An error that no hand has."""
    remedy = f"write cents from {low:g} to {high:g}, such as 0.7 for one hand at one bench"
    return Says(f"{shown(text)} is not an error of touch", remedy, "touch-error-out-of-range")


# ---- a comparison


def too_many(count: int, most: int, what: str) -> Says:
    """More readings than a bridge needs."""
    return Says(f"there are {count} {what}", f"keep {most} or fewer; no bridge needs more", "readings-too-many")


def no_string_named() -> Says:
    """A reading without its string."""
    return Says("this reading has no string", "write the string's number before it", "reading-without-string")


def no_string_number(value: object, strings: int) -> Says:
    """Something else where a string's number is meant."""
    remedy = f"write 1 to {strings}, 1 on the treble side"
    return Says(f"{shown(value)} is not a string's number", remedy, "string-number-unread")


def no_such_string(string: int, strings: int, instrument: str) -> Says:
    """A string that the instrument does not have."""
    has = "one string" if strings == 1 else f"strings 1 to {strings}, 1 on the treble side"
    return Says(f"there is no string {string}", f"{instrument} has {has}", "string-unknown")


def two_references(octave_fret: int) -> Says:
    """A comparison with both references."""
    what = "this reading has both the harmonic and the open string to compare with"
    return Says(what, f"keep one; at fret {octave_fret} keep the harmonic", "reading-two-references")


def nothing_read() -> Says:
    """A string without a reading."""
    return Says("this string has no reading", "write the harmonic and the fretted note", "reading-missing")


def fretted_missing(reference: str, value: object) -> Says:
    """A reference without its fretted note."""
    return Says(f"the {reference}, {shown(value)}, has no pair", "read the fretted note too", "reading-without-fretted")


def reference_missing(value: object, octave_fret: int) -> Says:
    """A fretted note without its reference."""
    what = f"the fretted note, {shown(value)}, has no pair"
    return Says(what, f"read the harmonic over fret {octave_fret} too", "reading-without-reference")


def no_fret_number(value: object, last: int) -> Says:
    """Something else where a fret's number is meant."""
    return Says(f"{shown(value)} is not a fret's number", f"write 1 to {last}", "fret-number-unread")


def fret_of_nought(as_open: Key | Option | None) -> Says:
    """Fret 0. ``as_open``: what the open string is given as, if it can be given."""
    remedy = "write a fret from 1" if as_open is None else ("give that as ", as_open, ", and a fret from 1")
    return Says("fret 0 is the open string", remedy, "fret-nought")


def idle_fret(value: object) -> Says:
    """A fret on the command line without the note that it is for."""
    what = f"no fretted note comes after this fret, {shown(value)}"
    return Says(
        what, ("write it before its fretted note: ", Option("fret", "7"), " ", Option("fretted", "-5")), "fret-idle"
    )


def no_such_fret(fret: int, string: int, last: int, starts_at: int) -> Says:
    """A fret beyond the last."""
    own = f", counted from its own nut at fret {starts_at}" if starts_at else ""
    return Says(f"there is no fret {fret} on string {string}", f"it has 1 to {last}{own}", "reading-fret-unknown")


def too_far_apart(reference: tuple[str, str], at: tuple[int, bool], fretted: str, cents: str, remedy: Words) -> Says:
    """Two tones more than a semitone apart. ``reference``: name and reading; ``at``: fret, and if it is the octave's."""
    name, read = reference
    fret, is_octave = at
    apart = "cents apart" if is_octave else "cents off what their steps should be"
    tones = f"the {name}, {quoted(read)}, and the note at fret {fret}, {quoted(fretted)}"
    return Says(f"{tones}, are {cents} {apart}, more than a semitone", remedy, "tones-too-far-apart")


_OPEN, _HARMONIC = "the open string", "the harmonic"


def other_reference(read: str, named: Key | Option | None) -> Words:
    """A remedy: the open string was read instead of the harmonic, or the other way round.

    ``read``: what was read, "open" or "harmonic". ``named``: what that is given as, None if it cannot be given.
    """
    was, meant = (_OPEN, _HARMONIC) if read == "open" else (_HARMONIC, _OPEN)
    if named is None:
        return f"read {meant}, not {was}"
    return (f"was {was} read, not {meant}? then give it as ", named)


OTHER_NOTE = "the tuner named another note: wrong string or wrong fret; read both again"
WRONG_STRING_OR_FRET = "wrong string or wrong fret; read both again"


def other_string(string: int) -> str:
    """A remedy: another string sounds what was read."""
    return f"string {string} sounds that at this fret: wrong string? read both again"


def other_fret(fret: int) -> str:
    """A remedy: another fret sounds what was read."""
    return f"fret {fret} sounds that: wrong fret? read both again"


# ---- all readings together


def no_end(string: int, outer_strings: Sequence[int]) -> Says:
    """An inner string alone."""
    ends = ("strings " if len(outer_strings) > 1 else "string ") + " and ".join(map(str, outer_strings))
    return Says(f"string {string} alone does not say which end to move", f"read {ends} too", "reading-no-end")


_NO_PLACE = {
    "string-unread": "a string has no reading",
    "reading-nowhere": "no bridge place makes these strings read that",
    "readings-not-straight": "no straight bridge suits these readings",
}


def no_place(error: ReadingError) -> Says:
    """Readings that the model has no bridge place for."""
    return Says(_NO_PLACE[error.code], "check strings and scale, and read again", error.code)


def file_and_options() -> Says:
    """Two ways of giving readings at once."""
    what = "readings are given in a file and on the command line"
    return Says(what, ("keep one: remove ", Option("file"), " or the other readings"), "readings-given-twice")


def nothing_given() -> Says:
    """No reading at all."""
    example = (Option("string", "4"), " ", Option("harmonic", "+2"), " ", Option("fretted", "-5"))
    remedy = ("read both outer strings, as in ", *example, ", or name a file with ", Option("file"))
    return Says("there is no reading", remedy, "readings-missing")


def none_at_octave(octave_fret: int) -> Says:
    """Readings that do not place the bridge."""
    what = f"none of the readings is at fret {octave_fret}, which places the bridge"
    return Says(what, (f"read fret {octave_fret} too, or give ", Option("diagnose")), "readings-none-at-octave")


def no_picture(has_log: bool) -> Says:
    """An option of a picture that is not wanted."""
    log: tuple[Option | str, ...] = () if has_log else (Option("log"), " and ")
    remedy = ("add ", *log, Option("format", "pdf"), ", or remove this")
    return Says("this is for the picture of a log", remedy, "readings-no-picture")


def format_without_log() -> Says:
    """A picture of no log."""
    return Says("the picture is drawn from a log", ("name the log with ", Option("log")), "log-not-named")


# ---- a file


def no_readings() -> Says:
    """A file without a reading."""
    return Says("this file holds no readings", WRITE_LINES, "readings-file-empty")


def line_too_long() -> Says:
    """A line that is not a comparison."""
    return Says("this line is too long", WRITE_LINES, "readings-line-too-long")


def too_many_columns(count: int, most: int) -> Says:
    """A line with more cells than there are columns."""
    what = f"there are {count} columns, {most} at most"
    return Says(what, f"{WRITE_LINES}, and the decimals after a point", "readings-too-many-columns")


def unknown_column(name: str, known: Sequence[str]) -> Says:
    """A head that is none of ours."""
    return Says(f"unknown column {shown(name)}", nearest(name, known), "readings-column-unknown")


def column_twice(name: str) -> Says:
    """Two heads of one name."""
    return Says(f"there are two columns {shown(name)}", "keep one", "readings-column-twice")


def column_missing(name: str) -> Says:
    """A head that must be there."""
    return Says(f"there is no column {shown(name)}", WRITE_LINES, "readings-column-missing")


def no_tables(missing: bool) -> Says:
    """A TOML file without its tables."""
    what = "the readings are missing" if missing else "the readings are not a list of tables"
    return Says(what, f"write [[readings]] for each, and under it {TOML_EXAMPLE}", "readings-no-tables")


# ---- the log


def log_unwritable(reason: str) -> Says:
    """A log that the system does not let us write."""
    return Says(f"this file cannot be written ({reason})", ("name another with ", Option("log")), "log-unwritable")


NO_ROOM = "there is no room for it"


def log_is_folder() -> Says:
    """A folder in the log's place."""
    return Says("this is a folder", ("name a file in it with ", Option("log")), "log-is-folder")


def log_without_folder() -> Says:
    """A log in a folder that is not there."""
    remedy = ("make the folder first, or name another file with ", Option("log"))
    return Says("there is no such folder", remedy, "log-without-folder")


def log_not_a_file() -> Says:
    """A device or a pipe."""
    return Says("this is not a file", MEND_LOG, "log-not-a-file")


def log_full() -> Says:
    """A log beyond its bound."""
    return Says("this log is full", ("begin a new one with ", Option("log")), "log-full")


def log_line_damaged() -> Says:
    """A line that was a step once."""
    return Says("this line is damaged", MEND_LOG, "log-line-damaged")


def not_a_log() -> Says:
    """A file of something else."""
    return Says("this is not a line of a log of readings", MEND_LOG, "log-not-a-log")


def log_unreadable(reason: str) -> Says:
    """A log that the system does not let us read."""
    return Says(f"this file cannot be read ({reason})", ("name another with ", Option("log")), "log-unreadable")


def nothing_to_draw(instrument: str, octave_fret: int) -> Says:
    """A log without steps of this instrument."""
    what = f"there are no readings of {instrument} at fret {octave_fret} to draw"
    return Says(what, ("read some, or remove ", Option("format")), "log-nothing-to-draw")


def unknown_entry_key(key: str, known: Sequence[str]) -> Says:
    """A key of a TOML reading that is none of ours."""
    return Says(f"unknown key {shown(key)}", nearest(key, known), "readings-key-unknown")


def no_start(text: str, on_the_line: str, at_wedges: str) -> Says:
    """A word that does not say where the bridge stands."""
    meant = close_to(text, (on_the_line, at_wedges))
    choice = f"write {on_the_line} for where the sheet put it, or the distance of its crown from the nut"
    return Says(f"{shown(text)} is not a place", did_you_mean(meant) if meant else choice, "start-unread")
