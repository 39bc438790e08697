"""The picture of a comparison on a sheet: the bridge with the old strings and with the new, from above, and the strings.

Everything that the hands need is on it, from the top down: what to do, the bridge, the steps, the strings, the cautions.
"""

import math
from collections.abc import Iterator, Sequence
from functools import reduce
from itertools import accumulate

from geometry.bridge import BridgeLine
from geometry.lengths import format_mm
from jigs.drawing.blocks import framed, heading, legend_in_a_row, steps_of
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text, drawing, paragraph
from jigs.drawing.lettering import LARGE, LARGEST, LINE_STEP, MEDIUM, SMALL, shortened, width_mm, wrapped
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.press import compare_words as words
from jigs.readings import from_above
from jigs.readings.from_above import BEYOND_MM, GAP_MM, BridgeFrame, Word
from jigs.readings.picture_words import TO_THE_NUT
from jigs.sheets.fitting import fitted
from jigs.sheets.paper import Paper, Sheet, list_room, on_sheet, size_in_words
from jigs.sheets.title import Title
from jigs.templates.names import printed_name
from jigs.wording import signed, unbroken
from jigs.workup import compare_words
from jigs.workup.compare import LEAST_MOVE_MM, Comparison
from jigs.workup.compare_tables import has_pairs, notes_of_sheet, starts_from, string_rows
from jigs.workup.words import comparing_in_words

_TIMES = (1, 2, 3, 4, 5, 7, 10, 15, 20, 30, 40, 50, 70, 100)
_SQUARE = BridgeLine(0.0, 0.0)
_ROW = SMALL * LINE_STEP
_BETWEEN, _COLUMN_GAP, _GAP = 4.5, 6.0, 2.0
_WIDEST_CELL = 45.0
_OWN_MARGIN = 4.0
_STRINGS_COLUMNS = 3
"""Columns of the table that begin at their left: number, old and new string. The others are figures."""


def files(comparison: Comparison, paper: Paper, formats: Sequence[str], stem: str) -> dict[str, bytes]:
    """The picture in every format, in memory, by file name. Raises `InputFaults`."""
    sheet = lay_out(comparison, paper, stem)
    title = f"{words.DOCUMENT}: {sheet.title.name}"
    return page_files([sheet], formats, f"{stem}-compare", title, words.subject(size_in_words(paper)))


def as_svg(comparison: Comparison) -> bytes:
    """The bridge alone, for a screen, as an SVG file of its own size."""
    from jigs.export.svg import to_svg

    sheet = on_own_sheet(comparison)
    return to_svg(sheet, f"{words.DOCUMENT}: {compare_words.order(comparison.end_moves_mm)}", sheet.title.facts)


def on_own_sheet(comparison: Comparison) -> Sheet:
    """The bridge alone on a sheet of its own size, without steps and strings."""
    times = _most_times(comparison)
    seen = _plan(comparison, times)
    title = words.MOVE_TITLE if comparison.moves else words.LEAVE_TITLE
    legend = legend_in_a_row(_meanings(comparison), SMALL, _COLUMN_GAP)
    width = max(seen.bounds().width, legend.bounds().right)
    scale = paragraph(wrapped(words.enlarged(times, comparison.moves), SMALL, width), 0.0, 0.0, SMALL)
    centred = seen.shifted((width - seen.bounds().left - seen.bounds().right) / 2, 0.0)
    drawn = reduce(_under, (heading(title, "", width), centred, legend, scale))
    box = drawn.bounds()
    width, height = math.ceil(box.width + 2 * _OWN_MARGIN), math.ceil(box.height + 2 * _OWN_MARGIN)
    placed = drawn.shifted((width - box.width) / 2 - box.left, _OWN_MARGIN - box.top)
    paper = Paper(f"{width} x {height} mm", float(width), float(height))
    return Sheet(paper, placed, Title(printed_name(comparison.new, ""), words.DOCUMENT, title, scale=""))


