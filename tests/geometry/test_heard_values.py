"""What is heard of five simulated recordings, pinned: a constant of the ear that slips moves every figure measured with it.

The values are the program's own, of November 2026. If you mean to change how it hears, run ``tests/slow/test_listening.py``,
see whether the ear got better, and pin what is heard then.
"""

from functools import cache

import numpy as np
import pytest
from simulated_plucks import BANJO, CLEAN, KITCHEN, MANDOLIN, NEAR, recording, some_instrument

from geometry.hearing import fret_difference, octave_difference
from geometry.naming import note_heard
from geometry.partials import partials_of, stiffness_of
from geometry.plucks import Unheard, plucks_in

RATE_HZ = 48000
TIMES = (1.0, 2.0, 1.5)
RECORDED = ((BANJO, 0, CLEAN), (BANJO, 3, KITCHEN), (MANDOLIN, 0, KITCHEN), (MANDOLIN, 3, NEAR), (BANJO, 1, NEAR))
PLUCKS = (
    ((7200, 42960), (48480, 82320), (95280, 130560)),
    ((7200, 50640), (54960, 102240), (102240, 145920)),
    ((7200, 42240), (51600, 90240), (92400, 134640)),
    ((7200, 42960), (48720, 86640), (91920, 133920)),
    ((7200, 44880), (48960, 89280), (94320, 135600)),
)
HEARD = {
    0: (3.076583, 0.077345, 0.061899, -1.907081, 1.001456, 1.348511, 0.015171, 0.530356, 8, 20),
    1: (2.801789, 0.674455, 0.658113, -1.94273, 1.088364, 6.360077, 0.057654, 0.72506, 5, 18),
    3: (2.704748, 0.232252, 0.222236, -2.624413, 1.261084, 2.037688, 0.033018, 3.80884, 8, 26),
    4: (2.717415, 0.312705, 0.268443, -2.466931, 1.122961, 2.509224, 0.069803, 0.712216, 5, 18),
}
"""In cents: the octave's difference, its error, and the part of that which repeats share; the fifth's difference and error;
the open string's glide and error. Then 10⁴ b of the octave, how many pairs, and how many partials of the open string."""


@cache
def recorded(case):
    """An open string, its octave 3 cents sharp and its fifth 2 cents flat."""
    wires, string, conditions = RECORDED[case]
    chance = np.random.default_rng([11, case])
    played = [(string, 1.0, 0.0), (string, 2.0, 3.0), (string, 1.5, -2.0)]
    return recording(chance, some_instrument(chance, wires), played, conditions), wires[string]


def plucks(case):
    return plucks_in(recorded(case)[0], RATE_HZ)


def partials(case):
    sound, wire = recorded(case)
    near = zip(plucks(case), TIMES, strict=True)
    return [partials_of(sound, RATE_HZ, pluck, times * wire.open_hz) for pluck, times in near]


@pytest.mark.parametrize("case", range(len(RECORDED)))
def test_plucks_begin_and_end_where_they_did(case):
    assert tuple((one.start, one.end) for one in plucks(case)) == PLUCKS[case]


@pytest.mark.parametrize("case", HEARD)
def test_differences_are_what_they_were(case):
    open_string, octave, fifth = partials(case)
    one = octave_difference(octave, open_string, 2, recorded(case)[1].tension_ratio)
    other = fret_difference(fifth, open_string, 1.5)
    found = (one.cents, one.standard_error_cents, one.shared_error_cents, other.cents, other.standard_error_cents)
    found += (open_string.glide_cents, open_string.glide_error_cents, 1e4 * stiffness_of(octave))
    assert (*found, one.pairs, len(open_string.number)) == pytest.approx(HEARD[case], abs=1e-3)


@pytest.mark.parametrize("case", range(len(RECORDED)))
def test_octave_is_named_among_notes_that_are_near_it(case):
    sound, wire = recorded(case)
    candidates = wire.open_hz * np.array([1.0, 2.0, 1.5, 1.335])
    assert note_heard(sound, RATE_HZ, plucks(case)[1], candidates) == 1


def test_a_note_that_beats_in_a_kitchen_is_refused_as_it_was():
    with pytest.raises(Unheard) as refused:
        partials(2)
    assert refused.value.code == "unsteady"
