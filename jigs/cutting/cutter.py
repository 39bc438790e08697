"""What a cutter needs to know: kerf, clearances, and how each layer's lines look: thin, in the layer's colour by default."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from jigs.drawing.items import STYLES, Layer, Role, Style

HAIRLINE_MM = 0.1
COLOURS = {
    Layer.CUT: "#a55200",
    Layer.SCORE: "#007f7f",
    Layer.ENGRAVE: "#3f00ff",
    Layer.DRILL: "#7c00a5",
    Layer.GUIDE: "#4c4226",
}
"""Red, green and blue of each layer, each also an indexed colour of DXF. They are dark on white, and far apart also for eyes
that do not see red, green or blue."""

THINNEST_STOCK_MM, THICKEST_STOCK_MM = 0.3, 3.0


@dataclass(frozen=True)
class Pen:
    """How a layer's lines look to the cutter's program."""

    width_mm: float
    colour: str


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
        """The look of every role in a cut file: a thin line in the layer's colour, dashes only as guides."""
        looks = {}
        for role, style in STYLES.items():
            if style.layer not in COLOURS:
                looks[role] = style
                continue
            pen = self.pens.get(style.layer, Pen(HAIRLINE_MM, COLOURS[style.layer]))
            dashes = style.dashes_mm if style.layer is Layer.GUIDE else ()
            looks[role] = Style(style.layer, pen.width_mm, dashes, pen.colour, style.fill)
        return looks
