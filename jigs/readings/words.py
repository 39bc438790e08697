"""What readings advise, in the words of the bench: lines, each with its kind, and notes. The kinds are what programs use."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from geometry.bridge import BridgeFit
from geometry.diagnosis import LEAST_FRETS
from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.readings import READINGS_ASKED_FOR, Verdict
from jigs.faults import Key, Option, named_in_file, spoken
from jigs.readings.advice import (
    OTHER_FRET_CENTS,
    Advice,
    Move,
    ReadString,
    Reason,
    Standing,
)
from jigs.readings.diagnosis import StringDiagnosis
from jigs.readings.diagnosis_words import cause_in_words, suspect_name
from jigs.readings.wedges_words import ENDS_MOVE, not_on_scale, set_to
from jigs.wording import listed, signed
from jigs.workup.words import slant_in_words

LEAST_MOVE_MM = 0.005
"""An end that is to move by less stays."""

_SUSPECTS_SHOWN = 3
LEAVE = "Leave the bridge where it is."

VERDICTS = {
    Verdict.MOVE: "move",
    Verdict.STOP: "stop",
    Verdict.CHECK_FIRST: "check first string again",
    Verdict.SOMETHING_ELSE: "something else",
}
"""Each verdict in a word or two, for the log's picture."""

TOO_UNSURE_CENTS = 4.0
"""Readings that are good to no more than this say nothing of a bridge. Our own bound."""


@dataclass(frozen=True)
class AdviceLine:
    """One line of advice. ``kind`` is a stable word for programs; ``indented`` lines belong to the one above them.

    Kinds: counted, start, reading, read-three, read-missing, leave, set-both, move, shift, wedges, line, rest, the verdicts
    (verdict-move, verdict-stop, verdict-check-first, verdict-read-again, verdict-read-next, verdict-something-else),
    diagnosis, diagnosis-weights, diagnosis-next, and gap for a blank line.
    """

    kind: str
    text: str
    indented: bool = False


GAP = AdviceLine("gap", "")


Named = Callable[[Key | Option], str]
"""How a reader knows a key or an option: by its name on the command line, or by its label on the page."""


def advice_lines(advice: Advice, named: Named = named_in_file) -> tuple[AdviceLine, ...]:
    """The advice line by line: what was read, the moves, the line before and after, what to do, what may be wrong."""
    counted = AdviceLine("counted", f"{advice.workup.instrument.name}: {_counted(advice)}")
    shown: list[Iterable[AdviceLine]] = [[counted, *_start_in_words(advice, named)]]
    if advice.strings:
        shown.append([AdviceLine("reading", _read_in_words(advice, one)) for one in advice.strings])
        if advice.verdict is not Verdict.SOMETHING_ELSE:
            shown += (
                _read_more(advice),
                _wedges_in_words(advice) if _by_wedges(advice) else _moves_in_words(advice),
                _line_in_words(advice, named),
                _rest_in_words(advice),
            )
        shown.append([verdict_line(advice)])
    shown += (_diagnosis_in_words(advice, one, named) for one in advice.diagnoses)
    blocks = [block for block in map(list, shown) if block]
    return tuple(line for block in blocks for line in (GAP, *block))[1:]


def as_table(advice: Advice) -> str:
    """The advice as text."""
    return "".join(f"{'  ' if line.indented else ''}{line.text}\n" for line in advice_lines(advice))


def _counted(advice: Advice) -> str:
    count, strings = len(advice.readings), len({one.string for one in advice.readings})
    readings = "1 reading" if count == 1 else f"{count} readings"
    of = "1 string" if strings == 1 else f"{strings} strings"
    tuner, touch = advice.errors.tuner_cents, advice.errors.touch_cents
    unit = "cent" if touch == 1 else "cents"
    heard = any(one.heard_error_cents is not None for one in advice.readings)
    source = "what was heard" if heard else f"a tuner good to {tuner:g}"
    return f"{readings} of {of}; ± is 95%, with {source} and a touch good to {touch:g} {unit}"


def _start_in_words(advice: Advice, named: Named) -> Iterator[AdviceLine]:
    """What a round is counted from that goes on from another."""
    start = advice.start
    if start is not None and (start.round or start.kept):
        where = "the kept place" if start.kept else "where the last round left the bridge"
        remedy = ("If it is elsewhere now, give its place with ", Option("at"), ".")
        yield AdviceLine("start", f"Counted from {where}. {spoken(remedy, named)}")


