"""Pictures of how to measure, one for each measurement of the form: drawn once, not to scale, and served from memory.

The instrument lies with its nut at the left in views from the side, and at the top or the left in views from above.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from jigs.drawing.items import Drawing
from jigs.page import measure_words as words
from jigs.page.pictures import from_above, from_the_side
from jigs.page.pictures.parts import HEIGHT_MM, WIDTH_MM


@dataclass(frozen=True)
class Picture:
    """A picture: what it is called in an address, what it shows in words, and how it is drawn."""

    key: str
    alt: str
    draw: Callable[[], Drawing]
    fields: tuple[str, ...]

    @property
    def file(self) -> str:
        """Its name among the page's files."""
        return f"how-{self.key}.svg"


PICTURES = (
    Picture("nut-to-fret-12", words.ALT_NUT_TO_FRET_12, from_the_side.nut_to_fret_12, ("scale", "nut_to_fret_12")),
    Picture("fret-wire", words.ALT_FRET_WIRE, from_the_side.fret_wire, ("fret_crown_width",)),
    Picture("height-at-fret-12", words.ALT_HEIGHT_AT_FRET_12, from_the_side.height_at_fret_12, ("action.fret_12",)),
    Picture("height-at-nut", words.ALT_HEIGHT_AT_NUT, from_the_side.height_at_nut, ("action.nut",)),
    Picture("finger", words.ALT_FINGER, from_the_side.finger, ("action.finger", "action.press")),
    Picture("steps", words.ALT_STEPS, from_above.steps, ("bridge.steps",)),
    Picture(
        "bridge",
        words.ALT_BRIDGE,
        from_above.bridge,
        ("bridge.length", "bridge.thickness", "bridge.face", "bridge.crown", "bridge.height"),
    ),
    Picture("spacing", words.ALT_SPACING, from_above.spacing, ("nut.spacing", "nut.edge", "bridge.spacing")),
    Picture("beyond", words.ALT_BEYOND, from_the_side.beyond, ("tail.afterlength", "tail.headlength")),
    Picture("wrap-turns", words.ALT_WRAP_TURNS, from_above.wrap_turns, ("turns",)),
    Picture(
        "head", words.ALT_HEAD, from_above.head, ("rim.head", "rim.fret_12_to_near_edge", "rim.fret_12_to_far_edge")
    ),
    Picture(
        "arch",
        words.ALT_ARCH,
        from_the_side.arch,
        ("top.arch_rise", "top.arch_span", "top.arch_middle", "board.over_top"),
    ),
    Picture("notches", words.ALT_NOTCHES, from_above.notches, ("top.notches",)),
    Picture(
        "found",
        words.ALT_FOUND,
        from_above.found,
        ("found.treble", "found.bass", "found.feet_treble", "found.feet_bass"),
    ),
)
"""Every picture, and the fields that it is for."""


@cache
def files() -> Mapping[str, bytes]:
    """Every picture as an SVG file, by its name among the page's files."""
    from jigs.export.svg import to_svg
    from jigs.sheets.paper import Paper, Sheet
    from jigs.sheets.title import Title

    paper = Paper("picture", WIDTH_MM, HEIGHT_MM)
    return {
        one.file: to_svg(Sheet(paper, one.draw(), Title("", "", one.alt, scale="")), one.alt, one.alt)
        for one in PICTURES
    }
