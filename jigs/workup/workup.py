"""Instrument to Workup: every number that a template draws or a table prints, worked out once.

Everything is in the frame of a right-handed instrument: distances from the nut along it, x across it
towards the treble side. Left-handed drawings are mirrored when they are drawn.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from geometry.arrays import FloatArray, IntArray
from geometry.bridge import BridgeLine, outer_strings, straight_line
from geometry.compensation import NoSetbackError, Objective, Setbacks, setbacks
from geometry.frets import STEPS_PER_OCTAVE, octave_columns
from geometry.fretting import (
    FrettedStrings,
    error_cents,
    octave_cents,
    octave_cents_per_mm,
    octave_harmonic_cents,
    relief_fall_mm,
)
from geometry.spacing import SpacingError, course_places_mm, string_offsets_mm
from geometry.touch import mean_press_mm
from jigs.faults import Check, Fault, InputFaults, Key, Note, Place
from jigs.instrument.instrument import Instrument
from jigs.workup import fault_words
from jigs.workup.edge_clearance import edge_notes
from jigs.workup.found_words import Unexplained, correction_unexplained, same_make
from jigs.workup.on_the_top import feet_before_crown_mm
from jigs.workup.slant import SteepSlant, steep_as_found, steep_slant
from jigs.workup.slant_words import SLANT, slant_unusual
from jigs.workup.unsolved import far_setback_checks, no_setback_faults

Point: TypeAlias = tuple[float, float]


@dataclass(frozen=True, eq=False)
class FoundPlace:
    """Where the bridge played in tune, as a line of the crown; ``then`` is the workup for the strings of that time.

    ``same_strings``: whether the instrument still has them; ``same_pitch``: whether it is still tuned to the same A.
    ``moved_mm``: how far the line moves for today's, at the outer strings, treble first. ``beyond_mm``: by how much the
    correction there is larger than all that is uncertain explains. ``bass_sure_mm``: half width of the 95% interval at the
    bass end, for a tape, as it is and with strings of one make.
    """

    line: BridgeLine
    then: "Workup"
    same_strings: bool
    same_pitch: bool
    moved_mm: tuple[float, float]
    beyond_mm: tuple[float, float] = (0.0, 0.0)
    bass_sure_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def is_moved(self) -> bool:
        """Whether the line is moved from where it was found."""
        return not (self.same_strings and self.same_pitch)

    @property
    def other_make(self) -> bool:
        """Whether the file says that today's strings are of another make, though their gauges may be the same."""
        return self.then.instrument.found.same_make is False

    @property
    def places_mm(self) -> tuple[float, float]:
        """The found line at the outer full-length strings, from the nut: treble, bass."""
        treble, bass = self.line.at(self.then.outer_mm).tolist()
        return treble, bass

    @property
    def correction_mm(self) -> tuple[float, float]:
        """Found less computed for the strings of then, at the outer strings: the instrument's own correction."""
        treble, bass = self.correction_at_mm(self.then.outer_mm).tolist()
        return treble, bass

    def correction_at_mm(self, across_mm: FloatArray) -> FloatArray:
        """The same anywhere across."""
        return np.asarray(self.line.at(across_mm) - self.then.line.at(across_mm))


