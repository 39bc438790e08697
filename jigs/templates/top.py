"""The top template: puts the bridge on its line on an arched top, from the last fret or from the end of the board.

It is cut from stock that bends. It lies over the step and the arch, and its marks allow for that, so that the line lands at
the true straight distance. It is planned right-handed, y from the nut along the template, and mirrored for a left-handed
instrument.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine, feet_windows_mm
from geometry.lengths import format_mm, round_half_up
from jigs.cutting import engraving
from jigs.cutting.cutter import Cutter
from jigs.cutting.parts import Corner, CutPart, closed_path
from jigs.drawing.instructions import Instructions
from jigs.drawing.items import Anchor, Drawing, Path, Role, Text, drawing
from jigs.drawing.lettering import SMALL
from jigs.drawing.room import Room
from jigs.faults import Note, Place
from jigs.instrument.top_and_rim import board_end_mm
from jigs.templates import words as says
from jigs.templates.engravings import across, arrow
from jigs.templates.fork import facts
from jigs.templates.instructions import CUTTER_CAUTIONS, cutting
from jigs.templates.options import Options
from jigs.templates.stock import (
    centreline,
    comparing_step,
    feet_windows,
    finished,
    line_marks,
    on_page,
    scale_in_words,
)
from jigs.templates.template import Lacks, Piece
from jigs.workup.board_edges import BoardEdges
from jigs.workup.on_the_top import laid_from_end_mm, laid_line, laid_mm, notches_mm, surface_of
from jigs.workup.words import about_the_line, heights_in_words
from jigs.workup.workup import Workup

TITLE = "Top: stand the bridge here"
BESIDE_FEET_MM = 14.0
BEFORE_FEET_MM = 10.0
BEHIND_FEET_MM = 8.0
BESIDE_STRINGS_MM = 6.0
FLARE_MM = 10.0
NOTCH_MARK_MM = 4.0
_FROM_EDGE_MM = 1.0
MOST_NOTCHES_OFF_MM = 10.0

TAILPIECE, F_HOLE = "tailpiece", "f-hole"


@dataclass(frozen=True)
class TopPlan:
    """Every place of a top template, y from the nut along the template. ``datum_fret`` None: the end of the board."""

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

    @property
    def shows_notches(self) -> bool:
        """Whether the f-holes' notches lie beside its feet."""
        return self.notches_mm is not None and self.corner_mm < self.notches_mm < self.end_mm


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The template on its page, with steps and cautions. Raises what `part` raises."""
    plan, piece = _template(workup, options)
    on_the_sheet = (says.on_the_sheet(note) for note in _notches_note(workup))
    notes = (*on_the_sheet, *about_the_line(workup), _heights_in_words(workup))
    against = "against the end of the board" if plan.datum_fret is None else f"against fret {plan.datum_fret}"
    steps = _steps(workup, plan, options.cutter)
    return on_page(piece, room, Instructions(TITLE, against, steps, _legend(plan), notes, CUTTER_CAUTIONS))


def part(workup: Workup, options: Options) -> Piece:
    """The template alone, in the instrument's frame, kerf allowed for. Raises `Lacks` and `InputFaults`."""
    return _template(workup, options)[1]


def datum_fret(workup: Workup, options: Options) -> int | None:
    """The fret that the template lies against; None for the end of the board. Raises as `part` does."""
    return _plan(workup, options).datum_fret


def _template(workup: Workup, options: Options) -> tuple[TopPlan, Piece]:
    instrument, cutter = workup.instrument, options.cutter
    plan = _plan(workup, options)
    words, between = _engraving(workup, plan, options.stem)
    marks = drawing(
        centreline(plan.windows, plan.datum_mm, plan.end_mm, between),
        line_marks(plan.line, plan.windows, plan.half, NOTCH_MARK_MM if plan.shows_notches else 0.0),
        _notches(plan),
        _to_tailpiece(plan),
    )
    shape = CutPart(_outline(plan, cutter), feet_windows(plan.windows, cutter))
    bare = finished(workup, shape, marks, cutter, "top", words)
    datum = "end of board" if plan.datum_fret is None else f"fret {plan.datum_fret}"
    document = f"Top template, {datum}, {instrument.head.hand}-handed"
    left_off = () if words.items else (says.engraving_left_off("top template").note(),)
    return plan, Piece(bare, document, facts(workup), notes=(*_notes(workup), *left_off))


