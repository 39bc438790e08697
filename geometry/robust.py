"""A straight line through distances of which a few are wrong: Huber's, its errors, its odds, and what lies off it.

A builder's slip in one fret must not bend the line through the others, so the fit is Huber's: far readings pull with a
constant force, not with one that grows. The error of a single reading is an input: some twenty residuals do not show it
well enough to name a fret.

Nothing here depends on the rule by which frets are cut: a distance is measured, and its ``share`` says where on the line it
belongs.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import TypeAlias

import numpy as np

from geometry.arrays import BoolArray, FloatArray, IntArray
from geometry.errors import GeometryError

HUBER_K = 1.345
"""Residuals beyond 1.345 times the spread pull no harder: 95% as good as least squares on normal errors (P. J. Huber,
Robust Statistics, 1981; from memory)."""

MAD_OF_NORMAL = NormalDist().inv_cdf(0.75)
"""Median absolute value of a standard normal error, 0.6745."""

CONFIDENCE = 0.95
FALSE_ALARMS = 0.04
"""How often a board without fault may have a fret named, all frets together. Much less, and more than one in a hundred
frets that are six reading errors out of place would not be named."""

LEAST_TO_WEIGH = 5
"""Frets that it takes to weigh readings against each other: with fewer, the readings do not show which one is out."""

_LEAST_SPREAD_MM = 1e-9
_LEAST_ERROR_MM = 0.01
_MOST_ROUNDS, _ROUNDS_BEFORE_SPREAD_RESTS = 1000, 500
_CONVERGED_MM = 1e-11
_MOST_NAMINGS = 50
_START_AT = 3.0


class SurveyError(GeometryError):
    """Distances that no survey can be made from.

    ``fret`` is the number of the fret at fault, 0 if it is none of them; ``measured`` how many frets there are, and
    ``needed`` how many it takes. Codes: frets-not-numbered, distances-not-rising, one-fret-not-octave, too-few-frets.
    """

    def __init__(self, code: str, fret: int, measured: int, needed: int) -> None:
        super().__init__(code, fret, measured, needed)
        self.fret, self.measured, self.needed = fret, measured, needed


Number: TypeAlias = FloatArray
"""One value per board: an array of the boards' shape, which is () for a single board."""


@dataclass(frozen=True)
class RobustLine:
    """Huber's line through distances: one value per board in each field, `residual_mm` one per board and fret.

    ``spread_mm`` is the robust standard deviation of a reading; the standard errors are those of ``scale_mm`` and
    ``offset_mm``.
    """

    scale_mm: Number
    offset_mm: Number
    scale_se_mm: Number
    offset_se_mm: Number
    spread_mm: Number
    residual_mm: FloatArray


@dataclass(frozen=True)
class Naming:
    """Which frets are out of place, and between which residuals each of them would not have been, in mm."""

    out_of_place: BoolArray
    low_mm: FloatArray
    high_mm: FloatArray


