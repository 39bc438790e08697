"""The parts of a pattern for a new bridge: from above and from the nut, each with its slots, steps and words.

They are planned for a right-handed instrument, x towards the treble side. From above y is towards the tail, from the crown
line. From the nut, treble is at the left; y is down from the underside of a string in the middle. Words stay readable
because they are placed by hand and never mirrored.
"""

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from jigs.cutting import engraving
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL
from jigs.templates.crown_plan import END_MM, break_points_mm, middle_mm, stepped_line
from jigs.workup.new_bridge import is_two_piece, radius_mm, single_strings, top_edge_mm
from jigs.workup.workup import Workup

TAB_MM = 15.0
"""How far a saddle's pattern reaches beyond the crown that is drawn, for words."""

BELOW_SLOTS_MM = 8.0
SLOT_MARK_MM = 3.0
_EDGE_STEP_MM = 1.0
_FOOT_MM, _FOOT_SHARE = 2.5, 0.25
_ARCH_SHARE = 0.4
_ASIDE_MM, _BETWEEN_MM = 0.7, 1.4

BASE, PLAN, SADDLE, PROFILE = "base", "plan", "saddle", "profile"


@dataclass(frozen=True)
class BlankPart:
    """A pattern to cut out: its name, its shape, the marks on it, and its words, which are never mirrored."""

    name: str
    shape: CutPart
    marks: Drawing
    words: Drawing


def blank_parts(workup: Workup) -> tuple[BlankPart, ...]:
    """The patterns of one bridge, in the order of the work."""
    if is_two_piece(workup):
        return _base(workup), _saddle(workup), _profile(workup)
    return _plan(workup), _profile(workup)


def crown_half_mm(workup: Workup) -> float:
    """Half the length of the crown: a little beyond the outer strings, but no longer than the feet or base."""
    reach = float(abs(workup.bridge_places_mm).max()) + END_MM
    return min(reach, workup.instrument.bridge.length / 2) if not is_two_piece(workup) else reach


def has_feet(workup: Workup) -> bool:
    """Whether the profile goes down to the feet: the file has the bridge's height, and the bridge is of one piece."""
    return workup.instrument.bridge.height is not None and not is_two_piece(workup)


def foot_of_profile_mm(workup: Workup) -> float:
    """How far the lower edge of the profile lies below the underside of a string in the middle: the height, or whole mm."""
    height = workup.instrument.bridge.height
    if height is not None and has_feet(workup):
        return height
    return math.ceil(BELOW_SLOTS_MM - float(top_edge_mm(workup, edge_places_mm(workup)).min()))


def edge_places_mm(workup: Workup) -> FloatArray:
    """x of the points of the top edge: ends, strings, and each millimetre between them on a round board."""
    half = crown_half_mm(workup)
    places = [-half, half, *(one.x_mm for one in single_strings(workup) if abs(one.x_mm) < half)]
    if math.isfinite(radius_mm(workup)):
        places += np.linspace(-half, half, math.ceil(2 * half / _EDGE_STEP_MM) + 1).tolist()
    return np.array(sorted({round(x, 6) for x in places}))


# ---- from above


def _base(workup: Workup) -> BlankPart:
    """A base from above, with the line that the saddle's crown line stands over."""
    bridge = workup.instrument.bridge
    half, top, foot = bridge.length / 2, -bridge.face_mm, bridge.thickness - bridge.face_mm
    free = crown_half_mm(workup)
    reach = min(free, half)
    marks = drawing(
        Line((-reach, 0.0), (reach, 0.0), Role.MARK, "blank-crown-line"),
        Line((0.0, top), (0.0, foot), Role.TICK, "blank-middle"),
        _feet(workup),
    )
    return BlankPart(
        BASE, _rectangle(BASE, half, top, foot), marks, _sides(workup, _beyond_feet(workup, free), half, top, foot)
    )


def _saddle(workup: Workup) -> BlankPart:
    """A saddle from above, with tabs for its words at both ends of the crown."""
    nut_side, tail_side = crown_sides_mm(workup)
    free = crown_half_mm(workup)
    half = free + TAB_MM
    words = _sides(workup, free, half, nut_side, tail_side)
    ends = (Line((x, nut_side), (x, tail_side), Role.TICK) for x in (-free, free))
    marks = drawing(_bearing(workup, nut_side, tail_side), ends)
    return BlankPart(SADDLE, _rectangle(SADDLE, half, nut_side, tail_side), marks, words)


