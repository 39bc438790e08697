"""What readings advise, in the words of the bench: lines, each with its kind, and notes. The kinds are what programs use."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from geometry.diagnosis import LEAST_FRETS, Cause, Suspect
from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.readings import READINGS_ASKED_FOR, Verdict
from jigs.faults import Note, Option, Says, spoken
from jigs.readings.advice import (
    OTHER_FRET_CENTS,
    Advice,
    Move,
    ReadString,
    Reason,
    Standing,
    Strength,
    StringDiagnosis,
)
from jigs.readings.checked import Against, NoteReading
from jigs.wording import listed, signed
from jigs.workup.words import slant_in_words

LEAST_MOVE_MM = 0.005
"""An end that is to move by less stays."""

_SUSPECTS_SHOWN = 3
_FAR_OFF_MODEL_MM = 3.0
_HALF_A_SEMITONE = 1 / 24
"""In octaves."""

VERDICTS = {
    Verdict.MOVE: "move",
    Verdict.STOP: "stop",
    Verdict.CHECK_FIRST: "check first string again",
    Verdict.SOMETHING_ELSE: "something else",
}
"""Each verdict in a word or two, for the log's picture."""

STRENGTHS = {
    Strength.NOT_SURE: "not sure",
    Strength.LIKELY: "likely",
    Strength.ALL_BUT_CERTAIN: "all but certain",
}

CAUSES = {
    Cause.NOTHING: "nothing out of the ordinary",
    Cause.NEAR: "bridge too near the nut",
    Cause.FAR: "bridge too far from the nut",
    Cause.NUT_HIGH: "nut slots too high",
    Cause.NUT_LOW: "nut slots too low",
    Cause.NUT_NEAR: "nut too near the frets",
    Cause.NUT_FAR: "nut too far from the frets",
    Cause.TOUCH: "heavy touch or high action",
    Cause.NONE_FITS: "none of these fits, perhaps a worn string",
}
"""Every cause except a fret out of place, which has a number."""

REMEDIES = {
    Cause.NEAR: "move the bridge away from the nut",
    Cause.FAR: "move the bridge towards the nut",
    Cause.NUT_HIGH: "have the slots filed before the bridge is placed; a slot that is too deep buzzes",
    Cause.NUT_LOW: "if the open string buzzes, have the slots filled",
    Cause.NUT_NEAR: "measure nut to fret 12 and fret 12 to bridge; `jigs survey` finds where the nut is",
    Cause.NUT_FAR: "measure nut to fret 12 and fret 12 to bridge; `jigs survey` finds where the nut is",
    Cause.TOUCH: "press as you play, no harder, and measure the action again",
    Cause.FRET: "read that fret on another string; if it is out there too, check the fret's place with `jigs survey`",
    Cause.NONE_FITS: "read it once more; if that changes nothing, fit a new string",
    Cause.NOTHING: "nothing to do here",
}
"""What a player can do about each; common practice, no source."""

NEVER_IN_TUNE_CENTS = 3.0
"""A string that stays so far off is never called in tune, however rough the readings are."""

TOO_UNSURE_CENTS = 4.0
"""Readings that are good to no more than this say nothing of a bridge. Our own bound."""


@dataclass(frozen=True)
class AdviceLine:
    """One line of advice. ``kind`` is a stable word for programs; ``indented`` lines belong to the one above them.

    Kinds: counted, reading, read-three, read-missing, leave, move, set-both, shift, line, rest, the verdicts (verdict-move,
    verdict-stop, verdict-check-first, verdict-read-again, verdict-read-next, verdict-something-else), diagnosis,
    diagnosis-weights, diagnosis-next, and gap for a blank line.
    """

    kind: str
    text: str
    indented: bool = False


GAP = AdviceLine("gap", "")


def advice_lines(advice: Advice) -> tuple[AdviceLine, ...]:
    """The advice line by line: what was read, the moves, the line before and after, what to do, what may be wrong."""
    lines = [AdviceLine("counted", f"{advice.workup.instrument.name}: {_counted(advice)}")]
    if advice.strings:
        lines += [
            GAP,
            *(AdviceLine("reading", _read_in_words(advice, one)) for one in advice.strings),
            *_read_more(advice),
        ]
        if advice.verdict is not Verdict.SOMETHING_ELSE:
            lines += [GAP, *_moves_in_words(advice), GAP, *_line_in_words(advice), GAP, *_rest_in_words(advice)]
        lines += [GAP, verdict_line(advice)]
    for one in advice.diagnoses:
        lines += [GAP, *_diagnosis_in_words(advice, one)]
    return tuple(lines)


