"""Readings of an instrument to advice: which end of the bridge moves where, and what is left.

It is numbers only; `jigs.readings.words` puts them into words.

A move is given at the string, from before to after, in mm and on the fork's scale: the cents by which that end moves along
its leg while the other end is held, which is how the fork's scale is drawn. Two ends moved one after the other disturb each
other: the second move shifts the first string. So the advice also says how far each leg goes when both ends are set at once,
in ticks from where the legs are now.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from geometry.arrays import FloatArray, IntArray
from geometry.bridge import BridgeFit
from geometry.fretting import octave_cents
from geometry.mean_heard import HeardErrors, mean_heard
from geometry.readings import (
    MOST_MOVE_MM,
    MOST_SLANT_DEG,
    NORMAL_QUANTILE,
    STOP_QUANTILE,
    Means,
    ReadingError,
    ReadingErrors,
    Shift,
    Verdict,
    held_end_shift_mm,
    mean_readings,
    only,
    place_for_cents,
    rest_after,
    shift_error_mm,
    shift_wanted,
    verdict,
)
from jigs.faults import Place
from jigs.readings import fault_words
from jigs.readings.checked import Against, NoteReading
from jigs.readings.diagnosis import StringDiagnosis, diagnoses
from jigs.readings.rounds import Start, next_start
from jigs.readings.wedges import Settings, settings_for
from jigs.workup.cents_scale import CentsScale, leg_scales
from jigs.workup.workup import Workup

ENDS = ("treble", "bass")
OTHER_FRET_CENTS = 70.0
"""A string that reads farther off than this was most likely pressed at a neighbouring fret. Our own bound."""


NEVER_IN_TUNE_CENTS = 3.0
"""A string that is so far off is not in tune. Our own bound."""


class Reason(StrEnum):
    """Why the bridge's place is not to blame: codes for programs."""

    OTHER_FRET = "other-fret"
    TOO_FAR = "too-far"
    TOO_SLANTED = "too-slanted"
    DIAGNOSIS = "diagnosis"


@dataclass(frozen=True)
class ReadString:
    """A string that was read at the octave, in cents.

    ``aim_cents`` is what it is to read if it alone counts, or what the line leaves; ``rest_cents`` what it will be off from
    that after the moves; ``meant_cents`` what it reads where the line that follows these readings stands.
    """

    string: int
    cents: float
    plus_minus_cents: float
    repeats: int
    aim_cents: float
    rest_cents: float
    meant_cents: float

    @property
    def left_cents(self) -> float:
        """What it will read after the moves, against its harmonic."""
        return self.aim_cents + self.rest_cents

    @property
    def is_off(self) -> bool:
        """Whether that is never called in tune, however rough the readings are; in tenths of a cent, as it is printed."""
        return round(abs(self.left_cents), 1) >= NEVER_IN_TUNE_CENTS


@dataclass(frozen=True)
class Move:
    """What one end of the bridge is to do, away from the nut positive: ``mm`` at its outer string; ``scale_cents`` the same
    on the fork with the other end held; ``both_scale_cents`` its place on the fork when both ends are moved.

    ``carries_cents`` is what it does to the other outer string if that string's end is held.
    """

    end: str
    string: int
    mm: float
    scale_cents: float
    both_scale_cents: float
    carries_cents: float


@dataclass(frozen=True)
class Standing:
    """The bridge's place at the outer strings, from the nut, or from where it was if its place is not known."""

    treble_mm: float
    bass_mm: float
    slant_deg: float


@dataclass(frozen=True)
class Advice:
    """All that readings say.

    ``moves`` are in the order in which the strings were read. ``verdict`` is None without a reading at the octave.
    ``shifted_cents`` is what the second move does to the first string, or a single move to the other.
    """

    workup: Workup
    readings: tuple[NoteReading, ...]
    errors: ReadingErrors
    strings: tuple[ReadString, ...]
    moves: tuple[Move, ...]
    start: Start | None
    before: Standing
    after: Standing
    verdict: Verdict | None
    shifted_cents: float
    off_model_mm: tuple[float, ...]
    diagnoses: tuple[StringDiagnosis, ...]

    @property
    def known_place(self) -> bool:
        """Whether anybody knows where the bridge stands."""
        return self.start is not None

    @property
    def next(self) -> Start | None:
        """Where the bridge stands after it was moved as advised, or was left; None if nobody knows."""
        left = self.after if self.verdict in (Verdict.MOVE, Verdict.CHECK_FIRST) else self.before
        return next_start(self.start, (left.treble_mm, left.bass_mm))

    @property
    def wedges(self) -> Settings | None:
        """What to set the wedges of a gauge to; None where there is no place to set them for."""
        after = None if self.verdict is Verdict.SOMETHING_ELSE else self.next
        return None if after is None else settings_for(self.workup, after.places_mm)

    @property
    def is_stepped(self) -> bool:
        """Whether the strings bear on steps of their own."""
        return len(set(self.workup.instrument.bridge.steps or ())) > 1

    @property
    def unread(self) -> tuple[int, ...]:
        """Strings that the line follows and nobody read: all of them if it follows all, or if each bears on a step."""
        instrument = self.workup.instrument
        follows_all = instrument.compensation.bridge_fit is BridgeFit.ALL or self.is_stepped
        followed = range(len(instrument.strings)) if follows_all else self.workup.outer_strings
        read = {one.string for one in self.strings}
        return tuple(n for n in dict.fromkeys(followed) if n not in read)

    @property
    def reason(self) -> Reason | None:
        """Why the verdict is that something else is wrong; None for any other verdict."""
        if self.verdict is not Verdict.SOMETHING_ELSE:
            return None
        if any(abs(one.cents) > OTHER_FRET_CENTS for one in self.strings):
            return Reason.OTHER_FRET
        if max((abs(move.mm) for move in self.moves), default=0.0) > MOST_MOVE_MM:
            return Reason.TOO_FAR
        return Reason.TOO_SLANTED if abs(self.after.slant_deg) > MOST_SLANT_DEG else Reason.DIAGNOSIS


