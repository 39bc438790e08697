"""What this room says of parts that cannot be cut, of stock, and of the user's settings for a cutter."""

import math

from geometry.lengths import LengthError
from jigs.faults import Option, Says
from jigs.input.words import length_unread, shown

WRITE_SIZE = "write width x height, for instance 600x300"


def lines_cross(path: str) -> Says:
    """An outline that runs into itself."""
    return Says(f"the lines of its {path} would cross", "give it more room or smaller corners", "cut-lines-cross")


def over_the_edge(path: str) -> Says:
    """A window that is not within the part."""
    remedy = "check the bridge's measurements, or take a smaller web"
    return Says(f"its {path} would reach over the edge", remedy, "cut-over-the-edge")


def thin_web(stock_mm: float, between: str, web_mm: float) -> Says:
    """Too little stock between two openings."""
    left = f"only {math.floor(10 * stock_mm) / 10:.1f} mm of stock would be left between {between}"
    return Says(f"{left}, less than the web of {web_mm:g} mm", "take a smaller web, or sharper corners", "cut-thin-web")


def kerf_too_wide(kerf_mm: float) -> Says:
    """A cutter that is too coarse for a window."""
    what = f"a kerf of {kerf_mm:g} mm is wider than one of its windows"
    return Says(what, "take a finer cutter, or cut it by hand", "cut-kerf-too-wide")


# ---- stock


def no_stock_size(text: str) -> Says:
    """Something else where a size of stock is meant."""
    return Says(f'"{text}" is not a size of stock', WRITE_SIZE, "stock-size-unread")


def stock_length_unread(error: LengthError) -> Says:
    """A side of the stock that is no length."""
    return Says(length_unread(error).what, WRITE_SIZE, "stock-length-unread")


def stock_perhaps_inches(text: str) -> Says:
    """A size that is too small in millimetres."""
    remedy = "for inches name the unit, as in 24inx12in"
    return Says(f"{text} is too small in millimetres", remedy, "stock-perhaps-inches")


def stock_out_of_range(text: str, least_mm: float, most_mm: float) -> Says:
    """A size that no cutter takes."""
    remedy = f"write {least_mm:g} to {most_mm:g} mm for either side"
    return Says(f"{text} is out of range", remedy, "stock-out-of-range")


def too_large_for_stock(size: str, stock: str, gap_mm: float) -> Says:
    """A part that no sheet of the stock holds."""
    what = f"its {size} do not fit on stock of {stock} with {gap_mm:g} mm left at the edges, turned or not"
    return Says(what, ("give larger stock with ", Option("sheet")), "stock-too-small")


# ---- settings


def unknown_settings_table() -> Says:
    """A table of the settings file that is none of ours."""
    return Says("unknown table", "write [cutter]", "settings-table-unknown")


def settings_broken(remedy: str) -> Says:
    """A settings file that cannot be used."""
    return Says("these settings cannot be used", remedy, "settings-broken")


def no_settings() -> Says:
    """A settings file that is not there."""
    return Says("there are no settings", "`jigs settings --example` prints a file to start from", "settings-missing")


def no_colour(value: object) -> Says:
    """Something else where a colour is meant."""
    remedy = 'write it in six hexadecimal digits, as in "#ff0000" for red'
    return Says(f"{shown(value)} is not a colour", remedy, "settings-colour")


def no_layer(key: str) -> Says:
    """A layer that is not a table."""
    what = "a layer's look is a table"
    return Says(what, f"write [cutter.{key}] on a line of its own, and width and colour below", "settings-layer")