def _plan(workup: Workup) -> BlankPart:
    """A bridge of one piece from above: all that feet and crown need, the crown's outline in it."""
    bridge, free = workup.instrument.bridge, crown_half_mm(workup)
    nut_side, tail_side = crown_sides_mm(workup)
    top, foot = min(-bridge.face_mm, nut_side), max(bridge.thickness - bridge.face_mm, tail_side)
    half = bridge.length / 2
    runs = (((-free, nut_side), (free, nut_side)), ((-free, tail_side), (free, tail_side)))
    ends = (((x, nut_side), (x, tail_side)) for x in (-free, free) if abs(x) < half)
    inside = tuple(run for run in (*runs, *ends) if not all(y in (top, foot) for _, y in run) or run[0][1] != run[1][1])
    crown = (Path(inside, Role.TICK, "blank-crown"),) if inside else ()
    marks = drawing(_bearing(workup, top, foot), crown, _feet(workup))
    return BlankPart(
        PLAN, _rectangle(PLAN, half, top, foot), marks, _sides(workup, _beyond_feet(workup, free), half, top, foot)
    )


def crown_sides_mm(workup: Workup) -> tuple[float, float]:
    """The crown's nut side and tail side, from the crown line towards the tail."""
    middle, half = middle_mm(workup), workup.instrument.bridge.crown / 2
    return middle - half, middle + half


def thickness_mm(workup: Workup) -> float:
    """The wood that a bridge of one piece takes along the strings."""
    box = _plan(workup).shape.outline.runs[0]
    return max(y for _, y in box) - min(y for _, y in box)


def _rectangle(name: str, half: float, top: float, foot: float) -> CutPart:
    corners = ((-half, top), (half, top), (half, foot), (-half, foot))
    return CutPart(closed_path([Corner(at) for at in corners], f"blank-{name}"))


def _bearing(workup: Workup, top: float, foot: float) -> Drawing:
    """Where the strings bear, stepped half way between them, and the slots in the direction of the strings."""
    nut_side, tail_side = (min(max(side, top), foot) for side in crown_sides_mm(workup))
    half = crown_half_mm(workup)
    offsets = break_points_mm(workup).clip(top, foot).tolist()
    run = stepped_line(offsets, np.sort(workup.bridge_places_mm, axis=1), -half, half)
    items: list[Item] = [Path((run,), Role.MARK, "blank-break-line")]
    for one in single_strings(workup):
        bears = offsets[one.entry]
        start, end = ((one.x_mm + one.lean * (y - bears), y) for y in (min(nut_side, bears), max(tail_side, bears)))
        items.append(Line(start, end, Role.TICK, f"blank-slot-{one.name}"))
    return Drawing(tuple(items))


def _beyond_feet(workup: Workup, free: float) -> float:
    """Where words may begin: beyond the crown, and beyond the lines of the feet if the outer foot is."""
    half = workup.instrument.bridge.length / 2
    return max(free, *(x for ends in feet_mm(workup) for x in ends if x < half), -half)


def _feet(workup: Workup) -> Drawing:
    """The feet's outlines, as what is below; nothing where one base is all of it."""
    bridge = workup.instrument.bridge
    if bridge.feet == 1 or bridge.foot is None:
        return Drawing()
    top, foot = -bridge.face_mm, bridge.thickness - bridge.face_mm
    inner = [x for left, right in feet_mm(workup) for x in (left, right)][1:-1]
    runs = tuple(((x, top), (x, foot)) for x in inner)
    return drawing(Path(runs, Role.PROVISIONAL, "blank-feet"))


def feet_mm(workup: Workup) -> list[tuple[float, float]]:
    """Both ends of every foot, from the bass side: equal feet, equal gaps, their ends flush with the bridge's."""
    bridge = workup.instrument.bridge
    wide = bridge.length if bridge.feet == 1 or bridge.foot is None else bridge.foot
    step = (bridge.length - wide) / max(bridge.feet - 1, 1)
    return [(-bridge.length / 2 + n * step, -bridge.length / 2 + n * step + wide) for n in range(bridge.feet)]


# ---- from the nut


