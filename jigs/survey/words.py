"""What a survey found, in the trade's words: a table to read, lines to paste into an instrument file, JSON for programs."""

import json
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import numpy as np

from geometry.frets import CENTS_PER_OCTAVE, EIGHTEEN, OCTAVE_FRET
from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.robust import LEAST_TO_WEIGH
from geometry.survey import Estimate, Fit, Rule, Strength, shares
from jigs.faults import Note, Option, Says
from jigs.survey.file import SurveyedBoard

RULE_WORDS = {Rule.EQUAL: "equal steps", Rule.EIGHTEEN: "the rule of eighteen"}
_LARGEST_ODDS = 1e6
_PER_LINE = 8
_FAR_OFF_MM = 3.0
_ROUGH = 2.0
_REPEATS_APART = 5.0
_UNKNOWN = "-"


def as_dict(board: SurveyedBoard) -> dict[str, Any]:
    """The findings under their stable keys; None is what these readings cannot tell."""
    found = board.found
    best, naming = found.best, found.naming
    return {
        "name": board.name,
        "rule": best.rule.value,
        "rule_strength": found.strength.value,
        "rule_log_odds": found.log_odds,
        "scale_mm": best.scale.mm,
        "scale_se_mm": best.scale.se_mm,
        "scale_interval_mm": [best.scale.low_mm, best.scale.high_mm],
        "nut_offset_mm": None if best.offset is None else best.offset.mm,
        "nut_offset_se_mm": None if best.offset is None else best.offset.se_mm,
        "nut_offset_interval_mm": None if best.offset is None else [best.offset.low_mm, best.offset.high_mm],
        "bridge_line_mm": best.from_this_nut_mm,
        "other_rule": {
            "rule": found.other.rule.value,
            "scale_mm": found.other.scale.mm,
            "scale_se_mm": found.other.scale.se_mm,
        },
        "reading_error_mm": found.reading_error_mm,
        "spread_mm": best.spread_mm,
        "frets": [
            {
                "fret": int(fret),
                "readings": int(found.readings[n]),
                "measured_mm": float(found.measured_mm[n]),
                "wanted_mm": float(best.wanted_mm[n]),
                "residual_mm": None if best.residual_mm is None else float(best.residual_mm[n]),
                "residual_cents": None if found.residual_cents is None else float(found.residual_cents[n]),
                "out_of_place": None if naming is None else bool(naming.out_of_place[n]),
            }
            for n, fret in enumerate(found.frets)
        ],
        "paste": paste_lines(board),
    }


