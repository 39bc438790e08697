"""Texts of the instrument file as a form shows them: lengths in millimetres or inches, gauges as packets print them.

Only what is shown changes. The file keeps its own text, so nothing is lost by looking at it in the other unit.
"""

import re
from fractions import Fraction
from typing import Literal

from geometry.lengths import MM_PER_INCH, LengthError, format_inches, parse_mm, round_half_up
from jigs.faults import Wrong
from jigs.input.gauges import Gauge, is_marked_wound, with_w
from jigs.input.quantities import Length, Quantity, has_no_unit
from jigs.instrument.lists import ForEachFret, ForEachString
from jigs.instrument.packets import as_printed
from jigs.instrument.typed import bare, value_of

Unit = Literal["mm", "in"]
Measure = Length | ForEachString | ForEachFret | Quantity
"""What a key that has a unit is declared as."""

_OWN = {"mm": r"mm", "in": r"in|in\.|inch|inches|\"|″|”"}
_NUMBER = r"[\d.,/⁄\s¼-¾⅐-⅞-]*[\d¼-¾⅐-⅞]"
_RULE_MM, _RULE_SHARE = 0.05, 0.01
"""How near a length must be to a sixty-fourth of an inch to be shown as a fraction: absolutely, and as a share of itself."""

_LEAST_IN_THREE_PLACES = 0.01


def shown(text: str, measure: Measure, unit: Unit) -> str:
    """What a form shows for a text of the file, without the unit that stands beside the field.

    A text that cannot be read is shown as it is: its fault quotes it.

    >>> scale = Length(150, 1500, usual=(300, 800))
    >>> [shown(one, scale, "in") for one in ("26 1/4 in", "666.75", "26.25", "670", "long")]
    ['26 1/4', '26 1/4', '26.25', '26.378', 'long']
    >>> [shown(one, scale, "mm") for one in ("26 1/4 in", "666.8", "26.25", "333.4 mm")]
    ['666.75', '666.8', '666.75', '333.4']
    >>> shown("0.254", Gauge(0.1, 4), "mm"), shown("0.024 in w", Gauge(0.1, 4), "in"), shown("0.3", Gauge(0.1, 4), "in")
    ('.010', '.024w', '0.3 mm')
    >>> shown("-1.1, 1.2, 0", ForEachString(-10, 10, ""), "in")
    '-0.043, 3/64, 0'
    """
    if isinstance(measure, Quantity):
        return _without(text, re.escape(measure.units[0]))
    if isinstance(measure, Gauge):
        return _as_on_the_packet(text, measure)
    try:
        if isinstance(measure, Length):
            return _length(text, measure, unit)
        return _list(text, measure, unit)
    except (Wrong, LengthError):
        return text


def is_read_as_inches(text: str, measure: Measure) -> bool:
    """Whether a text without a unit is a length in inches, because millimetres cannot be meant.

    >>> scale = Length(150, 1500, usual=(300, 800))
    >>> is_read_as_inches("26¼", scale), is_read_as_inches("668", scale), is_read_as_inches("26 1/4 in", scale)
    (True, False, False)
    """
    if not isinstance(measure, Length) or isinstance(measure, Gauge) or not has_no_unit(text):
        return False
    try:
        return measure.read(bare(text)) != float(parse_mm(bare(text)))
    except (Wrong, LengthError):
        return False


def in_inches(mm: float) -> str:
    """A length in inches without its unit: as a fraction if a rule has it, else in decimals.

    >>> in_inches(666.75), in_inches(31.8), in_inches(3.0), in_inches(0.1), in_inches(0.0), in_inches(-1.1)
    ('26 1/4', '1 1/4', '0.118', '0.0039', '0', '-0.043')
    """
    inches = Fraction(repr(float(mm))) / MM_PER_INCH
    off = abs(inches - Fraction(round(64 * inches), 64)) * MM_PER_INCH
    if off <= min(_RULE_MM, _RULE_SHARE * abs(mm)):
        return format_inches(mm).removesuffix(" in")
    return round_half_up(float(inches), 3 if abs(inches) >= _LEAST_IN_THREE_PLACES else 4)


def _in_unit(mm: float, unit: Unit) -> str:
    return in_inches(mm) if unit == "in" else round_half_up(mm, 3).rstrip("0").rstrip(".")


def _without(text: str, unit: str) -> str:
    """A number without this unit behind it; any other text as it is."""
    found = re.fullmatch(rf"\s*({_NUMBER})\s*(?:{unit})\s*", text, re.IGNORECASE)
    return found[1] if found else text


def _length(text: str, measure: Length, unit: Unit) -> str:
    mm = measure.read(bare(text))
    plain = _without(text, _OWN[unit])
    if plain != text:
        return plain
    if has_no_unit(text) and is_read_as_inches(text, measure) == (unit == "in"):
        return text
    return _in_unit(mm, unit)


def _list(text: str, measure: ForEachString | ForEachFret, unit: Unit) -> str:
    values = value_of(text, "", "list")
    measure.read(values)
    if not isinstance(values, list) or (unit == "mm" and not any(isinstance(one, str) for one in values)):
        return text
    return ", ".join(_in_unit(float(parse_mm(str(one))), unit) for one in values)


def _as_on_the_packet(text: str, measure: Gauge) -> str:
    try:
        mm = measure.read(value_of(text, "", "length"))
    except Wrong:
        return text
    printed = as_printed(mm)
    return with_w(printed) if is_marked_wound(mm) else printed
