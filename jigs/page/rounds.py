"""The rounds at the bench that are done, as the page keeps them: values that the browser sends back, without a sentence."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from geometry.readings import Verdict
from jigs.readings import log_picture
from jigs.readings.advice import ENDS, Advice
from jigs.readings.log import Step, step_of
from jigs.readings.rounds import Start, start_from
from jigs.workup.workup import Workup

Ends = tuple[float | None, float | None]
"""A number for either end, treble first; None for an end that has none."""

_DECIMALS = 4
_LARGEST = 1e4
MOST_ROUNDS = 200
_MOST_STRINGS = 24

Rests = tuple[tuple[int, float, float], ...]
"""String's number, cents off its aim, ± cents, of each string that was read."""


@dataclass(frozen=True)
class Round:
    """A round after which the bridge was moved.

    ``read_cents``: what the outer strings read against their harmonics. ``moved_mm``: how far each end was moved there, away
    from the nut positive. ``next``: where that left the bridge, None if nobody knows. ``rests`` and ``aims_elsewhere`` are
    those of a log's `Step`; rounds of older bookmarks have none.
    """

    read_cents: Ends
    moved_mm: Ends
    verdict: Verdict
    next: Start | None
    rests: Rests = ()
    aims_elsewhere: bool = False

    def as_dict(self) -> dict[str, Any]:
        """The same for the page, under its stable keys."""
        return {
            "read_cents": list(self.read_cents),
            "moved_mm": list(self.moved_mm),
            "verdict": self.verdict.value,
            "next": None if self.next is None else self.next.as_dict(),
            "rests": [list(one) for one in self.rests],
            "aims_elsewhere": self.aims_elsewhere,
        }


def round_of(advice: Advice) -> Round | None:
    """The round that an advice is once the bridge was moved as it says; None if it moves nothing."""
    if advice.verdict not in (Verdict.MOVE, Verdict.CHECK_FIRST):
        return None
    read = {one.string: one.cents for one in advice.strings}
    moved = {move.end: move.mm for move in advice.moves}
    outer = dict(zip(ENDS, advice.workup.outer_strings, strict=True))
    if outer[ENDS[0]] == outer[ENDS[1]]:
        del outer[ENDS[1]]
    read_cents = _ends({end: read.get(string) for end, string in outer.items()})
    step = step_of(advice, 1)
    rests = tuple((string, _round(cents), _round(sure)) for string, cents, sure in step.rests)
    return Round(read_cents, _ends(moved), advice.verdict, advice.next, rests, step.aims_elsewhere)


def _ends(by_end: Mapping[str, float | None]) -> Ends:
    treble, bass = (by_end.get(end) for end in ENDS)
    return _rounded(treble), _rounded(bass)


def _rounded(value: float | None) -> float | None:
    return None if value is None else _round(value)


def _round(value: float) -> float:
    return round(value, _DECIMALS) + 0.0


def rounds_from(data: object) -> tuple[Round, ...] | None:
    """The rounds of a request, in their order; None for anything else.

    >>> rounds_from([]), rounds_from(None), rounds_from([{"verdict": "move"}])
    ((), None, None)
    """
    if not isinstance(data, list) or len(data) > MOST_ROUNDS:
        return None
    rounds = [one for one in map(_round_from, data) if one is not None]
    return tuple(rounds) if len(rounds) == len(data) else None


def _round_from(data: object) -> Round | None:
    if not isinstance(data, Mapping) or data.get("verdict") not in (Verdict.MOVE.value, Verdict.CHECK_FIRST.value):
        return None
    read, moved, left = _ends_from(data.get("read_cents")), _ends_from(data.get("moved_mm")), data.get("next")
    start, rests = start_from(left), _rests_from(data.get("rests", []))
    if read is None or moved is None or rests is None or (start is None and left is not None):
        return None
    return Round(read, moved, Verdict(data["verdict"]), start, rests, data.get("aims_elsewhere") is True)


def _rests_from(data: object) -> Rests | None:
    if not isinstance(data, list) or len(data) > _MOST_STRINGS:
        return None
    rests = tuple(one for one in map(_rest_from, data) if one is not None)
    return rests if len(rests) == len(data) else None


def _rest_from(data: object) -> tuple[int, float, float] | None:
    if not isinstance(data, list) or len(data) != 3 or not all(map(_is_number, data)):
        return None
    string, cents, sure = data
    if not isinstance(string, int) or not 0 < string <= _MOST_STRINGS or sure < 0:
        return None
    return string, float(cents), float(sure)


def _ends_from(data: object) -> Ends | None:
    if not isinstance(data, Sequence) or isinstance(data, str) or len(data) != len(ENDS):
        return None
    if not all(one is None or _is_number(one) for one in data):
        return None
    return data[0], data[1]


def _is_number(value: object) -> bool:
    known = isinstance(value, int | float) and not isinstance(value, bool)
    return known and isinstance(value, int | float) and -_LARGEST < value < _LARGEST and math.isfinite(value)


def as_picture(rounds: Sequence[Round], workup: Workup, now: Advice | None = None) -> str | None:
    """How far each string was off, round by round, ``now`` being the last; None if no round says it."""
    name = workup.instrument.name
    steps = [
        Step(number, name, one.rests, one.verdict.value, aims_elsewhere=one.aims_elsewhere)
        for number, one in enumerate(rounds, 1)
        if one.rests and all(string <= len(workup.instrument.strings) for string, _, _ in one.rests)
    ]
    steps += [] if now is None or not now.strings else [step_of(now, len(rounds) + 1)]
    return log_picture.as_svg(steps, workup).decode() if steps else None
