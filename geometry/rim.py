"""A banjo's head within its rim: where its edges and its middle lie, and how far off the middle a bridge stands.

Places are distances from the nut along the instrument; x runs across it, from the centreline; the rim's middle lies
on that.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray


@dataclass(frozen=True)
class RimPlace:
    """The circle that the inside edge of the rim draws on the head: ``middle_mm`` from the nut, ``head_mm`` across."""

    middle_mm: float
    head_mm: float

    @property
    def near_mm(self) -> float:
        """Inside edge on the nut's side, from the nut: middle − D/2."""
        return self.middle_mm - self.head_mm / 2

    @property
    def far_mm(self) -> float:
        """Inside edge on the tail's side, from the nut: middle + D/2."""
        return self.middle_mm + self.head_mm / 2

    def inside_mm(self, across_mm: FloatArray, from_nut_mm: FloatArray) -> FloatArray:
        """How far points lie inside the edge, D/2 − √(x² + (y − middle)²); negative outside.

        Parameters: x and y of the points in mm, of one shape. Returns mm. Source: elementary geometry.

        >>> RimPlace(600.0, 280.0).inside_mm(np.array([0.0, 0.0]), np.array([600.0, 745.0]))
        array([140.,  -5.])
        """
        return np.asarray(self.head_mm / 2 - np.hypot(across_mm, from_nut_mm - self.middle_mm))

    def middle_share(self, from_nut_mm: float) -> float:
        """The middle share of the diameter that just reaches a place on the centreline, 2 |y − middle|/D.

        Parameters: ``from_nut_mm``. Returns a ratio: 0 at the middle, 1 at the edge.

        >>> RimPlace(600.0, 280.0).middle_share(670.0)
        0.5
        """
        return 2 * abs(from_nut_mm - self.middle_mm) / self.head_mm


def rim_from_near_edge(near_mm: float, head_mm: float) -> RimPlace:
    """The rim from its inside edge on the nut's side, middle = edge + D/2.

    Parameters: that edge from the nut, and the head across, in mm. Limits: a round head whose middle is on the centreline.

    >>> rim_from_near_edge(460.0, 280.0).far_mm
    740.0
    """
    return RimPlace(near_mm + head_mm / 2, head_mm)


def rim_from_far_edge(far_mm: float, head_mm: float) -> RimPlace:
    """The rim from its inside edge on the tail's side, middle = edge − D/2. As for `rim_from_near_edge`.

    >>> rim_from_far_edge(740.0, 280.0).near_mm
    460.0
    """
    return RimPlace(far_mm - head_mm / 2, head_mm)