def _plan(workup: Workup, options: Options) -> TopPlan:
    instrument, cutter, bridge = workup.instrument, options.cutter, workup.instrument.bridge
    if instrument.head.kind == "banjo":
        raise Lacks(says.needs_an_arched_top(), of_kind=True)
    frets = instrument.head.frets
    fret = None if options.datum_end else options.datum_fret or frets
    if fret is not None and not 1 <= fret <= frets:
        raise says.no_such_fret(fret, frets).refusal(Place(option="datum-fret"))
    if fret is None:
        if instrument.board.end is None:
            raise says.end_of_board_missing().refusal(Place(instrument.source, "board", "end"))
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
        datum_place = (
            Place(instrument.source, "board", "end") if from_end else Place(instrument.source, option="datum-fret")
        )
        raise says.too_little_top().refusal(datum_place)
    notches = notches_mm(instrument)
    lay = laid_from_end_mm if from_end else laid_mm
    return TopPlan(
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


def _outline(p: TopPlan, cutter: Cutter) -> Path:
    """From the datum's treble corner round; the datum edge is the working one."""
    r = cutter.corner_mm
    half = [
        Corner((p.stem_half, p.datum_mm)),
        Corner((p.stem_half, p.flare_mm), r),
        Corner((p.half, p.corner_mm), r),
        Corner((p.half, p.end_mm), r),
    ]
    return closed_path([*half, *(Corner((-c.at[0], c.at[1]), c.radius) for c in reversed(half))], "top-outline")


def _notches(p: TopPlan) -> Drawing:
    """Where the f-holes' notches are: scored and named at both edges, and across the centreline where no window is."""
    if p.notches_mm is None or not p.shows_notches:
        return Drawing()
    y, last = p.notches_mm, p.half - _FROM_EDGE_MM
    runs = [((sign * (p.half - NOTCH_MARK_MM), y), (sign * last, y)) for sign in (1.0, -1.0)]
    if not any(box[:, 0].min() < 0 < box[:, 0].max() and box[:, 1].min() <= y <= box[:, 1].max() for box in p.windows):
        runs.append(((-NOTCH_MARK_MM / 2, y), (NOTCH_MARK_MM / 2, y)))
    names = []
    for sign, anchor in ((1.0, Anchor.END), (-1.0, Anchor.START)):
        below = y >= float(p.line.at(np.array(sign * last)))
        base = y + _FROM_EDGE_MM + SMALL if below else y - _FROM_EDGE_MM
        beside = last - engraving.width_mm(F_HOLE, SMALL) - float(abs(p.windows[..., 0]).max())
        if p.corner_mm + SMALL < base < p.end_mm - _FROM_EDGE_MM / 2 and beside > 0:
            names.append(Text((sign * last, base), F_HOLE, SMALL, anchor))
    return drawing(Path(tuple(runs), Role.TICK, "notches"), names)


def _to_tailpiece(p: TopPlan) -> Drawing:
    """An arrow at the centreline's end, and what it points at."""
    tip = p.end_mm - _FROM_EDGE_MM
    return drawing(arrow((0.0, tip), 1.0), Text((NOTCH_MARK_MM, tip - _FROM_EDGE_MM), TAILPIECE, SMALL))


def _legend(p: TopPlan) -> tuple[tuple[Role, str], ...]:
    """What the lines are that this template has."""
    notches = ", at the edges the f-holes' notches" if p.shows_notches else ""
    return (Role.CUT, "cut here"), (Role.TICK, f"score: centreline, crown line beside the base{notches}")


def _engraving(workup: Workup, p: TopPlan, stem: str) -> tuple[Drawing, tuple[float, float] | None]:
    datum = "end of the board" if p.datum_fret is None else f"bridge side of fret\N{NO-BREAK SPACE}{p.datum_fret}"
    lines = scale_in_words(workup), f"edge: {datum}"
    return across(workup, stem, lines, p.datum_mm, p.flare_mm, p.stem_half)


def _notes(workup: Workup) -> tuple[Note, ...]:
    return (*_notches_note(workup), *_flat_note(workup))


def _notches_note(workup: Workup) -> tuple[Note, ...]:
    """How far the bridge line and the f-holes' notches disagree, and which way; nothing where they were not measured."""
    notches = notches_mm(workup.instrument)
    if notches is None:
        return ()
    off = notches - workup.standing_line.centre_mm
    size = round_half_up(abs(off), 1)
    if size == "0.0":
        note = says.notches_on_line()
    elif abs(off) > MOST_NOTCHES_OFF_MM:
        note = says.notches_far_off(size, workup.instrument.octave_fret)
    else:
        note = says.notches_off(size, "tail" if off > 0 else "nut")
    return (note.note(Place(table="top", key="notches")),)


def _flat_note(workup: Workup) -> tuple[Note, ...]:
    """What the user should know before the page is printed."""
    if surface_of(workup.instrument) is not None:
        return ()
    return (says.top_taken_as_flat().note(Place(table="board", key="over_top")),)


def _heights_in_words(workup: Workup) -> str:
    """What the marks allow for."""
    if surface_of(workup.instrument) is None:
        return (
            "Computed for a flat top, level with the board. Measure how far below the board the top lies: a step of 10 mm"
            " costs half a millimetre."
        )
    return heights_in_words(workup) or "The measured heights of the top make no difference that can be seen."


def _steps(workup: Workup, p: TopPlan, cutter: Cutter) -> tuple[str, ...]:
    check = format_mm(float(p.line.at(np.array(0.0))) - p.datum_mm)
    edge = (
        "Put its straight edge against the end of the board, flat on the top."
        if p.datum_fret is None
        else f"Straight edge: against the bridge side of fret {p.datum_fret}. Let it fall onto the top."
    )
    return (
        *cutting(cutter),
        f"It must bend. Laid flat, edge to crown line on the centreline: {check}.",
        "Slacken the strings a few at a time. Take the bridge out.",
        "Lay the template under the strings, its centreline under their middle.",
        edge,
        "Mark the window's corners on low-tack tape, tried out of sight. Old varnish: none.",
        "Remove the template. Stand the bridge on the marks.",
        comparing_step(workup),
    )
