"""Being asked to stop while files are written: what was begun is finished first, then the asking counts."""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

ASKING = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


def listened_to() -> dict[int, Any]:
    """What asks this process to stop, and what it does then; not what it was started to ignore."""
    found = {number: signal.getsignal(number) for number in ASKING}
    return {number: does for number, does in found.items() if does not in (signal.SIG_IGN, None)}


@contextmanager
def held_back() -> Iterator[None]:
    """Hold back what asks this process to stop, and let it act on leaving.

    A second Ctrl-C is a `KeyboardInterrupt` at once: somebody does not want to wait. In another thread than the main one
    nothing is held back; nothing interrupts there either.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []

    def note(number: int, _frame: FrameType | None) -> None:
        if number == signal.SIGINT and number in came:
            raise KeyboardInterrupt
        came.append(number)

    before = listened_to()
    try:
        for number in before:
            signal.signal(number, note)
        yield
    finally:
        for number, does in reversed(before.items()):
            signal.signal(number, does)
        for number in dict.fromkeys(came):
            signal.raise_signal(number)
