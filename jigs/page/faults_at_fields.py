"""Each fault at the field that it is about."""

from collections.abc import Sequence

from jigs.faults import Fault, on_one_line
from jigs.page.form.fields import BEGINS_WITH, DRAW_KEYS, kind_of
from jigs.page.form.filled import STRINGS


def fault_list(faults: Sequence[Fault]) -> list[dict[str, str]]:
    """Faults as the page takes them: the field to blame, where, and what is wrong."""
    of_strings = [fault for fault in faults if fault.place.string is not None and "check note" in str(fault)]
    of_all = of_strings if len(of_strings) > 1 else []
    return [
        {
            "field": "scale" if fault in of_all else field_of(fault),
            "where": on_one_line(fault.place.where),
            "what": fault.sentence(),
        }
        for fault in faults
    ]


def field_of(fault: Fault) -> str:
    """The field to blame for a fault, empty for none.

    >>> field_of(Fault(Place("mine.toml", "strings", "gauge", string=4), "", "", "none"))
    'strings.4.gauge'
    >>> field_of(Fault(Place(option="kerf"), "", "", "none")), field_of(Fault(Place("mine.toml", line=3), "", "", "none"))
    ('draw.kerf', '')
    """
    place = fault.place
    if place.option in ("template", "paper", "printer", *DRAW_KEYS):
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
    return place.key if kind_of(place.key) is not None else ""
