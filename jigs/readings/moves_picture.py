"""The advice as a picture: the bridge now and after the moves, from above, the nut at the top.

A move is a millimetre or two on a bridge of seventy, so the picture is larger along the neck than across, and says how much.
At that size a bridge's thickness would be seven centimetres of wood, so only the line of its crown is drawn, where the
strings bear. Everything is laid out for a right-handed instrument and mirrored at the end; y is down, towards the tail.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from geometry.bridge import BridgeLine
from geometry.lengths import format_mm, round_half_up
from geometry.readings import Verdict
from jigs.drawing.arcs import Point
from jigs.drawing.items import Anchor, Circle, Drawing, Item, Line, Path, Role, Text, drawing, paragraph
from jigs.drawing.lettering import LARGE, LARGEST, LINE_STEP, MEDIUM, width_mm, wrapped, writable
from jigs.readings import picture_words as words
from jigs.readings.advice import ENDS, Advice, Move, Standing
from jigs.readings.words import LEAST_MOVE_MM, verdict_line
from jigs.sheets.paper import Paper, Sheet
from jigs.sheets.title import Title
from jigs.wording import unbroken
from jigs.workup.workup import Workup

TIMES = (1, 2, 5, 10, 20, 50, 100)
"""How many times larger the picture may be along the neck than across."""

MARGIN_MM = 4.0
_MOST_MOVE, _MOST_SPREAD = 30.0, 70.0
_LEAST_ARROW, _HEAD, _HEAD_HALF, _SHAFT_HALF = 1.6, 3.6, 1.9, 0.7
_RING = 1.5
_END_CAP = 1.6
_BEYOND = 7.0
_BESIDE = 2.0
_GAP, _ABOVE_FOOT = 3.0, 4.0
_SAMPLE = 14.0
_LEAST_FOOT = 100.0
_LONG_BRIDGE = 130.0


@dataclass(frozen=True)
class Word:
    """A line of words at an end of the bridge."""

    text: str
    large: bool = False


@dataclass(frozen=True)
class BridgeFrame:
    """Where places are in the picture: ``times`` as large along the neck, y = 0 at ``zero_mm`` from the nut.

    ``words_mm`` and ``figures_mm`` are lettering heights, large enough for a telephone that shows the whole width.
    """

    workup: Workup
    times: int
    zero_mm: float
    words_mm: float
    figures_mm: float

    def height_mm(self, word: "Word") -> float:
        """Lettering height of a word."""
        return self.figures_mm if word.large else self.words_mm

    def y(self, line: BridgeLine, x: float) -> float:
        """How far down a bridge line lies at x."""
        return self.times * (line.centre_mm + line.slope * x - self.zero_mm)

    def ends(self, line: BridgeLine) -> tuple[Point, Point]:
        """The ends of a bridge on its line, treble first."""
        half = _half_mm(self.workup, line)
        return (half, self.y(line, half)), (-half, self.y(line, -half))


def as_svg(advice: Advice) -> bytes:
    """The picture as an SVG file of its own size."""
    from jigs.export.svg import to_svg

    sheet = on_own_sheet(advice)
    return to_svg(sheet, f"{words.MOVES_DOCUMENT}: {sheet.title.name}", sheet.title.facts)


def on_own_sheet(advice: Advice) -> Sheet:
    """The picture on a sheet of its own size."""
    drawn = draw(advice)
    box = drawn.bounds()
    width, height = math.ceil(box.width + 2 * MARGIN_MM), math.ceil(box.height + 2 * MARGIN_MM)
    placed = drawn.shifted((width - box.width) / 2 - box.left, MARGIN_MM - box.top)
    summary = "; ".join(" ".join(word.text for word in _words(advice, end)) for end in _ends(advice.workup))
    title = Title(writable(advice.workup.instrument.name)[0], words.MOVES_DOCUMENT, summary, scale="none")
    return Sheet(Paper(f"{width} x {height} mm", float(width), float(height)), placed, title)


def draw(advice: Advice) -> Drawing:
    """The picture in mm, the middle of the bridge at x = 0."""
    workup, before, after = advice.workup, _line(advice.workup, advice.before), _line(advice.workup, advice.after)
    heights = (MEDIUM, LARGE) if workup.instrument.bridge.length <= _LONG_BRIDGE else (LARGE, LARGEST)
    frame = BridgeFrame(workup, _times(advice), before.centre_mm, *heights)
    lines = (before, after) if _moves(advice) else (before,)
    ys = [y for line in lines for _, y in frame.ends(line)]
    top, foot = min(ys) - _BEYOND, max(ys) + _BEYOND
    ends = _ends(workup)
    flags = [list(_words(advice, end)) for end in ends]
    pole = top - _GAP - max(sum(map(frame.height_mm, flag)) for flag in flags) * LINE_STEP
    plan = drawing(
        _to_nut(pole - _GAP, frame.words_mm),
        _strings(workup, pole, top, foot),
        _bridges(advice, frame, before, after),
        *(_end(advice, frame, end, before, after) for end in ends),
        *(_flag(frame, end, flag, pole) for end, flag in zip(ends, flags, strict=True)),
    )
    seen = plan if workup.instrument.head.hand == "right" else plan.mirrored()
    box = seen.bounds()
    room = max(box.width, _LEAST_FOOT)
    return seen + _foot(advice, frame, room).shifted((box.left + box.right - room) / 2, foot + _ABOVE_FOOT)


def _ends(workup: Workup) -> tuple[str, ...]:
    """The ends of the bridge: both, or one where a single string is all there is."""
    return ENDS if workup.outer_strings[0] != workup.outer_strings[1] else ENDS[:1]


def _line(workup: Workup, standing: Standing) -> BridgeLine:
    return workup.line_through(standing.treble_mm, standing.bass_mm)


def _half_mm(workup: Workup, line: BridgeLine) -> float:
    """How far the bridge reaches across, to either side."""
    return workup.instrument.bridge.length / 2 / math.hypot(1.0, line.slope)


def _moves(advice: Advice) -> bool:
    """Whether the advice moves the bridge."""
    return bool(advice.moves) and advice.verdict not in (Verdict.STOP, Verdict.SOMETHING_ELSE, None)


def _times(advice: Advice) -> int:
    """How much larger along the neck: as much as the moves and the slants allow."""
    if not _moves(advice):
        return TIMES[0]
    lines = [_line(advice.workup, each) for each in (advice.before, advice.after)]
    ends = [line.centre_mm + side * line.slope * _half_mm(advice.workup, line) for line in lines for side in (1, -1)]
    most = max(abs(move.mm) for move in advice.moves)
    spread = max(ends) - min(ends)
    return max(n for n in TIMES if n == 1 or (n * most <= _MOST_MOVE and n * spread <= _MOST_SPREAD))


def _move_of(advice: Advice, end: str) -> Move | None:
    return next((move for move in advice.moves if move.end == end), None)


def _words(advice: Advice, end: str) -> Iterator[Word]:
    """What an end does, line by line."""
    workup, move = advice.workup, _move_of(advice, end)
    yield Word(workup.instrument.string_in_words(workup.outer_strings[ENDS.index(end)]))
    if _moves(advice):
        yield from _move_in_words(move)
    elif advice.verdict is Verdict.STOP and move is not None:
        yield Word("stays", large=True)
    if advice.known_place:
        stands = advice.after if _moves(advice) else advice.before
        place = format_mm(stands.treble_mm if end == ENDS[0] else stands.bass_mm)
        yield Word(f"to {place}" if _moves(advice) and _goes(move) else place)
        yield Word("from the nut")


def _goes(move: Move | None) -> bool:
    return move is not None and abs(move.mm) >= LEAST_MOVE_MM


def _move_in_words(move: Move | None) -> Iterator[Word]:
    if move is None:
        yield Word("hold it still", large=True)
    elif not _goes(move):
        yield Word("stays", large=True)
    else:
        least = round_half_up(abs(move.mm), 1) == "0.0"
        yield Word("under 0.1 mm" if least else format_mm(abs(move.mm)), large=True)
        yield Word(f"towards the {'nut' if move.mm < 0 else 'tail'}")


def _to_nut(foot: float, height: float) -> Drawing:
    """Which way the nut is: words beside an arrow that ends at ``foot``."""
    text, long, head = "to the nut", 1.7 * height, 0.75 * height
    x, tip = -width_mm(text, height) / 2 - _BESIDE - head / 3, foot - long
    wings = ((x - head / 3, tip + head), (x, tip), (x + head / 3, tip + head))
    arrow = Path((((x, foot), (x, tip)), wings), Role.MARK, "to-nut")
    return drawing(arrow, Text((0.0, foot - (long - height) / 2), text, height, Anchor.MIDDLE))


def _strings(workup: Workup, pole: float, top: float, foot: float) -> Iterator[Item]:
    """The strings, nearly parallel here; the outer ones reach up to the words beside them."""
    for n, entry in enumerate(workup.instrument.strings):
        is_end = n in workup.outer_strings
        start = pole if is_end else top
        places = workup.bridge_places_mm[n].tolist()[: 2 if entry.pair else 1]
        runs = tuple(((x, start), (x, foot)) for x in places)
        yield Path(runs, Role.GUIDE if is_end else Role.FINE, f"string-{n + 1}")


def _bridges(advice: Advice, frame: BridgeFrame, before: BridgeLine, after: BridgeLine) -> Iterator[Item]:
    stays = advice.verdict is Verdict.STOP
    if not stays:
        yield _bridge(frame, before, Role.PROVISIONAL, "bridge-before")
    if stays or _moves(advice):
        yield _bridge(frame, after, Role.CUT, "bridge-after")


def _bridge(frame: BridgeFrame, line: BridgeLine, role: Role, name: str) -> Path:
    """The line of a crown, with a stroke across at each end of the bridge."""
    ends = frame.ends(line)
    caps = (((x, y - _END_CAP), (x, y + _END_CAP)) for x, y in ends)
    return Path((ends, *caps), role, name)


def _end(advice: Advice, frame: BridgeFrame, end: str, before: BridgeLine, after: BridgeLine) -> Iterator[Item]:
    """What an end does: an arrow along its string, or a ring if it stays or is held."""
    move, name = _move_of(advice, end), f"move-{end}"
    x = float(frame.workup.across_mm[frame.workup.outer_strings[ENDS.index(end)]])
    if move is None and _moves(advice):
        treble, bass = frame.ends(before)
        yield Circle(treble if end == ENDS[0] else bass, _RING, Role.MARK, f"held-{end}")
    elif move is not None and (_moves(advice) or advice.verdict is Verdict.STOP):
        start, tip = (x, frame.y(before, x)), (x, frame.y(after, x))
        short = abs(tip[1] - start[1]) < _LEAST_ARROW
        if short:
            yield Circle(tip, _RING, Role.MARK, name)
        else:
            outline = (_arrow(start, tip),)
            yield Path(outline, Role.BAND, closed=True)
            yield Path(outline, Role.MARK, name, closed=True)


def _arrow(start: Point, tip: Point) -> tuple[Point, ...]:
    """The outline of an arrow along the neck, its tip first."""
    x, back = tip[0], start[1] - tip[1]
    neck = tip[1] + math.copysign(min(_HEAD, 0.6 * abs(back)), back)
    right = ((_HEAD_HALF, neck), (_SHAFT_HALF, neck), (_SHAFT_HALF, start[1]))
    left = tuple((-half, y) for half, y in reversed(right))
    return (tip, *((x + half, y) for half, y in (*right, *left)))


def _flag(frame: BridgeFrame, end: str, lines: list[Word], top: float) -> Iterator[Text]:
    """The words of an end, outside its string."""
    places = frame.workup.bridge_places_mm[frame.workup.outer_strings[ENDS.index(end)]]
    treble = end == ENDS[0]
    x = float(places.max()) + _BESIDE if treble else float(places.min()) - _BESIDE
    for line in lines:
        height = frame.height_mm(line)
        yield Text((x, top + height), line.text, height, Anchor.START if treble else Anchor.END)
        top += height * LINE_STEP


def _foot(advice: Advice, frame: BridgeFrame, room: float) -> Drawing:
    """What the lines mean, and the scale of the picture; the top left corner at the origin."""
    parts, top, height = Drawing(), 0.0, frame.words_mm
    for role, text in _legend(advice):
        lines = wrapped(text, height, room - _SAMPLE - _BESIDE)
        level = top + height / 2
        parts += drawing(Line((0.0, level), (_SAMPLE, level), role), paragraph(lines, _SAMPLE + _BESIDE, top, height))
        top += len(lines) * height * LINE_STEP
    for text in _notes(advice, frame.times):
        lines = wrapped(text, height, room)
        parts += paragraph(lines, 0.0, top, height)
        top += len(lines) * height * LINE_STEP
    return parts


def _legend(advice: Advice) -> Iterator[tuple[Role, str]]:
    square = "" if advice.known_place else ", drawn square"
    if advice.verdict is Verdict.STOP:
        yield Role.CUT, f"the bridge's crown{square}"
        return
    yield Role.PROVISIONAL, f"the crown now{square}"
    if _moves(advice):
        yield Role.CUT, f"the crown after {'the move' if len(advice.moves) == 1 else 'both moves'}"


def _notes(advice: Advice, times: int) -> Iterator[str]:
    if _moves(advice):
        yield words.scale_along(times)
    elif advice.verdict is Verdict.STOP:
        names = map(advice.workup.instrument.string_in_words, advice.workup.outer_strings)
        text = unbroken(verdict_line(advice).text, *names)
        yield text[0].upper() + text[1:]
    elif advice.verdict is Verdict.SOMETHING_ELSE:
        yield words.NOT_THE_PLACE
    elif advice.verdict is None:
        yield words.NO_PLACE_READ