def as_table(advice: Advice) -> str:
    """The advice as text."""
    return "".join(f"{'  ' if line.indented else ''}{line.text}\n" for line in advice_lines(advice))


def _counted(advice: Advice) -> str:
    count, strings = len(advice.readings), len({one.string for one in advice.readings})
    readings = "1 reading" if count == 1 else f"{count} readings"
    of = "1 string" if strings == 1 else f"{strings} strings"
    errors = advice.errors
    return f"{readings} of {of}; error of the tuner {errors.tuner_cents:g}, of the touch {errors.touch_cents:g} cents"


def sharp_or_flat(cents: float) -> str:
    """A reading in words.

    >>> sharp_or_flat(-7.0), sharp_or_flat(0.52), sharp_or_flat(-0.04)
    ('7.0 cents flat', '0.5 cents sharp', '0.0 cents, in tune')
    """
    size = round_half_up(abs(cents), 1)
    if size == "0.0":
        return "0.0 cents, in tune"
    return f"{size} cents {'sharp' if cents > 0 else 'flat'}"


def _string(advice: Advice, index: int) -> str:
    return advice.workup.instrument.string_in_words(index)


def _read_in_words(advice: Advice, one: ReadString) -> str:
    repeats = f", mean of {one.repeats}" if one.repeats > 1 else ""
    aim = f"; meant to read {signed(one.meant_cents, 1)}" if _says_what_is_meant(advice) else ""
    sure = round_half_up(one.plus_minus_cents, 1)
    return f"{_string(advice, one.string)}: fretted note {sharp_or_flat(one.cents)} ± {sure}{repeats}{aim}"


def _says_what_is_meant(advice: Advice) -> bool:
    """Whether any string is meant to read something else than its harmonic, to the tenth of a cent that is printed."""
    return any(round_half_up(abs(one.meant_cents), 1) != "0.0" for one in advice.strings)


def _read_more(advice: Advice) -> Iterator[AdviceLine]:
    """What to read besides: more of each note, and the strings that the line follows too."""
    fewest = min(one.repeats for one in advice.strings)
    if fewest < READINGS_ASKED_FOR:
        sure = round_half_up(max(one.plus_minus_cents for one in advice.strings), 1)
        yield AdviceLine(
            "read-three",
            f"Read each note {READINGS_ASKED_FOR} times, and give all readings: these are good to ± {sure} cents, and no"
            " finger repeats itself exactly.",
        )
    if advice.unread and len(advice.unread) + len(advice.strings) > 2:
        strings = listed([_string(advice, n) for n in advice.unread])
        yield AdviceLine("read-missing", f"Read {strings} too: the line of this bridge follows all strings.")


def _moves_in_words(advice: Advice) -> Iterator[AdviceLine]:
    if advice.verdict is Verdict.STOP:
        yield AdviceLine("leave", "Leave the bridge where it is.")
        return
    two = len(advice.moves) > 1
    for n, move in enumerate(advice.moves, 1):
        order = f"{n} " if two else ""
        yield AdviceLine("move", f"{order}{move.end} end, at {_string(advice, move.string)}: {_move_in_words(move)}")
    if two:
        legs = ", ".join(f"{move.end} leg {signed(move.both_scale_cents, 1)}" for move in advice.moves)
        yield AdviceLine(
            "set-both",
            f"Set both ends at once, with the fork, in cents from where they are now: {legs}. If you move one end alone, the"
            " other string shifts by nearly half as much: read again after each end.",
        )
    elif advice.workup.outer_strings[0] != advice.workup.outer_strings[1]:
        other = next(n for n in advice.workup.outer_strings if n != advice.moves[0].string)
        by = signed(advice.shifted_cents, 1)
        text = (
            f"Hold the other end still. The move shifts {_string(advice, other)} by about {by} cents: read that next."
        )
        yield AdviceLine("shift", text)


def _move_in_words(move: Move) -> str:
    if abs(move.mm) < LEAST_MOVE_MM:
        return "stays where it is"
    way = "towards the nut" if move.mm < 0 else "towards the tail"
    ticks = f"{signed(move.scale_cents, 1)} on the fork's scale"
    inches = format_inches(abs(move.mm))
    inches = "less than 1/64 in" if inches == "0 in" else inches
    return f"{format_mm(abs(move.mm), 1)} ({inches}) {way}, {ticks}"


