"""The gauge that can be set: two wedges slide between its legs and the feet, with a scale of cents on each.

Notch and stem are the plain gauge's. Its legs are shorter: they end in shoulders that lean by the taper, outside the feet.
`jigs.workup.wedges` has every place, outwards and square to the line of the feet. A wedge is drawn as it lies in use, with
the edge that meets the feet down the page. What is written beside the parts is in wedges_words.py.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from geometry.rim import RimPlace
from geometry.wedges import Wedge
from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.cutting.parts import Corner, CutPart, closed_path, round_hole
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import HEADING_MM, Room
from jigs.faults import Place
from jigs.templates import gauge_stem, wedges_words
from jigs.templates.fork import facts
from jigs.templates.gauge_plan import (
    CROSSBAR_MM,
    FLARE_MM,
    HOLE_RADIUS_MM,
    RECESS_MM,
    VEE_DEEP_MM,
    GaugePlan,
    plan_from,
)
from jigs.templates.gauge_words import all_notes
from jigs.templates.in_use import arrow
from jigs.templates.options import Options
from jigs.templates.stock import finished, on_page
from jigs.templates.template import Piece
from jigs.templates.wedges_in_use import picture
from jigs.wording import signed
from jigs.workup.on_the_top import rim_of
from jigs.workup.wedges import SetByWedges, least_feet_mm, set_by_wedges
from jigs.workup.workup import Workup

_SIDES = (("treble", 1.0), ("bass", -1.0))
_GAP_MM = 5.0
_LEG_MM = 12.0
_TICK_MM, _FIVE_MM = 0.9, 1.6
_NUMBERED = 5
_LETTER_MM, _LEAST_LETTER_MM = 2.0, 1.3
_ROOM_FOR_LETTERS_MM = 0.4
_ARROW_MM, _APART_MM = 5.4, 0.6
_FROM_STOP_MM = 1.5
CLEAR_OF_RIM_MM = 1.0

LEGEND = ((Role.CUT, "cut here"), (Role.TICK, "score or engrave"))


@dataclass(frozen=True)
class _Settable:
    """The stem's places, and those of legs and wedges."""

    plan: GaugePlan
    wedges: SetByWedges


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """Gauge and wedges on their page, and a picture of them in use on the next. Raises `InputFaults` as `part` does.

    Where one sheet does not hold all three parts, the wedges go to the next one too.
    """
    settable = _settable(workup, options)
    body, wedges = _gauge(workup, settable, options), _both_wedges(workup, settable.wedges, options.cutter)
    said = wedges_words.said(workup, settable.plan, settable.wedges, options.cutter, LEGEND)

    def used(width: float, top: float) -> Drawing:
        seen = picture(workup, settable.wedges, settable.plan.stem_half, width)
        return seen.shifted(0.0, HEADING_MM + top)

    whole = on_page(_piece(workup, settable, body + _below(body, wedges), options), room, said)
    if not whole.long:
        return replace(whole, more=(used(room.width, 0.0),), more_scale="")
    below = used(room.beside_ruler - _GAP_MM, wedges.bounds().bottom + 2 * _GAP_MM)
    apart = replace(_piece(workup, settable, body, options), more=(wedges.shifted(0.0, HEADING_MM) + below,))
    return on_page(apart, room, said)


def datum_fret(workup: Workup, options: Options) -> int:
    """The fret that the gauge drops over. Raises `InputFaults` as `part` does."""
    return _settable(workup, options).plan.datum_fret


def part(workup: Workup, options: Options) -> Piece:
    """Gauge and wedges alone, kerf allowed for, the wedges below the gauge. Raises `InputFaults`."""
    settable = _settable(workup, options)
    body, wedges = _gauge(workup, settable, options), _both_wedges(workup, settable.wedges, options.cutter)
    return _piece(workup, settable, body + _below(body, wedges), options)