def robust_line(share: FloatArray, measured_mm: FloatArray, readings: IntArray) -> RobustLine:
    """The line d = s u + o through distances, by Huber's M-estimate, for one board or for many at once.

    Solves Σ √mₙ ψ(√mₙ rₙ/σ) (uₙ, 1) = 0 with rₙ = dₙ − s uₙ − o, ψ(z) = z cut off at ±1.345, and σ the median of |√mₙ rₙ|
    over 0.6745, by reweighted least squares from the least-squares line until nothing moves by 1e-11 mm. Covariance:
    K² [Σ ψ² σ²/(N − 2)]/[mean ψ′]² (XᵀX)⁻¹ with K = 1 + (2/N) var ψ′/(mean ψ′)². With fewer than 5 frets the line is that
    of least squares, and the covariance too.

    Parameters: ``share`` uₙ, shape (N,), not all the same; ``measured_mm``, shape (…, N); ``readings`` mₙ, how many each
    distance is the mean of, shape (N,). Returns mm, fields of shape (…), residuals (…, N). Raises `SurveyError` when N < 2.
    Limits: standard errors of two frets are nan, nothing being left over; should the weights not settle within 500 rounds,
    σ is held where it is, and the line converges. Source: P. J. Huber, Robust Statistics (1981), chapter 7, from memory.

    >>> share = 1 - 0.5 ** (np.arange(1, 13) / 12)
    >>> board = 650.0 * share + 0.4
    >>> board[6] += 1.5
    >>> line = robust_line(share, board, np.ones(12, dtype=int))
    >>> float(line.scale_mm.round(6)), float(line.offset_mm.round(6)), float(line.residual_mm[6].round(6))
    (650.0, 0.4, 1.5)
    """
    if len(share) < 2:
        raise SurveyError("too-few-frets", 0, len(share), 2)
    root = np.sqrt(readings)
    weight = np.broadcast_to(np.asarray(readings, dtype=float), measured_mm.shape)
    scale, offset = _least_squares(share, measured_mm, weight)
    spread = _spread(share, measured_mm, root, scale, offset)
    if len(share) >= LEAST_TO_WEIGH:
        for n in range(_MOST_ROUNDS):
            standing = np.abs(root * _residual(share, measured_mm, scale, offset)) / spread[..., None]
            new_scale, new_offset = _least_squares(share, measured_mm, weight * HUBER_K / np.maximum(standing, HUBER_K))
            moved = max(np.max(np.abs(new_scale - scale)), np.max(np.abs(new_offset - offset)))
            scale, offset = new_scale, new_offset
            if n < _ROUNDS_BEFORE_SPREAD_RESTS:
                spread = _spread(share, measured_mm, root, scale, offset)
            if moved <= _CONVERGED_MM:
                break
    residual = _residual(share, measured_mm, scale, offset)
    error = _error_mm(root * residual, spread)
    known = deviations(share, readings)
    return RobustLine(
        scale_mm=scale,
        offset_mm=offset,
        scale_se_mm=np.asarray(error * known[0]),
        offset_se_mm=np.asarray(error * known[1]),
        spread_mm=spread,
        residual_mm=residual,
    )


def _residual(share: FloatArray, measured_mm: FloatArray, scale: Number, offset: Number) -> FloatArray:
    return np.asarray(measured_mm - scale[..., None] * share - offset[..., None])


def _spread(share: FloatArray, measured_mm: FloatArray, root: FloatArray, scale: Number, offset: Number) -> Number:
    size = np.abs(root * _residual(share, measured_mm, scale, offset))
    return np.maximum(np.median(size, axis=-1) / MAD_OF_NORMAL, _LEAST_SPREAD_MM)


def _least_squares(share: FloatArray, measured_mm: FloatArray, weight: FloatArray) -> tuple[Number, Number]:
    """Weighted least squares, about the weighted means, which keeps it exact."""
    total = np.sum(weight, axis=-1, keepdims=True)
    middle = np.sum(weight * share, axis=-1, keepdims=True) / total
    mean = np.sum(weight * measured_mm, axis=-1, keepdims=True) / total
    spread = np.sum(weight * (share - middle) ** 2, axis=-1)
    scale = np.sum(weight * (share - middle) * (measured_mm - mean), axis=-1) / spread
    return scale, np.asarray(mean[..., 0] - scale * middle[..., 0])


def _error_mm(residual: FloatArray, spread: Number) -> Number:
    """The standard deviation of a reading as Huber's covariance uses it; nan for two frets."""
    frets = residual.shape[-1]
    if frets == 2:
        return np.full(residual.shape[:-1], np.nan)
    if frets < LEAST_TO_WEIGH:
        return np.asarray(np.sqrt(np.sum(residual**2, axis=-1) / (frets - 2)))
    inside = np.abs(residual) <= HUBER_K * spread[..., None]
    cut = np.clip(residual, -HUBER_K * spread[..., None], HUBER_K * spread[..., None])
    kept = np.mean(inside, axis=-1)
    correction = 1 + 2 / frets * np.var(inside, axis=-1) / kept**2
    return np.asarray(correction * np.sqrt(np.sum(cut**2, axis=-1) / (frets - 2)) / kept)


