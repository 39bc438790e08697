"""The setup card: one page for the bench, for setting the bridge by ear after the fork has given its rough place.

It has the target, the steps in the order of the trade, moves for cents, boxes for a pencil, and a chart of what to expect.
Nothing on it is drawn to scale. For a left-handed instrument only the named sides differ.
"""

from collections.abc import Iterator, Sequence

from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.readings import MOST_MOVE_MM, ReadingError
from jigs.drawing.blocks import blocks, legend_in_a_row
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text, bounds, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, shortened, width_mm
from jigs.drawing.room import DoesNotFit, Room
from jigs.templates import words as says
from jigs.templates.error_chart import LEAST_PLOT_MM, StringSeries, error_chart, plot_mm, rows_needed
from jigs.templates.fork import facts
from jigs.templates.instructions import CAUTIONS, one_end_alone
from jigs.templates.options import Options
from jigs.templates.template import Lacks, Piece
from jigs.wording import signed
from jigs.workup.setup import READINGS_SHOW_CENTS, TABLE_CENTS, BridgeEnd, bridge_ends, fret_errors
from jigs.workup.words import (
    aim_in_words,
    bearing_in_words,
    found_in_words,
    measured_in_words,
    nut_in_words,
    octave_in_words,
    saddle_in_words,
)
from jigs.workup.workup import Workup

MOST_ROUNDS, LEAST_ROUNDS = 5, 3
BOX_MM = 7.0
_ROW = SMALL * LINE_STEP
_FIGURES_ROW = SMALL * 1.4
_BAND_GAP = 4.0
_COLUMN_GAP = 5.0
_HEADING = MEDIUM + 2.2
_TARGET_COLUMNS = (0.0, 33.0, 64.0, 94.0, 122.0)
_TARGET_WIDTH = 156.0
_CENTS_AT, _CENTS_WIDTH = 8.0, 10.0
_MOVE_COLUMNS = (8.5, 20.0, 29.5, 41.0)
_MOVE_WIDTH = 41.5
_STEPS_WIDTHS = (55.0, 100.0)
_NUMBER_WIDTH = 10.0
_BOX_WIDTHS = (19.5, 30.0)
_BOX_NAMES = ("harmonic", "fretted", "difference", "moved")
_GOOD_PLOT_MM, _MOST_PLOT_MM = 30.0, 60.0

