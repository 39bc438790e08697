"""Two wedges between a gauge's shoulders and a bridge's feet: how far they push its ends, and how to set them for a line.

The frame is that of the line that the gauge is drawn for. At either end of the feet w runs outwards along the line from its
middle, and v square to the line, towards the tail. A shoulder leans: it is k nearer the nut for each millimetre farther
out. A wedge has the same taper k, so its face, the edge that meets the feet, is parallel to the line wherever the wedge
stands: pushed inwards by t it moves by k t towards the tail, on v = f, and so does its tip, to w = tip − f/k.

With both faces on one v the feet lie along them. With two different ones the bridge turns, and no longer lies along either
face: the face that is nearer the nut meets the feet's outer corner, and the other meets them where it begins, at its tip.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray


@dataclass(frozen=True)
class Wedge:
    """The wedge at one end, and its scale.

    ``mm_per_cent``: how far the face moves for a cent, square to the line. ``taper`` k. ``tip_mm``: w where the face begins
    while it lies on the line. ``foot_mm``: w where the outer foot begins, −∞ for a base without a gap.
    """

    mm_per_cent: float
    taper: float
    tip_mm: float
    foot_mm: float = -np.inf

    @property
    def scale_mm(self) -> float:
        """A cent on the wedge's scale, along the line: what the face moves, magnified by the taper.

        >>> Wedge(0.25, 0.1, 30.0).scale_mm
        2.5
        """
        return self.mm_per_cent / self.taper

    def meets_mm(self, face_mm: float) -> float:
        """w where the face begins to meet the feet: its tip, or the foot's inner edge where the tip is in a gap.

        >>> wedge = Wedge(0.25, 0.125, 30.0, foot_mm=20.0)
        >>> wedge.meets_mm(0.5), wedge.meets_mm(2.0)
        (26.0, 20.0)
        """
        return max(self.tip_mm - face_mm / self.taper, self.foot_mm)


@dataclass(frozen=True)
class WedgePair:
    """Both wedges, and the feet between their ends at w = ``half_mm``."""

    treble: Wedge
    bass: Wedge
    half_mm: float

    def ends_mm(self, cents: FloatArray) -> FloatArray:
        """Where the ends of the feet stand with the wedges set to their scales' readings, treble first.

        The line of the feet is the lowest that lies on the tail side of both faces.

        Parameters: ``cents``, shape (2,). Returns v of the feet's nut side at w = half, shape (2,). Limits: the feet's
        corners are sharp; a slant of a few degrees against the gauge's line.

        >>> pair = WedgePair(Wedge(0.25, 0.1, 30.0), Wedge(0.25, 0.1, 30.0), 50.0)
        >>> pair.ends_mm(np.array([4.0, 4.0])), pair.ends_mm(np.array([0.0, 4.0]))
        (array([1., 1.]), array([0.        , 1.42857143]))
        """
        faces = np.asarray(cents) * [self.treble.mm_per_cent, self.bass.mm_per_cent]
        low = int(np.argmin(faces))
        wedge, high = (self.treble, self.bass)[1 - low], 1 - low
        ends = np.empty(2)
        rise = (faces[high] - faces[low]) / (self.half_mm + wedge.meets_mm(float(faces[high])))
        ends[low], ends[high] = faces[low], faces[low] + 2 * self.half_mm * rise
        return ends

    def cents_for(self, ends_mm: FloatArray) -> FloatArray:
        """The readings to set so that the ends of the feet stand there: the reverse of `ends_mm`.

        The lower face lies at its end of the line. The other one meets the line at its tip, f = a + b (tip − f/k), with a
        the line at the middle and b its rise; or at the foot's inner edge.

        Parameters: ``ends_mm``, v at w = half, treble first, shape (2,). Returns cents, shape (2,).

        >>> pair = WedgePair(Wedge(0.25, 0.1, 30.0), Wedge(0.25, 0.1, 30.0), 50.0)
        >>> pair.cents_for(np.array([0.0, 10.0 / 7])).round(9)
        array([0., 4.])
        """
        low = int(np.argmin(ends_mm))
        wedge, high = (self.treble, self.bass)[1 - low], 1 - low
        rise = float(ends_mm[high] - ends_mm[low]) / (2 * self.half_mm)
        middle = float(ends_mm[high] + ends_mm[low]) / 2
        face = (middle + rise * wedge.tip_mm) / (1 + rise / wedge.taper)
        if wedge.meets_mm(face) == wedge.foot_mm:
            face = middle + rise * wedge.foot_mm
        faces = np.empty(2)
        faces[low], faces[high] = ends_mm[low], face
        return np.asarray(faces / [self.treble.mm_per_cent, self.bass.mm_per_cent])