@dataclass(frozen=True, eq=False)
class Workup:
    """All numbers of one instrument, and no other object's equal.

    Arrays have one value for each string, or strings × own frets.
    ``to_bridge_mm`` from each fret to the theoretical line; ``model`` the strings as the physics takes them;
    ``cents`` at each string's own setbacks, counted from its own nut; ``rms_cents`` over the frets that count;
    ``cents_per_mm`` of the octave comparison; ``line`` the straight bridge at the crown: where it was ``found`` by ear if it
    was, else ``computed_line``; ``left_cents`` the octave comparison on the computed line and ``left_rms_cents`` over the
    frets that count; ``harmonic_cents`` h; ``across_mm`` x at the bridge; ``nut_places_mm`` and ``bridge_places_mm`` x of
    the single strings, two for each entry, the same one twice where it is not a pair; ``outer_strings`` the indices of the
    outer full-length strings, treble first.
    """

    instrument: Instrument
    to_bridge_mm: FloatArray
    model: FrettedStrings
    setbacks: Setbacks
    cents: FloatArray
    rms_cents: FloatArray
    harmonic_cents: FloatArray
    cents_per_mm: FloatArray
    across_mm: FloatArray
    nut_places_mm: FloatArray
    bridge_places_mm: FloatArray
    outer_strings: tuple[int, int]
    line: BridgeLine
    left_cents: FloatArray
    left_rms_cents: FloatArray
    computed_line: BridgeLine
    found: FoundPlace | None = None

    @property
    def scale_mm(self) -> float:
        """Nut to theoretical bridge line."""
        return self.instrument.head.scale_mm

    @property
    def from_nut_mm(self) -> FloatArray:
        """From the nut to each fret."""
        return np.asarray(self.scale_mm - self.to_bridge_mm)

    @property
    def standing_line(self) -> BridgeLine:
        """The line that the crown stands over: under it where the top is level with the frets, else square to the top."""
        return self.line.shifted(feet_before_crown_mm(self.instrument)[0])

    @property
    def face_line(self) -> BridgeLine:
        """Where the nut-side face of the bridge's feet stands."""
        return self.line.shifted(feet_before_crown_mm(self.instrument)[1])

    @property
    def octave_frets(self) -> IntArray:
        """Each string's fret at its octave, counted from its own nut; 12 where the frets make equal steps."""
        return octave_columns(self.model.wanted, self.model.has_fret) + 1

    @property
    def outer_mm(self) -> FloatArray:
        """x of the outer full-length strings at the bridge, treble first, shape (2,)."""
        return np.asarray(self.across_mm[list(self.outer_strings)])

    @property
    def outer_places_mm(self) -> tuple[float, float]:
        """Bridge line at the outer full-length strings, from the nut: treble, bass."""
        treble, bass = self.line.at(self.outer_mm)
        return float(treble), float(bass)

    def strings_at(self, from_nut_mm: float) -> FloatArray:
        """x of the single strings at a distance from the nut, shape (strings, 2), like ``nut_places_mm``."""
        share = from_nut_mm / self.scale_mm
        return np.asarray(self.nut_places_mm + (self.bridge_places_mm - self.nut_places_mm) * share)

    def string_runs(self, index: int, start_mm: float, end_mm: float) -> tuple[tuple[Point, Point], ...]:
        """The lines of a string, or of both strings of a pair, between two distances from the nut."""
        starts, ends = self.strings_at(start_mm)[index].tolist(), self.strings_at(end_mm)[index].tolist()
        count = 2 if self.instrument.strings[index].pair else 1
        return tuple(((starts[n], start_mm), (ends[n], end_mm)) for n in range(count))

    def line_through(self, treble_mm: float, bass_mm: float) -> BridgeLine:
        """The straight line through places from the nut at the outer full-length strings; square for a single string."""
        return BridgeLine.through(self.outer_mm, np.array([treble_mm, bass_mm]))

    def cents_with_bridge_at(self, treble_mm: float, bass_mm: float) -> tuple[FloatArray, FloatArray]:
        """What every fret reads with the bridge elsewhere: (strings × own frets, octave comparison).

        ``treble_mm`` and ``bass_mm`` are where the crown stands at the outer full-length strings, from the nut. The nut
        counts as it is.
        """
        back = self.setback_on_mm(self.line_through(treble_mm, bass_mm))
        nut = self.instrument.nut_setback_mm
        return error_cents(self.model, back, nut), octave_cents(self.model, back, nut)

    def setback_on_mm(self, line: BridgeLine) -> FloatArray:
        """Where each string bears behind the theoretical line, with the crown on a line: its step is added to that.

        The model's, that is without the instrument's own correction, if its place was found by ear: on the found line
        each string has the setback that is computed for it there.
        """
        correction = 0.0 if self.found is None else self.found.correction_at_mm(self.across_mm)
        return np.asarray(line.at(self.across_mm) + self.instrument.steps_mm - self.scale_mm - correction)

    @property
    def bears_at_mm(self) -> FloatArray:
        """Where each string bears with the crown on the line, its step added, from the nut."""
        return np.asarray(self.line.at(self.across_mm) + self.instrument.steps_mm)

    @property
    def notes(self) -> tuple[Note, ...]:
        """The instrument's notes, and those that only the numbers show."""
        source = self.instrument.source
        far: list[Note] = [*self._own_checks]
        if self.found is not None:
            far += found_notes(self.instrument, self.found, self.outer_strings)
        far += edge_notes(self)
        if self.instrument.compensation.tune_to is Objective.NUT_AND_SADDLE:
            far.append(fault_words.square_nut(*self.square_nut).note())
            if any(self.instrument.nut.steps or ()):
                far.append(fault_words.nut_steps_computed_anew().note(Place(source, "nut", "steps")))
        return (*self.instrument.notes, *far)

    @property
    def checks(self) -> tuple[Check, ...]:
        """Values that are more likely slips than real: the instrument's, and those that only the numbers show."""
        return (*self.instrument.checks, *self._own_checks)

    @property
    def _own_checks(self) -> tuple[Check, ...]:
        far = list(far_setback_checks(self.instrument, self.setbacks.setback_mm))
        steep = self.steep_slant
        if steep is not None:
            says = slant_unusual(steep, self.instrument)
            far.append(says.check(steep.place(self.instrument.source), SLANT))
        return tuple(far)

    @property
    def steep_slant(self) -> SteepSlant | None:
        """A slant that is unusually steep, with its likeliest cause; None for any other."""
        if self.found is not None:
            return steep_as_found(self.line.slant_deg)
        return steep_slant(
            self.instrument, self.line.slant_deg, self.setbacks.setback_mm, self.across_mm, self.cents_per_mm
        )

    @property
    def square_nut(self) -> tuple[float, float]:
        """Where a nut's end that is cut square belongs, from the nut in mm, and the worst rms that it leaves, in cents.

        A short string keeps its own nut, which is set by itself.
        """
        full, own = self.instrument.stringing.full_length, self.setbacks.nut_setback_mm
        cut = -float(own[full].mean())
        back = self.setback_on_mm(self.line)
        cents = error_cents(self.model, back, np.where(full, -cut, own))
        counted = self.model.has_fret & (np.arange(cents.shape[1]) < self.instrument.compensation.frets)
        return cut, float(np.sqrt(np.mean(cents**2, axis=1, where=counted)).max())


