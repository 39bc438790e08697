"""The placement fork: a paper fork that puts a loose bridge where its line says.

Its stem lies under the strings, its top edge against the bridge side of the datum fret. Two legs pass on either side of the
bridge's feet, open towards the tail. Each leg shows where the nut side of the feet goes, and a scale of cents. The fork is
planned in fork_plan.py for a right-handed instrument and mirrored for a left-handed one. The steps beside it are in
fork_words.py.
"""

from contextlib import suppress

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
from jigs.drawing.lettering import DESCENT_PER_CAPITAL, MEDIUM, SMALL, shortened, wrapped
from jigs.drawing.room import DoesNotFit, Room, placed
from jigs.faults import Place
from jigs.templates import words as says
from jigs.templates.fork_plan import GAP, ForkPlan, grey_mm, plan
from jigs.templates.fork_words import fork_words
from jigs.templates.names import printed_name
from jigs.templates.options import Options
from jigs.templates.template import Piece
from jigs.wording import signed, with_minus
from jigs.workup.cents_scale import CentsScale
from jigs.workup.workup import Workup

_NUMBER_AT = 6.2
_NUMBER_END = 14.5
_BAND_AT, _BAND_GAP = 5.6, 0.5
_LINE_GAP = SMALL * DESCENT_PER_CAPITAL + 0.1


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The fork at the chosen datum fret, or at the lowest one from the octave's on that fits the room.

    If it fits from none, it is drawn from the last one, to be joined from pieces. Raises `DoesNotFit`, and `InputFaults` for
    a datum fret that the instrument does not have.
    """
    frets = workup.instrument.head.frets
    if options.datum_fret is None:
        candidates = range(lowest_datum_fret(workup), frets + 1)
    elif 1 <= options.datum_fret <= frets:
        candidates = range(options.datum_fret, options.datum_fret + 1)
    else:
        raise says.no_such_fret(options.datum_fret, frets).refusal(Place(option="datum-fret"))
    for fret in candidates:
        laid_out = plan(workup, fret, options.datum_over_fret, room, options.print_share)
        whole = _whole(workup, laid_out, options)
        reasons = says.long_fork(fret, laid_out.height), says.legs_over_ruler(fret)
        with suppress(DoesNotFit):
            return _piece(workup, laid_out, placed(whole, room, *reasons)[0])
    return _piece(workup, laid_out, whole, long=True)


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
    """The fork for the instrument's hand, y from the nut. Raises `DoesNotFit`."""
    if p.stem_half > p.outside:
        raise DoesNotFit(says.WIDE_STRINGS)
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
    out_treble, in_treble, in_bass, out_bass = (
        (x, float(p.face.at(np.array(x)))) for x in (outside, inner, -inner, -outside)
    )
    dashed = p.theoretical.centre_mm
    treble_dash, bass_dash = (inner + _clear_of_numbers(p, scale, dashed) for scale in p.scales)
    return drawing(
        Path((outline,), Role.CUT, "fork-outline"),
        Line((-stem, p.datum_mm), (stem, p.datum_mm), Role.CUT, "datum"),
        _band(p),
        head,
        Line((0.0, head_foot), (0.0, p.window_mm), Role.CENTRE, "centreline"),
        _string_lines(workup, head_foot, p.window_mm - GAP),
        Path(((out_treble, in_treble), (in_bass, out_bass)), Role.MARK, "bridge-line"),
        Path(
            (((outside, dashed), (treble_dash, dashed)), ((-bass_dash, dashed), (-outside, dashed))),
            Role.PROVISIONAL,
            "bridge-theoretical",
        ),
        _feet(p),
        *(_leg(p, scale, words) for scale, words in zip(p.scales, p.top_words, strict=True)),
    )


def _head(workup: Workup, p: ForkPlan, options: Options) -> tuple[Drawing, float]:
    """Words at the top of the stem, and where they end."""
    where = "over the middle" if p.datum_over_fret else "against the bridge side"
    room = 2 * p.stem_half - 2 * GAP
    lines = [
        shortened(line, SMALL, room)
        for text in (f"This edge {where} of fret {p.datum_fret}", printed_name(workup, options.stem))
        for line in wrapped(text, SMALL, room)
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
        Path((run,), Role.PROVISIONAL, "bridge-window", closed=True),
        paragraph(p.feet_words, 0.0, p.feet_words_mm, SMALL, Anchor.MIDDLE),
    )


def _band(p: ForkPlan) -> Drawing:
    """Where the line may lie, 95 times in 100: grey behind its mark, not behind the numbers."""
    items = []
    for end, sign in (("treble", 1.0), ("bass", -1.0)):
        runs = []
        for first, last in ((p.inner, p.inner + _BAND_AT), (p.inner + _NUMBER_END + _BAND_GAP, p.outside)):
            across = sign * np.array([first, last])
            line, half = p.face.at(across), grey_mm(p.sure, across)
            upper, lower = (list(zip(across.tolist(), y.tolist(), strict=True)) for y in (line - half, line + half))
            if last > first and half.all():
                runs.append((*upper, *reversed(lower)))
        if runs:
            items.append(Path(tuple(runs), Role.BAND, f"band-{end}", closed=True))
    return Drawing(tuple(items))


def _number_base(p: ForkPlan, scale: CentsScale, cents: int) -> float:
    """Base line of a tick's number: beside the tick, and clear of the bridge line."""
    outward = 1.0 if scale.inner_mm > 0 else -1.0
    ends = scale.inner_mm + outward * np.array([_NUMBER_AT, _NUMBER_END])
    beside = scale.place_mm(cents) + SMALL / 2
    if cents < 0:
        return min(beside, float(p.face.at(ends).min()) - _LINE_GAP)
    return max(beside, float(p.face.at(ends).max()) + 0.5 + SMALL)


def _clear_of_numbers(p: ForkPlan, scale: CentsScale, level_mm: float) -> float:
    """How far from the leg's inner edge a line at this level may begin without touching a number."""
    bases = [_number_base(p, scale, sign * cents) for cents in scale.numbered for sign in (-1, 1)]
    touches = any(base - SMALL - 0.3 < level_mm < base + _LINE_GAP for base in bases)
    return _NUMBER_END if touches else _NUMBER_AT


def _leg(p: ForkPlan, scale: CentsScale, words: tuple[str, ...]) -> Drawing:
    """Words and scale on one leg."""
    outward = 1.0 if scale.inner_mm > 0 else -1.0
    middle = outward * (p.inner + p.outside) / 2
    anchor = Anchor.START if outward > 0 else Anchor.END
    items: list[Item] = []
    for cents in scale.ticks:
        y = scale.place_mm(cents)
        numbered = abs(cents) in scale.numbered
        end = scale.inner_mm + outward * (5.0 if numbered else 3.2)
        items.append(Line((scale.inner_mm, y), (end, y), Role.TICK, f"cents-{scale.end}-{cents}"))
        if numbered:
            number = signed(cents, 0)
            at = (scale.inner_mm + outward * _NUMBER_AT, _number_base(p, scale, cents))
            items.append(Text(at, number, SMALL, anchor))
    top = p.scale_top_mm - GAP - paragraph_height_mm(len(words), SMALL)
    return drawing(
        items,
        Text((middle, top - GAP), scale.end, MEDIUM, Anchor.MIDDLE),
        paragraph(words, middle, top, SMALL, Anchor.MIDDLE),
        paragraph(p.foot_words, middle, p.scale_foot_mm + GAP, SMALL, Anchor.MIDDLE),
    )
