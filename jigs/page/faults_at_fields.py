"""Each fault at the field that it is about, in the page's own words: labels instead of keys and options."""

from collections.abc import Sequence

from jigs.faults import Fault, Key, Note, Option, on_one_line, spoken
from jigs.page.form.fields import BEGINS_WITH, DRAW_KEYS, kind_of, label_of
from jigs.page.form.filled import STRINGS
from jigs.templates.catalogue import NAMES

OF_ALL_STRINGS = frozenset(("string-would-break", "string-pulls-too-much"))
"""What a single wrong scale does to all strings at once."""


def fault_list(faults: Sequence[Fault]) -> list[dict[str, str]]:
    """Faults as the page takes them: code, field to blame, place, what is wrong, what to do."""
    of_strings = [fault for fault in faults if fault.code in OF_ALL_STRINGS]
    of_scale = of_strings if len(of_strings) > 1 else []
    return [
        {
            "code": fault.code,
            "field": "scale" if fault in of_scale else field_of(fault),
            "where": where_of(fault),
            "what": on_one_line(spoken(fault.what, label_of)),
            "remedy": on_one_line(spoken(fault.remedy, label_of)),
        }
        for fault in faults
    ]


def note_list(notes: Sequence[Note]) -> list[dict[str, str]]:
    """Notes as the page takes them: code, field, text."""
    return [{"code": note.code, "field": field_of(note), "text": _sentence(note)} for note in notes]


def _sentence(note: Note) -> str:
    string = "" if note.place.string is None else f"string {note.place.string}: "
    return string + note.sentence(label_of)


def where_of(fault: Fault) -> str:
    """The place of a fault that has no field, as the page says it.

    >>> from jigs.faults import Place
    >>> where_of(Fault(Place("mine.toml", line=3), "", "", "none")), where_of(Fault(Place(option="kerf"), "", "", "none"))
    ('line 3', '“Kerf”')
    """
    place = fault.place
    if place.option:
        return label_of(Option(place.option))
    if place.table not in ("", STRINGS, "readings"):
        return label_of(Key(place.table, place.key)) if place.key else ""
    return "" if place.table == "readings" else on_one_line(place.where)


def field_of(fault: Fault) -> str:
    """The field to blame for a fault, empty for none.

    >>> from jigs.faults import Place
    >>> field_of(Fault(Place("mine.toml", "strings", "gauge", string=4), "", "", "none"))
    'strings.4.gauge'
    >>> field_of(Fault(Place(option="kerf"), "", "", "none")), field_of(Fault(Place("mine.toml", line=3), "", "", "none"))
    ('draw.kerf', '')
    """
    place = fault.place
    if place.option in ("paper", "printer", *DRAW_KEYS):
        return f"draw.{place.option}"
    if place.table == "readings":
        return f"readings.{place.key}"
    if place.string is not None:
        key = f"{STRINGS}.{place.string}.{place.key}"
        return key if kind_of(key) is not None else f"{STRINGS}.{place.string}.note"
    if place.table == STRINGS:
        return STRINGS
    if place.table:
        key = f"{place.table}.{place.key}"
        return key if kind_of(key) is not None else BEGINS_WITH.get(place.table, "")
    if place.option == "template" or place.key in NAMES:
        return "draw.template"
    return place.key if kind_of(place.key) is not None else ""
