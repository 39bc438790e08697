"""A survey as a table to read, as lines to paste into an instrument file, and as JSON for programs."""

import json
from itertools import pairwise
from typing import Any

import numpy as np

from geometry.frets import OCTAVE_FRET
from geometry.lengths import round_half_up
from geometry.survey import Rule, SurveyFit, shares
from jigs.survey import words
from jigs.survey.file import SurveyedBoard
from jigs.wording import in_columns, signed

_PER_LINE = 8
_UNKNOWN = "-"


def as_dict(board: SurveyedBoard) -> dict[str, Any]:
    """The findings under their stable keys; None is what these readings do not show."""
    survey = board.survey
    best, naming = survey.best, survey.naming
    return {
        "name": board.name,
        "rule": best.rule.value,
        "rule_strength": survey.strength.value,
        "rule_log_odds": survey.log_odds,
        "scale_mm": best.scale.mm,
        "scale_se_mm": best.scale.se_mm,
        "scale_interval_mm": [best.scale.low_mm, best.scale.high_mm],
        "nut_offset_mm": None if best.offset is None else best.offset.mm,
        "nut_offset_se_mm": None if best.offset is None else best.offset.se_mm,
        "nut_offset_interval_mm": None if best.offset is None else [best.offset.low_mm, best.offset.high_mm],
        "bridge_line_mm": best.from_this_nut_mm,
        "other_rule": {
            "rule": survey.other.rule.value,
            "scale_mm": survey.other.scale.mm,
            "scale_se_mm": survey.other.scale.se_mm,
        },
        "reading_error_mm": survey.reading_error_mm,
        "spread_mm": best.spread_mm,
        "frets": [
            {
                "fret": int(fret),
                "readings": int(survey.readings[n]),
                "measured_mm": float(survey.measured_mm[n]),
                "wanted_mm": float(best.wanted_mm[n]),
                "residual_mm": None if best.residual_mm is None else float(best.residual_mm[n]),
                "residual_cents": None if survey.residual_cents is None else float(survey.residual_cents[n]),
                "out_of_place": None if naming is None else bool(naming.out_of_place[n]),
            }
            for n, fret in enumerate(survey.frets)
        ],
        "paste": paste_lines(board),
    }


def as_json(board: SurveyedBoard) -> str:
    """The findings as one JSON object."""
    return json.dumps(as_dict(board), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def as_table(board: SurveyedBoard) -> str:
    """The findings as text: scale, nut, rule, the frets that are out of place, each fret, and the lines to paste."""
    lines = [
        words.headline(board),
        "",
        *words.findings(board),
        "",
        *in_columns([words.ABOVE_COLUMNS, *fret_rows(board)]),
        "",
        words.BELOW_COLUMNS,
        "",
    ]
    return "\n".join([*lines, words.PASTE_THESE, *paste_lines(board)]) + "\n"


def fret_rows(board: SurveyedBoard) -> list[tuple[str, ...]]:
    """A row for each fret, under `words.ABOVE_COLUMNS`."""
    survey = board.survey
    off, cents, naming = survey.best.residual_mm, survey.residual_cents, survey.naming
    rows: list[tuple[str, ...]] = []
    for n, fret in enumerate(survey.frets):
        rows.append(
            (
                str(fret),
                str(survey.readings[n]),
                words.in_mm(survey.measured_mm[n]),
                words.in_mm(survey.best.wanted_mm[n]),
                _UNKNOWN if off is None else f"{signed(off[n], 2)} mm",
                _UNKNOWN if cents is None else signed(cents[n], 1),
                words.OUT_OF_PLACE if naming is not None and naming.out_of_place[n] else "",
            )
        )
    return rows


def paste_lines(board: SurveyedBoard) -> list[str]:
    """The lines of an instrument file that this board makes, as TOML.

    A board with a nut or frets out of place is listed as it was measured, with the scale from the same nut; frets that were
    not measured go where the rule puts them.
    """
    survey = board.survey
    best = survey.best
    by_rule = ['fret_rule = "eighteen"'] if best.rule is Rule.EIGHTEEN else []
    nut_is_out = survey.naming is not None and best.offset is not None and best.offset.differs_from_zero
    if not survey.named and not nut_is_out:
        return [f"scale = {_number(best.scale.mm)}", *by_rule]
    places, guessed = _places(best, survey.frets.tolist(), survey.measured_mm.tolist())
    if any(round(far, 2) <= round(near, 2) for near, far in pairwise(places)):
        return [f"scale = {_number(best.scale.mm)}", *by_rule, words.NOTHING_TO_FILL_IN]
    lines = [f"scale = {_number(best.from_this_nut_mm)}", f"frets = {len(places)}", "frets_measured = ["]
    for n in range(0, len(places), _PER_LINE):
        lines.append("    " + ", ".join(_number(place) for place in places[n : n + _PER_LINE]) + ",")
    lines.append("]")
    return [*lines, words.filled_in(guessed)] if guessed else lines


def _places(best: SurveyFit, frets: list[int], measured: list[float]) -> tuple[list[float], list[int]]:
    """All frets from the same nut, up to the last that was measured or the twelfth, and those that were not measured."""
    known = dict(zip(frets, measured, strict=True))
    counted = np.arange(1, max(frets[-1], OCTAVE_FRET) + 1)
    offset = best.from_this_nut_mm - best.scale.mm
    by_rule = best.scale.mm * shares(best.rule, counted) + offset
    places = [known.get(int(fret), float(place)) for fret, place in zip(counted, by_rule, strict=True)]
    return places, [int(fret) for fret in counted if int(fret) not in known]


def _number(mm: float) -> str:
    return round_half_up(float(mm), 2)
