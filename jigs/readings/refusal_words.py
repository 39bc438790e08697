"""What this room says of readings that have no answer.

It imports nothing else of the room, so that `advice` can import it.
"""

from geometry.readings import ReadingError
from jigs.faults import Says

_WHAT = {
    "string-unread": "a string has no reading",
    "reading-nowhere": "no bridge place makes these strings read that",
    "readings-not-straight": "no straight bridge suits these readings",
}


def readings_impossible(error: ReadingError) -> Says:
    """Readings that the model has no bridge place for."""
    return Says(_WHAT[error.code], "check strings and scale, and read again", error.code)
