"""The index of a rack, to hang beside it: a row for each instrument, on as many sheets as it takes.

Nothing on it is measured, so it has no rulers. If the paper is too narrow for its columns, the index is on A4. If any place
was found by ear, or any log read, rows have more lines and a column for the last reading. Corrections by kind come last.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, groupby

from geometry.lengths import round_half_up
from jigs.drawing.blocks import heading
from jigs.drawing.items import Anchor, Drawing, Line, Role, Text, drawing, paragraph, paragraph_height_mm
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, width_mm, wrapped, writable
from jigs.drawing.room import Room
from jigs.export.files import page_files
from jigs.faults import printable
from jigs.rack import words
from jigs.rack.corrections import KindCorrections, by_kind
from jigs.rack.report import Item, faults_in_short, missing_in_short
from jigs.rack.rows import FoundRow, LastReading, Row
from jigs.rack.words import BRIDGE_LINE, DOCUMENT, EXPLAINED, MISSING, NOT_DRAWN, index_facts
from jigs.sheets.paper import PAPERS, Paper, Sheet, list_room, on_sheet, size_in_words
from jigs.sheets.title import Title
from jigs.wording import signed

NAME = "rack-index"

_LEAST_WIDTH, _LEAST_WIDTH_WITH_FOUND = 160.0, 185.0
_PAD = 1.6
_BELOW_HEADING = 5.0
_STEP = SMALL * LINE_STEP
_NUMBER, _SCALE, _PLACE, _SLANT = 8.0, 15.0, 24.5, 23.0
_OF_NAME = 0.46
_SCALE_WITH_FOUND, _SLANT_WITH_FOUND, _LAST = 19.0, 25.0, 28.0
_OF_NAME_WITH_FOUND = 0.4
_PLUS_MINUS = 11.0
_LEAST_PLUS_MINUS_MM = 0.1
_KIND, _COUNT, _MEAN, _SD = 45.0, 20.0, 18.0, 13.0
"""Columns of the corrections, set to the right except the first."""


@dataclass(frozen=True)
class _Columns:
    """Left edges of the columns, and the right edge of the last; no ``last`` reading if nobody read or found anything."""

    number: float
    name: float
    scale: float
    treble: float
    bass: float
    slant: float
    files: float
    end: float
    last: float | None = None

    @property
    def after_slant(self) -> float:
        """Where the slant's column ends."""
        return self.files if self.last is None else self.last


_LINES_OF_FOUND = 3
"""Lines of a row with a found place: drawn, found, computed."""


def files(items: Sequence[Item], paper: Paper, formats: Iterable[str], of: str) -> dict[str, bytes]:
    """The index in every format, in memory, by file name."""
    sheets = lay_out(items, paper, of)
    title, subject = f"{DOCUMENT}: {writable(of)[0]}", f"Words only, on {size_in_words(sheets[0].paper)}"
    return page_files(sheets, formats, NAME, title, subject)


def lay_out(items: Sequence[Item], paper: Paper, of: str) -> list[Sheet]:
    """The index on as many sheets as it takes."""
    has_found = any(item.last is not None or (item.row is not None and item.row.found is not None) for item in items)
    least = _LEAST_WIDTH_WITH_FOUND if has_found else _LEAST_WIDTH
    paper = paper if list_room(paper).width >= least else PAPERS["a4"]
    room = list_room(paper)
    columns = _columns_with_found(room.width) if has_found else _columns(room.width)
    drawn = [item for item in items if item.row is not None]
    not_drawn = [(item.source, faults_in_short(item)) for item in items if item.row is None]
    missing = [(item.source, missing_in_short(one)) for item in drawn for one in item.missing]
    rows = [_row(n, item, item.row, columns) for n, item in enumerate(drawn, 1) if item.row is not None]
    corrections = by_kind(item.row for item in drawn if item.row is not None)
    lists = (*_reasons(MISSING, missing, room.width), *_reasons(NOT_DRAWN, not_drawn, room.width))
    below_head = (*rows, *lists, *_corrections(corrections, room.width))
    facts = index_facts(len(drawn), sum(bool(item.missing) for item in drawn), len(not_drawn))
    pages = list(_pages(below_head, room, columns, facts))
    title = Title(writable(of)[0], DOCUMENT, facts, sheets=len(pages), scale="", stem=NAME)
    several = len(pages) > 1
    return [
        on_sheet(page, paper, replace(title, sheet=n, part=str(n) if several else ""))
        for n, page in enumerate(pages, 1)
    ]


