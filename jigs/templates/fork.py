"""The placement fork: a paper fork that puts a loose bridge where its line says.

Its stem lies under the strings, its top edge against the bridge side of the datum fret. Two legs pass on either side of the
bridge's feet, open towards the tail. Each leg shows where the nut side of the feet goes, and a scale of cents. The fork is
planned in fork_plan.py for a right-handed instrument and mirrored for a left-handed one. The steps beside it are in
fork_words.py.
"""

from contextlib import suppress
from dataclasses import replace

import numpy as np

from geometry.lengths import round_half_up
from jigs.drawing.items import (
    Anchor,
    Drawing,
    Item,
    Line,
    Path,
    Role,
    Text,
    drawing,
    paragraph,
    paragraph_height_mm,
)
from jigs.drawing.lettering import SMALL, kept_ends, wrapped
from jigs.drawing.room import DoesNotFit, Room, placed
from jigs.faults import Place
from jigs.templates import words as says
from jigs.templates.fork_plan import GAP, ForkPlan, Leg, grey_mm, level_mm, plan, shortest_mm
from jigs.templates.fork_words import fork_words, words_on_stem
from jigs.templates.names import printed_name
from jigs.templates.options import Options
from jigs.templates.template import Piece
from jigs.wording import signed, with_minus
from jigs.workup.workup import Workup

_TICK_MM = 2.5
_NUMBER_GAP_MM = 0.5
_MOST_NAME_LINES = 12


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The fork at the chosen datum fret, or at the lowest one from the octave's on that fits the room.

    If it fits from none, it is drawn from the last one, to be joined from pieces. Raises `InputFaults` for a datum fret that
    the instrument does not have.
    """
    frets = workup.instrument.head.frets
    if options.datum_fret is None:
        candidates = range(lowest_datum_fret(workup), frets + 1)
    elif 1 <= options.datum_fret <= frets:
        candidates = range(options.datum_fret, options.datum_fret + 1)
    else:
        raise says.no_such_fret(options.datum_fret, frets).refusal(Place(option="datum-fret"))
    for fret in candidates:
        if shortest_mm(workup, fret) > room.height:
            continue
        laid_out = plan(workup, fret, options.datum_over_fret, room, options.print_share)
        if laid_out.height > room.height:
            continue
        whole = _whole(workup, laid_out, options)
        reasons = says.long_fork(fret, laid_out.height), says.legs_over_ruler(fret)
        with suppress(DoesNotFit):
            return _piece(workup, laid_out, placed(whole, room, *reasons))
    beside = replace(room, width=room.beside_ruler)
    laid_out = plan(workup, fret, options.datum_over_fret, beside, options.print_share)
    return _piece(workup, laid_out, _whole(workup, laid_out, options), long=True)


def _piece(workup: Workup, laid_out: ForkPlan, filled: Drawing, long: bool = False) -> Piece:
    fret = laid_out.datum_fret
    document = f"Placement fork, fret {fret}, {workup.instrument.head.hand}-handed"
    said = fork_words(workup, fret, laid_out.datum_over_fret, laid_out.sure)
    return Piece(filled, document, facts(workup), said, long=long, datum_fret=fret)


def lowest_datum_fret(workup: Workup) -> int:
    """The first fret that a jig may lie against unless you choose another: the octave's, or the last of a short board."""
    return min(workup.instrument.octave_fret, workup.instrument.head.frets)


def facts(workup: Workup) -> str:
    """Crown line and slant for the title block."""
    treble, bass = (round_half_up(place, 1) for place in workup.outer_places_mm)
    line = "Crown line" if workup.found is None else "Found line"
    return f"{line} {treble} / {bass} mm, slant {with_minus(workup.line.slant_deg, 1)}°"


def _whole(workup: Workup, p: ForkPlan, options: Options) -> Drawing:
    """The fork for the instrument's hand, y from the nut."""
    drawn = _right_handed(workup, p, options)
    return drawn.mirrored() if workup.instrument.head.hand == "left" else drawn


