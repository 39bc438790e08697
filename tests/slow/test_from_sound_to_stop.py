"""The whole job by ear: instruments that differ from their files are plucked, heard and set as advised, in two rounds.

What each truly sounds comes from `tests/plausible_world.py`, and its sound from `tests/simulated_plucks.py`. Neither shares
a line with the program. A bridge begins where an eye puts it, and a pluck that is refused is plucked again.
"""

from collections import Counter
from dataclasses import dataclass, field, replace

import numpy as np
import plausible_world
import pytest
from samples import preset
from simulated_plucks import BANJO, CENT, MANDOLIN, NEAR, RATE_HZ, Instrument, recording, some_instrument
from sounding import sounding_wires

from geometry.readings import USUAL_ERRORS, Verdict
from jigs.input.sound import Sound
from jigs.readings.advice import advise
from jigs.readings.listening import What, compared, hear, readings_of

pytestmark = pytest.mark.slow

WIRES = {"banjo": BANJO, "mandolin": MANDOLIN}
INSTRUMENTS = 100
"""Of each of the two."""

ROUNDS, PAIRS, MOST_TRIES = 2, 3, 8
TOUCH_CENTS, BY_EYE_MM, BY_EYE_DEG = 0.7, 5.0, 2.0
IN_TUNE_CENTS, LEAST_IN_TUNE = 2.0, 0.95


@dataclass
class Bench:
    """A player at an instrument: what was plucked so far, and how it went."""

    workup: object
    strings: Instrument
    chance: np.random.Generator
    went: Counter = field(default_factory=Counter)

    def pluck(self, string, what, cents, before=()):
        """A pluck that can be used, after those ``before``; None after too many tries."""
        times = 1.0 if what is What.OPEN else 2.0
        for _ in range(MOST_TRIES):
            self.went["plucks"] += 1
            sound = recording(self.chance, self.strings, [(string, times, cents())], NEAR).astype(np.float32)
            heard = hear(Sound(sound, RATE_HZ), f"{self.went['plucks']}.wav", self.workup, string, False, False)
            reason = self._why_not(heard, what, before)
            if reason is None:
                return heard[0]
            self.went[f"refused: {reason}"] += 1
        self.went["given up"] += 1
        return None

    def _why_not(self, heard, what, before):
        """Why what was heard of a pluck is not used; None if it is."""
        if len(heard) != 1:
            return "not one pluck"
        if not heard[0].used:
            return heard[0].reason
        if heard[0].what is not what:
            return f"{what} taken for {heard[0].what}"
        last = compared((*before, *heard), self.workup).heard[-1]
        return last.reason if before else None

    def differences(self, string, cents):
        """Three pairs of open string and octave; ``cents`` is what the pressed note truly is off."""
        for _ in range(PAIRS):
            open_string = self.pluck(string, What.OPEN, lambda: 0.0)
            if open_string is None:
                continue
            pressed = self.pluck(
                string, What.OCTAVE, lambda: cents + self.chance.normal(0, TOUCH_CENTS), (open_string,)
            )
            if pressed is not None:
                yield from compared((open_string, pressed), self.workup).differences


def set_by_ear(name, count, seed):
    """How far off the outer strings of so many instruments end, in cents; when each said stop; and how the plucks went."""
    workup, random = preset(name), np.random.default_rng(seed)
    instrument, outer = workup.instrument, list(workup.outer_strings)
    true = plausible_world.world(instrument, random, count)
    steps = np.zeros(len(instrument.strings)) if instrument.bridge.steps is None else np.array(instrument.bridge.steps)
    moved_by_ends = true.ends * true.stiffness * true.length
    x = workup.across_mm
    slope = np.tan(np.radians(random.uniform(-BY_EYE_DEG, BY_EYE_DEG, (count, 1))))
    crown = (workup.setback_on_mm(workup.line) - steps) + random.uniform(-BY_EYE_MM, BY_EYE_MM, (count, 1)) - slope * x
    off, stopped, went = np.empty((count, 2)), np.zeros(count, dtype=int), Counter()
    for n in range(count):
        chance = np.random.default_rng([*seed, n])
        some = some_instrument(chance, WIRES[name])
        for turn in range(1, ROUNDS + 1):
            place = crown[n] + steps
            own = sounding_wires(true, instrument, n, place - moved_by_ends[n], some.wires)
            tuned = tuple(replace(wire, open_hz=wire.open_hz * np.exp(chance.normal(0, 6) * CENT)) for wire in own)
            bench = Bench(workup, Instrument(tuned, some.bridge), chance, went)
            sounds = plausible_world.octave_cents(true, crown + steps - moved_by_ends)[n]
            found = [each for s in outer for each in bench.differences(s, sounds[s])]
            said = advise(workup, readings_of(found, workup), None, USUAL_ERRORS, False)
            went[f"round {turn}: {said.verdict}"] += 1
            if said.verdict is Verdict.STOP:
                stopped[n] = turn
                break
            if said.verdict is not Verdict.SOMETHING_ELSE and len(said.moves) == len(outer):
                ends = {move.string: move.mm for move in said.moves}
                crown[n] += np.interp(-x, *_in_order(-x[outer], [ends[s] for s in outer]))
        ended = plausible_world.octave_cents(true, crown + steps - moved_by_ends)[n]
        off[n] = (ended - workup.left_cents)[outer]
    return off, stopped, went


def _in_order(x, y):
    order = np.argsort(x)
    return np.asarray(x)[order], np.asarray(y)[order]


@pytest.mark.parametrize("name", WIRES)
def test_bridge_set_by_ear_is_in_tune_at_both_ends_after_two_rounds(name, record_property):
    off, stopped, went = set_by_ear(name, INSTRUMENTS, [18, 200, list(WIRES).index(name)])
    in_tune = np.all(np.abs(off) <= IN_TUNE_CENTS, axis=1)
    figures = {
        "in tune": int(in_tune.sum()),
        "of": INSTRUMENTS,
        "rms, cents": [round(float(each), 2) for each in np.sqrt(np.mean(off**2, axis=0))],
        "worst, cents": round(float(np.max(np.abs(off))), 2),
        "stop in round 1, 2": [int(np.sum(stopped == turn)) for turn in (1, 2)],
        "stop, but out of tune": int(np.sum((stopped > 0) & ~in_tune)),
        **dict(sorted(went.items())),
    }
    for what, value in figures.items():
        print(f"\n{name:12}{what:28}{value}", end="")
        record_property(f"{name}: {what}", value)
    assert in_tune.mean() >= LEAST_IN_TUNE
