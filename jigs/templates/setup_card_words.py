"""What the setup card says: the target, the steps at the bench, how far to move, and what its chart shows."""

from collections.abc import Sequence

from geometry.lengths import format_mm, round_half_up
from geometry.readings import MOST_MOVE_MM
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Role
from jigs.templates.instructions import CAUTIONS, one_end_alone
from jigs.wording import listed, signed, unbroken
from jigs.workup.setup import READINGS_SHOW_CENTS, BridgeEnd
from jigs.workup.words import (
    aim_in_words,
    bearing_in_words,
    found_in_words,
    measured_in_words,
    nut_in_words,
    octave_in_words,
    saddle_in_words,
)
from jigs.workup.workup import Workup

TITLE = "Setup card: set the bridge by ear"
CHART_TITLE = "What every fret will read"
CHART_DATUM = "cents against the open string; up is sharp"

TARGET, MOVES, READINGS = "Target", "How far to move", "Readings"
AIM_COLUMN = "aim"
BOX_NAMES = ("harmonic", "fretted", "difference", "moved")
HOW_TO_FILL_IN = "from the tuner, in cents; moved: in mm, to the nut or to the tail"
LOW_FOR_BOXES = "there is no height left for the boxes"
FLAT, SHARP = "flat: nut", "sharp: tail"

LEGEND = (
    (Role.PROVISIONAL, "before: bridge square on the theoretical line"),
    (Role.MARK, "after: bridge on this card's line"),
)


def columns(workup: Workup) -> tuple[str, ...]:
    """The heads of the target's table."""
    return "", "crown line", f"{workup.instrument.stands_on}, nut side", "± (95%)"


def card_words(workup: Workup, ends: Sequence[BridgeEnd]) -> Instructions:
    """Everything that the card says around its tables, and the headings of both sheets."""
    return Instructions(
        title=TITLE,
        datum=_crown(workup, ends),
        steps=_steps(workup, ends),
        cautions=CAUTIONS,
        further=((CHART_TITLE, CHART_DATUM),),
    )


def _crown(workup: Workup, ends: Sequence[BridgeEnd]) -> str:
    """Where the crown belongs, large enough to be read from afar."""
    line = "Crown" if workup.found is None else "Found by ear"
    places = [f"{format_mm(end.crown_mm)}{f' {end.name}' if end.side else ''}" for end in ends]
    return f"{line}: {', '.join(places)}"


def below_chart(workup: Workup) -> tuple[str, ...]:
    """What the card was computed for, and from what."""
    about = (found_in_words(workup), aim_in_words(workup), saddle_in_words(workup), bearing_in_words(workup))
    return " ".join(filter(None, about)), measured_in_words(workup)


def where_measured(workup: Workup) -> str:
    """What the places of the target count from."""
    return f"from the {nut_in_words(workup.instrument)}, at the outer strings; seen with the nut up"


def with_which_fork(workup: Workup, datum_fret: int | None) -> str:
    """What the ± holds for: the fork of this paper, or the usual one where none fits.

    Another fork is as sure only if it lies against the same fret.
    """
    if datum_fret is None:
        return f"±: with a fork against {octave_in_words(workup.instrument)}."
    return f"±: with the fork for this paper, against fret {datum_fret}. From a different fret the ± differs."


def named(end: BridgeEnd) -> str:
    """An end of the bridge, and the side that it is on."""
    return f"{end.name} end, {end.side}" if end.side else end.name


def _steps(workup: Workup, ends: Sequence[BridgeEnd]) -> tuple[str, ...]:
    instrument = workup.instrument
    first, *others = (instrument.string_in_words(end.string) for end in ends)
    octave = unbroken(octave_in_words(instrument), "fret ")
    both = ("Set both ends at once if you can: jigs readings gives both moves.",) if others else ()
    return (
        "Place it with a fork or gauge. Tune.",
        f"On {first}, read the harmonic at {octave}, then the fretted note.",
        "Read each three times. Fret as you play.",
        "Write down the difference: fretted minus harmonic.",
        *(f"Repeat with {other}." for other in others),
        *_counting(ends),
        f"Flat (−): move {'that end' if others else 'the bridge'} towards the nut. Sharp (+): towards the tail.",
        "The table shows how far. Hold the bridge low, so that it cannot tip.",
        *both,
        *one_end_alone(workup),
        f"Retune and check. Stop at {round_half_up(READINGS_SHOW_CENTS, 1)} cents or less:"
        " three readings show nothing finer.",
    )


def _counting(ends: Sequence[BridgeEnd]) -> tuple[str, ...]:
    """What a difference counts from, where that is not 0."""
    if not aims_elsewhere(ends):
        return ()
    aims = listed([signed(end.aim_cents, 1) for end in ends])
    return (f"Count from the aim ({aims} cents), not from 0.",)


def aims_elsewhere(ends: Sequence[BridgeEnd]) -> bool:
    """Whether a string is meant to read something else than its harmonic."""
    return {signed(end.aim_cents, 1) for end in ends} != {"0.0"}


def move_notes(workup: Workup, ends: Sequence[BridgeEnd]) -> tuple[str, ...]:
    """What the table of moves counts from, and what it does not hold for."""
    last = f"More than {MOST_MOVE_MM:g} mm to move? Then something else is wrong: strings, notes or scale."
    if len(ends) < 2:
        return ("Measured at the string.", last)
    times = " and ".join(f"{round_half_up(end.end_factor, 2)} times ({end.name})" for end in ends)
    return (f"Measured at the string. The end of the {workup.instrument.stands_on} goes {times} as far.", last)


def lines_of_chart(line_cents: int, tick_cents: int) -> str:
    """How many cents apart the chart's lines and ticks are.

    >>> lines_of_chart(2, 1), lines_of_chart(1, 1)
    ('1 line = 2 cents, 1 tick = 1 cent. Upright line: the octave.', '1 line = 1 cent. Upright line: the octave.')
    """
    tick = f", 1 tick = {_cents(tick_cents)}" if tick_cents < line_cents else ""
    return f"1 line = {_cents(line_cents)}{tick}. Upright line: the octave."


def _cents(cents: int) -> str:
    return f"{cents} cent{'s' * (cents != 1)}"