def as_json(board: SurveyedBoard) -> str:
    """The findings as one JSON object."""
    return json.dumps(as_dict(board), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def as_table(board: SurveyedBoard) -> str:
    """The findings as text: scale, nut, rule, the frets that are out of place, each fret, and the lines to paste."""
    found = board.found
    frets, readings = len(found.frets), int(np.sum(found.readings))
    of = "1 fret" if frets == 1 else f"{frets} frets"
    read = "" if readings == frets else f", {readings} readings"
    error = f"reading error {_mm(found.reading_error_mm)}, {board.error_from}"
    lines = [f"{board.name}: {of}{read}; {error}", "", *findings(board)]
    lines += [
        "",
        *_fret_table(board),
        "",
        "Lines for an instrument file, at its top, in place of those there:",
    ]
    return "\n".join([*lines, *paste_lines(board)]) + "\n"


def findings(board: SurveyedBoard) -> list[str]:
    """Scale, nut, rule and frets, a sentence or two each."""
    return [f"{word}: {said}" for word, said in _findings(board)]


def _findings(board: SurveyedBoard) -> Iterator[tuple[str, str]]:
    best = board.found.best
    scale = best.scale
    yield (
        "scale",
        f"{_mm(scale.mm)} ± {_mm(scale.se_mm)} ({format_inches(scale.mm)});"
        f" 95 times in 100 the true one lies between {_mm(scale.low_mm)} and {_mm(scale.high_mm)}{_provided(board)}",
    )
    yield "nut", nut_in_words(best.offset)
    yield "rule", _rule_in_words(board)
    yield "out of place", _named_in_words(board)


def _provided(board: SurveyedBoard) -> str:
    """What the scale's interval takes for granted."""
    found = board.found
    nut = " and the nut is in its place" if found.best.offset is None else ""
    unsure = found.strength is Strength.CANNOT_TELL
    return f", if the frets follow {RULE_WORDS[found.best.rule]}{nut}" if unsure else ""


def named_in_short(board: SurveyedBoard) -> str:
    """The numbers of the frets that are out of place, for a sheet that shows the rest."""
    named = board.found.named
    if board.found.naming is None or not named:
        return _named_in_words(board)
    return f"{'fret' if len(named) == 1 else 'frets'} {', '.join(map(str, named))}"


def nut_in_words(offset: Estimate | None) -> str:
    """How far the nut is from its place against the frets.

    >>> nut_in_words(Estimate(0.42, 0.1, 0.2))[:57]
    '0.42 mm ± 0.10 mm: the distances all read that much too l'
    >>> nut_in_words(Estimate(-0.02, 0.1, 0.2))
    '−0.02 mm ± 0.10 mm: the same as a nut in its place, as far as these readings go'
    """
    if offset is None:
        return (
            "not known: one fret cannot tell. A nut that is a millimetre out makes this scale two millimetres wrong;"
            " measure a fret near the nut too"
        )
    size = f"{_mm(offset.mm)} ± {_mm(offset.se_mm)}"
    if not offset.differs_from_zero:
        return f"{size}: the same as a nut in its place, as far as these readings go"
    if offset.mm > 0:
        return f"{size}: the distances all read that much too long, the nut's front edge is too far from the frets"
    return f"{size}: the distances all read that much too short, the nut's front edge is too near the frets"


def _rule_in_words(board: SurveyedBoard) -> str:
    found = board.found
    best, other = found.best, found.other
    if found.log_odds is None:
        return f"not known: equal steps are taken; measure {LEAST_TO_WEIGH} frets or more, best all of them"
    by_other = f"by {RULE_WORDS[other.rule]} the scale would be {_mm(other.scale.mm)} ± {_mm(other.scale.se_mm)}"
    if found.strength is Strength.CANNOT_TELL:
        likelier = best.rule if found.log_odds > 0 else other.rule
        odds = f"{odds_in_words(abs(found.log_odds))} for {RULE_WORDS[likelier]}"
        return f"cannot tell ({odds}), so {RULE_WORDS[best.rule]} are taken; {by_other}"
    step = CENTS_PER_OCTAVE * float(np.log2(EIGHTEEN / (EIGHTEEN - 1)))
    cents = f", {round_half_up(step, 3)} cents a step" if best.rule is Rule.EIGHTEEN else ""
    against = f"{odds_in_words(found.log_odds)} against {RULE_WORDS[other.rule]}"
    return f"{RULE_WORDS[best.rule]}{cents}, {found.strength.value} ({against})"


def odds_in_words(log_odds: float) -> str:
    """Odds from their logarithm.

    >>> odds_in_words(0.0), odds_in_words(5.0), odds_in_words(99.0)
    ('1 to 1', '148 to 1', 'more than 1000000 to 1')
    """
    if log_odds > float(np.log(_LARGEST_ODDS)):
        return f"more than {_LARGEST_ODDS:.0f} to 1"
    return f"{round_half_up(float(np.exp(log_odds)), 0)} to 1"


def _named_in_words(board: SurveyedBoard) -> str:
    found = board.found
    if found.naming is None or found.best.residual_mm is None or found.residual_cents is None:
        return f"not known: it takes {LEAST_TO_WEIGH} frets or more to say which one is out"
    named = [
        f"fret {fret}, {place_in_words(float(mm))}, {pitch_in_words(float(cents))}"
        for fret, mm, cents, out in zip(
            found.frets, found.best.residual_mm, found.residual_cents, found.naming.out_of_place, strict=True
        )
        if out
    ]
    return "; ".join(named) or "none beyond what the reading error explains"


def place_in_words(residual_mm: float) -> str:
    """How far a fret is off its place, and which way.

    >>> place_in_words(1.5), place_in_words(-0.31)
    ('1.50 mm too near the bridge', '0.31 mm too near the nut')
    """
    return f"{_mm(abs(residual_mm))} too near the {'bridge' if residual_mm > 0 else 'nut'}"


def pitch_in_words(cents: float) -> str:
    """How a fret that is off its place sounds.

    >>> pitch_in_words(5.33), pitch_in_words(-2.0)
    ('5.3 cents sharp', '2.0 cents flat')
    """
    return f"{round_half_up(abs(cents), 1)} cents {'sharp' if cents > 0 else 'flat'}"


def _fret_table(board: SurveyedBoard) -> list[str]:
    found = board.found
    off, cents, naming = found.best.residual_mm, found.residual_cents, found.naming
    rows: list[tuple[str, ...]] = [("fret", "readings", "measured", "by the rule", "off", "cents", "")]
    for n, fret in enumerate(found.frets):
        rows.append(
            (
                str(fret),
                str(found.readings[n]),
                _mm(found.measured_mm[n]),
                _mm(found.best.wanted_mm[n]),
                _UNKNOWN if off is None else _mm(off[n]),
                _UNKNOWN if cents is None else round_half_up(cents[n], 1),
                "out of place" if naming is not None and naming.out_of_place[n] else "",
            )
        )
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    table = ["  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return [*table, "", "off, cents: against the rule, plus is towards the bridge and sharp; ±: one standard error"]


def paste_lines(board: SurveyedBoard) -> list[str]:
    """The lines of an instrument file that this board makes, as TOML.

    A board with a nut or frets out of place is listed as it was measured, with the scale from the same nut; frets that were
    not measured are put where the rule wants them.
    """
    found = board.found
    best = found.best
    by_rule = ['fret_rule = "eighteen"'] if best.rule is Rule.EIGHTEEN else []
    nut_is_out = found.naming is not None and best.offset is not None and best.offset.differs_from_zero
    if not found.named and not nut_is_out:
        return [f"scale = {_number(best.scale.mm)}", *by_rule]
    places, guessed = _places(best, found.frets.tolist(), found.measured_mm.tolist())
    if any(round(far, 2) <= round(near, 2) for near, far in pairwise(places)):
        remark = "# frets that were not measured cannot be filled in between these: measure all of them"
        return [f"scale = {_number(best.scale.mm)}", *by_rule, remark]
    lines = [f"scale = {_number(best.from_this_nut_mm)}", f"frets = {len(places)}", "frets_measured = ["]
    for n in range(0, len(places), _PER_LINE):
        lines.append("    " + ", ".join(_number(place) for place in places[n : n + _PER_LINE]) + ",")
    lines.append("]")
    if guessed:
        lines.append(f"# not measured, put where the rule wants them: {', '.join(map(str, guessed))}")
    return lines


def _places(best: Fit, frets: list[int], measured: list[float]) -> tuple[list[float], list[int]]:
    """All frets from the same nut, up to the last that was measured or the twelfth, and those that were not measured."""
    known = dict(zip(frets, measured, strict=True))
    wanted = np.arange(1, max(frets[-1], OCTAVE_FRET) + 1)
    offset = best.from_this_nut_mm - best.scale.mm
    by_rule = best.scale.mm * shares(best.rule, wanted) + offset
    places = [known.get(int(fret), float(place)) for fret, place in zip(wanted, by_rule, strict=True)]
    return places, [int(fret) for fret in wanted if int(fret) not in known]


def notes(board: SurveyedBoard) -> tuple[Note, ...]:
    """What is possible but unlikely: worth a second look, no reason to stop."""
    return tuple(says.note() for says in _notes(board))


def _notes(board: SurveyedBoard) -> Iterator[Says]:
    best, error = board.found.best, board.found.reading_error_mm
    for fret, readings in zip(board.found.frets, board.readings_mm, strict=True):
        apart = float(np.ptp(readings))
        if apart > _REPEATS_APART * error:
            yield Says(f"fret {fret}: its readings are {_mm(apart)} apart", "measure it again", "survey-repeats-apart")
    if best.offset is not None and abs(best.offset.mm) > max(_FAR_OFF_MM, best.offset.half_mm):
        what = f"the nut seems {_mm(abs(best.offset.mm))} out of its place"
        remedy = (
            "were all distances taken from its front edge, and do the frets count from 1, a zero fret not among them?"
        )
        yield Says(what, remedy, "survey-nut-far-off")
    if best.spread_mm is not None and best.spread_mm > _ROUGH * error:
        scatter = f"the frets scatter by {_mm(best.spread_mm)} about {RULE_WORDS[best.rule]}"
        what = f"{scatter}, more than a reading error of {_mm(error)} explains"
        rougher = ("the board is uneven, or the readings are rougher: then say so with ", Option("reading-error"))
        yield Says(what, rougher, "survey-scatter")
    if best.spread_mm is None and best.residual_mm is not None:
        worst = float(np.max(np.abs(best.residual_mm)))
        if worst > 3 * error:
            remedy = f"measure {LEAST_TO_WEIGH} frets or more to find which is out"
            yield Says(f"the readings disagree by up to {_mm(worst)}", remedy, "survey-disagree")


def _mm(mm: float) -> str:
    return format_mm(float(mm), 2).replace("-", "−")


def _number(mm: float) -> str:
    return round_half_up(float(mm), 2)
