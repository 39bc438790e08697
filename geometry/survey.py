"""What a measured fretboard shows: its scale, where its nut stands, its rule, and the frets that are out of place.

A board is modelled as dₙ = s uₙ + o + error: dₙ the distance from the nut to fret n, s the scale, uₙ = 1 − Xₙ/X₀ the share
of the scale at which a rule puts the fret, o the nut offset. **o > 0: all distances read o too long, the nut's front edge
stands o too far from the frets; o < 0: too short, it stands that much too near.** The line through the distances, and which
of them lie off it, is found in robust.py.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

import numpy as np

from geometry.arrays import FloatArray, IntArray
from geometry.frets import CENTS_PER_OCTAVE, OCTAVE_FRET, equal_steps_mm, rule_of_eighteen_mm
from geometry.robust import (
    CONFIDENCE,
    LEAST_TO_WEIGH,
    Naming,
    RobustLine,
    SurveyError,
    deviations,
    log_odds,
    name_frets,
    robust_line,
    student_t,
)

RULE_READING_ERROR_MM = 0.25
"""Standard deviation of a distance read off a steel rule. Common practice, no source."""

LEAST_TO_TRUST_SCATTER = 12
"""Frets from which the scatter alone says how sure the line is. Fewer may agree by chance, and are not believed to be
better than the reading error: with 5 to 8 frets Huber's standard errors alone hold the scale 90 to 93 times in 100."""

LEAST_REPEATS = 10
"""Degrees of freedom that repeated readings must have before the reading error is taken from them."""

LIKELY, DECISIVE = math.log(10), math.log(100)
"""Log odds from which one rule is likely, or decided. H. Jeffreys, Theory of Probability (1961), appendix B, from memory:
odds of 10 to 1 are strong evidence, 100 to 1 decisive."""


class Rule(StrEnum):
    """By which rule the frets were cut."""

    EQUAL = "equal"
    EIGHTEEN = "eighteen"


class Strength(StrEnum):
    """How sure the rule is."""

    DECISIVE = "decisive"
    LIKELY = "likely"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class Estimate:
    """A length, its standard error, and half the width of its 95% interval, all in mm."""

    mm: float
    se_mm: float
    half_mm: float

    @property
    def low_mm(self) -> float:
        """Lower end of the interval."""
        return self.mm - self.half_mm

    @property
    def high_mm(self) -> float:
        """Upper end of the interval."""
        return self.mm + self.half_mm

    @property
    def differs_from_zero(self) -> bool:
        """Whether the interval excludes zero."""
        return abs(self.mm) > self.half_mm


@dataclass(frozen=True)
class SurveyFit:
    """A board fitted by one rule. ``offset`` is None where a single fret does not give it.

    ``wanted_mm`` is where the rule puts each measured fret, from the nut that was measured from; ``residual_mm`` is measured
    minus wanted, None where there are as many unknowns as frets; ``spread_mm`` is None where it is not estimated.
    """

    rule: Rule
    scale: Estimate
    offset: Estimate | None
    wanted_mm: FloatArray
    residual_mm: FloatArray | None
    spread_mm: float | None

    @property
    def from_this_nut_mm(self) -> float:
        """From the nut that was measured from to the theoretical bridge line, s + o."""
        return self.scale.mm + (self.offset.mm if self.offset is not None else 0.0)


@dataclass(frozen=True)
class Survey:
    """What a board shows.

    ``frets``, ``measured_mm`` (the mean where a fret was read more than once) and ``readings`` (how often) are one for each
    fret. ``log_odds`` is ln of how much likelier the distances are under ``best.rule`` than under ``other.rule``: below
    zero when the rule is undecided and equal steps are assumed. None means unknown.
    """

    frets: IntArray
    measured_mm: FloatArray
    readings: IntArray
    reading_error_mm: float
    best: SurveyFit
    other: SurveyFit
    log_odds: float | None
    residual_cents: FloatArray | None
    naming: Naming | None

    @property
    def strength(self) -> Strength:
        """How sure the rule is."""
        if self.log_odds is None or self.log_odds < LIKELY:
            return Strength.CANNOT_TELL
        return Strength.LIKELY if self.log_odds < DECISIVE else Strength.DECISIVE

    @property
    def named(self) -> tuple[int, ...]:
        """Numbers of the frets that are out of place."""
        return () if self.naming is None else tuple(self.frets[self.naming.out_of_place].tolist())


def shares(rule: Rule, frets: IntArray) -> FloatArray:
    """Where a rule puts frets, as a share of the scale: uₙ = 1 − Xₙ/X₀.

    Parameters: ``rule``; ``frets``, their numbers from 1, any shape. Returns the same shape, without unit. Source: as for
    `equal_steps_mm` and `rule_of_eighteen_mm`.

    >>> shares(Rule.EQUAL, np.array([12])), shares(Rule.EIGHTEEN, np.array([12])).round(4)
    (array([0.5]), array([0.4964]))
    """
    place = equal_steps_mm if rule is Rule.EQUAL else rule_of_eighteen_mm
    return np.asarray(1.0 - place(1.0, int(np.max(frets)))[np.asarray(frets) - 1])


