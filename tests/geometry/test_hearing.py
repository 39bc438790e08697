"""Two heard notes compared: the laws of a difference, on partials made by hand and on sounds."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_notes import RATE_HZ, in_silence, plain_note, with_noise
from simulated_plucks import BANJO, CLEAN, MANDOLIN, recording, some_instrument

from geometry.hearing import LEAST_PAIRS, fret_difference, octave_difference, three_agree
from geometry.partials import Partials, partials_of
from geometry.plucks import Unheard, plucks_in
from geometry.spectrum import CENT

few = settings(deadline=None, derandomize=True, max_examples=8)
many = settings(deadline=None, derandomize=True)

cents, pitches = st.floats(-50, 50), st.floats(80, 700)
bends = st.lists(st.floats(-1, 1), min_size=16, max_size=16).map(np.array)


def note(hz, *, number=16, stiffness=0.0, bent=0.0, error=0.05, glide_error=0.0):
    """Partials by hand: ``bent`` in cents, each off what it should be; ``number`` how many, or which."""
    k = np.arange(1, number + 1) if np.ndim(number) == 0 else np.asarray(number)
    at = k * hz * (1 + stiffness * k.astype(float) ** 2) * np.exp(np.resize(bent, len(k)) * CENT)
    return Partials(k, at, np.full(len(k), error), 0.0 * k, 3.0 + 0.0 * k, 0.0, glide_error)


def raised(partials, by_cents):
    return replace(partials, hz=partials.hz * np.exp(by_cents * CENT))


# ---- laws


@many
@given(bends, bends, cents, st.floats(-1200, 1200), st.sampled_from([1, 2]), st.floats(0.98, 1.05))
def test_a_difference_does_not_change_when_both_notes_go_up_alike(bent, other, apart, up, partial, tension):
    """So a recorder's clock that is off, or a string that went out of tune between two pairs, changes nothing."""
    pressed, reference = note(440.0 * np.exp(apart * CENT), bent=bent), note(440.0 / partial, bent=other)
    here = octave_difference(pressed, reference, partial, tension)
    there = octave_difference(raised(pressed, up), raised(reference, up), partial, tension)
    assert there.cents == pytest.approx(here.cents, abs=1e-7)
    assert there.standard_error_cents == pytest.approx(here.standard_error_cents, abs=1e-7)


@many
@given(bends, bends, cents)
def test_a_difference_turns_its_sign_when_pressed_note_and_harmonic_are_swapped(bent, other, apart):
    one, two = note(440.0, bent=bent), note(440.0 * np.exp(apart * CENT), bent=other)
    there, back = octave_difference(one, two, 1), octave_difference(two, one, 1)
    assert there.cents == pytest.approx(-back.cents, abs=1e-6)
    assert there.standard_error_cents == pytest.approx(back.standard_error_cents, abs=1e-6)


@many
@given(bends, cents, cents)
def test_a_difference_grows_by_what_the_pressed_note_is_raised(bent, apart, up):
    pressed, reference = note(440.0, bent=bent), note(220.0)
    here = octave_difference(raised(pressed, apart), reference, 2).cents
    assert octave_difference(raised(pressed, apart + up), reference, 2).cents == pytest.approx(here + up, abs=1e-6)


@many
@given(pitches, cents, st.floats(0, 1e-4), st.floats(1.0, 1.05))
def test_stiffness_cancels_except_for_the_tension_that_pressing_adds(hz, apart, stiffness, tension):
    """The pressed note's own b is 4 b/τ, and its first partial is compared, not its law's f."""
    own = 4 * stiffness / tension
    first = 2 * hz * (1 + 4 * stiffness) / (1 + own) * np.exp(apart * CENT)
    pressed, reference = note(first, number=10, stiffness=own), note(hz, number=20, stiffness=stiffness)
    assert octave_difference(pressed, reference, 2, tension).cents == pytest.approx(apart, abs=0.12)


