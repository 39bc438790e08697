"""The fretboard at full size, from nut to end, or on to the bridge: slots, numbers, dots, strings.

Drawn in the frame of the instrument, y from the nut, and mirrored for a left-handed one. It is longer than most sheets;
tiling.py cuts it.
"""

from dataclasses import replace

import numpy as np

from geometry.bridge import feet_outline_mm
from geometry.compensation import Objective
from geometry.frets import CENTS_PER_OCTAVE, OCTAVE_WITHIN_CENTS
from geometry.lengths import round_half_up
from jigs.cutting.parts import CutPart
from jigs.cutting.registration import crosses
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing, paragraph
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import Room
from jigs.instrument import usual
from jigs.templates.fretboard_words import BODY, DASHED, fretboard_words
from jigs.templates.options import Options
from jigs.templates.template import Piece
from jigs.workup.board_edges import BoardEdges
from jigs.workup.words import is_stepped, rule_in_words
from jigs.workup.workup import Workup

_BESIDE_MM = 2.0
_NUT_HALF_MM, _SHORT_NUT_HALF_MM = 1.5, 3.0
_PEG_MM = 3.0
_HEADING_ROOM_MM = 15.0
_LEAST_LINE_STEP_MM = 3.6
_LEAST_OCTAVE = 0.5
_NUMBER_MM, _DISTANCE_MM = 7.0, 15.0


def draw(workup: Workup, _room: Room, options: Options) -> Piece:
    """The board as for a cutter, with its words: it is laid on as many sheets as it takes."""
    cut_end = _cut_end(workup)
    said = fretboard_words(workup, cut_end, options.to_bridge)
    return replace(part(workup, options), said=said, counts_from=DASHED if cut_end else "")


def part(workup: Workup, options: Options) -> Piece:
    """The board, and with ``options.to_bridge`` the strings on to the bridge line."""
    edges = BoardEdges(workup)
    cut_end = _cut_end(workup)
    foot = workup.line.centre_mm if options.to_bridge else edges.end
    widest = edges.widest
    outline = Path((edges.corners(cut_end),), Role.CUT, "board", closed=True)
    on_it = drawing(
        _frets(workup, edges, widest),
        _dots(workup),
        _nut_end(workup, edges, cut_end),
        _short_nuts(workup, edges, cut_end),
    )
    parts: list[Item | Drawing] = [
        outline,
        on_it,
        _heading(workup, cut_end, widest),
        _body(workup, widest),
        _strings(workup, cut_end, None if options.to_bridge else edges.end),
        Line((0.0, cut_end), (0.0, foot), Role.CENTRE, "centreline"),
        crosses(CutPart(outline), on_it),
    ]
    if options.to_bridge:
        parts.append(_bridge(workup))
    whole = drawing(*parts)
    if workup.instrument.head.hand == "left":
        whole = whole.mirrored()
    document = f"Fretboard, {workup.instrument.head.frets} frets, {workup.instrument.head.hand}-handed"
    zero = ", zero fret" if workup.instrument.nut.zero_fret else ""
    return Piece(
        whole, document, f"Scale {round_half_up(workup.scale_mm, 2)} mm, {rule_in_words(workup)}{zero}", long=True
    )


def _cut_end(workup: Workup) -> float:
    """Where the board's end at the nut is, from the nut; other than 0 where it is to be cut for the line."""
    return workup.square_nut[0] + 0.0 if _nut_is_cut(workup) else 0.0


def _nut_is_cut(workup: Workup) -> bool:
    """Whether the end at the nut is to be cut for the line; otherwise a nut is as the file has it."""
    return workup.instrument.compensation.tune_to is Objective.NUT_AND_SADDLE


def _heading(workup: Workup, cut_end: float, widest: float) -> Drawing:
    """What the numbers beside the slots are, above the first slot if there is room."""
    if workup.from_nut_mm[0] - cut_end < _HEADING_ROOM_MM:
        return Drawing()
    whole_nut = ["the zero", "fret"] if workup.instrument.nut.zero_fret else ["the nut"]
    measured_from = ["mm from", *(DASHED.split() if cut_end else whole_nut)]
    return drawing(
        paragraph(["fret"], -widest - _BESIDE_MM, cut_end, SMALL, Anchor.END),
        paragraph(measured_from, widest + _BESIDE_MM, cut_end, SMALL),
    )


