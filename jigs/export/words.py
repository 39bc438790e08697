"""What the export says of formats."""

from collections.abc import Iterable, Sequence

from jigs.faults import Says, either, nearest


def unknown_format(name: str, known: Iterable[str]) -> Says:
    """A word that is not a format."""
    return Says(f'unknown format "{name}"', nearest(name, known), "format-unknown")


def format_not_here(name: str, here: Sequence[str]) -> Says:
    """A format of other drawings."""
    return Says(f"this drawing is not written as {name}", f"choose {either(here)}", "format-not-here")
