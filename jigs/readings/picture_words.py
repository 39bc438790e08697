"""The lettering of the two pictures of this room: the log, and the bridge before and after."""

from jigs.wording import signed

LOG_DOCUMENT = "Readings, step by step"
SHOWN_LIMIT = "what the readings can show: between these lines a string counts as right"
AIM = "the aim: what the fretted note should read against the harmonic"
CENTS_AXIS = "cents: up is sharp (bridge too near the nut), down is flat (too far)"
TOO_NARROW, TOO_SHORT = "it is too narrow", "it is too short"

MOVES_DOCUMENT = "The bridge before and after"
TO_THE_NUT = "to the nut"
NOT_THE_PLACE = "No move is drawn: something else is wrong, not the bridge's place."
NO_PLACE_READ = "No move is drawn: these readings do not place the bridge."


def off_its_aim(cents: float) -> str:
    """How far a string is from what it is meant to read, where that is not its harmonic.

    >>> off_its_aim(-0.32)
    '−0.3 cents off its aim'
    """
    return f"{signed(cents, 1)} cents off its aim"


def log_subject(paper: str) -> str:
    """What the file of the log's picture holds."""
    return f"Cents off at each step, on {paper}"


def scale_along(times: int) -> str:
    """The scale of the picture of the moves.

    >>> scale_along(10), scale_along(1)
    ('Along the neck 10 times as large as across.', 'Along the neck as large as across.')
    """
    return f"Along the neck {f'{times} times ' if times > 1 else ''}as large as across."
