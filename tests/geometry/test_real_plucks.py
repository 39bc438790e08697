"""Real plucks: the later part of a note against its earlier part, which must be the same note.

The sounds are single notes of a banjo and of a steel-string guitar, under the licence beside them. They were cleaned by
their maker: real strings, no raw recordings. Other strings ring along in two of the banjo's, and are refused for that.
"""

from pathlib import Path

import numpy as np
import pytest

from geometry.hearing import octave_difference
from geometry.partials import partials_of
from geometry.plucks import Pluck, Unheard, plucks_in
from jigs.input.sound import read_sound

pytestmark = pytest.mark.slow

SOUNDS = Path(__file__).parent.parent / "sounds"
NOTE_HZ = {
    "banjo-1": 147.5,
    "banjo-2": 197.8,
    "banjo-3": 248.4,
    "banjo-4": 376.0,
    "banjo-5": 296.7,
    "banjo-6": 594.2,
    "steel-b4": 247.0,
    "steel-e5": 330.0,
    "steel-e6": 660.0,
}
"""Near what the largest peak of each shows."""

PART_S, LATER_S = 0.46, (0.15, 0.25, 0.3)


def later_less_earlier(name: str) -> tuple[list[float], int]:
    """Cents by which later parts of a note differ from earlier ones, and how many could not be used."""
    sound = read_sound(SOUNDS / f"{name}.wav")
    rate, found, refused = sound.rate_hz, [], 0
    for start_s in np.arange(0, 0.2, 0.025):
        for later_s in LATER_S:
            parts = [Pluck(round(at * rate), round((at + PART_S) * rate)) for at in (start_s, start_s + later_s)]
            if parts[1].end > len(sound.samples):
                continue
            try:
                early, late = (partials_of(sound.samples, rate, part, NOTE_HZ[name]) for part in parts)
                found.append(octave_difference(late, early, 1).cents)
            except Unheard:
                refused += 1
    return found, refused


@pytest.mark.parametrize(("kind", "most_cents", "least_used"), [("banjo", 0.6, 90), ("steel", 0.3, 70)])
def test_a_real_note_stays_the_same_note(kind, most_cents, least_used):
    found = np.concatenate([later_less_earlier(name)[0] for name in NOTE_HZ if name.startswith(kind)])
    assert np.std(found) < most_cents
    assert abs(np.mean(found)) < most_cents / 2
    assert len(found) >= least_used


@pytest.mark.parametrize("name", NOTE_HZ)
def test_a_real_pluck_is_found_once_and_from_its_beginning(name):
    sound = read_sound(SOUNDS / f"{name}.wav")
    plucks = plucks_in(sound.samples, sound.rate_hz)
    assert len(plucks) == 1
    assert plucks[0].start < 0.02 * sound.rate_hz
