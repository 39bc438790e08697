"""What this room says of plucks that were heard, and why some are not used."""

from jigs.faults import Says

REFUSED = {
    "too-short": "it rang too short: let it ring for a second",
    "too-quiet": "it is too quiet: pluck harder, or nearer to the microphone",
    "clipped": "it is too loud for the microphone: pluck softer, or farther from it",
    "other-string": "another string rings: damp the other strings",
    "two-pitches": "two pitches: damp one string of the pair",
    "wrong-string": "it is another note: check the string and the fret, and tune it first",
    "unsteady": "its pitch wavers: pluck once, and hold string and finger still",
    "too-few-pairs": "too few partials can be compared: pluck nearer to the bridge",
    "which-string": "two strings have this note: give --string",
    "no-reference": "no open string of it was heard: pluck that too",
    "no-pressed": "no pressed note to compare it with",
    "not-open": "that was the octave: pluck the open string",
    "not-pressed": "that was the open string: press at the octave and pluck",
}
"""Why a pluck is not used, and what to do about it, by its code."""


def why_not(code: str) -> str:
    """Why a pluck is not used; a code without a sentence, as it is.

    >>> why_not("two-pitches")
    'two pitches: damp one string of the pair'
    """
    return REFUSED.get(code, code)


def not_partials() -> Says:
    """Something else where a pluck's partials are meant."""
    return Says("this is not a pluck that was heard", "pluck again", "partials-unread")
