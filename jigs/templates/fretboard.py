"""The fretboard at full size, from nut to end and on to the bridge if asked: slots, numbers, dots, strings.

Drawn in the frame of the instrument, y from the nut, and mirrored for a left-handed one. It outgrows most sheets; tiling.py
cuts it.
"""

import numpy as np

from geometry.bridge import feet_outline_mm
from geometry.lengths import round_half_up
from jigs import trade
from jigs.drawing import Anchor, Circle, Drawing, Item, Line, Path, Point, Role, Room, Text, drawing, paragraph
from jigs.lettering import SMALL
from jigs.templates import Options, Piece
from jigs.workup import Workup

_BESIDE_MM = 2.0
_STEP_BEFORE_MM = 4.0
_NUT_HALF_MM = 3.0
_JOINT_MM = 1.5
_HEADING_ROOM_MM = 15.0
_LEAST_LINE_STEP = 1.25


class Outline:
    """The board's edges: where its bass and its treble edge run at a distance from the nut, and where it ends.

    A board with a short string steps out on the bass side shortly before that string's nut, to have an edge beside it.
    """

    def __init__(self, workup: Workup) -> None:
        board, head = workup.instrument.board, workup.instrument.head
        from_nut = workup.from_nut_mm
        last_step = from_nut[-1] - from_nut[-2]
        self.end = board.end or float(from_nut[-1] + trade.BOARD_BEYOND_LAST_FRET * last_step)
        half_nut = board.nut_width / 2
        self._treble_slope = (self._half_end(workup, half_nut) - half_nut) / self.end
        self._half_nut = half_nut
        starts = [entry.starts_at_fret for entry in workup.instrument.strings if entry.starts_at_fret]
        self.steps_at = float(from_nut[min(starts) - 1]) - _STEP_BEFORE_MM if starts else None
        full = workup.instrument.stringing.full_length
        self._full_shift = [
            float(x[full].min() - x.min()) for x in (workup.strings_at(0.0), workup.strings_at(self.end))
        ]
        self._frets = head.frets

    def _half_end(self, workup: Workup, half_nut: float) -> float:
        board = workup.instrument.board
        if board.fret_12_width is not None:
            at_12 = float(workup.from_nut_mm[11])
            return half_nut + (board.fret_12_width / 2 - half_nut) * self.end / at_12
        if board.end_width is not None:
            return board.end_width / 2
        return float(abs(workup.strings_at(self.end)).max()) + trade.STRING_TO_EDGE_MM

    def treble(self, from_nut_mm: float) -> float:
        """x of the treble edge."""
        return self._half_nut + self._treble_slope * from_nut_mm

    def bass(self, from_nut_mm: float) -> float:
        """x of the bass edge; at the step itself the narrow one."""
        if self.steps_at is None or from_nut_mm > self.steps_at:
            return self.wide_bass(from_nut_mm)
        return self.narrow_bass(from_nut_mm)

    def wide_bass(self, from_nut_mm: float) -> float:
        """The bass edge where every string runs."""
        if self.steps_at is None:
            return -self.treble(from_nut_mm)
        at_nut, at_end = -self._half_nut - self._full_shift[0], -self.treble(self.end)
        return at_nut + (at_end - at_nut) * from_nut_mm / self.end

    def narrow_bass(self, from_nut_mm: float) -> float:
        """The bass edge before a short string begins."""
        at_end = -self.treble(self.end) + self._full_shift[1]
        return -self._half_nut + (at_end + self._half_nut) * from_nut_mm / self.end

    def corners(self, cut_end: float) -> tuple[Point, ...]:
        """The outline, from the nut's treble corner round."""
        step = []
        if self.steps_at is not None:
            step = [(self.wide_bass(self.steps_at), self.steps_at), (self.narrow_bass(self.steps_at), self.steps_at)]
        return (
            (self.treble(cut_end), cut_end),
            (self.treble(self.end), self.end),
            (self.wide_bass(self.end), self.end),
            *step,
            (self.narrow_bass(cut_end) if step else self.bass(cut_end), cut_end),
        )


