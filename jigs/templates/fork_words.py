"""What stands beside the placement fork: how to use it, what it was computed from, what each line is, cautions."""

from geometry.lengths import MM_PER_INCH, format_mm, round_half_up
from geometry.tolerance import Tolerance
from jigs.drawing import Drawing, Role, Room
from jigs.lay import laid_line
from jigs.numbers import nut_cuts_in_words
from jigs.templates.flow import CAUTIONS, Free, words_beside
from jigs.workup import Workup

_LEAST_TOLD_MM = 0.05

LEGEND = (
    (Role.CUT, "cut here"),
    (Role.MARK, "nut side of the bridge's feet"),
    (Role.PROVISIONAL, "theoretical line"),
    (Role.FINE, "string"),
    (Role.CENTRE, "centreline"),
)


def fork_words(
    workup: Workup, free: Free, datum_fret: int, datum_over_fret: bool, sure: Tolerance, room: Room
) -> Drawing:
    """Steps, line samples and cautions round the fork. Raises `DoesNotFit`."""
    steps = (*_steps(workup, datum_fret, datum_over_fret), computed_from(workup))
    return words_beside(
        free, room, steps, (*LEGEND[:2], *_band(workup, sure), *LEGEND[2:]), CAUTIONS, f"from fret {datum_fret}"
    )


def _band(workup: Workup, sure: Tolerance) -> tuple[tuple[Role, str], ...]:
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


def move_in_words(workup: Workup) -> str:
    """How to turn the reading into a move, where the line is to leave something on the outer strings too."""
    aims = [_signed(float(workup.left_cents[n])) for n in workup.outer]
    if set(aims) == {"0.0"}:
        return "Move that end by as many cents as the fretted note is off."
    first, last = (workup.instrument.string_in_words(n) for n in workup.outer)
    return (
        f"This bridge is meant to leave {aims[0]} cents on {first} and {aims[1]} on {last}: move that end by as many"
        " cents as the fretted note is off from that."
    )


def _signed(cents: float) -> str:
    text = round_half_up(cents, 1).replace("-", "−")
    return text if text == "0.0" or cents < 0 else f"+{text}"


def computed_from(workup: Workup) -> str:
    """What the line rests on, so that an old sheet can be told from a new one."""
    instrument = workup.instrument
    strings = ", ".join(
        f"{entry.note}\N{NO-BREAK SPACE}{f'{entry.gauge / float(MM_PER_INCH):.3f}'.lstrip('0')}{'w' if entry.core else ''}"
        for entry in instrument.strings
    )
    climbed = heights_in_words(workup)
    climbed = f" {climbed}" if climbed else ""
    heights = f"{instrument.action.fret_12:g} at fret 12, {instrument.action.nut:g} at the nut"
    return (
        f"Computed from: scale {round_half_up(workup.scale_mm, 1)} mm; action {heights}; strings {strings};"
        f" feet {instrument.bridge.face_mm:g} mm before the crown; {instrument.compensation.tune_to.value}.{climbed}"
    )


def heights_in_words(workup: Workup) -> str:
    """What is allowed for because the top lies lower than the board, or leans; empty where it is too little to see."""
    standing = workup.standing_line
    longer = laid_line(workup.instrument, standing).centre_mm - standing.centre_mm
    nearer = workup.line.centre_mm - standing.centre_mm
    told = []
    if abs(longer) >= _LEAST_TOLD_MM:
        told.append(f"the way from board to top, {format_mm(longer)} longer than straight")
    if abs(nearer) >= _LEAST_TOLD_MM:
        way = "nut" if nearer > 0 else "tail"
        told.append(f"a bridge square to its top, its feet {format_mm(abs(nearer))} nearer the {way} than its crown")
    return f"Allowed for: {'; '.join(told)}." if told else ""