def lay_out(comparison: Comparison, paper: Paper, stem: str = "") -> Sheet:
    """The comparison on a sheet; ``stem`` names the instrument's file.

    Raises `InputFaults`, which names the papers that are large enough.
    """
    filled = fitted(lambda on: draw(comparison, list_room(on)), paper, "the picture")
    moves = " / ".join(f"{signed(mm, 1)} mm" for mm in comparison.end_moves_mm)
    name = printed_name(comparison.new, stem)
    return on_sheet(filled, paper, Title(name, words.DOCUMENT, words.facts(moves), scale="", stem=stem))


def draw(comparison: Comparison, room: Room) -> Drawing:
    """The picture in its room, the bridge as large along the neck as there is space for. Raises `DoesNotFit`."""
    most = _most_times(comparison)
    above, below = _heading(comparison, room.width), _below(comparison, room.width)
    for times in (each for each in reversed(_TIMES) if each <= most):
        seen = _plan(comparison, times)
        if seen.bounds().width > room.width:
            break
        box = seen.bounds()
        centred = seen.shifted((room.width - box.left - box.right) / 2, 0.0)
        laid = reduce(_under, (above, centred, _legend(comparison, times, room.width), *below))
        if laid.bounds().bottom <= room.height:
            return laid
    raise DoesNotFit(words.TOO_NARROW if seen.bounds().width > room.width else words.TOO_SHORT)


def _most_times(comparison: Comparison) -> int:
    """How much larger along the neck the moves and the slant allow the picture to be."""
    moves = (*comparison.end_moves_mm, LEAST_MOVE_MM)
    return from_above.times_for(comparison.new, (_SQUARE, _moved(comparison)), moves, _TIMES)


def _under(upper: Drawing, lower: Drawing) -> Drawing:
    """Both drawings, the lower one moved until it lies below the other."""
    return upper + lower.shifted(0.0, upper.bounds().bottom + _BETWEEN - lower.bounds().top)


def _moved(comparison: Comparison) -> BridgeLine:
    """The line for the new strings, seen from that for the old ones: a slant would leave no room to enlarge the moves."""
    old, line = comparison.old.line, comparison.line
    return BridgeLine(line.centre_mm - old.centre_mm, line.slope - old.slope)


def _heading(comparison: Comparison, width: float) -> Drawing:
    """The job, and what to do."""
    title = words.MOVE_TITLE if comparison.moves else words.LEAVE_TITLE
    if width_mm(title, LARGEST) > width:
        raise DoesNotFit(words.TOO_NARROW)
    return heading(title, unbroken(compare_words.order(comparison.end_moves_mm), " mm", " end"), width)


def _plan(comparison: Comparison, times: int) -> Drawing:
    """The bridge from above, with the old strings and with the new, the middle of the bridge at x = 0."""
    new, before, after = comparison.new, _SQUARE, _moved(comparison)
    frame = BridgeFrame(new, times, before.centre_mm, MEDIUM, LARGE)
    ys = [y for line in (before, after) for _, y in frame.ends(line)]
    top, foot = min(ys) - BEYOND_MM, max(ys) + BEYOND_MM
    ends = from_above.ends_of(new)
    flags = [list(_at_end(comparison, n)) for n in range(len(ends))]
    pole = top - GAP_MM - max(from_above.flag_height_mm(frame, flag) for flag in flags)
    seen = drawing(
        from_above.to_nut(TO_THE_NUT, pole - GAP_MM, frame.words_mm),
        from_above.string_runs(new, pole, top, foot),
        [from_above.crown(frame, before, Role.PROVISIONAL, "bridge-before")] if comparison.moves else [],
        from_above.crown(frame, after, Role.CUT, "bridge-after"),
        *(from_above.move(frame, end, before, after) for end in ends),
        *(from_above.flag(frame, end, flag, pole) for end, flag in zip(ends, flags, strict=True)),
    )
    return seen if new.instrument.head.hand == "right" else seen.mirrored()


