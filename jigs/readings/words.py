"""What readings advise, in the words of the bench: lines, each with its kind, and notes. The kinds are what programs use."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from geometry.diagnosis import LEAST_FRETS, VERY_SURE, Cause
from geometry.frets import OCTAVE_FRET
from geometry.lengths import format_inches, format_mm, round_half_up
from geometry.readings import Verdict
from jigs.faults import Note, Option, Says
from jigs.readings.advice import OTHER_FRET_CENTS, Advice, Cure, Move, ReadString, Standing, StringDiagnosis
from jigs.wording import signed
from jigs.workup.words import slant_in_words

NOT_SURE, LIKELY, CERTAIN = "not sure", "likely", "all but certain"
LEAST_MOVE_MM = 0.005
"""An end that is to move by less stays."""

_SUSPECTS_SHOWN = 3
_FAR_OFF_MODEL_MM = 3.0

REMEDIES = {
    Cause.NEAR: "move the bridge away from the nut",
    Cause.FAR: "move the bridge towards the nut",
    Cause.NUT_HIGH: "have the slots filed before the bridge is placed; a slot that is too deep buzzes",
    Cause.NUT_LOW: "if the open string buzzes, have the slots filled",
    Cause.NUT_NEAR: "measure nut to fret 12 and fret 12 to bridge; `jigs survey` finds where the nut stands",
    Cause.NUT_FAR: "measure nut to fret 12 and fret 12 to bridge; `jigs survey` finds where the nut stands",
    Cause.TOUCH: "press as you play, no harder, and measure the action again",
    Cause.FRET: "read the same fret on another string: if it is out there too, the fret is; `jigs survey` measures it",
    Cause.NONE_FITS: "read it once more; if it stays so, put a new string on",
    Cause.NOTHING: "nothing to do here",
}
"""What a player can do about each; common practice, no source."""


TOO_UNSURE_CENTS = 4.0
"""Readings that are good to no more than this say nothing of a bridge. Our own bound."""


def strength_of(one: StringDiagnosis) -> str:
    """How sure the readings are of the cause that they name."""
    if one.named is None:
        return NOT_SURE
    return CERTAIN if one.named.weight >= VERY_SURE else LIKELY


@dataclass(frozen=True)
class AdviceLine:
    """One line of advice. ``kind`` is a stable word for programs; ``indented`` lines belong to the one above them.

    Kinds: counted, reading, leave, move, set-both, shift, line, rest, the verdicts (verdict-move, verdict-stop,
    verdict-check-first, verdict-read-again, verdict-read-next, verdict-something-else), diagnosis, diagnosis-weights,
    diagnosis-next, and gap for a blank line.
    """

    kind: str
    text: str
    indented: bool = False


GAP = AdviceLine("gap", "")


def advice_lines(advice: Advice) -> tuple[AdviceLine, ...]:
    """The advice line by line: what was read, the moves, the line before and after, what to do, what may be wrong."""
    lines = [AdviceLine("counted", f"{advice.workup.instrument.name}: {_counted(advice)}")]
    if advice.strings:
        lines += [GAP, *(AdviceLine("reading", _read_in_words(advice, one)) for one in advice.strings)]
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
    return f"{readings} of {of}; tuner error {advice.tuner_error_cents:g} cent a tone"


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
    aim = f"; meant to be {signed(one.aim_cents, 1)}" if round_half_up(abs(one.aim_cents), 1) != "0.0" else ""
    tells = round_half_up(one.plus_minus_cents, 1)
    return f"{_string(advice, one.string)}: fretted note {sharp_or_flat(one.cents)} ± {tells}{repeats}{aim}"


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
            f"With the fork, set both ends, counted from where they are: {legs}. Without it, hold one end, move the other"
            " and read again before the next: each move shifts the other string a little.",
        )
    elif advice.workup.outer[0] != advice.workup.outer[1]:
        other = next(n for n in advice.workup.outer if n != advice.moves[0].string)
        by = signed(advice.shifted_cents, 1)
        text = f"Hold the other end still. This shifts {_string(advice, other)} by about {by} cents: read that next."
        yield AdviceLine("shift", text)


def _move_in_words(move: Move) -> str:
    if abs(move.mm) < LEAST_MOVE_MM:
        return "stays as it is"
    way = "towards the nut" if move.mm < 0 else "towards the tail"
    ticks = f"{signed(move.scale_cents, 1)} on the fork's scale"
    inches = format_inches(abs(move.mm))
    inches = "less than 1/64 in" if inches == "0 in" else inches
    return f"{format_mm(abs(move.mm), 1)} ({inches}) {way}, {ticks}"


def _line_in_words(advice: Advice) -> Iterator[AdviceLine]:
    before, after = advice.before, advice.after
    treble, bass = (_string(advice, n) for n in advice.workup.outer)
    if advice.known_place:
        yield AdviceLine("line", f"bridge line at {treble} / {bass}, from the nut")
        yield AdviceLine("line", f"before: {_places(before)}; slant {slant_in_words(before.slant_deg)}", True)
        yield AdviceLine("line", f"after:  {_places(after)}; slant {slant_in_words(after.slant_deg)}", True)
    else:
        moved = f"{signed(after.treble_mm, 1)} mm / {signed(after.bass_mm, 1)} mm"
        turned = f"turned by {round_half_up(abs(after.slant_deg), 1)}°"
        yield AdviceLine("line", f"bridge line at {treble} / {bass}, from where it is now (plus: towards the tail)")
        yield AdviceLine("line", f"after:  {moved}, {turned}; give its place (--at) to have it from the nut", True)


def _places(standing: Standing) -> str:
    return f"{format_mm(standing.treble_mm)} / {format_mm(standing.bass_mm)}"


def _rest_in_words(advice: Advice) -> Iterator[AdviceLine]:
    many = len(advice.strings) > 2
    both = "left once both ends are there" if len(advice.moves) > 1 else "left after that"
    head = "left as it is" if advice.verdict is Verdict.STOP else both
    yield AdviceLine("rest", head + (", the least that a straight bridge can leave on these strings:" if many else ":"))
    for one in advice.strings:
        sure = round_half_up(one.plus_minus_cents, 1)
        yield AdviceLine("rest", f"{_string(advice, one.string)}: {sharp_or_flat(one.rest_cents)} ± {sure}", True)


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
        text = f"These readings are good to ± {only} cents only, too little to say: read again."
        return AdviceLine("verdict-read-again", text)
    read = {one.string for one in advice.strings}
    unread = [n for n in advice.workup.outer if n not in read]
    if unread:
        text = f"{_string(advice, min(read))} is right where it is; read {_string(advice, unread[0])} next."
        return AdviceLine("verdict-read-next", text)
    worst = max(advice.strings, key=lambda one: abs(one.rest_cents))
    if abs(worst.rest_cents) > worst.plus_minus_cents:
        stays = f"{_string(advice, worst.string)} stays {sharp_or_flat(worst.rest_cents)}"
        return AdviceLine("verdict-stop", f"Stop: no straight bridge does better; {stays}. A stepped crown can.")
    text = "Stop: what is left is less than the tuner can show. Retune everything and play."
    return AdviceLine("verdict-stop", text)


def _why_else(advice: Advice) -> str:
    match advice.cure:
        case Cure.OTHER_FRET:
            one = next(one for one in advice.strings if abs(one.cents) > OTHER_FRET_CENTS)
            fret = 13 if one.cents > 0 else 11
            return (
                f"{_string(advice, one.string)} reads nearly a semitone off. Was fret {fret} fretted instead of 12?"
                " Read it again"
            )
        case Cure.TOO_FAR:
            far = max(abs(move.mm) for move in advice.moves)
            return (
                f"a bridge is not {format_mm(far)} out by its sound alone. Check that strings and notes are those of the"
                " file, that fret 12 was fretted, and the scale; then --diagnose"
            )
        case Cure.TOO_SLANTED:
            return (
                f"no bridge slants by {round_half_up(abs(advice.after.slant_deg), 0)} degrees. Check the strings' gauges,"
                " and read both outer strings again; then --diagnose"
            )
    return "see below; correct that first, then read again"


def _diagnosis_in_words(advice: Advice, one: StringDiagnosis) -> Iterator[AdviceLine]:
    frets = "fret" if len(one.frets) == 1 else "frets"
    read = f"{_string(advice, one.string)}, read at {frets} {', '.join(map(str, one.frets))}"
    yield AdviceLine("diagnosis", f"{read}: {cause_in_words(one)}")
    shown = [suspect for suspect in one.suspects[:_SUSPECTS_SHOWN] if suspect.weight > 0.01]
    if len(one.frets) >= LEAST_FRETS:
        weights = ", ".join(f"{suspect.name} {round_half_up(100 * float(suspect.weight), 0)}%" for suspect in shown)
        yield AdviceLine("diagnosis-weights", f"how strongly the readings say so: {weights}", True)
    if one.named is None:
        yield AdviceLine("diagnosis-next", _next_in_words(advice, one), True)


def cause_in_words(found: StringDiagnosis) -> str:
    """The first cause with its strength and what to do, or that the readings are not sure."""
    if found.named is not None:
        return f"{found.named.name}, {strength_of(found)}; {REMEDIES[found.named.cause]}"
    if len(found.frets) < LEAST_FRETS:
        return f"{NOT_SURE}, it takes {LEAST_FRETS} different frets or more"
    if found.suspects[0].cause is Cause.NOTHING:
        return f"{NOT_SURE}; nothing stands out"
    return NOT_SURE


def _next_in_words(advice: Advice, found: StringDiagnosis) -> str:
    if found.next_fret is not None:
        return f"measure next: fret {found.next_fret} on {_string(advice, found.string)}"
    read = {one.string for one in advice.diagnoses}
    other = next((n for n in (*advice.workup.outer, *range(len(advice.workup.across_mm))) if n not in read), None)
    if other is None:
        return "measure next: the same frets once more; repeated readings count double"
    return f"measure next: the same frets on {_string(advice, other)}"


def notes(advice: Advice) -> tuple[Note, ...]:
    """What is possible but unlikely: worth a second look, no reason to stop."""
    return tuple(says.note() for says in _notes(advice))


def _notes(advice: Advice) -> Iterator[Says]:
    for one, off in zip(advice.strings, advice.off_model_mm, strict=False):
        if abs(off) > _FAR_OFF_MODEL_MM:
            sounds = f"{_string(advice, one.string)} sounds as if the bridge were {format_mm(abs(off))} farther"
            than = (f"{sounds} {'away' if off > 0 else 'in'} than ", Option("at"), " says")
            yield Says(than, ("check ", Option("at"), ", note, gauge and scale"), "place-unlike-sound")
    others = {one.fret for one in advice.readings} - {OCTAVE_FRET}
    if others and not advice.diagnoses:
        what = "readings at frets other than 12 are for the diagnosis"
        yield Says(what, ("give ", Option("diagnose"), " as well"), "readings-for-diagnosis")
    strung = advice.workup.instrument.stringing
    for n in dict.fromkeys(one.string for one in advice.readings):
        tones = [one.octave_hz for one in advice.readings if one.string == n and one.octave_hz is not None]
        octave_hz = 2 * float(strung.pitch_hz[n])
        if tones and abs(octaves := math.log2(tones[0] / octave_hz)) > 1 / 24:
            yield _far_from_note(advice, n, tones[0], octave_hz, octaves)


def _far_from_note(advice: Advice, string: int, hz: float, octave_hz: float, octaves: float) -> Says:
    """A tone far from the string's octave; the octave below it is what an open string sounds."""
    name = _string(advice, string)
    if abs(octaves + 1) <= 1 / 24:
        what = f"{hz:.1f} Hz is an octave below the octave harmonic of {name}, which is {octave_hz:.1f} Hz"
        return Says(what, "was the open string read? then give it as open", "harmonic-octave-low")
    what = f"{name} was more than half a semitone from its note"
    return Says(what, "tune it first, or put its note into the file: the tension counts", "string-off-note")
