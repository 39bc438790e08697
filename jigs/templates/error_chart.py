"""A chart of what every fret reads: a panel for each string, side by side on one scale of cents, before and after.

Each string has a panel of its own, so that strings differ without colour and no curve crosses another's. Up is sharp.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count

from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import DESCENT_PER_CAPITAL, SMALL, shortened, width_mm
from jigs.wording import signed

LEAST_PANEL_MM = 11.0
LEAST_PLOT_MM = 25.0
_GOOD_CENT_MM = 1.6
"""How high a cent should be drawn, to be read by eye. Our own bound."""

_LEAST_CENT_MM = 1.0
_AXIS_MM = 12.0
_PANEL_GAPS = (3.0, 1.5)
_ROOMY_PANEL_MM = 20.0
_ROW_GAP = 3.0
_TITLE_MM = SMALL + 1.6
_TICK, _FRET_TICK = 1.2, 0.8
_GAP = 1.2
_NUMBERS_MM = 2 * _FRET_TICK + _GAP + SMALL
_FOOT_MM = _NUMBERS_MM + SMALL * DESCENT_PER_CAPITAL
_INSET = 1.5
_DOT = 0.22
_LEAST_DOT_STEP = 1.1
_LEAST_FRET_STEP = 0.8
_LEAST_NUMBER_STEP = SMALL + 1.2
_LEAST_NUMBER_GAP = 1.2
_NUMBERED_FRETS = (12, 24, 36, 5, 17, 7, 19, 29, 15, 10, 3, 1)


@dataclass(frozen=True)
class StringSeries:
    """One string: its ``number`` from 1, the fret that it starts at, that at its octave (0: none), its values by fret.

    ``titles``: what may be written over its panel, the longest first; the first that fits is used.
    """

    number: int
    titles: Sequence[str]
    starts_at: int
    octave: int
    frets: Sequence[int]
    before: Sequence[float]
    after: Sequence[float]


@dataclass(frozen=True)
class CentsAxis:
    """Cents from ``low`` to ``high``: a line and a number every ``tick``, a tick every ``fine`` between."""

    low: int
    high: int
    tick: int
    fine: int

    @property
    def ticks(self) -> list[int]:
        """Every numbered tick from the lowest up."""
        return self._every(self.tick)

    @property
    def fine_ticks(self) -> list[int]:
        """Every tick from the lowest up, numbered or not."""
        return self._every(self.fine)

    def _every(self, cents: int) -> list[int]:
        return [n * cents for n in range(math.ceil(self.low / cents), self.high // cents + 1)]


@dataclass(frozen=True)
class Panel:
    """Where a panel's plot lies, and what it shows. ``frets``: those of the neck; ``octave``: the one there, or 0."""

    left: float
    right: float
    top: float
    foot: float
    scale: CentsAxis
    frets: int
    octave: int

    def x(self, fret: float) -> float:
        """Place across of a fret, the nut being 0."""
        return self.left + _INSET + fret * (self.right - self.left - 2 * _INSET) / self.frets

    def y(self, cents: float) -> float:
        """Place of a value down."""
        return self.foot - (self.foot - self.top) * (cents - self.scale.low) / (self.scale.high - self.scale.low)


def rows_needed(strings: int, width: float) -> int:
    """How many rows of panels so many strings take; 0 if not even one panel fits.

    >>> rows_needed(5, 190.0), rows_needed(24, 190.0), rows_needed(1, 20.0)
    (1, 2, 0)
    """
    gap = _PANEL_GAPS[-1]
    beside = int((width - _AXIS_MM + gap) / (LEAST_PANEL_MM + gap))
    return math.ceil(strings / beside) if beside > 0 else 0


def plot_mm(height: float, rows: int) -> float:
    """How high each plot is when so many rows share a height."""
    return (height - (rows - 1) * _ROW_GAP) / rows - _TITLE_MM - _FOOT_MM


def rows_for(series: Sequence[StringSeries], width: float, height: float) -> int:
    """As many rows as leave a cent its good height, because panels then are wide; 0 if not even one panel fits."""
    least = rows_needed(len(series), width)
    low, high = _span(series)
    for rows in range(len(series), least, -1):
        if plot_mm(height, rows) >= _GOOD_CENT_MM * (high - low):
            return rows
    return least


def axis_for(series: Sequence[StringSeries], height: float, rows: int) -> tuple[CentsAxis, float]:
    """The scale of cents that all panels share, and how high each is."""
    plot = plot_mm(height, rows)
    return scale_for(*_span(series), plot), plot


def _span(series: Sequence[StringSeries]) -> tuple[int, int]:
    """Whole cents round all values, one to spare."""
    values = [value for one in series for value in (0.0, *one.before, *one.after)]
    return math.floor(min(values)) - 1, math.ceil(max(values)) + 1


def error_chart(series: Sequence[StringSeries], frets: int, width: float, height: float, rows: int) -> Drawing:
    """The chart in so many rows, its top left corner at the origin."""
    beside = math.ceil(len(series) / rows)
    widths = [(gap, (width - _AXIS_MM - (beside - 1) * gap) / beside) for gap in _PANEL_GAPS]
    gap, panel = next((fit for fit in widths if fit[1] >= _ROOMY_PANEL_MM), widths[-1])
    scale, plot = axis_for(series, height, rows)
    octave = next((one.octave for one in series if not one.starts_at), 0)
    chart = Drawing()
    for n, one in enumerate(series):
        row, column = divmod(n, beside)
        left = _AXIS_MM + column * (panel + gap)
        top = row * (plot + _TITLE_MM + _FOOT_MM + _ROW_GAP) + _TITLE_MM
        frame = Panel(left, left + panel, top, top + plot, scale, frets, octave)
        chart += drawing(_panel(one, frame), _cents_axis(frame) if column == 0 else ())
    return chart


