"""What the ear makes of simulated recordings: a pressed note against its open string, pair by pair.

An instrument is off its file, as at a bench: the ear gets the file's pitch and tension, not the instrument's own.
"""

from collections import Counter
from dataclasses import dataclass

import numpy as np
from simulated_plucks import BANJO, MANDOLIN, RATE_HZ, recording, some_instrument

from geometry.hearing import octave_difference
from geometry.partials import partials_of
from geometry.plucks import Unheard, plucks_in

OUTER = tuple((wires, string) for string in (0, 3) for wires in (BANJO, MANDOLIN))
"""The outer strings of both instruments, which take turns."""

NAMES = ("banjo 1", "mandolin 1", "banjo 4", "mandolin 4")
FIGURES = 19
"""The first number of the seeds of all figures. No constant of the ear was chosen by them."""

NOT_TWO, OTHER_STRING = "not-two-plucks", "other-string"
"""Why a pair is refused: the code of one of its plucks, other-string if it is that of either; or of both together."""


@dataclass(frozen=True)
class Pair:
    """An open string and its octave as they were heard: ``off`` is what was heard less the truth, nan if refused."""

    name: str
    off: float = np.nan
    error: float = np.nan
    reason: str | None = None


def pair_of(seed, conditions, odd=True):
    """One recording of an open string (with ``odd=False`` its octave harmonic) and its octave, and what is heard of it."""
    chance, turn = np.random.default_rng(seed), seed[-1] % len(OUTER)
    wires, string = OUTER[turn]
    instrument, truth = some_instrument(chance, wires), chance.uniform(-12, 12)
    sound = recording(chance, instrument, [(string, 1.0, 0.0), (string, 2.0, truth)], conditions, odd)
    file, plucks = wires[string], plucks_in(sound, RATE_HZ)
    if len(plucks) != 2:
        return Pair(NAMES[turn], reason=NOT_TWO)
    notes, codes = [], []
    for pluck, hz in zip(plucks, (file.open_hz * (1 if odd else 2), file.open_hz * 2), strict=True):
        try:
            notes.append(partials_of(sound, RATE_HZ, pluck, hz))
        except Unheard as why:
            codes.append(why.code)
    if codes:
        return Pair(NAMES[turn], reason=OTHER_STRING if OTHER_STRING in codes else codes[0])
    try:
        found = octave_difference(notes[1], notes[0], 2 if odd else 1, file.tension_ratio)
    except Unheard as why:
        return Pair(NAMES[turn], reason=f"{why.code} together")
    return Pair(NAMES[turn], found.cents - truth, found.standard_error_cents)


@dataclass(frozen=True)
class Figures:
    """What many pairs say together, of those that were used; ``inside`` is how many truths lie within 1.96 errors."""

    pairs: int
    used: int
    bias: float
    deviation: float
    worst: float
    stated: float
    inside: int
    refused: dict[str, int]

    def __str__(self):
        refused = ", ".join(f"{code} {count}" for code, count in sorted(self.refused.items()))
        return (
            f"used {self.used}/{self.pairs}  bias {self.bias:+.3f}  s.d. {self.deviation:.3f}  worst {self.worst:.2f}  "
            f"stated {self.stated:.2f}  inside {self.inside}/{self.used}  {refused}"
        )


def figures_of(pairs):
    """Figures of pairs; nan where none was used."""
    pairs = list(pairs)
    used = [each for each in pairs if each.reason is None]
    off, error = np.array([each.off for each in used]), np.array([each.error for each in used])
    some = len(used) > 1
    return Figures(
        pairs=len(pairs),
        used=len(used),
        bias=float(off.mean()) if some else np.nan,
        deviation=float(off.std(ddof=1)) if some else np.nan,
        worst=float(np.max(np.abs(off))) if some else np.nan,
        stated=float(np.sqrt(np.mean(error**2))) if some else np.nan,
        inside=int(np.sum(np.abs(off) <= 1.96 * error)),
        refused=dict(Counter(each.reason for each in pairs if each.reason is not None)),
    )
