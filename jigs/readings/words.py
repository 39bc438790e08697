"""What readings advise, in the words of the bench: a table to read, JSON for programs, a line for the log."""

import json
import math
from collections.abc import Iterator
from typing import Any

from geometry.diagnosis import LEAST_FRETS, VERY_SURE, Cause, Suspect
from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.readings import MOST_MOVE_MM, MOST_SLANT_DEG, Verdict
from jigs.readings.advice import Advice, Move, ReadString, Standing, StringDiagnosis
from jigs.workup.words import slant_in_words

NOT_SURE = "not sure"
LEAST_MOVE_MM = 0.005
"""An end that is to move by less stays."""

_SUSPECTS_SHOWN = 3
_FAR_OFF_MODEL_MM = 3.0

REMEDIES = {
    Cause.NEAR: "move the bridge away from the nut",
    Cause.FAR: "move the bridge towards the nut",
    Cause.NUT_HIGH: "have the slots filed before the bridge is placed; a slot that is too deep buzzes",
    Cause.NUT_LOW: "if the open string buzzes, the slots want filling",
    Cause.NUT_NEAR: "measure nut to fret 12 and fret 12 to bridge; `jigs survey` finds where the nut stands",
    Cause.NUT_FAR: "measure nut to fret 12 and fret 12 to bridge; `jigs survey` finds where the nut stands",
    Cause.TOUCH: "press as you play, no harder, and measure the action again",
    Cause.FRET: "read the same fret on another string: if it is out there too, it is the fret; `jigs survey` measures it",
    Cause.NONE_FITS: "read it once more; if it stays so, put a new string on",
    Cause.NOTHING: "nothing to do here",
}
"""What a player can do about each; common practice, no source."""


_CAUSES = {
    Cause.NOTHING: "nothing out of the ordinary",
    Cause.NEAR: "bridge too near the nut",
    Cause.FAR: "bridge too far from the nut",
    Cause.NUT_HIGH: "nut slots too high",
    Cause.NUT_LOW: "nut slots too low",
    Cause.NUT_NEAR: "nut too near the frets",
    Cause.NUT_FAR: "nut too far from the frets",
    Cause.TOUCH: "heavy touch or high action",
    Cause.FRET: "fret {fret} out of place",
    Cause.NONE_FITS: "none of these fits, perhaps a worn string",
}


def suspect_name(suspect: Suspect) -> str:
    """A cause in words; JSON and the log keep them, so they stay as they are."""
    return _CAUSES[suspect.cause].format(fret=suspect.fret)


def as_dict(advice: Advice) -> dict[str, Any]:
    """The advice under its stable keys."""
    workup = advice.workup
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
            }
            for one in advice.strings
        ],
        "moves": [_move_dict(advice, move) for move in advice.moves],
        "relative": not advice.known_place,
        "before": _standing_dict(advice.before),
        "after": _standing_dict(advice.after),
        "verdict": None if advice.verdict is None else advice.verdict.value,
        "shifted_cents": advice.shifted_cents,
        "tuner_error_cents": advice.tuner_error_cents,
        **_diagnosis_dict(advice),
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
        "rest_cents": None if own is None else own.rest_cents,
        "plus_minus_cents": None if own is None else own.plus_minus_cents,
    }


def _own(advice: Advice, move: Move) -> ReadString | None:
    """The reading of the string at a moved end, if there is one."""
    return next((one for one in advice.strings if one.string == move.string), None)


def _standing_dict(standing: Standing) -> dict[str, float]:
    return {"treble_mm": standing.treble_mm, "bass_mm": standing.bass_mm, "slant_deg": standing.slant_deg}


