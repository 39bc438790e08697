"""What was heard, as JSON under its stable keys."""

from typing import Any

from jigs.readings.listening import Heard, Listened, What


def heard_dict(listened: Listened) -> dict[str, Any]:
    """What was heard, under its stable keys; a string or a note that is not known is null."""
    return {
        "heard": [_heard_dict(one) for one in listened.heard],
        "differences": [
            {
                "string": one.string + 1,
                "cents": one.difference.cents,
                "standard_error_cents": one.difference.standard_error_cents,
                "pairs": one.difference.pairs,
                **_fret_dict(one.pressed),
            }
            for one in listened.differences
        ],
    }


def _heard_dict(one: Heard) -> dict[str, Any]:
    return {
        "file": one.file,
        "at_s": round(one.at_s, 3),
        "string": None if one.string is None else one.string + 1,
        "what": None if one.what is None else one.what.value,
        **_fret_dict(one),
        "used": one.used,
        "reason": one.reason,
    }


def _fret_dict(one: Heard) -> dict[str, int]:
    """The fret of a note that is not at the octave."""
    return {"fret": one.fret} if one.what is What.FRET and one.fret is not None else {}