def advise(
    workup: Workup,
    readings: Sequence[NoteReading],
    start: Start | None,
    errors: ReadingErrors,
    diagnose: bool,
) -> Advice:
    """Work out everything. ``start``: where the crown stands now, None if nobody knows. Raises `InputFaults`."""
    by_string: dict[int, list[NoteReading]] = {}
    for reading in readings:
        if reading.fret == workup.octave_frets[reading.string]:
            by_string.setdefault(reading.string, []).append(reading)
    before = _standing(workup, (0.0, 0.0) if start is None else start.places_mm)
    unmoved = Advice(
        workup=workup,
        readings=tuple(readings),
        errors=errors,
        strings=(),
        moves=(),
        start=start,
        before=before,
        after=before,
        verdict=None,
        shifted_cents=0.0,
        off_model_mm=(),
        diagnoses=diagnoses(workup, readings, errors, start) if diagnose else (),
    )
    places_an_end = len(by_string) > 1 or set(workup.outer_strings) & set(by_string)
    if not by_string or (diagnose and not places_an_end):
        return unmoved
    if not places_an_end:
        alone, ends = next(iter(by_string)) + 1, [n + 1 for n in dict.fromkeys(workup.outer_strings)]
        raise fault_words.no_end(alone, ends).refusal(Place(string=alone))
    try:
        return _with_moves(unmoved, by_string)
    except ReadingError as error:
        raise fault_words.no_place(error).refusal(Place(workup.instrument.source)) from None


def _with_moves(advice: Advice, by_string: Mapping[int, Sequence[NoteReading]]) -> Advice:
    """The advice with what each string reads, the moves and the verdict. Raises `ReadingError`."""
    workup, before = advice.workup, advice.before
    read = np.array(list(by_string))
    model, nut, x = only(workup.model, read), workup.setbacks.nut_setback_mm[read], workup.across_mm[read]
    means = _means(workup, list(by_string.values()), advice.errors)
    aims = _aims(workup, read)
    scales = _scales(workup)
    first = next((end for n in read for end in ENDS if workup.outer_strings[ENDS.index(end)] == n), ENDS[0])
    ends = _ends(workup, first, len(read))
    held = _held_mm(workup, read, scales)
    shift = shift_wanted(model, nut, x, means.cents, aims, held)
    end_strings = [workup.outer_strings[ENDS.index(end)] for end in ends]
    ends_x, rates = workup.across_mm[end_strings], abs(workup.cents_per_mm[end_strings])
    errors = shift_error_mm(x, workup.cents_per_mm[read], means.standard_error_cents, ends_x, held)
    shifted = _carries_cents(workup, shift, ends[-1], scales)
    after = _moved(workup, before, shift)
    says = verdict(
        shift.at(ends_x),
        after.slant_deg,
        rates * shift.at(ends_x),
        STOP_QUANTILE * rates * errors,
        shifted if len(read) > 1 else 0.0,
    )
    meant = aims + rest_after(model, nut, x, means.cents, aims, shift)
    if says is Verdict.STOP:
        shift, shifted, after = Shift(np.array(0.0), np.array(0.0)), 0.0, before
    if says is not Verdict.SOMETHING_ELSE and any(one.is_elsewhere for one in advice.diagnoses):
        says = Verdict.SOMETHING_ELSE
    rest = rest_after(model, nut, x, means.cents, aims, shift)
    return replace(
        advice,
        strings=_read_strings(read, [len(each) for each in by_string.values()], means, aims, (rest, meant)),
        moves=tuple(_move(workup, end, shift, scales) for end in ends),
        after=after,
        verdict=says,
        shifted_cents=shifted,
        off_model_mm=_off_model(workup, read, means.cents, before) if advice.known_place else (),
    )


