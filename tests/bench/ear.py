"""The ear beside other estimators of pitch, all on the same sounds. It prints tables, and checks nothing.

    python -m venv ../ear && ../ear/bin/pip install -r tests/bench/requirements-ear.txt
    PYTHONPATH=.:tests OPENBLAS_NUM_THREADS=1 ../ear/bin/python tests/bench/ear.py [pairs of each string]

A pair is an open string and the same string pressed at the octave, simulated. Each estimator gets the same samples, from
60 ms after the onset to the end, and looks near the note that it should be. A plain FFT peak compares the pressed note's
first partial with the open string's second. Twice the open string's first would be worse, because stiffness and a yielding
bridge move it differently. Estimators of pitch compare their pitch with twice that of the open string. Their settings are
the best of those that were tried with other seeds.

A difference that is more than 50 cents off counts as failed. Bias and standard deviations are of the rest, in cents.
"s.d. where ours hears" is the standard deviation over those pairs that our own ear uses.
"""

import statistics
import sys
import time
from collections import Counter
from dataclasses import replace

import numpy as np
import simulated_plucks as simulated

from geometry.hearing import octave_difference
from geometry.naming import note_heard
from geometry.partials import partials_of
from geometry.plucks import LEAST_S, SKIPPED_S, Unheard, plucks_in
from geometry.spectrum import SEARCH_CENTS

SEED, PAIRS_OF_EACH = 40_417, 15
OUTER = ((simulated.BANJO, 0), (simulated.BANJO, 3), (simulated.MANDOLIN, 0), (simulated.MANDOLIN, 3))
WITHIN_CENTS, FAILED_CENTS, FRAME = 100.0, 50.0, 4096
RATE = simulated.RATE_HZ

CONDITIONS = {
    "clean: 30 dB white noise, glide 3 cents": simulated.CLEAN,
    "near microphone, yielding bridge, others damped": simulated.NEAR,
    "the same in a kitchen": simulated.KITCHEN,
    "others ringing, far microphone": simulated.FREE,
    "clean, but 10 dB white noise": replace(simulated.CLEAN, white_db=-10.0),
    "clean, but glide 25 cents": replace(simulated.CLEAN, glide_cents=25.0),
    "clean, but clipped at half": replace(simulated.CLEAN, clip=0.5),
    "clean, but 0.3 s": replace(simulated.CLEAN, seconds=0.3),
    "clean, but a course 2 cents apart": replace(simulated.CLEAN, pair_cents=2.0),
}


# ---- estimators: a recording, its two plucks and the string by its file, to cents


def ours(sound, plucks, wire):
    """As ``jigs listen`` does it: which note it is, its partials, the difference."""
    candidates = np.array([wire.open_hz, 2 * wire.open_hz])
    notes = []
    for n, pluck in enumerate(plucks):
        if note_heard(sound, RATE, pluck, candidates) != n:
            raise Unheard("wrong-note")
        notes.append(partials_of(sound, RATE, pluck, float(candidates[n])))
    return octave_difference(notes[1], notes[0], 2, wire.tension_ratio).cents


def by_fft(sound, plucks, wire):
    opened, pressed = (highest_peak(part_of(sound, pluck), 2 * wire.open_hz) for pluck in plucks)
    return cents(pressed / opened)


def by_pitch(pitch):
    """An estimator that compares pitches."""

    def estimate(sound, plucks, wire):
        found = [
            np.asarray(pitch(part_of(sound, pluck), times * wire.open_hz))
            for times, pluck in zip((1, 2), plucks, strict=True)
        ]
        heard = [frames[np.isfinite(frames)] for frames in found]
        if not all(len(frames) for frames in heard):
            raise Unheard("no pitch")
        return cents(np.median(heard[1]) / np.median(heard[0]) / 2)

    return estimate


def part_of(sound, pluck):
    start = pluck.start + round(SKIPPED_S * RATE)
    return sound[start : max(pluck.end, start + round(LEAST_S * RATE))]


def cents(ratio):
    return 1200 * float(np.log2(ratio))


def around(near_hz, within_cents):
    return near_hz * 2 ** (-within_cents / 1200), near_hz * 2 ** (within_cents / 1200)


def highest_peak(part, near_hz):
    """Hann window, eight times as long with noughts, a parabola through the logarithms of the highest three."""
    size = 8 << len(part).bit_length()
    level = np.log(np.abs(np.fft.rfft(part * np.hanning(len(part)), size)) + 1e-12)
    low, high = (round(hz * size / RATE) for hz in around(near_hz, SEARCH_CENTS))
    n = low + int(np.argmax(level[low : high + 1]))
    left, middle, right = level[n - 1 : n + 2]
    return (n + 0.5 * (left - right) / (left - 2 * middle + right)) * RATE / size


def yin(part, near_hz):
    import librosa

    low, high = around(near_hz, WITHIN_CENTS)
    return librosa.yin(part, fmin=low, fmax=high, sr=RATE, frame_length=FRAME, center=False)


