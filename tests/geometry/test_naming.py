"""Which note a pluck sounds: any string of an instrument, and never the octave for its open string."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_notes import HOSTILE, RATE_HZ, plain_note, with_noise
from simulated_plucks import BANJO, MANDOLIN, NEAR, recording, some_instrument

from geometry.naming import note_heard
from geometry.plucks import Pluck, Unheard, plucks_in
from geometry.spectrum import CENT

few = settings(deadline=None, derandomize=True, max_examples=12)


def named(sound, candidates_hz, rate_hz=RATE_HZ):
    return note_heard(sound, rate_hz, Pluck(0, len(sound)), np.array(candidates_hz))


def refusal_of(sound, candidates_hz):
    with pytest.raises(Unheard) as refusal:
        named(sound, candidates_hz)
    return refusal.value.code


@few
@given(st.floats(80, 700), st.floats(-60, 60), st.sampled_from([1, 2]), st.floats(0, 2e-4))
def test_open_string_and_its_octave_are_never_confused(open_hz, off, times, stiffness):
    sound = with_noise(plain_note(open_hz * times * np.exp(off * CENT), stiffness=stiffness), 1e-4)
    assert named(sound, [open_hz, 2 * open_hz]) == times - 1
    assert named(sound, [2 * open_hz, open_hz]) == 2 - times, "in any order"


@few
@given(st.sampled_from(BANJO[:4] + MANDOLIN), st.sampled_from([1, 2]), st.floats(0.02, 2.0))
def test_note_is_named_among_all_strings_however_loud(wire, times, gain):
    wires = MANDOLIN if wire in MANDOLIN else BANJO[:4]
    notes = np.array([hz * each for hz in sorted(one.open_hz for one in wires) for each in (1, 2)])
    hz = wire.open_hz * times
    found = named(gain * with_noise(plain_note(hz, stiffness=wire.stiffness * times**2), 1e-4), notes)
    assert notes[found] == pytest.approx(hz, rel=45 * CENT)


@pytest.mark.parametrize("wires", [BANJO, MANDOLIN], ids=["banjo", "mandolin"])
@pytest.mark.parametrize("string", [0, 3])
def test_octave_harmonic_is_never_named_an_open_string(wires, string):
    """Its odd partials are too faint. It passes for the octave: nobody hears whether that was pressed."""
    for seed in range(3):
        chance = np.random.default_rng([4, seed, string])
        sound = recording(chance, some_instrument(chance, wires), [(string, 1.0, 0.0)], NEAR, odd=False)
        (pluck,) = plucks_in(sound, RATE_HZ)
        hz = wires[string].open_hz
        assert note_heard(sound, RATE_HZ, pluck, np.array([hz, 2 * hz])) == 1


def test_note_of_none_of_the_strings_is_a_wrong_string():
    assert refusal_of(with_noise(plain_note(233.1), 1e-5), [146.8, 196.0, 293.7]) == "wrong-string"
    assert refusal_of(with_noise(plain_note(440.0), 1e-5), [146.8]) == "wrong-string"


def test_between_the_octave_and_its_open_string_lies_a_refusal():
    """As the odd partials rise, the octave becomes the open string, but never at once."""
    all_partials, even_ones, found = plain_note(220.0), plain_note(220.0, without=2), []
    for odd_db in range(-40, 1):
        share = 10 ** (odd_db / 20)
        sound = with_noise(share * all_partials + (1 - share) * even_ones, 1e-5)
        try:
            found.append(named(sound, [220.0, 440.0]))
        except Unheard as why:
            found.append(why.code)
    assert list(dict.fromkeys(found)) == [1, "other-string", 0]
    changes = [n for n in range(1, len(found)) if found[n] != found[n - 1]]
    assert len(changes) == 2, "each of them only once"


def test_what_cannot_be_heard_says_why():
    assert refusal_of(np.zeros(RATE_HZ), [220.0]) == "too-quiet"
    assert refusal_of(0.01 * np.random.default_rng(2).normal(size=RATE_HZ), [220.0]) == "too-quiet"
    assert refusal_of(plain_note(220.0)[:9000], [220.0]) == "too-short"
    assert refusal_of(np.clip(plain_note(220.0), -0.01, 0.01), [220.0]) == "clipped"


@pytest.mark.parametrize("rate_hz", [16000, RATE_HZ, 192000])
@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_sound_is_refused_or_named(what, rate_hz):
    sound, candidates = HOSTILE[what], [146.8, 220.0, 293.7, 440.0, 5000.0]
    for pluck in (*plucks_in(sound, rate_hz), Pluck(0, len(sound)), Pluck(len(sound) // 2, len(sound) + 9)):
        try:
            assert note_heard(sound, rate_hz, pluck, np.array(candidates)) in range(len(candidates))
        except Unheard:
            continue