def _line_in_words(advice: Advice) -> Iterator[AdviceLine]:
    before, after = advice.before, advice.after
    treble, bass = (_string(advice, n) for n in advice.workup.outer_strings)
    if advice.known_place:
        yield AdviceLine("line", f"bridge line at {treble} / {bass}, from the nut")
        yield AdviceLine("line", f"before: {_places(before)}; slant {slant_in_words(before.slant_deg)}", True)
        yield AdviceLine("line", f"after:  {_places(after)}; slant {slant_in_words(after.slant_deg)}", True)
    else:
        moved = f"{signed(after.treble_mm, 1)} mm / {signed(after.bass_mm, 1)} mm"
        turned = f"turned by {round_half_up(abs(after.slant_deg), 1)}°"
        yield AdviceLine("line", f"bridge line at {treble} / {bass}, from where it is now (plus: towards the tail)")
        measure = spoken(("give its place now with ", Option("at"), " to see this from the nut"))
        yield AdviceLine("line", f"after:  {moved}, {turned}; {measure}", True)


def _places(standing: Standing) -> str:
    return f"{format_mm(standing.treble_mm)} / {format_mm(standing.bass_mm)}"


def _rest_in_words(advice: Advice) -> Iterator[AdviceLine]:
    many = len(advice.strings) > 2
    moved = "what is left after both moves" if len(advice.moves) > 1 else "what is left after this move"
    head = "what is left if the bridge stays" if advice.verdict is Verdict.STOP else moved
    yield AdviceLine("rest", head + (", the least that a straight bridge can leave on these strings:" if many else ":"))
    for one in advice.strings:
        sure = round_half_up(one.plus_minus_cents, 1)
        yield AdviceLine("rest", f"{_string(advice, one.string)}: {sharp_or_flat(one.left_cents)} ± {sure}", True)


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
                f"Move, retune, and check the first string again: moving the other end alone shifts {first} by about"
                f" {by} cents.",
            )
        case Verdict.SOMETHING_ELSE:
            return AdviceLine("verdict-something-else", f"Something else is wrong: {_why_else(advice)}.")
    return GAP


def _stop_line(advice: Advice) -> AdviceLine:
    """Why to stop; or what to read first, where too little was read to say so."""
    unsure = max(one.plus_minus_cents for one in advice.strings)
    if unsure > TOO_UNSURE_CENTS:
        only = round_half_up(unsure, 1)
        text = f"These readings are only good to ± {only} cents, too rough to judge: read again."
        return AdviceLine("verdict-read-again", text)
    if advice.unread:
        right = listed([_string(advice, one.string) for one in advice.strings])
        are = "is" if len(advice.strings) == 1 else "are"
        strings = listed([_string(advice, n) for n in advice.unread])
        return AdviceLine("verdict-read-next", f"{right} {are} right where the bridge stands; read {strings} next.")
    worst = max(advice.strings, key=lambda one: abs(one.left_cents))
    if abs(worst.left_cents) > min(worst.plus_minus_cents, NEVER_IN_TUNE_CENTS):
        stays = f"{_string(advice, worst.string)} stays {sharp_or_flat(worst.left_cents)}"
        stepped = advice.workup.instrument.bridge.steps is not None
        cure = "Other steps of the saddle can." if stepped else "A stepped crown can."
        return AdviceLine("verdict-stop", f"Stop: no move of this bridge does better; {stays}. {cure}")
    text = "Stop: what is left is less than these readings can show. Retune everything and play."
    return AdviceLine("verdict-stop", text)


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
                f"the bridge would have to move {far}, too far for its place to be the cause. Check that you fretted at"
                f" {advice.workup.instrument.octave_fret},"
                " and compare strings, notes and scale with the file. Then read several frets for a diagnosis"
            )
        case Reason.TOO_SLANTED:
            slant = round_half_up(abs(advice.after.slant_deg), 0)
            return (
                f"the bridge would slant by {slant}°, and no bridge does. Check the strings' gauges, and read both outer"
                " strings again. Then read several frets for a diagnosis"
            )
    return "see the diagnosis below. Correct that first, then read again"


def _diagnosis_in_words(advice: Advice, diagnosis: StringDiagnosis) -> Iterator[AdviceLine]:
    frets = "fret" if len(diagnosis.frets) == 1 else "frets"
    read = f"{_string(advice, diagnosis.string)}, read at {frets} {', '.join(map(str, diagnosis.frets))}"
    yield AdviceLine("diagnosis", f"{read}: {cause_in_words(diagnosis)}")
    shown = [one for one in diagnosis.suspects[:_SUSPECTS_SHOWN] if one.weight > 0.01]
    if len(diagnosis.frets) >= LEAST_FRETS:
        weights = ", ".join(f"{suspect_name(one)} {round_half_up(100 * float(one.weight), 0)}%" for one in shown)
        yield AdviceLine("diagnosis-weights", f"how likely each cause is: {weights}", True)
    if diagnosis.named is None:
        yield AdviceLine("diagnosis-next", _next_in_words(advice, diagnosis), True)


