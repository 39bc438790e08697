"""Rules to mark the strings from: one for the nut, one for the bridge; the crown's pattern below them, and the numbers.

Each rule is a strip to cut out, as wide as the board at the nut or as the bridge. Strips and pattern lie as on the
instrument, the nut up: the nut's rule has its ticks on the lower edge, which is laid on the board's end, the bridge's on the
upper edge, which is held along the crown. The strip of a compensated nut reaches over the board, and has a mark where each
string leaves the nut. So one sheet has all that is cut out for the strings' places; the enlarged crown has its own.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import BoolArray, FloatArray
from geometry.lengths import format_inches, round_half_up
from jigs.drawing.blocks import blocks
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import MEDIUM, SMALL, width_mm
from jigs.drawing.room import HEADING_MM, DoesNotFit, Room
from jigs.templates import crown, spacing_words
from jigs.templates import words as says
from jigs.templates.options import Options
from jigs.templates.table import table_of
from jigs.templates.template import Piece
from jigs.wording import signed
from jigs.workup.workup import Workup

STRIP_MM = 20.0
_TICK_MM = 6.0
_TITLE_GAP_MM = 2.4
_EDGE_GAP_MM = 1.4
_EDGE_WORDS_MM = 64.0
_TABLE_GAP_MM = 8.0
_BLOCK_GAP_MM = 6.0
_WORDS_MM = 35.0
"""Height below the numbers for words that find no room beside them, else the numbers have a sheet of their own."""

_STEPS_MM = 78.0
"""Width left of numbers at the right, for the steps that go on there."""

_BEYOND_STRINGS_MM = 5.0
_END_HALF_MM, _BEYOND_END_MM = 1.5, 2.0
_NUMBER_AT_MM, _SIDES_AT_MM = 1.2, 1.6


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
    """One strip: ``width`` from edge to edge of the part, and the strings' places on it, treble first.

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


def draw(workup: Workup, room: Room, _options: Options) -> Piece:
    """Nut rule, bridge rule and crown pattern below each other, and the numbers. Raises `DoesNotFit`."""
    nut, bridge = rules(workup)
    whole = bridge.width <= room.beside_ruler
    edges = spacing_words.nut_edge(workup, bool(nut.ends_mm)), spacing_words.bridge_edge(whole)
    left_handed = workup.instrument.head.hand == "left"
    laid, top = Drawing(), HEADING_MM
    for rule, edge in zip((nut, bridge), edges, strict=True):
        width = rule.width if rule.width <= room.beside_ruler else _least_width(rule)
        if width > room.beside_ruler:
            raise DoesNotFit(says.wide_rule(rule.name, width))
        laid += _block(rule, width, edge, left_handed).shifted(0.0, top)
        top = laid.bounds().bottom + _BLOCK_GAP_MM
    if laid.bounds().bottom > room.height:
        raise DoesNotFit(says.long_rules(laid.bounds().bottom))
    pattern = _crown_pattern(workup, room, top)
    laid += pattern
    said = spacing_words.spacing_words(workup, bool(nut.ends_mm), whole, bool(pattern.items))
    of = workup.instrument.bridge
    facts = f"Bridge {of.spacing:g} mm, equal {of.spaced.value}"
    document = f"String spacing, {workup.instrument.head.hand}-handed"
    foot = laid.bounds().bottom + _BLOCK_GAP_MM
    below, aside = _tables((nut, bridge), room, foot), _at_the_right((nut, bridge), room, foot)
    for tables, least in ((below, _WORDS_MM), (aside, 0.0)):
        box = tables.bounds()
        if box.bottom + least <= room.height and (least or box.left >= _STEPS_MM):
            return Piece(laid + tables, document, facts, said)
    return Piece(laid, document, facts, said, more=_on_their_own((nut, bridge), room))


