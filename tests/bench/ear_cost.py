"""What a pluck costs: ``OPENBLAS_NUM_THREADS=1 python tests/bench/ear_cost.py``. Prints, asserts nothing.

Milliseconds per pluck on one core, as processor time, so that a busy machine changes little; and the seconds and memory of
finding the plucks of ten minutes.
"""

import resource
import statistics
import sys
import time
from contextlib import suppress
from pathlib import Path

import numpy as np

from geometry.naming import note_heard
from geometry.partials import partials_of
from geometry.plucks import Unheard, plucks_in

RATE_HZ = 48000
RECORDINGS, CANDIDATES = 12, 10
MINUTES = 10


def recordings():
    """An open string and its octave, the longest that is heard of each: sound, first partial, candidates."""
    sys.path.append(str(Path(__file__).resolve().parents[1]))
    from simulated_plucks import BANJO, KITCHEN, MANDOLIN, recording, some_instrument

    for n in range(RECORDINGS):
        wires, string = (BANJO, MANDOLIN)[n % 2], (0, 3)[n // 2 % 2]
        chance = np.random.default_rng([5, n])
        sound = recording(chance, some_instrument(chance, wires), [(string, 1.0, 0.0), (string, 2.0, 3.0)], KITCHEN)
        notes = sorted(wire.open_hz * times for wire in wires for times in (1, 2, 1.5))[:CANDIDATES]
        yield sound, wires[string].open_hz, np.array(notes)


def milliseconds(work, *given):
    """Processor time of one call."""
    began = time.process_time()
    with suppress(Unheard):
        work(*given)
    return 1000 * (time.process_time() - began)


def main():
    """Print the costs."""
    costs = {"plucks_in": [], "partials_of": [], f"note_heard, {CANDIDATES} candidates": []}
    found, followed, named = costs.values()
    one = None
    for sound, open_hz, notes in recordings():
        found.append(milliseconds(plucks_in, sound, RATE_HZ) / 2)
        for times, pluck in enumerate(plucks_in(sound, RATE_HZ), 1):
            followed.append(milliseconds(partials_of, sound, RATE_HZ, pluck, times * open_hz))
            named.append(milliseconds(note_heard, sound, RATE_HZ, pluck, notes))
        one = sound if one is None else one
    for what, times in costs.items():
        print(f"{what:28} {statistics.median(times):6.1f} ms a pluck, at most {max(times):.1f}")
    long = np.resize(one.astype(np.float32), MINUTES * 60 * RATE_HZ)
    began = time.process_time()
    plucks = plucks_in(long, RATE_HZ)
    seconds, mega = time.process_time() - began, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{MINUTES} minutes: {len(plucks)} plucks in {seconds:.1f} s, at most {mega:.0f} MB of memory in all")


if __name__ == "__main__":
    main()