def pyin(part, near_hz):
    """Its steps of pitch are a cent wide, not ten, and it may not leap, so that it is quick enough."""
    import librosa

    low, high = around(near_hz, WITHIN_CENTS)
    hz, _, _ = librosa.pyin(
        part, fmin=low, fmax=high, sr=RATE, frame_length=FRAME, center=False, resolution=0.01, max_transition_rate=4.0
    )
    return hz


def autocorrelation(part, near_hz):
    """Of the pitches that a frame may have, the strongest near the note."""
    import parselmouth

    low, high = around(near_hz, WITHIN_CENTS)
    frames = parselmouth.Sound(part, RATE).to_pitch_ac(
        pitch_floor=0.5 * near_hz, pitch_ceiling=1.5 * near_hz, very_accurate=True
    )
    near = ([each for each in frame.candidates if low < each.frequency < high] for frame in frames)
    return [max(each, key=lambda one: one.strength).frequency for each in near if each]


ESTIMATORS = {
    "ours": ours,
    "FFT peak": by_fft,
    "YIN": by_pitch(yin),
    "pyin": by_pitch(pyin),
    "autocorrelation": by_pitch(autocorrelation),
}


# ---- the run


def pairs(conditions, place, of_each):
    """A recording, its plucks, the string by its file, and how far the pressed note is off in truth."""
    for n in range(of_each):
        for which, (wires, string) in enumerate(OUTER):
            chance = np.random.default_rng((SEED, place, n, which))
            instrument = simulated.some_instrument(chance, wires)
            off = chance.uniform(-12, 12)
            sound = simulated.recording(chance, instrument, [(string, 1.0, 0.0), (string, 2.0, off)], conditions)
            opened, pressed = plucks_in(sound, RATE)
            yield sound, (opened, pressed), wires[string], off


def judged(estimate, sound, plucks, wire, off):
    """What is wrong with an estimate in cents, or the reason why there is none; and how long it took, in ms."""
    began = time.perf_counter()
    try:
        error = estimate(sound, plucks, wire) - off
    except Unheard as why:
        error = why.code
    took = 1000 * (time.perf_counter() - began)
    if not isinstance(error, str) and not abs(error) <= FAILED_CENTS:
        error = f"more than {FAILED_CENTS:.0f} cents off"
    return error, took


def robust(errors):
    return 1.4826 * float(np.median(np.abs(errors - np.median(errors))))


def shown(number):
    return f"{number:.2f}".replace("-", "−")


def row(errors, mine):
    """Used, bias, and the three standard deviations. ``mine``: what ours made of the same pairs."""
    used = np.array([error for error in errors if not isinstance(error, str)])
    shared = [
        error
        for error, own in zip(errors, mine, strict=True)
        if not isinstance(error, str) and not isinstance(own, str)
    ]
    cells = [f"{len(used)}", *["too few"] * 4]
    if len(used) > 2:
        cells[1:4] = shown(used.mean()), shown(used.std(ddof=1)), shown(robust(used))
    if len(shared) > 2:
        cells[4] = shown(np.std(shared, ddof=1))
    return cells


def print_table(*rows):
    """The first row is the head."""
    for n, cells in enumerate(rows):
        print("| " + " | ".join(map(str, cells)) + " |")
        if n == 0:
            print("| " + " | ".join("---" for _ in cells) + " |")
    print(flush=True)


def main(of_each):
    for warm in pairs(simulated.CLEAN, len(CONDITIONS), 1):
        for estimate in ESTIMATORS.values():
            judged(estimate, *warm)
    table = [("condition", "estimator", "used", "bias", "s.d.", "robust s.d.", "s.d. where ours hears", "ms")]
    failures, short = [("condition", "estimator", "not used", "pairs")], [("bias, s.d. (used)", *ESTIMATORS)]
    for place, (name, conditions) in enumerate(CONDITIONS.items()):
        found = {estimator: [] for estimator in ESTIMATORS}
        for pair in pairs(conditions, place, of_each):
            for estimator, estimate in ESTIMATORS.items():
                found[estimator].append(judged(estimate, *pair))
        errors = {estimator: [error for error, _ in each] for estimator, each in found.items()}
        rows = {estimator: row(each, errors["ours"]) for estimator, each in errors.items()}
        for estimator, each in found.items():
            took = statistics.median(took for _, took in each)
            table.append((name, estimator, *rows[estimator], f"{took:.0f}"))
            reasons = Counter(error for error in errors[estimator] if isinstance(error, str))
            failures += [(name, estimator, reason, count) for reason, count in reasons.items()]
        short.append((name, *(f"{bias}, {spread} ({used})" for used, bias, spread, *_ in rows.values())))
    print(f"{of_each * len(OUTER)} pairs in each condition\n")
    for each in (table, failures, short):
        print_table(*each)


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else PAIRS_OF_EACH)
