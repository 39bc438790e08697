"""The straight bridge: its line through the setbacks, its slant, and where its feet stand.

Places are distances from the nut along the instrument; x runs across it, towards the treble side of a
right-handed instrument. A slant is positive when the bass end stands farther from the nut.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from geometry.arrays import BoolArray, FloatArray, IntArray


class BridgeFit(StrEnum):
    """Which strings the straight line follows."""

    OUTER = "outer"
    ALL = "all"


@dataclass(frozen=True)
class BridgeLine:
    """A straight line across the instrument: ``centre_mm`` from the nut at x = 0, ``slope`` per mm of x."""

    centre_mm: float
    slope: float

    def at(self, across_mm: FloatArray) -> FloatArray:
        """Distance from the nut at ``across_mm``, y = centre + slope · x, any shape.

        >>> BridgeLine(670.0, -0.05).at(np.array([-20.0, 20.0]))
        array([671., 669.])
        """
        return np.asarray(self.centre_mm + self.slope * across_mm)

    @property
    def slant_deg(self) -> float:
        """Angle against a square line in degrees, positive with the bass end farther from the nut.

        >>> round(BridgeLine(670.0, -0.05).slant_deg, 3), BridgeLine(670.0, 0.0).slant_deg
        (2.862, 0.0)
        """
        return float(np.degrees(np.arctan(-self.slope))) + 0.0

    @classmethod
    def through(cls, across_mm: FloatArray, places_mm: FloatArray) -> "BridgeLine":
        """The line through two places, slope = (y₀ − y₁) / (x₀ − x₁); square through the first if both have one x.

        Parameters: ``across_mm`` x₀ and x₁; ``places_mm`` y₀ and y₁ from the nut; both shape (2,).

        >>> BridgeLine.through(np.array([20.0, -20.0]), np.array([669.0, 671.0]))
        BridgeLine(centre_mm=670.0, slope=-0.05)
        """
        (treble_x, bass_x), (treble, bass) = across_mm.tolist(), places_mm.tolist()
        slope = (treble - bass) / (treble_x - bass_x) if treble_x != bass_x else 0.0
        return cls(treble - slope * treble_x, slope)

    def shifted(self, towards_nut_mm: float) -> "BridgeLine":
        """The parallel line that lies ``towards_nut_mm`` nearer the nut, measured square to the line.

        >>> BridgeLine(670.0, 0.0).shifted(4.5).centre_mm
        665.5
        """
        return BridgeLine(self.centre_mm - towards_nut_mm * float(np.hypot(1, self.slope)), self.slope)


def straight_line(
    theoretical_mm: float,
    across_mm: FloatArray,
    setback_mm: FloatArray,
    cents_per_mm: FloatArray,
    full_length: BoolArray,
    fit: BridgeFit,
) -> BridgeLine:
    """The straight bridge line for the strings' setbacks.

    ``outer`` runs through the two outer full-length strings; ``all`` makes Σ (cᵢ (y(xᵢ) − X₀ − ΔSᵢ))² least, with
    cᵢ the string's cents per millimetre: least squares in cents. With one place across, or one string, the slant is
    undetermined and set to zero. Limits: a straight crown; cents linear in millimetres, as they are within a few of them.

    Parameters: ``theoretical_mm`` X₀; x, ΔS and c of each string, shape (strings,); ``full_length``, False
    for a short string. Returns the line of the crown, where the strings bear.

    >>> two = np.array([20.0, -20.0]), np.array([1.0, 3.0]), np.array([-5.0, -5.0])
    >>> straight_line(350.0, *two, np.array([True, True]), BridgeFit.OUTER)
    BridgeLine(centre_mm=352.0, slope=-0.05)
    """
    chosen = outer_strings(full_length) if fit is BridgeFit.OUTER else np.arange(len(across_mm))
    weight, across, back = cents_per_mm[chosen], across_mm[chosen], setback_mm[chosen]
    if fit is BridgeFit.OUTER:
        weight = np.ones(len(chosen))
    mean_across = np.average(across, weights=weight**2)
    mean_back = np.average(back, weights=weight**2)
    spread = np.sum(weight**2 * (across - mean_across) ** 2)
    slope = float(np.sum(weight**2 * (across - mean_across) * (back - mean_back)) / spread) if spread else 0.0
    return BridgeLine(float(theoretical_mm + mean_back - slope * mean_across), slope)


def line_response(
    across_mm: FloatArray, cents_per_mm: FloatArray, full_length: BoolArray, fit: BridgeFit
) -> FloatArray:
    """How centre and slope of the straight line follow a millimetre at each string; they are linear in the setbacks.

    Parameters as for `straight_line`. Returns shape (2, strings): mm per mm for the centre, 1/mm for the slope.

    >>> two = np.array([20.0, -20.0]), np.array([-5.0, -5.0])
    >>> line_response(*two, np.array([True, True]), BridgeFit.OUTER)
    array([[ 0.5  ,  0.5  ],
           [ 0.025, -0.025]])
    """
    lines = [straight_line(0.0, across_mm, one, cents_per_mm, full_length, fit) for one in np.eye(len(across_mm))]
    return np.array([[line.centre_mm for line in lines], [line.slope for line in lines]])


def outer_strings(full_length: BoolArray) -> IntArray:
    """Indices of the two outer full-length strings, treble first; one if there is only one.

    Parameters: ``full_length``, False for a short string, shape (strings,). Returns shape (2,) or (1,).

    >>> outer_strings(np.array([True, True, True, True, False]))
    array([0, 3])
    """
    full = np.flatnonzero(full_length)
    return np.array([full[0], full[-1]]) if len(full) > 1 else full


def feet_outline_mm(face: BridgeLine, length_mm: float, thickness_mm: float) -> FloatArray:
    """Corners of the feet's outline, shape (4, 2) of x and y, from the treble end of the nut side round.

    The feet are a rectangle with its nut side on ``face``, the middle of that side at x = 0.

    Parameters: ``face``, where their nut side stands; ``length_mm`` along it and ``thickness_mm`` behind it. Returns mm.

    >>> feet_outline_mm(BridgeLine(660.0, 0.0), 72.0, 9.0)[0]
    array([ 36., 660.])
    """
    along = np.array([1.0, face.slope]) / np.hypot(1, face.slope)
    behind = np.array([-along[1], along[0]])
    middle = np.array([0.0, face.centre_mm])
    half = along * length_mm / 2
    nut_side = [middle + half, middle - half]
    return np.array([*nut_side, nut_side[1] + behind * thickness_mm, nut_side[0] + behind * thickness_mm])


def feet_windows_mm(
    face: BridgeLine, length_mm: float, thickness_mm: float, feet: int, foot_mm: float | None
) -> FloatArray:
    """Corners of each foot, shape (feet, 4, 2), from the treble end: as `feet_outline_mm`, cut across into equal feet.

    The outer feet end where the bridge does, and the gaps between feet are equal.

    Parameters: as for `feet_outline_mm`; ``feet``, how many, and ``foot_mm``, the width of one along the bridge, ignored
    for one foot. Returns mm.

    >>> feet_windows_mm(BridgeLine(660.0, 0.0), 72.0, 9.0, 3, 12.0)[:, 0, 0]
    array([ 36.,   6., -24.])
    """
    treble, bass, bass_behind, treble_behind = feet_outline_mm(face, length_mm, thickness_mm)
    wide = 1.0 if feet == 1 or foot_mm is None else foot_mm / length_mm
    starts = np.linspace(0.0, 1.0 - wide, feet)[:, None]
    nut_side = [treble + (bass - treble) * share for share in (starts, starts + wide)]
    behind = [treble_behind + (bass_behind - treble_behind) * share for share in (starts + wide, starts)]
    return np.stack([*nut_side, *behind], axis=1)


def end_movement_factor(string_mm: float, leg_mm: float, other_leg_mm: float) -> float:
    """How far a bridge's end moves for a millimetre at the string, while the other end is held.

    (leg to other leg)/(string to other leg): a rigid bar turns about its held end.

    Parameters: places across the instrument in mm. Returns a ratio. Limits: small turns; the string not at the held end.

    >>> end_movement_factor(20.0, 30.0, -30.0)
    1.2
    """
    return (leg_mm - other_leg_mm) / (string_mm - other_leg_mm)
