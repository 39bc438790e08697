"""What is written beside the placement fork: how to use it, what it was computed from, what each line is, cautions."""

from geometry.lengths import round_half_up
from geometry.tolerance import PlaceTolerance
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.drawing.lettering import SMALL, width_mm, wrapped
from jigs.templates.instructions import CAUTIONS, one_end_alone, reading_step
from jigs.wording import unbroken
from jigs.workup.cents_scale import CentsScale
from jigs.workup.sureness import mostly_from
from jigs.workup.words import about_the_line, computed_from, move_in_words
from jigs.workup.workup import Workup

TITLE = "Fork: put the bridge here"
WIDEST_END = "treble"


def between_legs(workup: Workup) -> str:
    """What goes between the legs."""
    return f"set the bridge's {workup.instrument.stands_on} here"


def words_on_stem(datum_fret: int, datum_over_fret: bool) -> str:
    """What the fork's top edge is laid on, as the fork itself says it."""
    return f"This edge {_where(datum_over_fret)} of fret {datum_fret}"


def words_on_leg(workup: Workup, scale: CentsScale, room: float) -> tuple[str, ...]:
    """On a leg over its scale: its string, what a tick is, and which way to go."""
    name = workup.instrument.string_in_words(scale.string).replace(" ", "_")
    number, note = scale.string + 1, workup.instrument.strings[scale.string].note
    cents = f"{scale.step} cent{'s' if scale.step > 1 else ''}"
    return (
        *_fitted(room, name, f"{number}:_{note}", f"{number}: {note}"),
        *_fitted(room, f"1_tick =_{cents.replace(' ', '_')}", f"1_tick =_{cents}"),
        *_fitted(room, "flat ↑_nut"),
        *_fitted(room, "sharp ↓_tail"),
    )


def _fitted(room: float, *texts: str) -> tuple[str, ...]:
    """The first text that fits, in lines that break at its spaces; an underline keeps words together."""
    broken = [tuple(wrapped(text.replace("_", "\N{NO-BREAK SPACE}"), SMALL, room)) for text in texts]
    return next((lines for lines in broken if all(width_mm(line, SMALL) <= room for line in lines)), broken[-1])


def fork_words(workup: Workup, datum_fret: int, datum_over_fret: bool, sure: PlaceTolerance) -> Instructions:
    """Everything that the sheet says around the fork."""
    return Instructions(
        title=TITLE,
        datum=f"{'over' if datum_over_fret else 'against'} fret {datum_fret}",
        steps=_steps(workup, datum_fret, datum_over_fret),
        legend=_legend(workup, sure),
        notes=(
            *one_end_alone(workup),
            *mostly_from(workup, sure)[:1],
            *about_the_line(workup),
            computed_from(workup),
        ),
        cautions=CAUTIONS,
    )


def _legend(workup: Workup, sure: PlaceTolerance) -> tuple[tuple[Role, str], ...]:
    on = workup.instrument.stands_on
    return (
        (Role.CUT, "cut here"),
        (Role.MARK, f"0: nut side of the bridge's {on}"),
        *_band(workup, sure),
        (Role.PROVISIONAL, f"{on} without compensation"),
    )


def _band(workup: Workup, sure: PlaceTolerance) -> tuple[tuple[Role, str], ...]:
    """What the grey means, where there is any doubt at all."""
    widths = sure.band_mm(workup.across_mm[list(workup.outer_strings)])
    if not widths.any():
        return ()
    treble, bass = (round_half_up(float(width), 1) for width in widths)
    size = f"{treble} mm" if treble == bass else f"{treble} mm treble, {bass} mm bass"
    return ((Role.BAND, unbroken(f"where it may be: ± {size} (95%)", "± ", " mm")),)


def _where(datum_over_fret: bool) -> str:
    return "over the middle" if datum_over_fret else "against the bridge side"


def _steps(workup: Workup, datum_fret: int, datum_over_fret: bool) -> tuple[str, ...]:
    return (
        "Measure both rulers. Cut out the fork.",
        "From the nut, slide it under the strings.",
        f"Put its top edge {_where(datum_over_fret)} of fret {datum_fret}. Tape it.",
        f"Hold the bridge low at both ends, nut side of {workup.instrument.stands_on} at 0.",
        reading_step(workup),
        *move_in_words(workup),
        "Retune, and check both strings."
        if workup.outer_strings[0] != workup.outer_strings[1]
        else "Retune, and check.",
    )
