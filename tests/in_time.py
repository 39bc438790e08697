"""A limit of processor time, so that a busy machine does not look like a hang."""

import signal
from contextlib import contextmanager


class TooLong(BaseException):
    """No handler of the program catches it on its way to the test."""


@contextmanager
def no_longer_than(seconds):
    """Raises `TooLong` within this once it took so much processor time."""

    def ring(*_):
        raise TooLong(f"more than {seconds} s of processor time")

    before = signal.signal(signal.SIGVTALRM, ring)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)
