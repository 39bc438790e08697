"""What the parts that are cut from stock share: finishing a part for the cutter, and laying it on its page."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine
from geometry.lengths import format_inches, format_mm
from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.cutting.engraving import all_engraved
from jigs.cutting.parts import Corner, CutError, CutPart, check, closed_path, compensated
from jigs.cutting.registration import crosses
from jigs.cutting.words import BLAMED, uncuttable
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Anchor, Drawing, Line, Path, Role, Text, drawing
from jigs.drawing.lettering import LINE_STEP, SMALL, wrapped
from jigs.drawing.room import DoesNotFit, Room, placed
from jigs.faults import Place
from jigs.templates import words as says
from jigs.templates.template import Piece
from jigs.workup.words import comparing_in_words
from jigs.workup.workup import Workup

_FROM_WINDOW_MM = 1.5
_FROM_EDGE_MM = 1.0
_WORDS_ASIDE_MM = 3.0
_WORDS_BELOW_MM = 4.0
_DATE_MM = 18.0
_MARK_GAP_MM = 0.6


def finished(
    workup: Workup,
    part: CutPart,
    marks: Drawing,
    cutter: Cutter,
    name: str,
    words: Drawing | None = None,
    crossed: bool = True,
) -> Drawing:
    """Part and marks for the instrument's hand, the kerf allowed for, all words in strokes, and crosses for a second pass.

    ``words`` stay in their place: they are not mirrored. ``name`` is the part's. ``crossed``: whether it has the crosses.
    Raises `InputFaults` for a part that cannot be cut.
    """
    if workup.instrument.head.hand == "left":
        part, marks = part.mirrored(), marks.mirrored()
    try:
        check(part, cutter.web_mm)
        lines = compensated(part, cutter.kerf_mm)
    except CutError as error:
        place = Place(workup.instrument.source, option=BLAMED[error.code])
        raise uncuttable(error, name).refusal(place) from None
    on_it = all_engraved(marks + (words or Drawing()))
    return lines + on_it + (crosses(part, on_it) if crossed else Drawing())


def on_page(piece: Piece, room: Room, said: Instructions) -> Piece:
    """The part in a room with its words, or where no room holds it, to be joined from pieces."""
    box = piece.drawing.bounds()
    reasons = says.large_part(box.width, box.height), says.part_over_ruler(box.width)
    try:
        return replace(piece, drawing=placed(piece.drawing, room, *reasons)[0], said=said)
    except DoesNotFit:
        return replace(piece, said=said, long=True)


def feet_windows(outlines: FloatArray, cutter: Cutter) -> tuple[Path, ...]:
    """The feet's outlines as windows; their nut sides are working edges, so all corners stay sharp there."""
    names = [f"bridge-window{f'-{n}' if len(outlines) > 1 else ''}" for n in range(1, len(outlines) + 1)]
    windows = []
    for name, outline in zip(names, outlines.tolist(), strict=True):
        nut_side, tail_side = outline[:2], outline[2:]
        corners = (*(Corner((x, y)) for x, y in nut_side), *(Corner((x, y), cutter.corner_mm) for x, y in tail_side))
        windows.append(closed_path(corners, name))
    return tuple(windows)


def line_marks(line: BridgeLine, windows: FloatArray, half: float, spare: float = 0.0) -> Drawing:
    """The bridge line either side of the feet, from the windows to ``spare`` before the part's edges."""
    first, last = float(abs(windows[..., 0]).max()) + _FROM_WINDOW_MM, half - _FROM_EDGE_MM - spare
    runs = tuple(tuple((sign * x, float(line.at(np.array(sign * x)))) for x in (first, last)) for sign in (1.0, -1.0))
    return drawing(Path(runs, Role.MARK, "bridge-line"))


def engraved_lines(workup: Workup, lines: Sequence[str], top: float, foot: float, half: float) -> Drawing:
    """Lines on the bass side of the centreline from ``top`` on; on the other side which side that is, and the date.

    Their places follow the instrument's hand. Raises `DoesNotFit` where there is no room for them between ``top`` and
    ``foot``.
    """
    broken = broken_lines(lines, half - 2 * _WORDS_ASIDE_MM)
    level, step = top + _WORDS_BELOW_MM + SMALL, SMALL * LINE_STEP
    if level + (len(broken) - 1) * step > foot - _WORDS_ASIDE_MM:
        raise DoesNotFit(says.NO_ROOM_FOR_ENGRAVING)
    left, right = -half + _WORDS_ASIDE_MM, _WORDS_ASIDE_MM
    bass, treble = (left, right) if workup.instrument.head.hand == "right" else (right, left)
    blank, below = treble + engraving.width_mm("date", SMALL) + 1.0, level + 2 * step
    return drawing(
        (Text((bass, level + n * step), line, SMALL) for n, line in enumerate(broken)),
        Text((treble, level), "treble", SMALL),
        Text((treble, below), "date", SMALL),
        Line((blank, below), (min(blank + _DATE_MM, treble + half - 2 * _WORDS_ASIDE_MM), below), Role.TICK, "date"),
    )