_LEAST_SAVED_MM = 0.1
"""It is worth a question whether strings are of one make if the answer makes the ± smaller by so much."""

_ALIKE = 0.5
"""Corrections at both ends whose smaller is more than this share of the larger are one and the same."""


def found_notes(instrument: Instrument, found: FoundPlace, outer: tuple[int, int]) -> Iterator[Note]:
    """What does not agree with a place found by ear, and what would make it surer."""
    beyond, (treble, bass) = max(found.beyond_mm), found.correction_mm
    if beyond > 0:
        alike = treble * bass > 0 and min(abs(treble), abs(bass)) > _ALIKE * max(abs(treble), abs(bass))
        one_end = Unexplained.BASS if abs(bass) > abs(treble) else Unexplained.TREBLE
        first, last = (instrument.string_in_words(n) for n in outer)
        cause = Unexplained.BOTH_ENDS if alike else one_end
        scale = Key("", "nut_to_fret_12" if instrument.head.scale is None else "scale")
        yield correction_unexplained(cause, (first, last), (treble, bass), beyond, scale).note(Place(table="found"))
    wide, narrow = found.bass_sure_mm
    if not found.same_strings and instrument.found.same_make is None and wide - narrow > _LEAST_SAVED_MM:
        yield same_make(wide, narrow).note(Place(table="found", key="same_make"))


def computed(instrument: Instrument) -> Workup:
    """All numbers of an instrument from the model alone. Raises `InputFaults`."""
    head, aims = instrument.head, instrument.compensation
    to_bridge = head.to_bridge_mm
    try:
        model, solved = _solved(instrument)
    except NoSetbackError as error:
        raise InputFaults(no_setback_faults(instrument, error, _solved)) from None
    strung = instrument.stringing
    slopes = octave_cents_per_mm(model, solved.setback_mm, solved.nut_setback_mm)
    nut_centres, across = _string_centres(instrument)
    steps = instrument.steps_mm
    line = straight_line(head.scale_mm, across, solved.setback_mm - steps, slopes, strung.full_length, aims.bridge_fit)
    cents = error_cents(model, solved.setback_mm, solved.nut_setback_mm)
    left_back = line.at(across) + steps - head.scale_mm
    left = error_cents(model, left_back, solved.nut_setback_mm)
    counted = model.has_fret & (np.arange(cents.shape[1]) < aims.frets)
    outer = outer_strings(strung.full_length)
    return Workup(
        instrument=instrument,
        to_bridge_mm=to_bridge,
        model=model,
        setbacks=solved,
        cents=cents,
        rms_cents=np.sqrt(np.mean(cents**2, axis=1, where=counted)),
        harmonic_cents=octave_harmonic_cents(strung.stiffness),
        cents_per_mm=slopes,
        across_mm=across,
        nut_places_mm=nut_centres[:, None] + _pair_offsets(instrument, instrument.nut.pair_gap),
        bridge_places_mm=across[:, None] + _pair_offsets(instrument, instrument.bridge.pair_gap),
        outer_strings=(int(outer[0]), int(outer[-1])),
        line=line,
        computed_line=line,
        left_cents=octave_cents(model, left_back, solved.nut_setback_mm),
        left_rms_cents=np.sqrt(np.mean(left**2, axis=1, where=counted)),
    )


def _solved(instrument: Instrument) -> tuple[FrettedStrings, Setbacks]:
    """The strings as the physics takes them, and where each belongs. Raises `NoSetbackError`."""
    model, aims = _model(instrument, instrument.head.to_bridge_mm), instrument.compensation
    return model, setbacks(model, aims.tune_to, aims.frets, instrument.nut_setback_mm)


