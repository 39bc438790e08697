"""The rounds at the bench that are done, as the page keeps them: values that the browser sends back, without a sentence."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from geometry.readings import Verdict
from jigs.readings.advice import ENDS, Advice
from jigs.readings.rounds import Start, start_from

Ends = tuple[float | None, float | None]
"""A number for either end, treble first; None for an end that has none."""

_DECIMALS = 4
_LARGEST = 1e4
MOST_ROUNDS = 200


@dataclass(frozen=True)
class Round:
    """A round after which the bridge was moved.

    ``read_cents``: what the outer strings read against their harmonics. ``moved_mm``: how far each end was moved there, away
    from the nut positive. ``next``: where that left the bridge, None if nobody knows.
    """

    read_cents: Ends
    moved_mm: Ends
    verdict: Verdict
    next: Start | None

    def as_dict(self) -> dict[str, Any]:
        """The same for the page, under its stable keys."""
        return {
            "read_cents": list(self.read_cents),
            "moved_mm": list(self.moved_mm),
            "verdict": self.verdict.value,
            "next": None if self.next is None else self.next.as_dict(),
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
    return Round(
        _ends({end: read.get(string) for end, string in outer.items()}), _ends(moved), advice.verdict, advice.next
    )


def _ends(by_end: Mapping[str, float | None]) -> Ends:
    treble, bass = (by_end.get(end) for end in ENDS)
    return _rounded(treble), _rounded(bass)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, _DECIMALS) + 0.0


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
    start = start_from(left)
    if read is None or moved is None or (start is None and left is not None):
        return None
    return Round(read, moved, Verdict(data["verdict"]), start)


def _ends_from(data: object) -> Ends | None:
    if not isinstance(data, Sequence) or isinstance(data, str) or len(data) != len(ENDS):
        return None
    if not all(one is None or _is_number(one) for one in data):
        return None
    return data[0], data[1]


def _is_number(value: object) -> bool:
    known = isinstance(value, int | float) and not isinstance(value, bool)
    return known and isinstance(value, int | float) and -_LARGEST < value < _LARGEST and math.isfinite(value)