def _crown_pattern(workup: Workup, room: Room, top: float) -> Drawing:
    """The crown's pattern, where it has room and the bridge line is not in doubt; else nothing."""
    pattern = crown.pattern(workup).shifted(0.0, top)
    box = pattern.bounds()
    if workup.steep_slant is not None or box.right > room.beside_ruler or box.bottom > room.height:
        return Drawing()
    return pattern


def _on_their_own(both: tuple[SpacingRule, SpacingRule], room: Room) -> tuple[Drawing, ...]:
    """The numbers of both rules on a sheet of their own, or on one for each. Raises `DoesNotFit`."""
    together = _tables(both, room, HEADING_MM)
    sheets = (
        (together,)
        if together.bounds().bottom <= room.height
        else tuple(_table(rule).shifted(0.0, HEADING_MM) for rule in both)
    )
    foot = max(sheet.bounds().bottom for sheet in sheets)
    if foot > room.height:
        raise DoesNotFit(says.long_rules(foot))
    return sheets


def _least_width(rule: SpacingRule) -> float:
    """Width of a strip that only reaches beyond the strings, for a part that is wider than the sheet."""
    return 2 * (float(abs(rule.across_mm).max()) + _BEYOND_STRINGS_MM)


def rules(workup: Workup) -> tuple[SpacingRule, SpacingRule]:
    """The rule for the nut, without short strings, and the one for the bridge."""
    instrument = workup.instrument
    full = instrument.stringing.full_length
    nut, board, bridge = instrument.nut, instrument.board, instrument.bridge
    at_nut, at_bridge = (
        _singles(workup, places, chosen)
        for places, chosen in ((workup.nut_places_mm, full), (workup.bridge_places_mm, np.full(len(full), True)))
    )
    of_nut = spacing_words.nut_table(board.nut_width, nut.spaced)
    of_bridge = spacing_words.bridge_table(bridge.length, bridge.spaced, workup.instrument.stands_on)
    return (
        SpacingRule("nut", of_nut, board.nut_width, *at_nut, _nut_ends_mm(workup, at_nut[2])),
        SpacingRule("bridge", of_bridge, bridge.length, *at_bridge),
    )


def _nut_ends_mm(workup: Workup, strings: tuple[SingleString, ...]) -> tuple[float, ...]:
    """Where each string leaves a compensated nut, or one to be cut so, towards the bridge; nothing for a plain nut."""
    towards_bridge = (-workup.setbacks.nut_setback_mm).tolist()
    ends = tuple(towards_bridge[one.number - 1] for one in strings)
    return ends if any(ends) else ()


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


def _block(rule: SpacingRule, width: float, edge: str, left_handed: bool) -> Drawing:
    """Title, strip and what its edge is laid on, at that edge; the top left corner at the origin."""
    strip = _strip(rule, width)
    strip = strip.mirrored() if left_handed else strip
    box, top = strip.bounds(), MEDIUM + _TITLE_GAP_MM
    words_at = max(width, min(width_mm(edge, SMALL) + 1.0, _EDGE_WORDS_MM))
    named = spacing_words.NUT_TITLE if rule.name == "nut" else spacing_words.BRIDGE_TITLE
    title = Text((0.0, MEDIUM), named, MEDIUM)
    if rule.name == "bridge":
        words = blocks((edge,), 0.0, top, words_at)
        top = words.bounds().bottom + _EDGE_GAP_MM
    else:
        words = blocks((edge,), 0.0, top + box.height + _EDGE_GAP_MM, words_at)
    return drawing(title, words, strip.shifted(-box.left, top - box.top))


