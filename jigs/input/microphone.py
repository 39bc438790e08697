"""A recording from the microphone, if `sounddevice` is installed."""

import math
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import numpy as np

from geometry.lengths import comma_meanings
from jigs.faults import Place
from jigs.input import microphone_words as words
from jigs.input.sound import Samples, Sound

RATE_HZ = 48_000
LEAST_S, MOST_S = 1.0, 600.0
_HERE = Place(option="sound")


def read_seconds(text: str | None) -> float | None:
    """How long to record, as the user wrote it; None if it ends by hand. Raises `InputFaults`.

    >>> read_seconds("20"), read_seconds("7,5"), read_seconds(None)
    (20.0, 7.5, None)
    """
    if text is None:
        return None
    try:
        seconds = float(next(iter(comma_meanings(text)), text))
    except ValueError:
        seconds = math.nan
    if not LEAST_S <= seconds <= MOST_S:
        raise words.no_length(text, LEAST_S, MOST_S).refusal(Place(option="seconds"))
    return seconds


def record(wait: Callable[[], object]) -> Sound:
    """A sound of one channel, until ``wait`` returns or Ctrl-C; of a longer one, the first ten minutes.

    Raises `InputFaults` if nothing can be recorded here.
    """
    device = _device()
    blocks: list[Samples] = []

    def keep(block: Any, *_others: object) -> None:
        if len(blocks) * len(block) < MOST_S * RATE_HZ:
            blocks.append(np.array(block[:, 0], dtype=np.float32))

    try:
        microphone = device.InputStream(samplerate=RATE_HZ, channels=1, dtype="float32", callback=keep)
        with microphone, suppress(KeyboardInterrupt):  # it ends the recording, not the program
            wait()
    except (device.PortAudioError, OSError, ValueError):
        raise words.no_microphone().refusal(_HERE) from None
    return Sound(np.concatenate(blocks) if blocks else np.zeros(0, dtype=np.float32), RATE_HZ)


def _device() -> Any:
    """The module that records. Raises `InputFaults`."""
    try:
        import sounddevice
    except ImportError:
        raise words.not_installed().refusal(_HERE) from None
    except OSError:  # it is there, and its library PortAudio is not
        raise words.no_library().refusal(_HERE) from None
    return sounddevice
