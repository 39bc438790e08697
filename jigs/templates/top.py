"""The top template: puts the bridge on its line on an arched top, from the last fret or from the end of the board.

Cut from stock that bends: it lies over the step and the arch, and its marks allow for that, so that the line lands at the
true straight distance. Planned right-handed, y from the nut as it lies, and mirrored for a left-handed instrument.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine, feet_windows_mm
from geometry.lengths import format_mm, round_half_up
from jigs.cutting.cutter import Cutter
from jigs.cutting.parts import Corner, Part, closed_path
from jigs.drawing.items import Drawing, Line, Path, Role, drawing
from jigs.drawing.room import DoesNotFit, Room
from jigs.faults import old_refuse
from jigs.instrument.top_and_rim import board_end_mm
from jigs.templates import words as says
from jigs.templates.fork import facts
from jigs.templates.instructions import CUTTER_CAUTIONS, Free, words_below, words_beside
from jigs.templates.options import Options
from jigs.templates.stock import (
    centreline,
    feet_windows,
    finished,
    first_steps,
    in_room,
    line_marks,
    scale_in_words,
    words_along,
)
from jigs.templates.template import Lacks, Piece
from jigs.workup.board_edges import BoardEdges
from jigs.workup.on_the_top import laid_from_end_mm, laid_line, laid_mm, notches_mm, surface_of
from jigs.workup.words import heights_in_words
from jigs.workup.workup import Workup

BESIDE_FEET_MM = 14.0
BEFORE_FEET_MM = 10.0
BEHIND_FEET_MM = 8.0
BESIDE_STRINGS_MM = 6.0
FLARE_MM = 10.0
NOTCH_MARK_MM = 4.0
MOST_NOTCHES_OFF_MM = 10.0

LEGEND = (
    (Role.CUT, "cut here"),
    (Role.MARK, "scored: bridge line, where the crown stands"),
    (Role.TICK, "scored: centreline, and at the edges the f-holes' notches"),
    (Role.ENGRAVED, "engraved, in single strokes"),
)


@dataclass(frozen=True)
class Plan:
    """Every place of a top template, y from the nut as it lies."""

    datum_fret: int | None
    datum_mm: float
    stem_half: float
    half: float
    flare_mm: float
    corner_mm: float
    end_mm: float
    line: BridgeLine
    windows: FloatArray
    notches_mm: float | None


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The template on its page, with steps and cautions. Raises `DoesNotFit`, and what `part` raises."""
    plan, piece = _template(workup, options)
    placed, middle, down = in_room(piece.drawing, room)
    end = placed.bounds().bottom
    steps = _steps(workup, plan, options.cutter)
    free = Free(middle, plan.stem_half, down + plan.datum_mm, down + plan.flare_mm, end)
    try:
        words = words_below(end, room, steps, LEGEND, CUTTER_CAUTIONS)
    except DoesNotFit:
        words = words_beside(free, room, steps, LEGEND, CUTTER_CAUTIONS, "with its words")
    return Piece(placed + words, piece.document, piece.facts, notes=piece.notes)


def part(workup: Workup, options: Options) -> Piece:
    """The template alone, in the instrument's frame, kerf allowed for. Raises `Lacks` and `InputFaults`."""
    return _template(workup, options)[1]


def _template(workup: Workup, options: Options) -> tuple[Plan, Piece]:
    instrument, cutter = workup.instrument, options.cutter
    if instrument.head.kind == "banjo":
        raise Lacks(says.needs_an_arched_top(), of_kind=True)
    plan = _plan(workup, options)
    spare = NOTCH_MARK_MM if plan.notches_mm is not None else 0.0
    marks = drawing(
        centreline(plan.windows, plan.datum_mm, plan.end_mm),
        line_marks(plan.line, plan.windows, plan.half, spare),
        _notches(plan),
    )
    shape = Part(_outline(plan, cutter), feet_windows(plan.windows, cutter))
    bare = finished(workup, shape, marks, cutter, "top", _engraving(workup, plan))
    datum = "end of board" if plan.datum_fret is None else f"fret {plan.datum_fret}"
    document = f"Top, {datum}, {instrument.head.hand}-handed"
    return plan, Piece(bare, document, facts(workup), notes=(*_notches_note(workup), *_flat_note(workup)))


