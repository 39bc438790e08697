"""How long a sheet of paper is that lies taut over a step and an arched top.

A printed strip registers on the fretboard and carries a mark for the bridge. Between the two the top may lie lower than
the frets and may be arched, so the paper takes a longer way than the straight line that the scale is measured along,
and a mark printed at the straight distance would come out short of it. This module says at which length of paper
the mark belongs.

Side view: x runs from the end of the fretboard towards the tail, along the plane of the fret tops; z is up from that
plane. The paper has no thickness here. Frets, strings and printers play no part.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import numpy as np

from geometry.arrays import FloatArray
from geometry.errors import GeometryError

NODES = 64
"""Of the quadrature along the arch: error below 1e-13 of the length for any arch and fall allowed here."""

STEEPEST_FALL = 1.0
"""45 degrees; a larger number is not a fall per mm, most likely it is an angle in degrees."""


class SurfaceError(GeometryError):
    """A step, an arch or a distance that no top has: the ``value`` at fault, and the ``limit`` that it breaks.

    Codes: arch-span, arch-rise, arch-crest, top-step and top-distance, whose value is negative, 0 or not finite;
    arch-too-high, the rise over half the span; top-too-steep, the fall.
    """

    def __init__(self, code: str, value: float, limit: float) -> None:
        super().__init__(code, value, limit)
        self.value, self.limit = value, limit


class ArchShape(StrEnum):
    """The curve of an arched top along its middle."""

    CIRCULAR = "circular"
    PARABOLIC = "parabolic"


@dataclass(frozen=True)
class Arch:
    """An arch along the strings: a(u) over its chord, with u = x − crest, and 0 outside the span s.

    Circular: a = √(r² − u²) − (r − h), r = (s²/4 + h²)/(2h). Parabolic: a = h (1 − (2u/s)²).

    Parameters: ``rise_mm`` h, crest over chord; ``span_mm`` s, length of the chord; ``crest_mm``, x of the highest point,
    negative when it lies under the board; ``shape``. Raises `SurfaceError` when rise or span is not above 0, when the
    arch is higher than half its span, or when a number is not finite. Limits: a recurve at the edge is not modelled, so the
    arch meets the flat at a corner. Source: elementary geometry.

    >>> Arch(15.0, 300.0, 110.0, ArchShape.PARABOLIC).height_mm(np.array([110.0, 185.0, 260.0])).tolist()
    [15.0, 11.25, 0.0]
    """

    rise_mm: float
    span_mm: float
    crest_mm: float
    shape: ArchShape

    def __post_init__(self) -> None:
        if not 0 < self.span_mm < math.inf:
            raise SurfaceError("arch-span", self.span_mm, 0.0)
        if not 0 < self.rise_mm < math.inf:
            raise SurfaceError("arch-rise", self.rise_mm, 0.0)
        if self.rise_mm > self.half_span_mm:
            raise SurfaceError("arch-too-high", self.rise_mm, self.half_span_mm)
        if not math.isfinite(self.crest_mm):
            raise SurfaceError("arch-crest", self.crest_mm, math.inf)

    @property
    def half_span_mm(self) -> float:
        """Half the span, s/2.

        >>> Arch(15.0, 300.0, 110.0, ArchShape.CIRCULAR).half_span_mm
        150.0
        """
        return self.span_mm / 2

    @property
    def depth_mm(self) -> float:
        """How far the centre of the circular arch lies below its chord, r − h = (s/2 − h)(s/2 + h)/(2h).

        >>> Arch(15.0, 300.0, 110.0, ArchShape.CIRCULAR).depth_mm
        742.5
        """
        half = self.half_span_mm
        return (half - self.rise_mm) * (half + self.rise_mm) / (2 * self.rise_mm)

    def height_mm(self, along_mm: FloatArray) -> FloatArray:
        """Height over the chord, a(u), as the class says.

        The circle is worked out as a = w/(√((r − h)² + w) + r − h), w = (s/2)² − u², which loses no digits when the
        arch is slight.

        Parameters: ``along_mm`` x, any shape. Returns mm, the same shape.

        >>> Arch(2.0, 8.0, 0.0, ArchShape.CIRCULAR).height_mm(np.array([-9.0, 0.0, 3.0])).tolist()
        [0.0, 2.0, 1.0]
        """
        under = np.maximum(_inside(self, along_mm), 0.0)
        if self.shape is ArchShape.PARABOLIC:
            return np.asarray(self.rise_mm * (under / self.half_span_mm**2))
        over_twice = np.asarray(np.sqrt(self.depth_mm**2 + under) + self.depth_mm)
        return np.divide(under, over_twice, out=np.zeros_like(over_twice), where=over_twice > 0)


@dataclass(frozen=True)
class Surface:
    """What the paper lies on beyond the board: a step down, a top that may fall away, an arch on it.

    z(x) = −step − fall · x + a(x) − a(0).

    Parameters: ``step_mm``, plane of the fret tops over the top at the end of the board, x = 0; ``fall``, how much the
    top falls away from that plane per mm of x (the tangent of the neck angle; negative when it comes nearer); ``arch``,
    if any. Raises `SurfaceError` when the step is negative, the fall steeper than 45 degrees, or either not finite.
    Limits: the tilt is a shear, not a rotation: the arch keeps its heights square to the plane of the fret tops; the
    difference is of the order of the fall squared. Source: elementary geometry.

    >>> Surface(10.0, fall=0.05)
    Surface(step_mm=10.0, fall=0.05, arch=None)
    """

    step_mm: float
    fall: float = 0.0
    arch: Arch | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.step_mm < math.inf:
            raise SurfaceError("top-step", self.step_mm, 0.0)
        if not abs(self.fall) <= STEEPEST_FALL:
            raise SurfaceError("top-too-steep", self.fall, STEEPEST_FALL)


def height_mm(surface: Surface, along_mm: FloatArray) -> FloatArray:
    """Height of the top over the plane of the fret tops, z(x) = −step − fall · x + a(x) − a(0).

    Parameters: ``along_mm`` x from the end of the board, any shape; x below 0 carries the top on under the board. Returns
    mm, the same shape, negative below the plane. Limits: as for `Surface`. Source: elementary geometry.

    >>> arch = Arch(15.0, 300.0, 150.0, ArchShape.PARABOLIC)
    >>> height_mm(Surface(10.0, 0.1, arch), np.array([0.0, 150.0, 300.0])).tolist()
    [-10.0, -10.0, -40.0]
    """
    return np.asarray(_over_foot_mm(surface, np.asarray(along_mm)) - surface.step_mm)


def paper_mm(surface: Surface, along_mm: FloatArray, from_top: bool = False) -> FloatArray:
    """Length of taut paper from its start to the point of the top at straight distance x from the board's end.

    The paper starts at the edge of the board (0, 0), or ``from_top`` at the foot of the step (0, −step). It follows the
    least concave curve over its start and the top: the chord if the top stays under it, else a tangent to the arch,
    the arch, ∫ √(1 + z′²) dx, and beyond the arch's end a tangent down to the flat. A shear keeps tangents, so where
    the paper touches is found in closed form without the fall; the arc is integrated by Gauss and Legendre's rule.

    Parameters: ``along_mm`` x from 0, any shape; ``from_top``, the sheet is butted against the end of the board. Returns
    mm, the same shape; x itself, to the last bit, where the way is level. Raises `SurfaceError` when a distance is
    negative or not finite. Limits: a sheet without thickness (one t thick that bends by α radians takes about t α/2
    more), held taut, so that it spans a hollow; the length grows with x except where the top climbs towards a start
    that is higher. Source: elementary geometry.

    >>> paper_mm(Surface(10.0), np.array([0.0, 110.0])).round(4)
    array([ 10.    , 110.4536])
    >>> arch = Arch(15.0, 300.0, 110.0, ArchShape.CIRCULAR)
    >>> paper_mm(Surface(3.0, 0.05, arch), np.array([110.0, 320.0])).round(4)
    array([110.0174, 321.6171])
    """
    along = np.asarray(along_mm)
    ahead = (along >= 0) & (along < math.inf)
    if not np.all(ahead):
        raise SurfaceError("top-distance", float(along[~ahead][0]), 0.0)
    lift = 0.0 if from_top else surface.step_mm
    chord = np.asarray(np.hypot(along, _over_foot_mm(surface, along) - lift))
    arch = surface.arch
    if arch is None:
        return chord
    first, before = _touch(arch, np.zeros(()), lift, 1.0)
    last, behind = _touch(arch, along, 0.0, -1.0)
    touched = last > first
    last = np.where(touched, last, first)
    straights = before * _speed(arch, surface.fall, first) + behind * _speed(arch, surface.fall, last)
    return np.asarray(np.where(touched, straights + _arc_mm(arch, surface.fall, first, last), chord))


def _over_foot_mm(surface: Surface, along: FloatArray) -> FloatArray:
    """Height of the top over the foot of the step, a(x) − a(0) − fall · x."""
    fallen = np.asarray(-surface.fall * along)
    if surface.arch is None:
        return fallen
    return np.asarray(surface.arch.height_mm(along) - surface.arch.height_mm(np.zeros(())) + fallen)


def _inside(arch: Arch, along: FloatArray) -> FloatArray:
    """How far inside the span x lies, w = (s/2)² − u² = (s/2 − u)(s/2 + u); negative outside."""
    off = along - arch.crest_mm
    return np.asarray((arch.half_span_mm - off) * (arch.half_span_mm + off))


def _touch(arch: Arch, along: FloatArray, lift: float, towards: float) -> tuple[FloatArray, FloatArray]:
    """Where a straight line from the point ``lift`` above arch or flat at x touches the arch, seen ``towards`` +x or −x.

    Returns the parameter t there and how far t runs along the straight line, which has length reach · speed(t). For the
    parabola t is u, and t = u ± √((s/2)² lift/h + b) with b = max(−w, 0), which solves a(t) + a′(t)(u − t) = height
    of the point. For the circle t is the angle θ from its top, u = r sin θ, in which an arch as high as half its
    span stays smooth: θ = direction of the point ± the angle between it and the touching radius, whose tangent is
    √(power of the point)/r. A start and an end that leave no arc between them, last ≤ first, have a clear
    view of each other.
    """
    off = np.asarray(along - arch.crest_mm)
    inside = _inside(arch, along)
    beyond = np.maximum(-inside, 0.0)
    if arch.shape is ArchShape.PARABOLIC:
        reach = np.asarray(np.sqrt(arch.half_span_mm**2 * (lift / arch.rise_mm) + beyond))
        return np.asarray(off + towards * reach), reach
    over_centre = np.sqrt(arch.depth_mm**2 + np.maximum(inside, 0.0))
    power = beyond + lift * (2 * over_centre + lift)
    reach = np.asarray(np.sqrt(power) / _radius_mm(arch))
    return np.asarray(np.arctan2(off, over_centre + lift) + towards * np.arctan(reach)), reach


def _radius_mm(arch: Arch) -> float:
    """Radius of the circular arch, r."""
    return math.hypot(arch.half_span_mm, arch.depth_mm)


def _speed(arch: Arch, fall: float, t: FloatArray) -> FloatArray:
    """Length along the fallen arch for each unit of t: √(u̇² + (ȧ − fall · u̇)²)."""
    if arch.shape is ArchShape.PARABOLIC:
        return np.asarray(np.hypot(1.0, 2 * arch.rise_mm * t / arch.half_span_mm**2 + fall))
    return np.asarray(_radius_mm(arch) * np.hypot(np.cos(t), np.sin(t) + fall * np.cos(t)))


def _arc_mm(arch: Arch, fall: float, first: FloatArray, last: FloatArray) -> FloatArray:
    """Length along the fallen arch between two parameters, ∫ speed dt."""
    nodes, weights = _gauss_legendre()
    half = np.asarray(last - first) / 2
    t = np.asarray(first + half)[..., None] + half[..., None] * nodes
    return np.asarray(half * (_speed(arch, fall, t) @ weights))


@cache
def _gauss_legendre() -> tuple[FloatArray, FloatArray]:
    """Nodes and weights on (−1, 1), worked out when first needed."""
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    return np.asarray(nodes, dtype=float), np.asarray(weights, dtype=float)