def _columns(width: float) -> _Columns:
    name = _OF_NAME * (width - _NUMBER - _SCALE - 2 * _PLACE - _SLANT)
    scale = _NUMBER + name
    treble = scale + _SCALE
    return _Columns(
        0.0, _NUMBER, scale, treble, treble + _PLACE, treble + 2 * _PLACE, width - name / _OF_NAME + name, width
    )


def _columns_with_found(width: float) -> _Columns:
    rest = width - _NUMBER - _SCALE_WITH_FOUND - 2 * _PLACE - _SLANT_WITH_FOUND - _LAST
    scale = _NUMBER + _OF_NAME_WITH_FOUND * rest
    treble = scale + _SCALE_WITH_FOUND
    slant = treble + 2 * _PLACE
    last = slant + _SLANT_WITH_FOUND
    return _Columns(0.0, _NUMBER, scale, treble, treble + _PLACE, slant, last + _LAST, width, last)


def _pages(blocks: Iterable[Drawing], room: Room, columns: _Columns, facts: str) -> Iterator[Drawing]:
    """Blocks below each other, on every sheet under its heading and above the words that explain it."""
    text = EXPLAINED if columns.last is None else f"{EXPLAINED} {words.FOUND_EXPLAINED}"
    below = paragraph(wrapped(text, SMALL, room.width), 0.0, 0.0, SMALL)
    explained = below.shifted(0.0, room.height - below.bounds().height)
    title = heading(words.TITLE, facts, room.width)
    head = title + _heads(columns).shifted(0.0, title.bounds().bottom + _BELOW_HEADING)
    top, foot = head.bounds().bottom, room.height - below.bounds().height - 2 * SMALL
    page, level = head, top
    for block in blocks:
        height = block.bounds().bottom
        if level + height > foot and level > top:
            yield page + explained
            page, level = head, top
        page += block.shifted(0.0, level)
        level += height
    yield page + explained


def _heads(columns: _Columns) -> Drawing:
    """What the columns are."""
    first, second = SMALL, SMALL + _STEP
    foot = second + _PAD + (0.0 if columns.last is None else _STEP)
    right = columns.bass + _PLACE - _PAD
    return drawing(
        Text((columns.number, second), "no.", SMALL),
        Text((columns.name, second), "instrument", SMALL),
        Text((columns.treble - _PAD, second), "scale", SMALL, Anchor.END),
        Text(((columns.treble + _PAD + right) / 2, first), BRIDGE_LINE, SMALL, Anchor.MIDDLE),
        Text((columns.bass - _PAD, second), "treble", SMALL, Anchor.END),
        Text((right, second), "bass", SMALL, Anchor.END),
        Text((columns.slant + _PAD, second), "slant", SMALL),
        Text((columns.files, second), "files", SMALL),
        _heads_of_found(columns, second),
        Line((0.0, foot), (columns.end, foot), Role.GUIDE),
    )


def _heads_of_found(columns: _Columns, second: float) -> Iterator[Text]:
    """The third line of the heading, and the column of the last reading; nothing without it."""
    if columns.last is None:
        return
    third = second + _STEP
    for right in (columns.bass, columns.slant):
        yield Text((right - _PAD, third), words.CORRECTION, SMALL, Anchor.END)
    yield Text((columns.slant + _PAD, third), words.FOUND_ON, SMALL)
    yield Text((columns.last, second), words.LAST_READING, SMALL)
    yield Text((columns.last, third), words.IN_CENTS, SMALL)