def cents_off(residual_mm: FloatArray, to_bridge_mm: FloatArray) -> FloatArray:
    """How sharp a fret that is off its place is, 1200 log2(X/(X − r)).

    Parameters: ``residual_mm`` r, positive towards the bridge; ``to_bridge_mm`` X from the fret's place to the theoretical
    bridge line; the same shape. Returns cents, sharp positive; nan for a fret behind the bridge, r ≥ X. Limits: geometry
    alone, no stretch of the string.

    >>> cents_off(np.array([1.0, 0.0]), np.array([325.0, 325.0])).round(3)
    array([5.335, 0.   ])
    """
    left = np.where(residual_mm < to_bridge_mm, to_bridge_mm - residual_mm, np.nan)
    return np.asarray(CENTS_PER_OCTAVE * np.log2(to_bridge_mm / left))


def survey(frets: IntArray, measured_mm: FloatArray, readings: IntArray, reading_error_mm: float) -> Survey:
    """What distances from the nut to frets show: scale, nut offset, rule, and the frets that are out of place.

    Both rules are fitted by `robust_line`, and the likelier is taken, or equal steps where they are undecided. The interval
    is ± t standard errors, t Student's with N − 2 degrees of freedom. Below 12 frets neither the standard error nor the
    interval is smaller than what the reading error makes them. Fewer than 5 frets show neither the rule nor a fret out of
    place, and the reading error alone makes the standard errors. Fret 12 alone gives the scale, and no nut offset.

    Parameters: ``frets``, their numbers, rising, from 1; ``measured_mm``, the mean distance of each; ``readings``, how many
    that is the mean of; shape (N,) each; ``reading_error_mm``, standard deviation of one reading. Returns a `Survey`. Raises
    `SurveyError` when frets or distances do not rise, or when one fret is measured that is not the twelfth. Limits: a board
    of up to three dozen frets, straight, less than half of it out of place. Where the rule is undecided, the scale and its
    interval hold for equal steps alone; of boards by the rule of eighteen with 24 frets on 650 mm, read to 0.25 mm, that is
    one in seven. Source: the functions above.

    >>> board = survey(np.array([12]), np.array([325.0]), np.array([1]), 0.25)
    >>> board.best.scale.mm, board.best.scale.se_mm, board.best.offset, board.strength.value
    (650.0, 0.5, None, 'cannot tell')
    """
    if not len(frets):
        raise SurveyError("too-few-frets", 0, 0, 1)
    unsorted, falling = np.diff(frets, prepend=0) <= 0, np.diff(measured_mm, prepend=0.0) <= 0
    if np.any(unsorted):
        raise SurveyError("frets-not-numbered", int(frets[np.argmax(unsorted)]), len(frets), 1)
    if np.any(falling):
        raise SurveyError("distances-not-rising", int(frets[np.argmax(falling)]), len(frets), 1)
    if len(frets) == 1 and frets[0] != OCTAVE_FRET:
        raise SurveyError("one-fret-not-octave", int(frets[0]), 1, 2)
    lines = {rule: _line(shares(rule, frets), measured_mm, readings) for rule in Rule}
    fits = {rule: _fit(rule, frets, measured_mm, readings, reading_error_mm, lines[rule]) for rule in Rule}
    equal, eighteen = lines[Rule.EQUAL], lines[Rule.EIGHTEEN]
    odds, naming, rule = None, None, Rule.EQUAL
    if len(frets) >= LEAST_TO_WEIGH and equal is not None and eighteen is not None:
        for_eighteen = float(log_odds(eighteen, equal, readings))
        rule = Rule.EIGHTEEN if for_eighteen >= LIKELY else Rule.EQUAL
        odds = for_eighteen if rule is Rule.EIGHTEEN else -for_eighteen
        naming = name_frets(shares(rule, frets), measured_mm, readings, reading_error_mm)
    best = fits[rule]
    other = fits[Rule.EQUAL if rule is Rule.EIGHTEEN else Rule.EIGHTEEN]
    off = best.residual_mm
    cents = None if off is None else cents_off(off, best.from_this_nut_mm - best.wanted_mm)
    return Survey(frets, measured_mm, readings, reading_error_mm, best, other, odds, cents, naming)


def _line(share: FloatArray, measured_mm: FloatArray, readings: IntArray) -> RobustLine | None:
    return robust_line(share, measured_mm, readings) if len(share) > 1 else None


def _fit(
    rule: Rule,
    frets: IntArray,
    measured_mm: FloatArray,
    readings: IntArray,
    reading_error_mm: float,
    line: RobustLine | None,
) -> SurveyFit:
    share = shares(rule, frets)
    normal = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
    if line is None:
        error = reading_error_mm / math.sqrt(readings[0]) / float(share[0])
        scale = Estimate(float(measured_mm[0] / share[0]), error, normal * error)
        return SurveyFit(rule, scale, None, measured_mm, None, None)
    known = reading_error_mm * deviations(share, readings)
    few = len(frets) < LEAST_TO_WEIGH
    found = np.zeros(2) if few else np.array([line.scale_se_mm, line.offset_se_mm])
    if len(frets) >= LEAST_TO_TRUST_SCATTER:
        known = np.zeros(2)
    error = np.maximum(found, known)
    half = np.maximum(normal * known, 0.0 if few else student_t(len(frets) - 2) * found)
    return SurveyFit(
        rule,
        Estimate(float(line.scale_mm), float(error[0]), float(half[0])),
        Estimate(float(line.offset_mm), float(error[1]), float(half[1])),
        measured_mm - line.residual_mm,
        line.residual_mm if len(frets) > 2 else None,
        None if few else float(line.spread_mm),
    )
