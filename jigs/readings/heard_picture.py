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
from jigs.drawing.blocks import heading, legend_of
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, first_writable, shortened, wrapped, writable
from jigs.drawing.room import DoesNotFit, Room
from jigs.export.files import page_files
from jigs.readings import picture_words as words
from jigs.readings.advice import Advice, ReadString
from jigs.readings.listening import HeardDifference, Listened, What
from jigs.readings.words import sharp_or_flat, verdict_line
from jigs.sheets.fitting import fitted
from jigs.sheets.paper import Paper, Sheet, list_room, on_sheet, size_in_words
from jigs.sheets.title import Title
from jigs.wording import signed, unbroken
from jigs.workup.cents_scale import FARTHEST_CENTS, leg_scales

_LABEL, _BETWEEN, _DECIBELS = 24.0, 12.0, 9.0
_SHARE = 0.58
"""How much of the width the differences have."""

_ROW, _LEAST_PLOT, _MOST_PLOT = 4.2, 13.0, 70.0
_TICK, _GAP = 2.0, 1.2
_LINE = SMALL * LINE_STEP
_HEAD = MEDIUM + 3.0
_FOOT = _TICK + _GAP + 2 * _LINE + 5.0
_LEAST_WIDTH = 120.0
_DOT, _MEAN = 0.35, 1.3
_LEAST_TICK_GAP, _LEAST_NUMBER_GAP = 0.8, 7.0
_EVERY = (1, 2, 5, 10, 20, 50, 100, 200)
_DEEPEST_DB, _DB_STEP = 60, 20
_BESIDE = 0.45
"""How far the stems of the two notes are to either side of their place."""


@dataclass(frozen=True)
class _Block:
    """What is drawn of a string: its differences, how many there were in all, its mean if it was read at the octave."""

    name: str
    shown: tuple[HeardDifference, ...]
    total: int
    mean: ReadString | None
    step: int


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
    legend = legend_of(tuple(_legend(advice)), 0.0, 0.0, room.width, _sample)
    strings = sorted({one.string for one in listened.differences})
    head = top.bounds().bottom + 2 * _LINE
    each = (room.height - head - legend.bounds().bottom) / len(strings)
    plot = min(each - _HEAD - _FOOT, _MOST_PLOT)
    if plot < _LEAST_PLOT:
        raise DoesNotFit(words.TOO_SHORT)
    parts, level = [top], head
    for string in strings:
        block = _block(listened, advice, string, int(plot / _ROW) - 1)
        parts.append(_drawn(block, room.width, plot).shifted(0.0, level))
        level += _HEAD + plot + _FOOT
    return drawing(*parts, legend.shifted(0.0, level))


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
    return _Block(name, tuple(own[-rows:]), len(own), mean, scale.step)


def _drawn(block: _Block, width: float, high: float) -> Drawing:
    """A string's block, its top at y = 0."""
    middle = width * _SHARE
    return drawing(
        Text((0.0, MEDIUM), _named(block), MEDIUM),
        _differences(block, _LABEL, middle, high).shifted(0.0, _HEAD),
        _partials(block.shown[-1], middle + _BETWEEN + _DECIBELS, width, high).shifted(0.0, _HEAD),
    )


def _named(block: _Block) -> str:
    """The string, what it reads in the mean, and how many of its differences are shown."""
    read = "" if block.mean is None else f": {sharp_or_flat(block.mean.cents, block.mean.plus_minus_cents)}"
    cut = f" (last {len(block.shown)} of {block.total})" if len(block.shown) < block.total else ""
    return f"{block.name}{read}{cut}"


# ---- the differences


def _differences(block: _Block, left: float, right: float, high: float) -> Drawing:
    """A row for each, the mean below them, over the scale of cents."""
    rows = [(one.difference.cents, NORMAL_QUANTILE * one.difference.standard_error_cents) for one in block.shown]
    if block.mean is not None:
        rows.append((block.mean.cents, block.mean.plus_minus_cents))
    farthest = max(FARTHEST_CENTS, 5 * math.ceil(max(abs(cents) + sure for cents, sure in rows) / 5))
    middle, per_cent = (left + right) / 2, (right - left) / (2 * farthest)
    items: list[Item] = [Line((middle, 0.0), (middle, high), Role.GUIDE)]
    if block.mean is not None and round(abs(block.mean.meant_cents), 1) > 0:
        x = middle + per_cent * block.mean.meant_cents
        items.append(Line((x, 0.0), (x, high), Role.PROVISIONAL))
    apart = high / len(rows)
    for n, (cents, sure) in enumerate(rows):
        y, x = (n + 0.5) * apart, middle + per_cent * cents
        is_mean = n == len(block.shown)
        label = words.MEAN if is_mean else _label(block.shown[n])
        items.append(Text((left - _GAP, y + SMALL / 2), label, SMALL, Anchor.END))
        ends = (x - per_cent * sure, y), (x + per_cent * sure, y)
        items += _mean_mark(*ends) if is_mean else (Line(*ends, Role.MARK), Circle((x, y), _DOT, Role.CUT))
    return drawing(items, _scale(middle, per_cent, farthest, block.step).shifted(0.0, high), _ways(left, right, high))


