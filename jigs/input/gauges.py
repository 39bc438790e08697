"""Gauges of strings as packets print them: ``.010``, ``010``, ``10``, ``#10``, ``.024w``. See `Gauge`."""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from geometry.lengths import MM_PER_INCH, LengthError
from jigs.faults import Says, Wrong
from jigs.input import words
from jigs.input.quantities import ENDLESS, Length

GAUGES = ("gauge", "core")
"""The keys that hold a gauge."""

LEAST_THOUSANDTHS = 5
"""No string is thinner, so a smaller number is not thousandths of an inch. Common practice, no source."""

_BARE = re.compile(r"(?P<counted>#)?\s*(?P<number>\d{1,15}(?:\.\d{0,15}|,\d{1,15})?|[.,]\d{1,15})", re.ASCII)
_POINT_LEFT_OUT = re.compile(r"0\d+")
_AS_PRINTED = re.compile(r"\.\d{3,}")
_NOUGHT_LEFT_OUT = re.compile(r"\.[1-9]\d")
_WOUND_OTHERWISE = re.compile(
    r"(?:wound|w)\s*(?P<after>[#.,\d].*)|(?P<before>.*\S)\s*(?:wound|wnd)", re.IGNORECASE | re.ASCII
)


class WireGauge(float):
    """A string's diameter in mm, which knows whether the packet marks it as wound."""

    wound = False


class _Meaning(NamedTuple):
    """What a bare number can mean, and how it is written without doubt."""

    mm: Fraction
    written: str


@dataclass(frozen=True)
class Gauge(Length):
    """A string's gauge as packets print it, or with a unit: a `Length` that knows what a bare number can be.

    It can be millimetres, inches, or from 5 up thousandths of an inch, within the bounds of the gauge. Three digits or more
    after a leading point are inches, and so are three digits that begin with a zero: packets print both. Two digits after a
    leading point may lack a zero. ``#`` counts thousandths.

    A w marks a wound string; ``may_be_wound``: whether one can be meant.
    """

    may_be_wound: bool = True

    def read(self, value: object) -> float:
        """Millimetres for what the file says, a `WireGauge`. Raises `Wrong`.

        >>> gauge = Gauge(0.1, 4, "a string", "thin", "thick")
        >>> [gauge.read(one) for one in (".010", "010", 10, "10 thou", "#10", 0.010, "0,254", "0.010 in")] == 8 * [0.254]
        True
        >>> gauge.read("24W"), gauge.read("24W").wound, gauge.read(0.6096).wound
        (0.6096, True, False)
        """
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise Wrong(words.gauge_unread(words.no_length(value, self.low, self.high).what))
        if isinstance(value, str):
            return self._read_packet(value)
        return self._of_number(value, repr(value)) if 0 < value < ENDLESS else WireGauge(super().read(value))

    def _read_packet(self, text: str) -> WireGauge:
        plain = text.strip()
        otherwise = _WOUND_OTHERWISE.fullmatch(plain)
        if otherwise:
            raise Wrong(self._wound_otherwise(text, otherwise["after"] or otherwise["before"]))
        wound = plain[-1:] in ("w", "W")
        plain = plain[:-1].rstrip() if wound else plain
        if wound and not self.may_be_wound:
            raise Wrong(words.wound_core(text, plain))
        bare = _BARE.fullmatch(plain)
        if bare:
            gauge = self._of_number(text, bare["number"].replace(",", "."), bool(bare["counted"]), wound)
        else:
            gauge = WireGauge(self._read_text(plain))
        gauge.wound = wound
        return gauge

    def _wound_otherwise(self, text: str, plain: str) -> Says:
        """What is wrong with W24 or 24 wound; ``plain``: the rest of it."""
        if not self.may_be_wound:
            return words.wound_core(text, plain)
        corrected = with_w(plain)
        try:
            self.read(corrected)
        except Wrong as error:
            return error.says
        return words.wound_otherwise(text, corrected)

    def _of_number(self, value: object, number: str, counted: bool = False, wound: bool = False) -> WireGauge:
        """The gauge that a number without a unit means. Raises `Wrong` if it means none, or several."""
        meanings = self._meanings(value, number, counted)
        if len({one.mm for one in meanings}) > 1:
            written = (with_w(one.written) if wound else one.written for one in meanings)
            raise Wrong(words.gauge_of_two_meanings(value, written))
        return WireGauge(float(meanings[0].mm))

    def _meanings(self, value: object, number: str, counted: bool) -> list[_Meaning]:
        """What a number without a unit can mean, within the bounds. ``counted``: in thousandths. Raises `Wrong` for none."""
        size = Fraction(number)
        inches = _Meaning(size * MM_PER_INCH, f"{number} in")
        thousandths = _Meaning(size * MM_PER_INCH / 1000, f"{number.lstrip('0')} thou")
        if counted:
            possible = [thousandths if size >= 1 else inches]
        elif _POINT_LEFT_OUT.fullmatch(number):
            unit = "" if _AS_PRINTED.fullmatch(f".{number}") else " in"
            decimals = _Meaning(Fraction(f".{number}") * MM_PER_INCH, f".{number}{unit}")
            possible = [decimals] if len(number) == len("010") else [decimals, thousandths]
        elif _AS_PRINTED.fullmatch(number):
            possible = [inches]
        else:
            possible = [inches, _Meaning(size, f"{number} mm"), *([thousandths] if size >= LEAST_THOUSANDTHS else [])]
            if _NOUGHT_LEFT_OUT.fullmatch(number):
                possible.insert(0, _Meaning(inches.mm / 10, f".0{number[1:]}"))
        fitting = [one for one in possible if self._holds(float(one.mm))]
        if not fitting:
            raise Wrong(self.fault(value, float(max(one.mm for one in possible)), bare=False))
        return fitting

    def unread(self, error: LengthError) -> Says:
        """What is wrong with a text that cannot be read."""
        return words.gauge_unread(words.length_unread(error, self.low, self.high).what)

    def out_of_bounds(self, value: object, size: str) -> Says:
        """What is wrong with a gauge that is too ``size``, in any unit."""
        return words.no_such_gauge(value, size, self.of, self.low, self.high)


def with_w(plain: str) -> str:
    """A gauge as a wound string's.

    >>> with_w("24"), with_w("24 thou")
    ('24w', '24 thou w')
    """
    return f"{plain}{' ' * plain[-1].isalpha()}w"


def is_marked_wound(gauge: object) -> bool:
    """Whether a gauge was written with the w of a wound string."""
    return isinstance(gauge, WireGauge) and gauge.wound
