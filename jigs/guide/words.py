"""What is said of guides, besides the guides themselves."""

from collections.abc import Sequence

from jigs.faults import Says, on_one_line


def guide_unknown(name: str, names: Sequence[str]) -> Says:
    """A name that no guide has.

    >>> guide_unknown("playr", ["player", "bench"]).remedy
    'choose player, bench'
    """
    return Says(f'there is no guide "{on_one_line(name)}"', f"choose {', '.join(names)}", "guide-unknown")
