"""Every template and every option of a drawing, declared once: help, refusals and the page's fields come from here.

It imports nothing, because ``jigs --help`` reads it.
"""

from dataclasses import dataclass
from typing import Literal

OptionKind = Literal["fret", "flag", "side", "length"]


@dataclass(frozen=True)
class TemplateEntry:
    """A template: ``description`` for lists; ``from_stock``: its SVG and DXF hold the part alone, for a cutter.

    ``has_dxf``: it can go to a cutter; the fretboard's DXF holds the whole board, however long.
    """

    name: str
    description: str
    from_stock: bool = False
    has_dxf: bool = False


@dataclass(frozen=True)
class OptionEntry:
    """An option: what it sets, its unit, the templates that use it, and its label and hint on the page.

    ``default`` is said in the help; the page's hint says it there.
    """

    name: str
    kind: OptionKind
    description: str
    users: tuple[str, ...]
    label: str
    hint: str = ""
    unit: str = ""
    default: str = ""


TEMPLATES = (
    TemplateEntry("fork", "paper fork that finds the bridge's place from a fret"),
    TemplateEntry("fretboard", "slots, dots and strings of the fretboard", has_dxf=True),
    TemplateEntry("spacing", "rules with the strings' places at nut and bridge"),
    TemplateEntry("crown", "top of the bridge, with each string's step"),
    TemplateEntry("setup-card", "one page for setting up by ear or tuner"),
    TemplateEntry("gauge", "fork to cut from stock", from_stock=True, has_dxf=True),
    TemplateEntry("head", "banjo: template that lies against the rim", from_stock=True, has_dxf=True),
    TemplateEntry("top", "mandolin, archtop: template that lies on the top", from_stock=True, has_dxf=True),
)

OPTIONS = (
    OptionEntry(
        "datum-fret",
        "fret",
        "fret that the jig butts against",
        ("fork", "gauge", "top"),
        "Fret the jig butts against",
        "default: the drawing chooses",
        default="fork: the lowest from 12 that fits; gauge, top: the last",
    ),
    OptionEntry(
        "datum-over",
        "flag",
        "lay the fork's edge over the middle of that fret, not against its bridge side",
        ("fork",),
        "Lay the edge over the middle of that fret",
        "not against its bridge side",
    ),
    OptionEntry(
        "datum-end",
        "flag",
        "count from the end of the board, not from a fret",
        ("top",),
        "Count from the end of the board",
        "not from a fret",
    ),
    OptionEntry(
        "rim",
        "side",
        "side of the rim that the template lies against, nut or tail",
        ("head",),
        "Side of the hoop to lie against",
        default="the nearer one",
    ),
    OptionEntry("kerf", "length", "width that the cutter removes", ("gauge", "head", "top"), "Kerf", unit="mm"),
    OptionEntry(
        "clearance",
        "length",
        "how much wider the notch is than the fret",
        ("gauge",),
        "Clearance of the notch",
        "how much wider it is than the fret",
        unit="mm",
    ),
    OptionEntry(
        "corner", "length", "radius of the corners", ("gauge", "head", "top"), "Radius of the corners", unit="mm"
    ),
    OptionEntry(
        "web",
        "length",
        "least width of stock left beside an opening",
        ("gauge", "head", "top"),
        "Web",
        "least stock beside an opening",
        unit="mm",
    ),
    OptionEntry(
        "stock", "length", "thickness of the stock, 0.3 to 3 mm", ("gauge",), "Thickness of the stock", "0.3 to 3", "mm"
    ),
    OptionEntry(
        "to-bridge",
        "flag",
        "draw the strings on to the bridge line",
        ("fretboard",),
        "Draw the strings on to the bridge line",
    ),
    OptionEntry(
        "untiled",
        "flag",
        "one long sheet of its own size, not cut for the paper",
        ("fretboard",),
        "One long sheet",
        "of its own size, not cut for the paper",
    ),
)

NAMES = tuple(entry.name for entry in TEMPLATES)
IN_WORDS = {entry.name: entry.description for entry in TEMPLATES}
CUT_FROM_STOCK = frozenset(entry.name for entry in TEMPLATES if entry.from_stock)
FOR_CUTTERS = frozenset(entry.name for entry in TEMPLATES if entry.has_dxf)
LENGTHS = tuple(entry.name for entry in OPTIONS if entry.kind == "length")
"""The lengths of a cutter that may also be given for one drawing."""
