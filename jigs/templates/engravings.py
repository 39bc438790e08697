"""Words engraved on a part: which instrument it is for, which side is which, and a line for the date.

They take the room that the part has: a name breaks, or falls back to a shorter one, and what has no room at all is left off.
Places follow the instrument's hand, because words are never mirrored.
"""

from collections.abc import Sequence

from jigs.cutting import engraving
from jigs.cutting.labels import NAME
from jigs.drawing.items import Anchor, Drawing, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, MEDIUM, SMALL, wrapped
from jigs.templates.names import engraved_names
from jigs.workup.workup import Workup

BASS, TREBLE, DATE, TO_NUT = "bass", "treble", "date", "to nut"

_ASIDE_MM = 3.0
_BELOW_MM = 4.0
_STEP_MM = SMALL * LINE_STEP
_DATE_MM = 18.0
_BLANK_GAP_MM = 1.0
_MOST_NAME_LINES = 3
_ARROW_MM, _ARROW_HALF_MM = 3.0, 1.8
_ARROW_ROOM_MM = 12.0


def in_two_columns(
    workup: Workup, stem: str, bass: Sequence[str], treble: Sequence[str], top: float, foot: float, half: float
) -> Drawing:
    """Either side of a centreline: the name, ``bass`` and the date, and ``treble``; below them an arrow to the nut.

    Without room for ``bass`` and ``treble`` the sides' names, the instrument's and the date are left, or nothing.
    """
    room, first = half - 2 * _ASIDE_MM, top + _BELOW_MM + SMALL
    most = int((foot - _ASIDE_MM - first) / _STEP_MM) + 1
    for more in (bass, treble), ((), ()):
        of_bass, of_treble = (broken_lines(lines, room) for lines in more)
        name = _name_lines(workup, stem, room, most - len(of_bass) - 2)
        columns = [BASS, *name, *of_bass, DATE], [TREBLE, *of_treble]
        if name and len(columns[1]) <= most and _widest(columns[1]) <= room:
            break
    else:
        return Drawing()
    lefts = (-half + _ASIDE_MM, _ASIDE_MM) if workup.instrument.head.hand == "right" else (_ASIDE_MM, -half + _ASIDE_MM)
    laid = drawing(*(_lines(lines, left, first, n) for lines, left, n in zip(columns, lefts, (1, -1), strict=True)))
    last = first + (max(map(len, columns)) - 1) * _STEP_MM
    laid += drawing(_blank(lefts[0], first + (len(columns[0]) - 1) * _STEP_MM, room))
    return laid + _arrow_to_nut((last + foot) / 2) if foot - last >= _ARROW_ROOM_MM else laid


def across(
    workup: Workup, stem: str, lines: Sequence[str], top: float, foot: float, half: float
) -> tuple[Drawing, tuple[float, float] | None]:
    """Lines across a stem, and between which levels they lie: the sides' names, the instrument's, ``lines``, the date.

    Without room for ``lines`` the others are left, or nothing.
    """
    room, first = 2 * (half - _ASIDE_MM), top + 2 * _BELOW_MM + SMALL
    most = int((foot - _BELOW_MM - first) / _STEP_MM) + 1
    if engraving.width_mm(f"{BASS}  {TREBLE}", SMALL) > room:
        return Drawing(), None
    for more in lines, ():
        broken = broken_lines(more, room)
        name = _name_lines(workup, stem, room, most - len(broken) - 2)
        if name and _widest(broken) <= room:
            break
    else:
        return Drawing(), None
    left, right = (BASS, TREBLE) if workup.instrument.head.hand == "right" else (TREBLE, BASS)
    last = first + (len(name) + len(broken) + 1) * _STEP_MM
    laid = drawing(
        Text((-half + _ASIDE_MM, first), left, SMALL),
        Text((half - _ASIDE_MM, first), right, SMALL, Anchor.END),
        _lines([*name, *broken, DATE], -half + _ASIDE_MM, first + _STEP_MM, 0),
        _blank(-half + _ASIDE_MM, last, room),
    )
    return laid, (first - SMALL - 1.0, last + 1.0)


def arrow(tip: tuple[float, float], way: float) -> Path:
    """The head of an arrow on the centreline; ``way`` is +1 towards the tail."""
    x, y = tip
    back = y - way * _ARROW_MM
    return Path((((x - _ARROW_HALF_MM, back), tip, (x + _ARROW_HALF_MM, back)),), Role.TICK, "arrow")


def broken_lines(lines: Sequence[str], room: float) -> list[str]:
    """Lines to engrave, broken where they are wider than ``room``."""
    return [part for line in lines for part in wrapped(line, SMALL, room, engraving.width_mm)]


def _name_lines(workup: Workup, stem: str, room: float, most: int) -> list[str]:
    """The first of the instrument's names that the room holds; empty if it holds none."""
    for name in engraved_names(workup, stem):
        lines = broken_lines([name], room)
        if len(lines) <= min(most, _MOST_NAME_LINES) and _widest(lines) <= room:
            return lines
    return []


def _widest(lines: Sequence[str]) -> float:
    return max((engraving.width_mm(line, SMALL) for line in lines), default=0.0)


def _lines(lines: Sequence[str], left: float, first: float, named: int) -> Drawing:
    """Lines below each other; ``named``: which of them begins the instrument's name."""
    return Drawing(
        tuple(
            Text((left, first + n * _STEP_MM), line, SMALL, id=NAME if n == named else "")
            for n, line in enumerate(lines)
        )
    )


def _blank(left: float, level: float, room: float) -> Line:
    """The line to write the date on, behind its word."""
    start = left + engraving.width_mm(DATE, SMALL) + _BLANK_GAP_MM
    return Line((start, level), (min(start + _DATE_MM, left + room), level), Role.TICK, "date")


def _arrow_to_nut(level: float) -> Drawing:
    """An arrow's head on the centreline, with its words beside it."""
    beside = _ARROW_HALF_MM + _ASIDE_MM
    return drawing(arrow((0.0, level - MEDIUM / 2), -1.0), Text((beside, level + MEDIUM / 2), TO_NUT, MEDIUM))
