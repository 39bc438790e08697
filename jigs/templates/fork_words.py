"""What stands beside the placement fork: how to use it, what it was computed from, what each line is, cautions."""

from dataclasses import dataclass

from geometry.lengths import MM_PER_INCH, round_half_up
from jigs.drawing import Drawing, Line, Role, Room, drawing, paragraph, paragraph_height_mm
from jigs.lettering import LINE_STEP, SMALL, wrapped
from jigs.numbers import nut_cuts_in_words
from jigs.templates import DoesNotFit
from jigs.workup import Workup

LEAST_WIDTH_MM = 35.0
_BESIDE_STEM_MM = 6.0
_SAMPLE_MM = 11.0
_BLOCK_GAP = SMALL * (LINE_STEP - 0.35)

CAUTIONS = (
    "Strings are under tension: keep your eyes away, slacken before prising anything.",
    "Never take off all strings at once: the bridge would fall.",
    "Cut towards nothing you value.",
    "Workshop rules and local codes come first. A valuable or old instrument: ask a qualified repairer.",
)
"""What people in this trade expect to read; common practice, no source."""

LEGEND = (
    (Role.CUT, "cut here"),
    (Role.MARK, "nut side of the bridge's feet"),
    (Role.PROVISIONAL, "theoretical line"),
    (Role.FINE, "string"),
    (Role.CENTRE, "centreline"),
)


@dataclass(frozen=True)
class Free:
    """What the fork leaves: both sides of the stem from ``top`` down to ``shoulder``, and everything below ``end``."""

    stem_half: float
    top: float
    shoulder: float
    end: float


def words_beside(workup: Workup, free: Free, datum_fret: int, datum_over_fret: bool, room: Room) -> Drawing:
    """Steps left of the stem, what does not fit there below the fork; line samples and cautions right of it.

    Raises `DoesNotFit`.
    """
    right = room.width / 2 + free.stem_half + _BESIDE_STEM_MM
    widths = (room.width / 2 - free.stem_half - _BESIDE_STEM_MM, room.width - room.corner_width - 2.0 - right)
    if min(widths) < LEAST_WIDTH_MM:
        raise DoesNotFit("there is no room for the steps beside the fork")
    legend = _legend(right, free.top, widths[1])
    cautions = _blocks(CAUTIONS, right, legend.bounds().bottom + 2.0 * SMALL, widths[1])
    steps = (*_steps(workup, datum_fret, datum_over_fret), _computed_from(workup))
    beside = len(steps)
    while _blocks(steps[:beside], 0.0, free.top, widths[0]).bounds().bottom > free.shoulder and beside > 1:
        beside -= 1
    left = _blocks(steps[:beside], 0.0, free.top, widths[0])
    below = _blocks(steps[beside:], 0.0, free.end + 2.0 * SMALL, room.width)
    fits_beside = max(part.bounds().bottom for part in (left, cautions)) <= free.shoulder
    if not fits_beside or (below.items and below.bounds().bottom > room.height):
        raise DoesNotFit(f"from fret {datum_fret} there is no room for the steps beside the fork")
    return drawing(left, legend, cautions, below)


def _blocks(texts: tuple[str, ...], left: float, top: float, width: float) -> Drawing:
    """Paragraphs below each other."""
    blocks = Drawing()
    for text in texts:
        lines = wrapped(text, SMALL, width)
        blocks += paragraph(lines, left, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + _BLOCK_GAP
    return blocks


def _steps(workup: Workup, datum_fret: int, datum_over_fret: bool) -> tuple[str, ...]:
    where = "over the middle" if datum_over_fret else "against the bridge side"
    steps = (
        "1 Measure both rulers. If they are off, print again at actual size, 100\N{NO-BREAK SPACE}%.",
        "2 Cut the fork out along the wide lines.",
        f"3 Slide it under the strings from the nut side, its top edge {where} of fret {datum_fret}. Keep it straight.",
        "4 Hold the bridge low, at both ends, and move it until the nut side of its feet meets the line on both legs.",
        f"5 Tune. On each outer string compare the octave harmonic with the note fretted at fret 12. {_move(workup)}"
        " Hold the other end still: the scale allows for that. Check the first string again.",
    )
    cuts = nut_cuts_in_words(workup)
    return (*steps, cuts) if cuts else steps


def _move(workup: Workup) -> str:
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


def _computed_from(workup: Workup) -> str:
    """What the line rests on, so that an old sheet can be told from a new one."""
    instrument = workup.instrument
    strings = ", ".join(
        f"{entry.note}\N{NO-BREAK SPACE}{f'{entry.gauge / float(MM_PER_INCH):.3f}'.lstrip('0')}{'w' if entry.core else ''}"
        for entry in instrument.strings
    )
    heights = f"{instrument.action.fret_12:g} at fret 12, {instrument.action.nut:g} at the nut"
    return (
        f"Computed from: scale {round_half_up(workup.scale_mm, 1)} mm; action {heights}; strings {strings};"
        f" feet {instrument.bridge.face_mm:g} mm before the crown; {instrument.compensation.tune_to.value}."
    )


def _legend(left: float, top: float, width: float) -> Drawing:
    """A sample of each line, and what it means."""
    legend = Drawing()
    for role, text in LEGEND:
        lines = wrapped(text, SMALL, width - _SAMPLE_MM - 2.0)
        level = top + SMALL / 2
        legend += drawing(
            Line((left, level), (left + _SAMPLE_MM, level), role),
            paragraph(lines, left + _SAMPLE_MM + 2.0, top, SMALL),
        )
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 1)
    return legend
