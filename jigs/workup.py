"""Instrument to Workup: every number that a template draws or a table prints, worked out once.

Everything is in the frame of a right-handed instrument: distances from the nut along it, x across it
towards the treble side. Left-handed drawings are mirrored when they are drawn.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import FloatArray
from geometry.bridge import BridgeLine, outer_strings, straight_line, string_places_mm
from geometry.compensation import NoSetbackError, Setbacks, setbacks
from geometry.frets import wanted_ratios
from geometry.fretting import (
    FrettedStrings,
    error_cents,
    octave_cents,
    octave_cents_per_mm,
    octave_harmonic_cents,
    relief_fall_mm,
)
from jigs.faults import Fault, InputFaults
from jigs.instrument import Instrument
from jigs.trade import WARN_AT_SETBACK_SHARE, WARN_AT_SLANT_DEG


@dataclass(frozen=True)
class Workup:
    """All numbers of one instrument. Arrays have one value for each string, or strings × own frets.

    ``to_bridge_mm`` from each fret to the theoretical line; ``model`` the strings as the physics takes them;
    ``cents`` at each string's own setbacks, counted from its own nut; ``rms_cents`` over the frets that count;
    ``cents_per_mm`` of the octave comparison; ``line`` the straight bridge at the crown; ``left_cents`` the octave
    comparison on it and ``left_rms_cents`` over the frets that count; ``harmonic_cents`` h; ``across_mm`` x at the
    bridge; ``outer`` the indices of the outer full-length strings, treble first.
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
    outer: tuple[int, int]
    line: BridgeLine
    left_cents: FloatArray
    left_rms_cents: FloatArray

    @property
    def scale_mm(self) -> float:
        """Nut to theoretical bridge line."""
        return self.instrument.head.scale_mm

    @property
    def from_nut_mm(self) -> FloatArray:
        """From the nut to each fret."""
        return np.asarray(self.scale_mm - self.to_bridge_mm)

    @property
    def face_line(self) -> BridgeLine:
        """Where the nut-side face of the bridge's feet stands."""
        return self.line.shifted(self.instrument.bridge.face_mm)

    @property
    def outer_places_mm(self) -> tuple[float, float]:
        """Bridge line at the outer full-length strings, from the nut: treble, bass."""
        treble, bass = self.line.at(self.across_mm[list(self.outer)])
        return float(treble), float(bass)

    def cents_with_bridge_at(self, treble_mm: float, bass_mm: float) -> tuple[FloatArray, FloatArray]:
        """What every fret reads with the bridge elsewhere: (strings × own frets, octave comparison).

        ``treble_mm`` and ``bass_mm`` are where it stands at the outer full-length strings, from the nut. The nut
        counts as uncut.
        """
        treble_x, bass_x = self.across_mm[list(self.outer)]
        slope = (treble_mm - bass_mm) / (treble_x - bass_x) if treble_x != bass_x else 0.0
        line = BridgeLine(treble_mm - slope * treble_x, slope)
        back = line.at(self.across_mm) - self.scale_mm
        uncut = np.zeros_like(back)
        return error_cents(self.model, back, uncut), octave_cents(self.model, back, uncut)

    @property
    def warnings(self) -> tuple[str, ...]:
        """The instrument's warnings, and those that only the numbers show."""
        far = [
            f"{self.instrument.string_in_words(n)} wants its bridge {back:.1f} mm from the theoretical line, more than is"
            " usual; check note, gauge, core, action and scale (nut to fret 12 goes into nut_to_fret_12)"
            for n, back in enumerate(self.setbacks.setback_mm)
            if abs(back) > WARN_AT_SETBACK_SHARE * self.model.length_mm[n]
        ]
        slant = abs(self.line.slant_deg)
        if slant > WARN_AT_SLANT_DEG:
            far.append(f"a slant of {slant:.0f} degrees is more than is usual; check the outer strings")
        return (*self.instrument.warnings, *far)


def work_up(instrument: Instrument) -> Workup:
    """Compute all numbers of an instrument. Raises `InputFaults` when the model has no answer for it."""
    head, aims = instrument.head, instrument.compensation
    to_bridge = head.to_bridge_mm
    model = _model(instrument, to_bridge)
    try:
        found = setbacks(model, aims.tune_to, aims.frets)
    except NoSetbackError as error:
        remedy = "check note, octave, gauge, core, unit mass and scale"
        raise InputFaults(
            [Fault(instrument.source, f"string {n + 1}", f"{error}; {remedy}") for n in error.strings]
        ) from None
    strung = instrument.stringing
    slopes = octave_cents_per_mm(model, found.setback_mm, found.nut_setback_mm)
    across = string_places_mm(len(instrument.strings), instrument.bridge.spacing)
    line = straight_line(head.scale_mm, across, found.setback_mm, slopes, strung.full_length, aims.bridge_fit)
    cents = error_cents(model, found.setback_mm, found.nut_setback_mm)
    left_back = line.at(across) - head.scale_mm
    left = error_cents(model, left_back, found.nut_setback_mm)
    counted = model.has_fret & (np.arange(cents.shape[1]) < aims.frets)
    outer = outer_strings(strung.full_length)
    return Workup(
        instrument=instrument,
        to_bridge_mm=to_bridge,
        model=model,
        setbacks=found,
        cents=cents,
        rms_cents=np.sqrt(np.mean(cents**2, axis=1, where=counted)),
        harmonic_cents=octave_harmonic_cents(strung.stiffness),
        cents_per_mm=slopes,
        across_mm=across,
        outer=(int(outer[0]), int(outer[-1])),
        line=line,
        left_cents=octave_cents(model, left_back, found.nut_setback_mm),
        left_rms_cents=np.sqrt(np.mean(left**2, axis=1, where=counted)),
    )


def _model(instrument: Instrument, to_bridge_mm: FloatArray) -> FrettedStrings:
    """Every string's own frets, counted from its own nut; the rows of short strings are filled up."""
    strung, action = instrument.stringing, instrument.action
    frets = len(to_bridge_mm)
    wanted = wanted_ratios(frets)
    rows, has_fret = [], []
    for starts_at in strung.starts_at:
        own = to_bridge_mm[starts_at:]
        made_up = own[-1] / wanted[:starts_at]
        rows.append(np.concatenate((own, made_up)))
        has_fret.append(np.arange(frets) < len(own))
    to_bridge = np.array(rows)

    def for_each(value: float) -> FloatArray:
        return np.full(len(rows), value)

    heights = [action.nut if s.nut_height is None else s.nut_height for s in instrument.strings]
    return FrettedStrings(
        length_mm=strung.length_mm,
        to_bridge_mm=to_bridge,
        wanted=np.broadcast_to(wanted, to_bridge.shape),
        has_fret=np.array(has_fret),
        nut_height_mm=np.array(heights, dtype=float),
        rise_mm=for_each(action.rise_mm),
        fall_mm=relief_fall_mm(np.array(action.relief), strung.length_mm, to_bridge),
        finger_mm=for_each(action.finger),
        stretch=strung.slipping_stretch,
        stiffness=strung.stiffness,
    )
