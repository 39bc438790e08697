"""The setup card: for the bench, for setting the bridge by ear after the fork has given its rough place.

Its first sheet has the target, moves for cents, and boxes for a pencil; the steps find their place beside them. Its second
has a chart of what every fret will read. Nothing is drawn to scale. Left-handed, only the named sides differ.
"""

from collections.abc import Iterator, Sequence

from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.readings import ReadingError
from jigs.drawing.blocks import blocks, heading, legend_of, step_height_mm
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, shortened, width_mm
from jigs.drawing.room import HEADING_MM, DoesNotFit, Room
from jigs.templates import fork
from jigs.templates import setup_card_words as words
from jigs.templates import words as says
from jigs.templates.error_chart import LEAST_PLOT_MM, StringSeries, axis_for, error_chart, rows_for
from jigs.templates.options import Options
from jigs.templates.template import Lacks, Piece
from jigs.wording import signed
from jigs.workup.setup import TABLE_CENTS, BridgeEnd, bridge_ends, fret_errors
from jigs.workup.workup import Workup

MOST_ROUNDS, LEAST_ROUNDS = 5, 3
BOX_MM = 7.0
_ROW = SMALL * LINE_STEP
_FIGURES_ROW = SMALL * 1.4
_BAND_GAP = 5.0
_BELOW_HEADING = 4.0
_HEADING = MEDIUM + 2.2
_TARGET_COLUMNS = (0.0, 46.0, 82.0, 118.0, 146.0)
_TARGET_WIDTH = 172.0
_CENTS_AT, _CENTS_WIDTH = 8.0, 10.0
_MOVE_COLUMNS = (8.5, 20.0, 29.5, 41.0)
_MOVE_WIDTH = 41.5
_LEAST_STEPS_WIDTH = 58.0
_BETWEEN_STEPS = 3.8
_BELOW_STEPS = 9.0
_CAUTIONS = 46.0
"""Height for the frame of cautions under the moves."""

