"""What readings advise, as JSON under its stable keys."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from geometry.lengths import format_inches
from jigs.readings.advice import Advice, Move, ReadString, Standing
from jigs.readings.diagnosis_words import suspect_in_full
from jigs.readings.words import advice_lines


def as_dict(advice: Advice) -> dict[str, Any]:
    """The advice under its stable keys."""
    workup, after = advice.workup, advice.next
    return {
        "name": workup.instrument.name,
        "strings": [
            {
                "string": one.string + 1,
                "reading_cents": one.cents,
                "plus_minus_cents": one.plus_minus_cents,
                "repeats": one.repeats,
                "aim_cents": one.aim_cents,
                "rest_cents": one.rest_cents,
                "meant_cents": one.meant_cents,
            }
            for one in advice.strings
        ],
        "moves": [_move_dict(advice, move) for move in advice.moves],
        "relative": not advice.known_place,
        "start": None if advice.start is None else advice.start.as_dict(),
        "next": None if after is None else after.as_dict(),
        "before": _standing_dict(advice.before),
        "after": _standing_dict(advice.after),
        "wedges": _wedges_dict(advice),
        "verdict": None if advice.verdict is None else advice.verdict.value,
        "reason": None if advice.reason is None else advice.reason.value,
        "shifted_cents": advice.shifted_cents,
        "tuner_error_cents": advice.errors.tuner_cents,
        "touch_error_cents": advice.errors.touch_cents,
        **_diagnosis_dict(advice),
        "lines": [asdict(line) for line in advice_lines(advice)],
    }


def _move_dict(advice: Advice, move: Move) -> dict[str, Any]:
    own = _own(advice, move)
    return {
        "end": move.end,
        "string": move.string + 1,
        "reading_cents": None if own is None else own.cents,
        "towards": "nut" if move.mm < 0 else "tail",
        "move_mm": abs(move.mm),
        "move_inches": format_inches(abs(move.mm)),
        "scale_cents": move.scale_cents,
        "both_scale_cents": move.both_scale_cents,
        "shifts_other_cents": move.carries_cents,
        "rest_cents": None if own is None else own.rest_cents,
        "plus_minus_cents": None if own is None else own.plus_minus_cents,
    }


def _wedges_dict(advice: Advice) -> dict[str, Any] | None:
    settings = advice.wedges
    if settings is None:
        return None
    return {"treble_cents": settings.treble_cents, "bass_cents": settings.bass_cents, "zero": settings.zero}


def _own(advice: Advice, move: Move) -> ReadString | None:
    """The reading of the string at a moved end, if there is one."""
    return next((one for one in advice.strings if one.string == move.string), None)


def _standing_dict(standing: Standing) -> dict[str, float]:
    return {"treble_mm": standing.treble_mm, "bass_mm": standing.bass_mm, "slant_deg": standing.slant_deg}


def _diagnosis_dict(advice: Advice) -> dict[str, Any]:
    if not advice.diagnoses:
        return {}
    causes = [
        {
            "string": one.string + 1,
            "code": suspect.cause.value,
            "fret": suspect.fret or None,
            "name": suspect_in_full(suspect, one, advice.workup),
            "weight": float(suspect.weight),
        }
        for one in advice.diagnoses
        for suspect in one.suspects
    ]
    return {
        "causes": causes,
        "diagnosis": [
            {
                "string": one.string + 1,
                "frets": list(one.frets),
                "code": None if one.named is None else one.named.cause.value,
                "cause": None if one.named is None else suspect_in_full(one.named, one, advice.workup),
                "strength": one.strength.value,
                "next_fret": one.next_fret,
                "fit": {
                    "setback_mm": one.fit.setback_mm,
                    "nut_setback_mm": one.fit.nut_setback_mm,
                    "nut_height_mm": one.fit.nut_height_mm,
                    "stretch": one.fit.stretch,
                    "standard_errors": list(one.fit.standard_errors),
                },
            }
            for one in advice.diagnoses
        ],
    }


def as_json(advice: Advice, heard: Mapping[str, Any] | None = None) -> str:
    """The advice as one JSON object; ``heard``: what was heard, if its readings are from sounds."""
    return json.dumps({**as_dict(advice), **(heard or {})}, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