def _means(workup: Workup, read: Sequence[Sequence[NoteReading]], errors: ReadingErrors) -> Means:
    """What each string reads, from readings off a tuner or heard."""
    repeats = [np.array([_octave_cents(workup, one) for one in each]) for each in read]
    references = [len({one.reference for one in each}) for each in read]
    if all(one.heard_error_cents is None for each in read for one in each):
        return mean_readings(repeats, references, errors)
    heard = [
        HeardErrors(
            np.array([np.nan if one.heard_error_cents is None else one.heard_error_cents for one in each]),
            np.array([one.shared_error_cents for one in each]),
        )
        for each in read
    ]
    return mean_heard(repeats, references, errors, heard)


def _read_strings(
    read: IntArray, repeats: Sequence[int], means: Means, aims: FloatArray, after: tuple[FloatArray, FloatArray]
) -> tuple[ReadString, ...]:
    sure = NORMAL_QUANTILE * means.standard_error_cents
    columns = (column.tolist() for column in (read, means.cents, sure))
    later = (column.tolist() for column in (aims, *after))
    rows = zip(*columns, repeats, *later, strict=True)
    return tuple(ReadString(*row) for row in rows)


def _octave_cents(workup: Workup, reading: NoteReading) -> float:
    """A reading at the octave against the harmonic, whatever it was compared with."""
    return reading.cents - (float(workup.harmonic_cents[reading.string]) if reading.against is Against.OPEN else 0.0)


def _aims(workup: Workup, read: IntArray) -> FloatArray:
    """What each string is to read: one or two, what the line leaves; more, what each wants for itself.

    Both are zero for a bridge that is tuned to the octave by its outer strings.
    """
    back = workup.setbacks
    own = octave_cents(workup.model, back.setback_mm, back.nut_setback_mm)
    aims = workup.left_cents if len(read) <= 2 else own
    return np.round(aims[read], 9) + 0.0


def _scales(workup: Workup) -> dict[str, CentsScale]:
    """The scales on the fork's legs, by end."""
    return {scale.end: scale for scale in leg_scales(workup)}


def _ends(workup: Workup, first: str, strings: int) -> tuple[str, ...]:
    """The ends that move, in the order in which they are set."""
    if strings == 1 or workup.outer_strings[0] == workup.outer_strings[1]:
        return (first,)
    return (first, ENDS[1 - ENDS.index(first)])


def _held_mm(workup: Workup, read: IntArray, scales: Mapping[str, CentsScale]) -> float | None:
    """x of the end that is held while a single string is set; None where the bridge slides."""
    if len(read) > 1 or workup.outer_strings[0] == workup.outer_strings[1]:
        return None
    return scales[ENDS[1 - workup.outer_strings.index(int(read[0]))]].inner_mm


def _carries_cents(workup: Workup, shift: Shift, end: str, scales: Mapping[str, CentsScale]) -> float:
    """What the move of an end does to the other outer string, in cents, while that string's end is held."""
    n = ENDS.index(end)
    moved, string = workup.outer_strings[n], workup.outer_strings[1 - n]
    if string == moved:
        return 0.0
    x, moved_x = float(workup.across_mm[string]), float(workup.across_mm[moved])
    turned = held_end_shift_mm(float(shift.at(moved_x)[0]), moved_x, x, scales[ENDS[1 - n]].inner_mm)
    return turned * float(workup.cents_per_mm[string])


def _move(workup: Workup, end: str, shift: Shift, scales: Mapping[str, CentsScale]) -> Move:
    string, scale = workup.outer_strings[ENDS.index(end)], scales[end]
    mm = float(shift.at(float(workup.across_mm[string]))[0])
    alone = mm * abs(float(workup.cents_per_mm[string]))
    both = float(shift.at(scale.inner_mm)[0]) / scale.mm_per_cent
    return Move(end, string, mm, alone, both, _carries_cents(workup, shift, end, scales))


def _standing(workup: Workup, places: tuple[float, float]) -> Standing:
    return Standing(places[0], places[1], workup.line_through(*places).slant_deg)


def _moved(workup: Workup, before: Standing, shift: Shift) -> Standing:
    treble, bass = shift.at(workup.across_mm[list(workup.outer_strings)]).tolist()
    return _standing(workup, (before.treble_mm + treble, before.bass_mm + bass))


def _off_model(workup: Workup, read: IntArray, cents: FloatArray, before: Standing) -> tuple[float, ...]:
    """How far from its given place each string sounds as if it were, mm."""
    line = workup.line_through(before.treble_mm, before.bass_mm)
    nut = workup.setbacks.nut_setback_mm[read]
    sounds = place_for_cents(only(workup.model, read), nut, cents)
    return tuple((sounds - workup.setback_on_mm(line)[read]).tolist())
