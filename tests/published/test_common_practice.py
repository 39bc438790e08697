"""What is common knowledge at the bench. All of it common practice, no source."""

import math

import numpy as np
import pytest
from instruments import edited

from geometry.fretting import octave_cents
from jigs.instrument.opening import preset_names

EACH_PRESET = pytest.mark.parametrize("name", preset_names())
EACH_AIM = pytest.mark.parametrize("aim", ["octave", "all frets", "nut and saddle"])


STRAIGHT_EDGE = {"steps": None}


def aiming_at(name, aim):
    """A preset with a bridge that is not stepped."""
    return edited(name, compensation={"tune_to": aim}, bridge=STRAIGHT_EDGE)


def action(name, fret_12=0.0, **touch):
    """A preset whose strings are ``fret_12`` mm higher over fret 12, pressed as stated."""
    height = edited(name).instrument.action.fret_12 + fret_12
    return edited(name, action={"fret_12": height, **touch})


def reading(workup, back_mm=0.0):
    """Cents of every fret, and of the octave comparison, with a square bridge behind the theoretical line."""
    place = workup.scale_mm + back_mm
    cents, octave = workup.cents_with_bridge_at(place, place)
    return cents[workup.model.has_fret], octave


def first_octave(workup):
    """Cents of frets 1 to 12 with the bridge on the theoretical line, strings × frets."""
    return workup.cents_with_bridge_at(workup.scale_mm, workup.scale_mm)[0][:, :12]


@EACH_PRESET
@EACH_AIM
def test_bass_side_of_the_bridge_is_farther_from_the_nut(name, aim):
    """Common practice, no source: thick strings need more length than thin ones.

    A stepped saddle gives them some of it, so what counts is where the strings bear; without steps it is the bridge.
    """
    workup = aiming_at(name, aim)
    outer = list(workup.outer_strings)
    treble, bass = (workup.scale_mm + workup.setback_on_mm(workup.line))[outer]
    assert workup.scale_mm < treble < bass
    if not workup.instrument.steps_mm[outer].any():
        assert workup.line.slant_deg > 0


@EACH_AIM
def test_plain_a_pair_of_a_mandolin_sits_behind_its_wound_d_pair(aim):
    """Common practice, no source: the saddle is stepped there."""
    back = aiming_at("mandolin", aim).setbacks.setback_mm
    assert back[1] > back[2]
    assert back[1] > back[0]
    assert back[3] > back[2]


@EACH_AIM
def test_thicker_plain_strings_of_a_banjo_need_more_setback(aim):
    """Common practice, no source: strings 1 to 3 are plain, each thicker than the last."""
    back = aiming_at("banjo", aim).setbacks.setback_mm
    assert 0 < back[0] < back[1] < back[2]


@EACH_PRESET
def test_higher_strings_read_sharper(name):
    """Common practice, no source: a longer way down to the fret stretches more."""
    low, low_octave = reading(action(name))
    high, high_octave = reading(action(name, fret_12=0.5))
    assert np.all(high > low)
    assert np.all(high_octave > low_octave)


@EACH_PRESET
def test_finger_far_behind_the_fret_reads_sharper(name):
    """Common practice, no source: of frets 1 to 12 most at the first, where that is a semitone from the nut."""
    light, heavy = action(name, finger=0.0, press=0.0), action(name, finger=8.0, press=0.0)
    sharper = reading(heavy)[0] - reading(light)[0]
    assert np.all(sharper > 0)
    if light.instrument.octave_fret == 12:
        assert np.all(np.argmax(first_octave(heavy) - first_octave(light), axis=1) == 0)


@EACH_PRESET
def test_deeper_press_reads_sharper(name):
    """Common practice, no source: a heavier touch reads sharper."""
    light, heavy = (action(name, finger=10.0, press=press) for press in (0.2, 0.5))
    sharper = reading(heavy)[0] - reading(light)[0]
    assert np.all(sharper > 0)
    assert np.all(reading(heavy)[1] > reading(light)[1])


@EACH_PRESET
def test_a_millimetre_is_worth_as_many_cents_as_the_scale_says(name):
    """Common practice, no source: −1200/(X0 ln 2) cents per mm near the right place, to 1%."""
    workup = edited(name)
    for each, entry in zip(workup.cents_per_mm, workup.instrument.strings, strict=True):
        length = workup.scale_mm / 2 ** (entry.starts_at_fret / 12)
        assert each == pytest.approx(-1200 / (length * math.log(2)), rel=0.01)


@pytest.mark.parametrize(("name", "cents"), [("plectrum-banjo", 2.6), ("mandolin", 4.9)])
def test_a_millimetre_counts_twice_as_much_on_a_mandolin(name, cents):
    """Common practice, no source: 2.6 cents/mm on a scale of 26 1/4 in, 4.9 on 13 7/8 in; measured by moving."""
    workup = edited(name)
    back, uncut = workup.setbacks.setback_mm, np.zeros(len(workup.setbacks.setback_mm))
    flatter = octave_cents(workup.model, back - 0.5, uncut) - octave_cents(workup.model, back + 0.5, uncut)
    np.testing.assert_allclose(flatter, cents, rtol=0.01)


@EACH_PRESET
def test_detuned_string_does_not_send_the_bridge_astray(name):
    """Common practice, no source: both notes of the comparison go out of tune together.

    Ten cents sharp is 1.2% more tension, so 1.2% less of the sharpness that comes of pressing, and no more; half
    a millimetre of bridge is worth a cent or two.
    """
    tuned, detuned = edited(name), edited(name, pitch={"a4": 440 * 2 ** (10 / 1200)})
    assert np.all(detuned.instrument.stringing.pitch_hz > tuned.instrument.stringing.pitch_hz)
    _, before = reading(tuned)
    assert np.all(abs(reading(detuned)[1] - before) < 0.02 * abs(before))
    assert np.all(before - reading(tuned, 0.5)[1] > 1)
