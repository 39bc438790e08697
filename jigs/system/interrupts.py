"""Ctrl-C and other stop signals, deferred until files are complete."""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

ASKING = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK") if hasattr(signal, name)]
"""Windows has the last, and not the one before it."""


def listened_to() -> dict[int, Any]:
    """The stop signals that this process heeds, each with its handler; not those that it was started to ignore."""
    handlers = {number: signal.getsignal(number) for number in ASKING}
    return {number: does for number, does in handlers.items() if does not in (signal.SIG_IGN, None)}


@contextmanager
def held_back() -> Iterator[None]:
    """Defer stop signals until the block is done; then they act.

    A second Ctrl-C is a `KeyboardInterrupt` at once, for users who do not want to wait. Outside the main thread nothing is
    deferred, because no signal interrupts there.
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
