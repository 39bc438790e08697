"""A place that was found by ear, as a line: from what the instrument file says of it, in any of the three ways."""

import numpy as np

from geometry.bridge import BridgeLine
from jigs.workup.cents_scale import leg_scales
from jigs.workup.on_the_top import feet_before_crown_mm, straight_line
from jigs.workup.workup import FoundPlace, Workup


def found_place(then: Workup, now: Workup) -> FoundPlace:
    """The place of an instrument file with one, from its workups with the strings of then and of now."""
    treble, bass = (now.line.at(now.outer_mm) - then.line.at(now.outer_mm)).tolist()
    same = then.instrument.strings == now.instrument.strings
    same_pitch = then.instrument.pitch == now.instrument.pitch
    return FoundPlace(found_line(then), then, same, same_pitch, (treble, bass))


def found_line(then: Workup) -> BridgeLine:
    """The line of the crown where the instrument file has it."""
    found = then.instrument.found
    if found.treble is not None and found.bass is not None:
        return then.line_through(found.treble, found.bass)
    if found.feet_treble is not None and found.feet_bass is not None and found.fret is not None:
        return line_of_feet(then, found.fret, (found.feet_treble, found.feet_bass))
    return line_at_ticks(then, (found.ticks_treble or 0.0, found.ticks_bass or 0.0))


def line_of_feet(workup: Workup, fret: int, feet_mm: tuple[float, float]) -> BridgeLine:
    """The crown's line over feet that stand so far from the bridge side of a fret, at the outer strings, treble first."""
    from_nut = float(workup.from_nut_mm[fret - 1]) + workup.instrument.head.fret_crown_width / 2
    face = workup.line_through(*(from_nut + mm for mm in feet_mm))
    return face.shifted(-feet_before_crown_mm(workup.instrument)[1])


def feet_from_fret_mm(workup: Workup, line: BridgeLine, fret: int) -> tuple[float, float]:
    """The reverse: how far the feet's nut side stands from a fret's bridge side, with the crown on a line."""
    face = line.shifted(feet_before_crown_mm(workup.instrument)[1])
    from_nut = float(workup.from_nut_mm[fret - 1]) + workup.instrument.head.fret_crown_width / 2
    treble, bass = (face.at(workup.outer_mm) - from_nut).tolist()
    return treble, bass


def line_at_ticks(workup: Workup, cents: tuple[float, float]) -> BridgeLine:
    """The crown's line with the feet on ticks of a sheet for the workup's line, both ends set; plus is away from the nut.

    Along an arched top paper is longer than the way straight on; the ticks are along the paper.
    """
    scales = leg_scales(workup)
    places = [scale.place_mm(one) for scale, one in zip(scales, cents, strict=True)]
    laid = BridgeLine.through(np.array([scale.inner_mm for scale in scales]), np.array(places))
    face = straight_line(workup.instrument, laid)
    return face.shifted(-feet_before_crown_mm(workup.instrument)[1])
