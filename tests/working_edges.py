"""Where the working edges of a part belong by the numbers, and how far the edges in a file are from there.

This uses only the instrument, the bridge line and the lines to cut, and nothing of the template that planned the part.
"""

from dataclasses import dataclass

import numpy as np
from readers import UM
from scipy.optimize import brentq

from geometry.surface import Surface, height_mm
from jigs.instrument.top_and_rim import board_end_mm
from jigs.workup.on_the_top import laid_from_end_mm, laid_mm, surface_of


@dataclass(frozen=True)
class Placed:
    """A part on a page: its lines to cut, and where a point of a right-handed instrument lies on that page."""

    outline: object
    windows: tuple
    kerf: float
    middle: float
    hand: float
    down: float

    def at(self, x, from_nut):
        """The point on the page, as a complex number, of x to the treble side and a distance from the nut."""
        return complex(self.middle + self.hand * x, self.down + from_nut)


def wire_mm(workup, fret):
    """Bridge side of a fret's crown, from the nut."""
    return float(workup.from_nut_mm[fret - 1]) + workup.instrument.head.fret_crown_width / 2


def lean(workup):
    """Angle of a top on which the bridge stands square with its crown at the strings, found by searching."""
    instrument = workup.instrument
    surface, height = surface_of(instrument), instrument.bridge.height
    if surface is None or height is None:
        return 0.0
    crown_x = instrument.head.scale_mm - board_end_mm(instrument.head, instrument.board)
    crown_z = instrument.action.nut + instrument.action.rise_mm

    def over_top(angle):
        top = Surface(surface.step_mm, np.tan(angle), surface.arch)
        foot = np.array(crown_x - height * np.sin(angle))
        return float(height_mm(top, foot)) - (crown_z - height * np.cos(angle))

    return brentq(over_top, -0.7, 0.7, xtol=1e-14)


def standing_mm(workup):
    """How much nearer the nut than the crown the feet's middle and their nut side stand, along the neck."""
    angle, bridge = lean(workup), workup.instrument.bridge
    under = (bridge.height or 0.0) * np.sin(angle)
    return under, under + bridge.face_mm * np.cos(angle)


def _straight(workup, x, before):
    """The crown's line, less a distance measured square to it."""
    square = np.sqrt(1 + workup.line.slope**2)
    return workup.line.centre_mm + workup.line.slope * np.asarray(x) - before * square


def crown_at(workup, x, from_end=False):
    """Where the line that the crown stands over lies on the sheet."""
    return laid(workup, _straight(workup, x, standing_mm(workup)[0]), from_end)


def face_at(workup, x, from_end=False):
    """Where the nut side of the feet lies on the sheet."""
    return laid(workup, _straight(workup, x, standing_mm(workup)[1]), from_end)


def laid(workup, straight, from_end=False):
    """A straight place as it lies on the sheet. A head template lies level: its presets have no heights."""
    return (laid_from_end_mm if from_end else laid_mm)(workup.instrument, straight)


def half_feet(workup):
    """How far the feet reach to one side of the centreline."""
    return workup.instrument.bridge.length / 2 / np.sqrt(1 + workup.line.slope**2)


def outline_and_windows(loops):
    """The line round everything, and the others."""
    outline = max(loops, key=lambda loop: np.prod(np.subtract(loop.box[2:], loop.box[:2])))
    return outline, tuple(loop for loop in loops if loop is not outline)


def widest(windows):
    """The window that reaches farthest across: a gauge's notch."""
    return max(windows, key=lambda loop: loop.box[2] - loop.box[0])


def level_edge(loop, side):
    """The longest level edge at the top (−1) or at the bottom (+1) of a loop."""
    flat = [e for e in loop.edges if e.centre is None and abs((e.end - e.start).imag) < UM and e.length > 3]
    return max(flat, key=lambda e: (side * round(e.start.imag, 2), e.length))


def rim_arc(outline):
    """Points along the arc that nests on the rim; in PDF it is several curves."""
    long = [edge for edge in outline.edges if edge.centre is not None and edge.radius > 80]
    assert long, "the arc is gone"
    assert len(long) < 9
    return np.concatenate([edge.at(np.linspace(0, 1, 2001)) for edge in long])


