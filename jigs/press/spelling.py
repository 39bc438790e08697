"""What the alphabets of a drawing cannot write: replaced on the sheet, and noted for the user."""

from collections.abc import Iterator
from dataclasses import replace

from jigs.cutting.engraving import UNKNOWN
from jigs.drawing.items import Drawing, Item, Text
from jigs.drawing.lettering import MISSING, runs_leftward, writable
from jigs.faults import Note, Place
from jigs.press import words
from jigs.sheets.paper import Sheet


def lettering_notes(name: str, lacking: str, unengraved: str) -> Iterator[Note]:
    """Notes on an instrument's name, from the characters of it that are ``lacking`` in print and ``unengraved``."""
    place = Place(key="name")
    if unengraved:
        yield words.not_engravable(" ".join(dict.fromkeys(unengraved)), UNKNOWN).note(place)
    if lacking:
        shown = " ".join(f"{char} (U+{ord(char):04X})" for char in dict.fromkeys(lacking))
        yield words.not_in_typeface(shown, MISSING).note(place)
    if runs_leftward(name):
        yield words.right_to_left().note(place)


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
