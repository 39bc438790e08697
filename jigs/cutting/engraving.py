"""Words in single strokes, for a cutter that would draw every outline of a printed letter.

The letters are A. V. Hershey's plain single-stroke alphabet (Calligraphy for Computers, U.S. Naval Weapons Laboratory,
1967; cited from memory), as the Hershey-Fonts package has it. Heights are those of capitals, as in lettering.py.
"""

import math
import unicodedata
from functools import cache
from typing import Any

from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Drawing, Item, Path, Role, Text

_ALPHABET = "futural"
_CAPITAL, _BASE_LINE = 21, 9
"""Height of a capital and level of the base line, in the alphabet's own units."""

UNKNOWN = "?"
_SPELT = {
    "\N{MINUS SIGN}": "-",
    "\N{EN DASH}": "-",
    "\N{EM DASH}": "-",
    "\N{HORIZONTAL ELLIPSIS}": "...",
    "\N{PLUS-MINUS SIGN}": "+/-",
    "\N{MULTIPLICATION SIGN}": "x",
    "\N{MUSIC SHARP SIGN}": "#",
    "\N{MUSIC FLAT SIGN}": "b",
    "\N{FRACTION SLASH}": "/",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{DEGREE SIGN}": " deg",
    "\N{LATIN SMALL LETTER SHARP S}": "ss",
    "\N{LATIN SMALL LETTER O WITH STROKE}": "o",
    "\N{LATIN CAPITAL LETTER O WITH STROKE}": "O",
    "\N{LATIN SMALL LETTER L WITH STROKE}": "l",
    "\N{LATIN CAPITAL LETTER L WITH STROKE}": "L",
    "\N{LATIN SMALL LIGATURE OE}": "oe",
    "\N{LATIN CAPITAL LIGATURE OE}": "OE",
    "\N{LATIN SMALL LETTER AE}": "ae",
    "\N{LATIN CAPITAL LETTER AE}": "AE",
}


@cache
def _glyphs() -> Any:
    from HersheyFonts import HersheyFonts

    fonts = HersheyFonts()
    fonts.load_default_font(_ALPHABET)
    return fonts.all_glyphs


def engravable(text: str) -> tuple[str, str]:
    """The text in the alphabet's letters, accents dropped, and the characters that it has no letter for.

    >>> engravable("Ré ♯ −3"), engravable("琴 3")
    (('Re # -3', ''), ('? 3', '琴'))
    """
    spelt, lacking = "", ""
    for char in text:
        plain = _SPELT.get(char) or "".join(
            _SPELT.get(part, part) for part in unicodedata.normalize("NFKD", char) if not unicodedata.combining(part)
        )
        if all(part in _glyphs() for part in plain):
            spelt += plain
        else:
            spelt += UNKNOWN
            lacking += char
    return spelt, lacking


def first_engravable(*names: str) -> str:
    """The first of some names that the alphabet can write; the last if there is none.

    >>> first_engravable("琴 3", "loan-3", "banjo")
    'loan-3'
    """
    return next((name for name in names if name and not engravable(name)[1]), names[-1])


def width_mm(text: str, height_mm: float) -> float:
    """Width of a line of text at a lettering height, both in mm.

    >>> round(width_mm("A4", 2.1), 2)
    3.8
    """
    glyphs = _glyphs()
    return float(sum(glyphs[char].char_width for char in engravable(text)[0]) * height_mm / _CAPITAL)


def engraved(text: Text, role: Role = Role.ENGRAVED) -> Path | None:
    """The text as strokes; None where it has none."""
    unit = text.height_mm / _CAPITAL
    at = {Anchor.START: 0.0, Anchor.MIDDLE: -0.5, Anchor.END: -1.0}[text.anchor] * width_mm(text.text, text.height_mm)
    cos, sin = math.cos(math.radians(text.angle_deg)), math.sin(math.radians(text.angle_deg))
    runs: list[tuple[Point, ...]] = []
    for char in engravable(text.text)[0]:
        glyph = _glyphs()[char]
        for stroke in glyph.strokes:
            places = ((at + (x - glyph.left_offset) * unit, (y - _BASE_LINE) * unit) for x, y in stroke)
            run = tuple((text.at[0] + x * cos - y * sin, text.at[1] + x * sin + y * cos) for x, y in places)
            if len(run) > 1:
                runs.append(run)
        at += glyph.char_width * unit
    return Path(tuple(runs), role, text.id) if runs else None


def all_engraved(drawn: Drawing, role: Role = Role.ENGRAVED) -> Drawing:
    """A drawing whose words are strokes, the rest as it was."""
    items: list[Item] = []
    for item in drawn:
        stroked = engraved(item, role) if isinstance(item, Text) else item
        if stroked is not None:
            items.append(stroked)
    return Drawing(tuple(items))
