"""A template that cannot be drawn: what its empty sheet says, and the fields that mend it.

It lacks a measurement of the instrument, suits a different kind, or does not fit the paper.
A fault of the instrument itself is not of this kind: it spoils every template.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from jigs.faults import Fault, Key, Option, Place, Words, on_one_line, spoken
from jigs.page import printing_words as words
from jigs.page.faults_at_fields import field_of
from jigs.page.form.fields import label_of, name_of
from jigs.templates.catalogue import IN_WORDS
from jigs.wording import as_sentence

OF_THE_INSTRUMENT = frozenset(("slant-refused",))
"""Codes of what is wrong with the instrument whatever is drawn, although only drawings say so."""


def lacking(template: str, faults: Sequence[Fault], source: str) -> dict[str, Any] | None:
    """What the empty sheet of a template says: its title, sentences, and fields to go to; None where it is not its fault."""
    if any(fault.code in OF_THE_INSTRUMENT for fault in faults):
        return None
    keys = dict.fromkeys(key for fault in faults for key in _fields(fault, source) if name_of(key))
    return {
        "title": words.template_in_words(template, IN_WORDS[template]),
        "fields": [{"field": key, "label": name_of(key)} for key in keys],
        "sentences": list(dict.fromkeys(map(_sentence, faults))),
    }


def _sentence(fault: Fault) -> str:
    said = on_one_line(spoken(fault.what, label_of)), on_one_line(spoken(fault.remedy, label_of))
    return as_sentence("; ".join(part for part in said if part))


def _fields(fault: Fault, source: str) -> Iterator[str]:
    """The field of a fault, and those that its sentence names."""
    yield field_of(fault, source)
    for part in (*_named(fault.what), *_named(fault.remedy)):
        place = Place(option=part.name) if isinstance(part, Option) else Place(table=part.table, key=part.key)
        yield field_of(Fault(place, "", "", fault.code), source)


def _named(said: Words) -> Iterator[Key | Option]:
    if not isinstance(said, str):
        yield from (part for part in said if not isinstance(part, str) and (isinstance(part, Option) or part.key))