@many
@given(bends, st.floats(5, 60), st.integers(1, 7))
def test_one_partial_that_is_another_strings_pulls_little(bent, far, which):
    sound = 0.05 * bent
    clean = octave_difference(note(440.0, bent=sound), note(220.0, number=32), 2).cents
    sound = sound + far * (np.arange(16) == which)
    pulled = octave_difference(note(440.0, bent=sound), note(220.0, number=32), 2).cents
    assert abs(pulled - clean) < 0.25


@many
@given(bends, st.floats(1.1, 4.0))
def test_stated_error_grows_with_the_partials_scatter_and_with_the_glides_error(bent, times):
    bent = 0.3 * (3 * bent + np.resize([0.5, -0.5], 16))
    reference = note(220.0, number=32)
    calm = octave_difference(note(440.0, bent=bent / times), reference, 2)
    wild = octave_difference(note(440.0, bent=bent), reference, 2)
    assert wild.standard_error_cents > calm.standard_error_cents
    gliding = octave_difference(note(440.0, bent=bent, glide_error=0.3), reference, 2)
    assert gliding.standard_error_cents == pytest.approx(np.hypot(wild.standard_error_cents, 0.3))
    assert gliding.cents == wild.cents
    assert wild.own_error_cents**2 + wild.shared_error_cents**2 == pytest.approx(wild.standard_error_cents**2)


def test_pairs_are_those_that_both_notes_have():
    pressed, reference = note(440.0, number=[1, 2, 4, 5, 7]), note(220.0, number=[1, 2, 3, 4, 8, 10, 12])
    found = octave_difference(pressed, reference, 2)
    assert (found.number.tolist(), found.pairs) == ([1, 2, 4, 5], 4)
    assert len(found.pair_cents) == len(found.pair_error_cents) == 4
    assert octave_difference(pressed, note(440.0, number=[4, 5, 7, 8]), 1).number.tolist() == [4, 5, 7]


def test_too_few_pairs_are_refused():
    reference = note(220.0, number=[2, 4, 5, 6, 7])
    assert octave_difference(note(440.0), reference, 2).pairs == LEAST_PAIRS
    for few_partials in ([2, 4], [1, 3, 5, 7], [1]):
        with pytest.raises(Unheard) as refusal:
            octave_difference(note(440.0), note(220.0, number=few_partials), 2)
        assert refusal.value.code == "too-few-pairs"
    with pytest.raises(Unheard) as refusal:
        fret_difference(note(330.0), note(220.0, number=[1, 2]), 1.5)
    assert refusal.value.code == "too-few-pairs"


def test_partials_that_do_not_agree_are_unsteady():
    with pytest.raises(Unheard) as refusal:
        octave_difference(note(440.0, number=4, bent=[0.0, 9.0, -8.0, 20.0]), note(220.0), 2)
    assert refusal.value.code == "unsteady"


# ---- frets


@many
@given(bends, cents, st.floats(-1200, 1200), st.integers(1, 11))
def test_fretted_note_is_compared_with_its_ratio_and_not_with_its_pitch(bent, off, up, fret):
    ratio = 2 ** (fret / 12)
    pressed, reference = note(220.0 * ratio, bent=0.1 * bent), note(220.0)
    here = fret_difference(raised(pressed, off), reference, ratio)
    assert here.cents == pytest.approx(fret_difference(pressed, reference, ratio).cents + off, abs=0.02)
    there = fret_difference(raised(pressed, off + up), raised(reference, up), ratio)
    assert there.cents == pytest.approx(here.cents, abs=1e-6)
    assert here.standard_error_cents > here.shared_error_cents


def test_frets_error_is_larger_than_the_octaves():
    bent = 0.5 * np.sin(np.arange(16.0))
    octave = octave_difference(note(440.0, bent=bent), note(220.0, number=32), 2)
    fret = fret_difference(note(330.0, bent=bent), note(220.0), 1.5)
    assert fret.standard_error_cents > 1.0 > octave.standard_error_cents


# ---- when to stop plucking


