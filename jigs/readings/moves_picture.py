"""The advice as a picture: the bridge now and after the moves, from above, the nut at the top.

It is drawn as `from_above` says, and what it shows is said below it.
"""

import math
from collections.abc import Iterator

from geometry.bridge import BridgeLine
from geometry.lengths import format_mm, round_half_up
from geometry.readings import Verdict
from jigs.drawing.blocks import heading
from jigs.drawing.items import Circle, Drawing, Item, Line, Role, drawing, paragraph
from jigs.drawing.lettering import LINE_STEP, first_writable, wrapped, writable
from jigs.readings import from_above
from jigs.readings import picture_words as words
from jigs.readings.advice import ENDS, Advice, Move, Standing
from jigs.readings.from_above import BEYOND_MM, GAP_MM, RING_MM, BridgeFrame, Word, crown, ends_of, times_for
from jigs.readings.words import LEAST_MOVE_MM, verdict_line
from jigs.sheets.paper import Paper, Sheet
from jigs.sheets.title import Title
from jigs.wording import unbroken
from jigs.workup.workup import Workup

MARGIN_MM = 4.0
_BESIDE, _ABOVE_FOOT, _BELOW_HEADING = 2.0, 4.0, 5.0
_SAMPLE = 14.0
_LEAST_FOOT = 100.0
_MOST_WITH_SMALL_WORDS = 128.0
"""On a telephone that shows the whole width, 320 px, the words of a wider picture have to be larger."""


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
    summary = "; ".join(" ".join(word.text for word in _words(advice, end)) for end in ends_of(advice.workup))
    name = advice.workup.instrument.name
    title = Title(first_writable(name, writable(name)[0]), words.MOVES_DOCUMENT, summary, scale="")
    return Sheet(Paper(f"{width} x {height} mm", float(width), float(height)), placed, title)


def draw(advice: Advice) -> Drawing:
    """The picture in mm, the middle of the bridge at x = 0; its words are large enough for a telephone."""
    small, large = from_above.HEIGHTS
    drawn = _drawn(advice, small)
    return drawn if drawn.bounds().width + 2 * MARGIN_MM <= _MOST_WITH_SMALL_WORDS else _drawn(advice, large)


def _drawn(advice: Advice, heights: tuple[float, float]) -> Drawing:
    """The picture with words and figures of these heights."""
    workup, before, after = advice.workup, _line(advice.workup, advice.before), _line(advice.workup, advice.after)
    frame = BridgeFrame(workup, _times(advice), before.centre_mm, *heights)
    lines = (before, after) if _moves(advice) else (before,)
    ys = [y for line in lines for _, y in frame.ends(line)]
    top, foot = min(ys) - BEYOND_MM, max(ys) + BEYOND_MM
    ends = ends_of(workup)
    flags = [list(_words(advice, end)) for end in ends]
    pole = top - GAP_MM - max(from_above.flag_height_mm(frame, flag) for flag in flags)
    plan = drawing(
        from_above.to_nut(words.TO_THE_NUT, pole - GAP_MM, frame.words_mm),
        from_above.string_runs(workup, pole, top, foot),
        _bridges(advice, frame, before, after),
        *(_end(advice, frame, end, before, after) for end in ends),
        *(from_above.flag(frame, end, flag, pole) for end, flag in zip(ends, flags, strict=True)),
    )
    seen = plan if workup.instrument.head.hand == "right" else plan.mirrored()
    box = seen.bounds()
    room = max(box.width, _LEAST_FOOT)
    left, verdict = (box.left + box.right - room) / 2, heading(_title(advice), "", room)
    return drawing(
        verdict.shifted(left, box.top - _BELOW_HEADING - verdict.bounds().bottom),
        seen,
        _foot(advice, frame, room).shifted(left, foot + _ABOVE_FOOT),
    )


def _title(advice: Advice) -> str:
    """The job, to be read from afar."""
    if _moves(advice):
        return words.move_title([move.end for move in advice.moves if _goes(move)], len(ends_of(advice.workup)))
    return words.title_after((verdict_line(advice).kind,), "")


def _line(workup: Workup, standing: Standing) -> BridgeLine:
    return workup.line_through(standing.treble_mm, standing.bass_mm)


def _moves(advice: Advice) -> bool:
    """Whether the advice moves the bridge."""
    return bool(advice.moves) and advice.verdict not in (Verdict.STOP, Verdict.SOMETHING_ELSE, None)


def _times(advice: Advice) -> int:
    """How much larger along the neck: as much as the moves and the slants allow."""
    if not _moves(advice):
        return from_above.TIMES[0]
    lines = [_line(advice.workup, each) for each in (advice.before, advice.after)]
    return times_for(advice.workup, lines, [each.mm for each in advice.moves])


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


def _bridges(advice: Advice, frame: BridgeFrame, before: BridgeLine, after: BridgeLine) -> Iterator[Item]:
    stays = advice.verdict is Verdict.STOP
    if not stays:
        yield crown(frame, before, Role.PROVISIONAL, "bridge-before")
    if stays or _moves(advice):
        yield crown(frame, after, Role.CUT, "bridge-after")


def _end(advice: Advice, frame: BridgeFrame, end: str, before: BridgeLine, after: BridgeLine) -> Iterator[Item]:
    """What an end does: an arrow along its string, or a ring if it stays or is held."""
    move = _move_of(advice, end)
    if move is None and _moves(advice):
        treble, bass = frame.ends(before)
        yield Circle(treble if end == ENDS[0] else bass, RING_MM, Role.MARK, f"held-{end}")
    elif move is not None and (_moves(advice) or advice.verdict is Verdict.STOP):
        yield from from_above.move(frame, end, before, after)


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
