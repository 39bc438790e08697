"""What stands beside the placement fork: how to use it, what it was computed from, what each line is, cautions."""

from geometry.lengths import round_half_up
from geometry.tolerance import PlaceTolerance
from jigs.drawing.items import Drawing, Role
from jigs.drawing.room import Room
from jigs.templates.instructions import CAUTIONS, Free, words_beside
from jigs.workup.words import computed_from, move_in_words, nut_cuts_in_words
from jigs.workup.workup import Workup

LEGEND = (
    (Role.CUT, "cut here"),
    (Role.MARK, "nut side of the bridge's feet"),
    (Role.PROVISIONAL, "theoretical line"),
    (Role.FINE, "string"),
    (Role.CENTRE, "centreline"),
)


def fork_words(
    workup: Workup, free: Free, datum_fret: int, datum_over_fret: bool, sure: PlaceTolerance, room: Room
) -> Drawing:
    """Steps, line samples and cautions round the fork. Raises `DoesNotFit`."""
    steps = (*_steps(workup, datum_fret, datum_over_fret), computed_from(workup))
    return words_beside(
        free, room, steps, (*LEGEND[:2], *_band(workup, sure), *LEGEND[2:]), CAUTIONS, f"from fret {datum_fret}"
    )


def _band(workup: Workup, sure: PlaceTolerance) -> tuple[tuple[Role, str], ...]:
    """What the grey means, where there is any doubt at all."""
    widths = sure.band_mm(workup.across_mm[list(workup.outer)])
    if not widths.any():
        return ()
    treble, bass = (round_half_up(float(width), 1) for width in widths)
    size = f"{treble} mm" if treble == bass else f"{treble} mm treble, {bass} mm bass"
    return ((Role.BAND, f"where it may be, 95 times in 100: ± {size}"),)


def _steps(workup: Workup, datum_fret: int, datum_over_fret: bool) -> tuple[str, ...]:
    where = "over the middle" if datum_over_fret else "against the bridge side"
    steps = (
        "1 Measure both rulers. If they are off, print again at actual size, 100\N{NO-BREAK SPACE}%.",
        "2 Cut the fork out along the wide lines.",
        f"3 Slide it under the strings from the nut side, its top edge {where} of fret {datum_fret}. Keep it straight.",
        "4 Hold the bridge low, at both ends, and move it until the nut side of its feet meets the line on both legs.",
        f"5 Tune. On each outer string compare the octave harmonic with the note fretted at fret 12. {move_in_words(workup)}"
        " Hold the other end still: the scale allows for that. Check the first string again.",
    )
    cuts = nut_cuts_in_words(workup)
    return (*steps, cuts) if cuts else steps