def _frets(workup: Workup, edges: BoardEdges, widest: float) -> Drawing:
    """Slots, numbered on one side and measured on the other; in crowded places every other number lies farther out."""
    items: list[Item] = []
    slot, from_nut = workup.instrument.board.slot, workup.from_nut_mm
    crowded = np.diff(from_nut, prepend=0.0) < _LEAST_LINE_STEP_MM
    for n, y in enumerate(from_nut.tolist(), 1):
        levels = (y,) if slot is None else (y - slot / 2, y + slot / 2)
        runs = tuple(((edges.bass(level), level), (edges.treble(level), level)) for level in levels)
        items.append(Path(runs, Role.TICK, f"fret-{n}"))
        out = 1.0 if crowded[n - 1] and n % 2 else 0.0
        left, right = -widest - _BESIDE_MM - out * _NUMBER_MM, widest + _BESIDE_MM + out * _DISTANCE_MM
        items.append(Text((left, y + SMALL / 2), str(n), SMALL, Anchor.END))
        items.append(Text((right, y + SMALL / 2), round_half_up(y, 2), SMALL))
    return Drawing(tuple(items))


def _dots(workup: Workup) -> Drawing:
    """Position dots between a fret and the one before; two at the octave (common practice, no source)."""
    from_nut = [0.0, *workup.from_nut_mm.tolist()]
    radius = usual.DOT_DIAMETER_MM / 2
    items: list[Item] = []
    octaves = _octaves(workup)
    for fret in workup.instrument.dots:
        y = (from_nut[fret - 1] + from_nut[fret]) / 2
        gap = from_nut[fret] - from_nut[fret - 1]
        size = min(radius, gap / 3)
        apart = workup.instrument.board.nut_width / 4 if fret in octaves else 0.0
        for side in (-1, 1) if apart else (0,):
            name = f"dot-{fret}{'-treble' if side > 0 else '-bass' if side else ''}"
            items.append(Circle((side * apart, y), size, Role.DRILL, name))
    return Drawing(tuple(items))


def _octaves(workup: Workup) -> frozenset[int]:
    """The frets that are meant to sound an octave of the open string, or two or three."""
    octaves = np.log2(workup.instrument.head.wanted)
    near = abs(octaves - np.round(octaves)) * CENTS_PER_OCTAVE <= OCTAVE_WITHIN_CENTS
    return frozenset((np.flatnonzero(near & (octaves > _LEAST_OCTAVE)) + 1).tolist())


def _own_nut_mm(workup: Workup, index: int) -> float:
    """Where a string leaves its nut: at the end of the board, or at the fret of a short one, moved by its setback."""
    fret = workup.instrument.strings[index].starts_at_fret
    at = workup.from_nut_mm[fret - 1] if fret else 0.0
    return float(at - workup.setbacks.nut_setback_mm[index])


def _strings(workup: Workup, cut_end: float, end: float | None) -> Drawing:
    """Each string from its own nut to the end of the board, or to the bridge line where ``end`` is None."""
    items = []
    for n, entry in enumerate(workup.instrument.strings):
        start = cut_end if _nut_is_cut(workup) and not entry.starts_at_fret else _own_nut_mm(workup, n)
        foot = float(workup.line.at(workup.across_mm[n : n + 1])[0]) if end is None else end
        items.append(Path(workup.string_runs(n, start, foot), Role.FINE, f"string-{n + 1}"))
    return Drawing(tuple(items))


def _nut_end(workup: Workup, edges: BoardEdges, cut_end: float) -> Drawing:
    """Where each string leaves a nut that is compensated, or is cut so; then also the theoretical nut line."""
    items: list[Item] = []
    if cut_end:
        ends = (edges.bass(0.0), 0.0), (edges.treble(0.0), 0.0)
        items.append(Line(*ends, Role.PROVISIONAL, "nut-theoretical"))
    elif not is_stepped(workup.instrument.nut):
        return Drawing()
    for n in np.flatnonzero(workup.instrument.stringing.full_length).tolist():
        y = _own_nut_mm(workup, n)
        x = float(workup.strings_at(y)[n].mean())
        items.append(_nut_mark(edges, n, (x, y), _NUT_HALF_MM, cut_end))
    return Drawing(tuple(items))


