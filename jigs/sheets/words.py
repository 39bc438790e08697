"""What this room says of papers that are unknown or too small, and what every sheet has on it."""

from collections.abc import Sequence

from jigs.faults import Option, Says, Words, either, nearest

RULER = ("Must measure 100 mm and 4 in.", "If not, print again at 100%.")
NOT_TO_SCALE = "Not to scale"
CONTINUED = "continued"
DATE, UNIT = "Date", "mm"
NO_ROOM_FOR_HEADING = "there is no room for the heading beside it"
NO_ROOM_FOR_WORDS = "the words are longer than a sheet"
PART_WITH_WORDS = "words"
TOO_SHORT_TO_JOIN = "its pieces would be too short to join"
JOINING = "Tape together"
JOINING_STEPS = (
    "Cut each piece off at its foot, through its crosses.",
    "Lay that edge on the next piece's crosses, A on A. Tape it.",
)


def taped(letter: str) -> str:
    """What is written beside a joint in the picture of the pieces.

    >>> taped("A")
    'A, tape'
    """
    return f"{letter}, tape"


def scale_in_words(scale: str) -> str:
    """The scale as ISO 5455 writes it; empty where nothing is drawn to scale.

    >>> scale_in_words("1:1"), scale_in_words("")
    ('Scale 1:1', 'Not to scale')
    """
    return f"Scale {scale}" if scale else NOT_TO_SCALE


def sheet_in_words(sheet: int, sheets: int) -> str:
    """A sheet's number among those of a drawing."""
    return f"Sheet {sheet} of {sheets}"


def not_to_be_joined(width_mm: float) -> str:
    """Why a long drawing cannot be cut for a paper, for the refusal."""
    return f"it is {width_mm:.0f} mm wide with the crosses that its sheets are joined by"


def joint_in_words(letter: str, from_nut_mm: float, counts_from: str) -> str:
    """What a joint is called and where it is; ``counts_from`` the nut, or the zero fret."""
    return f"{letter}  {from_nut_mm:g} mm from the {counts_from}"


def unknown_paper(text: str, known: Sequence[str]) -> Says:
    """A name that is not a paper's, nor a size."""
    near = nearest(text.strip().lower(), known)
    other = " Or write" if near.endswith("?") else ", or write"
    return Says(f'unknown paper "{text}"', f"{near}{other} WxH in mm such as 200x300", "paper-unknown")


def size_unread(text: str) -> Says:
    """A size with a side that is not a length."""
    return Says(f'"{text}" is not a size of paper', "write width x height, for instance 200x300", "paper-size-unread")


def perhaps_inches(text: str, in_inches: Sequence[str]) -> Says:
    """A size that is too small in millimetres and makes sense in inches. ``in_inches``: its sides, if they have no unit."""
    size = f"write {'x'.join(in_inches)}" if in_inches else "write the unit on both sides, as in 8.5inx11in"
    remedy = f"for inches {size}, or write letter"
    return Says(f'"{text}" is too small in millimetres', remedy, "paper-perhaps-inches")


def out_of_range(text: str, least_mm: tuple[float, float], most_mm: float) -> Says:
    """A size that holds no ruler, or that no printer takes."""
    across, down = least_mm
    remedy = (
        f"write at least {across:.0f} mm across and {down:.0f} mm down (for rulers and title), at most {most_mm:.0f} mm"
    )
    return Says(f'"{text}" is out of range', remedy, "paper-out-of-range")


def does_not_fit(what: str, paper: str, reason: str, papers: Sequence[str], also: Words) -> Says:
    """A drawing that is too large for its paper, with the papers that are large enough."""
    said = f"{what} does not fit on {paper}: {reason}"
    take = (f"choose {either(papers)}",) if papers else ("give a larger sheet as ", Option("paper", "WxH"), ", in mm")
    return Says(said, (*take, *((also,) if isinstance(also, str) else also)), "paper-too-small")
