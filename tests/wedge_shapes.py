"""A gauge and its wedges as they were read from a file, laid together as hands do it; plane geometry of its own.

It knows the instrument, the strings' cents per millimetre and the lines to cut, and nothing of what planned the parts.
Points are complex numbers on the page.
"""

from dataclasses import dataclass

import numpy as np
from readers import svg_layer
from shapely import Polygon
from working_edges import face_at, half_feet, wire_mm


@dataclass(frozen=True)
class Laid:
    """The gauge on its instrument: ``middle`` x of the centreline, ``down`` y of the nut; its hand and the parts by id."""

    workup: object
    parts: dict
    ticks: dict
    middle: float
    down: float
    hand: float

    def at(self, x, from_nut):
        """The point of x to the treble side and a distance from the nut."""
        return complex(self.middle + self.hand * x, self.down + from_nut)

    @property
    def along(self):
        """Unit vector along the feet's line on the page, to the right."""
        step = self.at(50, float(face_at(self.workup, 50))) - self.at(-50, float(face_at(self.workup, -50)))
        return self.hand * step / abs(step)


def cut_shape(edges, kerf):
    """The part that is left of an outline to cut: half a kerf smaller."""
    points = [point for edge in edges for point in edge.at(np.linspace(0, 1, 24 if edge.centre is not None else 2))]
    points = [point for n, point in enumerate(points) if abs(point - points[n - 1]) > 1e-6]
    shape = Polygon([(p.real, p.imag) for p in points]).buffer(-kerf / 2, join_style="mitre", mitre_limit=20)
    return np.array([complex(*point) for point in shape.exterior.coords[:-1]])


def laid(workup, content, kerf=0.0, datum_fret=None):
    """Lay what an SVG file has on the instrument, by the notch."""
    lines = {name: edges for name, edges, _ in svg_layer(content, "cut")}
    parts = {name: cut_shape(edges, kerf) for name, edges in lines.items() if name not in ("datum", "hole")}
    notch = np.array([edge.start for edge in lines["datum"]])
    level = notch.imag.max() + kerf / 2
    middle = (notch.real.max() + notch.real.min()) / 2
    ticks = {name: edges[0] for name, edges, _ in svg_layer(content, "score") if edges}
    hand = 1.0 if workup.instrument.head.hand == "right" else -1.0
    down = level - wire_mm(workup, datum_fret or workup.instrument.head.frets)
    return Laid(workup, parts, ticks, middle, down, hand)


def long_edges(points, least=2.5):
    """Straight edges of a shape."""
    return [(a, b) for a, b in zip(points, np.roll(points, -1), strict=True) if abs(b - a) >= least]


def shoulder(gauge, end):
    """Outer and inner end of a leg's shoulder: of all slanted edges on that side the one that is nearest the tail."""
    side = gauge.hand * (1 if end == "treble" else -1)
    square = 1j * gauge.along
    found = []
    for a, b in long_edges(gauge.parts["gauge-outline"]):
        lean = abs(((b - a) / gauge.along).imag / ((b - a) / gauge.along).real) if ((b - a) / gauge.along).real else 9
        inside, outside = sorted((a, b), key=lambda p: side * (p.real - gauge.middle))
        if side * (inside.real - gauge.middle) > 0 and 0.05 < lean < 0.5:
            found.append((((a + b) / 2 / square).real, outside, inside))
    return max(found, key=lambda one: one[0])[1:]


def edges_of_wedge(gauge, end):
    """Face and slanted edge of a wedge as it lies on the page, each as (inner, outer)."""
    side = gauge.hand * (1 if end == "treble" else -1)
    long = [(a, b) for a, b in long_edges(gauge.parts[f"wedge-{end}"]) if abs((b - a).real) > 15]
    edges = [tuple(sorted(edge, key=lambda p: side * p.real)) for edge in long]
    face, slanted = sorted(edges, key=lambda edge: -(edge[0] + edge[1]).imag)
    return face, slanted


def face_when_set(gauge, end, cents):
    """The wedge's face, inner and outer end, with the tick for ``cents`` at the outer edge of its leg.

    The wedge is turned so that its slanted edge lies along the shoulder, and slid until the tick is at the corner.
    """
    (outer, inner), (face, slanted) = shoulder(gauge, end), edges_of_wedge(gauge, end)
    turn = (outer - inner) / abs(outer - inner) / ((slanted[1] - slanted[0]) / abs(slanted[1] - slanted[0]))
    tick = gauge.ticks[f"cents-{end}-{cents}"]
    read = min((tick.start, tick.end), key=lambda p: p.imag)  # at the slanted edge, which is up the page
    along = (slanted[1] - slanted[0]) / abs(slanted[1] - slanted[0])
    on_edge = slanted[0] + along * ((read - slanted[0]) / along).real  # half a kerf away from the tick's end
    return tuple(outer + (point - on_edge) * turn for point in face)


def place_for(workup, end, cents):
    """How far the end of the feet moves along the neck for cents at its outer string, the other end held."""
    string = workup.outer_strings[0 if end == "treble" else 1]
    half = float(half_feet(workup)) * (1 if end == "treble" else -1)
    at_string = cents / abs(float(workup.cents_per_mm[string]))
    return at_string * (2 * half) / (float(workup.across_mm[string]) + half)


def off_and_turned(gauge, end, cents):
    """How far the face at the end of the feet is from its place, in mm along the neck; its angle to the line in degrees."""
    inner, outer = face_when_set(gauge, end, cents)
    half = float(half_feet(gauge.workup)) * (1 if end == "treble" else -1)
    wanted = gauge.at(half, float(face_at(gauge.workup, half)) + place_for(gauge.workup, end, cents))
    line = outer - inner
    level = inner.imag + line.imag / line.real * (wanted.real - inner.real)
    angle = np.degrees(np.angle(line / gauge.along))
    return level - wanted.imag, min(abs(angle), abs(abs(angle) - 180))


def marks_of(gauge, end):
    """Cents of all ticks of a wedge."""
    prefix = f"cents-{end}-"
    return sorted(int(name.removeprefix(prefix)) for name in gauge.ticks if name.startswith(prefix))
