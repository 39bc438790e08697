"""What this room says of formats that are unknown."""

from collections.abc import Sequence

from jigs.faults import Says, nearest


def unknown_format(name: str, known: Sequence[str]) -> Says:
    """A name that is not a format's, or not of one that is made here."""
    return Says(f'unknown format "{name}"', nearest(name, known), "format-unknown")
