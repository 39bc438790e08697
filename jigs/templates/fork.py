"""The placement fork: a paper fork that puts a loose bridge where its line says.

Its stem lies under the strings, its top edge against the bridge side of the datum fret; two legs pass either
side of the bridge's feet, open towards the tail. Each leg bears the place of the feet's nut side and a scale
of cents. The piece is planned in the frame of a right-handed instrument (y from the nut, x to the treble side)
and mirrored for a left-handed one.
"""

from dataclasses import dataclass

import numpy as np

from geometry.bridge import BridgeLine, end_movement_factor, feet_outline_mm, nut_places_mm
from geometry.lengths import round_half_up
from jigs.drawing import (
    Anchor,
    Box,
    Drawing,
    Item,
    Line,
    Path,
    Role,
    Text,
    drawing,
    paragraph,
    paragraph_height_mm,
    strokes,
)
from jigs.faults import refuse
from jigs.lettering import LINE_STEP, MEDIUM, SMALL, width_mm, wrapped
from jigs.paper import Room
from jigs.templates import DoesNotFit, Options, Piece
from jigs.workup import Workup

LOWEST_DATUM_FRET = 12
FARTHEST_CENTS = 15
CENTS_STEPS = (1, 2, 5)
LEAST_TICK_GAP_MM = 0.8
LEAST_NUMBER_GAP_MM = 3.6

FEET_CLEARANCE_MM = 1.5
TRAVEL_CLEARANCE_MM = 4.0
STRING_CLEARANCE_MM = 4.0
SHOULDER_MM = 10.0
CROSSBAR_MM = 5.0
LEG_WIDTHS_MM = (16.0, 28.0)
LEAST_NOTE_WIDTH_MM = 35.0
_GAP = 1.8
_NUMBER_AT = 6.2
_NUMBER_END = 14.5
_NOTE_GAP = 6.0


@dataclass(frozen=True)
class CentsScale:
    """The scale on one leg: ``mm_per_cent`` at the leg's inner edge, a tick every ``step`` cents."""

    end: str
    string: int
    inner_mm: float
    mark_mm: float
    mm_per_cent: float

    @property
    def step(self) -> int:
        """The finest step that keeps ticks apart."""
        apart = (s for s in CENTS_STEPS if s * self.mm_per_cent >= LEAST_TICK_GAP_MM)
        return next(apart, CENTS_STEPS[-1])

    @property
    def ticks(self) -> list[int]:
        """Signed cents of every tick, the mark left out."""
        up = range(self.step, FARTHEST_CENTS + 1, self.step)
        return [sign * cents for cents in up for sign in (-1, 1)]

    def place_mm(self, cents: float) -> float:
        """Where the end stands for a reading: sharp is away from the nut."""
        return self.mark_mm + cents * self.mm_per_cent

    @property
    def numbered(self) -> tuple[int, ...]:
        """Cents that bear a number: the fives where they keep apart and have a tick, else ten alone."""
        fives_fit = 5 * self.mm_per_cent >= LEAST_NUMBER_GAP_MM and 5 % self.step == 0
        return (5, 10, 15) if fives_fit else (10,)


@dataclass(frozen=True)
class Plan:
    """Every place of a fork, y from the nut and x from the centreline, in mm."""

    datum_fret: int
    datum_over_fret: bool
    datum_mm: float
    stem_half: float
    inner: float
    outer: float
    shoulder_mm: float
    corner_mm: float
    window_mm: float
    scale_top_mm: float
    scale_foot_mm: float
    end_mm: float
    face: BridgeLine
    theoretical: BridgeLine
    scales: tuple[CentsScale, CentsScale]
    flat_words: tuple[str, ...]
    sharp_words: tuple[str, ...]

    @property
    def height(self) -> float:
        """From the datum to the ends of the legs."""
        return self.end_mm - self.datum_mm


def draw(workup: Workup, room: Room, options: Options) -> Piece:
    """The fork at the chosen datum fret, or at the lowest one from fret 12 on that fits the room.

    Raises `DoesNotFit`, and `InputFaults` for a datum fret that the instrument does not have.
    """
    frets = workup.instrument.head.frets
    if options.datum_fret is None:
        candidates = range(LOWEST_DATUM_FRET, frets + 1)
    elif 1 <= options.datum_fret <= frets:
        candidates = range(options.datum_fret, options.datum_fret + 1)
    else:
        raise refuse("--datum-fret", f"there is no fret {options.datum_fret}; choose 1 to {frets}")
    reasons = []
    for fret in candidates:
        laid_out = plan(workup, fret, options.datum_over_fret, room)
        try:
            return Piece(
                _fill(workup, laid_out, room),
                f"Placement fork, fret {fret}, {workup.instrument.head.hand}-handed",
                _facts(workup),
            )
        except DoesNotFit as reason:
            reasons.append(str(reason))
    raise DoesNotFit(reasons[-1])


