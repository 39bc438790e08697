"""Plucks that were heard, to readings: which note of which string each one is, and which two are compared.

The note pressed at the octave is compared with the open string's second partial, which is the octave harmonic. A harmonic of
its own is accepted only from a sound that holds nothing else: it sounds like the pressed note, and if the two are swapped,
the move is reversed.

A pitch may be two notes: a banjo's open string 1 is its string 4 at the octave. Such a pluck is of the string that was
plucked before and after it. With notes at other frets most pitches may be several notes, so such a sound holds one string.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import cast

import numpy as np

from geometry.arrays import FloatArray
from geometry.frets import CENTS_PER_OCTAVE
from geometry.fretting import octave_tension_ratio
from geometry.hearing import Difference, fret_difference, octave_difference
from geometry.naming import note_heard
from geometry.partials import Partials, partials_of
from geometry.plucks import MOST_S, SKIPPED_S, Pluck, Unheard, plucks_in
from geometry.readings import only
from jigs.input.sound import Sound
from jigs.readings.checked import Against, NoteReading
from jigs.workup.workup import Workup

SAME_NOTE_CENTS = 45.0
"""Notes of two strings that are nearer than this are one pitch to the ear, and a fret is known by it. Our own bound."""

WHICH_STRING, NO_REFERENCE, NO_PRESSED, SPARE = "which-string", "no-reference", "no-pressed", "spare"
NOT_OPEN, NOT_PRESSED = "not-open", "not-pressed"
"""Why a pluck is not used, beside the codes of `Unheard`."""

ENOUGH_S = SKIPPED_S + MOST_S
"""How long a pluck that still rings has to ring before the page takes it: as long as a recording of it would be heard."""

_RINGS_ON_S = 0.05
"""A sound that begins louder than it later is begins within a note. What rings there is not a pluck."""


class What(StrEnum):
    """What was plucked."""

    OPEN = "open"
    OCTAVE = "octave"
    HARMONIC = "harmonic"
    FRET = "fret"


REFERENCES = (What.OPEN, What.HARMONIC)


@dataclass(frozen=True)
class Meaning:
    """A note that a pitch may be: ``string`` is an index, ``fret`` counts from the string's own nut."""

    string: int
    what: What
    fret: int | None = None


@dataclass(frozen=True, eq=False)
class Heard:
    """A pluck that was heard. ``reason``: the code of why it is not used, None if it is.

    ``meanings``: the notes that it may be; of one that may be several, ``string`` is settled by those around it.
    """

    file: str
    at_s: float
    string: int | None
    what: What | None
    fret: int | None = None
    partials: Partials | None = None
    reason: str | None = None
    meanings: tuple[Meaning, ...] = ()

    @property
    def used(self) -> bool:
        """Whether it counts."""
        return self.reason is None


@dataclass(frozen=True, eq=False)
class HeardDifference:
    """A pressed note less its reference; ``string`` is an index."""

    string: int
    difference: Difference
    pressed: Heard
    reference: Heard


@dataclass(frozen=True, eq=False)
class Listened:
    """All that was heard, each pluck used or with its reason, and the differences."""

    heard: tuple[Heard, ...]
    differences: tuple[HeardDifference, ...]


@dataclass(frozen=True)
class PluckHeard:
    """What a short sound says of the pluck that was asked for: ``state`` is "waiting", "heard" or "refused"."""

    state: str
    partials: Partials | None = None
    reason: str | None = None
    at_s: float = 0.0


# ---- which note


@dataclass(frozen=True)
class _Pitch:
    hz: float
    meanings: tuple[Meaning, ...]


