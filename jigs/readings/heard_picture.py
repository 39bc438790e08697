"""The picture of what was heard: of each string the differences on the fork's scale of cents, and both notes' partials.

A dot is a pressed note less its reference, with the bar of its 95%; the mean with its own is below them. Beside that are the
levels of the partials of the last two notes that were compared.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath

import numpy as np

from geometry.readings import NORMAL_QUANTILE
from jigs.drawing.arcs import Point
from jigs.drawing.blocks import heading, legend_of
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, first_writable, shortened, width_mm, wrapped, writable
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.readings import picture_words as words
from jigs.readings.advice import Advice, ReadString
from jigs.readings.listening import Heard, HeardDifference, Listened, What
from jigs.readings.words import sharp_or_flat, verdict_line
from jigs.sheets.fitting import fitted
from jigs.sheets.paper import Paper, Sheet, list_room, on_sheet, size_in_words
from jigs.sheets.title import Title
from jigs.wording import signed, unbroken
from jigs.workup.cents_scale import FARTHEST_CENTS, leg_scales

_LABEL, _BETWEEN, _DECIBELS = 24.0, 12.0, 9.0
_SHARE = 0.58
"""How much of the width the differences have."""

_ROW, _LEAST_PLOT, _MOST_PLOT = 4.2, 8.5, 120.0
_TICK, _GAP = 2.0, 1.2
_LINE = SMALL * LINE_STEP
_HEAD = MEDIUM + 3.0
_FOOT = _TICK + _GAP + SMALL + 4.5
_AXES = 2 * _LINE
_LEAST_WIDTH = 120.0
_DOT, _MEAN = 0.35, 1.3
_LEAST_TICK_GAP, _LEAST_NUMBER_GAP = 0.8, 9.0
_EVERY = (1, 2, 5, 10, 20, 50, 100, 200)
_DEEPEST_DB, _DB_STEP = 60, 20
_BESIDE = 0.45
"""How far the stems of the two notes are to either side of their place."""


@dataclass(frozen=True)
class _Block:
    """What is drawn of a string: its differences, how many there were in all, its mean if it was read at the octave.

    ``number`` is the string's; ``step`` is from tick to tick on the fork, in cents.
    """

    number: int
    name: str
    shown: tuple[HeardDifference, ...]
    labels: tuple[str, ...]
    total: int
    mean: ReadString | None
    step: int


@dataclass(frozen=True)
class _Frame:
    """Where the two plots of a string are, and how far its scale of cents goes: to ``farthest`` on either side."""

    left: float
    middle: float
    right: float
    high: float
    farthest: int

    def x(self, cents: float) -> float:
        """Place across of a difference."""
        return self.left + (self.middle - self.left) * (cents / self.farthest + 1) / 2

    @property
    def partials_left(self) -> float:
        """Left edge of the plot of partials."""
        return self.middle + _BETWEEN + _DECIBELS


def files(listened: Listened, advice: Advice, paper: Paper, formats: Sequence[str], stem: str) -> dict[str, bytes]:
    """The picture in every format, in memory, by file name. Raises `InputFaults`."""
    sheet = lay_out(listened, advice, paper, stem)
    title = f"{words.HEARD_DOCUMENT}: {sheet.title.name}"
    return page_files([sheet], formats, f"{stem}-heard", title, words.heard_subject(size_in_words(paper)))


def lay_out(listened: Listened, advice: Advice, paper: Paper, stem: str = "") -> Sheet:
    """The picture on a sheet; ``stem`` names its file. Raises `InputFaults`, which names papers that are large enough."""
    filled = fitted(lambda on: draw(listened, advice, list_room(on)), paper, "the picture")
    name = advice.workup.instrument.name
    printed = first_writable(name, stem, writable(name)[0])
    used = sum(one.used for one in listened.heard)
    facts = words.plucks_used(used, len(listened.heard))
    return on_sheet(filled, paper, Title(printed, words.HEARD_DOCUMENT, facts, scale="", stem=stem))


def draw(listened: Listened, advice: Advice, room: Room) -> Drawing:
    """The verdict, a block for each string, and what its marks mean. Raises `DoesNotFit`."""
    if room.width < _LEAST_WIDTH:
        raise DoesNotFit(words.TOO_NARROW)
    top = _heading(advice, room.width)
    legend = legend_of(tuple(_legend(listened, advice)), 0.0, 0.0, room.width, _sample)
    strings = sorted({one.string for one in listened.differences})
    head = top.bounds().bottom + 2 * _LINE
    each = (room.height - head - _AXES - legend.bounds().bottom) / len(strings)
    plot = min(each - _HEAD - _FOOT, _MOST_PLOT)
    if plot < _LEAST_PLOT:
        raise DoesNotFit(words.TOO_SHORT)
    blocks = [_block(listened, advice, string, int(plot / _ROW) - 1) for string in strings]
    frame = _Frame(_LABEL, room.width * _SHARE, room.width, plot, _farthest(blocks))
    parts, level = [top], head
    for block in blocks:
        parts.append(_drawn(block, frame).shifted(0.0, level))
        level += _HEAD + plot + _FOOT
    axes = drawing(_axes(frame)).shifted(0.0, level - _FOOT)
    return drawing(*parts, axes, legend.shifted(0.0, level + _AXES))


def _heading(advice: Advice, width: float) -> Drawing:
    """The job, and what each string reads."""
    instrument = advice.workup.instrument
    read = "; ".join(f"{instrument.string_in_words(one.string)} {sharp_or_flat(one.cents)}" for one in advice.strings)
    title = words.title_after((verdict_line(advice).kind,), "") if advice.strings else words.HEARD
    return heading(title, unbroken(f"{read}." if read else "", " cents"), width)


def _block(listened: Listened, advice: Advice, string: int, rows: int) -> _Block:
    own = [one for one in listened.differences if one.string == string]
    scales = {scale.string: scale for scale in leg_scales(advice.workup)}
    mean = next((one for one in advice.strings if one.string == string), None)
    scale = scales.get(string) or next(iter(scales.values()))
    name = advice.workup.instrument.string_in_words(string)
    shown, several = tuple(own[-rows:]), len({one.file for one in listened.heard}) > 1
    frets = any(one.pressed.what is What.FRET for one in own)
    labels = tuple(_label(one.pressed, several, frets) for one in shown)
    return _Block(string + 1, name, shown, labels, len(own), mean, scale.step)


def _farthest(blocks: Sequence[_Block]) -> int:
    """How far the scale of cents goes to either side: as on the fork, or farther for what is farther off."""
    ends = [abs(cents) + sure for block in blocks for cents, sure in _rows(block)]
    return max(FARTHEST_CENTS, 5 * math.ceil(max(ends) / 5))


def _rows(block: _Block) -> list[tuple[float, float]]:
    """Cents and ± of each difference that is shown, and of the mean."""
    rows = [(one.difference.cents, NORMAL_QUANTILE * one.difference.standard_error_cents) for one in block.shown]
    return rows if block.mean is None else [*rows, (block.mean.cents, block.mean.plus_minus_cents)]


def _drawn(block: _Block, frame: _Frame) -> Drawing:
    """A string's block, its top at y = 0."""
    plots = drawing(_differences(block, frame), _scale(frame, block.step), _partials(block.shown[-1], frame))
    return drawing(Text((0.0, MEDIUM), _named(block), MEDIUM), plots.shifted(0.0, _HEAD))


