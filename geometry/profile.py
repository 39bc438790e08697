"""How high each string lies over a bridge for an action over round fret tops: the height profile of a new bridge.

The fret tops lie on a cylinder along the neck, whose top line is the middle of the board. Heights are over the plane that
touches the cylinder there. x runs across, from the middle. A string is a straight line from the nut over the octave's place,
half way, to the bridge.
"""

import numpy as np

from geometry.arrays import FloatArray

FLAT_MM = np.inf
"""The radius of a flat board."""


def fall_to_side_mm(radius_mm: float, across_mm: FloatArray) -> FloatArray:
    """How far fret tops of radius R lie below the middle of the board, R − √(R² − x²) = x²/(R + √(R² − x²)).

    Parameters: R > 0, `FLAT_MM` for a flat board; x, any shape, with |x| ≤ R. Returns mm. Source: elementary geometry, the
    sagitta of a circle; the second form does not lose digits on a nearly flat board.

    >>> fall_to_side_mm(300.0, np.array([0.0, 20.0])).round(4), fall_to_side_mm(FLAT_MM, np.array([20.0]))
    (array([0.    , 0.6674]), array([0.]))
    """
    if np.isinf(radius_mm):
        return np.zeros_like(across_mm, dtype=float)
    return np.asarray(across_mm**2 / (radius_mm + np.sqrt(radius_mm**2 - across_mm**2)))


def over_plane_mm(
    nut_height_mm: FloatArray,
    action_mm: float,
    relief_mm: float,
    radius_mm: float,
    at_nut_mm: FloatArray,
    at_bridge_mm: FloatArray,
) -> FloatArray:
    """Height of each string's underside over the plane at the bridge, z = 2 (h₁₂ − r₁₂ − s(x₁₂)) − (b − s(x₀)).

    The string is b over a fret top at the nut, which lies s(x₀) below the plane, and h₁₂ over the one at the octave, which
    lies r₁₂ + s(x₁₂) below it, with x₁₂ half way between x₀ and the place on the bridge. On a flat board z is b + c with
    the rise c of `fretting.rise_mm`.

    Parameters: b, x₀ and x on the bridge, of one shape; h₁₂, r₁₂ and the radius R, scalar. Returns mm, of that shape.
    Limits: at the theoretical line; a setback of 3 mm makes 0.03 mm. The strings' own thickness is not in it, because
    heights are those of their undersides. Source: two similar triangles.

    >>> b, at_nut, at_bridge = np.array([0.4, 0.4]), np.array([0.0, 11.5]), np.array([0.0, 20.0])
    >>> over_plane_mm(b, 1.6, 0.0, 304.8, at_nut, at_bridge).round(3)
    array([2.8  , 2.203])
    """
    at_octave = (at_nut_mm + at_bridge_mm) / 2
    octave = action_mm - relief_mm - fall_to_side_mm(radius_mm, at_octave)
    return np.asarray(2 * octave - (nut_height_mm - fall_to_side_mm(radius_mm, at_nut_mm)))
