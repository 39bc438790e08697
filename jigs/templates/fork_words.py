"""What is written beside the placement fork: how to use it, what it was computed from, what each line is, cautions."""

from geometry.lengths import round_half_up
from geometry.tolerance import PlaceTolerance
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.templates.instructions import CAUTIONS, one_end_alone, reading_step
from jigs.wording import unbroken
from jigs.workup.sureness import mostly_from
from jigs.workup.words import about_the_line, computed_from, move_in_words
from jigs.workup.workup import Workup

TITLE = "Fork: put the bridge here"
LEGEND = (
    (Role.CUT, "cut here"),
    (Role.MARK, "nut side of the bridge's feet"),
    (Role.PROVISIONAL, "feet without compensation"),
)


def fork_words(workup: Workup, datum_fret: int, datum_over_fret: bool, sure: PlaceTolerance) -> Instructions:
    """Everything that the sheet says around the fork."""
    return Instructions(
        title=TITLE,
        datum=f"{'over' if datum_over_fret else 'against'} fret {datum_fret}",
        steps=_steps(workup, datum_fret, datum_over_fret),
        legend=(*LEGEND[:2], *_band(workup, sure), *LEGEND[2:]),
        notes=(*mostly_from(workup, sure)[:1], *about_the_line(workup), computed_from(workup)),
        cautions=CAUTIONS,
    )


def _band(workup: Workup, sure: PlaceTolerance) -> tuple[tuple[Role, str], ...]:
    """What the grey means, where there is any doubt at all."""
    widths = sure.band_mm(workup.across_mm[list(workup.outer_strings)])
    if not widths.any():
        return ()
    treble, bass = (round_half_up(float(width), 1) for width in widths)
    size = f"{treble} mm" if treble == bass else f"{treble} mm treble, {bass} mm bass"
    return ((Role.BAND, unbroken(f"where it may be: ± {size} (95%)", "± ", " mm")),)


def _steps(workup: Workup, datum_fret: int, datum_over_fret: bool) -> tuple[str, ...]:
    where = "over the middle" if datum_over_fret else "against the bridge side"
    return (
        "Measure both rulers. If they are off, print again at actual size (100%).",
        "Cut out this part, the fork, along the wide lines.",
        "Slide it under the strings from the nut side. Keep it straight.",
        f"Put its top edge {where} of fret {datum_fret}. Tape that edge down.",
        "Hold the bridge low at both ends. Move its feet's nut side onto both lines.",
        reading_step(workup),
        *move_in_words(workup),
        *one_end_alone(workup),
    )
