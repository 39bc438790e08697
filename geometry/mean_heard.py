"""The mean of readings that were heard: each brings an error of its own, and part of it they share."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.readings import TUNER_WEIGHT, Means, ReadingError, ReadingErrors


@dataclass(frozen=True)
class HeardErrors:
    """Standard errors of a string's readings in cents: ``own_cents`` σ of each by itself, nan for a reading off a tuner;
    ``shared_cents`` c of each, what it has in common with its repeats.
    """

    own_cents: FloatArray
    shared_cents: FloatArray


def mean_heard(
    repeats: Sequence[FloatArray], references: Sequence[int], errors: ReadingErrors, heard: Sequence[HeardErrors]
) -> Means:
    """Mean of each string's repeated readings and its standard error, as `mean_readings`, where some were heard.

    A reading's variance is v = t² + σ² if it was heard, else 2τ² + t², with tuner τ and touch t; its weight is w = 1/v, and
    r̄ = Σ w r/Σ w. The spread of the repeats of all strings widens every variance by F² = (ν₀ + Σ (r − r̄)²/v)/(ν₀ + ν), with
    ν₀ = `TUNER_WEIGHT` and ν = Σ (n − 1). The reference's part of a variance is u = τ², or σ²/2 if it was heard; n readings
    against m references have it n/m times as often. So a string's error is
    √(F² Σ w² (v − u + u n/m)/(Σ w)² + (Σ w c/Σ w)²): what repeats share does not average away.

    Parameters: ``repeats``, the readings of each string in cents; ``references``, how many tones they were compared with;
    ``errors`` of a tuner and of touch; ``heard``, the errors of each string's readings. Returns shape (strings,). Raises
    `ReadingError` for a string without a reading. Limits: those of `mean_readings`, which it equals where σ² = 2τ² and
    c = 0. Source: inverse variances, common practice; the weight ν₀ is our own.

    >>> three = HeardErrors(np.full(3, 0.2), np.full(3, 0.3))
    >>> read = mean_heard([np.array([-7.0, -6.0, -6.5])], [1], ReadingErrors(0.5, 0.4), [three])
    >>> read.cents, read.standard_error_cents.round(3)
    (array([-6.5]), array([0.42]))
    """
    unread = [n for n, each in enumerate(repeats) if len(each) == 0]
    if unread:
        raise ReadingError("string-unread", unread)
    tones = [np.where(np.isnan(each.own_cents), errors.tuner_cents**2, each.own_cents**2 / 2) for each in heard]
    variances = [2 * tone + errors.touch_cents**2 for tone in tones]
    shares = [1 / variance / np.sum(1 / variance) for variance in variances]
    means = [float(np.sum(share * read)) for share, read in zip(shares, repeats, strict=True)]
    freedom = sum(len(read) - 1 for read in repeats)
    squares = sum(
        float(np.sum((read - mean) ** 2 / variance))
        for read, mean, variance in zip(repeats, means, variances, strict=True)
    )
    wider = (TUNER_WEIGHT + squares) / (TUNER_WEIGHT + freedom)
    found = []
    for tone, variance, share, count, each in zip(tones, variances, shares, references, heard, strict=True):
        random = float(np.sum(share**2 * (variance - tone + tone * len(tone) / count)))
        found.append(np.sqrt(wider * random + float(np.sum(share * each.shared_cents)) ** 2))
    single = wider * float(np.mean(np.concatenate(variances)))
    return Means(np.array(means), np.array(found), float(np.sqrt(single)))
