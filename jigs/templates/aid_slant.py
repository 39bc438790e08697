"""A small square that stands on the top beside the bridge, and a protractor for the bridge's slant against the strings."""

from geometry.aids import SLANT_REACH_DEG, SLANT_STEP_DEG, ray_across_mm
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.items import Anchor, Drawing, Item, Line, Role, Text, drawing
from jigs.templates import measure_words
from jigs.templates.aid import LETTER_MM, Aid, corner_mm
from jigs.templates.aid_pictures import protractor_in_use, square_in_use
from jigs.templates.options import Options
from jigs.templates.stock import cut_out
from jigs.workup.workup import Workup

_UPRIGHT_MM, _FOOT_MM, _ARM_MM = 60.0, 45.0, 12.0
_SCALE_TO_MM = 55
_TICKS = ((10, 4.0), (5, 3.0), (1, 2.0))
_HIGH_MM, _BASE_HALF_MM, _TOP_HALF_MM, _SHOULDER_MM = 80.0, 35.0, 16.0, 20.0
_VEE_MM, _VEE_DEEP_MM = 1.5, 3.0
_RAYS = ((4, 6.0), (2, 4.5), (1, 3.0))


def square(workup: Workup, options: Options) -> Aid:
    """The square. Raises `InputFaults` as `cut_out` does."""
    arm = max(_ARM_MM, options.cutter.web_mm)
    r = corner_mm(options.cutter)
    corners = (
        Corner((0.0, 0.0)),
        Corner((0.0, -_UPRIGHT_MM)),
        Corner((arm, -_UPRIGHT_MM), r),
        Corner((arm, -arm)),
        Corner((_FOOT_MM, -arm), r),
        Corner((_FOOT_MM, 0.0)),
    )
    shape = CutPart(closed_path(corners, "square"))
    items: list[Item] = []
    for n in range(1, _SCALE_TO_MM + 1):
        long = next(mm for every, mm in _TICKS if n % every == 0)
        items.append(Line((0.0, -float(n)), (long, -float(n)), Role.TICK, f"square-{n}"))
        if n % _TICKS[0][0] == 0:
            items.append(Text((long + 0.8, -n + LETTER_MM / 2), str(n), LETTER_MM))
    name = Text(((_FOOT_MM + _ARM_MM) / 2, -(_ARM_MM - LETTER_MM) / 2), measure_words.MM, LETTER_MM, Anchor.MIDDLE)
    part = cut_out(workup, shape, drawing(items, name), options.cutter, measure_words.SQUARE)
    return Aid(measure_words.square(), (part,), square_in_use())


def protractor(workup: Workup, options: Options) -> Aid:
    """The protractor, its base on the line of the bridge, y to the tail. Raises `InputFaults` as `cut_out` does."""
    r = corner_mm(options.cutter)
    corners = (
        Corner((_BASE_HALF_MM, 0.0)),
        Corner((_VEE_MM, 0.0)),
        Corner((0.0, -_VEE_DEEP_MM)),
        Corner((-_VEE_MM, 0.0)),
        Corner((-_BASE_HALF_MM, 0.0)),
        Corner((-_BASE_HALF_MM, -_SHOULDER_MM), r),
        Corner((-_TOP_HALF_MM, -_HIGH_MM), r),
        Corner((_TOP_HALF_MM, -_HIGH_MM), r),
        Corner((_BASE_HALF_MM, -_SHOULDER_MM), r),
    )
    shape = CutPart(closed_path(corners, "protractor"))
    on_it = _rays(1.0 if workup.instrument.head.hand == "right" else -1.0) + _words(workup)
    part = cut_out(workup, shape, on_it, options.cutter, measure_words.PROTRACTOR)
    return Aid(measure_words.protractor(workup), (part,), protractor_in_use())


def _rays(hand: float) -> Drawing:
    """The end of a ray for each half degree, at the edge where a string comes out from under it; + is the treble side."""
    items: list[Item] = []
    reach = round(SLANT_REACH_DEG / SLANT_STEP_DEG)
    for n in range(-reach, reach + 1):
        degrees = n * SLANT_STEP_DEG
        long = next(mm for every, mm in _RAYS if n % every == 0)
        foot = _VEE_DEEP_MM + 1.0 if n == 0 else _HIGH_MM - long
        start, end = ((hand * ray_across_mm(degrees, up), -up) for up in (_HIGH_MM, foot))
        items.append(Line(start, end, Role.TICK if n else Role.MARK, f"slant-{degrees:g}"))
        if n % _RAYS[0][0] == 0 and n:
            x, y = end
            items.append(Text((x, y + 0.8 + LETTER_MM), f"{abs(degrees):g}", LETTER_MM, Anchor.MIDDLE))
    return Drawing(tuple(items))


def _words(workup: Workup) -> Drawing:
    """Which side is which, and what lies on the line."""
    plus, minus = measure_words.WAYS
    left, right = (plus, minus) if workup.instrument.head.hand == "left" else (minus, plus)
    sides = (Text((x, -_SHOULDER_MM), side, LETTER_MM, Anchor.MIDDLE) for x, side in ((-15.0, left), (15.0, right)))
    base = (Text((x, -LETTER_MM), words, LETTER_MM, Anchor.MIDDLE) for x, words in measure_words.on_protractor(17.0))
    return drawing(sides, base)
