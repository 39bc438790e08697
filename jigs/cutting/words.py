"""What this room says of parts, stock and settings."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from jigs.drawing.items import CUT_LAYERS
from jigs.faults import Option, Says, Words
from jigs.input.words import shown

if TYPE_CHECKING:
    from jigs.cutting.parts import CutError

EXAMPLE_COMMAND = "`jigs settings --example`"
_SIZE = "write width x height, for instance 600x300"


# ---- parts


def uncuttable(error: "CutError", of: str) -> Says:
    """A part that cannot be cut as it is; ``of`` names it."""
    names = [_spoken(name) for name in error.lines]
    match error.code:
        case "lines-cross":
            what: Words = f"the lines of the {of}'s {names[0]} would cross"
            remedy: Words = ("give it more room, or make ", Option("corner"), " smaller")
        case "window-over-edge":
            what = f"the {of}'s {names[0]} would reach over its edge"
            remedy = ("check the bridge's measurements, or make ", Option("web"), " smaller")
        case "web-too-small":
            between = " and ".join(names) if len(names) > 1 else f"{names[0]} and edge"
            least = math.floor(10 * error.mm) / 10
            web = f"the web of {error.web_mm:g} mm"
            what = f"only {least:.1f} mm of the {of} would be left between {between}, less than {web}"
            remedy = ("make ", Option("web"), " or ", Option("corner"), " smaller")
        case _:
            what = f"a kerf of {error.mm:g} mm is wider than a window of the {of}"
            remedy = "use a finer cutter, or cut it by hand"
    return Says(what, remedy, error.code)


BLAMED = {"lines-cross": "corner", "window-over-edge": "web", "web-too-small": "web", "kerf-too-wide": "kerf"}
"""The option to blame for each code."""


def _spoken(name: str) -> str:
    """A window or an outline by its id.

    >>> _spoken("datum"), _spoken("bridge-window-2")
    ('notch', 'bridge window 2')
    """
    return "notch" if name == "datum" else name.replace("-", " ")


# ---- stock


def no_stock(text: str) -> Says:
    """A text that is not width and height."""
    return Says(f'"{text}" is not a size of stock', _SIZE, "stock-unread")


def stock_side_unread(what: Words) -> Says:
    """A side of the stock that is not a length; ``what`` is wrong with it."""
    return Says(what, _SIZE, "stock-side-unread")


def stock_perhaps_inches(text: str, sides: Sequence[str]) -> Says:
    """A size that is too small in millimetres. ``sides``: width and height, if they have no unit."""
    inches, centimetres = ("x".join(f"{side}{unit}" for side in sides) for unit in ("in", "cm"))
    meant = f"for inches write {inches}, for centimetres {centimetres}"
    remedy = meant if sides else "for inches write the unit, as in 24inx12in"
    return Says(f'"{text}" is too small in millimetres', remedy, "stock-in-inches")


def stock_out_of_range(text: str, least_mm: float, most_mm: float) -> Says:
    """A size that no stock has."""
    return Says(
        f'"{text}" is out of range', f"write {least_mm:g} to {most_mm:g} mm for each side", "stock-out-of-range"
    )


def part_too_large(part: str, size: str, stock: str, gap_mm: float) -> Says:
    """A part that no sheet of the stock holds."""
    what = f"{part} ({size}) does not fit on stock of {stock} with {gap_mm:g} mm left at the edges, turned or not"
    return Says(what, ("choose larger stock with ", Option("sheet")), "part-too-large")


# ---- settings


def no_colour(value: object) -> Says:
    """A colour that is not written in hexadecimal."""
    remedy = 'write red, green and blue in hexadecimal, for instance "#ff0000"'
    return Says(f"{shown(value)} is not a colour", remedy, "colour-unread")


def no_layer(value: object, layer: str) -> Says:
    """A value in the place of a layer's table."""
    remedy = f"write [cutter.{layer}] on a line of its own and its keys below"
    return Says(f"{shown(value)} is not a table", remedy, "layer-expected")


def text_is_engrave() -> Says:
    """The old name of the layer for letters."""
    return Says("the layer for letters is now called engrave", "write [cutter.engrave]", "layer-renamed")


def unknown_table() -> Says:
    """A table of the settings that is not the cutter's."""
    layers = ", ".join(f"[cutter.{layer.value}]" for layer in CUT_LAYERS)
    return Says("unknown table", f"put your settings under [cutter], {layers}", "table-unknown")


def settings_unreadable(remedy: str) -> Says:
    """Settings of which nothing is left to use."""
    return Says("these settings cannot be used", remedy, "settings-unreadable")


def no_settings() -> Says:
    """No file of settings."""
    return Says("there are no settings yet", f"{EXAMPLE_COMMAND} prints a file to start from", "settings-missing")


START_AGAIN = f"delete it, or start from {EXAMPLE_COMMAND}"

SETTINGS_EXAMPLE = """\
# How your cutter works and which lines its program expects. Every line is optional; these are the defaults.

[cutter]
kerf      = 0.0                 # width that the beam, blade or bit removes, mm
clearance = 0.1                 # how much wider the gauge's notch is than the fret, mm
corner    = 1.0                 # radius of corners, inside and out, mm; working edges stay sharp
web       = 3.0                 # least width of material left beside an opening, mm
stock     = 0.5                 # thickness of the stock, 0.3 to 3 mm

[cutter.cut]                    # also [cutter.score], [cutter.engrave], [cutter.drill] and [cutter.guide]
width  = 0.1
colour = "#a55200"
"""


def kerf_in_words(kerf_mm: float) -> str:
    """Whether a file's lines allow for the kerf."""
    return f"Kerf of {kerf_mm:g} mm allowed for." if kerf_mm else "No kerf allowed for."


REFERENCE = (
    "100 mm by 50 mm. Do not cut.",
    "Measure it after import: if it is off,",
    "the whole file is.",
    "Two small crosses: to lay a second pass.",
)
"""What the rectangle says that a cut file carries to be measured."""