def deviations(share: FloatArray, readings: IntArray) -> FloatArray:
    """Standard deviations of a least-squares line's scale and offset, over the reading error."""
    determinant = np.sum(readings) * np.sum(readings * share**2) - np.sum(readings * share) ** 2
    return np.sqrt(np.array([np.sum(readings), np.sum(readings * share**2)]) / determinant)


def name_frets(share: FloatArray, measured_mm: FloatArray, readings: IntArray, reading_error_mm: float) -> Naming:
    """Frets that lie farther from the line through the others than the reading error explains.

    From those more than 3 reading errors off Huber's line: least squares through the others, each residual over its standard
    deviation, σ √(1/mₙ − hₙ) for a fret that the line goes by and σ √(1/mₙ + hₙ) for one that it excludes, with
    hₙ = xₙᵀ(XᵀWX)⁻¹xₙ; beyond z, a fret is named; again until the same frets are named as before. z is the normal quantile
    that names a fret on 4% of faultless boards, all N frets together.

    Parameters: as for `robust_line`; ``reading_error_mm`` σ, standard deviation of one reading. Returns what is named, shape
    (…, N), and between which residuals from Huber's line each fret would stand. Raises `SurveyError` for fewer than 5 frets.
    Limits: boards of which less than half is out of place; where more would be named, the residuals from Huber's line
    decide. Source: own; the test of an outlier by its standardised residual is common practice in statistics.

    >>> frets = np.arange(1, 13)
    >>> share = 1 - 0.5 ** (frets / 12)
    >>> board = 650.0 * share
    >>> board[6] += 1.5
    >>> found = name_frets(share, board, np.ones(12, dtype=int), 0.25)
    >>> frets[found.out_of_place]
    array([7])
    """
    frets = len(share)
    if frets < LEAST_TO_WEIGH:
        raise SurveyError("too-few-frets", 0, frets, LEAST_TO_WEIGH)
    line = robust_line(share, measured_mm, readings)
    furthest = NormalDist().inv_cdf(1 - FALSE_ALARMS / (2 * frets)) * reading_error_mm
    named = np.abs(np.sqrt(readings) * line.residual_mm) > _START_AT * reading_error_mm
    for _ in range(_MOST_NAMINGS):
        enough = np.sum(~named, axis=-1, keepdims=True) > frets / 2
        middle, limit = _limits(share, measured_mm, readings, named & enough, line, enough)
        again = np.abs(measured_mm - middle) > furthest * limit
        if np.array_equal(again, named):
            break
        named = again
    wanted = measured_mm - line.residual_mm
    return Naming(named, middle - wanted - furthest * limit, middle - wanted + furthest * limit)


def _limits(
    share: FloatArray,
    measured_mm: FloatArray,
    readings: IntArray,
    left_out: BoolArray,
    line: RobustLine,
    own: BoolArray,
) -> tuple[FloatArray, FloatArray]:
    """Where the line through the frets that are kept puts each fret, and its deviation over the reading error's.

    Where ``own`` is false, Huber's line is used instead.
    """
    weight = np.where(left_out, 0.0, readings)
    scale, offset = _least_squares(share, measured_mm, weight)
    middle = np.where(own, scale[..., None] * share + offset[..., None], measured_mm - line.residual_mm)
    total = np.sum(weight, axis=-1, keepdims=True)
    mean = np.sum(weight * share, axis=-1, keepdims=True) / total
    leverage = 1 / total + (share - mean) ** 2 / np.sum(weight * (share - mean) ** 2, axis=-1, keepdims=True)
    return middle, np.sqrt(1 / readings + np.where(left_out, leverage, -leverage))


