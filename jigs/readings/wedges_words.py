"""What this room says of wedges: readings that cannot be, and what to set them to."""

from jigs.faults import Option, Says
from jigs.input.words import shown
from jigs.wording import signed


def no_readings(text: str) -> Says:
    """Something else where the readings of two wedges are meant."""
    remedy = 'write treble and bass in cents, as in "+3 / -5.5"'
    return Says(f"{shown(text)} is not a pair of wedge readings", remedy, "wedges-unread")


def beyond_the_scale(text: str, flat: int, sharp: int) -> Says:
    """Readings that are not on the scales."""
    what = f"{shown(text)} is beyond the scale of these wedges, {signed(-flat, 0)} to {signed(sharp, 0)} cents"
    return Says(what, "read both where their leg's outer edge meets the scale", "wedges-beyond-scale")


def without_wedges(feet_mm: float, on: str) -> Says:
    """Readings of wedges that no gauge of this instrument has. ``on``: what the bridge stands on."""
    what = f"a gauge for {feet_mm:g} mm of {on} has no wedges"
    return Says(what, ("measure the place, and give ", Option("feet-from-fret")), "wedges-none")


def set_to(treble_cents: float, bass_cents: float, zero: str, stays: bool) -> str:
    """What to set both wedges to, or what they read where the bridge ``stays``."""
    order = "Wedges at this place" if stays else "Set both wedges"
    cents = f"treble {signed(treble_cents, 1)} cents, bass {signed(bass_cents, 1)} cents"
    return f"{order}: {cents}. Their zero is the {zero} line."


ENDS_MOVE = "The ends of the bridge then move:"


def not_on_scale(ends: tuple[str, ...], flat: int, sharp: int) -> str:
    """Settings that the scales do not reach."""
    which = "Both scales end" if len(ends) > 1 else f"The {ends[0]} scale ends"
    return f"{which} at {signed(-flat, 0)} and {signed(sharp, 0)}: move that end by its millimetres."
