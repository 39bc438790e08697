"""What the alphabets of a drawing cannot write: notes on an instrument's name, and replaced characters elsewhere."""

from collections.abc import Iterator
from dataclasses import replace

from jigs.cutting.engraving import engravable
from jigs.drawing.items import Drawing, Item, Text
from jigs.drawing.lettering import writable
from jigs.faults import Note, Place
from jigs.press import words
from jigs.sheets.paper import Sheet
from jigs.templates.names import engraved_name, printed_name
from jigs.workup.workup import Workup

_NAME = Place(key="name")


def name_notes(workup: Workup, stem: str, engraves: bool) -> Iterator[Note]:
    """Notes on a name that sheets have another for, and parts as well where something ``engraves`` it."""
    name, printed = workup.instrument.name, printed_name(workup, stem)
    unengraved, lacking = engravable(name)[1] if engraves else "", writable(name)[1]
    if unengraved:
        yield words.not_engraved(unengraved, engraved_name(workup, stem)).note(_NAME)
    if lacking:
        yield words.not_in_typeface(lacking, printed).note(_NAME)
    elif printed != name:
        yield words.from_right_to_left(printed).note(_NAME)


def spelt(sheet: Sheet) -> Sheet:
    """The sheet with unwritable characters replaced, wherever they come from."""
    items: list[Item] = []
    for item in sheet.drawing:
        text = writable(item.text)[0] if isinstance(item, Text) else ""
        items.append(replace(item, text=text) if isinstance(item, Text) and text != item.text else item)
    return replace(sheet, drawing=Drawing(tuple(items)))
