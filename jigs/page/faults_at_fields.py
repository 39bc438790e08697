"""Each fault at the field that it is about."""

import re
from collections.abc import Sequence

from jigs.faults import Fault, on_one_line
from jigs.page import readings as outer
from jigs.page.form.fields import BEGINS_WITH, DRAW_KEYS, kind_of
from jigs.page.form.filled import STRINGS
from jigs.templates.catalogue import NAMES

_TABLE_KEY = re.compile(r"\[(\w+)\](?: (\w+))?")


_REMEDY_KEY = re.compile(r"under \[(\w+)\] as (\w+)")


_STRING_KEY = re.compile(r"string (\d+)(?:, (\w+))?")


def fault_list(faults: Sequence[Fault]) -> list[dict[str, str]]:
    """Faults as the page takes them: the field to blame, where, and what is wrong."""
    of_strings = [fault for fault in faults if _STRING_KEY.match(fault.where) and "check note" in fault.what]
    of_all = of_strings if len(of_strings) > 1 else []
    return [
        {
            "field": "scale" if fault in of_all else field_of(fault),
            "where": on_one_line(fault.where),
            "what": on_one_line(fault.what),
        }
        for fault in faults
    ]


def field_of(fault: Fault) -> str:
    """The field to blame for a fault, empty for none.

    >>> field_of(Fault("mine.toml", "[action] nut", "")), field_of(Fault("", "string 4, gauge", ""))
    ('action.nut', 'strings.4.gauge')
    >>> field_of(Fault("mine.toml", "head", "measure, and write it under [rim] as fret_12_to_near_edge"))
    'rim.fret_12_to_near_edge'
    >>> field_of(Fault("--kerf", "", "")), field_of(Fault("mine.toml", "--paper", "")), field_of(Fault("", "line 3", ""))
    ('draw.kerf', 'draw.paper', '')
    """
    for text in (fault.where, fault.source):
        if text.startswith("--") and text[2:] in ("paper", "printer", *DRAW_KEYS):
            return f"draw.{text[2:]}"
    if fault.source == "template" or fault.where in NAMES:
        remedy = _REMEDY_KEY.search(fault.what)
        key = ".".join(remedy.groups()) if remedy else ""
        return key if kind_of(key) is not None else "draw.template"
    if fault.where.startswith(outer.PREFIX):
        return fault.where
    where = fault.where
    in_table, of_string = _TABLE_KEY.match(where), _STRING_KEY.match(where)
    if in_table:
        key = f"{in_table[1]}.{in_table[2]}"
        return key if kind_of(key) is not None else BEGINS_WITH.get(in_table[1], "")
    if of_string:
        key = f"{STRINGS}.{of_string[1]}.{of_string[2]}"
        return key if kind_of(key) is not None else f"{STRINGS}.{of_string[1]}.note"
    if where.startswith(STRINGS):
        return STRINGS
    return where if kind_of(where) is not None else ""