def scale_for(low: int, high: int, plot: float) -> CentsAxis:
    """The finest lines whose numbers keep apart, and ticks between them where they do.

    >>> scale_for(-3, 43, 40.0), scale_for(-3, 43, 86.0)
    (CentsAxis(low=-3, high=43, tick=5, fine=5), CentsAxis(low=-3, high=43, tick=2, fine=1))
    """
    cent = plot / (high - low)
    steps = (digit * 10**power for power in count() for digit in (1, 2, 5))
    tick = next(step for step in steps if cent * step >= _LEAST_NUMBER_STEP)
    fine = next(
        step for step in (1, 2, 5, tick) if step == tick or (cent * step >= _LEAST_CENT_MM and tick % step == 0)
    )
    return CentsAxis(low, high, tick, fine)


def _panel(one: StringSeries, frame: Panel) -> Drawing:
    left, right, top, foot = frame.left, frame.right, frame.top, frame.foot
    corners = ((left, top), (right, top), (right, foot), (left, foot))
    level = [(fret, frame.y(before), frame.y(after)) for fret, before, after in zip(*_columns(one), strict=True)]
    items: list[Item] = [
        Text((left, top - 1.6), _title(one, right - left), SMALL),
        Path((corners,), Role.FINE, f"panel-{one.number}", closed=True),
        Line((left, frame.y(0.0)), (right, frame.y(0.0)), Role.GUIDE, f"zero-{one.number}"),
        Path((tuple((frame.x(fret), y) for fret, y, _ in level),), Role.PROVISIONAL, f"before-{one.number}"),
        Path((tuple((frame.x(fret), y) for fret, _, y in level),), Role.MARK, f"after-{one.number}"),
    ]
    if frame.x(1) - frame.x(0) >= _LEAST_DOT_STEP:
        items += [Circle((frame.x(fret), y), _DOT, Role.MARK) for fret, _, y in level]
    if one.octave:
        own_octave = frame.x(one.octave)
        items.append(Line((own_octave, top), (own_octave, foot), Role.FINE, f"octave-{one.number}"))
    if one.starts_at:
        own_nut = frame.x(one.starts_at)
        items.append(Line((own_nut, top), (own_nut, foot), Role.GUIDE, f"own-nut-{one.number}"))
    return drawing(items, _ticks(frame), _fret_axis(frame))


def _title(one: StringSeries, room: float) -> str:
    return next(
        (title for title in one.titles if width_mm(title, SMALL) <= room), shortened(one.titles[-1], SMALL, room)
    )


def _columns(one: StringSeries) -> tuple[Sequence[int], Sequence[float], Sequence[float]]:
    return one.frets, one.before, one.after


def _ticks(frame: Panel) -> Iterator[Line]:
    """A line across a panel for every number, and cents inwards at both of its sides."""
    numbered = frame.scale.ticks
    for cents in frame.scale.fine_ticks:
        y = frame.y(cents)
        if cents in numbered and cents:
            yield Line((frame.left, y), (frame.right, y), Role.FINE)
        elif cents:
            for edge, inwards in ((frame.left, _TICK), (frame.right, -_TICK)):
                yield Line((edge, y), (edge + inwards, y), Role.TICK)


def _cents_axis(frame: Panel) -> Iterator[Text]:
    """Numbers left of the first panel."""
    right = frame.left - _GAP
    yield Text((right - 1.4, frame.top - 1.6), "cents", SMALL, Anchor.END)
    for cents in frame.scale.ticks:
        base = frame.y(cents) + SMALL / 2
        if base - SMALL > frame.top - 0.4:
            yield Text((right, base), signed(cents, 0), SMALL, Anchor.END)
    yield Text((right, frame.foot + _NUMBERS_MM), "fret", SMALL, Anchor.END)


def _fret_axis(frame: Panel) -> Iterator[Item]:
    """A tick for every fret, numbers where they keep apart."""
    numbered = _numbered(frame)
    for fret in range(frame.frets + 1) if frame.x(1) - frame.x(0) >= _LEAST_FRET_STEP else sorted(numbered):
        reach = 2 * _FRET_TICK if fret in numbered else _FRET_TICK
        yield Line((frame.x(fret), frame.foot), (frame.x(fret), frame.foot + reach), Role.TICK)
    for fret in numbered:
        yield Text((frame.x(fret), frame.foot + _NUMBERS_MM), str(fret), SMALL, Anchor.MIDDLE)


def _numbered(frame: Panel) -> list[int]:
    """Frets with a number: first the octave's and those that players count by, as many as keep apart."""
    taken: list[int] = []
    for fret in dict.fromkeys((frame.octave, *_NUMBERED_FRETS) if frame.octave else _NUMBERED_FRETS):
        half = width_mm(str(fret), SMALL) / 2
        apart = all(
            abs(frame.x(fret) - frame.x(other)) >= half + width_mm(str(other), SMALL) / 2 + _LEAST_NUMBER_GAP
            for other in taken
        )
        inside = frame.left <= frame.x(fret) - half and frame.x(fret) + half <= frame.right
        if fret <= frame.frets and apart and inside:
            taken.append(fret)
    return taken