def _piece(workup: Workup, settable: _Settable, drawn: Drawing, options: Options) -> Piece:
    document = f"Gauge with wedges, fret {settable.plan.datum_fret}, {workup.instrument.head.hand}-handed"
    return Piece(drawn, document, facts(workup), notes=all_notes(workup, settable.plan, options.cutter))


def _settable(workup: Workup, options: Options) -> _Settable:
    """The gauge's places. Raises `InputFaults` where there is no room for wedges beside the feet."""
    source = workup.instrument.source
    wedges = set_by_wedges(workup)
    if wedges is None:
        feet = workup.instrument.bridge.length
        raise wedges_words.feet_too_short(feet, least_feet_mm(workup), workup.instrument.stands_on).refusal(
            Place(source, "bridge", "length")
        )
    rim = rim_of(workup.instrument)
    if rim is not None:
        over = {end: _beyond_rim(wedges, rim, wedge, side) for end, wedge, side in _each(wedges)}
        end = max(over, key=lambda name: over[name])
        if over[end] > 0:
            raise wedges_words.over_the_rim(end, wedges.flat, over[end]).refusal(Place(source, "rim", "head"))

    def plan_at(fret: int) -> GaugePlan:
        return _plan_from(workup, wedges, fret, options.cutter)

    return _Settable(gauge_stem.planned(workup, options, plan_at), wedges)


def _each(wedges: SetByWedges) -> list[tuple[str, Wedge, float]]:
    """Both ends: name, wedge and side."""
    pair = (wedges.pair.treble, wedges.pair.bass)
    return [(end, wedge, side) for (end, side), wedge in zip(_SIDES, pair, strict=True)]


def _beyond_rim(wedges: SetByWedges, rim: RimPlace, wedge: Wedge, side: float) -> float:
    """How far the outer end of a wedge, drawn out as far as its scale goes, would reach over the rim."""
    out, back = wedges.flat * wedge.scale_mm, -wedges.flat * wedge.mm_per_cent
    end = wedges.end_mm(wedge)
    corners = [wedges.place(side, end + out, v + back) for v in (0.0, wedges.shoulder_mm(wedge, end))]
    x, y = np.array(corners).T
    return CLEAR_OF_RIM_MM - float(rim.inside_mm(x, y).min())


def _plan_from(workup: Workup, wedges: SetByWedges, fret: int, cutter: Cutter) -> GaugePlan:
    """The plain gauge's stem, and below it the legs that the wedges slide along."""
    plan = plan_from(workup, fret, cutter)
    shoulders = {
        (side, w): wedges.place(side, w, wedges.shoulder_mm(wedge, w))
        for _, wedge, side in _each(wedges)
        for w in (wedges.inner_mm, wedges.outer_mm)
    }
    inner = [at for (_, w), at in shoulders.items() if w == wedges.inner_mm]
    recess = min(y for _, y in inner) - RECESS_MM
    corner = min(
        recess - VEE_DEEP_MM - max(CROSSBAR_MM, cutter.web_mm), min(y for _, y in shoulders.values()) - _LEG_MM
    )
    return replace(
        plan,
        tip=min(abs(x) for x, _ in inner),
        inner=wedges.inner_mm,
        outside=wedges.outer_mm,
        recess_mm=recess,
        corner_mm=corner,
        flare_mm=corner - FLARE_MM,
        end_mm=max(y for _, y in shoulders.values()),
    )


def _gauge(workup: Workup, settable: _Settable, options: Options) -> Drawing:
    """The gauge for the instrument's hand, in its frame. Raises `InputFaults`."""
    p, cutter = settable.plan, options.cutter
    windows = gauge_stem.notch(p, cutter), round_hole((0.0, p.hole_mm), HOLE_RADIUS_MM, "hole")
    shape = CutPart(_outline(workup, settable, cutter), windows)
    words = gauge_stem.engraving_on(workup, p, options.stem) + _leg_names(workup, settable)
    return finished(workup, shape, gauge_stem.sights(workup, p), cutter, "gauge", words)