def _row(number: int, item: Item, row: Row, columns: _Columns) -> Drawing:
    """A row with a line below it; its top at y = 0."""
    names = _broken(writable(row.name)[0], columns.scale - columns.name - _PAD)
    kept = list(_kept(item, columns.end - columns.files))
    strings = _found_with(row.found, columns.after_slant - columns.scale - _PAD)
    read = [] if item.last is None or columns.last is None else _last_reading(item.last, _LAST - _PAD)
    base = _PAD + SMALL
    of_found = 0 if row.found is None else _LINES_OF_FOUND + len(strings)
    foot = _PAD + paragraph_height_mm(max(len(names), len(kept), len(read), of_found, 1), SMALL) + _PAD
    places = (
        (columns.bass, row.treble_mm, row.treble_plus_minus_mm),
        (columns.slant, row.bass_mm, row.bass_plus_minus_mm),
    )
    return drawing(
        Text((columns.number, base), str(number), SMALL),
        paragraph(names, columns.name, _PAD, SMALL),
        Text((columns.treble - _PAD, base), round_half_up(row.scale_mm, 1), SMALL, Anchor.END),
        (text for right, mm, sure in places for text in _place(right - _PAD, base, mm, sure)),
        Text((columns.slant + _PAD, base), _slant(row.slant_deg), SMALL),
        () if row.found is None else _found(row, row.found, columns, base),
        paragraph(strings, columns.scale, _PAD + _LINES_OF_FOUND * _STEP, SMALL),
        paragraph(read, columns.after_slant, _PAD, SMALL),
        paragraph(kept, columns.files, _PAD, SMALL),
        Line((0.0, foot), (columns.end, foot), Role.FINE),
    )


def _place(right: float, base: float, mm: float, plus_minus_mm: float) -> Iterator[Text]:
    """A place, and how sure it is, each in its own column; to a tenth, because nobody marks finer."""
    sure = round_half_up(max(plus_minus_mm, _LEAST_PLUS_MINUS_MM), 1)
    yield Text((right - _PLUS_MINUS, base), round_half_up(mm, 1), SMALL, Anchor.END)
    yield Text((right, base), f"± {sure}", SMALL, Anchor.END)


def _found(row: Row, found: FoundRow, columns: _Columns, base: float) -> Iterator[Text]:
    """The second and third line of a row: the found place with correction and date, and the computed place."""
    second, third = base + _STEP, base + 2 * _STEP
    ends = (
        (columns.bass - _PAD, found.treble_mm, found.correction_treble_mm, row.computed_treble_mm),
        (columns.slant - _PAD, found.bass_mm, found.correction_bass_mm, row.computed_bass_mm),
    )
    yield Text((columns.treble - _PAD, second), words.FOUND, SMALL, Anchor.END)
    yield Text((columns.treble - _PAD, third), words.COMPUTED, SMALL, Anchor.END)
    for right, found_mm, correction_mm, computed_mm in ends:
        yield Text((right - _PLUS_MINUS, second), round_half_up(found_mm, 1), SMALL, Anchor.END)
        yield Text((right, second), signed(correction_mm, 1), SMALL, Anchor.END)
        yield Text((right - _PLUS_MINUS, third), round_half_up(computed_mm, 1), SMALL, Anchor.END)
    if found.date:
        yield Text((columns.slant + _PAD, second), found.date, SMALL)


def _found_with(found: FoundRow | None, room: float) -> list[str]:
    """The strings with which a place was found; no line breaks within a string."""
    if found is None:
        return []
    if found.same_strings:
        return wrapped(words.FOUND_WITH_TODAYS, SMALL, room)
    kept = ", ".join(one.replace(" ", "\N{NO-BREAK SPACE}") for one in found.strings.split(", "))
    return wrapped(words.found_with(kept), SMALL, room)


def _last_reading(last: LastReading, room: float) -> list[str]:
    """The step and its verdict, and how far the outer strings were off."""
    cents = words.cents_in_short(last)
    return [*wrapped(words.step_in_words(last), SMALL, room), *(wrapped(cents, SMALL, room) if cents else [])]