def _pitches(workup: Workup, string: int | None, harmonic: bool, diagnose: bool) -> tuple[_Pitch, ...]:
    """The pitches to expect, each with the notes that it may be, low ones first."""
    found: list[tuple[float, Meaning]] = []
    for n in range(len(workup.instrument.strings)) if string is None else (string,):
        open_hz, octave = float(workup.instrument.stringing.pitch_hz[n]), int(workup.octave_frets[n])
        found.append((open_hz, Meaning(n, What.OPEN)))
        wanted = workup.model.wanted[n, workup.model.has_fret[n]]
        for fret, ratio in enumerate(wanted.tolist(), 1):
            if fret == octave:
                found.append((open_hz * ratio, Meaning(n, What.HARMONIC if harmonic else What.OCTAVE, fret)))
            elif diagnose and not harmonic:
                found.append((open_hz * ratio, Meaning(n, What.FRET, fret)))
    found.sort(key=lambda each: each[0])
    groups: list[list[tuple[float, Meaning]]] = []
    for each in found:
        if not groups or _cents(each[0], groups[-1][0][0]) > SAME_NOTE_CENTS:
            groups.append([])
        groups[-1].append(each)
    return tuple(_pitch(group, harmonic) for group in groups)


def _pitch(group: Sequence[tuple[float, Meaning]], harmonic: bool) -> _Pitch:
    """One pitch. In a sound of harmonics a note that may be one is one."""
    first = [each for each in group if each[1].what is What.HARMONIC] if harmonic else []
    first = first or list(group)
    return _Pitch(first[0][0], tuple(meaning for _, meaning in first))


def _samples(sound: Sound) -> FloatArray:
    """What was recorded; `geometry` takes single precision too."""
    return cast(FloatArray, sound.samples)


def _cents(hz: float, than_hz: float) -> float:
    return CENTS_PER_OCTAVE * math.log2(hz / than_hz)


def hear(
    sound: Sound, file: str, workup: Workup, string: int | None, harmonic: bool, diagnose: bool
) -> tuple[Heard, ...]:
    """The plucks of a sound. ``string``: the index of the one that is played, None to go by pitch.

    ``harmonic``: every note at the octave is a harmonic. ``diagnose``: notes at other frets count too, all of one string.
    """
    pitches = _pitches(workup, string, harmonic, diagnose)
    plucks = plucks_in(_samples(sound), sound.rate_hz)
    heard = tuple(_heard(sound, file, pluck, pitches) for pluck in plucks)
    return settled(_on_one_string(heard) if diagnose and not harmonic and string is None else heard)


def _heard(sound: Sound, file: str, pluck: Pluck, pitches: Sequence[_Pitch]) -> Heard:
    unknown = Heard(file, pluck.start / sound.rate_hz, None, None)
    try:
        known = note_heard(_samples(sound), sound.rate_hz, pluck, np.array([each.hz for each in pitches]))
    except Unheard as why:
        return replace(unknown, reason=why.code)
    pitch = pitches[known]
    one = pitch.meanings[0] if len(pitch.meanings) == 1 else None
    heard = replace(unknown, meanings=pitch.meanings)
    if one is not None:
        heard = replace(heard, string=one.string, what=one.what, fret=one.fret)
    try:
        partials = partials_of(_samples(sound), sound.rate_hz, pluck, pitch.hz)
    except Unheard as why:
        return replace(heard, reason=why.code)
    return replace(heard, partials=partials)


def _is_octave(what: What | None, partials: Partials | None) -> bool:
    """Whether what is taken for an open string has no odd partials: it is a note at its octave."""
    return what is What.OPEN and partials is not None and not np.any(partials.number % 2)


def _on_one_string(heard: Sequence[Heard]) -> tuple[Heard, ...]:
    """The same plucks as notes of the only string that has them all and is also heard open; none is used if none is."""
    known = [one.meanings for one in heard if one.meanings]
    fitting = {meaning.string for meanings in known for meaning in meanings if meaning.what is What.OPEN}
    for meanings in known:
        fitting &= {meaning.string for meaning in meanings}
    if len(fitting) == 1:
        (string,) = fitting
        return tuple(_on(string, one) if one.meanings else one for one in heard)
    return tuple(Heard(one.file, one.at_s, None, None, reason=one.reason or WHICH_STRING) for one in heard)


