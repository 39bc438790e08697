"""What is said of guides, besides the guides themselves."""

from collections.abc import Sequence

from jigs.faults import Says, nearest, on_one_line


def guide_unknown(name: str, names: Sequence[str]) -> Says:
    """A name that no guide has.

    >>> guide_unknown("playr", ["player", "bench"]).remedy, guide_unknown("x", ["player", "bench"]).remedy
    ('did you mean "player"?', 'choose player or bench')
    """
    return Says(f'there is no guide "{on_one_line(name)}"', nearest(name, names), "guide-unknown")