def words_along(workup: Workup, lines: Sequence[str], top: float, foot: float, half: float, name: str) -> Drawing:
    """Lines that run along the instrument between ``top`` and ``foot``: on the bass side what the part is, on the treble
    side the side's name and the date. Their places follow the instrument's hand.

    Raises `InputFaults` where they do not fit.
    """
    room, middle = foot - top - 2 * _WORDS_ASIDE_MM, (top + foot) / 2
    broken = broken_lines(lines, room)
    step, words = SMALL * LINE_STEP, "treble side    date"
    widest = max(
        *(engraving.width_mm(line, SMALL) for line in broken), engraving.width_mm(words, SMALL) + 1.0 + _DATE_MM
    )
    if len(broken) * step > half - _WORDS_ASIDE_MM or widest > room:
        raise says.no_room_for_engraving(name).refusal(Place(workup.instrument.source, key="name"))
    treble = 1.0 if workup.instrument.head.hand == "right" else -1.0
    first = -treble * half / 2 + (len(broken) - 1) * step / 2 - SMALL / 2
    date = treble * half / 2 - SMALL / 2
    blank = middle + (engraving.width_mm(words, SMALL) + 1.0 - _DATE_MM) / 2
    return drawing(
        (Text((first - n * step, middle), line, SMALL, Anchor.MIDDLE, 90.0) for n, line in enumerate(broken)),
        Text((date, blank - 1.0), words, SMALL, Anchor.END, 90.0),
        Line((date, blank), (date, blank + _DATE_MM), Role.TICK, "date"),
    )


def broken_lines(lines: Sequence[str], room: float) -> list[str]:
    """Lines to engrave, broken where they are wider than ``room``."""
    return [part for line in lines for part in wrapped(line, SMALL, room, engraving.width_mm)]


def centreline(windows: FloatArray, start: float, end: float) -> Drawing:
    """The centreline from ``start`` to ``end``, broken by the windows that lie on it."""
    over_middle = (windows[..., 0].min(axis=1) < 0) & (windows[..., 0].max(axis=1) > 0)
    feet = windows[over_middle][..., 1]
    levels = [start, *([float(feet.min()), float(feet.max())] if feet.size else []), end]
    runs = tuple(
        ((0.0, first + _MARK_GAP_MM), (0.0, last - _MARK_GAP_MM))
        for first, last in zip(levels[::2], levels[1::2], strict=True)
    )
    return drawing(Path(runs, Role.TICK, "centreline"))


def first_steps(cutter: Cutter, check: str) -> tuple[str, ...]:
    """True size first, then cutting; ``check`` is what to measure on the finished part."""
    kerf = f" ({cutter.kerf_mm:g} mm kerf allowed for)" if cutter.kerf_mm else ""
    return (
        "Paper: measure both rulers. If they are off, print again at 100%.",
        "Cut file: after import, the rectangle on GUIDE must measure 100 mm by 50 mm.",
        f"Cut along the wide lines, score the narrow ones{kerf}.",
        check,
    )


def comparing_step(workup: Workup) -> str:
    """What to do by ear when the bridge is in its place."""
    outer_strings = " and ".join(workup.instrument.string_in_words(n) for n in dict.fromkeys(workup.outer_strings))
    return f"Tune. On {outer_strings}, {comparing_in_words(workup)}."


def scale_in_words(workup: Workup) -> str:
    """The scale as it is engraved, its numbers kept with their units."""
    inches = format_inches(workup.scale_mm).replace(" ", "\N{NO-BREAK SPACE}")
    return f"scale {unbroken_mm(workup.scale_mm)} ({inches})"


def unbroken_mm(mm: float) -> str:
    """Millimetres that stay on one line."""
    return format_mm(mm).replace(" ", "\N{NO-BREAK SPACE}")
