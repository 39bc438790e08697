"""What is wrong with a string that frets out of tune: the bridge's place, the nut, a fret, the touch, or none of them.

Readings at several frets of one string, each fretted note against the open string or its octave harmonic, are weighed
against what each cause would do to them. The model gives the shape: a bridge that is too near makes high frets sharp, nut
slots that are too high the low frets, one fret out of place itself alone. The weights are Bayes's: how well a cause of any
likely size explains the readings, times how often it is met.

An instrument without fault is not exactly as its file says, and a hand that nobody measured may be any plausible one, but
its bridge stands where its own octave is right. The effect of these differences on the other frets is part of every cause.
It widens the chance scatter of the readings: a small fault is not named as a large one, nor a firm hand as a high nut.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import BoolArray, FloatArray, IntArray
from geometry.causes import (
    ACTION_SIZE_MM,
    BRIDGE_SIZE_CENTS,
    CORE_SIZE,
    FRET_SIZE_CENTS,
    GAUGE_SIZE,
    LOOSE_SIZE_CENTS,
    NUT_HEIGHT_SIZE_MM,
    NUT_PLACE_SIZE_MM,
    PRIOR,
    PRIOR_IF_WAS_RIGHT,
    STRETCH_SIZE,
    Cause,
)
from geometry.frets import octave_columns
from geometry.fretting import FrettedStrings, error_cents
from geometry.readings import USUAL_ERRORS, ReadingErrors
from geometry.touch import Touch

SURE, VERY_SURE = 0.6, 0.95
"""Weight from which a cause is named, and from which it is named without reserve; below, the readings are not sure. Own
choice, by simulated faults (tests/published/test_diagnosis_rates.py)."""

LEAST_FRETS = 4
"""Different frets that it takes to name a cause: bridge, nut and touch are three unknowns, and one reading must remain to
check them.
"""

FRETS_TO_READ = (1, 7, 5, 3, 10)
"""Frets worth a reading after the octave. Common practice, no source: the first fret, and the ones with a dot."""


LEAST_NUT_HEIGHT_MM = 0.05
"""A nut slot is not cut below the fret tops."""

HEALTHY_OCTAVE_CENTS, HEALTHY_FRET_MM = 0.7, 0.05
HEALTHY = {"nut": 0.1, "height": 0.05, "stretch": 0.15, "action": 0.15}
"""How far an instrument without fault is from its file, standard deviations: the octave as it was left, each fret's place;
nut, slots and action in mm, stretch as a share. Common practice, no source."""

_SIZES = (np.arange(24) + 0.5) / 8
_EITHER_WAY = np.concatenate((-_SIZES, _SIZES))
"""Sizes at which a fault is tried, in its standard deviations, evenly up to 3; of one sign, or of both."""

_STEP = 0.01
_UNKNOWNS = ("bridge", "nut", "height", "stretch")


@dataclass(frozen=True)
class FretReadings:
    """Readings of one string. Arrays of shape (readings,), but ``cents`` (…, readings): fretted note less reference, both
    against what they are meant to sound.

    ``frets`` count from the string's own nut; ``reference`` numbers the reference tone of each reading: one that several
    readings share is wrong for all of them alike. ``harmonic_cents`` is h for a reading against the octave harmonic, and 0
    for one against the open string.
    """

    frets: IntArray
    cents: FloatArray
    reference: IntArray
    harmonic_cents: FloatArray


@dataclass(frozen=True)
class Suspect:
    """A cause, for which fret (0 unless it is a fret), and its weight, shape (…)."""

    cause: Cause
    fret: int
    weight: FloatArray


@dataclass(frozen=True)
class StringFit:
    """Bridge, nut and stretch fitted at once: the differences from the model, and their standard errors.

    Setbacks and nut height in mm, stretch as a share of the model's.
    """

    setback_mm: float
    nut_setback_mm: float
    nut_height_mm: float
    stretch: float
    standard_errors: tuple[float, float, float, float]


@dataclass(frozen=True)
class String:
    """One string as it should be, for the diagnosis: the model's row, and where bridge and nut belong.

    ``touch``: the fingers that may have pressed it; None where the model's is known to be the one. ``was_right``: whether
    the bridge was in tune in that place before, so that something has changed; ``wound``: whether another string would have
    another core, and not another gauge alone; ``ruled_out``: causes that something else than the readings excludes.
    """

    model: FrettedStrings
    setback_mm: float
    nut_setback_mm: float
    touch: Touch | None = None
    was_right: bool = False
    wound: bool = False
    ruled_out: frozenset[Cause] = frozenset()

    def cents(self, frets: IntArray, **moved: float) -> FloatArray:
        """Error at frets, with something moved: ``bridge`` or ``nut`` (mm), slots' ``height`` or ``action`` raised (mm),
        ``stretch`` grown by a share, or ``strings`` whose core is larger by a share in section, or in diameter if plain.

        The bridge keeps its height when the slots are raised. Slots do not go below the fret tops, and an action does not
        sink by more than half of the rise. At one pitch stretch and stiffness both grow with the section of a wound string's
        core, as E A/T₀ and √(E I/T₀) do; of a plain string T₀ grows as A does, and the stiffness with the diameter alone.
        """
        model = self.model
        other, lift = 1 + moved.get("strings", 0.0), 2 * moved.get("action", 0.0)
        lowest = np.minimum(model.nut_height_mm, LEAST_NUT_HEIGHT_MM)
        raised = np.maximum(model.nut_height_mm + moved.get("height", 0.0), lowest)
        changed = replace(
            model,
            nut_height_mm=raised,
            rise_mm=model.rise_mm - (raised - model.nut_height_mm) + np.maximum(lift, -model.rise_mm / 2),
            stretch=model.stretch * (1 + moved.get("stretch", 0.0)) * (other if self.wound else 1.0),
            stiffness=model.stiffness * other,
        )
        back = np.array([self.setback_mm + moved.get("bridge", 0.0)])
        nut_back = np.array([self.nut_setback_mm + moved.get("nut", 0.0)])
        return np.asarray(error_cents(changed, back, nut_back)[0, frets - 1])

    def touched_cents(self, frets: IntArray) -> FloatArray:
        """What each of the fingers that stand for all makes of frets, beside the model's, times the root of its share.

        Shape (fingers, frets), without fingers where the touch is known.
        """
        if self.touch is None:
            return np.zeros((0, len(frets)))
        d, p, share = self.touch.fingers()
        hands = replace(self.model, finger_mm=d[:, None], press_mm=p[:, None])
        cents = error_cents(hands, np.array([self.setback_mm]), np.array([self.nut_setback_mm]))[:, 0, frets - 1]
        return np.asarray(np.sqrt(share)[:, None] * (cents - self.cents(frets)))

    @property
    def octave_cents_per_mm(self) -> float:
        """How fast the note at the octave falls as the bridge moves away, as a positive number."""
        octave = octave_columns(self.model.wanted, self.model.has_fret) + 1
        return float((self.cents(octave) - self.cents(octave, bridge=_STEP))[0]) / _STEP


def weigh(string: String, readings: FretReadings, errors: ReadingErrors = USUAL_ERRORS) -> tuple[Suspect, ...]:
    """How strongly the readings point to each cause.

    w ∝ P(cause) ∫ p(size) N(r; e(size) − h, C) dsize, with C the covariance of readings and of an instrument without fault:
    tuner and touch, what readings with one reference share, fret scatter, what plausible fingers do, and the model's
    derivatives by everything that a file may have slightly wrong. The integral is a sum over sizes up to three standard
    deviations; a fret out of place and loose readings (worn string) have a normal size, and widen C instead.

    Parameters: ``string``; ``readings`` r; ``errors`` of one tone. Returns a `Suspect` for
    each cause, one for each fret that was read, weights of shape (…) that sum to 1. Limits: one cause at a time; no reading
    separates causes of like shape, such as bridge and action, so that how often each is met decides between them. Source:
    own; Bayes's rule.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> model = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([0.5]),
    ...     np.array([5.0]), 0 * wanted, np.array([10.0]), np.array([0.3]), np.array([160.0]), np.array([0.001]))
    >>> string, frets = String(model, 2.5, 0.0), np.array([1, 3, 5, 7, 12])
    >>> near = FretReadings(frets, string.cents(frets, bridge=-3.0), np.arange(5), np.zeros(5))
    >>> max(weigh(string, near), key=lambda one: one.weight).cause.value
    'bridge-near'
    """
    frets = readings.frets
    base = string.cents(frets) - readings.harmonic_cents
    off = np.asarray(readings.cents - base)
    covariance = _covariance(string, readings, errors)
    prior = PRIOR_IF_WAS_RIGHT if string.was_right else PRIOR
    scores: list[tuple[Cause, int, FloatArray]] = [
        (Cause.NOTHING, 0, _log_normal(off, covariance) + np.log(prior[Cause.NOTHING]))
    ]
    for cause, moved in _shapes(string, frets).items():
        if cause in string.ruled_out:
            continue
        each = np.stack([_log_normal(off - shape, covariance) for shape in moved])
        scores.append((cause, 0, _over_sizes(each, _sizes(cause)) + np.log(prior[cause])))
    own = np.unique(frets)
    for fret in own:
        wider = covariance + FRET_SIZE_CENTS**2 * np.outer(frets == fret, frets == fret)
        scores.append((Cause.FRET, int(fret), _log_normal(off, wider) + np.log(prior[Cause.FRET] / len(own))))
    loose = np.stack([_log_normal(off, covariance + (z * LOOSE_SIZE_CENTS) ** 2 * _same(frets)) for z in _SIZES])
    scores.append((Cause.NONE_FITS, 0, _over_sizes(loose, _SIZES) + np.log(prior[Cause.NONE_FITS])))
    total = _log_sum(np.stack([score for _, _, score in scores]))
    return tuple(Suspect(cause, fret, np.exp(score - total)) for cause, fret, score in scores)


def named(suspects: tuple[Suspect, ...], frets: IntArray) -> Suspect | None:
    """The cause to name, or None where the readings are not sure: fewer than 4 different frets, or no weight of 0.6.

    Parameters: ``suspects`` of a single set of readings; ``frets`` that were read.

    >>> one = Suspect(Cause.NEAR, 0, np.array(0.9))
    >>> named((one,), np.array([1, 5, 7, 12])) is one, named((one,), np.array([1, 12]))
    (True, None)
    """
    first = max(suspects, key=lambda one: float(one.weight))
    return first if first.weight >= SURE and len(np.unique(frets)) >= LEAST_FRETS else None


def next_fret(string: String, readings: FretReadings, errors: ReadingErrors = USUAL_ERRORS) -> int | None:
    """The fret to read next: the one at which the likely causes differ most.

    The largest Σ w (μ − Σ w μ)², w the causes' weights, μ what each would make that fret read at its likeliest size.

    Parameters as for `weigh`, of a single set of readings. Returns a fret counted from the string's own nut, or None once
    all worth reading are read. Source: own; the design that separates hypotheses best.

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> model = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([0.5]),
    ...     np.array([5.0]), 0 * wanted, np.array([10.0]), np.array([0.3]), np.array([160.0]), np.array([0.001]))
    >>> next_fret(String(model, 2.5, 0.0), FretReadings(np.array([1]), np.array([8.0]), np.zeros(1, int), np.zeros(1)))
    12
    """
    frets, known = readings.frets, len(readings.frets)
    last = int(np.sum(string.model.has_fret[0]))
    octave = int(octave_columns(string.model.wanted, string.model.has_fret)[0]) + 1
    worth = dict.fromkeys((octave, *FRETS_TO_READ))
    left = np.array([fret for fret in worth if fret <= last and fret not in frets], dtype=int)
    if not len(left):
        return None
    off = readings.cents - string.cents(frets) + readings.harmonic_cents
    covariance = _covariance(string, readings, errors)
    wanted = {}
    for cause, moved in _shapes(string, np.concatenate((frets, left))).items():
        fits = [
            float(_log_normal(off - shape[:known], covariance)) - z**2 / 2
            for shape, z in zip(moved, _sizes(cause), strict=True)
        ]
        wanted[cause] = moved[int(np.argmax(fits))][known:]
    suspects = weigh(string, readings, errors)
    weights = np.array([float(one.weight) for one in suspects])
    expected = np.array([wanted.get(one.cause, np.zeros(len(left))) for one in suspects])
    apart = weights @ (expected - weights @ expected) ** 2
    return int(left[np.argmax(apart)])


def fit_together(string: String, readings: FretReadings, errors: ReadingErrors = USUAL_ERRORS) -> StringFit:
    """Bridge, nut, slots and stretch at once, whatever the cause: x = ΛJᵀ(JΛJᵀ + C)⁻¹ r, with Λ their usual sizes.

    J holds the model's derivatives, C the errors of tuner, touch and frets. Few readings leave an unknown near zero, with a
    standard error near its usual size.

    Parameters as for `weigh`, of a single set of readings. Returns a `StringFit`. Limits: linear, small faults; bridge and
    stretch resemble each other, and share what only one of them did. Source: own; least squares with known sizes (ridge
    regression).

    >>> wanted = 2 ** (np.arange(1.0, 13.0)[None] / 12)
    >>> model = FrettedStrings(np.array([650.0]), 650 / wanted, wanted, wanted > 1, np.array([0.5]),
    ...     np.array([5.0]), 0 * wanted, np.array([10.0]), np.array([0.3]), np.array([160.0]), np.array([0.001]))
    >>> string, frets = String(model, 2.5, 0.0), np.array([1, 3, 5, 7, 12])
    >>> found = fit_together(string, FretReadings(frets, string.cents(frets, bridge=-3.0), np.arange(5), np.zeros(5)))
    >>> bool(-3.2 < found.setback_mm < -2.2)
    True
    """
    off = np.asarray(readings.cents - string.cents(readings.frets) + readings.harmonic_cents)
    slopes = _derivatives(string, readings.frets, _UNKNOWNS).T
    usual = np.diag(_usual_sizes(string) ** 2)
    gain = usual @ slopes.T @ np.linalg.inv(slopes @ usual @ slopes.T + _tones(string, readings, errors))
    found = gain @ off
    left = np.sqrt(np.diag(usual - gain @ slopes @ usual))
    bridge, nut, height, stretch = (float(one) for one in found)
    return StringFit(bridge, nut, height, stretch, (float(left[0]), float(left[1]), float(left[2]), float(left[3])))


def _usual_sizes(string: String) -> FloatArray:
    bridge = BRIDGE_SIZE_CENTS / string.octave_cents_per_mm
    return np.array([bridge, NUT_PLACE_SIZE_MM, NUT_HEIGHT_SIZE_MM, STRETCH_SIZE])


def _shapes(string: String, frets: IntArray) -> dict[Cause, list[FloatArray]]:
    """What each cause of each size does to the readings, in cents."""
    base = string.cents(frets)
    bridge, nut, height, stretch = (float(one) for one in _usual_sizes(string))
    causes = {
        Cause.NEAR: ("bridge", -bridge),
        Cause.FAR: ("bridge", bridge),
        Cause.NUT_HIGH: ("height", height),
        Cause.NUT_LOW: ("height", -height),
        Cause.NUT_NEAR: ("nut", -nut),
        Cause.NUT_FAR: ("nut", nut),
        Cause.TOUCH: ("stretch", stretch),
    }
    if string.was_right:
        causes |= {
            Cause.STRINGS_OTHER: ("strings", CORE_SIZE if string.wound else GAUGE_SIZE),
            Cause.ACTION_HIGH: ("action", ACTION_SIZE_MM),
            Cause.ACTION_LOW: ("action", -ACTION_SIZE_MM),
        }
    return {
        cause: [string.cents(frets, **{what: z * one}) - base for z in _sizes(cause)]
        for cause, (what, one) in causes.items()
    }


def _sizes(cause: Cause) -> FloatArray:
    """The sizes at which a cause is tried: other strings may be thicker or thinner."""
    return _EITHER_WAY if cause is Cause.STRINGS_OTHER else _SIZES


def _derivatives(string: String, frets: IntArray, unknowns: Iterable[str]) -> FloatArray:
    """Cents per mm, or per share of stretch, shape (unknowns, readings)."""
    base = string.cents(frets)
    return np.stack([(string.cents(frets, **{what: _STEP}) - base) / _STEP for what in unknowns])


def _covariance(string: String, readings: FretReadings, errors: ReadingErrors) -> FloatArray:
    """Of readings on an instrument without fault: differences from its file, with the bridge set to its own octave."""
    with_octave = np.append(readings.frets, octave_columns(string.model.wanted, string.model.has_fret) + 1)
    bridge, *others = _derivatives(string, with_octave, ("bridge", *HEALTHY))
    healthy = np.array(list(HEALTHY.values()))[:, None] * np.array(others)
    differs = np.concatenate((healthy, string.touched_cents(with_octave)))
    spread = differs - np.outer(differs[:, -1] / bridge[-1], bridge)
    octave = HEALTHY_OCTAVE_CENTS * bridge / bridge[-1]
    shared = (spread.T @ spread + np.outer(octave, octave))[:-1, :-1]
    return np.asarray(_tones(string, readings, errors) + shared)


def _tones(string: String, readings: FretReadings, errors: ReadingErrors) -> FloatArray:
    """Covariance of the readings themselves: tuner, touch, a reference that several share, and the frets' usual scatter."""
    frets = readings.frets
    found = (errors.tuner_cents**2 + errors.touch_cents**2) * np.eye(len(frets))
    found += errors.tuner_cents**2 * (readings.reference[:, None] == readings.reference)
    scatter = HEALTHY_FRET_MM * _cents_per_fret_mm(string, frets)
    return np.asarray(found + _same(frets) * np.outer(scatter, scatter))