def plan(workup: Workup, datum_fret: int, datum_over_fret: bool, room: Room) -> Plan:
    """Work out every place of the fork."""
    instrument = workup.instrument
    inner = instrument.bridge.length / 2 + FEET_CLEARANCE_MM
    leg = min(max(room.width / 2 - inner, LEG_WIDTHS_MM[0]), LEG_WIDTHS_MM[1])
    datum = float(workup.from_nut_mm[datum_fret - 1])
    if not datum_over_fret:
        datum += instrument.head.fret_crown_width / 2
    face = workup.face_line
    theoretical = BridgeLine(workup.scale_mm, 0.0).shifted(instrument.bridge.face_mm)
    scales = (_scale(workup, "treble", inner, face), _scale(workup, "bass", -inner, face))

    flat = _leg_words(("fretted flat: ↑\N{NO-BREAK SPACE}to the nut", "(cents)"), leg)
    sharp = _leg_words(("fretted sharp: ↓\N{NO-BREAK SPACE}to the tail",), leg)
    reach = [s.place_mm(sign * FARTHEST_CENTS) for s in scales for sign in (-1, 1)]
    marks = [float(y) for y in face.at(np.array([-inner - leg, inner + leg]))]
    top = min(*reach, *marks, theoretical.centre_mm) - SMALL / 2
    foot = max(*reach, *marks, theoretical.centre_mm) + SMALL / 2
    corner = top - 4 * _GAP - paragraph_height_mm(len(flat), SMALL) - SMALL - MEDIUM
    window = min(reach) - TRAVEL_CLEARANCE_MM
    words_below = paragraph_height_mm(len(sharp), SMALL) + 2.5 * _GAP
    return Plan(
        datum_fret=datum_fret,
        datum_over_fret=datum_over_fret,
        datum_mm=datum,
        stem_half=max(instrument.bridge.spacing, instrument.nut.spacing) / 2 + STRING_CLEARANCE_MM,
        inner=inner,
        outer=inner + leg,
        shoulder_mm=min(corner, window - CROSSBAR_MM) - SHOULDER_MM,
        corner_mm=min(corner, window - CROSSBAR_MM),
        window_mm=window,
        scale_top_mm=top,
        scale_foot_mm=foot,
        end_mm=foot + words_below,
        face=face,
        theoretical=theoretical,
        scales=scales,
        flat_words=flat,
        sharp_words=sharp,
    )


def _scale(workup: Workup, end: str, inner: float, face: BridgeLine) -> CentsScale:
    """One end is moved while the other leg's end is held."""
    string = workup.outer[0 if end == "treble" else 1]
    factor = end_movement_factor(float(workup.across_mm[string]), inner, -inner)
    per_cent = factor / abs(float(workup.cents_per_mm[string]))
    return CentsScale(end, string + 1, inner, float(face.at(np.array(inner))), per_cent)


def _leg_words(lines: tuple[str, ...], leg: float) -> tuple[str, ...]:
    return tuple(part for line in lines for part in wrapped(line, SMALL, leg - 1.6))


def _facts(workup: Workup) -> str:
    treble, bass = (round_half_up(place, 1) for place in workup.outer_places_mm)
    return f"Bridge {treble} / {bass} mm, slant {round_half_up(workup.line.slant_deg, 1)}°"


def _fill(workup: Workup, laid_out: Plan, room: Room) -> Drawing:
    """Fork and notes in their room. Raises `DoesNotFit`."""
    if 2 * laid_out.outer > room.width:
        raise DoesNotFit(f"a fork round this bridge is {2 * laid_out.outer:.0f} mm wide")
    if laid_out.height > room.height:
        raise DoesNotFit(f"from fret {laid_out.datum_fret} the fork is {laid_out.height:.0f} mm long")
    corner = Box(room.width - room.corner_width, 0.0, room.width, room.corner_height)
    piece = _piece(workup, laid_out)
    if workup.instrument.head.hand == "left":
        piece = piece.mirrored()
    down = min((room.height - laid_out.height) / 2, _NOTE_GAP)
    piece = piece.shifted(room.width / 2, down - laid_out.datum_mm)
    if any(box.overlaps(corner, 1.0) for item in piece for box in strokes(item)):
        raise DoesNotFit("fork and ruler would lie over each other")
    return piece + _notes(laid_out, _steps(workup, laid_out), room, down)


