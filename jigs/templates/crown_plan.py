"""A bridge's crown or saddle from above: where each string should bear, and where it bears now.

It lies as on the instrument: the nut is up, and the treble end is at the right, on a left-handed instrument at the left.
The drawing is square to the crown line. Its middle is half way between the foremost and the rearmost string.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from geometry.arrays import FloatArray
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, bounds
from jigs.drawing.lettering import SMALL, width_mm
from jigs.wording import signed
from jigs.workup.words import is_stepped
from jigs.workup.workup import Workup

END_MM = 1.5
"""How far the crown reaches beyond the outer strings."""

_BESIDE_MM = 2.0
_TICK_MM = 0.8
_WORD_GAP_MM = 1.4
_ABOVE_MM = 1.2
_ROW_MM = 4.2


def wanted_steps_mm(workup: Workup) -> FloatArray:
    """How far behind the crown line each string should bear, along the neck as the file has steps, shape (strings,)."""
    return np.asarray(workup.setbacks.setback_mm - (workup.computed_line.at(workup.across_mm) - workup.scale_mm))


def break_points_mm(workup: Workup) -> FloatArray:
    """The same, square to the crown line."""
    return wanted_steps_mm(workup) * _tilt(workup)


def middle_mm(workup: Workup) -> float:
    """How far behind the crown line the middle of the break points lies."""
    points = break_points_mm(workup)
    return (float(points.max()) + float(points.min())) / 2


def outside_crown(workup: Workup) -> tuple[int, ...]:
    """The strings that should bear where this crown has no wood, by their index."""
    beyond = np.abs(break_points_mm(workup) - middle_mm(workup)) > workup.instrument.bridge.crown / 2
    return tuple(np.flatnonzero(beyond).tolist())


def enough_crown_mm(workup: Workup) -> float:
    """Crown, in half millimetres, on which all strings of a bridge in the same place would bear."""
    beyond = float(np.abs(break_points_mm(workup) - middle_mm(workup)).max())
    return math.ceil(4 * beyond + 1) / 2


def _tilt(workup: Workup) -> float:
    return math.cos(math.radians(workup.computed_line.slant_deg))


def length_mm(workup: Workup) -> float:
    """Length of the crown that is drawn."""
    return float(np.ptp(workup.bridge_places_mm)) + 2 * END_MM


def crown_plan(workup: Workup, times: int = 1) -> Drawing:
    """The crown, so many times as large, and the words for its sides; y off the middle of the break points.

    An enlarged one also has each string's name and the step that it should have.
    """
    instrument, middle = workup.instrument, middle_mm(workup)
    offsets = ((break_points_mm(workup) - middle) * times).tolist()
    there = ((instrument.steps_mm * _tilt(workup) - middle) * times).tolist()
    stepped = is_stepped(instrument.bridge)
    treble = 1.0 if instrument.head.hand == "right" else -1.0
    places = np.sort(treble * workup.bridge_places_mm, axis=1) * times
    left, right = float(places.min()) - END_MM * times, float(places.max()) + END_MM * times
    half = instrument.bridge.crown / 2 * times
    reach = max(half, *map(abs, offsets), abs(middle) * times, *(map(abs, there) if stepped else ())) + _BESIDE_MM
    prefix = f"at-{times}-" if times > 1 else ""
    break_line = stepped_line(offsets, places, left, right)
    filed = [(x, min(max(y, -half), half)) for x, y in reversed(break_line)]
    corners = ((left, -half), (right, -half), (right, half), (left, half))
    items: list[Item] = [
        Path((((left, -half), (right, -half), *filed),), Role.BAND, f"{prefix}filed", closed=True),
        Path((corners,), Role.GUIDE, f"{prefix}crown", closed=True),
        Line((left, -middle * times), (right, -middle * times), Role.CENTRE, f"{prefix}straight-crown"),
    ]
    for n, (low, high) in enumerate(places.tolist()):
        items += [Line((x, -reach), (x, reach), Role.FINE) for x in dict.fromkeys((low, high))]
        start, end = low - _TICK_MM * times, high + _TICK_MM * times
        items.append(Line((start, offsets[n]), (end, offsets[n]), Role.MARK, f"{prefix}break-{n + 1}"))
    if stepped:
        run = stepped_line(there, places, left, right)
        items.append(Path((run,), Role.PROVISIONAL, f"{prefix}steps-there"))
    items.append(Path((break_line,), Role.CUT, f"{prefix}break-line"))
    rows = _ROW_MM if times > 1 else 0.0
    if times > 1:
        items += _labels(workup, places.mean(axis=1), reach)
    above, below = -reach - _ABOVE_MM - rows, reach + _ABOVE_MM + rows + SMALL
    return Drawing((*items, *sides(left, right, above, "nut", treble < 0), _middle(left, right, below, "tail")))


def stepped_line(
    offsets: list[float], places: FloatArray, left: float, right: float
) -> tuple[tuple[float, float], ...]:
    """Each string's place on the crown, with the step half way to the next."""
    order = np.argsort(places[:, 0])
    run = [(left, offsets[order[0]])]
    for this, following in pairwise(order.tolist()):
        turn = float(places[this, 1] + places[following, 0]) / 2
        run += [(turn, offsets[this]), (turn, offsets[following])]
    return (*run, (right, offsets[order[-1]]))


def _middle(left: float, right: float, base: float, word: str) -> Text:
    return Text(((left + right) / 2, base), word, SMALL, Anchor.MIDDLE)


def sides(left: float, right: float, base: float, word: str, left_handed: bool) -> list[Text]:
    """A word between bass and treble, which are over the ends or farther out."""
    at_left, at_right = ("treble", "bass") if left_handed else ("bass", "treble")
    between = bounds(_middle(left, right, base, word))
    start = min(left, between.left - _WORD_GAP_MM - width_mm(at_left, SMALL))
    end = max(right, between.right + _WORD_GAP_MM + width_mm(at_right, SMALL))
    return [
        Text((start, base), at_left, SMALL),
        _middle(left, right, base, word),
        Text((end, base), at_right, SMALL, Anchor.END),
    ]


def _labels(workup: Workup, across: FloatArray, reach: float) -> list[Text]:
    """Each string's name above it and the step that it should have below it; less of both where strings are close."""
    strings = workup.instrument.strings
    names = [f"{n} {entry.note}" for n, entry in enumerate(strings, 1)]
    steps = [signed(wanted, 2) for wanted in wanted_steps_mm(workup).tolist()]
    numbers = [str(n) for n in range(1, len(strings) + 1)]
    return [
        *row_of(across, -reach - _ABOVE_MM, names, numbers),
        *row_of(across, reach + _ABOVE_MM + SMALL, steps),
    ]


def row_of(across: FloatArray, base: float, *choices: Sequence[str]) -> list[Text]:
    """The first of the choices that has room side by side; nothing if none has."""
    for words in choices:
        row = [
            Text((x, base), word, SMALL, Anchor.MIDDLE) for x, word in sorted(zip(across.tolist(), words, strict=True))
        ]
        if all(bounds(one).right + _WORD_GAP_MM <= bounds(after).left for one, after in pairwise(row)):
            return row
    return []