@many
@given(st.lists(st.floats(-20, 20), max_size=6), st.floats(0.05, 1.0))
def test_three_agree_wherever_they_are_and_in_any_order_and_the_last_three_count(values, error):
    values, errors = np.array(values), np.full(len(values), error)
    agree = three_agree(values, errors)
    assert agree <= (len(values) >= 3)
    assert three_agree(np.concatenate(([50.0], values)), np.full(len(values) + 1, error)) == agree or len(values) == 2
    if len(values) >= 3:
        assert agree == (np.ptp(values[-3:]) <= 2 + 2 * error)
        assert three_agree(np.concatenate((values[:-3], values[-3:][::-1])), errors) == agree
        assert three_agree(values, errors + 40)


# ---- sounds


def of_plain_notes(truth, *, open_hz=220.0, stiffness=5e-5, noise=1e-3, rate_hz=RATE_HZ, gains=(1.0, 1.0), glide=3.0):
    """The difference heard between a plain open string and its octave pressed, ``truth`` cents off."""
    first = 2 * open_hz * np.exp(truth * CENT)
    open_string = gains[0] * plain_note(open_hz, stiffness=stiffness, partials=20, glide_cents=glide)
    pressed = gains[1] * plain_note(first, stiffness=4 * stiffness, decay=4.5, glide_cents=glide)
    sound = with_noise(in_silence(open_string, pressed), noise)
    one, two = plucks_in(sound, RATE_HZ)
    reference = partials_of(sound, rate_hz, one, open_hz)
    return octave_difference(partials_of(sound, rate_hz, two, 2 * open_hz), reference, 2)


@few
@given(st.floats(-12, 12), st.floats(100, 660))
def test_difference_of_plain_notes_is_exact(truth, open_hz):
    found = of_plain_notes(truth, open_hz=open_hz, noise=1e-4)
    assert found.cents == pytest.approx(truth, abs=0.05)
    assert found.pairs >= 6


@few
@given(st.floats(-12, 12), st.floats(-300, 300), st.floats(0.2, 1.0))
def test_clock_that_is_off_and_levels_that_differ_change_no_difference(truth, ppm, gain):
    here = of_plain_notes(truth, noise=1e-4).cents
    off = of_plain_notes(truth, noise=1e-4, rate_hz=RATE_HZ * (1 + 1e-6 * ppm), gains=(1.0, gain))
    assert off.cents == pytest.approx(here, abs=0.02)


def test_stated_error_grows_with_noise():
    stated = [of_plain_notes(3.0, noise=level).standard_error_cents for level in (1e-4, 1e-2, 3e-2)]
    assert stated[0] < stated[1] < stated[2]


@pytest.mark.parametrize("wires", [BANJO, MANDOLIN], ids=["banjo", "mandolin"])
@pytest.mark.parametrize("string", [0, 3])
def test_octave_harmonic_that_was_asked_for_is_as_good_a_reference(wires, string):
    chance = np.random.default_rng([7, string])
    instrument, hz = some_instrument(chance, wires), wires[string].open_hz
    harmonic = recording(chance, instrument, [(string, 1.0, 0.0)], CLEAN, odd=False)
    pressed = recording(chance, instrument, [(string, 2.0, 4.0)], CLEAN)
    two = [partials_of(sound, RATE_HZ, plucks_in(sound, RATE_HZ)[0], 2 * hz) for sound in (pressed, harmonic)]
    found = octave_difference(*two, 1, wires[string].tension_ratio)
    assert abs(found.cents - 4.0) < min(0.3, 3 * found.standard_error_cents)


def test_error_counts_what_the_tension_of_a_stiff_string_may_be_off():
    """Else a thick string is called surer than its file can make it: its core, slip and finger are guessed."""
    number, tension, stiffness = np.arange(1, 13), 1.04, 4e-4

    def note(first_hz, b):
        hz = number * first_hz * (1 + b * number**2) / (1 + b)
        return Partials(number, hz, 0.01 + 0.0 * number, 0.0 * number, 0.0 * number, 0.0, 0.0)

    open_string = note(220.0, stiffness * tension / 4)
    exact = octave_difference(note(440.0, stiffness), open_string, 2, tension)
    assert 0.03 < exact.shared_error_cents < 0.15
