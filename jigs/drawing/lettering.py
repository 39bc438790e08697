"""The one typeface of all drawings: how wide a text is, where it breaks, what it cannot write.

Heights are those of capitals, as ISO 3098 gives them. Nothing here draws.
"""

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Callable
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

FONT_NAME = "DejaVu Sans"
FONT_FILE = Path(__file__).parent / "fonts" / "DejaVuSans.ttf"

CAPITAL_PER_EM = 1493 / 2048
"""Height of a capital H in the font file, over its em; checked in the tests."""

DESCENT_PER_CAPITAL = 0.33
"""How far g, p and q reach below the line, as a share of a capital's height."""

SMALL, MEDIUM, LARGE, LARGEST = 2.5, 3.5, 5.0, 7.0
"""ISO 3098 lettering heights, mm."""

LINE_STEP = 1.7
"""Distance from line to line over the lettering height (ISO 3098 type B: 22/14 at the least)."""

MISSING = "\N{REPLACEMENT CHARACTER}"

_BREAKS = re.compile(r"(?<!\d) | (?!(?:mm|in)\b)")
"""Spaces at which a line may break: not those between a number and its unit of length."""


REMEMBERED = 4096
"""Widths, broken sentences and numbers that are kept: more than a few sheets have."""


@cache
def face() -> Any:
    """The font, parsed once. Its type is reportlab's TTFont."""
    from reportlab.pdfbase.ttfonts import TTFont

    return TTFont(FONT_NAME, str(FONT_FILE))


def em_mm(height_mm: float) -> float:
    """Font size for a lettering height, both in mm.

    >>> round(em_mm(2.5), 3)
    3.429
    """
    return height_mm / CAPITAL_PER_EM


@lru_cache(REMEMBERED)
def width_mm(text: str, height_mm: float) -> float:
    """Width of a line of text at a lettering height, both in mm."""
    return float(face().stringWidth(text, em_mm(height_mm)))


def wrapped(text: str, height_mm: float, room_mm: float, width: Callable[[str, float], float] = width_mm) -> list[str]:
    """Break a text at its plain spaces into lines no wider than ``room_mm``; a longer word is alone on its line.

    A number stays with its unit of length. ``width``: how wide a line is at a height, where another alphabet than the
    typeface's is meant.

    >>> wrapped("cut along the wide lines", 2.5, 30.0), wrapped("push it in by 2.5 mm", 2.5, 30.0)
    (['cut along the', 'wide lines'], ['push it in by', '2.5 mm'])
    """
    return list(_wrapped(text, height_mm, room_mm, width))


@lru_cache(REMEMBERED)
def _wrapped(text: str, height_mm: float, room_mm: float, width: Callable[[str, float], float]) -> tuple[str, ...]:
    """As `wrapped`: most sentences are on many sheets."""
    lines: list[str] = []
    for word in _BREAKS.split(text):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, height_mm) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def shortened(text: str, height_mm: float, room_mm: float) -> str:
    """The text, or as much of it as ``room_mm`` holds with an ellipsis behind.

    >>> shortened("Loan banjo 7", 3.5, 20.0)
    'Loan…'
    """
    if width_mm(text, height_mm) <= room_mm:
        return text
    text = text[: _as_long_as(text, height_mm, room_mm)]
    while text and width_mm(text + "…", height_mm) > room_mm:
        text = text[:-1]
    return text.rstrip() + "…"


def kept_ends(text: str, height_mm: float, room_mm: float, lines: int) -> list[str]:
    """A text on so many lines, broken anywhere; if they do not hold it, its middle goes, not its end.

    >>> kept_ends("A banjo with a long name, number 7", 2.5, 30.0, 2)
    ['A banjo with a', 'long…, number 7']
    """
    cut, kept = len(text), text
    laid = _broken(text, height_mm, room_mm, lines)
    if len(laid) > lines:
        plain = text.replace(" ", "")
        ends = (_as_long_as(end, height_mm, lines * room_mm) for end in (plain, plain[::-1]))
        cut = min(cut, sum(ends) + 2 + text.count(" "))
    while len(laid) > lines and cut > 2:
        cut -= 1
        head = cut - cut // 3
        kept = f"{text[:head].rstrip()}…{text[len(text) - cut // 3 :]}"
        laid = _broken(kept, height_mm, room_mm, lines)
    return laid if len(laid) <= lines else _broken(kept, height_mm, room_mm, len(kept))


def _broken(text: str, height_mm: float, room_mm: float, most: int) -> list[str]:
    """Lines as long as they may be, broken at a space where a line has one, else anywhere; at most one over ``most``."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width_mm(longer, height_mm) <= room_mm:
            lines[-1] = longer
            continue
        lines += [word] if lines[-1] else []
        lines[-1] = word
        while len(lines) <= most and len(lines[-1]) > 1 and width_mm(lines[-1], height_mm) > room_mm:
            rest = lines[-1]
            end = max(1, min(len(rest) - 1, _as_long_as(rest, height_mm, room_mm)))
            lines[-1:] = [rest[:end], rest[end:]]
        if len(lines) > most:
            break
    return lines


def _as_long_as(text: str, height_mm: float, room_mm: float) -> int:
    """How many characters of a text fit into ``room_mm``, counted from its beginning."""
    low, high = 0, 1
    while high < len(text) and width_mm(text[:high], height_mm) <= room_mm:
        low, high = high, 2 * high
    return (
        bisect_right(range(low + 1, min(high, len(text)) + 1), room_mm, key=lambda n: width_mm(text[:n], height_mm))
        + low
    )


def writable(text: str) -> tuple[str, str]:
    """The text with every character that the font lacks replaced, and those characters.

    >>> writable("Loan banjo 7, ♯ ♭ Ж"), writable("琴")
    (('Loan banjo 7, ♯ ♭ Ж', ''), ('�', '琴'))
    """
    known = face().face.charToGlyph
    if known.keys() >= set(map(ord, text)):
        return text, ""
    lacking = "".join(dict.fromkeys(char for char in text if ord(char) not in known))
    return "".join(MISSING if char in lacking else char for char in text), lacking


def first_writable(*names: str) -> str:
    """The first of some names that the typeface can write and that runs rightward; the last if there is none.

    >>> first_writable("琴", "loan-3", "banjo")
    'loan-3'
    """
    return next((name for name in names if name and not writable(name)[1] and not runs_leftward(name)), names[-1])


def runs_leftward(text: str) -> bool:
    """Whether a text holds letters that are written from right to left, which no drawing here does.

    >>> runs_leftward("Loan banjo 7"), runs_leftward("בנג'ו")
    (False, True)
    """
    return any(unicodedata.bidirectional(char) in ("R", "AL") for char in text)