def _label(one: HeardDifference) -> str:
    """When the pressed note was plucked, in which file, and at which fret if it is not at the octave."""
    pressed = one.pressed
    when = f"{pressed.at_s:.1f}\N{NO-BREAK SPACE}s"
    if pressed.what is What.FRET:
        when = f"{words.at_fret(pressed.fret or 0)}, {when}"
    name = writable(FilePath(pressed.file).stem)[0]
    return f"{shortened(name, SMALL, _LABEL / 2 - 2 * _GAP)} {when}" if pressed.what is not What.FRET else when


def _mean_mark(start: tuple[float, float], end: tuple[float, float]) -> Iterator[Item]:
    """A diamond on a wide bar."""
    x, y = (start[0] + end[0]) / 2, start[1]
    yield Line(start, end, Role.CUT)
    yield Path((((x, y - _MEAN), (x + _MEAN, y), (x, y + _MEAN), (x - _MEAN, y)),), Role.MARK, closed=True)


def _scale(middle: float, per_cent: float, farthest: int, step: int) -> Drawing:
    """Ticks and numbers as on the fork's legs, below y = 0."""
    tick = next(each for each in (step, *_EVERY) if each >= step and each * per_cent >= _LEAST_TICK_GAP)
    number = next(each for each in _EVERY if each >= 5 and each % tick == 0 and each * per_cent >= _LEAST_NUMBER_GAP)
    ends = middle - per_cent * farthest, middle + per_cent * farthest
    items: list[Item] = [Line((ends[0], 0.0), (ends[1], 0.0), Role.FINE)]
    for cents in range(-(farthest // tick) * tick, farthest + 1, tick):
        x, numbered = middle + per_cent * cents, cents % number == 0
        items.append(Line((x, 0.0), (x, _TICK if numbered else _TICK / 2), Role.TICK))
        if numbered:
            items.append(Text((x, _TICK + _GAP + SMALL), signed(cents, 0), SMALL, Anchor.MIDDLE))
    return drawing(items)


def _ways(left: float, right: float, high: float) -> Iterator[Item]:
    """Where a bridge belongs that reads so."""
    base = high + _TICK + _GAP + SMALL + _LINE
    yield Text((left, base), words.FLAT_WAY, SMALL)
    yield Text((right, base), words.SHARP_WAY, SMALL, Anchor.END)


# ---- the partials


def _partials(one: HeardDifference, left: float, right: float, high: float) -> Drawing:
    """Stems of the levels of both notes, over their place in partials of the pressed one."""
    notes = [(note, note.partials) for note in (one.reference, one.pressed) if note.partials is not None]
    first = float(notes[-1][1].hz[0] / notes[-1][1].number[0])
    loudest = max(float(partials.level_db.max()) for _, partials in notes)
    last = max(float(partials.hz.max()) for _, partials in notes) / first
    apart = (right - left) / (math.ceil(last) + 0.5)
    items: list[Item] = [Line((left, high), (right, high), Role.FINE)]
    for note, partials in notes:
        depth = np.minimum(loudest - partials.level_db, _DEEPEST_DB)
        for hz, down in zip(partials.hz.tolist(), depth.tolist(), strict=True):
            x, y = left + apart * hz / first, high * down / _DEEPEST_DB
            items += _stem(note is one.pressed, x, y, high)
    for down in range(0, _DEEPEST_DB + 1, _DB_STEP):
        y = high * down / _DEEPEST_DB
        items.append(Line((left - _TICK, y), (left, y), Role.TICK))
        items.append(Text((left - _TICK - _GAP, y + SMALL / 2), signed(-down, 0), SMALL, Anchor.END))
    every = next(each for each in _EVERY if each * apart >= _LEAST_NUMBER_GAP)
    for number in range(every, math.ceil(last) + 1, every):
        x = left + apart * number
        items.append(Line((x, high), (x, high + _TICK), Role.TICK))
        items.append(Text((x, high + _TICK + _GAP + SMALL), str(number), SMALL, Anchor.MIDDLE))
    base = high + _TICK + _GAP + SMALL + _LINE
    lines = wrapped(words.PARTIALS_AXIS, SMALL, right - left + _DECIBELS)
    texts = [Text((left - _DECIBELS, base + n * _LINE), line, SMALL) for n, line in enumerate(lines)]
    return drawing(items, texts)


def _stem(pressed: bool, x: float, top: float, foot: float) -> Iterator[Item]:
    """A wide stem for the pressed note, a fine one with a ring for its reference, side by side."""
    if pressed:
        yield Line((x + _BESIDE, top), (x + _BESIDE, foot), Role.CUT)
        return
    yield Line((x - _BESIDE, min(top + 2 * _DOT, foot)), (x - _BESIDE, foot), Role.FINE)
    yield Circle((x - _BESIDE, top), 2 * _DOT, Role.FINE)


# ---- what the marks mean


def _legend(advice: Advice) -> Iterator[tuple[Role, str]]:
    yield Role.MARK, words.DOT_MEANS
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
