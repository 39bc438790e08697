"""A checked instrument, in millimetres, with the defaults of its kind filled in."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.frets import octave_columns
from geometry.touch import Touch
from jigs.faults import Check, Key, Note, Place
from jigs.instrument import body_words, usual, words
from jigs.instrument.body import Rim, Top
from jigs.instrument.found import Found
from jigs.instrument.keys import Head, StringEntry
from jigs.instrument.second_look import pulls_looked_at, second_look
from jigs.instrument.stringing import Stringing
from jigs.instrument.tables import Action, Board, Bridge, Compensation, Nut, Pitch, Tail
from jigs.instrument.tolerance import Tolerance

_FIFTH_STRING = 5
_LEAST_RISING = 3
"""Strings that rise one after the other, behind a first one that does not: a banjo's, listed from its short string."""


@dataclass(frozen=True)
class Instrument:
    """A checked instrument, in millimetres, defaults filled in.

    ``source`` is where it was read from; ``assumed`` has the measurements that its kind supplies, and their values.
    """

    source: str
    head: Head
    pitch: Pitch
    action: Action
    compensation: Compensation
    strings: tuple[StringEntry, ...]
    nut: Nut
    board: Board
    bridge: Bridge
    tail: Tail
    rim: Rim
    top: Top
    tolerance: Tolerance
    found: Found
    stringing: Stringing
    assumed: tuple[tuple[Key, float], ...]

    @property
    def name(self) -> str:
        """What the owner calls it."""
        return self.head.name

    def string_in_words(self, index: int) -> str:
        """A string as the owner speaks of it: ``string 4 G3``, ``pair 4 G3``."""
        entry = self.strings[index]
        return f"{entry.called(index + 1)} {entry.note}"

    @property
    def stands_on(self) -> str:
        """What its bridge stands on: ``feet`` on a banjo, ``base`` on others."""
        return usual.STANDS_ON[self.head.kind]

    @property
    def straight_edge_is_rare(self) -> bool:
        """Whether most bridges of its kind have a stepped saddle."""
        return self.head.kind in usual.STRAIGHT_SADDLE_IS_RARE

    @property
    def dots(self) -> tuple[int, ...]:
        """Frets with a position dot before them: as given, or those that are usual for its kind."""
        if self.board.dots is not None:
            return tuple(dict.fromkeys(self.board.dots))
        return tuple(fret for fret in usual.DOTS[self.head.kind] if fret <= self.head.frets)

    @property
    def octave_fret(self) -> int:
        """The fret at the octave, which readings and words go by; the nearest to it on a board without one."""
        wanted = self.head.wanted[None]
        return self.head.octave_fret or int(octave_columns(wanted, wanted > 0)[0]) + 1

    @property
    def slip(self) -> float:
        """Slip of the strings over nut and bridge: as given, or the middle of its range."""
        return self.tolerance.slip_of(self.tail.slip)

    @property
    def touch(self) -> Touch:
        """The fingers that are plausible, or the one that is given."""
        from_nut = [0.0, *(self.head.scale_mm - self.head.to_bridge_mm).tolist()]
        return self.action.touch(
            min(from_nut[one.starts_at_fret + 1] - from_nut[one.starts_at_fret] for one in self.strings)
        )

    @property
    def steps_mm(self) -> FloatArray:
        """Where each string bears against the crown line, + towards the tailpiece."""
        return np.zeros(len(self.strings)) if self.bridge.steps is None else np.array(self.bridge.steps)

    @property
    def nut_setback_mm(self) -> FloatArray:
        """Where each string leaves the nut as it is, ΔN: minus is towards the bridge."""
        return np.zeros(len(self.strings)) if self.nut.steps is None else -np.array(self.nut.steps)

    @property
    def checks(self) -> tuple[Check, ...]:
        """Values that are more likely slips than real."""
        return tuple(_checks(self))

    @property
    def notes(self) -> tuple[Note, ...]:
        """What is possible but unlikely: worth a second look, no reason to stop."""
        return (*_notes(self), *self.checks)