def _at_end(comparison: Comparison, n: int) -> Iterator[Word]:
    """What an end does, line by line."""
    mm, new = comparison.end_moves_mm[n], comparison.new
    yield Word(new.instrument.string_in_words(new.outer_strings[n]))
    if abs(mm) < LEAST_MOVE_MM:
        yield Word(words.STAYS, large=True)
    else:
        yield Word(format_mm(abs(mm)), large=True)
        yield Word(compare_words.towards(mm))
    yield Word(compare_words.half_width(comparison.same_make_mm[n]))


def _meanings(comparison: Comparison) -> list[tuple[Role, str]]:
    """The lines of the picture, and what they mean."""
    old = [(Role.PROVISIONAL, words.OLD_LINE)] if comparison.moves else []
    return [*old, (Role.CUT, words.NEW_LINE)]


def _legend(comparison: Comparison, times: int, width: float) -> Drawing:
    """What the lines mean, how large the picture is, and how sure."""
    samples = legend_in_a_row(_meanings(comparison), SMALL, _COLUMN_GAP)
    ends = len(comparison.end_moves_mm)
    notes = (
        words.enlarged(times, comparison.moves),
        starts_from(comparison),
        compare_words.how_sure(comparison.other_make_mm[:ends]),
        *([compare_words.WITHIN_DOUBT] if comparison.within_doubt else []),
    )
    text = wrapped(unbroken(" ".join(notes), " mm", "± "), SMALL, width)
    foot = samples.bounds().bottom + _GAP
    return samples + paragraph(text, 0.0, foot, SMALL)


def _below(comparison: Comparison, width: float) -> tuple[Drawing, ...]:
    """What is below the picture: steps, strings, cautions."""
    steps = words.steps(comparison.moves, comparing_in_words(comparison.new), comparison.new.instrument.stands_on)
    cautions = (*map(words.caution, notes_of_sheet(comparison)), *words.CAUTIONS)
    return steps_of(steps, 0.0, 0.0, width), _table(comparison, width), framed(cautions, 0.0, 0.0, width)


def _table(comparison: Comparison, width: float) -> Drawing:
    """The strings, a row each, and what all of them pull; its top at y = 0. Raises `DoesNotFit`."""
    rows = [compare_words.COLUMNS, *string_rows(comparison)]
    cells = [[shortened(cell, SMALL, _WIDEST_CELL) for cell in row] for row in rows]
    widths = [max(width_mm(cell, SMALL) for cell in column) for column in zip(*cells, strict=True)]
    total = sum(widths) + _COLUMN_GAP * (len(widths) - 1)
    if total > width:
        raise DoesNotFit(words.TOO_NARROW)
    rights = list(accumulate(wide + _COLUMN_GAP for wide in widths))
    items: list[Item] = []
    for n, row in enumerate(cells):
        base = SMALL + n * _ROW + (_GAP if n else 0.0) + (_GAP if n == len(cells) - 1 else 0.0)
        for column, cell in enumerate(row):
            right = rights[column] - _COLUMN_GAP
            left = column < _STRINGS_COLUMNS
            at = (right - widths[column] if left else right, base)
            items += [Text(at, cell, SMALL, Anchor.START if left else Anchor.END)] if cell else []
    for below in (1, len(cells) - 1):
        level = below * _ROW + (_GAP if below > 1 else 0.0) - (_ROW - SMALL - _GAP) / 2 + _GAP / 8
        items.append(Line((0.0, level), (total, level), Role.GUIDE))
    foot = len(cells) * _ROW + 3 * _GAP
    meant = [compare_words.CENTS, *([compare_words.ONE_OF_A_PAIR] if has_pairs(comparison) else [])]
    return drawing(items, paragraph(wrapped(f"{'; '.join(meant)}.", SMALL, width), 0.0, foot, SMALL))
