"""What is written on the rules for nut and bridge and beside them: which edge goes where, and what to do."""

from geometry.lengths import round_half_up
from geometry.spacing import Spaced
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.templates import crown_words
from jigs.templates.instructions import CAUTIONS
from jigs.wording import with_minus
from jigs.workup.edge_clearance import EdgeClearance, edge_clearances
from jigs.workup.words import nut_cuts_in_words, saddle_in_words
from jigs.workup.workup import Workup

TITLE = "Spacing: mark the strings here"
DATUM = "ticked edges on the nut and on the crown"
HEADS = ("string", "from bass", "in inches", "to next", "gap", "nut end")
NUT_TITLE, BRIDGE_TITLE = "Nut rule", "Bridge rule"
_BRIDGE_EDGE = "↓ Hold this edge along the crown, the strip on the tail side."


def spaced_in_words(spaced: Spaced) -> str:
    """What is equal from string to string."""
    return "equal centres" if spaced is Spaced.CENTRES else "equal gaps between string edges"


def nut_table(width: float, spaced: Spaced) -> str:
    """What the numbers for the nut are of."""
    return f"Nut: board {round_half_up(width, 1)} mm wide, {spaced_in_words(spaced)}"


def bridge_table(length: float, spaced: Spaced, on: str) -> str:
    """What the numbers for the bridge are of. ``on``: what it stands on."""
    return f"Bridge: {round_half_up(length, 1)} mm across the {on}, {spaced_in_words(spaced)}"


def nut_edge(workup: Workup, compensated: bool) -> str:
    """What the lower edge of the nut's rule is laid on."""
    on = "along the zero fret" if workup.instrument.nut.zero_fret else "on the board's end"
    if not compensated:
        return f"↑ Lay this edge {on}."
    return f"↑ Lay the inner line {on}. Short marks: where each string leaves the nut."


def bridge_edge(whole: bool) -> str:
    """What the upper edge of the bridge's rule is held to; only the ``whole`` strip is as long as the feet."""
    return _BRIDGE_EDGE if whole else f"{_BRIDGE_EDGE} Its middle is the bridge's."


def spacing_words(workup: Workup, compensated: bool, whole_bridge: bool, with_pattern: bool) -> Instructions:
    """Everything that the sheet says around its drawings."""
    pattern = (crown_words.spread_in_words(workup), saddle_in_words(workup)) if with_pattern else ()
    cuts = nut_cuts_in_words(workup)
    return Instructions(
        title=TITLE,
        datum=DATUM,
        steps=(*_steps(workup, compensated, whole_bridge), *(_pattern_steps(workup) if with_pattern else ())),
        legend=_legend(workup, with_pattern),
        notes=(*_clear_of_the_edges(workup), *([cuts] if cuts else ()), *pattern),
        cautions=CAUTIONS[1:3],
    )


def _steps(workup: Workup, compensated: bool, whole_bridge: bool) -> tuple[str, ...]:
    line = "inner line" if compensated else "ticked edge"
    on = "along the zero fret" if workup.instrument.nut.zero_fret else "on the board's end"
    with_ends = f"Line up its ends with the {workup.instrument.stands_on}"
    ends = with_ends if whole_bridge else "Line up its middle with the bridge's"
    return (
        crown_words.RULERS_STEP,
        "Cut both rules out along the wide lines.",
        f"Lay the nut rule on the nut, its {line} {on}.",
        "Line up its ends with the board's edges. Mark the nut at each tick.",
        "Hold the bridge rule to the bridge's tail side, ticks along the crown.",
        f"{ends}. Mark the crown at each tick.",
    )


def _pattern_steps(workup: Workup) -> tuple[str, ...]:
    return crown_words.pattern_steps(workup, "Cut the crown pattern out along its outline.")


def _legend(workup: Workup, with_pattern: bool) -> tuple[tuple[Role, str], ...]:
    if not with_pattern:
        return ((Role.CUT, "cut here"), (Role.CENTRE, "middle"))
    return (
        (Role.CUT, f"cut here; on the pattern, {crown_words.bearing_line(workup)}"),
        (Role.CENTRE, "middle; on the pattern, the crown line"),
        crown_words.grey(workup),
    )


def _clear_of_the_edges(workup: Workup) -> tuple[str, ...]:
    """How far the outer strings keep from the board's edges, and where that width comes from."""
    board = workup.instrument.board
    pairs: dict[int, list[EdgeClearance]] = {}
    for one in edge_clearances(workup):
        pairs.setdefault(one.fret, []).append(one)
    places = [
        f"{f'fret {fret}' if fret else 'nut'}: {' / '.join(with_minus(one.mm, 1) for one in both)} mm"
        for fret, both in pairs.items()
    ]
    guessed = board.end_width is None and board.fret_12_width is None
    guess = " Beyond the nut this is a guess: the end's width is not in the file." if guessed else ""
    return (f"Outer strings to the board's edges, bass / treble: {'; '.join(places)}.{guess}",)