def _profile(workup: Workup) -> BlankPart:
    """The bridge from the nut: top edge and slots, down to the feet or to a straight edge; treble at the left."""
    places, low = edge_places_mm(workup), foot_of_profile_mm(workup)
    edge = list(zip((-places).tolist(), (-top_edge_mm(workup, places)).tolist(), strict=True))
    corners = [Corner((float(x), float(y))) for x, y in reversed(edge)]
    below = (
        _down_to_feet(workup, low)
        if has_feet(workup)
        else [(crown_half_mm(workup), low), (-crown_half_mm(workup), low)]
    )
    corners += [one if isinstance(one, Corner) else Corner(one) for one in below]
    items: list[Item] = []
    levels = []
    for one in single_strings(workup):
        x, level = -one.x_mm, -float(top_edge_mm(workup, np.array(one.x_mm)))
        levels.append(level + SLOT_MARK_MM)
        items.append(Line((x, level), (x, level + SLOT_MARK_MM), Role.TICK, f"blank-from-nut-{one.name}"))
    shape = CutPart(closed_path(corners, f"blank-{PROFILE}"))
    half, first = crown_half_mm(workup), max(levels)
    words = _row(workup, half, first + _ASIDE_MM, min(low, first + _ASIDE_MM + SMALL * 1.4))
    return BlankPart(PROFILE, shape, Drawing(tuple(items)), words)


def _down_to_feet(workup: Workup, low: float) -> list[Corner | Point]:
    """From the bass end of the top edge down its side, along the feet and up to the treble end. The arches are a taste."""
    half = workup.instrument.bridge.length / 2
    high = low - min(_FOOT_MM, _FOOT_SHARE * low)
    arch = low * (1 - _ARCH_SHARE)
    below: list[Corner | Point] = [(half, high), (half, low)]
    feet = [(-right, -left) for left, right in feet_mm(workup)]
    for (_, right), (left, _) in zip(feet[1:], feet, strict=False):
        radius = min((left - right) / 2, low - arch)
        below += [(left, low), Corner((left, arch), radius), Corner((right, arch), radius), (right, low)]
    return [*below, (-half, low), (-half, high)]


# ---- words


def _sides(workup: Workup, free: float, half: float, top: float, foot: float) -> Drawing:
    """Bass and treble beyond the strings, and nut and tail beside them: those that have room in letters that can be read."""
    treble = 1.0 if workup.instrument.head.hand == "right" else -1.0
    ends = (Anchor.START, Anchor.END) if treble > 0 else (Anchor.END, Anchor.START)
    room, end, near = half - free - 2 * _ASIDE_MM, treble * (half - _ASIDE_MM), treble * (free + _ASIDE_MM)
    bass, tail, whole = (engraving.width_mm(word, SMALL) for word in ("bass", "tail", "treble"))
    if whole > room or foot - top < SMALL + 2 * _ASIDE_MM:
        return Drawing()
    beside = (top + foot + SMALL) / 2
    sides = drawing(
        Text((-end, beside), "bass", SMALL, ends[0]),
        Text((end, beside), "treble", SMALL, ends[1]),
    )
    if bass + _BETWEEN_MM + tail > room or foot - top < 2 * SMALL + 3 * _ASIDE_MM:
        return sides
    return sides + drawing(
        Text((-near, top + _ASIDE_MM + SMALL), "nut", SMALL, ends[1]),
        Text((-near, foot - _ASIDE_MM), "tail", SMALL, ends[1]),
    )


def _row(workup: Workup, half: float, top: float, foot: float) -> Drawing:
    """Treble, the side that is seen, and bass, in a row of the profile, or less where it is short."""
    left, right = ("treble", "bass") if workup.instrument.head.hand == "right" else ("bass", "treble")
    base, room = top + SMALL, 2 * (half - _ASIDE_MM)
    sides = (
        Text((-half + _ASIDE_MM, base), left, SMALL),
        Text((half - _ASIDE_MM, base), right, SMALL, Anchor.END),
    )
    between = Text((0.0, base), "nut side", SMALL, Anchor.MIDDLE)
    widest = max(engraving.width_mm(side.text, SMALL) for side in sides)
    if foot - top < SMALL or 2 * widest + _BETWEEN_MM > room:
        return Drawing()
    fits = 2 * (widest + _BETWEEN_MM) + engraving.width_mm(between.text, SMALL) <= room
    return drawing(sides, (between,) if fits else ())