LEGEND = (
    (Role.PROVISIONAL, "before: bridge square on the theoretical line"),
    (Role.MARK, "after: bridge on this card's line"),
)


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The card in its room. Raises `DoesNotFit`, and `Lacks` without an octave to compare or moves to offer."""
    if workup.instrument.head.octave_fret is None:
        raise Lacks(says.no_octave())
    try:
        ends = bridge_ends(workup, options.print_share)
    except ReadingError:
        raise Lacks(says.no_moves()) from None
    upper = _upper(workup, ends, room)
    filled = upper + _lower(workup, ends, room, upper.bounds().bottom + _BAND_GAP)
    return Piece(filled, f"Setup card, {workup.instrument.head.hand}-handed", facts(workup), scale="")


def _upper(workup: Workup, ends: Sequence[BridgeEnd], room: Room) -> Drawing:
    """The target, below it the steps and the table of moves side by side, and the cautions: a card needs no rulers.

    The last step goes under the steps or under the table, the cautions under the table or under both: the shortest way.
    """
    width = room.width
    table_width = _CENTS_WIDTH + _MOVE_WIDTH * len(ends)
    least, most = _STEPS_WIDTHS
    steps_width = min(width - table_width - _COLUMN_GAP, most)
    if steps_width < least or width < _TARGET_WIDTH:
        raise DoesNotFit(says.NO_TABLE_BESIDE_STEPS)
    target = _target(workup, ends, width)
    if target.bounds().right > width:
        raise DoesNotFit(says.NO_TABLE_BESIDE_STEPS)
    below, right = target.bounds().bottom + _BAND_GAP, steps_width + _COLUMN_GAP
    moves = drawing(_heading("Steps", below), _moves(workup, ends).shifted(right, below))
    cautions, laid = " ".join(CAUTIONS), []
    steps = [f"{n} {text}" for n, text in enumerate(_steps(workup, ends), 1)]
    for under_steps, under_table in (((_LAST_STEP,), ()), ((), (_LAST_STEP,))):
        texts = (*steps, *under_steps)
        beside = moves + blocks(texts, 0.0, below + _HEADING, steps_width)
        beside += blocks((_move_note(ends), *under_table), right, moves.bounds().bottom + 1.6, table_width)
        for left, top in ((right, _bottom(beside, right)), (0.0, _bottom(beside, 0.0))):
            laid.append(beside + blocks((cautions,), left, top + 1.6, width - left))
    return target + min(laid, key=lambda words: words.bounds().bottom)


def _bottom(laid: Drawing, left: float) -> float:
    """How far down a drawing reaches, from ``left`` on to the right."""
    return max(box.bottom for box in map(bounds, laid) if box.left >= left - 0.01)


def _lower(workup: Workup, ends: Sequence[BridgeEnd], room: Room, top: float) -> Drawing:
    """Boxes and the chart over the whole width; as many rounds as leave the chart a good height. Raises `DoesNotFit`."""
    rows = rows_needed(len(workup.across_mm), room.width)
    if not rows:
        raise DoesNotFit(says.NARROW_FOR_CHART)
    for rounds in range(MOST_ROUNDS, LEAST_ROUNDS - 1, -1):
        boxes = _boxes(workup, ends, rounds, room.width).shifted(0.0, top)
        head = _chart_head(room.width).shifted(0.0, boxes.bounds().bottom + _BAND_GAP)
        chart_top = head.bounds().bottom + 1.0
        plot = plot_mm(room.height - chart_top, rows)
        if plot >= _GOOD_PLOT_MM:
            break
    if plot < LEAST_PLOT_MM:
        raise DoesNotFit(says.LOW_FOR_CHART)
    spare = max(plot - _MOST_PLOT_MM, 0.0) * rows
    chart = error_chart(
        tuple(_series(workup)), workup.instrument.head.frets, room.width, room.height - chart_top - spare
    )
    return boxes + head + chart.shifted(0.0, chart_top)


def _heading(text: str, top: float, beside: str = "") -> Drawing:
    """A heading, and smaller words on its line."""
    items = [Text((0.0, top + MEDIUM), text, MEDIUM)]
    if beside:
        items.append(Text((width_mm(text, MEDIUM) + 3.0, top + MEDIUM), beside, SMALL))
    return drawing(items)


def _named(end: BridgeEnd) -> str:
    return f"{end.name} end, {end.side}" if end.side else end.name


def _target(workup: Workup, ends: Sequence[BridgeEnd], width: float) -> Drawing:
    """Where each end belongs, how sure that is, and what it was computed from."""
    rows: list[tuple[str, ...]] = [("", "crown line", "feet, nut side", "± (95%)", "aim (difference)")]
    for end in ends:
        string = workup.instrument.string_in_words(end.string)
        crown, face, sure = (format_mm(mm) for mm in (end.crown_mm, end.face_mm, end.plus_minus_mm))
        cents = f"{round_half_up(end.plus_minus_cents, 1)} cents"
        rows += [
            (_named(end), crown, face, f"± {sure}", f"{signed(end.aim_cents, 1)} cents"),
            (string, format_inches(end.crown_mm), format_inches(end.face_mm), f"± {cents}", ""),
        ]
    levels = [_HEADING + n * _ROW + (n + 1) // 2 * 1.6 for n in range(len(rows))]
    words = drawing(
        Text((x, level + SMALL), cell, SMALL)
        for level, row in zip(levels, rows, strict=True)
        for x, cell in zip(_TARGET_COLUMNS, row, strict=True)
        if cell
    )
    rules = drawing(Line((0.0, y - 1.2), (_TARGET_WIDTH, y - 1.2), Role.FINE) for y in levels[1::2])
    instrument = workup.instrument
    fork = f"±: fork, {octave_in_words(instrument)}"
    where = f"from the {nut_in_words(instrument)}, at the outer strings; seen with the nut up; {fork}"
    parts = (found_in_words(workup), aim_in_words(workup), saddle_in_words(workup), bearing_in_words(workup))
    line = " ".join(filter(None, parts))
    shown = (line, measured_in_words(workup))
    notes = blocks(shown, 0.0, words.bounds().bottom + 1.6, width)
    return drawing(_heading("Target", 0.0, where), words, rules, notes)


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
            Text((in_flat, _HEADING + _ROW + SMALL), "flat: nut", SMALL, Anchor.END),
            Text((in_sharp, _HEADING + _ROW + SMALL), "sharp: tail", SMALL, Anchor.END),
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
    return drawing(_heading("How far to move", 0.0), items)


def _inches(mm: float) -> str:
    """Nearest sixty-fourth without its unit, and no zero for what is less than one.

    >>> _inches(0.38), _inches(0.1), _inches(26.0)
    ('1/64', '<1/64', '1 1/32')
    """
    text = format_inches(mm).removesuffix(" in")
    return "<1/64" if text == "0" else text


def _move_note(ends: Sequence[BridgeEnd]) -> str:
    if len(ends) < 2:
        return "Measured at the string."
    times = " and ".join(f"{round_half_up(end.end_factor, 2)} times ({end.name})" for end in ends)
    return f"Measured at the string. The end of the feet goes {times} as far."


_LAST_STEP = f"More than {MOST_MOVE_MM:g} mm to move? Then something else is wrong: strings, notes or scale."


def _steps(workup: Workup, ends: Sequence[BridgeEnd]) -> tuple[str, ...]:
    first, *others = (workup.instrument.string_in_words(end.string) for end in ends)
    aims = [signed(end.aim_cents, 1) for end in ends]
    aimed = "" if set(aims) == {"0.0"} else f" Count from the aim ({', '.join(aims)} cents), not from 0."
    both = ("Set both ends at once; jigs readings gives both moves.",) if others else ()
    return (
        "Place the bridge with the fork. Tune.",
        f"On {first}, read the harmonic at {octave_in_words(workup.instrument)}, then the note fretted there.",
        "Read each three times. Fret as you play. Difference: fretted minus harmonic.",
        *(f"Repeat with {other}." for other in others),
        *both,
        f"Flat (−): move {'that end' if others else 'the bridge'} towards the nut. Sharp (+): towards the tail.",
        f"The table shows how far.{aimed} Hold the bridge low, so that it cannot tip.",
        *one_end_alone(workup),
        f"Retune and check. Stop at {round_half_up(READINGS_SHOW_CENTS, 1)} cents or less:"
        " three readings show nothing finer.",
    )


def _boxes(workup: Workup, ends: Sequence[BridgeEnd], rounds: int, width: float) -> Drawing:
    """Boxes for readings, a row for each round; the top left corner at the origin."""
    least, most = _BOX_WIDTHS
    box = min((width - _NUMBER_WIDTH) / (len(_BOX_NAMES) * len(ends)), most)
    if box < least:
        raise DoesNotFit(says.NARROW_FOR_BOXES)
    right = _NUMBER_WIDTH + box * len(_BOX_NAMES) * len(ends)
    names_top, top = _HEADING, _HEADING + 2 * _ROW + 0.6
    foot = top + rounds * BOX_MM
    items: list[Item] = [Text((0.0, names_top + _ROW + SMALL), "no.", SMALL)]
    for n, end in enumerate(ends):
        left = _NUMBER_WIDTH + n * len(_BOX_NAMES) * box
        name = f"{_named(end)}: {workup.instrument.string_in_words(end.string)}"
        items.append(Text((left + 1.0, names_top + SMALL), name, SMALL))
        for m, column in enumerate(_BOX_NAMES):
            items.append(Text((left + m * box + 1.0, names_top + _ROW + SMALL), column, SMALL))
            items.append(Line((left + m * box, top), (left + m * box, foot), Role.FINE if m else Role.GUIDE))
    items += [Line((right, top), (right, foot), Role.GUIDE), Line((0.0, top), (right, top), Role.GUIDE, "round-0")]
    for n in range(1, rounds + 1):
        base = top + (n - 0.5) * BOX_MM + SMALL / 2
        items.append(Text((_NUMBER_WIDTH / 2, base), str(n), SMALL, Anchor.MIDDLE))
        items.append(Line((0.0, top + n * BOX_MM), (right, top + n * BOX_MM), Role.GUIDE, f"round-{n}"))
    return drawing(
        _heading("Readings", 0.0, "from the tuner, in cents; moved: in mm, to the nut or to the tail"), items
    )


def _chart_head(width: float) -> Drawing:
    """What the chart shows, and a sample of each line; the top left corner at the origin."""
    what = "in cents against the open string; up: sharp; upright line: octave"
    samples = legend_in_a_row(LEGEND, _HEADING + SMALL, _COLUMN_GAP)
    head = drawing(_heading("What every fret will read", 0.0, what), samples)
    if head.bounds().right > width:
        raise DoesNotFit(says.NARROW_FOR_CHART)
    return head


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