def draw(workup: Workup, _room: Room, options: Options) -> Piece:
    """The board, and with ``options.to_bridge`` the strings on to the bridge line."""
    edges = Outline(workup)
    cut_end = nut_cut_mm(workup)
    foot = workup.scale_mm + float(workup.instrument.bridge.thickness) if options.to_bridge else edges.end
    widest = max(edges.treble(edges.end), -edges.wide_bass(edges.end))
    parts: list[Item | Drawing] = [
        Path((edges.corners(cut_end),), Role.CUT, "board", closed=True),
        _frets(workup, edges, widest),
        _heading(workup, cut_end, widest),
        _dots(workup),
        _strings(workup, cut_end, workup.line if options.to_bridge else None, edges.end),
        Line((0.0, cut_end), (0.0, foot), Role.CENTRE, "centreline"),
        _nut_end(workup, edges, cut_end),
        _short_nuts(workup, edges),
        _joint(workup, edges),
    ]
    if options.to_bridge:
        parts.append(_bridge(workup))
    whole = drawing(*parts)
    if workup.instrument.head.hand == "left":
        whole = whole.mirrored()
    document = f"Fretboard, {workup.instrument.head.frets} frets, {workup.instrument.head.hand}-handed"
    how = f"nut cut at {round_half_up(cut_end, 2)} mm" if cut_end else rule_in_words(workup)
    return Piece(whole, document, f"Scale {round_half_up(workup.scale_mm, 2)} mm, {how}", long=True)


def _heading(workup: Workup, cut_end: float, widest: float) -> Drawing:
    """What the numbers beside the slots are, beside the first one's space if that is large enough."""
    if workup.from_nut_mm[0] - cut_end < _HEADING_ROOM_MM:
        return Drawing()
    left = paragraph(["fret"], -widest - _BESIDE_MM, cut_end, SMALL, Anchor.END)
    whence = ["mm from", "the dashed", "nut line"] if cut_end else ["mm from", "the nut"]
    return drawing(left, paragraph(whence, widest + _BESIDE_MM, cut_end, SMALL))


def rule_in_words(workup: Workup) -> str:
    """Where the frets are."""
    head = workup.instrument.head
    if head.frets_measured is not None:
        return "frets as measured"
    if isinstance(head.fret_rule, tuple):
        return "frets by a list of cents"
    return {"equal": "twelve equal steps", "eighteen": "rule of eighteen"}[head.fret_rule]


def nut_cut_mm(workup: Workup) -> float:
    """Where the nut's end of the board is cut: square, at the mean of what the full-length strings want."""
    full = workup.instrument.stringing.full_length
    return float(-workup.setbacks.nut_setback_mm[full].mean())


def _frets(workup: Workup, edges: Outline, widest: float) -> Drawing:
    items: list[Item] = []
    slot, last_level = workup.instrument.board.slot, -np.inf
    for n, y in enumerate(workup.from_nut_mm.tolist(), 1):
        left, right = edges.bass(y), edges.treble(y)
        levels = (y,) if slot is None else (y - slot / 2, y + slot / 2)
        runs = tuple(((left, level), (right, level)) for level in levels)
        items.append(Path(runs, Role.TICK, f"fret-{n}"))
        level = max(y + SMALL / 2, last_level + SMALL * _LEAST_LINE_STEP)
        last_level = level
        name = f"joint {n}" if n == workup.instrument.board.joint_fret else str(n)
        items.append(Text((-widest - _BESIDE_MM, level), name, SMALL, Anchor.END))
        items.append(Text((widest + _BESIDE_MM, level), round_half_up(y, 2), SMALL))
    return Drawing(tuple(items))


def _dots(workup: Workup) -> Drawing:
    """Position dots between a fret and the one before; two at the octave (common practice, no source)."""
    from_nut = [0.0, *workup.from_nut_mm.tolist()]
    radius = trade.DOT_DIAMETER_MM / 2
    items: list[Item] = []
    given = workup.instrument.board.dots
    usual = [fret for fret in trade.DOTS if fret < len(from_nut)]
    for fret in dict.fromkeys(usual if given is None else given):
        y = (from_nut[fret - 1] + from_nut[fret]) / 2
        gap = from_nut[fret] - from_nut[fret - 1]
        size = min(radius, gap / 3)
        apart = workup.instrument.board.nut_width / 4 if fret % 12 == 0 else 0.0
        for side in (-1, 1) if apart else (0,):
            name = f"dot-{fret}{'-treble' if side > 0 else '-bass' if side else ''}"
            items.append(Circle((side * apart, y), size, Role.GUIDE, name))
    return Drawing(tuple(items))