def _notes(instrument: Instrument) -> Iterator[Note]:
    kind = instrument.head.kind
    if instrument.assumed:
        yield words.usual_values_taken(instrument.assumed, kind).note()
    if instrument.bridge.steps is None and instrument.straight_edge_is_rare:
        yield words.straight_edge_assumed(kind).note(Place(table="bridge", key="steps"))


def _checks(instrument: Instrument) -> Iterator[Check]:
    head, scale = instrument.head, (Place(key="scale"), "scale")
    common = usual.USUAL_SCALES_MM.get(head.kind)
    if common and not common[0] <= head.scale_mm <= common[1]:
        yield words.unusual_scale(head.scale_mm, head.kind, *common).check(*scale)
    elif head.scale is not None and _is_slack(instrument):
        yield words.perhaps_half_a_scale(head.scale).check(*scale)
    else:
        yield from pulls_looked_at(instrument.strings, instrument.stringing)
    bridge = instrument.bridge
    if bridge.crown > bridge.thickness:
        at = Place(table="bridge", key="crown")
        yield body_words.crown_over_feet(bridge.crown, bridge.thickness).check(at, "crown")
    yield from _order_checks(instrument)
    yield from _pull_checks(instrument)
    yield from second_look(head, instrument.action, instrument.strings, instrument.nut, bridge, instrument.tail)


def _is_slack(instrument: Instrument) -> bool:
    """Whether the steel strings pull so little that the scale is more likely a half of one."""
    pull = zip(instrument.strings, instrument.stringing.tension_n.tolist(), strict=True)
    steel = [tension for entry, tension in pull if entry.material == "steel"]
    return bool(steel) and sum(steel) / len(steel) < usual.SLACK_N


def _pull_checks(instrument: Instrument) -> Iterator[Check]:
    """Strings that pull harder than is usual, or that are near breaking."""
    stringing = instrument.stringing
    for n, (entry, tension) in enumerate(zip(instrument.strings, stringing.tension_n, strict=True)):
        if tension > usual.WARN_AT_TENSION_N:
            says = words.string_pulls(entry.gauge, entry.note, tension, "string-pulls-hard")
            yield says.check(Place(table="strings", key="gauge", string=n + 1), entry.called(n + 1))
    for n, (entry, ratio) in enumerate(zip(instrument.strings, stringing.strength_ratio, strict=True)):
        if ratio is not None and ratio > usual.WARN_AT_STRENGTH_RATIO:
            says = words.string_near_breaking(entry.gauge, entry.note, ratio)
            yield says.check(Place(table="strings", key="gauge", string=n + 1), entry.called(n + 1))


def _order_checks(instrument: Instrument) -> Iterator[Check]:
    """Strings that look as if they were listed from the wrong side, or as if a short one were listed at full length."""
    pitch, full = instrument.stringing.pitch_hz, instrument.stringing.full_length
    full_pitch = pitch[full]
    last_is_high = len(full_pitch) > 2 and full_pitch[-1] > full_pitch[-2] and full[-1]
    fifth_is_high = last_is_high and len(full_pitch) >= _FIFTH_STRING
    rises = len(full_pitch) > 1 and bool(np.all(np.diff(full_pitch) > 0))
    from_the_second = len(pitch) > _LEAST_RISING and bool(np.all(np.diff(pitch[1:]) > 0))
    if from_the_second and pitch[0] > pitch[1]:
        has_fifth = instrument.head.kind == "banjo" and len(pitch) >= _FIFTH_STRING
        yield words.listed_from_the_second(has_fifth).check(Place(table="strings"), words.STRINGS)
    elif rises or (full_pitch[0] < full_pitch[-1] and not last_is_high):
        yield words.LISTED_FROM_THE_BASS.check(Place(table="strings"), words.STRINGS)
    if fifth_is_high and instrument.head.kind == "banjo":
        last = instrument.strings[-1]
        at = Place(table="strings", key="starts_at_fret", string=len(pitch))
        yield words.perhaps_short(last.note).check(at, last.called(len(pitch)))