def _right_handed(workup: Workup, p: ForkPlan, options: Options) -> Drawing:
    """The fork itself, right-handed, y from the nut."""
    stem, inner, outside = p.stem_half, p.inner, p.outside
    outline = (
        (stem, p.datum_mm),
        (stem, p.shoulder_mm),
        (outside, p.corner_mm),
        (outside, p.end_mm),
        (inner, p.end_mm),
        (inner, p.window_mm),
        (-inner, p.window_mm),
        (-inner, p.end_mm),
        (-outside, p.end_mm),
        (-outside, p.corner_mm),
        (-stem, p.shoulder_mm),
        (-stem, p.datum_mm),
    )
    head, head_foot = _head(workup, p, options)
    levels = [((x, p.theoretical.centre_mm) for x in _lines_of(leg)) for leg in p.legs]
    return drawing(
        Path((outline,), Role.CUT, "fork-outline"),
        Line((-stem, p.datum_mm), (stem, p.datum_mm), Role.CUT, "datum"),
        _band(p),
        head,
        Line((0.0, head_foot), (0.0, p.window_mm), Role.CENTRE, "centreline"),
        _string_lines(workup, head_foot, p.window_mm - GAP),
        Path(tuple(_over(leg, p, 0) for leg in p.legs), Role.MARK, "bridge-line"),
        Path(tuple(tuple(ends) for ends in levels), Role.PROVISIONAL, "bridge-theoretical"),
        _feet(p),
        *(_leg(p, leg) for leg in p.legs),
    )


def _head(workup: Workup, p: ForkPlan, options: Options) -> tuple[Drawing, float]:
    """Words at the top of the stem, and where they end."""
    room = 2 * p.stem_half - 2 * GAP
    lines = [
        *wrapped(words_on_stem(p.datum_fret, p.datum_over_fret), SMALL, room),
        *kept_ends(printed_name(workup, options.stem), SMALL, room, _MOST_NAME_LINES),
    ]
    words = paragraph(lines, 0.0, p.datum_mm + GAP, SMALL, Anchor.MIDDLE)
    return words, p.datum_mm + 2.5 * GAP + paragraph_height_mm(len(lines), SMALL)


def _string_lines(workup: Workup, top: float, foot: float) -> Drawing:
    """A line under each string, two for a pair."""
    return Drawing(
        tuple(
            Path(workup.string_runs(n, top, foot), Role.FINE, f"string-{n + 1}")
            for n in range(len(workup.instrument.strings))
        )
    )


def _feet(p: ForkPlan) -> Drawing:
    """Outline of the feet between the legs, on the paper that is cut out there."""
    run = tuple((float(x), float(y)) for x, y in p.feet)
    return drawing(
        Path((run,), Role.FINE, "bridge-window", closed=True),
        paragraph(p.feet_words, 0.0, p.feet_words_mm, SMALL, Anchor.MIDDLE),
    )


def _lines_of(leg: Leg) -> tuple[float, float]:
    """Where the lines of a leg end: at its inner edge, and before its numbers. On the treble leg the outer end is first."""
    ends = leg.scale.inner_mm, leg.lines_end
    return ends if leg.scale.inner_mm < 0 else (ends[1], ends[0])


def _over(leg: Leg, p: ForkPlan, cents: int) -> tuple[tuple[float, float], tuple[float, float]]:
    """The line for a reading, over the leg."""
    first, last = ((x, level_mm(leg.scale, p.face, cents, x)) for x in _lines_of(leg))
    return first, last


def _band(p: ForkPlan) -> Drawing:
    """Where the line may lie, 95 times in 100: grey behind its mark."""
    items = []
    for leg in p.legs:
        across = np.array(_lines_of(leg))
        line, half = p.face.at(across), grey_mm(p.sure, across)
        upper, lower = (list(zip(across.tolist(), y.tolist(), strict=True)) for y in (line - half, line + half))
        if half.all():
            items.append(Path(((*upper, *reversed(lower)),), Role.BAND, f"band-{leg.scale.end}", closed=True))
    return Drawing(tuple(items))


def _leg(p: ForkPlan, leg: Leg) -> Drawing:
    """Words and scale on one leg: numbered lines from the feet on, the others beside the numbers."""
    scale, outward = leg.scale, 1.0 if leg.scale.inner_mm > 0 else -1.0
    numbered = [cents for cents, _ in leg.numbers]
    items: list[Item] = []
    for cents in scale.ticks:
        first = scale.inner_mm if cents in numbered else leg.lines_end - outward * _TICK_MM
        start, end = ((x, level_mm(scale, p.face, cents, x)) for x in (first, leg.lines_end))
        items.append(Line(start, end, Role.TICK, f"cents-{scale.end}-{cents}"))
    at, anchor = leg.lines_end + outward * _NUMBER_GAP_MM, Anchor.START if outward > 0 else Anchor.END
    height = paragraph_height_mm(len(leg.words), SMALL)
    return drawing(
        items,
        (Text((at, base), signed(cents, 0) if cents else "0", SMALL, anchor) for cents, base in leg.numbers),
        Text((leg.middle, leg.name_top_mm), scale.end, leg.name_mm, Anchor.MIDDLE),
        paragraph(leg.words, leg.middle, leg.top_mm - GAP - height, SMALL, Anchor.MIDDLE),
    )
