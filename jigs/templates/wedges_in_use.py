"""A small picture of gauge and wedges in use, seen from above, the nut up the page. It is not to scale."""

from geometry.wedges import Wedge
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, SMALL
from jigs.templates.in_use import arrow
from jigs.workup.wedges import SetByWedges
from jigs.workup.workup import Workup

_LARGEST_SHARE = 0.5
_STEM_UP_MM, _LEG_MM, _FLARE_MM, _RECESS_MM = 34.0, 14.0, 8.0, 3.0
_ARROW_MM = 9.0
_GAP_MM = 1.5


def picture(workup: Workup, wedges: SetByWedges, stem_half: float, width: float) -> Drawing:
    """Gauge, both wedges at zero and the feet, no wider than ``width``, from the origin on; with its words."""
    pair, instrument = wedges.pair, workup.instrument
    thickness, on = instrument.bridge.thickness, instrument.stands_on
    widest = max(wedges.end_mm(one) for one in (pair.treble, pair.bass))
    share = min(_LARGEST_SHARE, width / (2 * widest))
    sides = ((1.0, pair.treble, "treble"), (-1.0, pair.bass, "bass"))
    turned = 1.0 if instrument.head.hand == "right" else -1.0

    def laid(w: float, v: float) -> Point:
        return w * share * turned, v * share

    treble, bass = (_half_of_gauge(wedges, wedge, stem_half, side) for side, wedge, _ in sides)
    gauge = Path((tuple(laid(*at) for at in (*treble, *reversed(bass))),), Role.GUIDE)
    feet = ((pair.half_mm, 0.0), (pair.half_mm, thickness), (-pair.half_mm, thickness), (-pair.half_mm, 0.0))
    items: list[Item] = [gauge, Path((tuple(laid(*at) for at in feet),), Role.PROVISIONAL, closed=True)]
    for side, wedge, end in sides:
        tip, out = wedge.tip_mm, wedges.end_mm(wedge)
        corners = ((tip, 0.0), (tip, wedges.shoulder_mm(wedge, tip)), (out, wedges.shoulder_mm(wedge, out)), (out, 0.0))
        items.append(Path((tuple(laid(side * w, v) for w, v in corners),), Role.GUIDE, closed=True))
        items += _beside(wedges, wedge, end, side * turned, share)
    level = max(thickness * share, 2 * SMALL * LINE_STEP) + SMALL * LINE_STEP
    items += [
        Text((0.0, level), f"{on}, nut side against both wedges", SMALL, Anchor.MIDDLE),
        Text((0.0, -_STEM_UP_MM * share), "gauge", SMALL, Anchor.MIDDLE),
    ]
    drawn = Drawing(tuple(items))
    box = drawn.bounds()
    title = Text((0.0, SMALL), "In use, from above, not to scale", SMALL)
    return drawing(title, drawn.shifted(-box.left, SMALL + 2 * _GAP_MM - box.top))


def _half_of_gauge(wedges: SetByWedges, wedge: Wedge, stem_half: float, side: float) -> list[Point]:
    """The gauge's edge from the stem down to the middle of the crossbar."""
    outer, inner = (wedges.shoulder_mm(wedge, w) for w in (wedges.outer_mm, wedges.inner_mm))
    stem = min(stem_half, wedges.outer_mm)
    points = (
        (stem, outer - _LEG_MM - _FLARE_MM - _STEM_UP_MM),
        (stem, outer - _LEG_MM - _FLARE_MM),
        (wedges.outer_mm, outer - _LEG_MM),
        (wedges.outer_mm, outer),
        (wedges.inner_mm, inner),
        (wedges.inner_mm, inner - _RECESS_MM),
    )
    return [(side * w, v) for w, v in points]


def _beside(wedges: SetByWedges, wedge: Wedge, end: str, way: float, share: float) -> list[Item]:
    """Words and arrows at one end: where to read, and which way is in."""
    anchor = Anchor.START if way > 0 else Anchor.END
    outer, level = wedges.outer_mm * share, wedges.shoulder_mm(wedge, wedges.outer_mm) * share
    at = way * (outer + 2 * _GAP_MM), level - 6 * _GAP_MM
    out = wedges.end_mm(wedge) * share
    below = SMALL * LINE_STEP
    return [
        Text(at, "read here", SMALL, anchor),
        arrow((at[0], at[1] + _GAP_MM / 2), (way * outer, level - _GAP_MM / 4)),
        arrow((way * out, below / 2), (way * (out - _ARROW_MM), below / 2)),
        Text((way * out, 2 * below), f"{end} wedge", SMALL, Anchor.END if way > 0 else Anchor.START),
    ]
