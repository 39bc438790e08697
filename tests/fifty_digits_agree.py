"""Workups held against the fifty digits of `tests/fifty_digits.py`, within what doubles can be."""

import fifty_digits as exactly
import mpmath as mp
import numpy as np
import pytest
from fifty_digits import cents, compared, exact_line, exact_place, frets_of, harmonic, nut_of, slope, step_of

NANOMETRE = 1e-6
OFF_MM = (-0.7, 1.9)
"""How far the bridge is put off its line, at the treble and the bass string."""


def strung(workup):
    """Every string in fifty digits."""
    return [exactly.strung(workup.instrument, entry) for entry in workup.instrument.strings]


def assert_frets_agree(workup):
    scale, exact = workup.instrument.head.scale_mm, frets_of(workup.instrument.head)
    assert max(abs(mp.mpf(ours) - x) for ours, x in zip(workup.to_bridge_mm, exact, strict=True)) < NANOMETRE
    assert max(abs(mp.mpf(ours) - scale + x) for ours, x in zip(workup.from_nut_mm, exact, strict=True)) < NANOMETRE


def assert_strings_agree(workup):
    ours = workup.instrument.stringing
    for i, s in enumerate(strung(workup)):
        assert ours.unit_mass_kg_per_m[i] == pytest.approx(float(s.mass), rel=1e-12)
        assert ours.tension_n[i] == pytest.approx(float(s.tension), rel=1e-12)
        assert ours.stretch[i] == pytest.approx(float(s.stretch), rel=1e-12)
        assert ours.slipping_stretch[i] == pytest.approx(float(s.slipping), rel=1e-12)
        assert ours.stiffness[i] == pytest.approx(float(s.stiffness), rel=1e-12)
        assert workup.harmonic_cents[i] == pytest.approx(float(harmonic(s)), abs=1e-9)
        assert workup.model.finger_mm[i] == pytest.approx(float(s.finger), rel=1e-12)
        assert workup.model.press_mm[i] == pytest.approx(float(s.press), rel=1e-12)
        assert workup.octave_frets[i] == s.octave


def assert_bridge_and_nut_agree(workup):
    """Each string's own places, and the straight line: fitted to the setback less the step of each string."""
    instrument, fitted = workup.instrument, []
    for i, s in enumerate(strung(workup)):
        ours = (workup.setbacks.setback_mm[i], workup.setbacks.nut_setback_mm[i])
        exact = exact_place(s, instrument, i, ours)
        assert max(abs(mp.mpf(float(a)) - b) for a, b in zip(ours, exact, strict=True)) < NANOMETRE
        rate = slope(lambda x, s=s, nut=exact[1]: cents(s, s.octave, x, nut), exact[0])
        assert workup.cents_per_mm[i] == pytest.approx(float(rate), rel=1e-9)
        back, full = exact[0] - step_of(instrument, i), not instrument.strings[i].starts_at_fret
        fitted.append((mp.mpf(float(workup.across_mm[i])), back, rate, full))
    centre, slant = exact_line(fitted, instrument.compensation.bridge_fit)
    for x in workup.across_mm:
        exact = instrument.head.scale_mm + centre + slant * mp.mpf(float(x))
        assert abs(mp.mpf(float(workup.line.at(x))) - exact) < NANOMETRE


def assert_every_fret_agrees(workup):
    for i, s in enumerate(strung(workup)):
        places = [mp.mpf(float(x[i])) for x in (workup.setbacks.setback_mm, workup.setbacks.nut_setback_mm)]
        ours = workup.cents[i][workup.model.has_fret[i]]
        assert len(ours) == len(s.frets)
        exact = [float(cents(s, n, *places)) for n in range(1, len(s.frets) + 1)]
        np.testing.assert_allclose(ours, exact, rtol=0, atol=1e-9)
        counted = exact[: workup.instrument.compensation.frets]
        rms = np.sqrt(np.mean(np.square(counted)))
        assert workup.rms_cents[i] == pytest.approx(rms, abs=1e-9)


def assert_octave_agrees_on_any_line(workup):
    """With each string's step: on the computed line, and with a bridge that stands off it, where the nut is as it is."""
    treble, bass = (mp.mpf(place) + mp.mpf(off) for place, off in zip(workup.outer_places_mm, OFF_MM, strict=True))
    (every, octaves), outer = workup.cents_with_bridge_at(float(treble), float(bass)), workup.outer_mm.tolist()
    tilt = (treble - bass) / (mp.mpf(outer[0]) - mp.mpf(outer[1])) if outer[0] != outer[1] else mp.mpf(0)
    for i, s in enumerate(strung(workup)):
        step, scale = step_of(workup.instrument, i), mp.mpf(workup.scale_mm)
        line = mp.mpf(float(workup.line.at(workup.across_mm[i]))) - scale
        solved = mp.mpf(float(workup.setbacks.nut_setback_mm[i]))
        assert workup.left_cents[i] == pytest.approx(float(compared(s, line + step, solved)), abs=1e-9)
        nut = nut_of(workup.instrument, i)
        off = mp.mpf(float(treble)) + tilt * (mp.mpf(float(workup.across_mm[i])) - mp.mpf(outer[0])) - scale
        assert octaves[i] == pytest.approx(float(compared(s, off + step, nut)), abs=1e-9)
        n = len(s.frets)
        assert every[i][n - 1] == pytest.approx(float(cents(s, n, off + step, nut)), abs=1e-9)
