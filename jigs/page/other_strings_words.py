"""What the page says of other strings: labels, what counts for strings of two makes, what "Use the new strings" fills in."""

from collections.abc import Sequence

from jigs.workup.compare_words import half_width

NOW = ("Strings now", "from string 1 on, as on the packets")
NEW = ("New strings", "as on the packet: D4 .011, B3 .013, …; or the gauges alone: .011 .013 …")
MAKE = ("Make", "if you do not know: another make")
"""A field's label and hint, each."""

SAME_MAKE, OTHER_MAKE = "the same make", "another make"

LISTEN_FIRST = "No move is larger than its ±: listen before you move anything."
THEN_LISTEN = "Then retune, and listen to both outer strings."
"""What comes after the move, or before it."""

FOUND_KEPT = "The place found by ear is kept, with the strings it was found with."


def counts_for_two_makes(sure_mm: Sequence[float]) -> str:
    """Which ± counts for old and new strings of different makes. ``sure_mm``: at either end.

    >>> counts_for_two_makes((0.31, 0.92)), counts_for_two_makes((0.3,))
    ('Yours are of different makes: ± 0.3 mm at the treble end and ± 0.9 mm at the bass end count.', \
'Yours are of different makes: ± 0.3 mm counts.')
    """
    ends = [f"{half_width(mm)} at the {end} end" for mm, end in zip(sure_mm, ("treble", "bass"), strict=False)]
    count = f"{' and '.join(ends)} count" if len(ends) > 1 else f"{half_width(sure_mm[0])} counts"
    return f"Yours are of different makes: {count}."


def used(strings: str) -> str:
    """What was filled in.

    >>> used("D4 .011, B3 .013")
    'Filled in as your strings: D4 .011, B3 .013.'
    """
    return f"Filled in as your strings: {strings}."