def _diagnosis_dict(advice: Advice) -> dict[str, Any]:
    if not advice.diagnoses:
        return {}
    causes = [
        {"string": one.string + 1, "name": suspect_name(suspect), "weight": float(suspect.weight)}
        for one in advice.diagnoses
        for suspect in one.suspects
    ]
    return {
        "causes": causes,
        "diagnosis": [
            {
                "string": one.string + 1,
                "frets": list(one.frets),
                "cause": None if one.named is None else suspect_name(one.named),
                "strength": _strength(one),
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


TOO_UNSURE_CENTS = 4.0
"""Readings that are good to no more than this say nothing of a bridge. Our own bound."""

_ANOTHER_FRET_CENTS = 70.0


def _strength(found: StringDiagnosis) -> str:
    if found.named is None:
        return NOT_SURE
    return "all but certain" if found.named.weight >= VERY_SURE else "likely"


def as_json(advice: Advice) -> str:
    """The advice as one JSON object."""
    return json.dumps(as_dict(advice), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def as_table(advice: Advice) -> str:
    """The advice as text: what was read, the moves, the line before and after, what to do, what is wrong."""
    lines = [f"{advice.workup.instrument.name}: {_counted(advice)}"]
    if advice.strings:
        lines += ["", *(_read_in_words(advice, one) for one in advice.strings)]
        if advice.verdict is not Verdict.SOMETHING_ELSE:
            lines += ["", *_moves_in_words(advice)]
            lines += ["", *_line_in_words(advice), "", *_rest_in_words(advice)]
        lines += ["", verdict_in_words(advice)]
    for found in advice.diagnoses:
        lines += ["", *_diagnosis_in_words(advice, found)]
    return "\n".join(lines) + "\n"


def _counted(advice: Advice) -> str:
    count, strings = len(advice.readings), len({one.string for one in advice.readings})
    readings = "1 reading" if count == 1 else f"{count} readings"
    of = "1 string" if strings == 1 else f"{strings} strings"
    return f"{readings} of {of}; tuner error {advice.tuner_error_cents:g} cent a tone"


def sharp_or_flat(cents: float) -> str:
    """A reading in words.

    >>> sharp_or_flat(-7.0), sharp_or_flat(0.52), sharp_or_flat(-0.04)
    ('7.0 cents flat', '0.5 cents sharp', '0.0 cents, in tune')
    """
    size = round_half_up(abs(cents), 1)
    if size == "0.0":
        return "0.0 cents, in tune"
    return f"{size} cents {'sharp' if cents > 0 else 'flat'}"


def _cents(cents: float) -> str:
    """Signed cents.

    >>> _cents(-7.25), _cents(0.3), _cents(0.01)
    ('-7.3', '+0.3', '0.0')
    """
    text = round_half_up(cents, 1)
    return text if text == "0.0" or cents < 0 else f"+{text}"


def _string(advice: Advice, index: int) -> str:
    return advice.workup.instrument.string_in_words(index)


def _read_in_words(advice: Advice, one: ReadString) -> str:
    repeats = f", mean of {one.repeats}" if one.repeats > 1 else ""
    aim = f"; meant to be {_cents(one.aim_cents)}" if round_half_up(abs(one.aim_cents), 1) != "0.0" else ""
    tells = round_half_up(one.plus_minus_cents, 1)
    return f"{_string(advice, one.string)}: fretted note {sharp_or_flat(one.cents)} ± {tells}{repeats}{aim}"


def _moves_in_words(advice: Advice) -> Iterator[str]:
    if advice.verdict is Verdict.STOP:
        yield "Leave the bridge where it is."
        return
    two = len(advice.moves) > 1
    for n, move in enumerate(advice.moves, 1):
        yield f"{f'{n} ' if two else ''}{move.end} end, at {_string(advice, move.string)}: {_move_in_words(move)}"
    if two:
        legs = ", ".join(f"{move.end} leg {_cents(move.both_scale_cents)}" for move in advice.moves)
        yield (
            f"With the fork set both ends, counted from where they stand: {legs}. Without it, move one end, holding the"
            " other, and read again before the next: each move shifts the other string a little."
        )
    elif advice.workup.outer[0] != advice.workup.outer[1]:
        other = next(n for n in advice.workup.outer if n != advice.moves[0].string)
        shift = _cents(advice.shifted_cents)
        yield f"Hold the other end still. This shifts {_string(advice, other)} by about {shift} cents: read that next."


def _move_in_words(move: Move) -> str:
    if abs(move.mm) < LEAST_MOVE_MM:
        return "stays as it is"
    way = "towards the nut" if move.mm < 0 else "towards the tail"
    ticks = f"{_cents(move.scale_cents)} on the fork's scale"
    inches = format_inches(abs(move.mm))
    inches = "less than 1/64 in" if inches == "0 in" else inches
    return f"{format_mm(abs(move.mm), 1)} ({inches}) {way}, {ticks}"


def _line_in_words(advice: Advice) -> Iterator[str]:
    before, after = advice.before, advice.after
    treble, bass = (_string(advice, n) for n in advice.workup.outer)
    if advice.known_place:
        yield f"bridge line at {treble} / {bass}, from the nut"
        yield f"  before: {_places(before)}; slant {slant_in_words(before.slant_deg)}"
        yield f"  after:  {_places(after)}; slant {slant_in_words(after.slant_deg)}"
    else:
        moved = f"{_signed_mm(after.treble_mm)} / {_signed_mm(after.bass_mm)}"
        yield f"bridge line at {treble} / {bass}, from where it stands (plus: towards the tail)"
        turned = f"turned by {round_half_up(abs(after.slant_deg), 1)}°"
        yield f"  after:  {moved}, {turned}; say where it stands (--at) to have it from the nut"


def _places(standing: Standing) -> str:
    return f"{format_mm(standing.treble_mm)} / {format_mm(standing.bass_mm)}"


def _signed_mm(mm: float) -> str:
    text = format_mm(mm, 1)
    return text if mm < 0 or text == "0.0 mm" else f"+{text}"


def _rest_in_words(advice: Advice) -> Iterator[str]:
    many = len(advice.strings) > 2
    both = "left once both ends stand there" if len(advice.moves) > 1 else "left after that"
    head = "left as it stands" if advice.verdict is Verdict.STOP else both
    yield head + (", the least that a straight bridge can leave on these strings:" if many else ":")
    for one in advice.strings:
        tells = round_half_up(one.plus_minus_cents, 1)
        yield f"  {_string(advice, one.string)}: {sharp_or_flat(one.rest_cents)} ± {tells}"


def verdict_in_words(advice: Advice) -> str:
    """What to do next, a sentence or two."""
    match advice.verdict:
        case Verdict.STOP:
            return _stop_in_words(advice)
        case Verdict.MOVE:
            return "Move, retune, and read again."
        case Verdict.CHECK_FIRST:
            first = _string(advice, advice.moves[0].string)
            return (
                f"Move, retune, and check the first string again: moved by itself, the other end shifts {first} by about"
                f" {_cents(advice.shifted_cents)} cents."
            )
        case Verdict.SOMETHING_ELSE:
            return f"Something else is wrong: {_why_else(advice)}."
    return ""


def _stop_in_words(advice: Advice) -> str:
    """Why to stop; or what to read first, where too little was read to say so."""
    unsure = max(one.plus_minus_cents for one in advice.strings)
    if unsure > TOO_UNSURE_CENTS:
        return f"These readings are good to ± {round_half_up(unsure, 1)} cents only, too little to say: read again."
    read = {one.string for one in advice.strings}
    unread = [n for n in advice.workup.outer if n not in read]
    if unread:
        return f"{_string(advice, min(read))} is right as it stands; read {_string(advice, unread[0])} next."
    worst = max(advice.strings, key=lambda one: abs(one.rest_cents))
    if abs(worst.rest_cents) > worst.plus_minus_cents:
        left = sharp_or_flat(worst.rest_cents)
        return (
            f"Stop: no straight bridge does better; {_string(advice, worst.string)} stays {left}. A stepped crown can."
        )
    return "Stop: what is left is less than the tuner can tell. Retune everything and play."


def _why_else(advice: Advice) -> str:
    near_fret_12 = [one for one in advice.strings if abs(one.cents) > _ANOTHER_FRET_CENTS]
    if near_fret_12:
        fret = 13 if near_fret_12[0].cents > 0 else 11
        return (
            f"{_string(advice, near_fret_12[0].string)} reads nearly a semitone off. Was fret {fret} fretted in place of 12?"
            " Read it again"
        )
    far = max((abs(move.mm) for move in advice.moves), default=0.0)
    if far > MOST_MOVE_MM:
        return (
            f"a bridge does not stand {format_mm(far)} out by its sound alone. Check that strings and notes are those of the"
            " file, that fret 12 was fretted, and the scale; then --diagnose"
        )
    if abs(advice.after.slant_deg) > MOST_SLANT_DEG:
        return (
            f"no bridge slants by {round_half_up(abs(advice.after.slant_deg), 0)} degrees. Check the strings' gauges, and"
            " read both outer strings again; then --diagnose"
        )
    return "see below; put that right first, then read again"


def _diagnosis_in_words(advice: Advice, found: StringDiagnosis) -> Iterator[str]:
    frets = "fret" if len(found.frets) == 1 else "frets"
    yield f"{_string(advice, found.string)}, read at {frets} {', '.join(map(str, found.frets))}: {cause_in_words(found)}"
    shown = [one for one in found.suspects[:_SUSPECTS_SHOWN] if one.weight > 0.01]
    if len(found.frets) >= LEAST_FRETS:
        yield "  how strongly the readings say so: " + ", ".join(
            f"{suspect_name(one)} {round_half_up(100 * float(one.weight), 0)} %" for one in shown
        )
    if found.named is None:
        yield f"  {_next_in_words(advice, found)}"


def cause_in_words(found: StringDiagnosis) -> str:
    """The first cause with its strength and what to do, or that the readings are not sure."""
    if found.named is not None:
        return f"{suspect_name(found.named)}, {_strength(found)}; {REMEDIES[found.named.cause]}"
    if len(found.frets) < LEAST_FRETS:
        return f"{NOT_SURE}, it takes {LEAST_FRETS} different frets or more"
    if found.suspects[0].cause is Cause.NOTHING:
        return f"{NOT_SURE}; nothing stands out"
    return NOT_SURE


def _next_in_words(advice: Advice, found: StringDiagnosis) -> str:
    if found.next_fret is not None:
        return f"measure next: fret {found.next_fret} on {_string(advice, found.string)}"
    read = {one.string for one in advice.diagnoses}
    other = next((n for n in (*advice.workup.outer, *range(len(advice.workup.across_mm))) if n not in read), None)
    if other is None:
        return "measure next: the same frets once more; readings that are repeated count double"
    return f"measure next: the same frets on {_string(advice, other)}"


def notes(advice: Advice) -> tuple[str, ...]:
    """What is possible but unlikely: worth a second look, no reason to stop."""
    return tuple(_notes(advice))


def _notes(advice: Advice) -> Iterator[str]:
    for one, off in zip(advice.strings, advice.off_model_mm, strict=False):
        if abs(off) > _FAR_OFF_MODEL_MM:
            yield (
                f"{_string(advice, one.string)} sounds as if the bridge stood {format_mm(abs(off))} farther"
                f" {'away' if off > 0 else 'in'} than --at says; check --at, note, gauge and scale"
            )
    others = {one.fret for one in advice.readings} - {12}
    if others and not advice.diagnoses:
        yield "readings at other frets than 12 are for the diagnosis; give --diagnose as well"
    strung = advice.workup.instrument.stringing
    for n in dict.fromkeys(one.string for one in advice.readings):
        tones = [one.octave_hz for one in advice.readings if one.string == n and one.octave_hz is not None]
        if tones and abs(math.log2(tones[0] / (2 * float(strung.pitch_hz[n])))) > 1 / 24:
            yield (
                f"{_string(advice, n)} was more than half a semitone from its note; tune it first, or put its note into the"
                " file: the tension counts"
            )