def suspect_name(suspect: Suspect) -> str:
    """A cause in words; JSON gives them beside the cause's code.

    >>> import numpy as np
    >>> suspect_name(Suspect(Cause.FRET, 7, np.array(0.9))), suspect_name(Suspect(Cause.NUT_HIGH, 0, np.array(0.9)))
    ('fret 7 out of place', 'nut slots too high')
    """
    return f"fret {suspect.fret} out of place" if suspect.cause is Cause.FRET else CAUSES[suspect.cause]


def cause_in_words(diagnosis: StringDiagnosis) -> str:
    """The first cause with its strength and what to do, or that the readings are not sure."""
    strength = STRENGTHS[diagnosis.strength]
    if diagnosis.named is not None:
        return f"{suspect_name(diagnosis.named)}, {strength}; {REMEDIES[diagnosis.named.cause]}"
    if len(diagnosis.frets) < LEAST_FRETS:
        return f"{strength}; read at least {LEAST_FRETS} different frets"
    if diagnosis.suspects[0].cause is Cause.NOTHING:
        return f"{strength}; nothing stands out"
    return strength


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


def notes(advice: Advice) -> tuple[Note, ...]:
    """What is possible but unlikely: worth a second look, no reason to stop."""
    return tuple(says.note() for says in _notes(advice))


def _notes(advice: Advice) -> Iterator[Says]:
    for one, off in zip(advice.strings, advice.off_model_mm, strict=False):
        if abs(off) > _FAR_OFF_MODEL_MM:
            farther = "farther from the nut" if off > 0 else "nearer the nut"
            sounds = f"{_string(advice, one.string)} sounds as if the bridge were {format_mm(abs(off))} {farther}"
            remedy = ("check ", Option("at"), ", note, gauge and scale")
            yield Says((f"{sounds} than ", Option("at"), " says"), remedy, "place-unlike-sound")
    octave = advice.workup.octave_frets
    if any(one.fret != octave[one.string] for one in advice.readings) and not advice.diagnoses:
        what = f"readings at frets other than {advice.workup.instrument.octave_fret} are for the diagnosis"
        yield Says(what, ("give ", Option("diagnose"), " too"), "readings-for-diagnosis")
    first: dict[int, NoteReading] = {}
    for reading in advice.readings:
        if reading.octave_hz is not None:
            first.setdefault(reading.string, reading)
    for reading in first.values():
        if not _is_octave_of(advice, reading.string, reading.octave_hz or 0.0):
            yield _off_its_note(advice, reading)


def _is_octave_of(advice: Advice, string: int, octave_hz: float, times: float = 1.0) -> bool:
    """Whether a tone is the octave of a string, or ``times`` it, to half a semitone."""
    pitch_hz = float(advice.workup.instrument.stringing.pitch_hz[string])
    return abs(math.log2(octave_hz / (2 * pitch_hz * times))) <= _HALF_A_SEMITONE


def _off_its_note(advice: Advice, reading: NoteReading) -> Says:
    """A tone in hertz that is far from its string's note: another string, another octave, or out of tune."""
    octave_hz, string = reading.octave_hz or 0.0, _string(advice, reading.string)
    is_open = reading.against is Against.OPEN
    hz, tone = (octave_hz / 2, "open string") if is_open else (octave_hz, "octave harmonic")
    meant_hz = float(advice.workup.instrument.stringing.pitch_hz[reading.string]) * (1 if is_open else 2)
    meant = f"the {tone} of {string}, which is {meant_hz:.1f} Hz"
    off, code, remedy = (
        "more than half a semitone from",
        "tone-off-note",
        "tune it first, or correct its note in the file",
    )
    for times, way in ((0.5, "below"), (2.0, "above")):
        if _is_octave_of(advice, reading.string, octave_hz, times):
            off, code, remedy = f"an octave {way}", "tone-octave-off", "check the octave on the tuner and in the file"
    strings = range(len(advice.workup.instrument.strings))
    other = next((n for n in strings if _is_octave_of(advice, n, octave_hz)), None)
    if other is not None:
        remedy = f"was it {_string(advice, other)}? if not, {remedy}"
    return Says(f"{hz:g} Hz is {off} {meant}", remedy, code)