def _named(block: _Block) -> str:
    """The string, what it reads in the mean, and how many of its differences are shown."""
    read = "" if block.mean is None else f": {sharp_or_flat(block.mean.cents, block.mean.plus_minus_cents)}"
    cut = f" (last {len(block.shown)} of {block.total})" if len(block.shown) < block.total else ""
    return f"{block.name}{read}{cut}"


def _axes(frame: _Frame) -> Iterator[Item]:
    """What the scales below the last string show; y = 0 is the foot of its plots."""
    base = _TICK + _GAP + SMALL + _LINE
    yield Text((frame.left, base), words.FLAT_WAY, SMALL)
    yield Text((frame.middle, base), words.SHARP_WAY, SMALL, Anchor.END)
    left = frame.partials_left - _DECIBELS
    for n, line in enumerate(wrapped(words.PARTIALS_AXIS, SMALL, frame.right - left)):
        yield Text((left, base + n * _LINE), line, SMALL)


# ---- the differences


def _differences(block: _Block, frame: _Frame) -> Iterator[Item]:
    """A row for each, and the mean below them."""
    yield Line((frame.x(0.0), 0.0), (frame.x(0.0), frame.high), Role.GUIDE, f"in-tune-{block.number}")
    if block.mean is not None and round(abs(block.mean.meant_cents), 1) > 0:
        x = frame.x(block.mean.meant_cents)
        yield Line((x, 0.0), (x, frame.high), Role.PROVISIONAL, f"meant-{block.number}")
    rows = _rows(block)
    for n, (cents, sure) in enumerate(rows):
        y = (n + 0.5) * frame.high / len(rows)
        is_mean = n == len(block.shown)
        label = words.MEAN if is_mean else block.labels[n]
        yield Text((frame.left - _GAP, y + SMALL / 2), label, SMALL, Anchor.END)
        ends = (frame.x(cents - sure), y), (frame.x(cents + sure), y)
        if is_mean:
            yield from _mean_mark(*ends, f"mean-{block.number}")
        else:
            yield Line(*ends, Role.MARK)
            yield Circle((frame.x(cents), y), _DOT, Role.CUT, f"difference-{block.number}-{n + 1}")


def _label(pressed: Heard, several: bool, frets: bool) -> str:
    """When a note was plucked: at which fret if there are several ``frets``, else in which file if there are ``several``."""
    when = f"{pressed.at_s:.1f}\N{NO-BREAK SPACE}s"
    if frets:
        return f"{words.at_fret(pressed.fret or 0)}, {when}"
    if not several:
        return when
    name = writable(FilePath(pressed.file).stem)[0]
    return f"{shortened(name, SMALL, _LABEL - 3 * _GAP - width_mm(when, SMALL))} {when}"


