"""Drawings and their words on sheets: one below its heading, a long one in pieces, and sheets of words alone."""

from collections.abc import Sequence
from dataclasses import replace

from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Box, Drawing
from jigs.drawing.room import HEADING_MM, DoesNotFit, Room, placed
from jigs.sheets import tiling, words
from jigs.sheets.flow import with_words
from jigs.sheets.paper import Paper, Sheet, list_room, on_sheet, room_for, room_on
from jigs.sheets.title import Title

LEAST_ASSEMBLY_MM = 70.0
"""Pieces of a long drawing that are shorter are not worth joining; our own bound."""

_RULER_CLEAR = 1.5
_WIDE_ASSEMBLY_MM = 60.0


def on_sheets(
    drawn: Sequence[Drawing],
    said: Instructions,
    paper: Paper,
    title: Title,
    for_words: Paper | None = None,
    further_scale: str | None = None,
) -> list[Sheet]:
    """Drawings, each in the room of a sheet, with their words; what has no room there is on sheets of its own.

    ``for_words``: the paper of those, if it is another. ``further_scale``: that of all drawings but the first, if it is
    another. Raises `DoesNotFit`.
    """
    other = paper if for_words is None else for_words
    scales = [title.scale, *[title.scale if further_scale is None else further_scale] * (len(drawn) - 1)]
    laid = with_words(drawn, said, room_for(paper, scales[0]), list_room(other), room_for(paper, scales[-1]))
    several, total = len(laid.drawn) > 1, len(laid.drawn) + len(laid.words)
    sheets = []
    for n, (one, scale) in enumerate(zip(laid.drawn, scales, strict=True), 1):
        of = replace(title, sheet=n, sheets=total, part=str(n) if several else "", scale=scale)
        sheets.append(on_sheet(one, paper, of))
    for n, one in enumerate(laid.words, 1):
        part = words.PART_WITH_WORDS + (str(n) if len(laid.words) > 1 else "")
        of = replace(title, sheet=len(laid.drawn) + n, sheets=total, part=part, scale="", note="")
        sheets.append(on_sheet(one, other, of))
    return sheets


def long_on_sheets(
    whole: Drawing,
    said: Instructions,
    paper: Paper,
    title: Title,
    counts_from: str = "nut",
    for_words: Paper | None = None,
    others: tuple[Sequence[Drawing], Sequence[Drawing]] = ((), ()),
) -> list[Sheet]:
    """A long drawing uncut, if a sheet holds it; else in pieces that are joined by their crosses.

    How to join them comes after the first step, which is to measure the print, if these sheets are all. ``counts_from``:
    what its heights count from, for the words at the joints. ``for_words``: the paper for words that find no room beside it,
    if that is another. ``others``: drawings for the sheets before its own, and after them. Raises `DoesNotFit` if the paper
    is too narrow.
    """
    before, after = others
    room = room_on(paper)
    try:
        return on_sheets([*before, placed(whole, room, "", ""), *after], said, paper, title, for_words)
    except DoesNotFit:
        pieces = _in_pieces(whole, room, counts_from)
    further = said.further + said.further[-1:] * (len(pieces) - 1)
    joining = words.JOINING_STEPS if said.steps and not before else ()
    said = replace(said, steps=(*said.steps[:1], *joining, *said.steps[1:]), further=further)
    return on_sheets([*before, *pieces, *after], said, paper, title, for_words)


def _in_pieces(whole: Drawing, room: Room, counts_from: str) -> list[Drawing]:
    """The pieces side by side left of the ruler, or below it if they are too wide; on the first sheet also how they join."""
    below, beside = room.corner_height + _RULER_CLEAR, room.beside_ruler - _RULER_CLEAR
    under_ruler = Box(room.beside_ruler + _RULER_CLEAR, below, room.width, room.height)
    over_pieces = Box(beside - _WIDE_ASSEMBLY_MM, HEADING_MM, beside, below)
    for top, width, free in ((HEADING_MM, beside, under_ruler), (below, room.width, over_pieces)):
        tiles = tiling.tiles_of(whole, room.height - top, counts_from)
        filled = tiling.arranged(tiles, width)
        if filled is None:
            continue
        laid = [one.shifted(0.0, top) for one in filled]
        if len(tiles) > 1:
            if free.height < LEAST_ASSEMBLY_MM:
                raise DoesNotFit(words.TOO_SHORT_TO_JOIN)
            laid[0] += tiling.assembly(whole, tiles, free.width, free.height).shifted(free.left, free.top)
        return laid
    raise DoesNotFit(words.not_to_be_joined(max(tile.drawing.bounds().width for tile in tiles)))