def _slant(slant_deg: float) -> str:
    """The slant in short, with the end that is farther from the nut.

    >>> _slant(2.91), _slant(-0.62), _slant(0.01)
    ('2.9° bass', '0.6° treble', 'square')
    """
    size = round_half_up(abs(slant_deg), 1)
    if not float(size):
        return "square"
    return f"{size}° {'bass' if slant_deg > 0 else 'treble'}"


def _kept(item: Item, room: float) -> Iterator[str]:
    """Where its drawings are: a single one by its whole name, several below what their names begin with."""
    names = _files_in_words([name.removeprefix(f"{item.stem}-") for name in item.files])
    if len(names) > 1:
        yield from _broken(f"{item.stem}-", room)
        yield from wrapped(", ".join(name.replace(" ", "\N{NO-BREAK SPACE}") for name in names), SMALL, room)
    else:
        yield from (line for name in names for line in _broken(f"{item.stem}-{name}", room))
    for place in item.lies:
        yield from _broken(f"{place.name.removeprefix(f'{item.stem}-')} on nest-{place.sheet}", room)


def _files_in_words(names: Sequence[str]) -> list[str]:
    """File names in short: names that differ only in their ending are joined.

    >>> _files_in_words(["fork.pdf", "fork.svg", "fretboard-1.svg"])
    ['fork.pdf .svg', 'fretboard-1.svg']
    """
    grouped = groupby(sorted(names), key=_without_ending)
    return [name + " ".join(one.removeprefix(name) for one in group) for name, group in grouped]


def _without_ending(name: str) -> str:
    return name.rpartition(".")[0]


def _reasons(heading: str, of: Sequence[tuple[str, str]], width: float) -> Iterator[Drawing]:
    """A list of files, each with a reason, under a heading."""
    if of:
        yield paragraph([heading], 0.0, 2 * _PAD, MEDIUM)
    for source, reason in of:
        yield paragraph(_broken(f"{printable(source)}: {reason}", width), 0.0, _PAD, SMALL)


def _corrections(kinds: Sequence[KindCorrections], width: float) -> Iterator[Drawing]:
    """The table of corrections, its heading and its first line in one block, and what it means."""
    if not kinds:
        return
    head = paragraph([words.CORRECTIONS], 0.0, 2 * _PAD, MEDIUM)
    explained = paragraph(wrapped(words.CORRECTIONS_EXPLAINED, SMALL, width), 0.0, 0.0, SMALL)
    first, *more = map(_correction, kinds)
    for below in (explained, _cells(words.CORRECTION_HEADS), first):
        head += below.shifted(0.0, head.bounds().bottom + _PAD)
    yield head
    yield from more
    yield paragraph(wrapped(words.corrections_mean(kinds), SMALL, width), 0.0, 2 * _PAD, SMALL)


def _correction(kind: KindCorrections) -> Drawing:
    return _cells(words.correction_cells(kind))


def _cells(cells: Sequence[str]) -> Drawing:
    """A line of the table of corrections; its top at y = 0."""
    rights = accumulate((_COUNT, _MEAN, _SD, _MEAN, _SD), initial=_KIND)
    _, *of_numbers = rights
    numbers = (Text((x, _PAD + SMALL), cell, SMALL, Anchor.END) for x, cell in zip(of_numbers, cells[1:], strict=True))
    return drawing(Text((0.0, _PAD + SMALL), cells[0], SMALL), numbers)


def _broken(text: str, room: float) -> list[str]:
    """A text in lines, broken after spaces and hyphens, and a longer word wherever it must be.

    >>> _broken("loan-octave-mandolin-1", 30.0)
    ['loan-octave-', 'mandolin-1']
    """
    lines = [""]
    for piece in re.split(r"(?<=[ -])", text):
        if lines[-1] and width_mm((lines[-1] + piece).rstrip(), SMALL) > room:
            lines.append("")
        for char in piece:
            if lines[-1] and width_mm((lines[-1] + char).rstrip(), SMALL) > room:
                lines.append("")
            lines[-1] += char
    return [line.strip() for line in lines]
