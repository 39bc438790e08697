"""Where and how deep a finger presses: what is plausible of a hand that nobody measured.

A finger presses the string at a distance d behind the fret, to a depth p under the line of the fret tops, but never above
the straight string, which is (b + Δyₙ + c) d/(Xₙ + ΔS) deep there (see fretting.py). Both are ranges, even odds within
them. Common practice, no source.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, FloatArray

_OUTWARD = np.array([0.18343464249564980, 0.52553240991632899, 0.79666647741362674, 0.96028985649753623])
_HALF_WEIGHTS = np.array([0.36268378337836198, 0.31370664587788729, 0.22238103445337447, 0.10122853629037626])
_NODES, _WEIGHTS = np.append(-_OUTWARD[::-1], _OUTWARD), np.append(_HALF_WEIGHTS[::-1], _HALF_WEIGHTS)
"""Gauss and Legendre's rule of eight points (DLMF, table 3.5.2), along each of the two ranges.

The mean's error is under a hundredth of it.
"""


@dataclass(frozen=True)
class Touch:
    """The ranges of d, in mm behind the fret, and of p, in mm under the fret tops; equal ends where it is known."""

    finger_from_mm: float = 5.0
    finger_to_mm: float = 15.0
    press_from_mm: float = 0.0
    press_to_mm: float = 0.5

    @property
    def finger_mm(self) -> float:
        """The middle of the range of d, which drawings are computed with."""
        return (self.finger_from_mm + self.finger_to_mm) / 2

    @property
    def is_known(self) -> bool:
        """Whether both ranges are single values."""
        return self.finger_from_mm == self.finger_to_mm and self.press_from_mm == self.press_to_mm

    def fingers(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Fingers that stand for all that are plausible: d, p and their shares, which add up to 1, each of shape (n,).

        >>> d, p, share = Touch(10.0, 10.0, 0.0, 0.4).fingers()
        >>> set(d.tolist()), round(float(share @ p), 9), round(float(share @ p**2), 9)
        ({10.0}, 0.2, 0.053333333)
        """
        d, p = (
            (low + high) / 2 + (high - low) / 2 * _NODES
            for low, high in ((self.finger_from_mm, self.finger_to_mm), (self.press_from_mm, self.press_to_mm))
        )
        return np.repeat(d, len(d)), np.tile(p, len(p)), np.outer(_WEIGHTS, _WEIGHTS).ravel() / 4


PLAUSIBLE = Touch()
"""Any hand: 5 to 15 mm behind the fret, 0 to 0.5 mm deep."""


def mean_press_mm(touch: Touch, over_bridge_mm: Array, to_bridge_mm: Array) -> FloatArray:
    """The depth that, with the finger at the middle of its range, stretches a string as plausible fingers do on average.

    A depth of p lengthens the string by p²/2d beside the fret, and by much less on the long side; so
    p̄² = d̄ · mean(max(p, s d)²/d), with s = (b + Δyₙ + c)/Xₙ the slope of the straight string. Zero for a finger that
    presses right at the fret. Where no plausible finger reaches below the straight string, p̄² = mean(p²): the straight
    string counts then, at every fret with its own slope.

    Parameters: ``touch``; ``over_bridge_mm`` b + Δyₙ + c and ``to_bridge_mm`` Xₙ of the fret, any one shape. Returns mm, the
    same shape. Limits: depths small beside d. Source: own, from the lengths in fretting.py.

    >>> mean_press_mm(Touch(), np.array([5.5, 2.0]), np.array([333.4, 176.2])).round(2)
    array([0.31, 0.31])
    >>> mean_press_mm(Touch(10.0, 10.0, 0.0, 0.0), np.array([5.5]), np.array([333.4]))
    array([0.])
    """
    if touch.finger_from_mm <= 0:
        return np.zeros(np.shape(over_bridge_mm))
    d, p, share = (each.reshape(-1, *[1] * np.ndim(over_bridge_mm)) for each in touch.fingers())
    slope = np.real(over_bridge_mm / to_bridge_mm)
    deep = np.maximum(p, d * slope)
    mean_square = touch.finger_mm * np.sum(share * deep**2 / d, axis=0)
    straight = touch.press_to_mm <= touch.finger_from_mm * slope
    return np.asarray(np.sqrt(np.where(straight, np.sum(share * p**2), mean_square)))
