"""Simulated faults, each alone, against what the diagnosis makes of readings at frets 1, 3, 5, 7 and 12.

A fault is sized so that its clearest reading shifts by 6 cents, or by half of that; every reading has 1 cent of noise; and
the instrument is off its file by what measuring leaves, its bridge set to its own octave before the fault.
"""

from functools import cache

import numpy as np
import pytest
from faulty import FRETS, NAMES, NOISE_CENTS, RUNS, place_of, size_of, sounded
from samples import preset
from simulator import truth

from geometry.diagnosis import SURE, Cause, FretReadings, String, weigh
from geometry.readings import only

pytestmark = pytest.mark.slow

FAULTS = ("near", "far", "nut slots high", "fret 7 sharp", "fret 7 flat", "none")


@cache
def found(cents, hand):
    """For each fault: shares of runs in which the right cause is named, comes first, or a wrong one is named.

    ``hand``: "known" presses as the file has it; "unknown" is any plausible one, and the diagnosis counts with all of them.
    """
    random = np.random.default_rng(17)
    rates = {fault: [] for fault in FAULTS}
    for name in NAMES:
        workup = preset(name)
        for n in (workup.outer_strings[0], 1, workup.outer_strings[1]):
            index = np.array([n])
            exact = truth(workup, index, 1, random, different=False)
            nut = float(workup.setbacks.nut_setback_mm[n])
            touch = workup.instrument.touch if hand == "unknown" else None
            string = String(only(workup.model, [n]), place_of(workup, n), nut, touch)
            for fault in FAULTS:
                made, right = a_fault(fault, cents, workup, n, exact)
                true = truth(workup, index, RUNS, random, hand=hand == "unknown")
                readings = sounded(workup, n, true, **made) + random.normal(0, NOISE_CENTS, (RUNS, len(FRETS)))
                suspects = weigh(string, FretReadings(FRETS, readings, np.arange(len(FRETS)), np.zeros(len(FRETS))))
                weights = np.array([one.weight for one in suspects])
                first = weights.argmax(axis=0)
                is_right = np.array([(one.cause, one.fret) == right for one in suspects])[first]
                sure = weights.max(axis=0) >= SURE
                rates[fault].append((np.mean(sure & is_right), np.mean(is_right), np.mean(sure & ~is_right)))
    return {fault: np.mean(each, axis=0) for fault, each in rates.items()}


def a_fault(fault, cents, workup, n, exact):
    match fault:
        case "near":
            return {"bridge": size_of("bridge", -1, cents, workup, n, exact)}, (Cause.NEAR, 0)
        case "far":
            return {"bridge": size_of("bridge", 1, cents, workup, n, exact)}, (Cause.FAR, 0)
        case "nut slots high":
            return {"slots": size_of("slots", 1, cents, workup, n, exact)}, (Cause.NUT_HIGH, 0)
        case "fret 7 sharp" | "fret 7 flat":
            return {"fret_cents": cents if fault.endswith("sharp") else -cents}, (Cause.FRET, 7)
    return {}, (Cause.NOTHING, 0)


EACH_HAND = pytest.mark.parametrize("hand", ["known", "unknown"])


@EACH_HAND
@pytest.mark.parametrize("fault", FAULTS[:-1])
def test_clear_fault_is_given_its_name(fault, hand):
    """Named in nine of ten; in most of the rest not sure.

    High slots in seven of ten, measured: with the finger 10 mm behind they are less unlike the rest. In an unknown hand four
    in ten, because a firm one makes the low frets sharp alike.
    """
    named, first, wrong = found(6.0, hand)[fault]
    least = {"known": 0.70, "unknown": 0.38}[hand] if fault == "nut slots high" else 0.9
    assert named >= least
    assert first >= 0.65
    assert wrong < (1 - named) / 2


@EACH_HAND
@pytest.mark.parametrize("fault", FAULTS[:-1])
def test_small_fault_is_not_given_a_wrong_name(fault, hand):
    _, first, wrong = found(3.0, hand)[fault]
    assert wrong <= 0.05
    assert first > 0.35


@EACH_HAND
def test_instrument_without_fault_is_seldom_sent_to_the_shop(hand):
    assert found(6.0, hand)["none"][2] <= 0.05


def test_hand_that_is_not_counted_with_sends_sound_instruments_to_the_shop():
    """The check above can fail: an unknown hand, with readings weighed as if it were the file's."""
    random, wrong = np.random.default_rng(17), []
    for name in NAMES:
        workup = preset(name)
        n = workup.outer_strings[1]
        true = truth(workup, np.array([n]), RUNS, random)
        readings = sounded(workup, n, true) + random.normal(0, NOISE_CENTS, (RUNS, len(FRETS)))
        string = String(only(workup.model, [n]), place_of(workup, n), float(workup.setbacks.nut_setback_mm[n]))
        suspects = weigh(string, FretReadings(FRETS, readings, np.arange(len(FRETS)), np.zeros(len(FRETS))))
        wrong += [one.weight >= SURE for one in suspects if one.cause is not Cause.NOTHING]
    assert np.sum(wrong) / (len(NAMES) * RUNS) > 0.1
