"""Plucks in a sound: found where they begin, however loud they are, and nothing else is taken for one."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_notes import RATE_HZ, in_silence, plain_note, with_noise

from geometry.plucks import LEAST_S, MOST_S, SKIPPED_S, Pluck, Unheard, heard_part, plucks_in

few = settings(deadline=None, derandomize=True, max_examples=12)
NOTE = plain_note(220.0)


def starts_s(sound, rate_hz=RATE_HZ):
    return [pluck.start / rate_hz for pluck in plucks_in(sound, rate_hz)]


def refusal_of(sound, pluck=None, rate_hz=RATE_HZ):
    with pytest.raises(Unheard) as refusal:
        heard_part(sound, rate_hz, pluck or Pluck(0, len(sound)))
    return refusal.value.code


@few
@given(st.lists(st.floats(0.3, 1.5), min_size=1, max_size=5), st.floats(0.0, 1.0), st.floats(90, 900))
def test_each_pluck_is_found_within_a_hundredth_of_a_second(lengths, before_s, hz):
    notes = [plain_note(hz, seconds=seconds) for seconds in lengths]
    begins = before_s + np.cumsum([0, *(seconds + 0.2 for seconds in lengths[:-1])])
    sound = with_noise(in_silence(*notes, before_s=before_s), 1e-4)
    assert starts_s(sound) == pytest.approx(begins, abs=0.01)


@few
@given(st.floats(0.02, 1.0), st.sampled_from([16000, 44100, 96000]))
def test_plucks_are_the_same_in_a_fainter_recording_and_at_any_rate(gain, rate_hz):
    note = plain_note(330.0, rate_hz=rate_hz)
    sound = with_noise(in_silence(note, note, rate_hz=rate_hz), 1e-3)
    found = starts_s(sound, rate_hz)
    assert starts_s(gain * sound, rate_hz) == found
    assert found == pytest.approx([0.3, 1.4], abs=0.01)


def test_pluck_ends_at_the_next_one_or_where_it_is_damped():
    rings = np.concatenate((np.zeros(9600), NOTE[:24000], NOTE))
    first, second = plucks_in(with_noise(rings, 1e-4), RATE_HZ)
    assert first.end == second.start
    (damped,) = plucks_in(with_noise(in_silence(NOTE, between_s=1.0), 1e-4), RATE_HZ)
    assert damped.end / RATE_HZ == pytest.approx(1.2, abs=0.02)


def test_plectrums_click_and_its_string_are_one_pluck():
    click = np.zeros(len(NOTE) + 2880)
    click[:240] = 0.2 * np.random.default_rng(3).normal(size=240)
    click[2880:] += NOTE
    assert starts_s(with_noise(in_silence(click), 1e-4)) == pytest.approx([0.3], abs=0.01)


def test_beat_of_two_strings_is_not_a_pluck():
    beating = in_silence(plain_note(220.0, decay=1.0, seconds=3) + plain_note(221.5, decay=1.0, seconds=3))
    assert len(plucks_in(with_noise(beating, 1e-4), RATE_HZ)) == 1


def test_rising_hum_is_not_a_pluck():
    t = np.arange(3 * RATE_HZ) / RATE_HZ
    assert starts_s(with_noise(0.1 * np.sin(2 * np.pi * 50 * t) * t / 3, 1e-3)) == []


@pytest.mark.parametrize(
    "sound",
    [
        np.zeros(0),
        np.zeros(1),
        np.ones(1),
        np.zeros(RATE_HZ),
        np.full(RATE_HZ, 0.7),
        np.full(RATE_HZ, -1e-30),
        0.1 * np.random.default_rng(1).normal(size=RATE_HZ),
    ],
    ids=["empty", "one sample", "one loud sample", "silence", "offset", "next to nothing", "noise"],
)
def test_sound_without_a_pluck_has_none(sound):
    assert plucks_in(sound, RATE_HZ) == ()
    assert plucks_in(sound.astype(np.float32), RATE_HZ) == ()


def test_long_recording_of_single_precision_is_searched_to_its_end():
    minute = np.tile(in_silence(NOTE, before_s=0.3, between_s=0.3).astype(np.float32), 40)
    sound = with_noise(minute, 1e-4).astype(np.float32)
    assert starts_s(sound) == pytest.approx(0.3 + 1.5 * np.arange(40), abs=0.01)


# ---- the part that is listened to


@few
@given(st.floats(0.3, 3.0), st.floats(-0.5, 0.5))
def test_heard_part_begins_after_the_click_lasts_as_long_as_it_may_and_has_no_offset(seconds, offset):
    sound = plain_note(220.0, seconds=seconds, decay=1.0) + offset
    part = heard_part(sound, RATE_HZ, Pluck(0, len(sound)))
    assert len(part) / RATE_HZ == pytest.approx(min(seconds - SKIPPED_S, MOST_S), abs=1e-4)
    assert abs(part.mean()) < 1e-12
    np.testing.assert_allclose(np.diff(part), np.diff(sound[2880 : 2880 + len(part)]), atol=1e-12)


def test_note_that_is_damped_at_once_is_too_short():
    damped_at = round((SKIPPED_S + LEAST_S) * RATE_HZ)
    assert len(heard_part(NOTE, RATE_HZ, Pluck(0, damped_at + 1))) >= LEAST_S * RATE_HZ
    assert refusal_of(NOTE, Pluck(0, damped_at - 1)) == "too-short"
    assert refusal_of(NOTE[:1]) == "too-short"
    assert refusal_of(np.zeros(0)) == "too-short"
    assert refusal_of(NOTE, Pluck(len(NOTE) + 5, len(NOTE) + 9)) == "too-short"


def test_note_under_the_noise_of_a_sound_card_is_too_quiet():
    assert refusal_of(1e-4 * NOTE) == "too-quiet"
    assert refusal_of(np.zeros(RATE_HZ)) == "too-quiet"
    assert refusal_of(np.full(RATE_HZ, 0.9)) == "too-quiet"


@pytest.mark.parametrize("share", [0.05, 0.1, 0.2])
def test_note_clipped_at_a_fifth_of_its_peak_is_clipped(share):
    peak = share * np.max(np.abs(NOTE))
    assert refusal_of(np.clip(NOTE, -peak, peak)) == "clipped"
    assert refusal_of(np.clip(NOTE + 0.3, 0.3 - peak, 0.3 + peak)) == "clipped", "whatever its offset"


@pytest.mark.parametrize("share", [0.5, 0.8])
def test_note_that_lost_the_tip_of_its_peaks_is_not_refused(share):
    peak = share * np.max(np.abs(NOTE))
    heard_part(np.clip(NOTE, -peak, peak), RATE_HZ, Pluck(0, len(NOTE)))
