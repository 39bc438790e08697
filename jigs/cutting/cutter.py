"""What a cutter needs to know: kerf, clearances, how each layer's lines look. Without settings, plain black hairlines."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from jigs.drawing.items import BLACK, STYLES, Layer, Role, Style

HAIRLINE_MM = 0.1
THINNEST_STOCK_MM, THICKEST_STOCK_MM = 0.3, 3.0


@dataclass(frozen=True)
class Pen:
    """How a layer's lines look to the cutter's program."""

    width_mm: float = HAIRLINE_MM
    colour: str = BLACK


@dataclass(frozen=True)
class Cutter:
    """Kerf, clearance of the notch over the crown, corner radius, least web and thickness of the stock, and the pens."""

    kerf_mm: float = 0.0
    clearance_mm: float = 0.1
    corner_mm: float = 1.0
    web_mm: float = 3.0
    stock_mm: float = 0.5
    pens: Mapping[Layer, Pen] = field(default_factory=dict)

    @property
    def styles(self) -> dict[Role, Style]:
        """The look of every role in a cut file: a hairline in the layer's colour, dashes only as guides."""
        looks = {}
        for role, style in STYLES.items():
            pen = self.pens.get(style.layer, Pen())
            dashes = style.dashes_mm if style.layer is Layer.GUIDE else ()
            looks[role] = Style(style.layer, pen.width_mm, dashes, pen.colour, style.fill)
        return looks
