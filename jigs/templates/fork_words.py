"""What is written beside the placement fork: how to use it, what it was computed from, what each line is, cautions."""

from contextlib import suppress
from functools import partial
from itertools import product

from geometry.lengths import round_half_up
from geometry.tolerance import PlaceTolerance
from jigs.drawing.items import Drawing, Role
from jigs.drawing.room import DoesNotFit, Room
from jigs.templates import words as says
from jigs.templates.instructions import (
    CAUTIONS,
    FreeSpace,
    Steps,
    first_that_fits,
    numbered,
    one_end_alone,
    reading_step,
    words_beside,
)
from jigs.wording import unbroken
from jigs.workup.sureness import mostly_from
from jigs.workup.words import about_the_line, computed_from, move_in_words
from jigs.workup.workup import Workup

LEGEND = (
    (Role.CUT, "cut here"),
    (Role.MARK, "nut side of the bridge's feet"),
    (Role.PROVISIONAL, "feet without compensation"),
    (Role.FINE, "string"),
    (Role.CENTRE, "centreline"),
)


def fork_words(
    workup: Workup, free: FreeSpace, datum_fret: int, datum_over_fret: bool, sure: PlaceTolerance, room: Room
) -> Drawing:
    """Steps, line samples and cautions around the fork. Raises `DoesNotFit`."""
    legend = (*LEGEND[:2], *_band(workup, sure), *LEGEND[2:])
    rest = (*about_the_line(workup), computed_from(workup))

    def laid(reasons: tuple[str, ...], beside_cautions: bool, together: bool, both_sides: bool) -> Drawing:
        of_steps, of_cautions = ((), reasons) if beside_cautions else (reasons, ())
        steps = (*numbered(_steps(workup, datum_fret, datum_over_fret), together), *of_steps, *rest)
        return words_beside(
            free, room, steps, legend, (*of_cautions, *CAUTIONS), says.from_fret(datum_fret), both_sides
        )

    ways = tuple(product((False, True), (False, True)))
    plain = first_that_fits(partial(laid, (), False, *way) for way in ways)
    with suppress(DoesNotFit):
        reasons = product(((why,) for why in mostly_from(workup, sure)), (False, True), ways)
        return first_that_fits(partial(laid, why, beside, *way) for why, beside, way in reasons)
    return plain


def _band(workup: Workup, sure: PlaceTolerance) -> tuple[tuple[Role, str], ...]:
    """What the grey means, where there is any doubt at all."""
    widths = sure.band_mm(workup.across_mm[list(workup.outer_strings)])
    if not widths.any():
        return ()
    treble, bass = (round_half_up(float(width), 1) for width in widths)
    size = f"{treble} mm" if treble == bass else f"{treble} mm treble, {bass} mm bass"
    return ((Role.BAND, unbroken(f"where it may be: ± {size} (95%)", "± ", " mm")),)


def _steps(workup: Workup, datum_fret: int, datum_over_fret: bool) -> Steps:
    where = "over the middle" if datum_over_fret else "against the bridge side"
    return (
        ("Measure both rulers. If they are off, print again at actual size (100%).",),
        ("Cut out this part, the fork, along the wide lines.",),
        (
            "Slide it under the strings from the nut side. Keep it straight.",
            f"Put its top edge {where} of fret {datum_fret}.",
        ),
        ("Hold the bridge low at both ends. Move its feet's nut side onto both lines.",),
        (
            reading_step(workup),
            *move_in_words(workup),
            *one_end_alone(workup),
        ),
    )