def _on(string: int, heard: Heard) -> Heard:
    """A pluck as the note that it is on this string."""
    (one,) = (each for each in heard.meanings if each.string == string)
    return replace(heard, string=string, what=one.what, fret=one.fret, meanings=(one,))


def settled(heard: Sequence[Heard]) -> tuple[Heard, ...]:
    """The same plucks, with a string for each that may be of several: that of the plucks around it, if they agree.

    Those in other files count for a file that has no pluck of a string that is sure. If they are on one side alone, a
    pluck between that nobody can name leaves it open: a short note of another string may be lost there.
    """
    sure = [n for n, one in enumerate(heard) if len(one.meanings) == 1 and not _is_unnamed(one)]
    known = (_settled(heard, sure, n) if len(one.meanings) > 1 else one for n, one in enumerate(heard))
    return tuple(replace(one, reason=NOT_OPEN) if _is_octave(one.what, one.partials) else one for one in known)


def _settled(heard: Sequence[Heard], sure: Sequence[int], n: int) -> Heard:
    sure = [k for k in sure if heard[k].file == heard[n].file] or sure
    before, after = [k for k in sure if k < n][-1:], [k for k in sure if k > n][:1]
    sides = [*before, *after]
    if len(sides) == 1 and any(_is_unnamed(one) for one in heard[min(n, *sides) : max(n, *sides)]):
        sides = []
    around = {heard[k].string for k in sides}
    fitting = [one for one in heard[n].meanings if one.string in around]
    if len(fitting) == 1:
        reason = None if heard[n].reason == WHICH_STRING else heard[n].reason
        return replace(_on(fitting[0].string, heard[n]), reason=reason, meanings=heard[n].meanings)
    return replace(heard[n], string=None, what=None, fret=None, reason=heard[n].reason or WHICH_STRING)


def _is_unnamed(heard: Heard) -> bool:
    """Whether nobody can say which note a pluck is."""
    return not heard.meanings or (len(heard.meanings) == 1 and _is_octave(heard.what, heard.partials))


# ---- which two


def compared(heard: Sequence[Heard], workup: Workup) -> Listened:
    """Each pressed note against the last reference of its string before it, else the first after it.

    Where several references come before several pressed notes, they are compared in their order.
    """
    reasons: dict[int, str] = {}
    found: list[HeardDifference] = []
    for n, pressed in enumerate(heard):
        if pressed.reason is not None or pressed.what in REFERENCES:
            continue
        reference = _reference(heard, n)
        if reference is None:
            reasons[n] = NO_REFERENCE
            continue
        try:
            found.append(_difference(workup, pressed, heard[reference]))
        except Unheard as why:
            reasons[n] = why.code
    in_use = {id(one.reference) for one in found}
    for n, one in enumerate(heard):
        if one.reason is None and one.what in REFERENCES and id(one) not in in_use:
            reasons[n] = SPARE if any(each.string == one.string for each in found) else NO_PRESSED
    refused = {id(heard[n]): replace(heard[n], reason=reason) for n, reason in reasons.items()}
    return Listened(tuple(refused.get(id(one), one) for one in heard), tuple(found))


def differences(heard: Sequence[Heard], workup: Workup) -> tuple[HeardDifference, ...]:
    """The differences alone."""
    return compared(heard, workup).differences


def _reference(heard: Sequence[Heard], n: int) -> int | None:
    """The index of the pluck that a pressed note is compared with; a fret only with the open string."""
    kinds = (What.OPEN,) if heard[n].what is What.FRET else REFERENCES
    own = [k for k, one in enumerate(heard) if one.reason is None and one.string == heard[n].string]
    references = [k for k in own if heard[k].what in kinds]
    before = [k for k in references if k < n]
    if not before:
        return next(iter(references), None)
    pressed = [k for k in own if heard[k].what not in REFERENCES]
    row = [k for k in before if not any(k < other < before[-1] for other in pressed)]
    stop = next((k for k in references if k > n), len(heard))
    group = [k for k in pressed if before[-1] < k < stop]
    return row[max(0, len(row) - len(group) + group.index(n))]


