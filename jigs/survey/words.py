"""A survey in the trade's words: scale, nut, rule, frets out of place, and what deserves a second look."""

import math
from collections.abc import Iterator

import numpy as np

from geometry.frets import CENTS_PER_OCTAVE, EIGHTEEN
from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.robust import LEAST_TO_WEIGH
from geometry.survey import Estimate, Rule, Strength
from jigs.faults import Note, Option, Place, Says
from jigs.survey.file import ErrorFrom, SurveyedBoard
from jigs.wording import listed, with_minus

RULE_WORDS = {Rule.EQUAL: "equal steps", Rule.EIGHTEEN: "the rule of eighteen"}
ERROR_FROM_WORDS = {
    ErrorFrom.COMMAND: "as given",
    ErrorFrom.FILE: "from the file",
    ErrorFrom.REPEATS: "from the repeated readings",
    ErrorFrom.USUAL: "usual for a steel rule",
}
PASTE_THESE = "Put these lines at the top of an instrument file, instead of its own scale, frets and fret rule:"
ABOVE_COLUMNS = ("fret", "readings", "measured", "by the rule", "off", "cents", "")
BELOW_COLUMNS = "off and cents: + is towards the bridge and sharp"
OUT_OF_PLACE = "out of place"
NOTHING_TO_FILL_IN = "# some frets that were not measured cannot be filled in: measure all of them"
BEYOND_LIMITS = "a fret beyond these is out of place: the reading error does not explain it"
TOO_NARROW = "it is too narrow"

_LARGEST_ODDS, _LARGEST_ODDS_WORDS = 1e6, "a million"
_FAR_OFF_MM = 3.0
_ROUGH = 2.0
_REPEATS_APART = 5.0
_LEAST_MM = 0.01


def headline(board: SurveyedBoard) -> str:
    """The board's name, how often it was measured, and how well."""
    return f"{board.name}: {how_measured(board)}"


def how_measured(board: SurveyedBoard) -> str:
    """How often a board was measured, and how well."""
    frets, readings = len(board.survey.frets), int(np.sum(board.survey.readings))
    of = "1 fret" if frets == 1 else f"{frets} frets"
    read = "" if readings == frets else f", {readings} readings"
    error = f"reading error {fine_mm(board.survey.reading_error_mm)}, {ERROR_FROM_WORDS[board.error_from]}"
    return f"{of}{read}; {error}"


def findings(board: SurveyedBoard) -> list[str]:
    """Scale, nut, rule and frets, a sentence or two each."""
    return [
        f"scale: {_scale_in_words(board)}",
        f"nut: {nut_in_words(board.survey.best.offset)}",
        f"rule: {_rule_in_words(board)}",
        f"{OUT_OF_PLACE}: {_named_in_words(board)}",
    ]


def findings_in_short(board: SurveyedBoard) -> list[str]:
    """The findings, the frets that are out of place by number only, for a sheet that shows the rest."""
    named = board.survey.named
    if board.survey.naming is None or not named:
        return findings(board)
    frets = f"{'fret' if len(named) == 1 else 'frets'} {', '.join(map(str, named))}"
    return [*findings(board)[:-1], f"{OUT_OF_PLACE}: {frets}"]


def picture_title(board: SurveyedBoard) -> str:
    """The verdict on a board, to be read from afar."""
    scale = f"Scale {format_mm(board.survey.best.scale.mm)}"
    if board.survey.naming is None:
        return scale
    count = len(board.survey.named)
    return f"{scale}, {count or 'no'} fret{'s' * (count > 1)} out of place"


def picture_datum(board: SurveyedBoard) -> str:
    """The frets that are out of place; if none is, how sure the scale is."""
    named = board.survey.named
    if not named:
        return plus_minus(board.survey.best.scale)
    return f"fret{'s' * (len(named) > 1)} {listed([str(fret) for fret in named])}"


def _scale_in_words(board: SurveyedBoard) -> str:
    """The scale, its error, and between which lengths the true scale is, 95 times in 100."""
    scale = board.survey.best.scale
    low_mm, high_mm = scale.low_mm, scale.high_mm
    if high_mm - low_mm < _LEAST_MM:
        low_mm, high_mm = math.floor(low_mm / _LEAST_MM) * _LEAST_MM, math.ceil(high_mm / _LEAST_MM) * _LEAST_MM
    between = f"between {in_mm(low_mm)} and {in_mm(high_mm)}"
    return f"{in_mm(scale.mm)} ({format_inches(scale.mm)}) {plus_minus(scale)}; {between}{_provided(board)}"