def _plan(workup: Workup, options: Options) -> Plan:
    instrument, cutter, bridge = workup.instrument, options.cutter, workup.instrument.bridge
    frets = instrument.head.frets
    fret = None if options.datum_end else options.datum_fret or frets
    if fret is not None and not 1 <= fret <= frets:
        raise old_refuse("--datum-fret", f"there is no fret {fret}; choose 1 to {frets}")
    if fret is None:
        if instrument.board.end is None:
            what = "is missing, and --datum-end counts on it; measure from the nut to the end of the board"
            raise old_refuse(instrument.source, what, "[board] end")
        datum = board_end_mm(instrument.head, instrument.board)
    else:
        datum = float(workup.from_nut_mm[fret - 1]) + instrument.head.fret_crown_width / 2
    from_end = fret is None
    face = laid_line(instrument, workup.face_line, from_end)
    windows = feet_windows_mm(face, bridge.length, bridge.thickness, bridge.feet, bridge.foot)
    reach, web = float(abs(windows[..., 0]).max()), cutter.web_mm
    corner = float(windows[..., 1].min()) - max(BEFORE_FEET_MM, web)
    stem = max(float(abs(workup.strings_at(datum)).max()) + BESIDE_STRINGS_MM, BoardEdges(workup).widest_at(datum))
    flare = corner - FLARE_MM
    if flare <= datum + FLARE_MM:
        what = "there is too little top between its datum and the bridge for a template; take the gauge or the fork"
        raise old_refuse(instrument.source, what, "top")
    notches = notches_mm(instrument)
    lay = laid_from_end_mm if from_end else laid_mm
    return Plan(
        datum_fret=fret,
        datum_mm=datum,
        stem_half=stem,
        half=max(reach + max(BESIDE_FEET_MM, web), stem),
        flare_mm=flare,
        corner_mm=corner,
        end_mm=float(windows[..., 1].max()) + max(BEHIND_FEET_MM, web),
        line=laid_line(instrument, workup.standing_line, from_end),
        windows=windows,
        notches_mm=None if notches is None else float(lay(instrument, np.array(notches))),
    )


def _outline(p: Plan, cutter: Cutter) -> Path:
    """From the datum's treble corner round; the datum edge is the working one."""
    r = cutter.corner_mm
    half = [
        Corner((p.stem_half, p.datum_mm)),
        Corner((p.stem_half, p.flare_mm), r),
        Corner((p.half, p.corner_mm), r),
        Corner((p.half, p.end_mm), r),
    ]
    return closed_path([*half, *(Corner((-c.at[0], c.at[1]), c.radius) for c in reversed(half))], "top-outline")


def _notches(p: Plan) -> Drawing:
    """The line between the f-holes' notches: scored at both edges, dashed across."""
    if p.notches_mm is None or not p.corner_mm < p.notches_mm < p.end_mm:
        return Drawing()
    last, y = p.half - 1.0, p.notches_mm
    runs = tuple(((sign * (last - NOTCH_MARK_MM + 1.0), y), (sign * last, y)) for sign in (1.0, -1.0))
    across = Line((-p.half, y), (p.half, y), Role.PROVISIONAL, "notch-line")
    return drawing(across, Path(runs, Role.TICK, "notches"))


def _engraving(workup: Workup, p: Plan) -> Drawing:
    datum = "end of the board" if p.datum_fret is None else f"bridge side of fret {p.datum_fret}"
    lines = (workup.instrument.name, scale_in_words(workup), f"edge: {datum}")
    return words_along(workup, lines, p.datum_mm, p.flare_mm, p.stem_half, "top")


def _notches_note(workup: Workup) -> tuple[str, ...]:
    """How far the bridge line and the f-holes' notches disagree, and which way; nothing where they were not measured."""
    notches = notches_mm(workup.instrument)
    if notches is None:
        return ()
    off = notches - workup.standing_line.centre_mm
    size = round_half_up(abs(off), 1)
    if size == "0.0":
        return ("The f-holes' notches lie on the bridge line.",)
    side = "tail" if off > 0 else "nut"
    if abs(off) > MOST_NOTCHES_OFF_MM:
        return (f"The f-holes' notches would lie {size} mm from the bridge line; measure from fret 12 to them again.",)
    return (
        f"The f-holes' notches lie {size} mm nearer the {side} than the bridge line; the frets, not the notches, say"
        " where it plays in tune.",
    )


def _flat_note(workup: Workup) -> tuple[str, ...]:
    """What the user should know before the page is printed."""
    if surface_of(workup.instrument) is not None:
        return ()
    return (
        "top: taken as flat and level with the board; measure [board] over_top, 10 mm of it cost half a millimetre",
    )


def _heights_in_words(workup: Workup) -> str:
    """What the marks allow for."""
    if surface_of(workup.instrument) is None:
        return (
            "Taken as flat and level with the board, because the file has no [board] over_top. Measure it: on a flat top a"
            " step of 10 mm costs half a millimetre."
        )
    return heights_in_words(workup) or "The top's heights in the file change nothing that can be seen."


def _steps(workup: Workup, p: Plan, cutter: Cutter) -> tuple[str, ...]:
    outer = " and ".join(workup.instrument.string_in_words(n) for n in dict.fromkeys(workup.outer))
    check = format_mm(float(p.line.at(np.array(0.0))) - p.datum_mm)
    edge = (
        "its straight edge against the end of the board, flat on the top"
        if p.datum_fret is None
        else f"its straight edge against the bridge side of fret {p.datum_fret}; let it fall from the board's end to the top"
    )
    return (
        *first_steps(
            cutter, "template", f"It must bend. Laid flat: {check} from edge to bridge line, along the centreline."
        ),
        "3 Slacken the strings a few at a time and take the bridge out. Lay the template under them:"
        f" {edge}. The centreline runs under the middle of the strings.",
        "4 Mark the window's corners with tape, not on the varnish. Take the template away, stand the bridge on the marks.",
        f"5 Tune, and compare the octave harmonic with the note fretted at fret 12 on {outer}.",
        *_notches_note(workup),
        _heights_in_words(workup),
    )
