"""What the alphabets of a drawing cannot write: replaced on the sheet, and noted for the user."""

from collections.abc import Iterator
from dataclasses import replace

from jigs.cutting.engraving import UNKNOWN
from jigs.drawing.items import Drawing, Item, Text
from jigs.drawing.lettering import MISSING, runs_leftward, writable
from jigs.faults import Note, Place
from jigs.press import words
from jigs.sheets.paper import Sheet

_NAME = Place(key="name")


def lettering_notes(name: str, lacking: str, unengraved: str) -> Iterator[Note]:
    """Notes on an instrument's name, from the characters of it that are ``lacking`` in print and ``unengraved``."""
    if unengraved:
        yield words.not_engraved(unengraved, UNKNOWN).note(_NAME)
    if lacking:
        yield words.not_in_typeface(lacking, MISSING).note(_NAME)
    if runs_leftward(name):
        yield words.from_right_to_left().note(_NAME)


def spelt(sheet: Sheet) -> tuple[Sheet, str]:
    """The sheet with unwritable characters replaced, and those characters."""
    items: list[Item] = []
    lacking = ""
    for item in sheet.drawing:
        if isinstance(item, Text):
            text, missing = writable(item.text)
            lacking += missing
            items.append(item if text == item.text else replace(item, text=text))
        else:
            items.append(item)
    return replace(sheet, drawing=Drawing(tuple(items))), lacking