def _provided(board: SurveyedBoard) -> str:
    """What the scale's interval assumes."""
    best = board.survey.best
    nut = " and the nut is in its place" if best.offset is None else ""
    unsure = board.survey.strength is Strength.CANNOT_TELL
    return f", if the frets follow {RULE_WORDS[best.rule]}{nut}" if unsure else ""


def nut_in_words(offset: Estimate | None) -> str:
    """How far the nut is from its place against the frets.

    >>> nut_in_words(Estimate(0.42, 0.1, 0.2))[:63]
    '0.42 mm ± 0.20 mm (95%): all distances read that much too long;'
    >>> nut_in_words(Estimate(-0.02, 0.1, 0.2))
    '−0.02 mm ± 0.20 mm (95%): no sign of a nut out of place'
    """
    if offset is None:
        return "not known from one fret. A nut 1 mm out makes this scale 2 mm wrong: measure a fret near the nut too"
    size = f"{in_mm(offset.mm)} {plus_minus(offset)}"
    if not offset.differs_from_zero:
        return f"{size}: no sign of a nut out of place"
    if offset.mm > 0:
        return f"{size}: all distances read that much too long; the nut's front edge is too far from the frets"
    return f"{size}: all distances read that much too short; the nut's front edge is too near the frets"


def _rule_in_words(board: SurveyedBoard) -> str:
    survey = board.survey
    best, other = survey.best, survey.other
    if survey.log_odds is None:
        return f"not known, so equal steps are used; measure {LEAST_TO_WEIGH} frets or more, best all of them"
    by_other = f"by {RULE_WORDS[other.rule]} the scale would be {in_mm(other.scale.mm)} {plus_minus(other.scale)}"
    if survey.strength is Strength.CANNOT_TELL:
        likelier = best.rule if survey.log_odds > 0 else other.rule
        odds = f"{odds_in_words(abs(survey.log_odds))} for {RULE_WORDS[likelier]}"
        return f"cannot tell ({odds}), so {RULE_WORDS[best.rule]} are used; {by_other}"
    step = CENTS_PER_OCTAVE * float(np.log2(EIGHTEEN / (EIGHTEEN - 1)))
    cents = f", {round_half_up(step, 3)} cents a step" if best.rule is Rule.EIGHTEEN else ""
    against = f"{odds_in_words(survey.log_odds)} against {RULE_WORDS[other.rule]}"
    return f"{RULE_WORDS[best.rule]}{cents}, {survey.strength.value} ({against})"


def odds_in_words(log_odds: float) -> str:
    """Odds from their logarithm.

    >>> odds_in_words(0.0), odds_in_words(5.0), odds_in_words(99.0)
    ('1 to 1', '148 to 1', 'more than a million to 1')
    """
    if log_odds > float(np.log(_LARGEST_ODDS)):
        return f"more than {_LARGEST_ODDS_WORDS} to 1"
    return f"{round_half_up(float(np.exp(log_odds)), 0)} to 1"


def _named_in_words(board: SurveyedBoard) -> str:
    survey = board.survey
    if survey.naming is None or survey.best.residual_mm is None or survey.residual_cents is None:
        return f"not known: it takes {LEAST_TO_WEIGH} frets or more to say which one is out"
    named = [
        f"fret {fret}, {place_in_words(float(mm))}, {pitch_in_words(float(cents))}"
        for fret, mm, cents, out in zip(
            survey.frets, survey.best.residual_mm, survey.residual_cents, survey.naming.out_of_place, strict=True
        )
        if out
    ]
    return "; ".join(named) or "none by more than the reading error explains"


def place_in_words(residual_mm: float) -> str:
    """How far a fret is off its place, and which way.

    >>> place_in_words(1.5), place_in_words(-0.31)
    ('1.50 mm too near the bridge', '0.31 mm too near the nut')
    """
    return f"{in_mm(abs(residual_mm))} too near the {'bridge' if residual_mm > 0 else 'nut'}"


def pitch_in_words(cents: float) -> str:
    """How a fret that is off its place sounds.

    >>> pitch_in_words(5.33), pitch_in_words(-2.0)
    ('5.3 cents sharp', '2.0 cents flat')
    """
    return f"{round_half_up(abs(cents), 1)} cents {'sharp' if cents > 0 else 'flat'}"


