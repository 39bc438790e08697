"""What this room says of an instrument that has no answer.

It imports nothing else of the room, so that `workup` can import it.
"""

from geometry.compensation import NoSetbackError
from geometry.spacing import SpacingError
from jigs.faults import Key, Says

_NO_SETBACK = {
    "string-too-stiff": "this string is too stiff for its length and tension",
    "string-too-slack": "this string is too slack: its bridge would be nowhere near the theoretical line",
    "octave-nowhere": "no bridge place makes this string's octave agree with its harmonic",
    "best-nowhere": "no bridge place is best for all frets of this string",
}


def no_setback(error: NoSetbackError) -> Says:
    """A string that the model has no bridge place for."""
    return Says(_NO_SETBACK[error.code], "check note, octave, gauge, core, unit mass and scale", error.code)


def strings_overlap(error: SpacingError, spacing: Key) -> Says:
    """Strings that do not fit side by side. ``spacing``: the key that spreads them."""
    what = f"neighbouring strings would overlap by {error.overlap_mm:.2f} mm"
    return Says(what, ("make ", spacing, " wider, or check gauges and ", Key(spacing.table, "pair_gap")), error.code)