def placed(template, workup, loops, kerf, datum_fret=None, datum_end=False, tail_side=True):
    """Lay a part that was read from a file on its instrument, by the edge that it registers with."""
    outline, windows = outline_and_windows(loops)
    instrument = workup.instrument
    hand = 1.0 if instrument.head.hand == "right" else -1.0
    middle = (outline.box[0] + outline.box[2]) / 2
    registers = wire_mm(workup, datum_fret or instrument.head.frets)
    if template == "gauge":
        notch = widest(windows)
        middle = (notch.box[0] + notch.box[2]) / 2
        edge = level_edge(notch, +1).start.imag + kerf / 2
    elif template == "top":
        registers = instrument.board.end if datum_end else registers
        edge = level_edge(outline, -1).start.imag + kerf / 2
    else:
        outward = 1 if tail_side else -1
        registers = rim_middle_mm(workup) + outward * instrument.rim.head / 2
        edge = outward * ((outward * rim_arc(outline).imag).max() - kerf / 2)
    return Placed(outline, windows, kerf, middle, hand, edge - registers)


def rim_middle_mm(workup):
    """Middle of the head, from the nut."""
    rim, fret_12 = workup.instrument.rim, float(workup.from_nut_mm[11])
    if rim.fret_12_to_near_edge is not None:
        return fret_12 + rim.fret_12_to_near_edge + rim.head / 2
    return fret_12 + rim.fret_12_to_far_edge - rim.head / 2


def feet_mm(workup, from_end=False):
    """Ends of each foot's nut side as (x, from the nut), from the treble end: equal feet, equal gaps, ends flush."""
    bridge = workup.instrument.bridge
    wide = bridge.length if bridge.feet == 1 else bridge.foot
    step = (bridge.length - wide) / max(bridge.feet - 1, 1)
    slope = (face_at(workup, 50, from_end) - face_at(workup, -50, from_end)) / 100
    along = bridge.length / 2 - step * np.arange(bridge.feet)[:, None] - [0, wide]
    return [[(x, face_at(workup, x, from_end)) for x in ends] for ends in along / np.sqrt(1 + slope**2)]


def off_by(loop, part, ends, outward):
    """How far the line to cut is from an edge that is moved by half a kerf towards the waste, ``outward`` to the tail (+1).

    Half a kerf at either end does not count: a beam cannot cut a sharp inside corner.
    """
    start, end = (part.at(*place) for place in ends)
    along = (end - start) / abs(end - start)
    aside = along * (1j if (along * 1j).imag * outward > 0 else -1j) * part.kerf / 2
    first, last = start + along * part.kerf / 2, end - along * part.kerf / 2
    return float(loop.distance_mm(first + (last - first) * np.linspace(0, 1, 9) + aside).max())


def deviations(template, workup, loops, kerf, **choice):
    """How far every working edge is from the numbers, in mm, once the lines are moved back by half a kerf."""
    part = placed(template, workup, loops, kerf, **choice)
    instrument, found = workup.instrument, {}
    half = instrument.board.nut_width / 2
    if template == "gauge":
        datum, notch = wire_mm(workup, choice.get("datum_fret") or instrument.head.frets), widest(part.windows)
        found["datum"] = off_by(notch, part, [(-half, datum), (half, datum)], -1)
        for name, side in (("treble", 1), ("bass", -1)):
            ends = [(side * x, float(face_at(workup, side * x))) for x in half_feet(workup) + np.array([-2.0, 1.0])]
            found[f"{name} shoulder"] = off_by(part.outline, part, ends, +1)
        return found
    if template == "top":
        datum = (
            instrument.board.end
            if choice.get("datum_end")
            else wire_mm(workup, choice.get("datum_fret") or instrument.head.frets)
        )
        found["datum"] = off_by(part.outline, part, [(-half, datum), (half, datum)], -1)
    else:
        middle, arc = part.at(0.0, rim_middle_mm(workup)), rim_arc(part.outline)
        assert np.ptp(arc.real) > instrument.bridge.length
        found["arc"] = float(abs(abs(arc - middle) - instrument.rim.head / 2 - kerf / 2).max())
    expected = feet_mm(workup, choice.get("datum_end", False))
    assert len(part.windows) == len(expected)
    for n, ends in enumerate(expected, 1):
        at = part.at((ends[0][0] + ends[1][0]) / 2, 0.0).real
        window = min(part.windows, key=lambda loop: abs((loop.box[0] + loop.box[2]) / 2 - at))
        found[f"foot {n}"] = off_by(window, part, ends, +1)
    return found
