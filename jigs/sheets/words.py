"""What this room says of papers, and what every sheet has on it."""

from collections.abc import Iterable

from jigs.faults import Says, nearest

RULER = "Must measure 100 mm and 4 in. If not, print again at 100%."
JOINING = "Joining"
JOINING_STEPS = "Cut through the crosses. Lay the edge on the next piece's crosses. Check the mm with a rule."

_SIZE = "write width x height, for instance 200x300"


def joint_in_words(letter: str, from_nut_mm: float) -> str:
    """What a joint is called and where it is."""
    return f"{letter}  {from_nut_mm:g} mm from the nut"


def unknown_paper(text: str, known: Iterable[str]) -> Says:
    """A name that no paper has."""
    return Says(f'unknown paper "{text}"', f"{nearest(text, known)}, or WxH in mm such as 200x300", "paper-unknown")


def paper_side_unread(text: str) -> Says:
    """A side that is not a length."""
    return Says(f'"{text}" is not a length', _SIZE, "paper-unread")


def paper_perhaps_inches(text: str) -> Says:
    """A size that is too small in millimetres."""
    remedy = "for inches write the unit on both sides, as in 8.5inx11in, or choose letter"
    return Says(f'"{text}" is too small in millimetres', remedy, "paper-in-inches")


def paper_out_of_range(text: str, least_mm: tuple[float, float], most_mm: float) -> Says:
    """A size with no room for rulers and title, or larger than any printer's; ``least_mm`` across and down."""
    across, down = least_mm
    least = f"{across:.0f} mm across and {down:.0f} mm down (for rulers and title)"
    remedy = f"write at least {least}, at most {most_mm:.0f} mm"
    return Says(f'"{text}" is out of range', remedy, "paper-out-of-range")
