"""The lettering of the two pictures of this room: the log, and the bridge before and after."""

from collections.abc import Iterable

from geometry.readings import Verdict
from jigs.wording import signed

LOG_DOCUMENT = "Readings, round by round"
SHOWN_LIMIT = "what the readings can show: between these lines a string counts as right"
AIM = "the aim: what the fretted note should read against the harmonic"
CENTS_AXIS = "cents: up is sharp (bridge too near the nut), down is flat (too far)"
TOO_NARROW, TOO_SHORT = "it is too narrow", "it is too short"

MOVES_DOCUMENT = "The bridge before and after"
TO_THE_NUT = "to the nut"
NOT_THE_PLACE = "No move is drawn: something else is wrong, not the bridge's place."
NO_PLACE_READ = "No move is drawn: these readings do not place the bridge."


TITLES = {
    "verdict-stop": "Stop. Leave the bridge here",
    "verdict-read-again": "Read again, three times each",
    "verdict-read-next": "Right so far: read the others",
    "verdict-move": "Move, retune, read again",
    "verdict-check-first": "Move, then check the first string",
    "verdict-something-else": "Something else is wrong",
}
"""The job after a step, by the kind of its verdict's line."""

_KINDS = {
    Verdict.STOP: "verdict-stop",
    Verdict.MOVE: "verdict-move",
    Verdict.CHECK_FIRST: "verdict-check-first",
    Verdict.SOMETHING_ELSE: "verdict-something-else",
}
"""The same where a log of an earlier version has no kinds."""

READ = "What was read"
ROUND = "round"


def title_after(kinds: Iterable[str], verdict: str) -> str:
    """The job after a step, in a few words; of a verdict that another version wrote, that verdict.

    >>> title_after(("reading", "verdict-read-again"), "stop"), title_after((), "stop"), title_after((), "")
    ('Read again, three times each', 'Stop. Leave the bridge here', 'What was read')
    """
    known = [kind for kind in kinds if kind in TITLES]
    known += [kind for one, kind in _KINDS.items() if one.value == verdict]
    return TITLES[known[0]] if known else f"{verdict[:1].upper()}{verdict[1:]}" or READ


def move_title(ends: Iterable[str], all_ends: int) -> str:
    """The job of a move, by the ends that go.

    >>> move_title(["treble", "bass"], 2), move_title(["bass"], 2), move_title(["treble"], 1), move_title([], 2)
    ('Move both ends', 'Move the bass end', 'Move the bridge', 'Leave the bridge')
    """
    going = list(ends)
    if not going:
        return "Leave the bridge"
    if all_ends < 2:
        return "Move the bridge"
    return f"Move the {going[0]} end" if len(going) == 1 else "Move both ends"


def step_in_short(step: int) -> str:
    """A step of the log by its number."""
    return f"Round {step}"


def off_its_aim(cents: float) -> str:
    """How far a string is from what it is meant to read, where that is not its harmonic.

    >>> off_its_aim(-0.32)
    '−0.3 cents off its aim'
    """
    return f"{signed(cents, 1)} cents off its aim"


def log_subject(paper: str) -> str:
    """What the file of the log's picture holds."""
    return f"Cents off in each round, on {paper}"


def scale_along(times: int) -> str:
    """The scale of the picture of the moves.

    >>> scale_along(10), scale_along(1)
    ('Along the neck 10 times as large as across.', 'Along the neck as large as across.')
    """
    return f"Along the neck {f'{times} times ' if times > 1 else ''}as large as across."


HEARD_DOCUMENT = "What was heard"
HEARD = "What was heard"
MEAN = "mean"
FLAT_WAY, SHARP_WAY = "− flat: towards the nut", "+ sharp: towards the tail"
PARTIALS_AXIS = "level in dB, over the partials of the pressed note"
DOT_MEANS = "a pressed note less its octave harmonic, in cents as on the fork, and its 95%"
FRET_DOT_MEANS = "a note less its harmonic (octave) or less the open string (fret), in cents, and its 95%"
MEANT_MEANS = "what this string is meant to read"
STEMS_MEAN = "partials of the last two notes: ring for the open string or harmonic, wide line for the pressed note"


def mean_means(touch_cents: float) -> str:
    """What the mean's mark shows.

    >>> mean_means(0.7)
    'the mean at the octave and its 95%, with a touch good to 0.7 cents'
    """
    unit = "cent" if touch_cents == 1 else "cents"
    return f"the mean at the octave and its 95%, with a touch good to {touch_cents:g} {unit}"


def plucks_used(used: int, heard: int) -> str:
    """How much of what was heard counts.

    >>> plucks_used(6, 8)
    '6 of 8 plucks used'
    """
    return f"{used} of {heard} {'pluck' if heard == 1 else 'plucks'} used"


def at_fret(fret: int) -> str:
    """A fret in the label of a row.

    >>> at_fret(5)
    'fret 5'
    """
    return f"fret {fret}"


def heard_subject(paper: str) -> str:
    """What the file of the picture of what was heard holds."""
    return f"Differences in cents and partials, on {paper}"
