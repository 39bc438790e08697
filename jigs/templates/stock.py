"""What the parts that are cut from stock share: finishing a part for the cutter, and laying it on its page."""

from dataclasses import replace

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine
from geometry.lengths import format_inches, format_mm
from jigs.cutting.cutter import Cutter
from jigs.cutting.engraving import all_engraved
from jigs.cutting.parts import Corner, CutError, CutPart, check, closed_path, compensated
from jigs.cutting.registration import crosses
from jigs.cutting.words import BLAMED, uncuttable
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Drawing, Path, Role, drawing
from jigs.drawing.room import DoesNotFit, Room, placed
from jigs.faults import Place
from jigs.templates import words as says
from jigs.templates.template import Piece
from jigs.workup.words import comparing_in_words
from jigs.workup.workup import Workup

_FROM_WINDOW_MM = 1.5
_FROM_EDGE_MM = 1.0
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
    return cut_out(workup, part, marks + (words or Drawing()), cutter, name, crossed)


def cut_out(workup: Workup, part: CutPart, on_it: Drawing, cutter: Cutter, name: str, crossed: bool = True) -> Drawing:
    """A part as it is given, with what is on it, else as `finished`; its crosses have the ids of its outline."""
    try:
        check(part, cutter.web_mm)
        lines = compensated(part, cutter.kerf_mm)
    except CutError as error:
        place = Place(workup.instrument.source, option=BLAMED[error.code])
        raise uncuttable(error, name).refusal(place) from None
    stroked = all_engraved(on_it)
    registered = crosses(part, stroked) if crossed else ()
    return drawing(lines, stroked, (replace(one, id=f"{part.outline.id}-{one.id}") for one in registered))


def on_page(piece: Piece, room: Room, said: Instructions) -> Piece:
    """The part in a room with its words, or where no room holds it, to be joined from pieces."""
    box = piece.drawing.bounds()
    reasons = says.large_part(box.width, box.height), says.part_over_ruler(box.width)
    try:
        return replace(piece, drawing=placed(piece.drawing, room, *reasons), said=said)
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


def centreline(windows: FloatArray, start: float, end: float, words: tuple[float, float] | None = None) -> Drawing:
    """The centreline from ``start`` to ``end``, broken by ``words`` before the windows, and by windows that lie on it."""
    over_middle = (windows[..., 0].min(axis=1) < 0) & (windows[..., 0].max(axis=1) > 0)
    feet = windows[over_middle][..., 1]
    breaks = [*(words or ()), *([float(feet.min()), float(feet.max())] if feet.size else [])]
    levels = [start, *breaks, end]
    runs = tuple(
        ((0.0, first + _MARK_GAP_MM), (0.0, last - _MARK_GAP_MM))
        for first, last in zip(levels[::2], levels[1::2], strict=True)
    )
    return drawing(Path(runs, Role.TICK, "centreline"))


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