def _piece(workup: Workup, p: Plan) -> Drawing:
    """The fork itself, right-handed, y from the nut."""
    stem, inner, outer = p.stem_half, p.inner, p.outer
    outline = (
        (stem, p.datum_mm),
        (stem, p.shoulder_mm),
        (outer, p.corner_mm),
        (outer, p.end_mm),
        (inner, p.end_mm),
        (inner, p.window_mm),
        (-inner, p.window_mm),
        (-inner, p.end_mm),
        (-outer, p.end_mm),
        (-outer, p.corner_mm),
        (-stem, p.shoulder_mm),
        (-stem, p.datum_mm),
    )
    head, head_foot = _head(workup, p)
    left, right = p.face.at(np.array([-outer, outer])).tolist()
    dashed = p.theoretical.centre_mm
    treble_dash, bass_dash = (inner + _clear_of_numbers(scale, dashed) for scale in p.scales)
    return drawing(
        Path((outline,), Role.CUT, "fork-outline"),
        Line((-stem, p.datum_mm), (stem, p.datum_mm), Role.CUT, "datum"),
        head,
        Line((0.0, head_foot), (0.0, p.window_mm), Role.CENTRE, "centreline"),
        _string_lines(workup, head_foot, p.window_mm - _GAP),
        Line((-outer, left), (outer, right), Role.MARK, "bridge-line"),
        Path(
            (((treble_dash, dashed), (outer, dashed)), ((-outer, dashed), (-bass_dash, dashed))),
            Role.PROVISIONAL,
            "bridge-theoretical",
        ),
        _feet(workup, p),
        *(_leg(workup, p, scale) for scale in p.scales),
    )


def _head(workup: Workup, p: Plan) -> tuple[Drawing, float]:
    """Words at the top of the stem, and where they end."""
    where = "over the middle" if p.datum_over_fret else "against the bridge side"
    room = 2 * p.stem_half - 2 * _GAP
    lines = [
        *wrapped(f"This edge {where} of fret {p.datum_fret}", SMALL, room),
        *wrapped(workup.instrument.name, SMALL, room),
    ]
    words = paragraph(lines, 0.0, p.datum_mm + _GAP, SMALL, Anchor.MIDDLE)
    return words, p.datum_mm + 2.5 * _GAP + paragraph_height_mm(len(lines), SMALL)


def _string_lines(workup: Workup, top: float, foot: float) -> Drawing:
    """A line under each string, two for a pair."""
    instrument = workup.instrument
    at_nut = nut_places_mm(instrument.stringing.full_length, instrument.nut.spacing)
    items: list[Item] = []
    for n, (entry, nut, bridge) in enumerate(zip(instrument.strings, at_nut, workup.across_mm, strict=True), 1):
        runs = []
        for side in (-0.5, 0.5) if entry.pair else (0.0,):
            start, end = nut + side * instrument.nut.pair_gap, bridge + side * instrument.bridge.pair_gap
            at = [float(start + (end - start) * y / workup.scale_mm) for y in (top, foot)]
            runs.append(((at[0], top), (at[1], foot)))
        items.append(Path(tuple(runs), Role.FINE, f"string-{n}"))
    return Drawing(tuple(items))


def _feet(workup: Workup, p: Plan) -> Drawing:
    """Outline of the feet between the legs; it falls away with the paper there."""
    bridge = workup.instrument.bridge
    corners = feet_outline_mm(p.face, bridge.length, bridge.thickness)
    mean = corners.mean(axis=0)
    words = "the bridge's feet stand here"
    run = tuple((float(x), float(y)) for x, y in corners)
    below = float(corners[:, 1].max()) + _GAP + SMALL
    return drawing(
        Path((run,), Role.PROVISIONAL, "bridge-window", closed=True),
        Text((float(mean[0]), below), words, SMALL, Anchor.MIDDLE),
    )


def _clear_of_numbers(scale: CentsScale, level_mm: float) -> float:
    """How far from the leg's inner edge a line at this level may begin without touching a number."""
    places = [scale.place_mm(sign * cents) for cents in scale.numbered for sign in (-1, 1)]
    return _NUMBER_END if any(abs(level_mm - place) < SMALL for place in places) else _NUMBER_AT


