"""The form filled in: the text that it started from, with the values of its fields in their places."""

import re
from collections.abc import Mapping
from typing import Any

from jigs.faults import Place
from jigs.instrument import filled
from jigs.instrument.file import MOST_STRINGS
from jigs.instrument.filled import STRINGS
from jigs.instrument.reference import kind_of
from jigs.page import words

_WHOLE = re.compile(r"[+-]?\d{1,15}", re.ASCII)


def filled_in(text: str, data: Mapping[str, Any], fields: Mapping[str, str], source: str) -> str:
    """The text with the fields filled in; an empty field removes its key. ``data`` is what the text says.

    Raises `InputFaults` for a field that no form has, and for a text that is nested too deep to read.
    """
    for key in fields:
        if key != STRINGS and kind_of(key) is None:
            raise words.no_field(key).refusal(Place(source))
    if STRINGS not in fields:
        return filled.filled_in(text, data, fields, source)
    plain = fields[STRINGS].strip()
    if not (_WHOLE.fullmatch(plain) and 0 <= int(plain) <= MOST_STRINGS):
        raise words.no_count_of_strings(plain, MOST_STRINGS).refusal(Place(source, STRINGS))
    return filled.filled_in(text, data, fields, source)
