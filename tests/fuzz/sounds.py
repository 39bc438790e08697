"""Recordings: WAV files, and the plucks in them."""

from fuzz.refusing import refusals

from jigs.faults import Place
from jigs.input.sound import sound_from
from jigs.readings.listening import What, hear_pluck

OPEN_HZ = 293.66
MOST_SAMPLES = 64_000


def wave(raw):
    """A WAV file, and a pluck of a string that is tuned to D4 in it."""
    with refusals():
        sound = sound_from(raw, Place("plucks.wav"))
        if len(sound.samples) <= MOST_SAMPLES:
            hear_pluck(sound, OPEN_HZ, What.OPEN)
