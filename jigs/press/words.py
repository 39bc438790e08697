"""What this room says of names that cannot be lettered, and of long drawings."""

from jigs.faults import Says


def joined_pieces_too_wide(width_mm: float) -> str:
    """The reason why a long drawing does not fit: it cannot be joined on this paper."""
    crosses = "without its registration crosses, and is to be joined; as one long sheet it needs none"
    return f"it is {width_mm:.0f} mm wide {crosses}"


def not_engravable(characters: str, instead: str) -> Says:
    """Characters of a name that single strokes do not have."""
    return Says(f"{characters} cannot be engraved in single strokes", f"{instead} is drawn instead", "name-unengraved")


def not_in_typeface(characters: str, instead: str) -> Says:
    """Characters of a name that the typeface does not have."""
    return Says(f"the typeface lacks {characters}", f"{instead} is drawn instead", "name-unlettered")


def right_to_left() -> Says:
    """A name in a script that runs from right to left."""
    what = "letters that run from right to left may come out in the wrong order"
    return Says(what, "give it a name in another script", "name-right-to-left")
