"""Partials of a pluck: exact where the note is plain, unmoved by what moves no string, and refused for the right reason."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_notes import HOSTILE, RATE_HZ, partials_hz, plain_note, with_noise

from geometry import tracks
from geometry.partials import partials_of, stiffness_of
from geometry.plucks import SKIPPED_S, Pluck, Unheard, plucks_in
from geometry.spectrum import CENT

few = settings(deadline=None, derandomize=True, max_examples=8)
HZ = 220.0
NOTE = plain_note(HZ)

first_hz, stiffnesses = st.floats(80, 1000), st.floats(0, 2e-4)


def whole(sound):
    return Pluck(0, len(sound))


def heard(sound, near_hz=HZ, rate_hz=RATE_HZ):
    return partials_of(sound, rate_hz, whole(sound), near_hz)


def refusal_of(sound, near_hz=HZ):
    with pytest.raises(Unheard) as refusal:
        heard(sound, near_hz)
    return refusal.value.code


def off_cents(found, hz=HZ, stiffness=0.0):
    """How far the partials of a note are off what they are."""
    return np.log(found.hz / partials_hz(hz, found.number, stiffness)) / CENT


# ---- what is heard


@few
@given(first_hz, stiffnesses, st.floats(2, 6), st.floats(-60, 60))
def test_partials_of_a_plain_note_are_exact_wherever_it_is_looked_for(hz, stiffness, decay, off):
    found = heard(plain_note(hz, stiffness=stiffness, decay=decay), hz * np.exp(off * CENT))
    assert found.number[:3].tolist() == [1, 2, 3]
    assert len(found.number) >= 9
    assert np.max(np.abs(off_cents(found, hz, stiffness))) < 0.01
    assert stiffness_of(found) == pytest.approx(stiffness, rel=0.03, abs=2e-6)
    assert found.decay_per_s == pytest.approx(decay, rel=0.01)
    assert abs(found.glide_cents) < 0.02


@few
@given(st.floats(0, 10), st.floats(3, 8), st.floats(130, 400))
def test_glide_is_removed_and_stated(glide, decay, hz):
    """It is stated as it is 60 ms after the onset, where hearing begins."""
    found = heard(plain_note(hz, glide_cents=glide, decay=decay), hz)
    assert np.max(np.abs(off_cents(found, hz))) < 0.02
    assert found.glide_cents == pytest.approx(glide * np.exp(-2 * decay * SKIPPED_S), rel=0.15, abs=0.02)


@few
@given(st.floats(0.01, 4.0))
def test_loudness_of_a_recording_moves_no_partial_and_raises_all_levels(gain):
    calm = with_noise(NOTE, 1e-3)
    quiet, loud = heard(calm), heard(gain * calm)
    np.testing.assert_allclose(loud.hz, quiet.hz, rtol=1e-7)
    np.testing.assert_allclose(loud.level_db, quiet.level_db + 20 * np.log10(gain), atol=1e-3)
    np.testing.assert_allclose(loud.standard_error_cents, quiet.standard_error_cents, rtol=1e-3)


@few
@given(st.floats(-200, 200))
def test_clock_that_is_off_moves_all_partials_alike(ppm):
    sound = with_noise(NOTE, 1e-3)
    right, off = heard(sound), heard(sound, rate_hz=RATE_HZ * (1 + ppm * 1e-6))
    both, of_right, of_off = np.intersect1d(right.number, off.number, return_indices=True)
    assert len(both) >= 9
    np.testing.assert_allclose(off.hz[of_off], right.hz[of_right] * (1 + ppm * 1e-6), rtol=2e-6)


@pytest.mark.parametrize("size", [7, 2205, 4800])
def test_a_frame_is_summed_over_all_its_samples_whether_they_are_even_or_odd_in_number(size):
    within = (np.arange(size) - (size - 1) / 2) / 48000
    hz, frames = np.array([100.0, 331.0, 2000.0]), np.random.default_rng(size).normal(size=(5, size))
    plain = frames @ np.exp(-2j * np.pi * within[:, None] * hz)
    assert tracks._seen(frames, within, hz) == pytest.approx(plain, abs=1e-9)


@pytest.mark.parametrize("rate_hz", [16000, 22050, 44100, 96000, 192000])
def test_partials_are_the_same_at_any_rate_and_none_is_above_what_it_holds(rate_hz):
    found = heard(plain_note(950.0, rate_hz=rate_hz), 950.0, rate_hz)
    assert np.max(np.abs(off_cents(found, 950.0))) < 0.01
    assert found.hz.max() < 0.45 * rate_hz


def test_single_precision_is_as_good():
    found = heard(NOTE.astype(np.float32))
    assert np.max(np.abs(off_cents(found))) < 0.001


def test_stated_error_grows_with_noise_and_covers_it():
    stated = []
    for level in (0.001, 0.01, 0.03):
        each = [heard(with_noise(NOTE, level, seed)) for seed in range(5)]
        first = np.concatenate([off_cents(one)[one.number <= 4] for one in each])
        error = np.concatenate([one.standard_error_cents[one.number <= 4] for one in each])
        stated.append(float(np.sqrt(np.mean(error**2))))
        assert np.sqrt(np.mean(first**2)) < 2.5 * stated[-1]
    assert stated[0] < stated[1] < stated[2]


def test_note_without_its_first_partial_is_still_followed():
    t = np.arange(len(NOTE)) / RATE_HZ
    found = heard(NOTE - 0.2 * np.exp(-3 * t) * np.sin(2 * np.pi * HZ * t + 0.7))
    assert 1 not in found.number
    assert np.max(np.abs(off_cents(found))) < 0.01


def test_octave_harmonic_has_even_partials_of_the_open_string_alone():
    """So a program that asked for the open string can refuse it."""
    found = heard(plain_note(HZ, partials=16, without=2))
    assert not np.any(found.number % 2)


# ---- what is refused


def test_faint_note_is_too_quiet():
    assert refusal_of(1e-4 * NOTE) == "too-quiet"
    assert refusal_of(with_noise(np.zeros(RATE_HZ), 0.01)) == "too-quiet"


@pytest.mark.parametrize("near_hz", [HZ * 9 / 8, HZ * 2 ** (3 / 12), HZ * 8 / 9])
def test_note_of_another_pitch_is_a_wrong_string(near_hz):
    assert refusal_of(with_noise(NOTE, 1e-5), near_hz) == "wrong-string"


@pytest.mark.parametrize("other", [4 / 3, 3 / 2, 2**0.5, 9 / 8, 2 ** (-2 / 12)])
def test_second_string_that_rings_along_is_heard(other):
    assert refusal_of(with_noise(NOTE + 0.6 * plain_note(HZ * other), 1e-5)) == "other-string"


@pytest.mark.parametrize("off", [-3.0, 0.0, 3.0])
def test_string_halfway_between_two_partials_is_near_both(off):
    """As the next string of a mandolin is, or the open string of a note that was taken for its octave."""
    fifth = 0.5 * plain_note(HZ * 1.5 * np.exp(off * CENT))
    below = 0.3 * plain_note(HZ / 2 * np.exp(off * CENT), partials=20)
    for other in (fifth, below):
        assert refusal_of(with_noise(NOTE + other, 1e-5)) == "other-string"


@pytest.mark.parametrize("hz", [293.7, 440.0, 659.3])
def test_course_that_is_not_damped_is_two_pitches(hz):
    course = plain_note(hz) + 0.8 * plain_note(hz * np.exp(4 * CENT))
    assert refusal_of(with_noise(course, 1e-5), hz) == "two-pitches"


def test_note_whose_pitch_shakes_is_unsteady():
    t = np.arange(len(NOTE)) / RATE_HZ
    steps = np.random.default_rng(4).normal(size=len(t)).cumsum() / np.sqrt(RATE_HZ)
    turned = 2 * np.pi * np.cumsum(HZ * (1 + 60 * CENT * (steps - steps.mean()))) / RATE_HZ
    shaking = 0.2 * np.exp(-3 * t) * sum(np.sin(k * turned) / k for k in range(1, 9))
    assert refusal_of(with_noise(shaking, 1e-5)) in ("unsteady", "two-pitches")


# ---- hostile sounds


@pytest.mark.parametrize("rate_hz", [16000, RATE_HZ, 192000])
@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_sound_is_refused_or_answered_with_numbers(what, rate_hz):
    sound = HOSTILE[what]
    for pluck in (*plucks_in(sound, rate_hz), whole(sound), Pluck(len(sound) // 2, len(sound) + 9)):
        for near_hz in (HZ, 146.8, 659.3):
            try:
                found = partials_of(sound, rate_hz, pluck, near_hz)
            except Unheard:
                continue
            assert len(found.number) >= 2
            for numbers in (found.hz, found.standard_error_cents, found.level_db, found.decay_per_s):
                assert np.all(np.isfinite(numbers))
                assert len(numbers) == len(found.number)
            assert np.all(found.standard_error_cents > 0)
            assert np.isfinite([found.glide_cents, found.glide_error_cents]).all()
