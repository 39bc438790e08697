"""The gauge: the placement fork as a part to cut in one piece from card, polyester film or thin ply.

A notch in its stem drops over the datum fret, its working edge on the bridge side of the wire. Two legs end in shoulders
that stop the nut-side face of the bridge's feet on its line. It is planned in the frame of a right-handed instrument (y from
the nut, x to the treble side) and mirrored for a left-handed one. Its stem is in gauge_stem.py, the steps beside it in
gauge_words.py. The one that can be set by wedges is in wedges.py.
"""

from jigs.cutting.cutter import Cutter
from jigs.cutting.parts import Corner, CutPart, closed_path, round_hole
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import Room
from jigs.templates import gauge_stem, wedges
from jigs.templates.fork import facts
from jigs.templates.fork_plan import NUMBER_PITCH_MM
from jigs.templates.gauge_plan import (
    FARTHEST_CENTS,
    FROM_EDGE_MM,
    HOLE_RADIUS_MM,
    LINE_MM,
    NUMBER_GAP_MM,
    NUMBERED_CENTS,
    TICK_MM,
    GaugePlan,
    level_mm,
    plan_from,
)
from jigs.templates.gauge_words import all_notes, said
from jigs.templates.options import Options
from jigs.templates.stock import finished, on_page
from jigs.templates.template import Piece
from jigs.wording import signed
from jigs.workup.workup import Workup

LEGEND = ((Role.CUT, "cut here"), (Role.TICK, "score or engrave"))


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The gauge on its page, with steps and cautions, and with wedges if it is to have them. Raises as `part` does."""
    if options.wedges:
        return wedges.draw(workup, room, options)
    plan, piece = _gauge(workup, options)
    return on_page(piece, room, said(workup, plan, options.cutter, LEGEND))


def part(workup: Workup, options: Options) -> Piece:
    """The gauge alone, in the instrument's frame, kerf allowed for. Raises `InputFaults`."""
    return wedges.part(workup, options) if options.wedges else _gauge(workup, options)[1]


def datum_fret(workup: Workup, options: Options) -> int:
    """The fret that the gauge drops over. Raises `InputFaults`."""
    return wedges.datum_fret(workup, options) if options.wedges else _planned(workup, options).datum_fret


def _planned(workup: Workup, options: Options) -> GaugePlan:
    return gauge_stem.planned(workup, options, lambda fret: plan_from(workup, fret, options.cutter))


def _gauge(workup: Workup, options: Options) -> tuple[GaugePlan, Piece]:
    cutter, plan = options.cutter, _planned(workup, options)
    marks = drawing(_legs(workup, plan), gauge_stem.sights(workup, plan))
    windows = gauge_stem.notch(plan, cutter), round_hole((0.0, plan.hole_mm), HOLE_RADIUS_MM, "hole")
    shape, words = CutPart(_outline(workup, plan, cutter), windows), gauge_stem.engraving_on(workup, plan, options.stem)
    bare = finished(workup, shape, marks, cutter, "gauge", words)
    document = f"Placement gauge, fret {plan.datum_fret}, {workup.instrument.head.hand}-handed"
    return plan, Piece(bare, document, facts(workup), notes=all_notes(workup, plan, options.cutter))


def _outline(workup: Workup, p: GaugePlan, cutter: Cutter) -> Path:
    """From the stem's treble corner round; shoulders and their ends stay sharp."""
    r = cutter.corner_mm
    treble: list[tuple[Point, float]] = [
        ((p.stem_half, p.nut_edge_mm), r),
        ((p.stem_half, p.flare_mm), r),
        ((p.outside, p.corner_mm), r),
        ((p.outside, p.end_mm), r),
        ((p.inner, p.end_mm), r),
        ((p.inner, p.face_at(p.inner)), 0.0),
        ((p.tip, p.face_at(p.tip)), 0.0),
        ((p.tip, p.recess_mm), r),
    ]
    bass = [((-x, y), r) for (x, y), r in treble[:5]]
    bass += [((-x, p.face_at(-x)), 0.0) for x in (p.inner, p.tip)]
    bass.append(((-p.tip, p.recess_mm), r))
    corners = (*treble, *gauge_stem.vees(workup, p, r), *reversed(bass))
    return closed_path([Corner(at, radius) for at, radius in corners], "gauge-outline")


def _legs(workup: Workup, p: GaugePlan) -> Drawing:
    """The shoulders' line carried on over both legs, the ticks with their numbers, and which leg is which."""
    first, last = p.inner + FROM_EDGE_MM, p.inner + FROM_EDGE_MM + LINE_MM
    zero = tuple(tuple((sign * x, p.face_at(sign * x)) for x in (first, last)) for sign in (1, -1))
    items: list[Item] = [Path(zero, Role.MARK, "bridge-line")]
    for end, (name, sign) in enumerate((("treble", 1.0), ("bass", -1.0))):
        for cents in (c for c in range(-FARTHEST_CENTS, FARTHEST_CENTS + 1, p.cents_step) if c):
            far = last if abs(cents) == NUMBERED_CENTS else first + TICK_MM
            start, stop = ((sign * x, level_mm(workup, p, end, cents, x)) for x in (first, far))
            items.append(Line(start, stop, Role.TICK, f"cents-{name}-{cents}"))
        beside = sign * (last + NUMBER_GAP_MM)
        anchor = Anchor.START if sign > 0 else Anchor.END
        middle = level_mm(workup, p, end, 0, last)
        for way in (-1, 0, 1):
            off = level_mm(workup, p, end, NUMBERED_CENTS, last) - middle
            level = middle + way * max(off, NUMBER_PITCH_MM) + SMALL / 2
            items.append(Text((beside, level), signed(way * NUMBERED_CENTS, 0) if way else "0", SMALL, anchor))
        top = min(level_mm(workup, p, end, -FARTHEST_CENTS, x) for x in (first, last)) - SMALL / 2 - FROM_EDGE_MM
        items.append(Text((sign * (p.inner + p.outside) / 2, top - FROM_EDGE_MM), name, SMALL, Anchor.MIDDLE))
    return Drawing(tuple(items))
