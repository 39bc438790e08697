"""Where the bridge stands, as a user writes it."""

import re

from geometry.lengths import LengthError, parse_mm
from jigs.faults import Place
from jigs.input.words import length_unread
from jigs.workup import refusal_words
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
        raise refusal_words.place_unread(length_unread(error)).refusal(Place(option="at")) from None
    low, high = 0.9 * workup.scale_mm, 1.1 * workup.scale_mm
    if len(places) > 2 or not all(low <= place <= high for place in places):
        raise refusal_words.no_place(text, low, high).refusal(Place(option="at"))
    return places[0], places[-1]