def _pair_offsets(instrument: Instrument, pair_gap_mm: float) -> FloatArray:
    return string_offsets_mm(np.array([entry.pair for entry in instrument.strings]), pair_gap_mm)


def _string_centres(instrument: Instrument) -> tuple[FloatArray, FloatArray]:
    """x of every string or pair at the nut and at the bridge. Raises `InputFaults` when they do not fit side by side."""
    nut, bridge, full = instrument.nut, instrument.bridge, instrument.stringing.full_length
    at_nut, at_bridge = (
        np.array([entry.gauge + (gap if entry.pair else 0) for entry in instrument.strings])
        for gap in (nut.pair_gap, bridge.pair_gap)
    )
    first, last = outer_strings(full)[[0, -1]]
    width = instrument.board.nut_width
    by_edge = width - 2 * (nut.edge or 0) - float(at_nut[first] + at_nut[last]) / 2
    nut_spacing, key = (nut.spacing, "spacing") if nut.spacing is not None else (by_edge, "edge")
    every = np.full(len(full), True)
    places, faults = [], list(_pair_faults(instrument))
    of_nut = (Key("nut", key), Key("board", "nut_width"), at_nut, nut_spacing, nut.spaced, full, width)
    of_bridge = (Key("bridge", "spacing"), Key("bridge", "length"), at_bridge, bridge.spacing, bridge.spaced, every)
    for spread, width_key, extent, spacing, spaced, counted, room in (of_nut, (*of_bridge, bridge.length)):
        at = Place(instrument.source, spread.table, spread.key)
        try:
            places.append(course_places_mm(extent, spacing, spaced, counted))
        except SpacingError as error:
            faults.append(fault_words.strings_overlap(error, spread).at(at))
        else:
            beyond = 2 * float((abs(places[-1]) + extent / 2)[counted].max()) - room
            if beyond > 0:
                faults.append(fault_words.strings_too_wide(beyond / 2, room, width_key).at(at))
    if faults:
        raise InputFaults(faults)
    if key == "edge":
        places[0] = places[0] + float(at_nut[last] - at_nut[first]) / 4
    return places[0], places[1]


def _pair_faults(instrument: Instrument) -> Iterator[Fault]:
    """Pairs whose own two strings would touch."""
    thickest = max((entry.gauge for entry in instrument.strings if entry.pair), default=0.0)
    for table, gap in (("nut", instrument.nut.pair_gap), ("bridge", instrument.bridge.pair_gap)):
        if gap <= thickest:
            yield fault_words.pair_too_close(gap).at(Place(instrument.source, table, "pair_gap"))


def _model(instrument: Instrument, to_bridge_mm: FloatArray) -> FrettedStrings:
    """Every string's own frets, counted from its own nut; the rows of short strings are filled up."""
    strung, action = instrument.stringing, instrument.action
    frets = len(to_bridge_mm)
    wanted = instrument.head.wanted
    open_wanted = np.concatenate(([1.0], wanted))
    made_up_steps = 2.0 ** (np.arange(1, frets + 1) / STEPS_PER_OCTAVE)
    rows, wanted_rows, has_fret = [], [], []
    for starts_at in strung.starts_at:
        own, own_wanted = to_bridge_mm[starts_at:], wanted[starts_at:] / open_wanted[starts_at]
        rows.append(np.concatenate((own, own[-1] / made_up_steps[:starts_at])))
        wanted_rows.append(np.concatenate((own_wanted, own_wanted[-1] * made_up_steps[:starts_at])))
        has_fret.append(np.arange(frets) < len(own))
    to_bridge = np.array(rows)

    def for_each(value: float) -> FloatArray:
        return np.full(len(rows), value)

    touch = instrument.touch
    heights = [action.nut if s.nut_height is None else s.nut_height for s in instrument.strings]
    strings = FrettedStrings(
        length_mm=strung.length_mm,
        to_bridge_mm=to_bridge,
        wanted=np.array(wanted_rows),
        has_fret=np.array(has_fret),
        nut_height_mm=np.array(heights, dtype=float),
        rise_mm=for_each(action.rise_mm),
        fall_mm=relief_fall_mm(np.array(action.relief), strung.length_mm, to_bridge),
        finger_mm=for_each(touch.finger_mm),
        press_mm=for_each(0.0),
        stretch=strung.slipping_stretch,
        stiffness=strung.stiffness,
    )
    octave = strings.at_octave
    over_bridge = strings.nut_height_mm + octave.fall_mm[:, 0] + strings.rise_mm
    return replace(strings, press_mm=mean_press_mm(touch, over_bridge, octave.to_bridge_mm[:, 0]))