def sharp_or_flat(cents: float, plus_minus_cents: float | None = None) -> str:
    """A reading in words.

    >>> sharp_or_flat(-7.0), sharp_or_flat(0.52), sharp_or_flat(-0.04)
    ('7.0 cents flat', '0.5 cents sharp', '0.0 cents, in tune')
    >>> sharp_or_flat(-7.0, 1.04)
    '7.0 ± 1.0 cents flat'
    """
    size = round_half_up(abs(cents), 1)
    sure = "" if plus_minus_cents is None else f" ± {round_half_up(plus_minus_cents, 1)}"
    way = ", in tune" if size == "0.0" else " sharp" if cents > 0 else " flat"
    return f"{size}{sure} cents{way}"


def _string(advice: Advice, index: int) -> str:
    return advice.workup.instrument.string_in_words(index)


def _listed(advice: Advice, indices: Iterable[int]) -> str:
    return listed([_string(advice, n) for n in indices])


def _read_in_words(advice: Advice, one: ReadString) -> str:
    repeats = f", mean of {one.repeats}" if one.repeats > 1 else ""
    aim = f"; meant to read {sharp_or_flat(one.meant_cents)}" if _says_what_is_meant(advice) else ""
    return f"{_string(advice, one.string)}: fretted note {sharp_or_flat(one.cents, one.plus_minus_cents)}{repeats}{aim}"


def _says_what_is_meant(advice: Advice) -> bool:
    """Whether to say what each string is meant to read: where more than two count, or the line leaves something."""
    return advice.is_stepped or _follows_all(advice) or _leaves_something(advice)


def _follows_all(advice: Advice) -> bool:
    return advice.workup.instrument.compensation.bridge_fit is BridgeFit.ALL


def _leaves_something(advice: Advice) -> bool:
    """Whether any string is meant to read something else than its harmonic, to the tenth of a cent that is printed."""
    return any(round_half_up(abs(one.meant_cents), 1) != "0.0" for one in advice.strings)


def _read_more(advice: Advice) -> Iterator[AdviceLine]:
    """What to read besides: more of each note, and the strings that count too."""
    fewest = min(one.repeats for one in advice.strings)
    if fewest < READINGS_ASKED_FOR:
        sure = round_half_up(max(one.plus_minus_cents for one in advice.strings), 1)
        heard = any(one.heard_error_cents is not None for one in advice.readings)
        asked = "Pluck each note three times." if heard else "Read each note three times, and give all readings."
        why = f"These are good to ± {sure} cents; no finger repeats itself exactly."
        yield AdviceLine("read-three", f"{asked} {why}")
    if advice.unread and len(advice.unread) + len(advice.strings) > 2:
        why = "this bridge line follows all strings" if _follows_all(advice) else "each bears on a step of its own"
        left = advice.workup.left_cents.tolist()
        meant = listed([f"{_string(advice, n)} (meant to read {sharp_or_flat(left[n])})" for n in advice.unread])
        yield AdviceLine("read-missing", f"Read {meant} too: {why}.")


def _moves_in_words(advice: Advice) -> Iterator[AdviceLine]:
    if advice.verdict is Verdict.STOP:
        yield AdviceLine("leave", LEAVE)
    elif len(advice.moves) > 1:
        yield AdviceLine(
            "set-both",
            "Set both ends at once. The fork's cents count from where the bridge stands now, plus towards the tail.",
        )
        for move in advice.moves:
            yield AdviceLine("move", _move_in_words(advice, move, move.both_scale_cents), True)
        alone = " or ".join(f"{move.end} leg {signed(move.scale_cents, 1)} cents" for move in advice.moves)
        carried = " or ".join(
            f"{_string(advice, other.string)} by {signed(move.carries_cents, 1)} cents"
            for move, other in zip(advice.moves, reversed(advice.moves), strict=True)
        )
        yield AdviceLine(
            "shift",
            f"To move one end alone, hold the other still: {alone}. That also shifts the other string, {carried}: read both"
            " again.",
        )
    else:
        (move,) = advice.moves
        yield AdviceLine("move", _move_in_words(advice, move, move.scale_cents))
        others = [n for n in advice.workup.outer_strings if n != move.string]
        for other in others:
            by = signed(move.carries_cents, 1)
            shifts = f"The move shifts {_string(advice, other)} by about {by} cents: read that next."
            yield AdviceLine("shift", f"Hold the other end still. {shifts}")


def _move_in_words(advice: Advice, move: Move, fork_cents: float) -> str:
    ticks = f"{signed(fork_cents, 1)} cents on the fork"
    if move.mm * fork_cents <= 0 and round_half_up(abs(fork_cents), 1) != "0.0":
        ticks += " (the leg lies farther out, and the bridge turns)"
    return f"{_end_in_words(advice, move)}; {ticks}"


def _end_in_words(advice: Advice, move: Move) -> str:
    at = f"{move.end} end, at {_string(advice, move.string)}"
    if abs(move.mm) < LEAST_MOVE_MM:
        return f"{at}: stays where it is"
    way = "towards the nut" if move.mm < 0 else "towards the tail"
    inches = format_inches(abs(move.mm))
    inches = "less than 1/64 in" if inches == "0 in" else inches
    return f"{at}: {format_mm(abs(move.mm), 1)} ({inches}) {way}"


