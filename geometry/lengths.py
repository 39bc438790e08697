"""Lengths as people write them, to millimetres and back, without rounding on the way.

Rulers in this trade carry inches in sixteenths, callipers millimetres and string packets
thousandths of an inch. All of them are rational numbers, so they are kept as fractions.
"""

import re
import unicodedata
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction

from geometry.errors import GeometryError

MM_PER_INCH = Fraction(254, 10)
"""NIST SP 811: 1 in = 25.4 mm exactly."""

_MM_PER_UNIT = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
    "cm": Fraction(10),
    "m": Fraction(1000),
    **dict.fromkeys(("in", "in.", "inch", "inches", '"', "″", "”", "''"), MM_PER_INCH),
    **dict.fromkeys(("ft", "ft.", "foot", "feet", "'", "′", "’"), 12 * MM_PER_INCH),
    **dict.fromkeys(("thou", "thousandth", "thousandths"), MM_PER_INCH / 1000),
}

_EXACT = Context(prec=400)
"""The digits of the largest float, 309, and decimals behind them."""

_LONGEST_TEXT = 40
_NUMBER = r"""
    (?: (?P<whole>\d+) (?:\s+|\s*-\s*) )? (?P<over>\d+) \s*[/⁄]\s* (?P<under>\d+)
  | (?P<decimal>\d+\.?\d*|\.\d+)
"""
_TERM = re.compile(rf"\s*(?:{_NUMBER})\s*(?:-(?=[a-z]))?(?P<unit>[^\d\s.+\-/][^\d\s+\-/]*)?\s*", re.VERBOSE | re.I)
_COMMA = re.compile(r"(?<![\d.])(\d*),(\d+)(?![\d.])", re.ASCII)
_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)


class LengthError(GeometryError):
    """A ``text`` that is not a length, and its ``unit`` as it was written, "" if the unit is not at fault.

    Codes: length-unread, length-text-too-long, length-has-comma, length-without-unit, length-unit-unknown,
    length-divides-by-zero.
    """

    def __init__(self, code: str, text: str, unit: str = "") -> None:
        super().__init__(code, text, unit)
        self.text, self.unit = text, unit


def parse_mm(text: str) -> Fraction:
    """Read a length, exactly.

    A bare number is millimetres. Several terms add up (``"1 ft 2 in"``); a number may be decimal, with a
    point or a comma, a fraction, or mixed (``"26 1/4"``, ``"13-7/8"``, ``"26¼"``).

    Parameters: ``text``, at most 40 characters, with a minus or a plus before it perhaps. Returns millimetres, which may
    be negative.
    Raises `LengthError` for anything else, also for a comma that may mark thousands. Source of the inch: NIST SP 811.

    >>> parse_mm("26 1/4 in")
    Fraction(2667, 4)
    >>> float(parse_mm("1 ft 2 in")), float(parse_mm('13-7/8"')), float(parse_mm("333.4")), float(parse_mm("10-thou"))
    (355.6, 352.425, 333.4, 0.254)
    >>> parse_mm("2,9") == parse_mm("2.9"), parse_mm("+1/2 in") == parse_mm("1/2 in")
    (True, True)
    """
    if len(text) > _LONGEST_TEXT:
        raise LengthError("length-text-too-long", text)
    plain = _spell_out_fractions(text.strip())
    sign = -1 if plain[:1] in ("-", "−") else 1
    meanings = comma_meanings(plain[1:] if plain[:1] in ("-", "−", "+") else plain)
    if len(meanings) != 1:
        raise LengthError("length-has-comma", text)
    rest = meanings[0]
    total, at = Fraction(0), 0
    while at < len(rest):
        term = _TERM.match(rest, at)
        if term is None:
            raise LengthError("length-unread", text)
        unit = (term["unit"] or "").lower()
        if not unit and (at or term.end() < len(rest)):
            raise LengthError("length-without-unit", text)
        if unit and unit not in _MM_PER_UNIT:
            raise LengthError("length-unit-unknown", text, term["unit"])
        total += _number(term, text) * (_MM_PER_UNIT[unit] if unit else 1)
        at = term.end()
    if not at:
        raise LengthError("length-unread", text)
    return sign * total


def comma_meanings(text: str) -> tuple[str, ...]:
    """What a text can mean by its comma, written without it: a decimal, and thousands where three digits follow.

    Parameters: ``text`` with one number or more. Returns the text itself if it has no comma, and nothing if it has
    several, or one without a digit after it: that is a list, or a slip.

    >>> comma_meanings("2,9 mm"), comma_meanings("0,254"), comma_meanings("1,234"), comma_meanings("670, 671")
    (('2.9 mm',), ('0.254',), ('1.234', '1234'), ())
    """
    if "," not in text:
        return (text,)
    comma = _COMMA.search(text)
    if comma is None or text.count(",") > 1:
        return ()
    before, after = text[: comma.start()], text[comma.end() :]
    decimal = f"{before}{comma[1]}.{comma[2]}{after}"
    return (decimal, f"{before}{comma[1]}{comma[2]}{after}") if _THOUSANDS.fullmatch(comma[0]) else (decimal,)


def _spell_out_fractions(text: str) -> str:
    """Turn ``26¼`` into ``26 1⁄4``."""
    spelt = []
    for char in text:
        expanded = unicodedata.normalize("NFKC", char)
        spelt.append(f" {expanded}" if "⁄" in expanded else char)
    return "".join(spelt)


def _number(term: "re.Match[str]", text: str) -> Fraction:
    if term["decimal"] is not None:
        return Fraction(term["decimal"])
    if int(term["under"]) == 0:
        raise LengthError("length-divides-by-zero", text)
    return Fraction(term["whole"] or 0) + Fraction(int(term["over"]), int(term["under"]))


def format_mm(mm: float, decimals: int = 1) -> str:
    """Millimetres as a rule shows them, without a negative zero.

    Parameters: ``mm``, finite; ``decimals`` behind the point. Returns text with the unit.

    >>> format_mm(666.75), format_mm(-0.01), format_mm(352.425, 2)
    ('666.8 mm', '0.0 mm', '352.43 mm')
    """
    return f"{round_half_up(mm, decimals)} mm"


def round_half_up(value: float, decimals: int) -> str:
    """Decimal text of the nearest number, halves away from zero as on paper, never ``-0.0``.

    Parameters: ``value``, finite; ``decimals`` from 0. Returns text.

    >>> round_half_up(0.25, 1), round_half_up(-0.04, 1), round_half_up(-2.5, 0)
    ('0.3', '0.0', '-3')
    """
    rounded = Decimal(repr(float(value))).quantize(Decimal((0, (1,), -decimals)), ROUND_HALF_UP, _EXACT)
    return f"{rounded or abs(rounded):f}"


def format_inches(mm: float, denominator: int = 64) -> str:
    """The nearest inch fraction, in lowest terms, as a rule is read.

    Parameters: ``mm``, finite; ``denominator``, the finest division of the rule. Returns text with the unit.

    >>> format_inches(666.75), format_inches(25.4), format_inches(0.8), format_inches(-3.2)
    ('26 1/4 in', '1 in', '1/32 in', '-1/8 in')
    """
    parts = int(abs(Fraction(repr(float(mm)))) / MM_PER_INCH * denominator + Fraction(1, 2))
    whole, rest = divmod(parts, denominator)
    fraction = str(Fraction(rest, denominator)) if rest else ""
    sign = "-" if mm < 0 and parts else ""
    return f"{sign}{' '.join(filter(None, (str(whole) if whole or not rest else '', fraction)))} in"
