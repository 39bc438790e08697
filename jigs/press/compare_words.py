"""The lettering of the picture of a comparison: a title, steps, what the lines are, cautions."""

from jigs.faults import Note
from jigs.templates import instructions

MOVE_TITLE = "New strings: move the bridge"
LEAVE_TITLE = "New strings: leave the bridge"
DOCUMENT = "The bridge with other strings"

OLD_LINE = "the crown with the old strings"
NEW_LINE = "the crown with the new strings"
STAYS = "stays"
CAUTIONS = (*instructions.CAUTIONS[:2], instructions.CAUTIONS[3])

TOO_NARROW, TOO_SHORT = "it is too narrow", "it is too short"


def enlarged(times: int, moves: bool) -> str:
    """How the picture shows the moves, if there are any.

    >>> enlarged(50, True), enlarged(1, True), enlarged(100, False)
    ('The old crown is drawn square; the moves are 50 times as large.', 'The old crown is drawn square.', \
'The crown is drawn square.')
    """
    larger = f"; the moves are {times} times as large" if times > 1 and moves else ""
    return f"The {'old ' if moves else ''}crown is drawn square{larger}."


def steps(moves: bool, compare: str, on: str) -> tuple[str, ...]:
    """What to do, in the order of the hands.

    ``compare``: what to compare by ear, as the end of an order. ``on``: what the bridge stands on.
    """
    change = "Change the strings one at a time. The others hold the bridge."
    listen = f"Retune. On both outer strings, {compare}."
    if not moves:
        return change, listen
    mark = f"First mark the nut side of the bridge's {on}, on low-tack tape."
    return mark, change, f"Slacken the strings. Hold the bridge at its {on}, and move it as drawn.", listen


def subject(paper: str) -> str:
    """What the file of the picture holds."""
    return f"How far the bridge moves for other strings, on {paper}"


def caution(note: Note) -> str:
    """What is worth knowing, as a caution on the sheet."""
    text = str(note)
    return f"{text[:1].upper()}{text[1:]}."


def facts(moves: str) -> str:
    """The line of figures in the title block."""
    return f"{moves} (plus is towards the tail)"
