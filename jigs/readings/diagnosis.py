"""Readings of each string at several frets, weighed for what may be wrong with it.

If the bridge's place was found by ear with these strings, the bridge was right, and the question is what has changed since.
A place that was found with strings of another make says nothing like that about today's.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from geometry import diagnosis as weighing
from geometry.causes import Cause
from geometry.readings import ReadingErrors, only
from jigs.readings.checked import Against, NoteReading
from jigs.readings.rounds import Start
from jigs.workup.workup import Workup

_CURED_BY_A_MOVE = (Cause.NEAR, Cause.FAR, Cause.TOUCH, Cause.NOTHING)


class Strength(StrEnum):
    """How sure the readings are of the cause that they name: words of the JSON, which do not change."""

    NOT_SURE = "not sure"
    LIKELY = "likely"
    ALL_BUT_CERTAIN = "all but certain"


@dataclass(frozen=True)
class StringDiagnosis:
    """What may be wrong with a string: suspects by weight, the one to name if any, and the fret to read next.

    ``was_right``: whether the bridge was in tune there before, so that a cause is something that has changed.
    """

    string: int
    frets: tuple[int, ...]
    suspects: tuple[weighing.Suspect, ...]
    named: weighing.Suspect | None
    next_fret: int | None
    fit: weighing.StringFit
    was_right: bool

    @property
    def strength(self) -> Strength:
        """How sure the readings are of the cause that is named."""
        if self.named is None:
            return Strength.NOT_SURE
        return Strength.ALL_BUT_CERTAIN if self.named.weight >= weighing.VERY_SURE else Strength.LIKELY

    @property
    def is_elsewhere(self) -> bool:
        """Whether the cause that was named is one that no move of the bridge cures."""
        return self.named is not None and self.named.cause not in _CURED_BY_A_MOVE


def diagnoses(
    workup: Workup, readings: Sequence[NoteReading], errors: ReadingErrors, start: Start | None = None
) -> tuple[StringDiagnosis, ...]:
    """A diagnosis of each string that was read, in their order; ``start``: where the bridge stands, if known."""
    read = sorted({reading.string for reading in readings})
    return tuple(_diagnosis(workup, n, [one for one in readings if one.string == n], errors, start) for n in read)


def _ruled_out(workup: Workup, n: int, start: Start | None) -> frozenset[Cause]:
    """Moves that cannot be what changed, because the user says where the bridge stands now."""
    if start is None or start.round or start.kept or not _was_right(workup):
        return frozenset()
    x = workup.across_mm[n : n + 1]
    off = float(workup.line_through(*start.places_mm).at(x)[0] - workup.line.at(x)[0])
    if abs(off) <= workup.instrument.found.plus_minus:
        return frozenset((Cause.NEAR, Cause.FAR))
    return frozenset((Cause.FAR if off < 0 else Cause.NEAR,))


def _diagnosis(
    workup: Workup, n: int, own: Sequence[NoteReading], errors: ReadingErrors, start: Start | None
) -> StringDiagnosis:
    names = list(dict.fromkeys(one.reference for one in own))
    harmonic = float(workup.harmonic_cents[n])
    errors = _errors_of(own, errors)
    read = weighing.FretReadings(
        frets=np.array([one.fret for one in own]),
        cents=np.array([one.cents for one in own]),
        reference=np.array([names.index(one.reference) for one in own]),
        harmonic_cents=np.array([harmonic if one.against is Against.HARMONIC else 0.0 for one in own]),
    )
    string = weighing.String(
        model=only(workup.model, [n]),
        setback_mm=float(workup.setback_on_mm(workup.line)[n]),
        nut_setback_mm=float(workup.setbacks.nut_setback_mm[n]),
        touch=workup.instrument.touch,
        was_right=_was_right(workup),
        wound=workup.instrument.strings[n].is_wound,
        ruled_out=_ruled_out(workup, n, start),
    )
    suspects = tuple(sorted(weighing.weigh(string, read, errors), key=lambda one: -float(one.weight)))
    return StringDiagnosis(
        string=n,
        frets=tuple(sorted({one.fret for one in own})),
        suspects=suspects,
        named=weighing.named(suspects, read.frets),
        next_fret=weighing.next_fret(string, read, errors),
        fit=weighing.fit_together(string, read, errors),
        was_right=string.was_right,
    )


def _errors_of(own: Sequence[NoteReading], errors: ReadingErrors) -> ReadingErrors:
    """The errors of tuner and touch; of readings that were heard, half of their mean variance is the tuner's."""
    heard = [
        math.hypot(one.heard_error_cents, one.shared_error_cents) for one in own if one.heard_error_cents is not None
    ]
    if not heard:
        return errors
    return replace(errors, tuner_cents=math.sqrt(sum(one**2 for one in heard) / len(heard) / 2))


def _was_right(workup: Workup) -> bool:
    """Whether the bridge was in tune in its place, with these strings or with others of the same make."""
    if workup.found is None:
        return False
    same_make = workup.instrument.found.same_make
    return workup.found.same_strings if same_make is None else same_make