def log_odds(one: RobustLine, other: RobustLine, readings: IntArray) -> Number:
    """ln of how much likelier distances are under one rule's line than under the other's.

    ± (ν/2) ln(1 + 2|L₂ − L₁|/ν) with ν = N − 2 and L = Σ ρ(√mₙ rₙ/σ), Huber's loss of a line's residuals in units of σ, the
    error of the line that has less of it: the odds of two lines when the error is only known from N − 2 degrees of freedom,
    as Student's t has them. Lines that fit alike give 0; a fret that is out of place under both weighs little.

    Parameters: both rules' lines through the same distances, and how many readings each is the mean of, shape (N,).
    Returns shape (…), positive in favour of ``one``. Limits: 5 frets or more; errors below 0.01 mm count as 0.01 mm.
    Source: own, after the
    likelihood ratio of two regressions.

    >>> frets, once = np.arange(1, 25), np.ones(24, dtype=int)
    >>> eighteen, equal = 1 - (17 / 18) ** frets, 1 - 0.5 ** (frets / 12)
    >>> lines = [robust_line(share, 650.0 * eighteen, once) for share in (eighteen, equal)]
    >>> bool(log_odds(*lines, once) > np.log(100))
    True
    """
    root = np.sqrt(readings)
    freedom = len(readings) - 2
    error = np.minimum(*(_error_mm(root * line.residual_mm, line.spread_mm) for line in (one, other)))
    error = np.maximum(error, _LEAST_ERROR_MM)
    losses = []
    for line in (one, other):
        z = np.abs(root * line.residual_mm) / error[..., None]
        losses.append(np.sum(np.where(z <= HUBER_K, z**2 / 2, HUBER_K * z - HUBER_K**2 / 2), axis=-1))
    lead = losses[1] - losses[0]
    return np.asarray(np.sign(lead) * freedom / 2 * np.log1p(2 * np.abs(lead) / freedom))


def pooled_error_mm(repeated: list[FloatArray]) -> tuple[float, int]:
    """Standard deviation of one reading, from readings that were repeated: √(Σᵢ Σⱼ (dᵢⱼ − d̄ᵢ)²/ν), ν = Σᵢ (mᵢ − 1).

    Parameters: the readings of each fret, mm. Returns mm and ν, the degrees of freedom; nan where ν is 0. Limits: what all
    readings of a fret have in common, such as a rule laid on askew, does not show. Source: pooled variance, common practice.

    >>> error, freedom = pooled_error_mm([np.array([33.6, 33.8]), np.array([65.4])])
    >>> round(error, 4), freedom
    (0.1414, 1)
    """
    freedom = sum(len(each) - 1 for each in repeated)
    squares = sum(float(np.sum((each - np.mean(each)) ** 2)) for each in repeated)
    return (math.sqrt(squares / freedom) if freedom else math.nan), freedom


def student_t(freedom: int, confidence: float = CONFIDENCE) -> float:
    """The t that Student's distribution stays within, either side, with probability ``confidence``.

    With θ = atan(t/√ν), the probability is a finite sum: for even ν, sin θ (1 + ½ cos²θ + (1·3)/(2·4) cos⁴θ + …) up to
    cos^(ν−2)θ; for odd ν, (2/π)(θ + sin θ (cos θ + ⅔ cos³θ + (2·4)/(3·5) cos⁵θ + …)) up to the same power. It is solved
    for θ by halving.

    Parameters: ``freedom`` ν from 1, a whole number; ``confidence`` between 0 and 1. Returns a number without unit.
    Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4, from memory.

    >>> round(student_t(22), 4), round(student_t(1), 4)
    (2.0739, 12.7062)
    """
    low, high = 0.0, math.pi / 2
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if _within(middle, freedom) < confidence else (low, middle)
    return math.sqrt(freedom) * math.tan(low)


def _within(theta: float, freedom: int) -> float:
    sine, cosine = math.sin(theta), math.cos(theta)
    odd = freedom % 2
    term, total = (cosine if odd else 1.0), 0.0
    for power in range(odd, freedom - 1, 2):
        total += term
        term *= cosine**2 * (power + 1) / (power + 2)
    return 2 / math.pi * (theta + sine * total) if odd else sine * total