def _difference(workup: Workup, pressed: Heard, reference: Heard) -> HeardDifference:
    """Raises `Unheard` if too few partials can be compared."""
    string = pressed.string
    assert string is not None
    assert pressed.partials is not None
    assert reference.partials is not None
    if pressed.what is What.FRET:
        ratio = float(workup.model.wanted[string, (pressed.fret or 0) - 1])
        return HeardDifference(string, fret_difference(pressed.partials, reference.partials, ratio), pressed, reference)
    partial = 2 if reference.what is What.OPEN else 1
    tension = _tension_ratio(workup, string)
    return HeardDifference(
        string, octave_difference(pressed.partials, reference.partials, partial, tension), pressed, reference
    )


def _tension_ratio(workup: Workup, string: int) -> float:
    """How much less stiff the string is at the octave than half of it was, open."""
    back = workup.setback_on_mm(workup.line)[[string]]
    nut = workup.setbacks.nut_setback_mm[[string]]
    return float(octave_tension_ratio(only(workup.model, [string]), back, nut)[0])


def readings_of(found: Iterable[HeardDifference], workup: Workup) -> tuple[NoteReading, ...]:
    """The differences as readings: at the octave against the harmonic, at other frets against the open string."""
    return tuple(_reading(one, workup) for one in found)


def _reading(one: HeardDifference, workup: Workup) -> NoteReading:
    string, heard = one.string, one.difference
    is_fret = one.pressed.what is What.FRET
    octave = int(workup.octave_frets[string])
    off_octave = 0.0 if is_fret else _cents(float(workup.model.wanted[string, octave - 1]), 2.0)
    return NoteReading(
        string,
        (one.pressed.fret or octave) if is_fret else octave,
        Against.OPEN if is_fret else Against.HARMONIC,
        heard.cents - off_octave,
        f"{one.reference.file} {one.reference.at_s:.4f}",
        heard_error_cents=heard.own_error_cents,
        shared_error_cents=heard.shared_error_cents,
    )


# ---- a pluck at a time, for the page


def hear_pluck(sound: Sound, open_hz: float, wanted: What) -> PluckHeard:
    """The first pluck of a short sound that can be used, if it is what was asked for: the open string, or its octave.

    It is "waiting" while no pluck is there, or the last one still rings and has not rung for `ENOUGH_S`.
    """
    said = PluckHeard("waiting")
    for pluck in plucks_in(_samples(sound), sound.rate_hz):
        if pluck.start < _RINGS_ON_S * sound.rate_hz:
            continue
        rings = pluck.end >= len(sound.samples) - 0.05 * sound.rate_hz
        if rings and len(sound.samples) - pluck.start < ENOUGH_S * sound.rate_hz:
            return PluckHeard("waiting")
        said = _one_pluck(sound, pluck, open_hz, wanted)
        if said.reason is None:
            return said
    return said


def _one_pluck(sound: Sound, pluck: Pluck, open_hz: float, wanted: What) -> PluckHeard:
    at_s = pluck.start / sound.rate_hz
    candidates = np.array([open_hz, 2 * open_hz])
    try:
        known = (What.OPEN, What.OCTAVE)[note_heard(_samples(sound), sound.rate_hz, pluck, candidates)]
        if known is not wanted:
            return PluckHeard("refused", reason=NOT_PRESSED if known is What.OPEN else NOT_OPEN, at_s=at_s)
        near = open_hz if wanted is What.OPEN else 2 * open_hz
        partials = partials_of(_samples(sound), sound.rate_hz, pluck, near)
    except Unheard as why:
        return PluckHeard("refused", reason=why.code, at_s=at_s)
    if _is_octave(wanted, partials):
        return PluckHeard("refused", reason=NOT_OPEN, at_s=at_s)
    return PluckHeard("heard", partials, at_s=at_s)