_NUMBER_WIDTH = 10.0
_BOX_WIDTHS = (19.5, 30.0)


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The card on its two sheets. Raises `DoesNotFit`, and `Lacks` without an octave to compare or moves to offer."""
    if workup.instrument.head.octave_fret is None:
        raise Lacks(says.no_octave())
    datum = _datum_of_fork(workup, room, options)
    try:
        ends = bridge_ends(workup, datum, options.datum_over_fret and datum is not None, options.print_share)
    except ReadingError:
        raise Lacks(says.no_moves()) from None
    said = words.card_words(workup, ends)
    bench = _bench(workup, ends, said, datum, room)
    document = f"Setup card, {workup.instrument.head.hand}-handed"
    return Piece(bench, document, fork.facts(workup), said, more=(_chart(workup, said, room),), scale="")


def _datum_of_fork(workup: Workup, room: Room, options: Options) -> int | None:
    """The fret of the fork on the same paper, so that both say the same ±; None where no fork goes on it."""
    try:
        return fork.draw(workup, room, options).datum_fret
    except DoesNotFit:
        return None


def _below_heading(title: str, datum: str, room: Room) -> float:
    return max(heading(title, datum, room.width).bounds().bottom + _BELOW_HEADING, HEADING_MM)


def _bench(workup: Workup, ends: Sequence[BridgeEnd], said: Instructions, datum: int | None, room: Room) -> Drawing:
    """The target below the heading, moves at its right, boxes at the foot: as many as leave room for the steps."""
    table_width = _CENTS_WIDTH + _MOVE_WIDTH * len(ends)
    steps_width = room.width - table_width - _BAND_GAP
    if steps_width < _LEAST_STEPS_WIDTH or room.width < _TARGET_WIDTH:
        raise DoesNotFit(says.NO_TABLE_BESIDE_STEPS)
    target = _target(workup, ends, datum, room.width).shifted(0.0, _below_heading(said.title, said.datum, room))
    below = target.bounds().bottom + _BAND_GAP
    moves = _moves(workup, ends)
    moves += blocks(words.move_notes(workup, ends), 0.0, moves.bounds().bottom + 1.6, table_width)
    moves = moves.shifted(room.width - table_width, below)
    steps = sum(step_height_mm(text, len(said.steps), steps_width) + _BETWEEN_STEPS for text in said.steps)
    for rounds in range(MOST_ROUNDS, LEAST_ROUNDS - 1, -1):
        boxes = _boxes(workup, ends, rounds, room.width)
        lowest = room.height - boxes.bounds().bottom
        top = max(below + steps + _BELOW_STEPS, moves.bounds().bottom + _CAUTIONS)
        if top <= lowest:
            break
    if lowest - _BAND_GAP < moves.bounds().bottom:
        raise DoesNotFit(words.LOW_FOR_BOXES)
    return drawing(target, moves, boxes.shifted(0.0, min(top, lowest)))


def _heading(text: str, beside: str = "") -> Drawing:
    """A heading, and smaller words on its line."""
    items = [Text((0.0, MEDIUM), text, MEDIUM)]
    if beside:
        items.append(Text((width_mm(text, MEDIUM) + 3.0, MEDIUM), beside, SMALL))
    return drawing(items)


def _target(workup: Workup, ends: Sequence[BridgeEnd], datum: int | None, width: float) -> Drawing:
    """Where each end belongs, and how sure that is; what it is meant to read only where that is not 0."""
    aimed = words.aims_elsewhere(ends)
    rows: list[tuple[tuple[str, ...], float]] = [
        ((*words.columns(workup), *([words.AIM_COLUMN] if aimed else [])), SMALL)
    ]
    for end in ends:
        string = workup.instrument.string_in_words(end.string)
        crown, face, sure = (format_mm(mm) for mm in (end.crown_mm, end.face_mm, end.plus_minus_mm))
        aim = [f"{signed(end.aim_cents, 1)} cents"] if aimed else []
        cents = f"± {round_half_up(end.plus_minus_cents, 1)} cents"
        rows.append(((words.named(end), crown, face, f"± {sure}", *aim), MEDIUM))
        rows.append(((string, format_inches(end.crown_mm), format_inches(end.face_mm), cents), SMALL))
    laid, level = _heading(words.TARGET, words.where_measured(workup)), _HEADING
    for cells, height in rows:
        if height == MEDIUM:
            laid += drawing(Line((0.0, level + 0.6), (width, level + 0.6), Role.FINE))
            level += 2.2
        base = level + height
        laid += drawing(Text((x, base), cell, height) for x, cell in zip(_TARGET_COLUMNS, cells, strict=False) if cell)
        level = base + 1.6
    laid += drawing(Line((0.0, level + 0.6), (width, level + 0.6), Role.FINE))
    return laid + blocks((words.with_which_fork(workup, datum),), 0.0, level + 2.2, width)


def _moves(workup: Workup, ends: Sequence[BridgeEnd]) -> Drawing:
    """The table from cents to a move at the string, in mm and in inches."""
    units = _HEADING + 2 * _ROW + SMALL
    first = units + 2.4
    items: list[Item] = [Text((0.0, units), "cents", SMALL)]
    for row, cents in enumerate(TABLE_CENTS):
        items.append(Text((_CENTS_AT, first + row * _FIGURES_ROW + SMALL), str(cents), SMALL, Anchor.END))
    for n, end in enumerate(ends):
        left = _CENTS_WIDTH + n * _MOVE_WIDTH
        mm_flat, in_flat, mm_sharp, in_sharp = (left + x for x in _MOVE_COLUMNS)
        name = shortened(f"{end.name}: {workup.instrument.string_in_words(end.string)}", SMALL, _MOVE_WIDTH - 3.0)
        items += [
            Text((in_sharp, _HEADING + SMALL), name, SMALL, Anchor.END),
            Text((in_flat, _HEADING + _ROW + SMALL), words.FLAT, SMALL, Anchor.END),
            Text((in_sharp, _HEADING + _ROW + SMALL), words.SHARP, SMALL, Anchor.END),
        ]
        for mm_at, in_at, moves in ((mm_flat, in_flat, end.to_nut_mm), (mm_sharp, in_sharp, end.to_tail_mm)):
            figures = [(round_half_up(mm, 1), _inches(mm)) for mm in moves.tolist()]
            bases = [units, *(first + row * _FIGURES_ROW + SMALL for row in range(len(figures)))]
            for base, (in_mm, in_inches) in zip(bases, [("mm", "in"), *figures], strict=True):
                items += [
                    Text((mm_at, base), in_mm, SMALL, Anchor.END),
                    Text((in_at, base), in_inches, SMALL, Anchor.END),
                ]
    width = _CENTS_WIDTH + _MOVE_WIDTH * len(ends)
    items.append(Line((0.0, first - 0.9), (width, first - 0.9), Role.FINE))
    return drawing(_heading(words.MOVES), items)


def _inches(mm: float) -> str:
    """Nearest sixty-fourth without its unit, and no zero for what is less than one.

    >>> _inches(0.38), _inches(0.1), _inches(26.0)
    ('1/64', '<1/64', '1 1/32')
    """
    text = format_inches(mm).removesuffix(" in")
    return "<1/64" if text == "0" else text


def _boxes(workup: Workup, ends: Sequence[BridgeEnd], rounds: int, width: float) -> Drawing:
    """Boxes for readings, a row for each round; the top left corner at the origin."""
    least, most = _BOX_WIDTHS
    box = min((width - _NUMBER_WIDTH) / (len(words.BOX_NAMES) * len(ends)), most)
    if box < least:
        raise DoesNotFit(says.NARROW_FOR_BOXES)
    right = _NUMBER_WIDTH + box * len(words.BOX_NAMES) * len(ends)
    names_top, top = _HEADING, _HEADING + 2 * _ROW + 0.6
    foot = top + rounds * BOX_MM
    items: list[Item] = [Text((0.0, names_top + _ROW + SMALL), "no.", SMALL)]
    for n, end in enumerate(ends):
        left = _NUMBER_WIDTH + n * len(words.BOX_NAMES) * box
        name = f"{words.named(end)}: {workup.instrument.string_in_words(end.string)}"
        items.append(Text((left + 1.0, names_top + SMALL), name, SMALL))
        for m, column in enumerate(words.BOX_NAMES):
            items.append(Text((left + m * box + 1.0, names_top + _ROW + SMALL), column, SMALL))
            items.append(Line((left + m * box, top), (left + m * box, foot), Role.FINE if m else Role.GUIDE))
    items += [Line((right, top), (right, foot), Role.GUIDE), Line((0.0, top), (right, top), Role.GUIDE, "round-0")]
    for n in range(1, rounds + 1):
        base = top + (n - 0.5) * BOX_MM + SMALL / 2
        items.append(Text((_NUMBER_WIDTH / 2, base), str(n), SMALL, Anchor.MIDDLE))
        items.append(Line((0.0, top + n * BOX_MM), (right, top + n * BOX_MM), Role.GUIDE, f"round-{n}"))
    return drawing(_heading(words.READINGS, words.HOW_TO_FILL_IN), items)


def _chart(workup: Workup, said: Instructions, room: Room) -> Drawing:
    """The second sheet: what each line is, the chart, and what the card was computed from. Raises `DoesNotFit`."""
    series = tuple(_series(workup))
    legend = legend_of(words.LEGEND, 0.0, _below_heading(*said.further[0], room), room.width)
    notes = blocks(words.below_chart(workup), 0.0, 0.0, room.width)
    top, foot = legend.bounds().bottom + 2 * _ROW, room.height - notes.bounds().bottom
    height = foot - _BAND_GAP - top
    rows = rows_for(series, room.width, height)
    if not rows:
        raise DoesNotFit(says.NARROW_FOR_CHART)
    axis, plot = axis_for(series, height, rows)
    if plot < LEAST_PLOT_MM:
        raise DoesNotFit(says.LOW_FOR_CHART)
    meant = blocks(
        (words.lines_of_chart(axis.tick, axis.fine),), 0.0, legend.bounds().bottom + _ROW - SMALL, room.width
    )
    chart = error_chart(series, workup.instrument.head.frets, room.width, height, rows)
    return drawing(legend, meant, chart.shifted(0.0, top), notes.shifted(0.0, foot))


def _series(workup: Workup) -> Iterator[StringSeries]:
    for n, (entry, errors) in enumerate(zip(workup.instrument.strings, fret_errors(workup), strict=True)):
        named = (workup.instrument.string_in_words(n), f"{n + 1} {entry.note}")
        starts = f" from fret {entry.starts_at_fret}"
        yield StringSeries(
            n + 1,
            tuple(f"{name}{starts}" for name in named) + named[1:] if entry.starts_at_fret else named,
            entry.starts_at_fret,
            errors.octave,
            errors.frets.tolist(),
            errors.before_cents.tolist(),
            errors.after_cents.tolist(),
        )
