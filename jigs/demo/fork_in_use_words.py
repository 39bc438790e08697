"""The words in and about the picture of a fork in use."""

TITLE = "A placement fork in use on a banjo"

FORK = "the fork, under the strings"
FEET = ("the bridge's feet", "on the fork's line")
SCALE = "a scale in cents"
TO_NUT, TO_TAIL = "to the nut", "to the tail"


def edge(fret: int) -> tuple[str, ...]:
    """What the fork's top edge lies against, line by line."""
    return "the fork's top edge against", f"the bridge side of fret {fret}"


def subject(name: str, fret: int) -> str:
    """What the picture shows, for those who cannot see it."""
    return (
        f"{name} from above, the nut to the left; not at true size. The fork lies on the head, under the strings. Its top"
        f" edge is against the bridge side of fret {fret}. The nut side of the bridge's feet is on the line of both legs."
    )
