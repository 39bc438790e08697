"""Worker processes that answer requests, so that one that takes too long can be stopped without the others.

A thread cannot be stopped in Python, a process can. The processes are spawned before the first request, and get warm while
the browser opens.
"""

import gc
import multiprocessing
import os
import queue
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection

from jigs.page import words
from jigs.page.answers import IN_LINE, LISTEN, LONGER, answer
from jigs.page.request import Reply, refusal
from jigs.system.workers import cores, deaf_children, stay_deaf

LONGEST_ANSWER_S = 5.0
LONGEST_HEARING_S = 2.0
"""The page asks again every half second, and a pluck takes a twentieth of one."""

LONGEST_WAIT_S = 60.0

_FEWEST = 2
"""Workers: one always answers what takes no longer than usual."""

_MOST_IN_LINE = 8
"""Requests that may wait for what takes longer: half the server's threads, so that the others are answered meanwhile."""

_PAUSE_S, _GARBAGE_WAITS_FOR = 0.2, 20_000
"""Garbage is collected in a pause between requests, or once there are so many new objects."""

Work = Callable[[str, bytes], Reply]


class Worker:
    """A process that answers one request after another."""

    def __init__(self, work: Work) -> None:
        context = multiprocessing.get_context("spawn")
        self._ours, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, work), daemon=True)
        self._is_warm = False
        with deaf_children([signal.SIGINT]):
            self._process.start()
        theirs.close()

    def get_warm(self) -> None:
        """Wait until it is warm. Raises EOFError, OSError when it is gone."""
        if not self._is_warm:
            self._ours.recv()
            self._is_warm = True

    def ask(self, route: str, body: bytes, limit_s: float) -> Reply | None:
        """Its answer, or None if there is none in time after it got warm. Raises EOFError, OSError when it is gone."""
        self.get_warm()
        self._ours.send((route, body))
        if not self._ours.poll(limit_s):
            return None
        reply: Reply = self._ours.recv()
        return reply

    def stop(self) -> None:
        """End it, whatever it is doing."""
        self._ours.close()
        self._process.kill()
        self._process.join()


def _serve(ends: Connection, work: Work) -> None:
    """What a worker does: import what it needs, say so, and answer until the other end is closed."""
    stay_deaf([signal.SIGINT])
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    work("draw", b'{"base": {"preset": "banjo"}}')
    gc.freeze()
    gc.set_threshold(_GARBAGE_WAITS_FOR)
    with suppress(EOFError, OSError):
        ends.send(None)
        while True:
            ends.send(work(*ends.recv()))
            if not ends.poll(_PAUSE_S):
                gc.collect()


class Processes:
    """Takes requests from any thread and gives each to a worker that is free."""

    def __init__(self, workers: int | None = None, limit_s: float = LONGEST_ANSWER_S, work: Work = answer) -> None:
        self._limit_s, self._work = limit_s, work
        self._free: queue.Queue[Worker] = queue.Queue()
        number = workers or max(_FEWEST, min(cores(), 4))
        for _ in range(number):
            self._free.put(Worker(work))
        self._longer = threading.BoundedSemaphore(max(number - 1, 1))
        self._line = threading.BoundedSemaphore(_MOST_IN_LINE)

    def ask(self, route: str, body: bytes) -> Reply:
        """The answer to a request; a refusal with status 503 where none can be had."""
        if route not in IN_LINE:
            return self._answer(route, body)
        if not self._line.acquire(blocking=False):
            return refusal(503, words.busy())
        try:
            return self._in_turn(route, body)
        finally:
            self._line.release()

    def _in_turn(self, route: str, body: bytes) -> Reply:
        if not self._longer.acquire(timeout=LONGEST_WAIT_S):
            return refusal(503, words.busy())
        try:
            return self._answer(route, body)
        finally:
            self._longer.release()

    def _answer(self, route: str, body: bytes) -> Reply:
        try:
            worker = self._free.get(timeout=LONGEST_WAIT_S)
        except queue.Empty:
            return refusal(503, words.busy())
        limit_s = min(self._limit_s, LONGEST_HEARING_S) if route == LISTEN else LONGER.get(route, self._limit_s)
        too_long = words.hearing_took_too_long if route == LISTEN else words.took_too_long
        too_long = words.longer_took_too_long if route in LONGER else too_long
        try:
            reply, why = worker.ask(route, body, limit_s), too_long(limit_s)
        except (EOFError, OSError):
            reply, why = None, words.stopped()
        if reply is None:
            worker = self._instead_of(worker)
        self._free.put(worker)
        return reply or refusal(503, why)

    def _instead_of(self, lost: Worker) -> Worker:
        """Another worker, warm if it lives. If there is none, the lost one: the next request tries again."""
        lost.stop()
        another = lost
        with suppress(EOFError, OSError):
            another = Worker(self._work)
            another.get_warm()
        return another

    def close(self) -> None:
        """End all workers that are free; the rest end with this process."""
        with suppress(queue.Empty):
            while True:
                self._free.get_nowait().stop()