def _cents_per_fret_mm(string: String, frets: IntArray) -> FloatArray:
    """How much sharper a fret becomes for a millimetre towards the bridge, 1200/(X ln 2)."""
    return np.asarray(1200 / np.log(2) / string.model.to_bridge_mm[0, frets - 1])


def _same(frets: IntArray) -> BoolArray:
    return np.asarray(frets[:, None] == frets)


def _log_normal(off: FloatArray, covariance: FloatArray) -> FloatArray:
    """ln N(off; 0, C) without its constant, shape (…)."""
    root = np.linalg.cholesky(covariance)
    z = np.linalg.solve(root, off.T).T
    return np.asarray(-np.sum(z**2, axis=-1) / 2 - np.sum(np.log(np.diag(root))))


def _log_sum(logs: FloatArray) -> FloatArray:
    """ln Σ exp along the first axis."""
    top = np.max(logs, axis=0)
    return np.asarray(top + np.log(np.sum(np.exp(logs - top), axis=0)))


def _over_sizes(logs: FloatArray, sizes: FloatArray) -> FloatArray:
    """ln Σ p(z) exp(ln L(z)) over sizes z along the first axis, p their normal shares."""
    chance = np.exp(-(sizes**2) / 2)
    chance = chance / chance.sum()
    return _log_sum(logs + np.log(chance)[:, *[None] * (logs.ndim - 1)])
