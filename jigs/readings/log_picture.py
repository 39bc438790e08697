"""The picture of a log: how far each string was off at each step, sharp upwards, flat downwards, and the figures below.

Between the dashed lines a string is off by no more than the readings can show. Once all strings are there, the bridge is
in its place.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from geometry.readings import NORMAL_QUANTILE, STOP_QUANTILE
from jigs.drawing.arcs import Point
from jigs.drawing.blocks import blocks, heading, legend_of
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing, paragraph
from jigs.drawing.lettering import LARGE, LINE_STEP, SMALL, first_writable, shortened, width_mm, wrapped, writable
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.faults import Place
from jigs.readings import fault_words
from jigs.readings import picture_words as words
from jigs.readings.log import Step
from jigs.readings.words import VERDICTS, sharp_or_flat
from jigs.sheets.fitting import fitted
from jigs.sheets.paper import Paper, Sheet, list_room, on_sheet, size_in_words
from jigs.sheets.title import Title
from jigs.wording import signed, unbroken
from jigs.workup.workup import Workup

_TICK, _GAP = 2.0, 1.2
_AXIS = 14.0
_LEAST_PLOT = 40.0
_LEAST_ROWS, _MOST_ROWS = 3, 12
_MOST_LINES = 2
_LEAST_WIDTH = 60.0
_NARROW, _LOW_PLOT, _MARGIN = 84.0, 44.0, 3.0
_MARK = 1.1
_SPARE = 0.25
_SAMPLE = 11.0
_ROW = SMALL * LINE_STEP
_LEAST_APART = 3.0
_LEAST_TICK_GAP, _LEAST_NUMBER_GAP = 6.0, 9.0
_TICKS_CENTS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_EVERY = tuple(one * 10**power for power in range(7) for one in (1, 2, 5))
_COLUMN, _FIRST_COLUMN, _VERDICT = 15.0, 9.0, 48.0

WIDER = STOP_QUANTILE / NORMAL_QUANTILE
"""How much wider than the ± of the readings the limit is within which the advice is to stop."""

_LINES = (
    (Role.PROVISIONAL, words.SHOWN_LIMIT),
    (Role.GUIDE, words.AIM),
)


@dataclass(frozen=True)
class PlotFrame:
    """Where the plot is, and what it shows: cents from ``low`` to ``high``, and ``steps`` steps side by side."""

    left: float
    right: float
    top: float
    foot: float
    low: float
    high: float
    tick: float
    steps: int

    @property
    def apart(self) -> float:
        """From step to step."""
        return (self.right - self.left) / self.steps

    def x(self, n: int) -> float:
        """Place across of the step with index n."""
        return self.left + (n + 0.5) * self.apart

    def y(self, cents: float) -> float:
        """Place of a reading down."""
        return self.foot - (self.foot - self.top) * (cents - self.low) / (self.high - self.low)


def files(steps: Sequence[Step], workup: Workup, paper: Paper, formats: Sequence[str], stem: str) -> dict[str, bytes]:
    """The picture in every format, in memory, by file name. Raises `InputFaults`."""
    sheet = lay_out(steps, workup, paper, stem)
    title = f"{words.LOG_DOCUMENT}: {sheet.title.name}"
    return page_files([sheet], formats, f"{stem}-readings", title, words.log_subject(size_in_words(paper)))


def lay_out(steps: Sequence[Step], workup: Workup, paper: Paper, stem: str = "") -> Sheet:
    """This instrument's steps on a sheet; ``stem`` names its file.

    Raises `InputFaults`, which names the papers that are large enough.
    """
    name = workup.instrument.name
    own = sorted((one for one in steps if one.instrument == name and one.rests), key=lambda one: one.step)
    if not own:
        raise fault_words.nothing_to_draw(name, workup.instrument.octave_fret).refusal(Place(option="format"))
    filled = fitted(lambda on: draw(own, workup, list_room(on)), paper, "the picture")
    facts = f"{words.step_in_short(own[-1].step)}: {_verdict(own[-1]) or 'read'}"
    printed = first_writable(name, stem, writable(name)[0])
    return on_sheet(filled, paper, Title(printed, words.LOG_DOCUMENT, facts, scale="", stem=stem))


def as_svg(steps: Sequence[Step], workup: Workup) -> bytes:
    """The plot of one instrument's steps and its legend alone, as an SVG file narrow enough for a telephone.

    Needs a step with readings, steps in their order.
    """
    from jigs.export.svg import to_svg

    drawn = _plot(steps, workup)
    box = drawn.bounds()
    width, height = math.ceil(_NARROW + 2 * _MARGIN), math.ceil(box.height + 2 * _MARGIN)
    name = workup.instrument.name
    title = Title(
        first_writable(name, writable(name)[0]), words.LOG_DOCUMENT, _off_in_words(steps[-1], workup), scale=""
    )
    paper = Paper(f"{width} x {height} mm", float(width), float(height))
    sheet = Sheet(paper, drawn.shifted(_MARGIN, _MARGIN - box.top), title)
    return to_svg(sheet, f"{words.LOG_DOCUMENT}: {title.name}", title.facts)


def _plot(steps: Sequence[Step], workup: Workup) -> Drawing:
    """The plot and its legend, `_NARROW` wide."""
    total, steps = len(steps), steps[-int((_NARROW - _AXIS) / _LEAST_APART) :]
    strings = sorted({string for step in steps for string, _, _ in step.rests})
    frame = _frame(steps, _AXIS, _NARROW, 0.0, _LOW_PLOT)
    legend = _legend(strings, workup, _NARROW)
    return drawing(
        _axes(steps, frame, wrapped(_axis_in_words(len(steps), total), SMALL, _NARROW - _AXIS)),
        _band(steps, frame),
        *(_curve(steps, string, n, frame) for n, string in enumerate(strings)),
        legend.shifted(0.0, _LOW_PLOT + _TICK + 2 * _GAP + 1.5 * _ROW),
    )


def draw(steps: Sequence[Step], workup: Workup, room: Room) -> Drawing:
    """The verdict, the plot as high as the page leaves room, and the figures. Raises `DoesNotFit`.

    Needs a step with readings, steps in their order.
    """
    width = room.width
    if width - _AXIS < _LEAST_WIDTH:
        raise DoesNotFit(words.TOO_NARROW)
    total = len(steps)
    steps = steps[-int((width - _AXIS) / _LEAST_APART) :]
    strings = sorted({string for step in steps for string, _, _ in step.rests})
    legend = _legend(strings, workup, width - _AXIS)
    verdict = _heading(steps[-1], workup, width)
    top = verdict.bounds().bottom + 3 * _ROW
    below = _TICK + 2 * _GAP + 1.5 * _ROW + legend.bounds().bottom + _ROW
    most = room.height - top - below - _ROW
    plot = max(most - min(total, _MOST_ROWS) * _ROW, min(most - min(total, _LEAST_ROWS) * _ROW, _LEAST_PLOT))
    if plot < _LEAST_PLOT:
        raise DoesNotFit(words.TOO_SHORT)
    frame = _frame(steps, _AXIS, width, top, top + plot)
    table_top = top + plot + below
    rows = int((room.height - table_top - SMALL) / _ROW)
    return drawing(
        verdict,
        _axes(steps, frame, (_axis_in_words(len(steps), total),)),
        _band(steps, frame),
        *(_curve(steps, string, n, frame) for n, string in enumerate(strings)),
        legend.shifted(_AXIS, table_top - _ROW - legend.bounds().bottom),
        _table(steps, strings, width - _AXIS, rows, total).shifted(_AXIS, table_top),
    )


def _heading(step: Step, workup: Workup, width: float) -> Drawing:
    """The job after a step, and how far each string is off: in small letters where that is long."""
    title, off = words.title_after(step.kinds, step.verdict), _off_in_words(step, workup)
    said = f"{words.step_in_short(step.step)}: {off}."
    if len(wrapped(said, LARGE, width)) <= _MOST_LINES:
        return heading(title, said, width)
    top = heading(title, words.step_in_short(step.step), width)
    return top + blocks((said,), 0.0, top.bounds().bottom + _GAP, width)


def _off_in_words(step: Step, workup: Workup) -> str:
    """How far each string is off."""
    said = words.off_its_aim if step.aims_elsewhere else sharp_or_flat
    return unbroken("; ".join(f"{_string(string, workup)} {said(rest)}" for string, rest, _ in step.rests), " cents")


def _verdict(step: Step) -> str:
    """The verdict in a word or two; one that another version wrote, as it is."""
    return next((text for verdict, text in VERDICTS.items() if verdict.value == step.verdict), step.verdict)


def _frame(steps: Sequence[Step], left: float, right: float, top: float, foot: float) -> PlotFrame:
    """The finest ticks that keep apart, and whole ticks around all that is drawn."""
    seen = [0.0]
    for step in steps:
        for _, rest, sure in step.rests:
            seen += [rest, WIDER * sure, -WIDER * sure]
    for tick in (*_TICKS_CENTS, 100.0 * math.ceil((max(seen) - min(seen)) / 500.0)):
        low, high = tick * math.floor(min(seen) / tick - _SPARE), tick * math.ceil(max(seen) / tick + _SPARE)
        if (foot - top) * tick / (high - low) >= _LEAST_TICK_GAP:
            break
    return PlotFrame(left, right, top, foot, low, high, tick, len(steps))


def _axis_in_words(shown: int, total: int) -> str:
    return f"{words.CENTS_AXIS}{f'; last {shown} of {total} steps' if shown < total else ''}"


def _axes(steps: Sequence[Step], frame: PlotFrame, said: Sequence[str]) -> Drawing:
    """The zero line, cents up the left side, steps along the foot; lines above that say what is up and down."""
    left, right, top, foot = frame.left, frame.right, frame.top, frame.foot
    items: list[Item] = [
        Path((((left, top), (right, top), (right, foot), (left, foot)),), Role.FINE, "plot", closed=True),
        Line((left, frame.y(0.0)), (right, frame.y(0.0)), Role.GUIDE, "in-tune"),
        *(Text((left, top - (len(said) - n) * _ROW - _GAP + SMALL), line, SMALL) for n, line in enumerate(said)),
        Text((left - _TICK - _GAP, foot + _TICK + _GAP + SMALL), words.ROUND, SMALL, Anchor.END),
    ]
    decimals = 1 if frame.tick < 1 else 0
    for n in range(round(frame.low / frame.tick), round(frame.high / frame.tick) + 1):
        y = frame.y(n * frame.tick)
        items.append(Line((left - _TICK, y), (left, y), Role.TICK))
        text = signed(n * frame.tick, decimals)
        items.append(Text((left - _TICK - _GAP, y + SMALL / 2), text, SMALL, Anchor.END))
    widest = max(width_mm(str(step.step), SMALL) for step in steps)
    every = next(n for n in _EVERY if n * frame.apart >= max(_LEAST_NUMBER_GAP, widest + 2.0))
    for n, step in enumerate(steps):
        if n % every == 0:
            x = frame.x(n)
            items.append(Line((x, foot), (x, foot + _TICK), Role.TICK))
            items.append(Text((x, foot + _TICK + _GAP + SMALL), str(step.step), SMALL, Anchor.MIDDLE))
    return drawing(items)


def _band(steps: Sequence[Step], frame: PlotFrame) -> Drawing:
    """What the readings could show at each step, dashed; where strings differ, the least sure."""
    half = frame.apart / 2
    limits = [(frame.x(n), WIDER * max(sure for _, _, sure in one.rests)) for n, one in enumerate(steps)]
    return drawing(
        Path(_stairs([(x, frame.y(sign * each)) for x, each in limits], half), Role.PROVISIONAL, f"tuner-{name}")
        for sign, name in ((1, "sharp"), (-1, "flat"))
    )


def _stairs(points: Sequence[Point], half: float) -> tuple[tuple[Point, ...], ...]:
    """A line with a level for each step."""
    run: list[Point] = []
    for x, y in points:
        if run and abs(run[-1][1] - y) < 1e-9:
            run[-1] = (x + half, y)
        else:
            run += [(x - half, y), (x + half, y)]
    return (tuple(run),)


def _curve(steps: Sequence[Step], string: int, order: int, frame: PlotFrame) -> Drawing:
    """One string: a mark at each step, and lines from mark to mark."""
    points = [
        (one.step, (frame.x(n), frame.y(rest)))
        for n, one in enumerate(steps)
        for number, rest, _ in one.rests
        if number == string
    ]
    runs = [run for (_, a), (_, b) in pairwise(points) if (run := _between(a, b))]
    lines = [Path(tuple(runs), Role.FINE, f"string-{string}")] if runs else []
    return drawing(lines, (_mark(at, order, f"string-{string}-step-{step}") for step, at in points))


def _between(start: Point, end: Point) -> tuple[Point, Point] | None:
    """The line from mark to mark, short of both; nothing where they touch."""
    far = math.dist(start, end)
    share = 1.5 * _MARK / far if far else 1.0
    if share >= 0.45:
        return None
    return tuple(  # type: ignore[return-value]  # two points
        (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share) for a, b in ((start, end), (end, start))
    )


def _mark(at: Point, order: int, name: str) -> Item:
    """A different mark for each string: circle, square, triangle, diamond, upturned triangle, then from the start."""
    x, y = at
    if order % 5 == 0:
        return Circle(at, _MARK, Role.MARK, name)
    shapes = (
        ((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)),
        ((0.0, -1.2), (1.1, 0.8), (-1.1, 0.8)),
        ((0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)),
        ((0.0, 1.2), (1.1, -0.8), (-1.1, -0.8)),
    )
    run = tuple((x + _MARK * across, y + _MARK * down) for across, down in shapes[order % 5 - 1])
    return Path((run,), Role.MARK, name, closed=True)


def _legend(strings: Sequence[int], workup: Workup, width: float) -> Drawing:
    """A sample of each mark and line, and what it means; its top at y = 0."""
    legend, top = Drawing(), 0.0
    columns = max(1, int(width / 45.0))
    for n, string in enumerate(strings):
        left = (n % columns) * width / columns
        level = top + SMALL / 2
        name = shortened(_string(string, workup), SMALL, width / columns - _SAMPLE - 3.0)
        legend += drawing(
            Line((left, level), (left + _SAMPLE / 2 - 1.5 * _MARK, level), Role.FINE),
            _mark((left + _SAMPLE / 2, level), n, ""),
            Line((left + _SAMPLE / 2 + 1.5 * _MARK, level), (left + _SAMPLE, level), Role.FINE),
            paragraph([name], left + _SAMPLE + 2.0, top, SMALL),
        )
        if n % columns == columns - 1 or n == len(strings) - 1:
            top += _ROW
    return legend + legend_of(_LINES, 0.0, top, width)


def _string(string: int, workup: Workup) -> str:
    if string <= len(workup.instrument.strings):
        return workup.instrument.string_in_words(string - 1)
    return f"string {string}"


def _table(steps: Sequence[Step], strings: Sequence[int], width: float, rows: int, total: int) -> Drawing:
    """The figures of the last steps, as many as fit; its top at y = 0."""
    shown = steps[-max(rows, 1) :]
    room = width - _FIRST_COLUMN - _VERDICT
    fitting = list(strings)[: max(1, int(room / _COLUMN))]
    advised = _FIRST_COLUMN + _COLUMN * len(fitting) + 4.0
    base = SMALL
    items: list[Item] = [Text((_FIRST_COLUMN, base), words.ROUND, SMALL, Anchor.END)]
    for n, string in enumerate(fitting, 1):
        items.append(Text((_FIRST_COLUMN + n * _COLUMN, base), f"no.\N{NO-BREAK SPACE}{string}", SMALL, Anchor.END))
    head = f"advised (last {len(shown)} of {total})" if len(shown) < total else "advised"
    items.append(Text((advised, base), shortened(head, SMALL, width - advised), SMALL))
    for row, step in enumerate(shown, 1):
        base = SMALL + row * _ROW
        items.append(Text((_FIRST_COLUMN, base), str(step.step), SMALL, Anchor.END))
        rests = {string: rest for string, rest, _ in step.rests}
        for n, string in enumerate(fitting, 1):
            if string in rests:
                at = (_FIRST_COLUMN + n * _COLUMN, base)
                items.append(Text(at, signed(rests[string], 1), SMALL, Anchor.END))
        verdict = shortened(_verdict(step), SMALL, width - advised)
        items += [Text((advised, base), verdict, SMALL)] if width_mm(verdict, SMALL) > 0 else []
    return drawing(items)