def _mean_mark(start: Point, end: Point, name: str = "") -> Iterator[Item]:
    """A diamond on a wide bar."""
    x, y = (start[0] + end[0]) / 2, start[1]
    yield Line(start, end, Role.CUT)
    yield Path((((x, y - _MEAN), (x + _MEAN, y), (x, y + _MEAN), (x - _MEAN, y)),), Role.MARK, name, closed=True)


def _scale(frame: _Frame, step: int) -> Iterator[Item]:
    """Ticks and numbers as on the fork's legs, at the foot."""
    foot, per_cent = frame.high, frame.x(1.0) - frame.x(0.0)
    tick = next(each for each in (step, *_EVERY) if each >= step and each * per_cent >= _LEAST_TICK_GAP)
    number = next(each for each in _EVERY if each >= 5 and each % tick == 0 and each * per_cent >= _LEAST_NUMBER_GAP)
    yield Line((frame.left, foot), (frame.middle, foot), Role.FINE)
    most = frame.farthest // tick
    for cents in range(-most * tick, frame.farthest + 1, tick):
        x, numbered = frame.x(cents), cents % number == 0
        yield Line((x, foot), (x, foot + (_TICK if numbered else _TICK / 2)), Role.TICK)
        if numbered:
            yield Text((x, foot + _TICK + _GAP + SMALL), signed(cents, 0), SMALL, Anchor.MIDDLE)


# ---- the partials


def _partials(one: HeardDifference, frame: _Frame) -> Iterator[Item]:
    """Stems of the levels of both notes, over their place in partials of the pressed one."""
    left, high = frame.partials_left, frame.high
    notes = [(note, note.partials) for note in (one.reference, one.pressed) if note.partials is not None]
    first = float(notes[-1][1].hz[0] / notes[-1][1].number[0])
    loudest = max(float(partials.level_db.max()) for _, partials in notes)
    last = math.ceil(max(float(partials.hz.max()) for _, partials in notes) / first)
    apart = (frame.right - left) / (last + 0.5)
    yield Line((left, high), (frame.right, high), Role.FINE)
    for note, partials in notes:
        depth = np.minimum(loudest - partials.level_db, _DEEPEST_DB)
        for hz, down in zip(partials.hz.tolist(), depth.tolist(), strict=True):
            yield from _stem(note is one.pressed, left + apart * hz / first, high * down / _DEEPEST_DB, high)
    for down in range(0, _DEEPEST_DB + 1, _DB_STEP):
        y = high * down / _DEEPEST_DB
        yield Line((left - _TICK, y), (left, y), Role.TICK)
        yield Text((left - _TICK - _GAP, y + SMALL / 2), signed(-down, 0), SMALL, Anchor.END)
    every = next(each for each in _EVERY if each * apart >= _LEAST_NUMBER_GAP)
    for number in range(every, last + 1, every):
        x = left + apart * number
        yield Line((x, high), (x, high + _TICK), Role.TICK)
        yield Text((x, high + _TICK + _GAP + SMALL), str(number), SMALL, Anchor.MIDDLE)


def _stem(pressed: bool, x: float, top: float, foot: float) -> Iterator[Item]:
    """A wide stem for the pressed note, a fine one with a ring for its reference, side by side."""
    if pressed:
        yield Line((x + _BESIDE, top), (x + _BESIDE, foot), Role.CUT)
        return
    yield Line((x - _BESIDE, min(top + 2 * _DOT, foot)), (x - _BESIDE, foot), Role.FINE)
    yield Circle((x - _BESIDE, top), 2 * _DOT, Role.FINE)


# ---- what the marks mean


def _legend(listened: Listened, advice: Advice) -> Iterator[tuple[Role, str]]:
    frets = any(one.pressed.what is What.FRET for one in listened.differences)
    yield Role.MARK, words.FRET_DOT_MEANS if frets else words.DOT_MEANS
    if advice.strings:
        yield Role.CUT, words.mean_means(advice.errors.touch_cents)
    if any(round(abs(one.meant_cents), 1) > 0 for one in advice.strings):
        yield Role.PROVISIONAL, words.MEANT_MEANS
    yield Role.FINE, words.STEMS_MEAN


def _sample(role: Role, left: float, level: float) -> Drawing | Item:
    """A dot with its bar, the mean with its own, the dashed line, or a stem of each note."""
    right = left + 11.0
    if role is Role.MARK:
        return drawing(Line((left, level), (right, level), role), Circle(((left + right) / 2, level), _DOT, Role.CUT))
    if role is Role.CUT:
        return drawing(_mean_mark((left, level), (right, level)))
    if role is Role.FINE:
        apart = (right - left) / 3
        stems = (_stem(n == 2, left + n * apart, level - SMALL / 2, level + SMALL / 2) for n in (1, 2))
        return drawing(*stems)
    return Line((left, level), (right, level), role)
