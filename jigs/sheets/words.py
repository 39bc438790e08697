"""What this room says of papers that are unknown or too small."""

from collections.abc import Sequence

from geometry.lengths import LengthError
from jigs.faults import Option, Says, Words, either, nearest


def unknown_paper(text: str, known: Sequence[str]) -> Says:
    """A name that is not a paper's, nor a size."""
    remedy = f"{nearest(text.strip().lower(), known)}, or write WxH in mm such as 200x300"
    return Says(f'unknown paper "{text}"', remedy, "paper-unknown")


def size_unread(error: LengthError) -> Says:
    """A side of a paper that is no length."""
    return Says(f'"{error.text}" is not a length', "give width x height, for instance 200x300", "paper-size-unread")


def perhaps_inches(text: str) -> Says:
    """A size that is too small in millimetres and would do in inches."""
    remedy = "for inches name the unit on both sides, as in 8.5inx11in, or write letter"
    return Says(f"{text} is too small in millimetres", remedy, "paper-perhaps-inches")


def out_of_range(text: str, least_mm: tuple[float, float], most_mm: float) -> Says:
    """A size that holds no ruler, or that no printer takes."""
    across, down = least_mm
    remedy = (
        f"write at least {across:.0f} mm across and {down:.0f} mm down (for rulers and title), at most {most_mm:.0f} mm"
    )
    return Says(f"{text} is out of range", remedy, "paper-out-of-range")


def does_not_fit(what: str, paper: str, reason: str, papers: Sequence[str], also: Words) -> Says:
    """A drawing that is too large for its paper, with the papers that would do."""
    said = f"{what} does not fit on {paper}: {reason}"
    take = (f"choose {either(papers)}",) if papers else ("give a larger sheet as ", Option("paper", "WxH"), ", in mm")
    return Says(said, (*take, *((also,) if isinstance(also, str) else also)), "paper-too-small")