def _strip(rule: SpacingRule, width: float) -> Drawing:
    """The strip to cut out, right-handed; x from its middle, y from the line of its ticks."""
    half, up = width / 2, 1.0 if rule.name == "bridge" else -1.0
    far, near = up * STRIP_MM, -up * (rule.strip_mm - STRIP_MM)
    corners = ((-half, near), (half, near), (half, far), (-half, far))
    items: list[Item] = [Path((corners,), Role.CUT, f"{rule.name}-rule", closed=True)]
    for x, one in zip(rule.across_mm.tolist(), rule.strings, strict=True):
        items.append(Line((x, 0.0), (x, up * _TICK_MM), Role.MARK, f"{rule.name}-string-{one.name}"))
    if rule.ends_mm:
        items.append(Line((-half, 0.0), (half, 0.0), Role.GUIDE, f"{rule.name}-line"))
    for x, end, one in zip(rule.across_mm.tolist(), rule.ends_mm, rule.strings, strict=False):
        items.append(Line((x - _END_HALF_MM, end), (x + _END_HALF_MM, end), Role.MARK, f"{rule.name}-end-{one.name}"))
    return Drawing((*items, *_words_on(rule, half, up)))


def _words_on(rule: SpacingRule, half: float, up: float) -> list[Item]:
    """String numbers beside their ticks, then bass, treble and the middle, then what the strip is for, at its far edge."""

    def base(row: int) -> float:
        """The base line of a row, counted from the ticks."""
        near = _TICK_MM + _NUMBER_AT_MM + row * (SMALL + _SIDES_AT_MM)
        return near + SMALL if up > 0 else -near

    words: list[Item] = []
    free_to = half - 0.5
    for number in dict.fromkeys(one.number for one in rule.strings):
        own = [x for x, one in zip(rule.across_mm, rule.strings, strict=True) if one.number == number]
        middle, text = float(np.mean(own)), str(number)
        reach = width_mm(text, SMALL) / 2
        if reach - half + 0.5 < middle < free_to - reach:
            words.append(Text((middle, base(0)), text, SMALL, Anchor.MIDDLE))
            free_to = middle - reach - 0.5
    for side, x, anchor in (("treble", half - 1.2, Anchor.END), ("bass", -half + 1.2, Anchor.START)):
        if width_mm(side, SMALL) < half - 1.2 - _NUMBER_AT_MM:
            words.append(Text((x, base(1)), side, SMALL, anchor))
    named = "nut" if rule.name == "nut" else "tail"
    words.append(Text((0.0, base(2)), named, SMALL, Anchor.MIDDLE))
    words.append(Line((0.0, base(1)), (0.0, base(1) - SMALL), Role.CENTRE))
    return words


def _tables(both: tuple[SpacingRule, SpacingRule], room: Room, top: float) -> Drawing:
    """The numbers of both rules side by side where they go across the room there, else below each other."""
    nut, bridge = (_table(rule) for rule in both)
    across = nut.bounds().right + _TABLE_GAP_MM
    width = room.width if top > room.corner_height else room.beside_ruler
    if across + bridge.bounds().right <= width:
        return (nut + bridge.shifted(across, 0.0)).shifted(0.0, top)
    return (nut + bridge.shifted(0.0, nut.bounds().bottom + _BLOCK_GAP_MM)).shifted(0.0, top)


def _at_the_right(both: tuple[SpacingRule, SpacingRule], room: Room, top: float) -> Drawing:
    """The numbers of both rules below each other, at the right edge of the room."""
    nut, bridge = (_table(rule) for rule in both)
    stacked = nut + bridge.shifted(0.0, nut.bounds().bottom + _BLOCK_GAP_MM)
    return stacked.shifted(room.width - stacked.bounds().right, max(top, room.corner_height + _BLOCK_GAP_MM))


def _table(rule: SpacingRule) -> Drawing:
    """The numbers, from the bass edge, where a steel rule starts; the top left corner at the origin."""
    from_edge = (rule.across_mm + rule.width / 2)[::-1]
    gauges, strings = rule.gauges_mm[::-1], rule.strings[::-1]
    steps = np.diff(from_edge, prepend=0.0)
    halves = np.concatenate(([0.0], gauges[:-1] / 2)) + gauges / 2
    ends = rule.ends_mm[::-1]
    rows: list[tuple[str, ...]] = [spacing_words.HEADS if ends else spacing_words.HEADS[:-1]]
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
    return drawing(Text((0.0, SMALL), rule.title, SMALL), table_of(rows).shifted(0.0, SMALL + _TITLE_GAP_MM))
