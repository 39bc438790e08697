"""Where the bridge stands, as a user writes it."""

import re

from geometry.lengths import LengthError, format_inches, parse_mm
from jigs.faults import old_refuse
from jigs.input import words
from jigs.workup.workup import Workup

_TWO_PLACES = re.compile(r"\s*(\d{2,}\.?\d+)\s*/\s*(\d{2,}\.?\d+)\s*", re.ASCII)


def read_place(text: str, workup: Workup) -> tuple[float, float]:
    """Where the bridge stands: one length, or treble and bass with a slash between, spaced unless both are plain numbers.

    Raises `InputFaults`.
    """
    plain = _TWO_PLACES.fullmatch(text)
    sides = plain.groups() if plain else text.split(" / ")
    try:
        places = [float(parse_mm(side)) for side in sides]
    except LengthError as error:
        what = words.length_unread(error).what
        raise old_refuse("--at", f'{what}; write for instance "670.1 mm", or two places as "668.9 / 671.2"') from None
    low, high = 0.9 * workup.scale_mm, 1.1 * workup.scale_mm
    if len(places) > 2 or not all(low <= place <= high for place in places):
        what = (
            f'"{text}" is no place for this bridge; give the distance of its crown from the nut, {low:.0f} to {high:.0f} mm,'
            f" or in inches with the unit, {format_inches(low, 8)} to {format_inches(high, 8)}"
        )
        raise old_refuse("--at", what)
    return places[0], places[-1]
