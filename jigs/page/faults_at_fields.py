"""Each fault at the field that it is about, in the page's own words: labels instead of keys and options."""

from collections.abc import Sequence

from jigs.faults import Check, Fault, Note, Place, on_one_line, spoken
from jigs.instrument.filled import STRINGS
from jigs.instrument.reference import kind_of
from jigs.page import words
from jigs.page.form.fields import BEGINS_WITH, CHOICES, DRAW_KEYS, TEMPLATE, label_of, name_of
from jigs.page.form.forms import FORMS, LABELS
from jigs.templates.catalogue import NAMES
from jigs.wording import as_sentence

OF_ALL_STRINGS = frozenset(("string-would-break", "string-pulls-too-much", "string-too-slack", "string-too-stiff"))
"""Codes of what a single wrong scale does to all strings at once."""

_SCALE = "scale"


def fault_list(faults: Sequence[Fault], source: str = "", octave_fret: int = 12) -> list[dict[str, str]]:
    """Faults as the page takes them, each once: code, field, place, what is wrong, what to do.

    ``source``: what the form fills in. A fault of any other file has no field. ``octave_fret``: as for `name_of`.
    """
    of_strings = [one for one in faults if one.code in OF_ALL_STRINGS and one.place.string is not None]
    of_scale = of_strings if len({one.place.string for one in of_strings}) > 1 else []
    return [_as_dict(fault, fault in of_scale, source, octave_fret) for fault in dict.fromkeys(faults)]


def _as_dict(fault: Fault, is_of_scale: bool, source: str, octave_fret: int) -> dict[str, str]:
    return {
        "code": fault.code,
        "field": _SCALE if is_of_scale else field_of(fault, source),
        "where": f"{name_of(_SCALE)}, string {fault.place.string}"
        if is_of_scale
        else where_of(fault, source, octave_fret),
        "what": on_one_line(spoken(fault.what, label_of)),
        "remedy": on_one_line(spoken(fault.remedy, label_of)),
    }


def note_list(notes: Sequence[Note], source: str = "") -> list[dict[str, str]]:
    """Notes as the page takes them: code, field, where that is, what it says there, and all of it as one text.

    ``first``: "true" if it asks to be checked before anything else, else empty.
    """
    return [
        {
            "code": note.code,
            "field": field_of(note, source),
            "where": where_of(note, source) if field_of(note, source) else "",
            "says": note.sentence(label_of),
            "text": _sentence(note),
            "first": "true" if isinstance(note, Check) else "",
        }
        for note in notes
    ]


def _sentence(note: Note) -> str:
    string = "" if note.place.string is None else f"string {note.place.string}: "
    return as_sentence(string + note.sentence(label_of))


def where_of(fault: Fault, source: str = "", octave_fret: int = 12) -> str:
    """Where a fault is, as the page says it: the name of its field, or its place in the file.

    >>> from jigs.faults import Place
    >>> places = Place(table="strings", key="gauge", string=4), Place(table="strings", string=4), Place(table="rim")
    >>> [where_of(Fault(place, "", "", "none")) for place in places]
    ['String 4, gauge', 'String 4', 'Banjo head']
    >>> where_of(Fault(Place("mine.toml", line=3), "", "", "none"), "mine.toml")
    'Your file, line 3'
    >>> where_of(Fault(Place("mine.toml", "rim", "colour"), "", "", "none"), "mine.toml")
    'Your file, “Banjo head”, colour'
    >>> where_of(Fault(Place("settings.toml", "cutter", "kerf"), "", "", "none"), "mine.toml")
    'settings.toml: [cutter] kerf'
    """
    place = fault.place
    if _is_elsewhere(place, source):
        return str(place)
    field = _own_field(place)
    if field:
        return LABELS.get(field) or name_of(field, octave_fret)
    if not place.key and place.table in BEGINS_WITH:
        return name_of(place.table)
    if place.option or place.row is not None:
        return on_one_line(place.where)
    return _in_the_file(place)


def _in_the_file(place: Place) -> str:
    """A place that has no field: a line that cannot be read, or a key that is not known."""
    table = f"“{name_of(place.table)}”" if place.table in BEGINS_WITH else ""
    if place.string is not None and not place.key:
        return f"String {place.string}"
    string = "" if place.string is None else f"string {place.string}"
    line = "" if place.line is None else f"line {place.line}"
    parts = [on_one_line(part) for part in (line, table, string, place.key) if part]
    return words.in_your_file(parts) if parts else ""


def field_of(fault: Fault, source: str = "") -> str:
    """The field of a fault, or one beside it where its key has none; empty for no field at all.

    >>> from jigs.faults import Place
    >>> field_of(Fault(Place("mine.toml", "strings", "gauge", string=4), "", "", "none"), "mine.toml")
    'strings.4.gauge'
    >>> field_of(Fault(Place(option="kerf"), "", "", "none")), field_of(Fault(Place(line=3), "", "", "none"))
    ('draw.kerf', '')
    """
    place = fault.place
    if _is_elsewhere(place, source):
        return ""
    beside = f"{STRINGS}.{place.string}.note" if place.string is not None else BEGINS_WITH.get(place.table, "")
    return _own_field(place) or beside


def _is_elsewhere(place: Place, source: str) -> bool:
    """Whether a place is in a file that the form does not fill in."""
    return place.source not in ("", source)


def _own_field(place: Place) -> str:
    """The field of exactly this place, empty for none."""
    if place.option:
        return f"draw.{place.option}" if place.option in (*CHOICES, *DRAW_KEYS) else ""
    if place.table == "readings":
        return f"readings.{place.key}"
    if place.table in FORMS:
        return f"{place.table}.{place.key}" if f"{place.table}.{place.key}" in LABELS else ""
    if place.table == STRINGS and place.string is None:
        return STRINGS
    if place.string is not None:
        key = f"{STRINGS}.{place.string}.{place.key}"
    elif place.table:
        key = f"{place.table}.{place.key}"
    else:
        key = place.key
    if kind_of(key) is not None:
        return key
    return f"draw.{TEMPLATE}" if not place.table and place.key in (TEMPLATE, *NAMES) else ""