def _by_wedges(advice: Advice) -> bool:
    """Whether the bridge stood against the wedges of a gauge."""
    return advice.wedges is not None and advice.start is not None and advice.start.by_wedges


def _wedges_in_words(advice: Advice) -> Iterator[AdviceLine]:
    """What to set the wedges to, for a bridge that stood against them, and how far its ends move then."""
    settings, stays = advice.wedges, advice.verdict is Verdict.STOP
    if settings is None:
        return
    if stays:
        yield AdviceLine("leave", LEAVE)
    yield AdviceLine("wedges", set_to(settings.treble_cents, settings.bass_cents, settings.zero, stays))
    if settings.beyond:
        yield AdviceLine("wedges", not_on_scale(settings.beyond, settings.flat, settings.sharp))
    if not stays:
        yield AdviceLine("set-both", ENDS_MOVE)
        for move in advice.moves:
            yield AdviceLine("move", _end_in_words(advice, move), True)


def _line_in_words(advice: Advice, named: Named) -> Iterator[AdviceLine]:
    """Where the bridge line is, before and after if it moves; nothing if it stays in a place that nobody gave."""
    before, after = advice.before, advice.after
    at = f"Bridge line at {_listed(advice, dict.fromkeys(advice.workup.outer_strings))}"
    stays = advice.verdict is Verdict.STOP
    if advice.known_place and stays:
        yield AdviceLine("line", f"{at}, from the nut: {_standing_in_words(before)}")
    elif advice.known_place:
        yield AdviceLine("line", f"{at}, from the nut:")
        yield AdviceLine("line", f"before: {_standing_in_words(before)}", True)
        yield AdviceLine("line", f"after:  {_standing_in_words(after)}", True)
    elif not stays:
        moved = f"{signed(after.treble_mm, 1)} mm / {signed(after.bass_mm, 1)} mm"
        turned = f"turned by {round_half_up(abs(after.slant_deg), 1)}°"
        yield AdviceLine("line", f"{at}, from where it is now (plus: towards the tail): {moved}, {turned}.")
        measure = spoken(("To see it from the nut, give its place now with ", Option("at"), "."), named)
        yield AdviceLine("line", measure)


def _standing_in_words(standing: Standing) -> str:
    places = f"{format_mm(standing.treble_mm)} / {format_mm(standing.bass_mm)}"
    return f"{places}; slant {slant_in_words(standing.slant_deg)}"


def _rest_in_words(advice: Advice) -> Iterator[AdviceLine]:
    moved = "after both moves" if len(advice.moves) > 1 else "after this move"
    head = f"What is left {'if the bridge stays' if advice.verdict is Verdict.STOP else moved}"
    if len(advice.strings) > 2:
        head += ", the least that this bridge can leave on these strings"
    elif _leaves_something(advice):
        head += "; this bridge line is meant to leave that"
    yield AdviceLine("rest", f"{head}:")
    for one in advice.strings:
        left = sharp_or_flat(one.left_cents, one.plus_minus_cents)
        yield AdviceLine("rest", f"{_string(advice, one.string)}: {left}", True)


def verdict_line(advice: Advice) -> AdviceLine:
    """What to do next, a sentence or two."""
    match advice.verdict:
        case Verdict.STOP:
            return _stop_line(advice)
        case Verdict.MOVE:
            return AdviceLine("verdict-move", "Move, retune, and read again.")
        case Verdict.CHECK_FIRST:
            first, by = _string(advice, advice.moves[0].string), signed(advice.shifted_cents, 1)
            return AdviceLine(
                "verdict-check-first",
                "Move, retune, and read again. If you moved one end after the other, check the first string again. The last"
                f" move shifts {first} by about {by} cents.",
            )
        case Verdict.SOMETHING_ELSE:
            return AdviceLine("verdict-something-else", f"Something else is wrong: {_why_else(advice)}.")
    return GAP


_TOO_LITTLE = "what is left is hardly more than its ±, too little to move the bridge for"


