"""Where the bridge stands: its places as the user writes them, and the line through them."""

import re

from geometry.lengths import LengthError, parse_mm
from jigs.faults import Place
from jigs.workup import fault_words as words
from jigs.workup.workup import Workup

_TWO_PLACES = re.compile(r"\s*(\d{2,}\.?\d+)\s*/\s*(\d{2,}\.?\d+)\s*", re.ASCII)


def read_place(text: str, workup: Workup) -> tuple[float, float]:
    """Where the bridge stands: one length, or treble and bass with a slash between.

    Two lengths with a unit need spaces around the slash, because inches have one too.

    Raises `InputFaults`.
    """
    plain = _TWO_PLACES.fullmatch(text)
    sides = plain.groups() if plain else text.split(" / ")
    try:
        places = [float(parse_mm(side)) for side in sides]
    except LengthError as error:
        if any(side.count("/") > 1 for side in sides):
            raise words.too_many_places(text).refusal(Place(option="at")) from None
        raise words.place_unread(error).refusal(Place(option="at")) from None
    if len(places) > 2:
        raise words.too_many_places(text).refusal(Place(option="at"))
    low, high = 0.9 * workup.scale_mm, 1.1 * workup.scale_mm
    if not all(low <= place <= high for place in places):
        raise words.no_place_for_a_bridge(text, low, high).refusal(Place(option="at"))
    return places[0], places[-1]