def _outline(workup: Workup, settable: _Settable, cutter: Cutter) -> Path:
    """From the stem's treble corner round; the shoulders' ends stay sharp. A leg's outer edge is square to the line."""
    p, wedges, r = settable.plan, settable.wedges, cutter.corner_mm
    sides = []
    for _, wedge, side in _each(wedges):
        outer, inner = (wedges.place(side, w, wedges.shoulder_mm(wedge, w)) for w in (wedges.outer_mm, wedges.inner_mm))
        above = wedges.place(
            side, wedges.outer_mm, wedges.shoulder_mm(wedge, wedges.outer_mm) - _outer_edge_mm(settable, side)
        )
        stem: list[tuple[Point, float]] = [((side * p.stem_half, y), r) for y in (p.nut_edge_mm, p.flare_mm)]
        sides.append([*stem, (above, r), (outer, 0.0), (inner, 0.0), ((inner[0], p.recess_mm), r)])
    treble, bass = sides
    vees = gauge_stem.vees(workup, p, r)
    return closed_path([Corner(at, radius) for at, radius in (*treble, *vees, *reversed(bass))], "gauge-outline")


def _outer_edge_mm(settable: _Settable, side: float) -> float:
    """Length of a leg's outer edge, which both begins and ends where the crossbar does."""
    wedges = settable.wedges
    wedge = wedges.pair.treble if side > 0 else wedges.pair.bass
    _, y = wedges.place(side, wedges.outer_mm, wedges.shoulder_mm(wedge, wedges.outer_mm))
    return (y - settable.plan.corner_mm) * math.hypot(1.0, wedges.line.slope)


def _leg_names(workup: Workup, settable: _Settable) -> Drawing:
    """Which leg is which, at its outer edge where the hand has it, above shoulder and vees."""
    p, wedges = settable.plan, settable.wedges
    hand = 1.0 if workup.instrument.head.hand == "right" else -1.0
    items: list[Item] = []
    for end, wedge, side in _each(wedges):
        x, y = wedges.place(side, wedges.outer_mm, wedges.shoulder_mm(wedge, wedges.outer_mm))
        level = min(y - SMALL / 2, p.recess_mm - VEE_DEEP_MM)
        at = hand * (x - side * _FROM_STOP_MM), level
        items.append(Text(at, end, SMALL, Anchor.END if side * hand > 0 else Anchor.START))
    return Drawing(tuple(items))


def _both_wedges(workup: Workup, wedges: SetByWedges, cutter: Cutter) -> Drawing:
    """Both wedges as they lie on the page, treble above bass, from the level of the first one's face on."""
    drawn = [_wedge(workup, wedges, one, cutter) for one in _each(wedges)]
    treble, bass = (part.shifted(-part.bounds().left, -part.bounds().top) for part in drawn)
    return treble + bass.shifted(0.0, treble.bounds().bottom + _GAP_MM)


def _below(body: Drawing, wedges: Drawing) -> Drawing:
    """The wedges below the gauge, in its middle."""
    box, own = body.bounds(), wedges.bounds()
    middle = (box.left + box.right) / 2
    return wedges.shifted(middle - (own.left + own.right) / 2, box.bottom + _GAP_MM - own.top)


def _wedge(workup: Workup, wedges: SetByWedges, one: tuple[str, Wedge, float], cutter: Cutter) -> Drawing:
    """A wedge as it lies in use with its face on the line, for the instrument's hand. Raises `InputFaults`."""
    end, wedge, side = one
    tip, out, r = wedge.tip_mm, wedges.end_mm(wedge), cutter.corner_mm
    corners = (
        Corner((side * tip, 0.0)),
        Corner((side * tip, wedges.shoulder_mm(wedge, tip))),
        Corner((side * out, wedges.shoulder_mm(wedge, out)), r),
        Corner((side * out, 0.0), r),
    )
    shape = CutPart(closed_path(corners, f"wedge-{end}"))
    hand = 1.0 if workup.instrument.head.hand == "right" else -1.0
    words = _scale_words(wedges, wedge, side * hand) + _handle_words(wedges, one, side * hand)
    return finished(workup, shape, _scale(wedges, one), cutter, "wedge", words, crossed=False)


