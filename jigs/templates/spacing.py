"""Rules to mark the strings from: one for the nut, one for the bridge, and the numbers beside them.

Each rule is a strip to cut out, as wide as the board at the nut or as the bridge; its ticks are on the edge that is laid
on the part. The strip of a compensated nut reaches over the board, and has a mark where each string leaves the nut.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import BoolArray, FloatArray
from geometry.lengths import format_inches, round_half_up
from geometry.spacing import Spaced
from jigs.drawing.blocks import blocks
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import MEDIUM, SMALL, width_mm
from jigs.drawing.room import DoesNotFit, Room
from jigs.templates import words as says
from jigs.templates.options import Options
from jigs.templates.template import Piece
from jigs.wording import signed
from jigs.workup.workup import Workup

STRIP_MM = 16.0
_TICK_MM = 6.0
_ROW_MM = 4.6
_TABLE_GAP_MM = 7.0
_BLOCK_GAP_MM = 12.0
_HEADS = ("string", "from bass edge", "in inches", "to the next", "clear gap", "nut end")
_COLUMNS = (0.0, 24.0, 54.0, 78.0, 102.0, 124.0)
_TABLE_WIDTH, _NUT_END_WIDTH = 120.0, 20.0
_NUT_ENDS = "Lay the inner line on the end of the board. Short marks: where each string leaves the nut."
_END_HALF_MM, _BEYOND_END_MM = 1.5, 2.0


@dataclass(frozen=True)
class SingleString:
    """A string by its number, with a letter if it is one of a pair."""

    number: int
    letter: str
    note: str

    @property
    def name(self) -> str:
        """Number and letter, as the marks are named."""
        return f"{self.number}{self.letter}"


@dataclass(frozen=True)
class SpacingRule:
    """One strip: ``width`` from edge to edge, and the strings' places on it, treble first.

    ``ends_mm``: how much nearer the bridge than the board's end each string leaves a compensated nut, else empty.
    """

    name: str
    title: str
    width: float
    across_mm: FloatArray
    gauges_mm: FloatArray
    strings: tuple[SingleString, ...]
    ends_mm: tuple[float, ...] = ()

    @property
    def strip_mm(self) -> float:
        """Height of the strip."""
        return STRIP_MM + (max(*self.ends_mm, 0.0) + _BEYOND_END_MM if self.ends_mm else 0.0)

    @property
    def table_width_mm(self) -> float:
        """Width of the numbers below it."""
        return _TABLE_WIDTH + (_NUT_END_WIDTH if self.ends_mm else 0.0)


def draw(workup: Workup, room: Room, _options: Options) -> Piece:
    """Both rules below each other. Raises `DoesNotFit`."""
    blocks = Drawing()
    top = 0.0
    left_handed = workup.instrument.head.hand == "left"
    for rule in rules(workup):
        if max(rule.width, rule.table_width_mm) > room.width - room.corner_width:
            raise DoesNotFit(says.wide_rule(rule.name, max(rule.width, rule.table_width_mm)))
        block = _block(rule, left_handed)
        blocks += block.shifted(0.0, top)
        top += block.bounds().bottom + _BLOCK_GAP_MM
    if blocks.bounds().bottom > room.height:
        raise DoesNotFit(says.long_rules(blocks.bounds().bottom))
    bridge = workup.instrument.bridge
    facts = f"Bridge {bridge.spacing:g} mm, equal {bridge.spaced.value}"
    return Piece(blocks, f"String spacing, {workup.instrument.head.hand}-handed", facts)


def rules(workup: Workup) -> tuple[SpacingRule, SpacingRule]:
    """The rule for the nut, without short strings, and the one for the bridge."""
    instrument = workup.instrument
    full = instrument.stringing.full_length
    board, bridge = instrument.board, instrument.bridge
    at_nut, at_bridge = (
        _singles(workup, places, chosen)
        for places, chosen in ((workup.nut_places_mm, full), (workup.bridge_places_mm, np.full(len(full), True)))
    )
    nut = instrument.nut
    nut_title = f"Nut, {_spaced(nut.spaced)}; board {round_half_up(board.nut_width, 1)} mm wide"
    bridge_title = f"Bridge, {_spaced(bridge.spaced)}; {round_half_up(bridge.length, 1)} mm across the feet"
    return (
        SpacingRule("nut", nut_title, board.nut_width, *at_nut, _nut_ends_mm(workup, at_nut[2])),
        SpacingRule("bridge", bridge_title, bridge.length, *at_bridge),
    )


def _nut_ends_mm(workup: Workup, strings: tuple[SingleString, ...]) -> tuple[float, ...]:
    """Where each string leaves a compensated nut, or one to be cut so, towards the bridge; nothing for a plain nut."""
    towards_bridge = (-workup.setbacks.nut_setback_mm).tolist()
    ends = tuple(towards_bridge[one.number - 1] for one in strings)
    return ends if any(ends) else ()


def _spaced(spaced: Spaced) -> str:
    return "equal centres" if spaced is Spaced.CENTRES else "equal gaps between string edges"


def _singles(
    workup: Workup, places: FloatArray, chosen: BoolArray
) -> tuple[FloatArray, FloatArray, tuple[SingleString, ...]]:
    """x, gauge and name of every single string, treble first; the strings of a pair are a and b."""
    across, gauges, strings = [], [], []
    for n, entry in enumerate(workup.instrument.strings):
        if not chosen[n]:
            continue
        for side in range(2 if entry.pair else 1):
            across.append(float(places[n, side]))
            gauges.append(entry.gauge)
            strings.append(SingleString(n + 1, "ab"[side] if entry.pair else "", entry.note))
    return np.array(across), np.array(gauges), tuple(strings)


def _block(rule: SpacingRule, left_handed: bool) -> Drawing:
    """Title, strip and table, the top left corner at the origin."""
    strip = _strip(rule)
    if left_handed:
        strip = strip.mirrored()
    title = Text((0.0, MEDIUM), rule.title, MEDIUM)
    strip = strip.shifted(rule.width / 2, MEDIUM + 4.0)
    below = MEDIUM + 4.0 + rule.strip_mm
    marks = blocks((_NUT_ENDS,) if rule.ends_mm else (), 0.0, below + 2.0, rule.table_width_mm)
    table = _table(rule).shifted(0.0, (marks.bounds().bottom if marks.items else below) + _TABLE_GAP_MM)
    return drawing(title, strip, marks, table)


def _strip(rule: SpacingRule) -> Drawing:
    """The strip to cut out, right-handed, x from its middle; the ticks are on its lower edge."""
    half = rule.width / 2
    corners = ((-half, 0.0), (half, 0.0), (half, rule.strip_mm), (-half, rule.strip_mm))
    items: list[Item] = [
        Path((corners,), Role.CUT, f"{rule.name}-rule", closed=True),
        Line((0.0, 0.0), (0.0, STRIP_MM - _TICK_MM - 4.0), Role.CENTRE),
    ]
    for x, one in zip(rule.across_mm.tolist(), rule.strings, strict=True):
        items.append(Line((x, STRIP_MM), (x, STRIP_MM - _TICK_MM), Role.MARK, f"{rule.name}-string-{one.name}"))
    if rule.ends_mm:
        items.append(Line((-half, STRIP_MM), (half, STRIP_MM), Role.GUIDE, f"{rule.name}-line"))
    for x, end, one in zip(rule.across_mm.tolist(), rule.ends_mm, rule.strings, strict=False):
        start, stop = (x - _END_HALF_MM, STRIP_MM + end), (x + _END_HALF_MM, STRIP_MM + end)
        items.append(Line(start, stop, Role.MARK, f"{rule.name}-end-{one.name}"))
    for number in dict.fromkeys(one.number for one in rule.strings):
        own = [x for x, one in zip(rule.across_mm, rule.strings, strict=True) if one.number == number]
        middle, text = float(np.mean(own)), str(number)
        if abs(middle) + width_mm(text, SMALL) / 2 < half - 0.5:
            items.append(Text((middle, STRIP_MM - _TICK_MM - 1.2), text, SMALL, Anchor.MIDDLE))
    sides = (("treble", half - 1.2, Anchor.END), ("bass", -half + 1.2, Anchor.START))
    for side, x, anchor in sides:
        if width_mm(side, SMALL) < half - 2.4:
            items.append(Text((x, SMALL + 1.2), side, SMALL, anchor))
    return Drawing(tuple(items))


def _table(rule: SpacingRule) -> Drawing:
    """The numbers, from the bass edge, where a steel rule starts."""
    from_edge = (rule.across_mm + rule.width / 2)[::-1]
    gauges, strings = rule.gauges_mm[::-1], rule.strings[::-1]
    steps = np.diff(from_edge, prepend=0.0)
    halves = np.concatenate(([0.0], gauges[:-1] / 2)) + gauges / 2
    ends = rule.ends_mm[::-1]
    rows: list[tuple[str, ...]] = [_HEADS if ends else _HEADS[:-1]]
    for n, one in enumerate(strings):
        rows.append(
            (
                f"{one.name} {one.note}",
                f"{round_half_up(from_edge[n], 2)} mm",
                format_inches(from_edge[n]),
                f"{round_half_up(steps[n], 2)} mm" if n else "edge",
                f"{round_half_up(steps[n] - halves[n], 2)} mm",
                *((f"{signed(ends[n], 2)} mm",) if ends else ()),
            )
        )
    margin = rule.width - from_edge[-1]
    rows.append(("treble edge", f"{round_half_up(rule.width, 2)} mm", "", f"{round_half_up(margin, 2)} mm",
                 f"{round_half_up(margin - gauges[-1] / 2, 2)} mm"))  # fmt: skip
    return drawing(
        Text((x, SMALL + r * _ROW_MM), cell, SMALL)
        for r, row in enumerate(rows)
        for x, cell in zip(_COLUMNS, row, strict=False)
        if cell
    )
