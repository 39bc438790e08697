"""The question whether a saddle is stepped: what the form's values answer, and what each answer fills in."""

import re
from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from geometry.lengths import LengthError, parse_mm
from jigs.instrument.file import MOST_STRINGS
from jigs.instrument.filled import STRINGS, as_fields, string_count
from jigs.instrument.typed import value_of
from jigs.instrument.usual import STRAIGHT_SADDLE_IS_RARE

STEPS = "bridge.steps"
_KIND, _USUAL_KIND = "kind", "other"
_FEW = re.compile(r"\d{1,2}", re.ASCII)


class Stepped(StrEnum):
    """Whether a saddle is stepped."""

    NO = "no"
    YES = "yes"
    UNKNOWN = "unknown"


def saddle(data: Mapping[str, Any], fields: Mapping[str, str], of_preset: bool) -> dict[str, str]:
    """The answer that the form's values give, and the steps that each answer fills in.

    ``data`` is what the form began with, ``fields`` what was filled in since. Steps of a preset answer nothing: they are
    what is usual. A straight edge is zero for every string where a stepped saddle is what is usual.

    >>> saddle({"kind": "mandolin", "bridge": {"steps": [-1.2, 1.2]}, "strings": [{}, {}]}, {}, True)
    {'answer': 'unknown', 'no': '0, 0', 'yes': '-1.2, 1.2', 'unknown': '-1.2, 1.2'}
    >>> saddle({"kind": "banjo"}, {}, True)
    {'answer': 'no', 'no': '', 'yes': '', 'unknown': ''}
    """
    own = as_fields(data)
    now, kind = {**own, **fields}, fields.get(_KIND) or own.get(_KIND) or _USUAL_KIND
    typed = fields.get(STRINGS, "")
    strings = min(int(typed), MOST_STRINGS) if _FEW.fullmatch(typed) else string_count(data)
    given, usual = now.get(STEPS, ""), own.get(STEPS, "")
    rare = kind in STRAIGHT_SADDLE_IS_RARE
    if not given.strip():
        answer = Stepped.UNKNOWN if rare else Stepped.NO
    elif _is_straight(given):
        answer = Stepped.NO
    else:
        answer = Stepped.UNKNOWN if of_preset and STEPS not in fields else Stepped.YES
    return {
        "answer": answer.value,
        Stepped.NO.value: ", ".join("0" * strings) if rare else "",
        Stepped.YES.value: "" if _is_straight(usual) else usual,
        Stepped.UNKNOWN.value: usual,
    }


def _is_straight(steps: str) -> bool:
    """Whether steps are zero for every string, or not given."""
    listed = value_of(steps, STEPS, "list")
    return all(_is_zero(one) for one in listed) if isinstance(listed, list) else not steps.strip()


def _is_zero(step: object) -> bool:
    try:
        return parse_mm(str(step)) == 0
    except LengthError:
        return False
