"""A bridge that was set by ear: where its line stands with other strings, and how sure that is.

What the ear found holds the instrument's own correction: the difference between the place that was found and the one that
was computed for the strings of then. The same correction counts for other strings. So the line for them is the found one,
moved by the difference between two computed lines, and what is uncertain of both computed lines cancels where it is one and
the same: the action, the touch, the slip, the ends, and the cores where both sets are of one make.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine
from geometry.tolerance import HALF_WIDTH_95, InputEffects, PlaceTolerance, Source, Spread

_OF_ONE_MAKE = (Source.CORE, Source.MODULUS)
"""Errors that two sets of strings share if they are of one make, and that are each set's own if they are not."""


def moved_line(found: BridgeLine, then: BridgeLine, now: BridgeLine) -> BridgeLine:
    """The found line, moved as the computed line moves from one set of strings to another: found + now − then.

    Parameters: ``found`` by ear, ``then`` computed for the strings that it was found with, ``now`` for others.

    >>> moved_line(BridgeLine(671.0, -0.03), BridgeLine(669.5, -0.02), BridgeLine(670.0, -0.01))
    BridgeLine(centre_mm=671.5, slope=-0.02)
    """
    return BridgeLine(found.centre_mm + now.centre_mm - then.centre_mm, round(found.slope + now.slope - then.slope, 15))


@dataclass(frozen=True)
class FoundError:
    """How well a found place is known.

    ``at_strings_mm``: standard deviation at each outer string, independent of the other. ``outer_mm``: x of these strings,
    shape (2,). ``datum_to_bridge_mm``: from what it was measured from to the theoretical line, X₀ for the nut.
    """

    at_strings_mm: float
    outer_mm: FloatArray
    datum_to_bridge_mm: float


def found_tolerance(
    now: InputEffects,
    then: InputEffects | None,
    same_make: bool,
    found: FoundError,
    across_mm: FloatArray,
    spread: Spread,
    response: FloatArray,
    datum_to_bridge_mm: float | None,
    printed_mm: FloatArray,
) -> PlaceTolerance:
    """How sure the places are that follow from a found one, as they are marked on the instrument.

    A sheet that registers on fret d, and a place that was measured from fret f, disagree by δ (X_d − X_f)/X₀ where the scale
    is off by δ. Every other input counts by what it does to the line of now less what it does to that of then, where both
    have the same error; by both where each set of strings has its own: the diameters of its wires, and cores and modulus if
    the sets are of different makes. A string beside the line's own strings has its own setback's errors too.

    Parameters: ``now`` and ``then``, of `tolerance.input_effects`, for the strings of either time; no ``then`` if the
    strings are still the same. ``same_make``: whether both sets are of one make. ``found``; ``across_mm`` x of each string,
    shape (strings,); ``spread``, ``response``, ``datum_to_bridge_mm`` and ``printed_mm`` as for `tolerance.tolerance`.
    Limits: those of `tolerance.input_effects`; both sets with the same response.

    >>> none, error = InputEffects({}, np.zeros(2), 666.75), FoundError(0.3, np.array([20.0, -20.0]), 666.75)
    >>> sure = found_tolerance(none, None, True, error, error.outer_mm, Spread(), np.array([[0.5, 0.5], [0.025, -0.025]]),
    ...     None, np.zeros(2))
    >>> [(source.value, round(mm, 2)) for source, mm in sure.of_line(20.0).contributions[:2]]
    [('found', 0.59), ('laying', 0.49)]
    """
    alike = np.ones((1, len(across_mm)))
    datum = now.scale_mm if datum_to_bridge_mm is None else datum_to_bridge_mm
    weights = response[0] + np.multiply.outer(across_mm, response[1])
    beside_the_line = now.scale_slope - weights @ now.scale_slope
    effects = {
        Source.FOUND: found.at_strings_mm * _each_end(found.outer_mm, across_mm),
        Source.SCALE: spread.scale_mm * ((datum - found.datum_to_bridge_mm) / now.scale_mm + beside_the_line) * alike,
        **_differences(now, now if then is None else then, weights, _own(then is None, same_make)),
        Source.DATUM: spread.datum_mm * alike,
        Source.PRINT: spread.print_share * printed_mm * alike,
        Source.LAYING: spread.laying_mm * alike,
    }
    return PlaceTolerance(effects, response)


def _own(same_strings: bool, same_make: bool) -> set[Source]:
    """Errors that each set of strings has for itself."""
    return set() if same_strings else {Source.GAUGE, *(() if same_make else _OF_ONE_MAKE)}


def _each_end(outer_mm: FloatArray, across_mm: FloatArray) -> FloatArray:
    """What a millimetre at either outer string does at each string, shape (2, strings); all alike for a single one."""
    treble, bass = outer_mm.tolist()
    if treble == bass:
        return np.ones((1, len(across_mm)))
    share = (across_mm - bass) / (treble - bass)
    return np.array([share, 1 - share])


def _differences(
    now: InputEffects, then: InputEffects, weights: FloatArray, own: set[Source]
) -> dict[Source, FloatArray]:
    """What the inputs do to each string's place: to its setback now, less what they did to the line of then under it.

    ``weights``: the line at each string for a millimetre at every string, shape (strings, strings).
    """
    lines = {source: effect @ weights.T for source, effect in then.effects_mm.items()}
    return {
        source: np.concatenate((effect, lines[source])) if source in own else effect - lines[source]
        for source, effect in now.effects_mm.items()
    }


def unexplained_mm(correction_mm: FloatArray, computed_mm: FloatArray, found_mm: FloatArray) -> FloatArray:
    """By how much a correction is larger than what is uncertain explains, |c| − √(u² + f²), zero where it is explained.

    Parameters: ``correction_mm`` found less computed place, ``computed_mm`` and ``found_mm`` the half widths of both 95%
    intervals; any one shape. Returns mm, the same shape.

    >>> unexplained_mm(np.array([1.0, -5.0]), np.array([0.8, 4.0]), np.array([0.6, 3.0]))
    array([0., 0.])
    >>> unexplained_mm(np.array([-6.0]), np.array([4.0]), np.array([3.0]))
    array([1.])
    """
    return np.asarray(np.maximum(abs(correction_mm) - np.hypot(computed_mm, found_mm), 0.0))


def standard_deviation_mm(half_width_mm: float) -> float:
    """Of a normal error whose 95% interval has this half width, 1.96 standard deviations.

    >>> round(standard_deviation_mm(0.588), 3)
    0.3
    """
    return half_width_mm / HALF_WIDTH_95
