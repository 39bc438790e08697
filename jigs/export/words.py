"""What the export says of formats."""

from collections.abc import Iterable

from jigs.faults import Says, nearest


def unknown_format(name: str, known: Iterable[str]) -> Says:
    """A format that cannot be had here."""
    return Says(f'unknown format "{name}"', nearest(name, known), "format-unknown")
