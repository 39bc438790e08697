"""What the alphabets of a drawing cannot write: replaced on the sheet, and told to the user."""

from collections.abc import Iterator
from dataclasses import replace

from jigs.cutting.engraving import UNKNOWN
from jigs.drawing.items import Drawing, Item, Text
from jigs.drawing.lettering import MISSING, runs_leftward, writable
from jigs.sheets.paper import Sheet


def lettering_warnings(name: str, lacking: str, unengraved: str) -> Iterator[str]:
    """What to tell of an instrument's name, from the characters of it that are ``lacking`` in print and ``unengraved``."""
    if unengraved:
        shown = " ".join(dict.fromkeys(unengraved))
        yield f"name: {shown} cannot be engraved in single strokes; {UNKNOWN} stands in its place"
    if lacking:
        shown = " ".join(f"{char} (U+{ord(char):04X})" for char in dict.fromkeys(lacking))
        yield f"name: the typeface lacks {shown}; {MISSING} stands in its place"
    if runs_leftward(name):
        yield "name: letters that run from right to left may come out in the wrong order; give it a name in another script"


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
