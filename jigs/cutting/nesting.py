"""Parts packed onto sheets of stock: as few sheets as a fixed list of ways finds, and where everything lies.

Here a part is a box, as wide and as long as its lines to cut. Its drawing comes in only to be laid where its box lies.
This module knows no instrument. The packing is rectpack's, in whole micrometres. The same parts give the same nest in any
order.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from geometry.lengths import LengthError, parse_mm
from jigs.cutting import words
from jigs.cutting.cut_sheet import MARGIN_MM
from jigs.cutting.engraving import all_engraved, width_mm
from jigs.cutting.reference import HEIGHT_MM as REFERENCE_HEIGHT_MM
from jigs.cutting.reference import WIDTH_MM as REFERENCE_WIDTH_MM
from jigs.cutting.reference import reference
from jigs.drawing.items import Drawing, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, SMALL
from jigs.faults import Place, Says, Wrong
from jigs.input.words import length_unread
from jigs.sheets.paper import Paper, Sheet
from jigs.sheets.title import Title

GAP_MM = 3.0
LEAST_STOCK_MM, MOST_STOCK_MM = 30.0, 5000.0
DOCUMENT = "Parts to cut"

_UM = 1000
_INCHES_BELOW_MM = 50.0


@dataclass(frozen=True)
class Stock:
    """A sheet of stock, and how much of it stays between one finished part and the next, and at its edges."""

    width_mm: float
    height_mm: float
    gap_mm: float = GAP_MM

    @property
    def size(self) -> str:
        """Width and height, in words."""
        return f"{self.width_mm:g} mm x {self.height_mm:g} mm"


@dataclass(frozen=True)
class PartBox:
    """The box of a part's lines, under the part's name."""

    name: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Placed:
    """Where a part lies: its sheet, from 1; its box's corner from the stock's left and top edges; whether it is turned."""

    name: str
    sheet: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool


@dataclass(frozen=True)
class Nest:
    """Parts on sheets, in the order in which they lie, and those that no sheet holds."""

    placed: tuple[Placed, ...]
    too_large: tuple[PartBox, ...]

    @property
    def sheets(self) -> int:
        """How many sheets it takes."""
        return max((one.sheet for one in self.placed), default=0)


def stock_named(text: str, gap: str | None = None) -> Stock:
    """Stock from WxH, as "600x300", "24 in x 12 in". Raises `InputFaults`."""
    sides = text.strip().lower().replace("×", "x").split("x")
    place = Place(option="sheet")
    if len(sides) != 2:
        raise words.no_stock(text).refusal(place)
    try:
        width, height = (float(parse_mm(side)) for side in sides)
    except LengthError as error:
        what = length_unread(error, LEAST_STOCK_MM, MOST_STOCK_MM).what
        says = words.stock_side_unread(what) if error.text.strip() else words.no_stock(text)
        raise says.refusal(place) from None
    if max(width, height) < _INCHES_BELOW_MM:
        from jigs.input.quantities import has_no_unit

        bare = all(has_no_unit(side) for side in sides)
        raise words.stock_perhaps_inches(text, [side.strip() for side in sides] if bare else []).refusal(place)
    if min(width, height) < LEAST_STOCK_MM or max(width, height) > MOST_STOCK_MM:
        raise words.stock_out_of_range(text, LEAST_STOCK_MM, MOST_STOCK_MM).refusal(place)
    return Stock(width, height, GAP_MM if gap is None else _gap(gap))


def _gap(text: str) -> float:
    from jigs.input.quantities import Length

    try:
        return Length(0, 50).read(text)
    except Wrong as wrong:
        raise wrong.says.refusal(Place(option="gap")) from None


def nested(parts: Sequence[PartBox], stock: Stock, kerf_mm: float) -> Nest:
    """Parts packed onto as few sheets as the best of a fixed list of ways needs, with the last sheet as empty as possible.

    The lines of two parts stay the gap and a kerf apart, so that stock as wide as the gap is left between them. From the
    edges they stay the gap and half a kerf. Names must differ.
    """
    spacing, edge = stock.gap_mm + kerf_mm, stock.gap_mm + kerf_mm / 2
    room = tuple(math.floor(_UM * (side - 2 * edge + spacing)) for side in (stock.width_mm, stock.height_mm))
    boxes = {part: (_whole(part.width_mm + spacing), _whole(part.height_mm + spacing)) for part in parts}
    order = sorted(boxes, key=lambda part: (-part.width_mm * part.height_mm, part.name))
    fitting = [part for part in order if _fits(boxes[part], room) or _fits(boxes[part][::-1], room)]
    sizes = [boxes[part] for part in fitting]
    best = min(_ways(sizes, room), key=_worth) if sizes else []
    return Nest(
        tuple(sorted(_placed(best, fitting, sizes, edge), key=lambda one: (one.sheet, one.y_mm, one.x_mm))),
        tuple(part for part in parts if part not in set(fitting)),
    )


_Box = tuple[int, int]
_Spot = tuple[int, int, int, int, int, int]
"""Sheet from 0, corner, size, and which part."""

_Packing = list[_Spot]


def _whole(mm: float) -> int:
    """Micrometres, rounded up, except for the rounding error that adding decimals leaves."""
    return math.ceil(round(_UM * mm, 6))


def _fits(box: Sequence[int], room: Sequence[int]) -> bool:
    return box[0] <= room[0] and box[1] <= room[1]


def _ways(sizes: Sequence[_Box], room: Sequence[int]) -> Iterator[_Packing]:
    """Every way of packing in turn, the most promising first."""
    import rectpack

    from jigs.cutting import packing

    for way in (packing.Bssf, packing.Baf):
        yield packing.best_of_all(sizes, room, way)
    for way in (packing.Bssf, packing.Baf, packing.Bl, packing.Blsf):
        for sort in (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI):
            yield packing.first_that_fits(sizes, room, way, sort)
    for lie in (_as_it_is, _lying, _upright):
        yield _on_shelves(sizes, room, lie)


def _as_it_is(box: _Box) -> _Box:
    return box


def _lying(box: _Box) -> _Box:
    return max(box), min(box)


def _upright(box: _Box) -> _Box:
    return min(box), max(box)


def _on_shelves(sizes: Sequence[_Box], room: Sequence[int], lie: Callable[[_Box], _Box]) -> _Packing:
    """The plain way, so that the result is never worse: in rows, the highest first; ``lie`` turns what fits turned."""
    wanted = ((lie(box), n) for n, box in enumerate(sizes))
    lying = [(box if _fits(box, room) else box[::-1], n) for box, n in wanted]
    spots: _Packing = []
    sheet = x = y = shelf = 0
    for (w, h), n in sorted(lying, key=lambda one: -one[0][1]):
        if x + w > room[0]:
            x, y, shelf = 0, y + shelf, 0
        if y + h > room[1]:
            sheet, x, y, shelf = sheet + 1, 0, 0, 0
        spots.append((sheet, x, y, w, h, n))
        x, shelf = x + w, max(shelf, h)
    return spots


def _worth(packing: _Packing) -> tuple[int, int]:
    """Number of sheets, then how much of the emptiest one is in use; less is better."""
    reach: dict[int, tuple[int, int]] = {}
    for sheet, x, y, w, h, _ in packing:
        right, foot = reach.get(sheet, (0, 0))
        reach[sheet] = max(right, x + w), max(foot, y + h)
    return len(reach), min(right * foot for right, foot in reach.values())


def _placed(packing: _Packing, parts: Sequence[PartBox], sizes: Sequence[_Box], edge: float) -> Iterator[Placed]:
    """The spots as places on the stock. The fullest sheets come first, so that the largest rest is on the last sheet."""
    filled: dict[int, int] = {}
    for sheet, _, _, w, h, _ in packing:
        filled[sheet] = filled.get(sheet, 0) + w * h
    number = {sheet: n for n, sheet in enumerate(sorted(filled, key=lambda sheet: (-filled[sheet], sheet)), 1)}
    for sheet, x, y, w, h, n in packing:
        part, turned = parts[n], (w, h) != sizes[n]
        size = (part.height_mm, part.width_mm) if turned else (part.width_mm, part.height_mm)
        yield Placed(part.name, number[sheet], edge + x / _UM, edge + y / _UM, *size, turned)


def why_too_large(part: PartBox, stock: Stock) -> Says:
    """Why no sheet of the stock holds a part, and what to do."""
    size = f"{part.width_mm:.0f} mm x {part.height_mm:.0f} mm"
    return words.part_too_large(part.name, size, stock.size, stock.gap_mm)


def laid(part: Drawing, place: Placed) -> Drawing:
    """A part's drawing where it lies on the stock, its ids made the part's own."""
    turned = part.turned() if place.turned else part
    box = turned.bounds()
    moved = turned.shifted(place.x_mm - box.left, place.y_mm - box.top)
    return Drawing(tuple(replace(item, id=f"{place.name}-{item.id}") if item.id else item for item in moved))


def nest_sheet(
    parts: Mapping[str, Drawing], places: Sequence[Placed], stock: Stock, number: int, sheets: int, kerf_mm: float
) -> Sheet:
    """One sheet of a nest: the stock's outline as a guide, the parts on it, and to its right the rectangle to measure."""
    what = f"{DOCUMENT}, sheet {number} of {sheets}"
    size = ((0.0, 0.0), (stock.width_mm, 0.0), (stock.width_mm, stock.height_mm), (0.0, stock.height_mm))
    frame = Path((size,), Role.GUIDE, "stock", closed=True)
    listed = [f"{one.name}{', turned' if one.turned else ''}" for one in places]
    beside = reference((what, f"Stock: {stock.size}", words.kerf_in_words(kerf_mm))) + _listing(
        listed, max(stock.height_mm, REFERENCE_HEIGHT_MM)
    )
    on_stock = drawing(frame, *(laid(parts[one.name], one) for one in places))
    whole = on_stock.shifted(MARGIN_MM, MARGIN_MM) + beside.shifted(stock.width_mm + 2 * MARGIN_MM, MARGIN_MM)
    box = whole.bounds()
    width, height = math.ceil(box.right + MARGIN_MM), math.ceil(box.bottom + MARGIN_MM)
    paper = Paper(f"{width} x {height} mm", float(width), float(height))
    return Sheet(paper, whole, Title(DOCUMENT, what, stock.size, sheet=number, sheets=sheets))


def _listing(lines: Sequence[str], foot: float) -> Drawing:
    """What lies on the sheet, in strokes on the guide layer, in columns below the reference rectangle down to ``foot``."""
    top, step = REFERENCE_HEIGHT_MM + 2 * SMALL, SMALL * LINE_STEP
    rows = max(int((foot - top - SMALL) / step) + 1, 1)
    texts = (
        Text((n // rows * REFERENCE_WIDTH_MM, top + SMALL + n % rows * step), _short(line), SMALL)
        for n, line in enumerate(lines)
    )
    return all_engraved(Drawing(tuple(texts)), Role.GUIDE)


def _short(line: str) -> str:
    """A line no wider than the rectangle. Its end is kept, where the part's name says what it is."""
    room = REFERENCE_WIDTH_MM - SMALL
    if width_mm(line, SMALL) <= room:
        return line
    while width_mm(f"...{line}", SMALL) > room:
        line = line[1:]
    return f"...{line}"