def _stop_line(advice: Advice) -> AdviceLine:
    """Why to stop; or what to read first, where too little was read to say so."""
    unsure = max(one.plus_minus_cents for one in advice.strings)
    doubtful = [one for one in advice.strings if one.is_off and abs(one.meant_cents) <= one.plus_minus_cents]
    if unsure > TOO_UNSURE_CENTS or doubtful:
        read = [
            f"{_string(advice, n.string)} reads {sharp_or_flat(n.left_cents, n.plus_minus_cents)}" for n in doubtful
        ]
        what = listed(read) or f"these readings are only good to ± {round_half_up(unsure, 1)} cents"
        return AdviceLine("verdict-read-again", f"Too rough to judge: {what}. Read again, three times each.")
    staying = _staying(advice)
    stays = listed([f"{_string(advice, n.string)} stays {sharp_or_flat(n.left_cents)}" for n in staying])
    little = [
        one
        for one in advice.strings
        if one not in staying and min(abs(one.rest_cents), abs(one.left_cents)) > one.plus_minus_cents
    ]
    if advice.unread:
        right = [one.string for one in advice.strings if one not in (*staying, *little)]
        are = "is" if len(right) == 1 else "are"
        said = [f"{_listed(advice, right)} {are} right where the bridge stands"] if right else []
        again = listed([f"{_string(advice, n.string)} reads {sharp_or_flat(n.left_cents)}" for n in little])
        said += [f"{again}, too little beyond its ± to move for"] if again else []
        said += [f"{stays}: this bridge line is meant to leave that"] if stays else []
        said.append(f"read {_listed(advice, [*(one.string for one in little), *advice.unread])} next")
        return AdviceLine("verdict-read-next", " ".join(f"{text[0].upper()}{text[1:]}." for text in said))
    if stays:
        cure = "Other steps of the saddle can do better." if advice.is_stepped else "A stepped crown can do better."
        return AdviceLine("verdict-stop", f"Stop: no move of this bridge does better; {stays}. {cure}")
    left = _TOO_LITTLE if little else "what is left is less than these readings can show"
    text = f"Stop: {left}. Retune everything and play."
    return AdviceLine("verdict-stop", text)


def _staying(advice: Advice) -> list[ReadString]:
    """Strings that are far off in the best place of the bridge too; else the farthest that readings can show to be off."""
    shown = [n for n in advice.strings if min(abs(n.left_cents), abs(n.meant_cents)) > n.plus_minus_cents]
    return [n for n in advice.strings if n.is_off] or sorted(shown, key=lambda n: -abs(n.left_cents))[:1]


def _why_else(advice: Advice) -> str:
    match advice.reason:
        case Reason.OTHER_FRET:
            one = next(one for one in advice.strings if abs(one.cents) > OTHER_FRET_CENTS)
            octave = int(advice.workup.octave_frets[one.string])
            fret = octave + (1 if one.cents > 0 else -1)
            return (
                f"{_string(advice, one.string)} reads nearly a semitone off. Was fret {fret} fretted instead of {octave}?"
                " Read it again"
            )
        case Reason.TOO_FAR:
            far = format_mm(max(abs(move.mm) for move in advice.moves))
            return (
                f"the bridge would have to move {far}, too far for its place to be the cause. Check that you pressed at fret"
                f" {advice.workup.instrument.octave_fret},"
                " and compare strings, notes and scale with those filled in. Then read several frets for a diagnosis"
            )
        case Reason.TOO_SLANTED:
            slant = round_half_up(abs(advice.after.slant_deg), 0)
            return (
                f"the bridge would slant by {slant}°, and no bridge does. Check the strings' gauges, and read both outer"
                " strings again. Then read several frets for a diagnosis"
            )
    return "see the diagnosis below. Correct that first, then read again"


def _diagnosis_in_words(advice: Advice, diagnosis: StringDiagnosis, named: Named) -> Iterator[AdviceLine]:
    frets = "fret" if len(diagnosis.frets) == 1 else "frets"
    read = f"{_string(advice, diagnosis.string)}, read at {frets} {', '.join(map(str, diagnosis.frets))}"
    yield AdviceLine("diagnosis", f"{read}: {cause_in_words(diagnosis, advice.workup, named)}")
    shown = [one for one in diagnosis.suspects[:_SUSPECTS_SHOWN] if one.weight > 0.01]
    if len(diagnosis.frets) >= LEAST_FRETS:
        likely = [(suspect_name(one, diagnosis.was_right), 100 * float(one.weight)) for one in shown]
        weights = ", ".join(f"{name} {round_half_up(percent, 0)}%" for name, percent in likely)
        yield AdviceLine("diagnosis-weights", f"how likely each cause is: {weights}", True)
    if diagnosis.named is None:
        yield AdviceLine("diagnosis-next", _next_in_words(advice, diagnosis), True)


def _next_in_words(advice: Advice, diagnosis: StringDiagnosis) -> str:
    if diagnosis.next_fret is not None:
        return f"read next: fret {diagnosis.next_fret} on {_string(advice, diagnosis.string)}"
    read = {one.string for one in advice.diagnoses}
    other = next(
        (n for n in (*advice.workup.outer_strings, *range(len(advice.workup.across_mm))) if n not in read), None
    )
    if other is None:
        return "read next: the same frets once more; repeated readings count double"
    return f"read next: the same frets on {_string(advice, other)}"