def _leg(workup: Workup, p: Plan, scale: CentsScale) -> Drawing:
    """Words and scale on one leg."""
    outward = 1.0 if scale.inner_mm > 0 else -1.0
    middle = outward * (p.inner + p.outer) / 2
    anchor = Anchor.START if outward > 0 else Anchor.END
    note = workup.instrument.strings[scale.string - 1].note
    name = f"string {scale.string} {note}"
    if width_mm(name, SMALL) > p.outer - p.inner - 2.0:
        name = f"{scale.string}: {note}"
    items: list[Item] = []
    for cents in scale.ticks:
        y = scale.place_mm(cents)
        numbered = abs(cents) in scale.numbered
        end = scale.inner_mm + outward * (5.0 if numbered else 3.2)
        items.append(Line((scale.inner_mm, y), (end, y), Role.TICK, f"cents-{scale.end}-{cents}"))
        if numbered:
            words = f"{'+' if cents > 0 else '−'}{abs(cents)}"
            items.append(Text((scale.inner_mm + outward * _NUMBER_AT, y + SMALL / 2), words, SMALL, anchor))
    flat_top = p.scale_top_mm - _GAP - paragraph_height_mm(len(p.flat_words), SMALL)
    return drawing(
        items,
        paragraph(p.flat_words, middle, flat_top, SMALL, Anchor.MIDDLE),
        paragraph(p.sharp_words, middle, p.scale_foot_mm + _GAP, SMALL, Anchor.MIDDLE),
        Text((middle, flat_top - 2 * _GAP - SMALL), scale.end, MEDIUM, Anchor.MIDDLE),
        Text((middle, flat_top - _GAP), name, SMALL, Anchor.MIDDLE),
    )


def _notes(p: Plan, steps: tuple[str, ...], room: Room, top: float) -> Drawing:
    """Steps left of the stem; line samples and cautions right of it. Raises `DoesNotFit`."""
    beside = room.width / 2 - p.stem_half - _NOTE_GAP
    right = room.width / 2 + p.stem_half + _NOTE_GAP
    widths = (beside, room.width - room.corner_width - 2.0 - right)
    if min(widths) < LEAST_NOTE_WIDTH_MM:
        raise DoesNotFit("there is no room for the steps beside the fork")
    legend = _legend(right, top, widths[1])
    notes = drawing(
        _blocks(steps, 0.0, top, widths[0]),
        legend,
    )
    cautions_top = notes_foot(legend) + 2.0 * SMALL
    notes += _blocks(CAUTIONS, right, cautions_top, widths[1])
    if notes_foot(notes) > top + p.shoulder_mm - p.datum_mm:
        raise DoesNotFit("there is no room for the steps beside the fork")
    return notes


def notes_foot(notes: Drawing) -> float:
    """Where a drawing ends, down the sheet."""
    return notes.bounds().bottom


def _blocks(texts: tuple[str, ...], left: float, top: float, width: float) -> Drawing:
    """Paragraphs below each other."""
    blocks = Drawing()
    for text in texts:
        lines = wrapped(text, SMALL, width)
        blocks += paragraph(lines, left, top, SMALL)
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 0.35)
    return blocks


def _signed(cents: float) -> str:
    text = round_half_up(cents, 1)
    return text if text == "0.0" or cents < 0 else f"+{text}"


def _steps(workup: Workup, p: Plan) -> tuple[str, ...]:
    left = [_signed(float(workup.left_cents[n])) for n in workup.outer]
    meant = ""
    if set(left) != {"0.0"}:
        meant = (
            f" On its line this bridge leaves {left[0]} cents on string {workup.outer[0] + 1} and {left[1]} on string"
            f" {workup.outer[1] + 1}: that is meant, aim there."
        )
    where = "over the middle" if p.datum_over_fret else "against the bridge side"
    return (
        "1 Measure both rulers. If they are off, print again at actual size, 100 %.",
        "2 Cut the fork out along the wide lines.",
        f"3 Slide it under the strings from the nut side, its top edge {where} of fret {p.datum_fret}.",
        "4 Hold the bridge low, at both ends, and move it until the nut side of its feet meets the line on both legs.",
        "5 Tune. On each outer string compare the octave harmonic with the note fretted at fret 12. Move that end by"
        " as many cents as the fretted note is off, hold the other end still, and check the first string again."
        + meant,
    )


CAUTIONS = (
    "Strings are under tension: keep your eyes away, slacken before prising anything.",
    "Never take off all strings at once: the bridge would fall.",
    "Cut towards nothing you value.",
    "Workshop rules and local codes come first. A valuable or old instrument: ask a qualified repairer.",
)
"""What people in this trade expect to read; common practice, no source."""


def _legend(left: float, top: float, width: float) -> Drawing:
    """A sample of each line, and what it means."""
    sample, legend = 9.0, Drawing()
    for role, text in (
        (Role.CUT, "cut here"),
        (Role.MARK, "nut side of the feet"),
        (Role.PROVISIONAL, "the same without compensation"),
        (Role.CENTRE, "centreline"),
    ):
        lines = wrapped(text, SMALL, width - sample - 2.0)
        legend += drawing(
            Line((left, top + SMALL / 2), (left + sample, top + SMALL / 2), role),
            paragraph(lines, left + sample + 2.0, top, SMALL),
        )
        top += paragraph_height_mm(len(lines), SMALL) + SMALL * (LINE_STEP - 1)
    return legend