def _nut_mark(edges: BoardEdges, index: int, at: Point, half: float, cut_end: float) -> Line:
    """A mark on the board, no farther than its edges; a guide where the string leaves its nut beyond the board."""
    (x, y), on_board = at, cut_end <= at[1] <= edges.end
    left = max(x - half, edges.bass(y)) if on_board else x - half
    right = min(x + half, edges.treble(y)) if on_board else x + half
    role = Role.MARK if on_board else Role.GUIDE
    return Line((left, y), (right, y), role, f"nut-{index + 1}")


def _short_nuts(workup: Workup, edges: BoardEdges, cut_end: float) -> Drawing:
    """The nut of a short string on its own line, and the place of its peg at the edge of the neck."""
    items: list[Item] = []
    alone = sum(bool(entry.starts_at_fret) for entry in workup.instrument.strings) == 1
    for n, entry in enumerate(workup.instrument.strings):
        if not entry.starts_at_fret:
            continue
        y = _own_nut_mm(workup, n)
        x, peg = float(workup.strings_at(y)[n].mean()), y - entry.peg
        edge = edges.bass(peg)
        items += [
            _nut_mark(edges, n, (x, y), _SHORT_NUT_HALF_MM, cut_end),
            Line((edge, peg), (edge + _PEG_MM, peg), Role.MARK, f"peg-{n + 1}"),
            Text((edge - 1.5, _clear_level(workup, peg)), "peg" if alone else f"peg {n + 1}", SMALL, Anchor.END),
        ]
    return Drawing(tuple(items))


def _clear_level(workup: Workup, level: float) -> float:
    """The base line nearest to a level at which a word is clear of the frets' numbers."""
    taken = workup.from_nut_mm + SMALL / 2
    tries = (level + SMALL / 2 + sign * step for step in np.arange(0.0, 60.0, 0.5) for sign in (1, -1))
    return float(
        next((base for base in tries if abs(taken - base).min() >= _LEAST_LINE_STEP_MM and base > SMALL), level)
    )


def _body(workup: Workup, widest: float) -> Drawing:
    """Where the body begins: a word below its fret's number, or farther out where that has no room."""
    fret, from_nut = workup.instrument.board.joint_fret, [*workup.from_nut_mm.tolist(), np.inf]
    if fret is None:
        return Drawing()
    y, room = from_nut[fret - 1] + SMALL / 2, from_nut[fret] - from_nut[fret - 1]
    x = -widest - _BESIDE_MM
    at = (x, y + _LEAST_LINE_STEP_MM) if room >= 2 * _LEAST_LINE_STEP_MM else (x - 2 * _NUMBER_MM, y)
    return drawing(Text(at, BODY, SMALL, Anchor.END))


def _bridge(workup: Workup) -> Drawing:
    """Crown line, theoretical line and the feet's outline: all guides, because they lie beyond the board."""
    bridge = workup.instrument.bridge
    half = bridge.spacing / 2 + 4.0
    crown = [(x, float(workup.line.at(np.array(x)))) for x in (half, -half)]
    feet = feet_outline_mm(workup.face_line, bridge.length, bridge.thickness)
    treble, bass = (round_half_up(place, 1) for place in workup.outer_places_mm)
    words = f"crown line at {treble} / {bass} mm, treble / bass"
    return drawing(
        Text((0.0, float(feet[:, 1].max()) + 2.0 + SMALL), words, SMALL, Anchor.MIDDLE),
        Line(crown[0], crown[1], Role.GUIDE, "bridge-line"),
        Line((half, workup.scale_mm), (-half, workup.scale_mm), Role.PROVISIONAL, "bridge-theoretical"),
        Path((tuple((float(x), float(y)) for x, y in feet),), Role.PROVISIONAL, "bridge-window", closed=True),
    )
