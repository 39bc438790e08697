"""A recording from the microphone, if `sounddevice` is installed."""

from collections.abc import Callable
from contextlib import suppress
from typing import Any

import numpy as np

from jigs.faults import Place
from jigs.input import microphone_words as words
from jigs.input.sound import Samples, Sound

RATE_HZ = 48_000
MOST_S = 600.0


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
        raise words.no_microphone().refusal(Place()) from None
    return Sound(np.concatenate(blocks) if blocks else np.zeros(0, dtype=np.float32), RATE_HZ)


def _device() -> Any:
    """The module that records. Raises `InputFaults`."""
    try:
        import sounddevice
    except ImportError:
        raise words.not_installed().refusal(Place()) from None
    except OSError:  # it is there, and its library PortAudio is not
        raise words.no_library().refusal(Place()) from None
    return sounddevice