def _scale(wedges: SetByWedges, one: tuple[str, Wedge, float]) -> Drawing:
    """A tick for each cent from the edge that lies on the leg; zero is wider, and a line across says how far to go in."""
    end, wedge, side = one
    items: list[Item] = []
    for cents in range(-wedges.flat, wedges.sharp + 1):
        w = wedges.mark_mm(wedge, cents)
        level = wedges.shoulder_mm(wedge, w)
        long = _FIVE_MM if cents % _NUMBERED == 0 else _TICK_MM
        role = Role.TICK if cents else Role.MARK
        items.append(Line((side * w, level), (side * w, level + long), role, f"cents-{end}-{cents}"))
    stop = wedges.mark_mm(wedge, wedges.sharp)
    items.append(Line((side * stop, wedges.shoulder_mm(wedge, stop)), (side * stop, 0.0), Role.MARK, f"stop-{end}"))
    return Drawing(tuple(items))


def _scale_words(wedges: SetByWedges, wedge: Wedge, way: float) -> Drawing:
    """The numbers below every fifth tick, as large as the wedge has room; ``way``: +1 where outwards is to the right."""
    items: list[Item] = []
    stop = wedges.mark_mm(wedge, wedges.sharp)
    for cents in range(-wedges.flat, wedges.sharp + 1):
        w = wedges.mark_mm(wedge, cents)
        top = wedges.shoulder_mm(wedge, w) + _FIVE_MM + _ROOM_FOR_LETTERS_MM
        height = min(_LETTER_MM, -_ROOM_FOR_LETTERS_MM - top)
        if cents % _NUMBERED == 0 and height >= _LEAST_LETTER_MM:
            number = signed(cents, 0)
            farthest = stop - engraving.width_mm(number, height) / 2 - _ROOM_FOR_LETTERS_MM
            items.append(Text((way * min(w, farthest), top + height), number, height, Anchor.MIDDLE))
    return Drawing(tuple(items))


def _handle_words(wedges: SetByWedges, one: tuple[str, Wedge, float], way: float) -> Drawing:
    """On the handle: which way the scale reads, which wedge it is, and which way to slide it."""
    end, wedge, _ = one
    first = wedges.mark_mm(wedge, wedges.sharp) + _FROM_STOP_MM
    last = wedges.end_mm(wedge) - _FROM_STOP_MM
    top = wedges.shoulder_mm(wedge, first)
    height = min(_LETTER_MM, (-top - 4 * _ROOM_FOR_LETTERS_MM) / 2)
    gap = (-top - 2 * height) / 3
    levels = top + gap + height, -gap
    middle = way * (first + last) / 2
    said = wedges_words.on_handle(end)
    return _ways((middle, levels[0]), height, way) + drawing(Text((middle, levels[1]), said, height, Anchor.MIDDLE))


def _ways(at: Point, height: float, way: float) -> Drawing:
    """ "flat ← → sharp" along the scale, sharp outwards; turned round where outwards is to the left."""
    x, y = at
    left, right = ("flat", "sharp") if way > 0 else ("sharp", "flat")
    apart, mid = _ARROW_MM + 2 * _APART_MM, y - height / 2
    shift = (engraving.width_mm(left, height) - engraving.width_mm(right, height)) / 2
    middle = x + shift
    return drawing(
        Text((middle - apart, y), left, height, Anchor.END),
        *(arrow((middle + n * _APART_MM, mid), (middle + n * _ARROW_MM, mid), Role.ENGRAVED) for n in (-1, 1)),
        Text((middle + apart, y), right, height),
    )