def fret_of_the_picture(scale: str) -> str:
    """What a fret's mark means. ``scale``: how much larger the picture draws it."""
    return f"fret, against its place by the rule; across, in mm, drawn {scale}"


def across_only(scale: str) -> str:
    """The picture's scale for the title block: down the sheet, nothing is to scale.

    >>> across_only("50:1")
    '50:1 across'
    """
    return f"{scale} across"


def error_of_the_picture(board: SurveyedBoard) -> str:
    """What the lines beside the middle mean."""
    error = fine_mm(board.survey.reading_error_mm)
    return f"reading error of one reading, {error} either way, {ERROR_FROM_WORDS[board.error_from]}"


def too_short_for(rows: int) -> str:
    """Why a paper has no room for the picture."""
    return f"it is too short for {rows} rows"


def filled_in(frets: list[int]) -> str:
    """A remark behind pasted lines, on frets that were not measured."""
    return f"# not measured, set by the rule: {', '.join(map(str, frets))}"


def notes(board: SurveyedBoard) -> tuple[Note, ...]:
    """What is possible but unlikely: worth a second look, no reason to stop."""
    return (*_notes_on_frets(board), *(says.note() for says in _notes_on_board(board)))


def _notes_on_frets(board: SurveyedBoard) -> Iterator[Note]:
    for fret, readings in zip(board.survey.frets, board.readings_mm, strict=True):
        apart = float(np.ptp(readings))
        if apart > _REPEATS_APART * board.survey.reading_error_mm:
            what = f"the readings of fret {fret} are {fine_mm(apart)} apart"
            yield Says(what, "measure it again", "survey-repeats-apart").note(Place(board.source, fret=int(fret)))


def _notes_on_board(board: SurveyedBoard) -> Iterator[Says]:
    best, error = board.survey.best, board.survey.reading_error_mm
    if best.offset is not None and abs(best.offset.mm) > max(_FAR_OFF_MM, best.offset.half_mm):
        what = f"the nut seems {in_mm(abs(best.offset.mm))} out of its place"
        remedy = "check that every distance begins at its front edge, and that a zero fret is not counted as fret 1"
        yield Says(what, remedy, "survey-nut-far-off")
    if best.spread_mm is not None and best.spread_mm > _ROUGH * error:
        scatter = f"the frets scatter by {fine_mm(best.spread_mm)} about {RULE_WORDS[best.rule]}"
        what = f"{scatter}, more than a reading error of {fine_mm(error)} explains"
        rougher = ("the board may be uneven; if your readings are rougher, say so with ", Option("reading-error"))
        yield Says(what, rougher, "survey-scatter")
    if best.spread_mm is None and best.residual_mm is not None:
        worst = float(np.max(np.abs(best.residual_mm)))
        if worst > 3 * error:
            remedy = f"measure {LEAST_TO_WEIGH} frets or more to find which is out"
            yield Says(f"the readings disagree by up to {fine_mm(worst)}", remedy, "survey-disagree")


def in_mm(mm: float) -> str:
    """A length to a hundredth of a millimetre, with a true minus.

    >>> in_mm(-0.47)
    '−0.47 mm'
    """
    return f"{with_minus(float(mm))} mm"


def plus_minus(estimate: Estimate) -> str:
    """Half of the 95% interval: to a hundredth of a millimetre and at least that, as the length before it is rounded so.

    >>> plus_minus(Estimate(648.0, 0.06, 0.123)), plus_minus(Estimate(648.0, 0.0005, 0.001))
    ('± 0.12 mm (95%)', '± 0.01 mm (95%)')
    """
    return f"± {in_mm(max(estimate.half_mm, _LEAST_MM))} (95%)"


def fine_mm(mm: float) -> str:
    """A length to a hundredth of a millimetre, or to two digits if it is smaller.

    >>> fine_mm(0.25), fine_mm(0.001), fine_mm(0.000012)
    ('0.25 mm', '0.001 mm', 'under 0.001 mm')
    """
    if mm >= _LEAST_MM:
        return in_mm(mm)
    return f"{mm:.2g} mm" if mm >= _LEAST_MM / 10 else f"under {_LEAST_MM / 10:g} mm"