def _strings(workup: Workup, cut_end: float, line: object, end: float) -> Drawing:
    """Each string from its own nut to the end of the board, or to the bridge line."""
    starts = [0.0, *workup.from_nut_mm.tolist()]
    items = []
    for n, entry in enumerate(workup.instrument.strings):
        start = starts[entry.starts_at_fret] if entry.starts_at_fret else cut_end
        foot = end if line is None else float(workup.line.at(workup.across_mm[n : n + 1])[0])
        items.append(Path(workup.string_runs(n, start, foot), Role.FINE, f"string-{n + 1}"))
    return Drawing(tuple(items))


def _nut_end(workup: Workup, edges: Outline, cut_end: float) -> Drawing:
    """The theoretical nut line and each string's own place, where the nut's end is cut for compensation."""
    if not cut_end:
        return Drawing()
    left, right = edges.bass(0.0), edges.treble(0.0)
    items: list[Item] = [Line((left, 0.0), (right, 0.0), Role.PROVISIONAL, "nut-theoretical")]
    full = np.flatnonzero(workup.instrument.stringing.full_length)
    for n in full:
        y = float(-workup.setbacks.nut_setback_mm[n])
        x = float(workup.strings_at(y)[n].mean())
        items.append(Line((x - 1.5, y), (x + 1.5, y), Role.MARK, f"nut-{n + 1}"))
    return Drawing(tuple(items))


def _short_nuts(workup: Workup, edges: Outline) -> Drawing:
    """The nut of a short string on its own line, and its peg in the side of the neck."""
    items: list[Item] = []
    for n, entry in enumerate(workup.instrument.strings):
        if not entry.starts_at_fret:
            continue
        y = float(workup.from_nut_mm[entry.starts_at_fret - 1])
        x = float(workup.strings_at(y)[n].mean())
        peg = y - entry.peg
        edge = edges.narrow_bass(peg) if edges.steps_at is not None and peg <= edges.steps_at else edges.wide_bass(peg)
        items += [
            Line((x - _NUT_HALF_MM, y), (x + _NUT_HALF_MM, y), Role.MARK, f"nut-{n + 1}"),
            Path(
                (((edge - 4.0, peg), (edge + 4.0, peg)), ((edge, peg - 4.0), (edge, peg + 4.0))),
                Role.MARK,
                f"peg-{n + 1}",
            ),
            Text((edge - 6.0, peg + SMALL / 2), f"peg {n + 1}", SMALL, Anchor.END),
        ]
    return Drawing(tuple(items))


def _joint(workup: Workup, edges: Outline) -> Drawing:
    fret = workup.instrument.board.joint_fret
    if fret is None:
        return Drawing()
    y = float(workup.from_nut_mm[fret - 1])
    return drawing(
        Line((edges.bass(y) - _JOINT_MM, y), (edges.treble(y) + _JOINT_MM, y), Role.PROVISIONAL, "body-joint"),
    )


def _bridge(workup: Workup) -> Drawing:
    """Crown line, theoretical line and the feet's outline."""
    bridge = workup.instrument.bridge
    half = bridge.spacing / 2 + 4.0
    crown = [(x, float(workup.line.at(np.array(x)))) for x in (half, -half)]
    feet = feet_outline_mm(workup.face_line, bridge.length, bridge.thickness)
    return drawing(
        Line(crown[0], crown[1], Role.MARK, "bridge-line"),
        Line((half, workup.scale_mm), (-half, workup.scale_mm), Role.PROVISIONAL, "bridge-theoretical"),
        Path((tuple((float(x), float(y)) for x, y in feet),), Role.PROVISIONAL, "bridge-window", closed=True),
    )
